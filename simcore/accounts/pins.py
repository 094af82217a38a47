"""Audit of links and arms: the second rates of their lengths, from the motion of the bodies alone.

The equations of motion ask for ``g'' = -2 alpha g' - alpha^2 g`` of every length and gap g (Baumgarte,
Comput. Methods Appl. Mech. Eng. 1, 1972). Here g, g' and g'' are worked out anew from places, rates and
accelerations.
"""

import math
from typing import NamedTuple

import numpy as np
import numpy.typing as npt

from simcore.accounts.instant import arm_of, worse
from simcore.compiled import LedgerRecord, PlaceRecord, Records, RigRecord, StateRecord, kernel
from simcore.solve.trace import Trace

Series = npt.NDArray[np.float64]


class Motion(NamedTuple):
    """Place, velocity and acceleration of a point, SI; `size` is the largest part of the acceleration."""

    x: float
    z: float
    v_x: float
    v_z: float
    a_x: float
    a_z: float
    size: float


@kernel
def pin_motion(state: StateRecord, led: LedgerRecord, body: int, place: PlaceRecord) -> Motion:
    """Motion of a pin fixed to a body: ``a + w' x r - w^2 r``."""
    pose, rate, pushed = state.pose[body], state.rate[body], led.acceleration[body]
    (r_x, r_z), w, b = arm_of(pose, place), rate.angle, pushed.angle
    return Motion(
        pose.x + r_x,
        pose.z + r_z,
        rate.x - w * r_z,
        rate.z + w * r_x,
        pushed.x - b * r_z - w * w * r_x,
        pushed.z + b * r_x - w * w * r_z,
        max(math.hypot(pushed.x, pushed.z), max(abs(b), w * w) * math.hypot(r_x, r_z)),
    )


@kernel
def missing(rig: RigRecord, error: float, first: float, second: float, size: float) -> float:
    """What a second rate misses of what is asked of it, per the larger of gravity and the accelerations at
    work.
    """
    asked = -2.0 * rig.drift_rate * first - rig.drift_rate * rig.drift_rate * error
    return abs(second - asked) / max(size, rig.gravity)


@kernel
def link_residual(rig: RigRecord, top: Motion, end: Motion, length: float) -> float:
    """Of a link between two pins: ``g = |r| - length``, ``g' = r.r'/|r|``, ``g'' = (r'.r' + r.r'' -
    g'^2)/|r|``.
    """
    x, z = top.x - end.x, top.z - end.z
    v_x, v_z = top.v_x - end.v_x, top.v_z - end.v_z
    far = math.hypot(x, z)
    first = (x * v_x + z * v_z) / far
    turned = (v_x * v_x + v_z * v_z) / far
    along = (x * (top.a_x - end.a_x) + z * (top.a_z - end.a_z)) / far
    second = turned + along - first * first / far
    return missing(rig, far - length, first, second, max(top.size, end.size, turned))


@kernel
def gap_residual(rig: RigRecord, top: Motion, end: Motion, turning: float, speeding: float) -> float:
    """Of an arm: the gap between the halves of its pin along x and z, and its rates, as seen in the turning
    axes of the housing: ``D = d/dt - w x``.
    """
    x, z = top.x - end.x, top.z - end.z
    v_x, v_z = top.v_x - end.v_x, top.v_z - end.v_z
    seen_x, seen_z = v_x + turning * z, v_z - turning * x
    second_x = top.a_x - end.a_x + speeding * z + turning * (v_z + seen_z)
    second_z = top.a_z - end.a_z - speeding * x - turning * (v_x + seen_x)
    size = max(top.size, end.size)
    return max(missing(rig, x, seen_x, second_x, size), missing(rig, z, seen_z, second_z, size))


@kernel
def put_residuals(
    worst: Series, states: Records[StateRecord], ledgers: Records[LedgerRecord], rigs: Records[RigRecord]
) -> None:
    """Fill in the worst residual of any link or arm at every instant, (n,)."""
    rig = rigs[0]
    for n in range(len(worst)):
        state, led = states[n], ledgers[n]
        worst[n] = 0.0
        for i in range(2):
            body = 1 + i
            for k in range(2):
                link = rig.axle[i].link[k]
                top, end = pin_motion(state, led, 0, link.chassis), pin_motion(state, led, body, link.axle)
                if rig.axle[i].arm < 0.5:
                    found = link_residual(rig, top, end, link.length)
                elif k == 0:
                    turning, speeding = state.rate[body].angle, led.acceleration[body].angle
                    found = gap_residual(rig, top, end, turning, speeding)
                else:
                    continue
                worst[n] = worse(worst[n], found)


def pin_residual(trace: Trace) -> Series:
    """Second rate of every link's length, and of every arm's gap along x and z, less what is asked of it, per
    the larger of gravity and the accelerations at work; the worst, (n,).
    """
    worst = np.empty(len(trace.times))
    put_residuals(worst, trace.states, trace.ledgers, trace.model.rigs)
    return worst
