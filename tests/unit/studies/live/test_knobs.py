"""Knobs: everything of a file that changes the run, by its path, with what the file says of it."""

from pathlib import Path

import pytest

from simcore.files import Scenario, load_scenario
from simcore.studies.live.handles import Hold, handles
from simcore.studies.live.knobs import UNTURNED, Kind, Knob, knobs

SHIPPED = Path(__file__).parents[4] / "scenarios"
SOME = ["launch_vs_creep", "ledge", "trail_launch", "link_layouts", "ice_patch", "grip_and_load"]


def knob(name: str, case: str = "") -> dict[str, Knob]:
    whole = load_scenario(SHIPPED / f"{name}.toml")
    return {one.path: one for one in knobs(whole.variant(case) if case else whole, whole)}


@pytest.mark.parametrize("name", SOME)
def test_every_knob_stands_where_its_path_leads(name: str) -> None:
    whole = load_scenario(SHIPPED / f"{name}.toml")
    case = whole.variant(whole.case_names()[-1])
    found = knobs(case, whole)
    settings = {one.path: one.value for one in found}
    assert len(settings) == len(found) > 150
    assert case.changed(settings).table == case.changed({}).table
    assert all(one.says and one.label and one.group for one in found)
    assert len({(one.group, one.label) for one in found}) == len(found), "no two look alike"


def test_a_turned_knob_changes_that_key_alone() -> None:
    case = load_scenario(SHIPPED / "launch_vs_creep.toml")
    for one in knobs(case):
        if one.reach is not None and one.path.split(".")[-1] in ("rate", "overdrive"):
            other = case.changed({one.path: one.reach.high})
            changed = {
                left.path
                for left, right in zip(knobs(case), knobs(other), strict=True)
                if left.value != right.value
            }
            assert changed == {one.path}


def test_what_is_often_turned_needs_no_search() -> None:
    often = {path for path, one in knob("launch_vs_creep").items() if one.often}
    assert {
        *("ground.slope", "driver.control", "driver.torque.1.0", "driver.torque.1.1", "driver.speed.1.1"),
        *("driveline.overdrive", "rear.tyre.peak_grip", "rear.shock.springs.0.rate", "parts.0.at.1"),
    } <= often
    assert len(often) < 25
    assert "rear.tyre.stiffness" not in often
    varied = {path for path, one in knob("overdrive_slope").items() if one.often}
    whole = load_scenario(SHIPPED / "overdrive_slope.toml")
    assert {path for paths in whole.vary for path in paths.split("+")} <= varied


def test_values_of_other_cases_are_within_reach() -> None:
    reach = knob("ice_patch")["ground.pieces.1.grip"].reach
    assert reach is not None
    found = knob("overdrive_slope")
    for paths, values in load_scenario(SHIPPED / "overdrive_slope.toml").vary.items():
        for path in paths.split("+"):
            ends = found[path].reach
            assert ends is not None and ends.low <= min(values) and ends.high >= max(values)


def test_kinds_choices_and_units() -> None:
    found = knob("launch_vs_creep")
    assert found["driver.control"].choices == ("torque", "speed")  # no throttle table stands by
    assert found["driver.control"].kind is Kind.CHOICE
    assert found["rear.shock.springs.0.hold_ride_height"].kind is Kind.SWITCH
    rate = found["rear.shock.springs.0.rate"]
    assert (rate.unit, rate.said_unit, round(rate.said_factor, 3)) == ("N/mm", "g/mm", 101.972)
    assert (found["rear.tyre.peak_grip"].unit, found["rear.tyre.peak_grip"].said_unit) == ("", "")
    assert found["parts.0.at.1"].label == "battery, three cells, z"
    assert found["driver.torque.1.0"].label == "motor torque, reached after"
    assert found["driver.torque.1.1"].label == "motor torque reached"


def test_a_course_has_no_plane_and_a_ledge_no_slope() -> None:
    found = knob("ledge")
    assert not {"ground.slope", "ground.grip", "ground.pieces.1.slope"} & set(found)
    assert {"ground.pieces.0.slope", "ground.pieces.1.ledge", "ground.pieces.1.grip"} <= set(found)


def test_what_does_not_change_a_run_is_no_knob() -> None:
    for name in SOME[:3]:
        words = {word for path in knob(name) for word in path.split(".")}
        assert not words & (UNTURNED - {"schema"})


@pytest.mark.parametrize("name", ["launch_vs_creep", "trail_launch", "link_layouts"])
def test_handles_are_the_places_of_the_file(name: str) -> None:
    scenario = load_scenario(SHIPPED / f"{name}.toml")
    values = {one.path: one.value for one in knobs(scenario)}
    found = handles(scenario)
    assert len({one.id for one in found}) == len(found)
    for one in found:
        assert tuple(values[path] for path in one.paths) == one.at
        assert one.body in ("chassis", "rear_axle", "front_axle")
    assert {one.hold for one in found} == set(Hold)


def arms() -> Scenario:
    scenario = load_scenario(SHIPPED / "launch_vs_creep.toml")
    return scenario.changed(
        {
            "rear.lower_link": "none",
            "rear.upper_link": "none",
            "rear.arm": {"chassis": [118, 66], "mass": 20},
        }
    )


def test_an_arm_is_taken_by_its_pin() -> None:
    found = {one.id: one for one in handles(arms())}
    assert found["rear.arm.chassis"].at == (118.0, 66.0) and found["rear.arm.chassis"].hold is Hold.LINK
    assert "rear.lower_link.axle" not in found
    assert {"rear.arm.chassis.0", "rear.arm.mass"} <= {one.path for one in knobs(arms())}


def test_a_mount_on_a_link_is_moved_along_it_by_its_knob() -> None:
    scenario = load_scenario(SHIPPED / "trail_launch.toml")
    assert "rear.shock.axle" not in {one.id for one in handles(scenario)}
    assert {"rear.shock.fraction", "rear.shock.link"} <= {one.path for one in knobs(scenario)}


def test_what_drives_stands_before_what_stands_by_and_both_say_so() -> None:
    for case, drives in (("creep at 0.15 m/s", "speed"), ("60 ms punch", "torque")):
        found = [one for one in knob("launch_vs_creep", case).values() if one.group.startswith("Driver")]
        groups = list(dict.fromkeys(one.group for one in found))
        by = {table: f"Driver, while control is {table}" for table in ("speed", "torque")}
        assert groups == ["Driver", by[drives], *(words for table, words in by.items() if table != drives)]
        assert all(one.group == by[one.path.split(".")[1]] for one in found if one.group != "Driver")
