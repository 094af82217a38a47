"""Axes of a sweep: how they are read, what they are called, which runs they make."""

from pathlib import Path
from typing import Any

import pytest

import simcore
from simcore.errors import InputError, RejectedValue
from simcore.files import Scenario, parse_axis, scenario_of, with_axes
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
    wide = {"ground.slope": "0:40:0.1", "driveline.overdrive": "0:40:0.1"}
    with pytest.raises(InputError, match="at most 20000 runs"):
        plan(with_axes(creep, wide))


def test_axes_leave_out_variants_and_what_was_found() -> None:
    both = simcore.load_scenario(SCENARIOS / "launch_vs_creep.toml")
    swept = with_axes(both, {"ground.slope": [10]})
    assert swept.variants == {}
    assert swept.conclusion.claims == ()
    table = {**both.raw, "vary": {"ground.slope": [10]}}
    with pytest.raises(InputError, match="axes beside variants"):
        scenario_of(table, "both.toml")


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
    assert axis_label("driver.torque.1.1").name == "driver torque row 2 value"
    assert axis_label("rear.upper_link.axle.1").name == "rear upper link axle z"
