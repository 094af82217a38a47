"""Axes of a sweep: how they are read, what they are called, which runs they make."""

import math
from pathlib import Path
from typing import Any

import pytest

import simcore
from simcore.errors import InputError, RejectedValue
from simcore.files import Scenario, case_alone, parse_axis, scenario_of, with_axes
from simcore.studies.plan import axis_label, axis_value, plan

SCENARIOS = Path(__file__).parents[3] / "scenarios"


@pytest.fixture(scope="module")
def creep() -> Scenario:
    return simcore.load_scenario(SCENARIOS / "slow_creep.toml")


@pytest.mark.parametrize(
    ("text", "values"),
    [
        ("a.b=0:30:0.75", tuple(0.75 * k for k in range(41))),
        ("a=0:1:0.1", (0, 0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 0.9, 1)),
        ("a=0:1:0.3", (0, 0.3, 0.6, 0.9)),
        ("a = 5 : -5 : -2.5", (5, 2.5, 0, -2.5, -5)),
        ("a=2:2:1", (2,)),
        ("a=1,2.5,4", (1, 2.5, 4)),
        ("a=7", (7,)),
        ("a=[1, 2], [3, 4]", ([1, 2], [3, 4])),
        ("rig=rigs/a.toml, rigs/b.toml", ("rigs/a.toml", "rigs/b.toml")),
        ('a=true,"two words"', (True, "two words")),
    ],
)
def test_values_of_an_axis(text: str, values: tuple[object, ...]) -> None:
    assert parse_axis(text)[1] == values


def test_a_range_is_counted_in_decimals() -> None:
    """Whole numbers stay whole, and no 0.30000000000000004 names a run."""
    _, values = parse_axis("a=0:2:0.1")
    assert [str(value) for value in values[:4]] == ["0", "0.1", "0.2", "0.3"]
    assert (len(values), values[-1]) == (21, 2)


@pytest.mark.parametrize(
    ("text", "got"),
    [
        ("a", "a"),
        ("=1", "=1"),
        ("a=", "0 values"),
        ("a=0:10:0", "0:10:0"),
        ("a=0:10:-1", "0:10:-1"),
        ("a=0:1e9:1", "too many values"),
        ("a=0:1e400:1e-400", "too many values"),
        ("a=1,2,1", "1 twice"),
        ("a=1,1.0", "1.0 twice"),
        ("a+=1,2", "a change of a value"),
        ("a *= 1,2", "a change of a value"),
    ],
)
def test_what_is_no_axis(text: str, got: str) -> None:
    with pytest.raises(RejectedValue) as refused:
        parse_axis(text)
    assert got in refused.value.got


@pytest.mark.parametrize(
    ("path", "label"),
    [
        ("driveline.overdrive", "overdrive, %"),
        ("ground.slope", "ground slope, deg"),
        ("rear.tyre.radius+front.tyre.radius", "rear and front tyre radius, mm"),
        ("rear.upper_link.axle.1", "rear upper link axle z, mm"),
        ("rear.shock.springs.0.rate", "rear shock springs 1 rate, g/mm"),
        ("driver.control", "driver control"),
        ("rig", "rig"),
        ("rear.tyre.peak_grip", "rear tyre peak grip"),
        ("rear.tyre.radius + ground.grip", "rear tyre radius and ground grip"),
        ("parts.battery.mass", "parts battery mass, g"),
        ("parts[battery].at[1]", "parts battery at z, mm"),
    ],
)
def test_what_an_axis_is_called(path: str, label: str) -> None:
    assert str(axis_label(path)) == label


def test_every_combination_is_a_run(creep: Scenario) -> None:
    points = plan(with_axes(creep, {"driveline.overdrive": [0, 10], "ground.slope": "10:30:10"}))
    assert [point.name for point in points] == ["0, 10", "0, 20", "0, 30", "10, 10", "10, 20", "10, 30"]
    last = points[-1].scenario
    assert last is not None
    assert last.rig.driveline.overdrive == pytest.approx(0.1)
    assert last.ground.slope == pytest.approx(0.5235987755982988)


