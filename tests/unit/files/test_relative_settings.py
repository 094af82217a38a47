"""Relative settings: numbers changed by += -= *=, and things picked by name."""

import tomllib
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from simcore.errors import InputError, RejectedValue
from simcore.files import Scenario, load_scenario, parse_setting, scenario_of
from simcore.files.relative import changed
from simcore.files.rig import Rig
from simcore.files.schema import follow
from simcore.files.steps import steps

SCENARIOS = Path(__file__).parents[3] / "scenarios"


@pytest.fixture(scope="module")
def creep() -> Scenario:
    """The shipped creep: 25 deg, battery of 128 g at [226, 84], springs of 0.07 and 0.10 N/mm."""
    return load_scenario(SCENARIOS / "slow_creep.toml")


def value_at(scenario: Scenario, path: str) -> Any:
    table: Any = tomllib.loads(scenario.to_toml())
    for step in steps(path, Scenario):
        table = table[step]
    return table


@pytest.mark.parametrize(
    ("setting", "by", "path", "expected"),
    [
        ("ground.slope +=", 5, "ground.slope", 30),
        ("ground.slope -=", 5.5, "ground.slope", 19.5),
        ("ground.slope+=", "-5 deg", "ground.slope", 20),
        ("ground.slope *=", 0.5, "ground.slope", 12.5),
        ("ground.slope *=", "120 %", "ground.slope", 30),
        ("ground.grip *=", "0.5", "ground.grip", 50),
        ("ground.grip -=", 20, "ground.grip", 80),
        ("rear.shock.springs.0.rate *=", 0.8, "rear.shock.springs.0.rate", 0.056),
        ("rear.shock.springs[0].rate +=", "10 g/mm", "rear.shock.springs.0.rate", 0.07 + 0.0980665),
        ("parts.0.at.1 -=", 25, "parts.0.at.1", 59),
        ("parts.battery.at.1 -=", 25, "parts.0.at.1", 59),
        ("parts[battery].at[1] -=", 25, "parts.0.at.1", 59),
        ("parts.battery, three cells.at.1 -=", 25, "parts.0.at.1", 59),
        ("parts.BATTERY.mass +=", "1 oz", "parts.0.mass", 128 + 453.59237 / 16),
        ("parts.motor and transmission.mass -=", 5, "parts.1.mass", 200),
        ("wheelbase +=", "0.5 in", "wheelbase", 327.7),
        ("rear.upper_link.axle +=", [0, 4], "rear.upper_link.axle", [-4, 90]),
        ("rear.upper_link.axle -=", ["1 in", "-0.5 mm"], "rear.upper_link.axle", [-29.4, 86.5]),
        ("rear.upper_link.axle *=", [2, "50 %"], "rear.upper_link.axle", [-8, 43]),
        ("driver.speed.1.1 *=", 2, "driver.speed.1.1", 0.3),
        ("rear.shock.bump_stop.rate *=", 2, "rear.shock.bump_stop.rate", 40),
        ("end.slid_back +=", 50, "end.slid_back", 150),
        ("visible.pitch -=", 0.05, "visible.pitch", 0.2),
    ],
)
def test_a_change_is_made_to_what_stands_there(
    creep: Scenario, setting: str, by: Any, path: str, expected: Any
) -> None:
    after = creep.changed({setting: by})
    assert value_at(after, path) == pytest.approx(expected, rel=1e-12)
    assert after == creep.changed({path: value_at(after, path)})
    assert after != creep.changed({})


DECIMALS = st.decimals(-1000, 1000, places=4).map(float)


@given(DECIMALS, DECIMALS, st.sampled_from(["+=", "-=", "*="]))
def test_sums_and_products_are_those_of_the_written_numbers(old: float, by: float, operator: str) -> None:
    """The nearest double to what fractions give, not to what doubles leave of them."""
    one, other = Fraction(repr(old)), Fraction(repr(by))
    exact = {"+=": one + other, "-=": one - other, "*=": one * other}[operator]
    assert changed(old, operator, by, follow(Rig, ("wheelbase",))) == float(exact)


