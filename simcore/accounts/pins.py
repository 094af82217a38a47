"""Audit of links and arms: the second rates of their lengths, from the motion of the bodies alone.

The equations of motion ask for ``g'' = -2 alpha g' - alpha^2 g`` of every length and gap g (Baumgarte,
Comput. Methods Appl. Mech. Eng. 1, 1972). Here g, g' and g'' are worked out anew from places, rates and
accelerations.
"""

import dataclasses

import numpy as np
import numpy.typing as npt

from simcore.accounts.stance import arm_of, dot, normal_to, vector
from simcore.compiled import PlaceRecord
from simcore.solve.trace import Trace

Series = npt.NDArray[np.float64]


@dataclasses.dataclass(frozen=True)
class Motion:
    """Place, velocity and acceleration of a point, each (2, n) along x and z, SI; `size` (n,) is the largest
    part of the acceleration.
    """

    place: Series
    velocity: Series
    acceleration: Series
    size: Series


def pin_motion(trace: Trace, body: int, place: PlaceRecord) -> Motion:
    """Motion of a pin fixed to a body: ``a + w' x r - w^2 r``."""
    pose, rate = trace.states["pose"][:, body], trace.states["rate"][:, body]
    pushed = trace.ledgers["acceleration"][:, body]
    arm, turning = arm_of(trace, body, place), rate["angle"]
    parts = vector(pushed), pushed["angle"] * normal_to(arm), -(turning**2) * arm
    size = np.max([np.hypot(*part) for part in parts], axis=0)
    return Motion(vector(pose) + arm, vector(rate) + turning * normal_to(arm), np.sum(parts, axis=0), size)


def _length_rates(trace: Trace, i: int, k: int) -> tuple[Series, Series, Series, Series]:
    """Error of link k's length, its first and second rate, and the size of the accelerations at work."""
    link = trace.model.rig.axle[i].link[k]
    top, end = pin_motion(trace, 0, link.chassis), pin_motion(trace, 1 + i, link.axle)
    way, moving = top.place - end.place, top.velocity - end.velocity
    length = np.hypot(*way)
    first = dot(way, moving) / length
    turned = dot(moving, moving) / length
    second = turned + dot(way, top.acceleration - end.acceleration) / length - first**2 / length
    return length - link.length, first, second, np.max([top.size, end.size, turned], axis=0)


def _gap_rates(trace: Trace, i: int) -> tuple[Series, Series, Series, Series]:
    """Gap between the halves of an arm's pin as seen in the turning axes of the housing, (2, n), and its
    rates there: ``D = d/dt - w x``.
    """
    link, body = trace.model.rig.axle[i].link[0], 1 + i
    top, end = pin_motion(trace, 0, link.chassis), pin_motion(trace, body, link.axle)
    turning = trace.states["rate"][:, body]["angle"]
    speeding = trace.ledgers["acceleration"][:, body]["angle"]
    gap, moving = top.place - end.place, top.velocity - end.velocity
    seen = moving - turning * normal_to(gap)
    second = top.acceleration - end.acceleration - speeding * normal_to(gap)
    second = second - turning * normal_to(moving) - turning * normal_to(seen)
    return gap, seen, second, np.max([top.size, end.size], axis=0)


def pin_residual(trace: Trace) -> Series:
    """Second rate of every link's length, and of every arm's gap along x and z, less what is asked of it, per
    the larger of gravity and the accelerations at work; the worst, (n,).
    """
    rig, worst = trace.model.rig, np.zeros(len(trace.times))
    for i in range(2):
        found = (
            [_gap_rates(trace, i)]
            if rig.axle[i].arm > 0.5
            else [_length_rates(trace, i, k) for k in range(2)]
        )
        for error, first, second, size in found:
            missing = np.abs(second + 2.0 * rig.drift_rate * first + rig.drift_rate**2 * error)
            worst = np.maximum(worst, np.atleast_2d(missing / np.maximum(size, rig.gravity)).max(axis=0))
    return worst
