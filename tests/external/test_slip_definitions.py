"""Slip as the program states it, against both definitions of the books.

Drive slip i = 1 - v/(w r) (J. Y. Wong, Theory of Ground Vehicles, from memory) and longitudinal slip kappa =
(w R_e - v)/v (the form of ISO 8855 and SAE J670, seen in public copies) belong together by kappa = i/(1 - i):
0.05 and 0.047619, 0.25 and 0.2, 1 and 0.5 (recomputed). The program divides by the faster of tread and
ground, so that no slip is beyond 1: it is Wong's when the tyre drives and kappa when it brakes, -1 locked.
"""

import math

import pytest
from rigs import FREE, ledgers_of, scenario, textbook_rig

from simcore.rig.model import build
from simcore.rig.preload import bench_state

MODEL = build(scenario(textbook_rig(300.0, (150.0, 80.0), 2000.0, 10000.0), FREE))


def slip(ground_speed: float, tread_speed: float) -> float:
    """Slip of the rear tyres of a rig that moves as a whole along the level, -."""
    state = bench_state(MODEL.bench).copy()
    still = ledgers_of(MODEL, [0.0], state.reshape(1).view(float).reshape(1, -1))
    for body in range(3):
        state.rate[body].x = ground_speed
    state.spin[0] = tread_speed / still["axle"]["tyre"]["rolling_radius"][0, 0]
    moving = ledgers_of(MODEL, [0.0], state.reshape(1).view(float).reshape(1, -1))
    return float(moving["axle"]["tyre"]["slip"][0, 0])


@pytest.mark.parametrize(("kappa", "drive"), [(0.05, 0.047619), (0.25, 0.2), (1.0, 0.5)])
def test_a_driving_tyre_has_drive_slip(kappa: float, drive: float) -> None:
    assert slip(1.0, 1.0 + kappa) == pytest.approx(drive, abs=5e-7)


@pytest.mark.parametrize("kappa", [-0.05, -0.25, -1.0])
def test_a_braking_tyre_has_longitudinal_slip(kappa: float) -> None:
    assert slip(1.0, 1.0 + kappa) == pytest.approx(kappa, abs=5e-7)


def test_going_backward_turns_the_sign() -> None:
    assert slip(-1.0, -1.25) == pytest.approx(-0.2, abs=5e-7)


def test_spinning_on_the_spot_is_all_slip_and_rest_is_none() -> None:
    """Where kappa has no value; below 20 mm/s slip is stated against 20 mm/s."""
    assert (slip(0.0, 1.0), slip(0.0, 0.0)) == (pytest.approx(1.0), 0.0)
    assert math.isclose(slip(0.0, 0.01), 0.5)
