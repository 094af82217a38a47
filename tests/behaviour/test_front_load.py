"""Can link mounts hold the front down on a steep, slow climb? Common practice says so, no source."""

import math
from pathlib import Path

import pytest

import simcore
from simcore.studies.compare import Comparison, compare

STEEP = Path(__file__).parents[2] / "scenarios" / "steep_creep.toml"
GRAMS = 1000.0 / 9.80665
LOW, BASE, HIGH = "axle end 10 mm lower", "link as it is", "axle end 10 mm higher"


@pytest.fixture(scope="module")
def creep() -> Comparison:
    return compare(simcore.load_scenario(STEEP), without_support=True)


def test_the_upper_link_moves_pitch_by_degrees_and_the_front_load_by_grams(creep: Comparison) -> None:
    summaries = {name: run.summary for name, run in creep.runs.items()}
    pitch = {name: summary["pitch_mean_deg"] for name, summary in summaries.items()}
    load = {name: summary["front_load_mean_N"] * GRAMS for name, summary in summaries.items()}
    assert pitch[LOW] - pitch[HIGH] > 1.0
    assert max(load.values()) - min(load.values()) < 10.0 < 0.02 * load[BASE]


def test_more_support_does_not_press_the_front_down(creep: Comparison) -> None:
    """It holds the rear up, and with it the centre of mass: higher over a slope, so a little further back on
    the rear tyres. The front tyres carry less, not more.
    """
    rows = [creep.runs[name].summary for name in (LOW, BASE, HIGH)]
    supports = [row["rear_support_pct"] for row in rows]
    loads = [row["front_load_mean_N"] for row in rows]
    assert supports == sorted(supports) and supports[2] - supports[0] > 20.0
    assert loads == sorted(loads, reverse=True)
    for row in rows:
        assert -20.0 < row["support_front_load_g"] < 0.0


def test_the_difference_is_the_shift_of_the_centre_of_mass(creep: Comparison) -> None:
    """By moments about the rear foot: N L = W (x cos(th) - h sin(th)) less what rolling resistance takes."""
    slope = math.radians(35.0)
    along, up = (math.cos(slope), math.sin(slope)), (-math.sin(slope), math.cos(slope))
    by_moments, found, shift = [], [], []
    for name in (LOW, HIGH):
        run = simcore.simulate(creep.scenario.variant(name))
        state, led, rig = run.trace.states[-1], run.trace.ledgers[-1], run.trace.model.rig
        masses = [float(rig.chassis.mass), *(float(axle.body.mass) for axle in rig.axle)]
        weights = [mass * 9.80665 for mass in masses]
        feet = [axle.tyre.contact.foot for axle in led.axle]
        moment = 0.0
        for weight, pose in zip(weights, state.pose, strict=True):
            x = (pose.x - feet[0].x) * along[0] + (pose.z - feet[0].z) * along[1]
            h = (pose.x - feet[0].x) * up[0] + (pose.z - feet[0].z) * up[1]
            moment += weight * (x * math.cos(slope) - h * math.sin(slope))
        by_moments.append(moment / math.hypot(feet[1].x - feet[0].x, feet[1].z - feet[0].z))
        found.append(run.series["front_load_N"].iloc[-1])
        shift.append(run.series["budget_cg_shift_N"].iloc[-1])
    assert found[0] - found[1] == pytest.approx(by_moments[0] - by_moments[1], rel=0.03)
    assert shift[0] - shift[1] == pytest.approx(found[0] - found[1], rel=0.05)