@given(DECIMALS, DECIMALS)
def test_adding_and_taking_away_gives_the_same_again(old: float, by: float) -> None:
    place = follow(Rig, ("chassis", "cg"))
    there = changed([old, 1], "+=", [by, -by], place)
    assert changed(there, "-=", [by, -by], place) == [old, 1]


def test_changes_are_done_in_their_order(creep: Scenario) -> None:
    pairs = [("ground.slope +=", 5), ("ground.slope *=", 2), ("ground.slope -=", 10), ("ground.slope -=", 10)]
    assert value_at(creep.changed(pairs), "ground.slope") == 40
    assert value_at(creep.changed(dict(pairs)), "ground.slope") == 50  # a mapping has every key once
    assert value_at(creep.changed([("ground.slope", 3), ("ground.slope +=", 1)]), "ground.slope") == 4


def test_a_default_that_follows_another_key_is_changed_from_that(creep: Scenario) -> None:
    """Sliding friction left out is as large as the breakaway friction, itself 0 if left out."""
    plain = creep.changed({"rear.shock.friction": {"breakaway": 0.5}})
    after = plain.changed({"rear.shock.friction.sliding *=": 0.8})
    assert value_at(after, "rear.shock.friction.sliding") == pytest.approx(0.4, rel=1e-12)
    none = creep.changed({"rear.shock.friction": {}})
    assert value_at(none.changed({"rear.shock.friction.sliding +=": 0}), "rear.shock.friction.sliding") == 0


def test_a_number_given_in_another_unit_is_changed_in_the_bench_unit() -> None:
    table = tomllib.loads((SCENARIOS / "slow_creep.toml").read_text(encoding="utf-8"))
    table["ground"] = {"slope": "0.5 rad", "grip": "0.5"}
    table["variants"] = {"more": {"ground.slope +=": 1, "ground.grip +=": 10}}
    more = scenario_of(table, SCENARIOS / "in_radians.toml").variant("more")
    assert more.ground.slope == pytest.approx(0.5 + 3.141592653589793 / 180, rel=1e-12)
    assert more.ground.grip == pytest.approx(0.6, rel=1e-12)


@pytest.mark.parametrize(
    ("setting", "by", "got"),
    [
        ("end.distance +=", 100, "a change of a key that is left out"),
        ("rear.housing.cg +=", [1, 1], "a change of a key that is left out"),
        ("rear.housing.cg.1 +=", 1, "a change of a key that is left out"),
        ("rear.arm.mass +=", 5, "a change of a key that is left out"),
        ("driver.control +=", 1, "a change of something that is no number"),
        ("title *=", 2, "a change of something that is no number"),
        ("rig +=", "rigs/fell.toml", "a change of something that is no number"),
        ("parts *=", 2, "a change of something that is no number"),
        ("without_support +=", True, "a change of something that is no number"),
        ("rear.upper_link.axle +=", 4, "4"),
        ("rear.upper_link.axle +=", [4], "a list of 1"),
        ("rear.upper_link.axle +=", [4, "up"], '"up"'),
        ("ground.slope +=", "5 mm", '"5 mm"'),
        ("ground.slope +=", True, "true"),
        ("ground.slope *=", "5 deg", '"5 deg"'),
        ("ground.slope *=", float("nan"), "nan"),
        ("ground.slope +=", 100, "125 deg"),
        ("ground.slop +=", 1, "an unknown path"),
        ("ground.slope =", 1, "an unknown path"),
        ("ground.slope /=", 1, "an unknown path"),
        ("parts.lead.mass +=", 1, 'the name "lead"'),
        ("parts.batt.mass +=", 1, 'the name "batt"'),
        ("parts.mass +=", 1, 'the name "mass"'),
        ("skids.front.radius +=", 1, "an unknown path"),
        ("parts.3.mass", 1, "an unknown path"),
    ],
)
def test_what_cannot_be_changed_is_told(creep: Scenario, setting: str, by: Any, got: str) -> None:
    with pytest.raises(InputError) as caught:
        creep.changed({setting: by})
    (issue,) = caught.value.issues
    assert issue.got == got
    assert issue.key in (setting, "ground.slope", "rear.upper_link.axle")


