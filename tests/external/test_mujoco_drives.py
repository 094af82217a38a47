"""Runs with one driven axle and with arms in MuJoCo, on one plane, as in `test_mujoco_runs`."""

import numpy as np
import pytest
from mujoco_witness import SAME, Case, largest, run_of, shares
from sparing import few

SHORT = {"end.duration": 0.3}
ARMS = {
    side: {
        f"{side}.lower_link": "none",
        f"{side}.upper_link": "none",
        f"{side}.arm": {"chassis": pin, "mass": 24},
    }
    for side, pin in (("rear", [118, 66]), ("front", [197, 70]))
}
STEEP = {"ground.slope": 25, "driver.torque": [[0, 0], [0.06, 34], [0.16, 12], [0.2, 30]]}
REVERSE = {"ground.slope": 0, "driver.torque": [[0, 0], [0.05, -25], [0.2, -5]]}
LEFT = {"driveline.drive": "rear"}
# where one axle holds the rig on the slope its gears stand under more load, hence the finer steps
CASES = {
    "rear drive": Case("punchy_launch", SHORT | LEFT, (1e-5,)),
    "front drive": Case("punchy_launch", SHORT | {"driveline.drive": "front"}, (1e-5,)),
    "front drive backwards": Case("punchy_launch", SHORT | REVERSE | {"driveline.drive": "front"}, (1e-5,)),
    "arms at both ends": Case("punchy_launch", SHORT | STEEP | ARMS["rear"] | ARMS["front"], (1e-5,)),
    "rear arm, front links": Case("punchy_launch", SHORT | STEEP | ARMS["rear"], (1e-5,)),
    "rear drive on an arm": Case("punchy_launch", SHORT | LEFT | ARMS["rear"], (1e-5,)),
}
MOVED = [
    ("rear drive", "driveline.drive", "front"),
    ("rear drive", "driveline.drive", "all"),
    ("front drive", "driveline.drive", "all"),
    ("front drive", "driveline.overdrive", 5.9),
    ("front drive backwards", "driveline.drive", "rear"),
    ("rear arm, front links", "rear.arm.chassis", [118, 67]),
    ("arms at both ends", "front.arm.chassis", [198, 70]),
    ("rear drive on an arm", "rear.arm.mass", 26),
]
WEAKER = [("rear drive", "thrust"), ("front drive", "twist"), ("arms at both ends", "spring")]


@pytest.mark.parametrize("case", few(CASES, 3))
def test_mujoco_sees_the_same_run(case):
    run = run_of(CASES[case])
    assert run.series["skid_load_N"].max() == 0.0  # the witness has no skids
    witness, own = shares(CASES[case])
    np.testing.assert_allclose(witness, own, rtol=0.0, atol=SAME)


@pytest.mark.parametrize("case", few(CASES))
def test_the_tolerances_as_shipped_hold_within_a_hundredth(case):
    witness, own = shares(CASES[case], solver="as shipped")
    np.testing.assert_allclose(witness, own, rtol=0.0, atol=0.01)


@pytest.mark.parametrize("drive", ["rear", "front"])
def test_the_axle_without_drive_is_dragged_along(drive):
    """So that the drives differ at all: the other axle's tyres only roll and spin their wheels up."""
    series = run_of(CASES[f"{drive} drive"]).series.iloc[-1]
    dragged = "front" if drive == "rear" else "rear"
    assert series[f"{dragged}_wheel_torque_Nm"] == 0.0
    assert series[f"{dragged}_thrust_N"] < 0.0
    assert series[f"{drive}_thrust_N"] > 5.0 * abs(series[f"{dragged}_thrust_N"])


@pytest.mark.parametrize(("case", "key", "value"), few(MOVED))
def test_another_rig_is_noticed(case, key, value):
    """A wrong driven axle, an overdrive a tenth of a point off, a pin a millimetre off, two grams."""
    try:
        off = largest(CASES[case], moved=((key, tuple(value) if isinstance(value, list) else value),)).max()
    except FloatingPointError:
        return  # the rig was thrown out of all bounds
    assert off > 2.0 * SAME


@pytest.mark.parametrize(("case", "force"), few(WEAKER))
def test_a_force_a_hundredth_too_small_is_noticed(case, force):
    assert largest(CASES[case], wrong=((force, 0.99),)).max() > 2.0 * SAME
