"""Are the limits that the search finds for other numbers than the slope those of statics?

All-wheel drive with equal tyres climbs a slope th as long as grip >= tan th; a motor at the end of its torque
holds M g sin th = torque * ratio * efficiency / R (R. N. Jazar, Vehicle Dynamics: Theory and Application,
Springer 2008, eq 2.68 and the loads on a grade).
"""

import math
from pathlib import Path
from runpy import run_path
from typing import Any

import pytest

import simcore
from simcore.results.headlines.ranges import Ending
from simcore.studies.ranges import Range

STEEPEST = run_path(str(Path(__file__).with_name("test_steepest_slope.py")))
RIGS, firm_rig, LOW, CREEP = (STEEPEST[name] for name in ("RIGS", "firm_rig", "LOW", "CREEP"))
GRAVITY = RIGS["GRAVITY"]
SLOPE = 20.0  # deg


def range_of(rig: dict[str, Any], find: str, slope: float = SLOPE) -> Range:
    """The range of a number with which a rig creeps 60 mm up a slope."""
    driver = {"control": "speed", "speed": CREEP}
    scenario = RIGS["scenario"](rig, driver, ground={"slope": slope}, end={"duration": 5, "distance": 60})
    result = simcore.find_limit(scenario, find=find)
    assert result.concerns == [] and isinstance(result, simcore.Ranges)
    (found,) = result.ranges.values()
    return found


def test_the_least_grip_is_the_tangent_of_the_slope():
    """tan 20 deg = 0.364, of tyres of grip 1: found to 0.1 % of grip, and as much again for what gives."""
    found = range_of(firm_rig(**LOW, peak_grip=1.0, sliding_grip=1.0), "ground.grip=25:60:5")
    wanted = 100.0 * math.tan(math.radians(SLOPE))
    assert found.low.beyond - 0.1 <= wanted <= found.low.done + 0.1
    assert found.low.done - found.low.beyond <= 0.1
    assert found.low.ending is Ending.FAILS and found.low.cause == "SLIDES"  # nor can it stand there, braked
    assert found.high.ending is Ending.RANGE_ENDS


def test_a_weak_motor_carries_so_much_mass_and_no_more():
    """Torque 3 A / kv, 20:1, 80 %, 50 mm: M = force / (g sin 20 deg); chassis as much of it as it is now."""
    rig = firm_rig(**LOW)
    rig["driveline"]["efficiency"] = 80
    rig["motor"]["current_limit"] = 3.0
    force = 60 / (2 * math.pi * 1000) * 3.0 * 20 * 0.8 / 0.05  # N
    most = 1000.0 * force / (GRAVITY * math.sin(math.radians(SLOPE)))  # g
    chassis = rig["chassis"]["mass"]
    rest = 2000.0 - chassis  # of the textbook rig of 2 kg
    found = range_of(rig, f"chassis.mass={chassis:.0f}:{chassis + 1500:.0f}:100")
    assert found.high.done - 0.005 * most <= most - rest <= found.high.beyond + 0.005 * most
    assert found.high.cause == "MOTOR_TOO_WEAK"


def test_the_slope_is_the_same_for_both_searches():
    """tan th = 0.5, published as 26.57 deg; here by the scenario's own goal, not by the rules for slopes."""
    found = range_of(firm_rig(**LOW, peak_grip=0.5, sliding_grip=0.5), "ground.slope=0:40:5", slope=10.0)
    assert found.high.done - 0.1 <= math.degrees(math.atan(0.5)) <= found.high.beyond + 0.1


@pytest.mark.parametrize("side", ["low", "high"])
def test_the_edge_lies_between_a_run_that_does_its_job_and_one_that_does_not(side: str):
    """Both sides once more, from the front door: the shipped rig with less grip, or on a steeper slope."""
    base = simcore.load_scenario(Path(__file__).parents[2] / "scenarios" / "slow_creep.toml")
    find = {"low": "ground.grip=40:80:10", "high": "ground.slope=20:60:10"}[side]
    (found,) = simcore.find_limit(base, find=find).ranges.values()
    end, path = getattr(found, side), find.partition("=")[0]
    jobs = [simcore.simulate(base.changed({path: value})).summary["job"] for value in (end.done, end.beyond)]
    assert jobs == ["DONE", "NOT_DONE"]