def test_an_unknown_name_gives_the_known_ones_and_the_nearest(creep: Scenario) -> None:
    with pytest.raises(InputError) as caught:
        creep.changed({"parts.batery.mass": 100})
    (issue,) = caught.value.issues
    assert issue.must_be == 'one of "battery, three cells", "motor and transmission", "steering servo"'
    assert issue.hint == "battery"


def test_a_path_that_goes_wrong_behind_a_name_names_the_nearest(creep: Scenario) -> None:
    with pytest.raises(InputError) as caught:
        creep.changed({"parts.steering servo.mas": 100})
    assert caught.value.issues[0].hint == "parts.steering servo.mass"


def test_names_with_dots_stand_in_brackets_and_twins_are_counted(creep: Scenario) -> None:
    weights = [{"name": name, "mass": 10, "at": [100, 50]} for name in ("2.2 Ah", "brass", "brass", "1")]
    rig = creep.changed({"parts": weights})
    assert value_at(rig.changed({"parts[2.2 Ah].mass +=": 5}), "parts.0.mass") == 15
    assert value_at(rig.changed({"parts.1.mass +=": 5}), "parts.1.mass") == 15  # a number counts
    with pytest.raises(InputError, match="its number in the list: 1 or 2"):
        rig.changed({"parts.brass.mass": 5})
    with pytest.raises(InputError, match=r'did you mean "parts\[2.2 Ah\].mass"'):
        rig.changed({"parts[2.2 Ah].mas": 5})


@pytest.mark.parametrize(
    ("text", "path", "value"),
    [
        ("parts.battery.at.1-=25", "parts.battery.at.1 -=", 25),
        ("rear.shock.springs.0.rate*=0.8", "rear.shock.springs.0.rate *=", 0.8),
        ("ground.slope += 5", "ground.slope +=", 5),
        ("wheelbase+=0.5 in", "wheelbase +=", "0.5 in"),
        ("ground.slope=-5", "ground.slope", -5),
        ("ground.slope=+5", "ground.slope", 5),
        ("ground.slope -=-5", "ground.slope -=", -5),
        ("rear.upper_link.axle+=[0, 4]", "rear.upper_link.axle +=", [0, 4]),
        ("note=a+=b", "note", "a+=b"),
    ],
)
def test_relative_settings_as_typed(text: str, path: str, value: Any) -> None:
    assert parse_setting(text) == (path, value)


@pytest.mark.parametrize("text", ["+=5", "-=", " *= 2"])
def test_a_relative_setting_needs_a_path(text: str) -> None:
    with pytest.raises(InputError, match="must be path=value"):
        parse_setting(text)


def test_a_typed_decimal_comma_is_told(creep: Scenario) -> None:
    with pytest.raises(InputError, match=r'ground\.slope: got "12,5" with a decimal comma.*"12\.5"'):
        creep.changed([parse_setting("ground.slope=12,5")])


def test_nothing_is_changed_by_nothing() -> None:
    with pytest.raises(RejectedValue, match="left out"):
        changed(None, "+=", 1, follow(Rig, ("wheelbase",)))


def test_all_that_is_wrong_comes_at_once(creep: Scenario) -> None:
    """Also beside a change that cannot be made; what the settings make of the rig together waits."""
    wrong = {
        "ground.slope +=": "12,5",
        "parts.lead.mass": 5,
        "rear.shock.springs.0.rate *=": -1,
        "driveline.ratio": "45:1",
        "wheelbase": 117,  # less than the tyres need
    }
    with pytest.raises(InputError) as caught:
        creep.changed(wrong)
    assert sorted(issue.key for issue in caught.value.issues) == sorted([*wrong][:4])
    with pytest.raises(InputError, match=r"wheelbase: got 117 mm, must be greater than the two tyre radii"):
        creep.changed({"wheelbase": 117})


def test_a_variant_that_no_longer_fits_is_named() -> None:
    creep = load_scenario(SCENARIOS / "slow_creep.toml")
    both = scenario_of(creep.raw | {"variants": {"steep": {"ground.slope +=": 50}}}, creep.path)
    with pytest.raises(InputError) as caught:
        both.changed({"ground.slope": 40}, keep_variants=True).variant("steep")
    (issue,) = caught.value.issues
    assert (issue.key, issue.got) == ('variants.steep."ground.slope +="', "90 deg")
