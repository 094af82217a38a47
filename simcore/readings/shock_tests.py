"""Spring rate, friction and damping of one shock, from weights, ruler and stopwatch."""

from collections.abc import Sequence
from math import log, pi, sqrt
from typing import NamedTuple

import numpy as np
from scipy.optimize import brentq
from uncertainties import umath

from simcore.readings.uncertain import Number, error_of, numerically, value_of
from simcore.units import GRAVITY

Row = tuple[Number, Number]
"""Mass on the shock, kg, and how far it is pushed in, m."""


class Weighed(NamedTuple):
    """What weights on a shock show, SI.

    Attributes
    ----------
    rate : of its spring, N/m
    preload : force at full extension, N; 0 or less: none
    friction : half of the gap between loading and unloading, N; None without both
    scatter : root mean square of what the straight lines leave, over the errors of the readings; well above
        1 where lines do not fit
    """

    rate: Number
    preload: Number
    friction: Number | None
    scatter: float


def spring_by_weights(loading: Sequence[Row], unloading: Sequence[Row]) -> Weighed | None:
    """Straight lines through weights on a shock: ``s = (m g -+ f - F0)/k``, minus while it is loaded.

    Least squares over travel s with the error of each row's weight turned into travel by the slope, which
    keeps the first-order propagation exact. Friction f opposes the motion, so the shock stands too high
    after loading and too low after unloading.

    Parameters
    ----------
    loading, unloading : rows of mass and travel; those at full extension, travel 0, are left out

    Returns
    -------
    None with fewer than two rows, or all of one weight.
    """
    signed = [(row, side) for rows, side in ((loading, 1.0), (unloading, -1.0)) for row in rows]
    signed = [(row, side) for row, side in signed if value_of(row[1]) > 0.0]
    forces = [row[0] * GRAVITY for row, _ in signed]
    both = len({side for _, side in signed}) == 2
    design = [
        [value_of(force), 1.0, *([side] if both else [])]
        for force, (_, side) in zip(forces, signed, strict=True)
    ]
    if len(design) < 2 or np.linalg.matrix_rank(design) < len(design[0]):
        return None
    weights = np.linalg.pinv(np.array(design))
    slope = float(weights[0] @ [value_of(row[1]) for row, _ in signed])
    if slope <= 0.0:
        return None
    travel = [
        row[1] - slope * (force - value_of(force)) for (row, _), force in zip(signed, forces, strict=True)
    ]
    fitted = [sum(w * s for w, s in zip(line, travel, strict=True)) for line in weights]
    rate = 1.0 / fitted[0]
    left = [
        (value_of(s) - sum(value_of(p) * d for p, d in zip(fitted, line, strict=True)))
        / max(error_of(s) / 2.0, 1e-12)
        for s, line in zip(travel, design, strict=True)
    ]
    free = len(left) - len(fitted)
    scatter = sqrt(sum(one**2 for one in left) / free) if free else 0.0
    return Weighed(rate, -fitted[1] * rate, -fitted[2] * rate if both else None, scatter)


def damping_by_timed_move(mass: Number, friction: Number, distance: Number, time: Number) -> Number:
    """Damping of a shock that a weight moves steadily: ``c = (m g - f) t/d``, N*s/m.

    Parameters
    ----------
    mass : kg
    friction : f, sliding, N
    distance, time : d, m, and t, s

    Valid once it moves steadily, without a spring.
    Source: balance of forces at constant speed.
    """
    return (mass * GRAVITY - friction) * time / distance


class Swinging(NamedTuple):
    """What a weight that swings on a shock shows, SI: damping N*s/m, share of critical, rate N/m."""

    damping: Number
    share: Number
    rate: Number


def damping_by_decay(
    mass: Number, first: Number, last: Number, swings: Number, period: Number, offset: Number = 0.0
) -> Swinging:
    """Damping and rate of a shock from a swing that dies away, friction taken out.

    Each half swing shrinks the way out by ``x -> q x - d (1 + q)``: q by the oil, ``q = exp(-D/2)`` with the
    logarithmic decrement ``D = 2 pi z/sqrt(1 - z^2)``, and d = f/k by friction, which shifts the place about
    which it swings. After N half swings ``x_N = q^N x_0 - d (1 + q)(1 - q^N)/(1 - q)``, solved for q.

    Parameters
    ----------
    mass : on the shock, kg
    first, last : ways out before and after, m
    swings : N/2, full swings between them
    period : of one full swing, s
    offset : d, friction over rate, m

    Source: S. S. Rao, Mechanical Vibrations, logarithmic decrement (section 2.6.3) and Coulomb damping (2.7).
    """
    shrink = numerically(_shrink)(first, last, swings, offset)
    decrement = -2.0 * umath.log(shrink)
    share = decrement / umath.sqrt(4.0 * pi**2 + decrement**2)
    natural = 2.0 * pi / period / umath.sqrt(1.0 - share**2)
    return Swinging(2.0 * share * natural * mass, share, mass * natural**2)


def _shrink(first: float, last: float, swings: float, offset: float) -> float:
    """Factor of one half swing by the oil alone, from 0 to 1; 1 where friction explains all of the decay."""
    halves = 2.0 * swings

    def excess(decay: float) -> float:
        q = np.exp(-decay)
        lost = (1.0 + q) * -np.expm1(-halves * decay) / -np.expm1(-decay) if decay > 0.0 else 2.0 * halves
        return float(np.exp(-halves * decay) * first - offset * lost - last)

    if excess(0.0) <= 0.0:
        return 1.0
    most = log(first / last) / halves
    return float(np.exp(-brentq(excess, 0.0, most + 1e-9, xtol=1e-14)))
