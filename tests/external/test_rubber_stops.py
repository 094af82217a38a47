"""A mass thrown on a rubber stop: where the rubber begins, how deep it goes, how fast it comes back.

K. H. Hunt and F. R. E. Crossley, J. Applied Mechanics 42, 1975 (from memory): a contact F = f(x) (1 + c v)
gives back the share 1 - (2/3) c v of a slow impact speed v, whatever f is. For any speed m v dv = -f (1 + c
v) dx parts into speeds and depth, so that c v - ln(1 + c v) is the same on the way in and on the way out. How
deep it goes without damping follows from the energy of a rubber that is stated by its rate k when touched and
twice the force at its length l: m v^2/2 is the integral of k x (1 + (x/l)^2) dx.
"""

import math
from typing import Any

import numpy as np
import pytest
from scipy.integrate import solve_ivp
from scipy.optimize import brentq

from simcore.compiled import SHOCK, SHOCK_LEDGER, ShockRecord, blank
from simcore.laws.shock import shock_forces

MASS, STROKE = 0.7, 0.030  # kg, m
RUBBER = {"bump": (0.004, 8000.0), "droop": (0.003, 5000.0)}  # length m, rate N/m


def shock(damping: float) -> ShockRecord:
    """Shocks with stops and nothing else."""
    record = blank(SHOCK)[0]
    record.stroke = STROKE
    record.friction.presliding = 1e-4
    for stop, (length, rate) in zip((record.bump_stop, record.droop_stop), RUBBER.values(), strict=True):
        stop.length, stop.rate, stop.damping = length, rate, damping
    return record


def thrown(end: str, damping: float, speed: float) -> Any:
    """Motion (travel, speed) of the mass thrown at a stop from the middle of the stroke; it ends there."""
    record, led = shock(damping), blank(SHOCK_LEDGER)[0]
    way = 1.0 if end == "bump" else -1.0

    def rate(_t: float, y: Any) -> list[float]:
        shock_forces(led, record, y[0], y[1], 0.0)
        return [y[1], -float(led.force) / MASS]

    def back(_t: float, y: Any) -> float:
        return way * (y[0] - 0.5 * STROKE)

    def deepest(_t: float, y: Any) -> float:
        return float(y[1])

    back.terminal, back.direction = True, -1.0  # type: ignore[attr-defined]
    start = [0.5 * STROKE + way * 1e-9, way * speed]
    found = solve_ivp(
        rate, (0.0, 3.0), start, "DOP853", rtol=1e-10, atol=1e-13, max_step=1e-3, events=(back, deepest)
    )
    assert found.status == 1
    return found


def kept(c: float, speed: float) -> float:
    """Speed on the way out."""

    def excess(out: float) -> float:
        return (-c * out - math.log1p(-c * out)) - (c * speed - math.log1p(c * speed))

    return float(brentq(excess, 1e-6 / c, (1.0 - 1e-9) / c))


@pytest.mark.parametrize("end", RUBBER)
@pytest.mark.parametrize("speed", [0.05, 0.3])
def test_how_deep_it_goes(end: str, speed: float) -> None:
    length, rate = RUBBER[end]
    touch = STROKE - length if end == "bump" else length
    found = thrown(end, 0.0, speed)
    share = math.sqrt(math.sqrt(1.0 + 2.0 * MASS * speed**2 / (rate * length**2)) - 1.0)
    depth = abs(found.y_events[1][0][0] - touch)
    assert depth == pytest.approx(share * length, rel=1e-6)
    assert abs(found.y[1, -1]) == pytest.approx(speed, rel=1e-8)


@pytest.mark.parametrize("end", RUBBER)
@pytest.mark.parametrize(("damping", "speed"), [(0.5, 0.4), (2.0, 0.4), (2.0, 1.0)])
def test_how_fast_it_comes_back(end: str, damping: float, speed: float) -> None:
    found = abs(thrown(end, damping, speed).y[1, -1])
    assert found == pytest.approx(kept(damping, speed), rel=1e-6)


@pytest.mark.parametrize("end", RUBBER)
def test_a_slow_impact_keeps_what_hunt_and_crossley_say(end: str) -> None:
    """The next term is of the order (c v)^2, 4/9 of it."""
    damping, speed = 0.5, np.array([0.05, 0.10])
    lost = np.array([1.0 - abs(thrown(end, damping, v).y[1, -1]) / v for v in speed])
    assert lost == pytest.approx(2.0 / 3.0 * damping * speed, abs=0.5 * (damping * speed[1]) ** 2)
