"""Runs in which grip falls with load and drive shafts resist sliding in MuJoCo, as in `test_mujoco_runs`.

Both laws are written a second time in `mujoco_laws`, from their equations: both grips times (load /
reference)^-n, the load never below 5 % of the reference; friction mu |T|/r along the line of a shaft's
joints, T the torque at the wheels over the shaft's ratio, with bristles that bend by 0.02 or 0.05 mm. A
shaft is a tendon between its joints, so MuJoCo finds its length, its rate and where its force acts. In most
runs both laws are switched on at both ends; of the rear tyres the file states the load of the grips, of the
front ones the level load counts. Largest difference of all: 1e-5 of a signal's range."""

import numpy as np
import pytest
from mujoco_witness import SAME, Case, largest, run_of, shares
from sparing import few

FALLS = {
    "rear.tyre.grip_load_exponent": 0.25,
    "rear.tyre.grip_load": 320,
    "front.tyre.grip_load_exponent": 0.15,
    "front.tyre.grip_load": "none",
}
SHAFTS = {
    "rear.shaft": {
        "chassis": [116, 102],
        "axle": [24, 60],
        "ratio": 2.6,
        "friction": 0.2,
        "spline_radius": 3.5,
        "presliding": 0.05,
    },
    "front.shaft": {
        "chassis": [196, 106],
        "axle": [290, 66],
        "ratio": 2.2,
        "friction": 0.3,
        "spline_radius": 4,
    },
}
BOTH = FALLS | SHAFTS
EVEN = {"rear.tyre.grip_load_exponent": 0, "front.tyre.grip_load_exponent": 0}
FREE = {"rear.shaft.friction": 0, "front.shaft.friction": 0}
ARMS = {
    f"{side}.{key}": value
    for side, pin in (("rear", [118, 66]), ("front", [197, 70]))
    for key, value in (("lower_link", "none"), ("upper_link", "none"), ("arm", {"chassis": pin, "mass": 24}))
}
SHORT = {"end.duration": 0.3}
STEEP = SHORT | {"ground.slope": 25, "driver.torque": [[0, 0], [0.06, 34], [0.16, 12], [0.2, 30]]}
END = {"length": 3000}


def creep(speed, duration, *pieces):
    """A rig that drives at a held speed (m/s) over a course."""
    held = {"driver.speed": [[0, 0], [0.1, speed]], "skids": []}
    return {"end.duration": duration, "ground.slope": 0, "ground.pieces": list(pieces)} | held


LEDGE = creep(0.3, 0.8, {"length": 400}, {"ledge": 30, "grip": 90}, END | {"grip": 80})
CREST = creep(0.3, 0.6, {"length": 350, "slope": 20}, END | {"slope": -5, "grip": 90})
DROP = creep(1.2, 0.8, {"length": 450}, {"ledge": -60}, END)
CASES = {
    "all-wheel drive": Case("punchy_launch", STEEP | BOTH, (1e-5,)),
    "rear drive": Case("punchy_launch", SHORT | BOTH | {"driveline.drive": "rear"}, (1e-5,)),
    "front drive": Case("punchy_launch", SHORT | BOTH | {"driveline.drive": "front"}, (1e-5,)),
    "arms": Case("punchy_launch", STEEP | BOTH | ARMS, (1e-5,)),
    "shocks on links": Case("trail_launch", SHORT | BOTH, (1e-5,)),
    "up a ledge": Case("slow_creep", LEDGE | BOTH, (1e-5,)),
    "over a crest": Case("slow_creep", CREST | BOTH, (1e-5,)),
    "down a drop at speed": Case("slow_creep", DROP | BOTH, (1e-5,)),
    "grip alone": Case("punchy_launch", STEEP | FALLS | FREE, (1e-5,)),
    "shafts alone": Case("punchy_launch", STEEP | SHAFTS | EVEN, (1e-5,)),
}
NOTICED = [
    (case, force) for case in ("all-wheel drive", "arms", "up a ledge") for force in ("fall", "spline")
]
MOVED = [
    ("all-wheel drive", "rear.shaft.chassis", (116, 103)),
    ("all-wheel drive", "front.shaft.axle", (290, 67)),
    ("rear drive", "rear.shaft.ratio", 2.626),
    ("front drive", "front.shaft.spline_radius", 4.04),
    ("arms", "front.shaft.friction", 0.297),
    ("all-wheel drive", "rear.tyre.grip_load", 324),
    ("all-wheel drive", "front.tyre.grip_load", 410),  # instead of the level load
    ("grip alone", "rear.tyre.grip_load", 640),  # as if it were of both tyres
    ("up a ledge", "front.tyre.grip_load_exponent", 0),
    ("all-wheel drive", "driveline.shaft_mass", 20),
]


@pytest.mark.parametrize("case", few(CASES, 2))
def test_mujoco_sees_the_same_run(case):
    run = run_of(CASES[case])
    assert run.sound
    assert run.series["skid_load_N"].max() == 0.0  # the witness has no skids
    witness, own = shares(CASES[case])
    np.testing.assert_allclose(witness, own, rtol=0.0, atol=SAME)


@pytest.mark.parametrize("case", few(CASES))
def test_the_tolerances_as_shipped_hold_within_a_hundredth(case):
    witness, own = shares(CASES[case], solver="as shipped")
    np.testing.assert_allclose(witness, own, rtol=0.0, atol=0.01)


@pytest.mark.parametrize(("case", "force"), few(NOTICED))
def test_a_force_the_wrong_way_round_is_noticed(case, force):
    """Grip that rises with load, splines that push where they should pull."""
    try:
        off = largest(CASES[case], wrong=((force, -1.0),)).max()
    except FloatingPointError:
        return  # the rig was thrown out of all bounds
    assert off > 0.1


@pytest.mark.parametrize(("case", "force"), few(NOTICED[1:]))
def test_a_force_a_hundredth_too_small_is_noticed(case, force):
    """The exponent of the load, the friction of the splines."""
    assert largest(CASES[case], wrong=((force, 0.99),)).max() > 2.0 * SAME


@pytest.mark.parametrize(("case", "key", "value"), few(MOVED))
def test_another_rig_is_noticed(case, key, value):
    """A joint a millimetre off, ratio, radius or friction a hundredth off, another load or exponent of grip,
    two grams more of shafts, which lie half at either joint.
    """
    assert largest(CASES[case], moved=((key, value),)).max() > 2.0 * SAME


def test_the_splines_stick_and_slide():
    """So that both sides of the law are asked: at rest they bear less than their level, on the ledge all."""
    bent = np.abs(run_of(CASES["up a ledge"]).trace.states["slide_bristle"][:, 1]) / 2e-5
    assert (bent < 0.5).mean() > 0.1 < (bent > 0.99).mean()
    friction = run_of(CASES["up a ledge"]).series["front_shaft_friction_N"]
    assert friction.min() < -2.0 and friction.max() > 2.0


def test_loads_leave_their_references():
    """In the air far below 5 % of them, after the drop at several times of them."""
    run = run_of(CASES["down a drop at speed"])
    references = [0.32 * 2.0 * 9.80665, run.series["front_load_N"].iloc[0]]
    for side, reference in zip(("rear", "front"), references, strict=True):
        load = run.series[f"{side}_load_N"] / reference
        assert load.min() == 0.0 and load.max() > 3.0
        assert ((load > 0.0) & (load < 0.05)).any()