def test_an_axis_may_name_a_part(creep: Scenario) -> None:
    low, high = plan(with_axes(creep, {"parts[battery].at[1]": [60, 90]}))
    heights = [point.scenario.rig.parts[0].at[1] for point in (low, high) if point.scenario]
    assert heights == pytest.approx([0.060, 0.090])


def test_an_axis_lists_values_not_changes(creep: Scenario) -> None:
    for path in ("ground.slope +=", "rear.shock.springs.0.rate *=", "ground.slope-="):
        with pytest.raises(InputError, match="a path alone: an axis lists the values themselves"):
            with_axes(creep, {path: [1, 2]})


def test_joined_paths_take_the_same_value(creep: Scenario) -> None:
    (point,) = plan(with_axes(creep, {"rear.shock.friction.breakaway + front.shock.friction.breakaway": [3]}))
    assert point.scenario is not None
    rig = point.scenario.rig
    assert (rig.rear.shock.friction.breakaway, rig.front.shock.friction.breakaway) == (3.0, 3.0)


def test_values_that_do_not_go_together_are_a_point_that_says_why(creep: Scenario) -> None:
    axes = {"rear.shock.friction.breakaway": [1, 5], "rear.shock.friction.sliding": [0.5, 3]}
    rig = creep.changed({"rear.shock.friction": {"breakaway": 4}})
    points = plan(with_axes(rig, axes))
    bad = [point for point in points if point.scenario is None]
    assert [point.name for point in bad] == ["1, 3"]
    assert bad[0].failed["failed"] == "INPUT" and "sliding" in bad[0].failed["why"]


def test_faults_of_all_axes_at_once(creep: Scenario) -> None:
    axes = {
        "driveline.overdrive": [0, 900],
        "ground.slop": [1],
        "end.duration": "5:1:1",
        "ground.grip": [0, 50],
    }
    with pytest.raises(InputError) as refused:
        with_axes(creep, axes)
    assert 'vary."end.duration": got "5:1:1"' in str(refused.value)
    del axes["end.duration"]  # a value that is none hides what is wrong with the others
    with pytest.raises(InputError) as refused:
        with_axes(creep, axes)
    lines = str(refused.value).splitlines()
    assert len(lines) == 3
    assert 'vary."driveline.overdrive": got 900 %' in lines[0]
    assert 'did you mean "ground.slope"' in lines[1]
    assert 'vary."ground.grip": got 0 %' in lines[2]


def test_no_axis_and_too_many_runs(creep: Scenario) -> None:
    with pytest.raises(InputError, match="at least one axis"):
        plan(creep)
    wide = {"ground.slope": "0:27:1", "driveline.overdrive": "0:27:1", "ground.grip": "50:77:1"}  # 21952
    with pytest.raises(InputError, match="at most 20000 runs"):
        plan(with_axes(creep, wide))


def test_axes_keep_variants_and_leave_out_what_was_found() -> None:
    both = simcore.load_scenario(SCENARIOS / "launch_vs_creep.toml")
    swept = with_axes(both, {"ground.slope": [10]})
    assert swept.variants == both.variants and swept.conclusion.claims == ()
    alone = with_axes(case_alone(both, "60 ms punch"), {"ground.slope": [10]})
    assert (alone.variants, alone.driver) == ({}, both.variant("60 ms punch").driver)
    with pytest.raises(InputError, match='got "60 ms bunch", must be one of 60 ms punch'):
        case_alone(both, "60 ms bunch")


BATTERY = {
    "variants": {
        "lower": {"parts.battery.at.1 -=": 25},
        "lower, at 12": {"from": "lower", "end.duration": 12},
    },
    "vary": {"ground.slope": [10, 20]},
}


def both_of(creep: Scenario, **tables: Any) -> Scenario:
    """The creep with variants beside an axis."""
    return scenario_of({**creep.raw, **BATTERY, **tables}, SCENARIOS / "both.toml")


