"""Whatever a refused start names as a help lets the rig stand when it is done, each help by itself."""

import copy
import math
import re
from typing import Any

import pytest
from sparing import few
from standing_grid import SHIPPED, SIDES, random_rig, scenario, shipped

from simcore.errors import InputError
from simcore.files import Scenario
from simcore.rig.masses import static_pose
from simcore.rig.model import build
from simcore.solve.refusal import CannotStand, NoStand
from simcore.solve.settle import settle

GRIPPY = {"peak_grip": 3.0, "sliding_grip": 2.7, "slip_stiffness": 30.0}
RANDOM = 12
HELPS = (
    r"ground\.(slope) no steeper than (\d+) deg",
    r"ground\.(grip) at least (\d+) %",
    r"motor\.(brake_torque) at least (\d+) N\*mm",
    r"driver\.(brake) at least (\d+) % at the start",
    r"its centre of mass (\d+) mm (?:further )?(forward|back|lower)",
)
WORD = "|".join(f"(?:{help})" for help in HELPS)


def refusal(asked: Scenario) -> CannotStand | None:
    try:
        settle(asked, build(asked))
    except CannotStand as error:
        return error
    return None


def helped(asked: Scenario, help: str, slope: float) -> Scenario:
    """The scenario with what a help says, in which "and" joins what goes together."""
    settings: dict[str, Any] = {}
    for part in help.split(" and "):
        words = re.fullmatch(WORD, part)
        assert words is not None, part
        one, other = (word for word in words.groups() if word)
        if one == "slope":
            settings["ground.slope"] = math.copysign(float(other), slope)
        elif one == "brake":
            settings["driver.brake"] = [[0, float(other)]]
        elif one in ("grip", "brake_torque"):
            settings[{"grip": "ground.grip"}.get(one, f"motor.{one}")] = float(other)
        else:  # the whole rig's centre of mass, moved by what the chassis carries
            times = static_pose(asked.rig, "x").whole.mass / asked.rig.chassis.mass
            axis, way = {"forward": (0, "+="), "back": (0, "-="), "lower": (1, "-=")}[other]
            settings[f"chassis.cg.{axis} {way}"] = float(one) * times
    return asked.changed(settings)


def all_helps_work(asked: Scenario, slope: float) -> set[str]:
    """Do what a refusal says; give what was done, the numbers left out."""
    error, done = refusal(asked), set()
    if error is None:
        return done
    (issue,) = error.issues
    assert error.why is not NoStand.NOT_FOUND, issue
    for help in issue.must_be.split("; or "):
        after = refusal(helped(asked, help, slope))
        assert after is None, f"{slope:g} deg, {help}: {issue.got}; but now {after}"
        done.add(re.sub(r"\d+", "N", help))
    return done


@pytest.mark.parametrize("name", few(SHIPPED))
def test_shipped_rigs_stand_with_what_is_named(name: str) -> None:
    """Sliding on their own tyres (sticky ones worn), tipping on sticky ones, rolling against a weak brake."""
    done = set()
    for variant in ("as built", "no front springs", "soft rear"):
        rig = shipped(name, variant)
        grippy, idle = copy.deepcopy(rig), copy.deepcopy(rig)
        for side in SIDES:
            grippy[side]["tyre"] |= GRIPPY
            for key, most in (("peak_grip", 1.05), ("sliding_grip", 0.95)):
                rig[side]["tyre"][key] = min(rig[side]["tyre"][key], most)
        grippy["motor"]["brake_torque"] = 5000
        idle["motor"] |= {"brake_torque": 2, "no_load_current": 0}
        for slope in (-60, 50):
            done |= all_helps_work(scenario(rig, slope), slope)
        for slope in (-75, -62, 64, 75):
            done |= all_helps_work(scenario(grippy, slope), slope)
        for slope in (-35, 20):
            done |= all_helps_work(scenario(idle, slope), slope)
    assert {
        "ground.slope no steeper than N deg",
        "ground.grip at least N %",
        "motor.brake_torque at least N N*mm",
    } <= done


def can_be_built(asked: Scenario) -> bool:
    try:
        build(asked)
    except InputError:
        return False
    return True


def test_random_rigs_stand_with_what_is_named() -> None:
    drawn = [(scenario(random_rig(i), slope), slope) for i in range(RANDOM) for slope in (-55, -30, 25, 55)]
    done = [all_helps_work(asked, slope) for asked, slope in drawn if can_be_built(asked)]
    assert sum(map(bool, done)) > RANDOM


@pytest.mark.parametrize(("share", "torque"), [(0, 50), (20, 50), (50, 12), (0, 12)])
def test_a_brake_that_is_not_pulled_is_told_before_one_that_is_too_weak(share: float, torque: float) -> None:
    rig = copy.deepcopy(SHIPPED["gully"])
    rig["motor"] |= {"no_load_current": 0, "brake_torque": torque}
    driver = {"control": "torque", "torque": [[0, 0]], "brake": [[0, share]]}
    done = all_helps_work(scenario(rig, 30, driver=driver), 30)
    assert any("driver.brake at least N % at the start" in help for help in done)
    assert any("motor.brake_torque" in help for help in done) is (torque < 20)


def test_ice_is_told_as_grip_of_the_ground() -> None:
    asked = scenario(SHIPPED["gully"], 25, ground={"slope": 25, "grip": 20})
    assert all_helps_work(asked, 25) >= {"ground.grip at least N %"}


def test_on_a_course_of_pieces_grip_is_told_as_a_share() -> None:
    pieces = [{"length": 2000, "slope": 48, "grip": 90}]
    rig = copy.deepcopy(SHIPPED["gully"])
    rig["motor"]["brake_torque"] = 5000
    asked = scenario(rig, 48, ground={"pieces": pieces})
    error = refusal(asked)
    assert error is not None
    times = re.fullmatch(r"([\d.]+) times the grip", error.issues[0].must_be)
    assert times is not None
    assert refusal(asked.changed({"ground.pieces.0.grip *=": float(times[1])})) is None
    assert refusal(asked.changed({"ground.pieces.0.grip *=": 0.95 * float(times[1])})) is not None
