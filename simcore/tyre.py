"""Tangential force of a tyre on the ground, defined at standstill, in slip and in full spin by one law.

LuGre tyre, average lumped form. The user states grips as seen in a test (`peak_grip`, `sliding_grip`); the
law needs inner levels that differ a little, because grip falls with slip speed. `solve_levels` finds them.
"""

import math
from collections.abc import Callable

from simcore.bristle import bristle_force, bristle_rate, stribeck_level
from simcore.compiled import Record, kernel

TINY_SPEED = 1e-9  # m/s, keeps roll/slip finite at standstill
MOST_FALL = 0.9  # share of the extra grip that may be left at the speed where sliding grip is stated
ROLLING_FADE = 0.001  # m/s, rolling resistance vanishes below


@kernel
def inner_level(tyre: Record, slip_speed: float, roll_speed: float, grip: float) -> float:
    """Bristle level G per unit load whose steady force in sliding is exactly the stated grip.

    With a plain level the steady force is ``F/N = C s G/(C s + G)``, which never reaches G. Solved for G at a
    wanted grip m: ``G = m / (1 - min(m r/C, 1/2))``, ``r = |roll|/|slip|``. So the curve starts with the
    slope C, reaches m at the slip ``2m/C`` and stays on it, for a spinning tyre (r = 1) as for a locked one
    (r = 0).

    Parameters
    ----------
    tyre : TYRE record
    slip_speed, roll_speed : tread speed over the ground and tread speed, m/s
    grip : factor of the ground piece, 1 = the surface on which the grips were stated
    """
    wanted = grip * stribeck_level(slip_speed, tyre.sliding, tyre.peak, tyre.stribeck_speed)
    ratio = abs(roll_speed) / (abs(slip_speed) + TINY_SPEED)
    return wanted / (1.0 - min(wanted * ratio / tyre.slip_stiffness, 0.5))


@kernel
def tangential(
    tyre: Record, slip_speed: float, roll_speed: float, bristle: float, grip: float
) -> tuple[float, float]:
    """Thrust per unit load and bristle rate.

    ``dz/dt = v_r - sigma0 |v_r| z/G - |R_e w| z/l``, ``F/N = sigma0 z + sigma1 dz/dt``, ``sigma0 = C/l``;
    sigma1 fades with slip and rolling speed together.

    Parameters
    ----------
    tyre : slip stiffness C (per unit slip and load), relaxation length l (m), levels
    slip_speed : v_r = R_e w - v, m/s, positive drives forward
    roll_speed : R_e w, m/s
    bristle : z, m
    grip : factor of the ground

    Returns
    -------
    F/N : thrust per unit load, positive forward
    dz/dt : m/s

    Source: Canudas de Wit and Tsiotras, Dynamic tire friction models for vehicle traction control, CDC 1999.
    """
    level = inner_level(tyre, slip_speed, roll_speed, grip)
    stiffness = tyre.slip_stiffness / tyre.relaxation_length
    transport = abs(roll_speed) / tyre.relaxation_length
    rate = bristle_rate(slip_speed, bristle, stiffness, level, transport)
    micro_damping = stiffness * tyre.settling_time
    moving = abs(slip_speed) + abs(roll_speed)  # a rolling tyre is damped by its rolling alone
    force = bristle_force(moving, bristle, rate, stiffness, micro_damping, tyre.stribeck_speed)
    return force, rate


@kernel
def rolling_moment(tyre: Record, load: float, roll_speed: float) -> float:
    """Moment of rolling resistance on the wheel pair, N*m, against the rolling and zero at standstill: ``c N
    R tanh(v/v0)``.
    """
    return tyre.rolling_resistance * load * tyre.radius * math.tanh(roll_speed / ROLLING_FADE)


@kernel
def steady_grip(tyre: Record, slip: float, roll_speed: float, grip: float) -> float:
    """Thrust per unit load in steady driving slip ``s = 1 - v/(R_e w)`` at a tread speed.

    ``F/N = C s G/(C s + G)``, G at the slip speed ``s R_e w``: the bristle law with dz/dt = 0.
    """
    level = inner_level(tyre, slip * roll_speed, roll_speed, grip)
    return tyre.slip_stiffness * slip * level / (tyre.slip_stiffness * slip + level)


@kernel
def peak_of_curve(tyre: Record, roll_speed: float) -> tuple[float, float]:
    """Highest steady grip over all slips from 0 to 1, on a fine grid, and the slip where it stands."""
    best, where = 0.0, 0.0
    for i in range(1, 1001):
        slip = i / 1000.0
        value = steady_grip(tyre, slip, roll_speed, 1.0)
        if value > best:
            best, where = value, slip
    return best, where


def solve_levels(
    tyre: Record, peak_grip: float, sliding_grip: float, grip_speed: float, root: Callable[..., float]
) -> bool:
    """Find the inner levels so that the steady curve shows the stated grips at the stated tread speed.

    Parameters
    ----------
    tyre : TYRE record, `peak` and `sliding` are filled in
    peak_grip, sliding_grip : stated grips, peak >= sliding
    grip_speed : tread speed at which they are stated, m/s
    root : scalar root finder ``root(f, a, b)`` (the laws import no solver)

    Returns
    -------
    Whether such a curve exists. It does not when grip hardly falls up to `grip_speed` (Stribeck speed far
    above it), or when it has fallen before the peak can be reached (far below it).
    """
    tyre.peak, tyre.sliding = sliding_grip, sliding_grip
    if peak_of_curve(tyre, grip_speed)[0] >= peak_grip * (1.0 - 1e-6):
        return True
    fall = math.exp(-((grip_speed / tyre.stribeck_speed) ** 2))
    if fall > MOST_FALL:
        return False

    def excess(peak: float) -> float:
        tyre.peak = peak
        # full spin at this speed then shows the stated sliding grip
        tyre.sliding = (sliding_grip - peak * fall) / (1.0 - fall)
        return peak_of_curve(tyre, grip_speed)[0] - peak_grip

    ceiling = min(3.0 * peak_grip, 0.99 * sliding_grip / max(fall, 1e-9))
    if excess(ceiling) < 0.0:
        return False
    excess(root(excess, sliding_grip, ceiling))
    return True