def test_cases_are_an_axis_of_words_before_the_others(creep: Scenario) -> None:
    points = plan(both_of(creep))
    assert [point.name for point in points] == [
        *("as given, 10", "as given, 20", "lower, 10", "lower, 20", "lower, at 12, 10", "lower, at 12, 20"),
    ]
    assert [dict(point.inputs) for point in points[2:4]] == [
        {"case": "lower", "ground.slope": 10},
        {"case": "lower", "ground.slope": 20},
    ]
    run = points[3].scenario
    assert run is not None
    high = creep.rig.parts[0].at[1]
    assert run.rig.parts[0].at[1] == pytest.approx(high - 0.025)
    assert math.degrees(run.ground.slope) == pytest.approx(20.0)
    assert (run.variants, run.vary) == ({}, {})


def test_settings_of_a_case_and_an_axis_that_do_not_fit_are_a_point_that_says_why(creep: Scenario) -> None:
    """The variant's settings first: alone, either may be right."""
    sticky = creep.changed({"rear.shock.friction": {"breakaway": 4}})
    rubs = {"rubs": {"rear.shock.friction.sliding": 3.5}}
    points = plan(both_of(sticky, variants=rubs, vary={"rear.shock.friction.breakaway": [3, 5]}))
    bad = [point for point in points if point.scenario is None]
    assert [point.name for point in bad] == ["rubs, 3"]
    assert "sliding" in bad[0].failed["why"]  # type: ignore[index]


def test_runs_of_all_cases_count(creep: Scenario) -> None:
    wide = {"ground.slope": "0:40:0.1", "driveline.overdrive": "0:20:1"}
    with pytest.raises(InputError, match="got 25263 runs, must be at most 20000 runs"):
        plan(both_of(creep, vary=wide))


@pytest.mark.parametrize(
    ("tables", "said"),
    [
        ({"case": "lower"}, 'case: got "lower", which is also the name of a variant'),
        ({"vary": {"case": ["a", "b"]}}, 'vary."case": got the name of a case, must be the path of'),
        ({"vary": {"case + title": ["a", "b"]}}, 'vary."case + title": got the name of a case'),
        ({"vary": {"variants": [1]}}, 'vary."variants": got an unknown path'),
        (
            {"vary": {"parts[battery].at[1]": [50, 60]}},
            'vary."parts[battery].at[1]": got an axis that undoes variants.lower."parts.battery.at.1 -="',
        ),
        (
            {"vary": {"ground": [{"slope": 10}], "end": [{"duration": 3}]}},
            'vary."end": got an axis that undoes variants."lower, at 12"."end.duration"',
        ),
    ],
)
def test_cases_that_no_axis_goes_with(creep: Scenario, tables: dict[str, Any], said: str) -> None:
    with pytest.raises(InputError) as refused:
        plan(both_of(creep, **tables))
    assert said in str(refused.value)


def test_another_rig_comes_before_what_a_variant_sets(creep: Scenario) -> None:
    """An axis over rigs undoes no setting of a part, only another choice of the rig."""
    rigs = {"rig": ["rigs/gully.toml", "rigs/fell.toml"]}
    sets = {"big rear tyres": {"rear.tyre.radius": 61}}
    points = plan(both_of(creep, variants=sets, vary=rigs))
    radii = [point.scenario.rig.rear.tyre.radius for point in points[2:] if point.scenario]
    assert radii == pytest.approx([0.061, 0.061])
    with pytest.raises(InputError, match=r'an axis that undoes variants\.other\."rig"'):
        both_of(creep, variants={"other": {"rig": "rigs/scree.toml"}}, vary=rigs)


@pytest.mark.parametrize(
    ("path", "value", "said"),
    [
        ("rear.shock.friction.breakaway", 0.980665, 100),  # N, weighed: ISO 80000-3
        ("rear.shock.friction.breakaway", "40 g", 40),
        ("rear.tyre.radius", "2 in", 50.8),
        ("ground.slope", 12.5, 12.5),
        ("driveline.drive", "rear", "rear"),
    ],
)
def test_values_of_an_axis_are_said_in_one_unit(path: str, value: Any, said: Any) -> None:
    assert axis_value(path, value) == said


def test_rows_of_a_table_are_no_places() -> None:
    assert axis_label("driver.torque.1.1").name == "motor torque, row 2"
    assert axis_label("rear.upper_link.axle.1").name == "rear upper link axle z"
