"""Slopes and accelerations that end a climb, in closed form.

Sources: R. N. Jazar, Vehicle Dynamics (Springer 2008): rear drive tan th = mu a1/(L - mu h), front drive
tan th = mu a2/(L + mu h), both tan th = mu (eq 2.68, 2.86), tip-back tan th = a2/h (exercises 46, 48), seen
in a stored copy. A worked problem with mu = 0.5, 0.875 m + 1.8 m and h = 0.475 m gives 10.18, 17.17 and
26.57 deg (seen, two posters; recomputed 10.1755, 17.1718, 26.5651). Wheelies: wheelbase 146 cm, h = 78.5
cm, mass in the middle gives 9.12268 m/s^2 at g = 9.81; 156 cm and 77.5 cm gives 9.86 at 9.8 (both seen,
recomputed 9.12268 and 9.8632).

One published answer is wrong because it leaves out how load moves between the axles: a rear-driven car of L
= 2.5 m and h = 0.5 m with 60 % on its rear axle and mu = 0.7 is said to climb asin(0.7) = 44.4 deg; by
Jazar's form above it is atan(0.7 x 1.5/(2.5 - 0.35)) = 26.03 deg.
"""

import math
from typing import Any

import pytest
from rigs import AT_REST, GRAVITY, scenario, textbook_rig
from scipy.optimize import brentq

from simcore.rig.model import build
from simcore.standing.limits import StandingLimits, slip_slope, standing_limits
from simcore.standing.stand import stand


def limits(span: float, cg: tuple[float, float], grip: float = 1.0, **keys: Any) -> StandingLimits:
    rig = textbook_rig(span, cg, 1500.0, 5000.0, peak_grip=grip, sliding_grip=grip)
    rig["driveline"] |= keys
    return stand(scenario(rig, AT_REST)).limits


@pytest.mark.parametrize(("drive", "own"), [("rear", 10.1755), ("front", 17.1718), ("all", 26.5651)])
def test_published_grades(drive: str, own: float) -> None:
    """The problem's vehicle at a tenth of its size."""
    found = limits(267.5, (180.0, 47.5), 0.5, drive=drive)
    assert math.degrees(found.slip_slope_rear) == pytest.approx(10.1755, abs=0.002)
    assert math.degrees(found.slip_slope_front) == pytest.approx(17.1718, abs=0.002)
    assert math.degrees(found.slip_slope_all) == pytest.approx(26.5651, abs=0.002)
    assert math.degrees(found.slip_slope_own) == pytest.approx(own, abs=0.002)


def test_load_that_moves_back_is_not_all_of_it() -> None:
    """Where a published answer says 44.4 degrees; a tenth of its size."""
    found = limits(250.0, (100.0, 50.0), 0.7, drive="rear")
    assert math.degrees(found.slip_slope_own) == pytest.approx(26.03, abs=0.005)


@pytest.mark.parametrize(
    ("span", "height", "published", "gravity"), [(292.0, 157.0, 9.12268, 9.81), (312.0, 155.0, 9.8632, 9.8)]
)
def test_published_wheelies(span: float, height: float, published: float, gravity: float) -> None:
    """A fifth of the size; accelerations stay."""
    found = limits(span, (span / 2, height))
    assert found.wheelie_acceleration / GRAVITY == pytest.approx(published / gravity, rel=1e-4)
    assert math.degrees(found.tip_back_slope) == pytest.approx(
        math.degrees(math.atan(span / 2 / height)), abs=0.01
    )


def test_a_crawler_tips_back_at_65_degrees() -> None:
    """a2 = 172.308 mm, h = 81.5385 mm: 64.68 deg and 20.73 m/s^2 at g = 9.81 (own numbers, recomputed)."""
    found = limits(320.0, (172.308, 81.5385))
    assert math.degrees(found.tip_back_slope) == pytest.approx(64.68, abs=0.01)
    assert found.wheelie_acceleration * 9.81 / GRAVITY == pytest.approx(20.73, abs=0.005)


@pytest.mark.parametrize("grips", [(1.1, 0.6), (0.4, 0.9), (0.7, 0.0), (0.0, 0.7)])
def test_different_grips_against_the_axle_loads(grips: tuple[float, float]) -> None:
    """The slope at which both axles at their grip just hold the weight, by Jazar's loads (2.121)-(2.130)."""
    ahead, behind, height = 0.14, 0.18, 0.08
    span = ahead + behind

    def spare(slope: float) -> float:
        c, s = math.cos(slope), math.sin(slope)
        rear, front = (ahead * c + height * s) / span, (behind * c - height * s) / span
        return grips[0] * rear + grips[1] * front - s

    assert slip_slope(grips, ahead, behind, height) == pytest.approx(brentq(spare, 0.0, 1.4), abs=1e-9)


def test_grip_that_never_slips() -> None:
    """Rear drive with L < mu h: the steeper, the more the rear tyres carry."""
    assert slip_slope((3.0, 0.0), 0.1, 0.1, 0.1) == math.inf


def test_ground_with_half_the_grip_slips_as_tyres_with_half() -> None:
    rig = textbook_rig(267.5, (180.0, 47.5), 1500.0, 5000.0, peak_grip=1.0, sliding_grip=1.0)
    model = build(scenario(rig, AT_REST, ground={"grip": 50}))
    assert math.degrees(standing_limits(model).slip_slope_rear) == pytest.approx(10.1755, abs=0.002)


def test_the_fall_of_grip_does_not_count() -> None:
    """A standing tyre holds the stated peak, whatever is left of it when it slides: tan 45 deg = 1."""
    rig = textbook_rig(267.5, (180.0, 47.5), 1500.0, 5000.0, peak_grip=1.0, sliding_grip=0.8)
    found = standing_limits(build(scenario(rig, AT_REST)))
    assert math.degrees(found.slip_slope_all) == pytest.approx(45.0, abs=1e-9)
