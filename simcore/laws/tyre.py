"""Tangential force of a tyre on the ground, defined at standstill, in slip and in full spin by one law.

LuGre tyre, average lumped form. The user states grips as seen in two tests: `peak_grip` on a board tilted
until the locked rig slides, `sliding_grip` of the tyre spinning on the spot.
"""

import math

from simcore.compiled import TyreRecord, kernel
from simcore.laws.bristle import bristle_force, bristle_rate, stribeck_level

LEAST_LOAD = 0.05  # of the reference load; below it grip rises no further (nobody has measured there)
TINY_SPEED = 1e-9  # m/s, keeps roll/slip finite at standstill
ROLLING_FADE = 0.001  # m/s, rolling resistance vanishes below


@kernel
def load_factor(load: float, reference: float, exponent: float) -> float:
    """What is left of the stated grips under a load: ``(N / N0)^-n``, N not below `LEAST_LOAD` of N0.

    With n = 0 grip does not know of load. Elastic contact of constant shear stress goes as the area of
    contact: n = 1/3 for one smooth ball, 1/9 for balls on a ball, less the rougher it is.

    Parameters
    ----------
    load : N, in the unit of the reference
    reference : N0, load at which the grips are stated
    exponent : n

    Source: J. F. Archard, Elastic deformation and the laws of friction, Proc. R. Soc. A 243 (1957), for the
    exponents (from memory; the paper would settle it). That the grip of rubber falls with load: G. Fortunato
    et al., Tire Sci. Technol. 45 (2017), O. M. Braun et al., EPL 113 (2016) (abstracts seen). On clean dry
    roads tyres were found not to know of it (Rubber Chem. Technol. 3 (1930), abstract seen).
    """
    if exponent == 0.0:
        return 1.0
    return float(max(load / reference, LEAST_LOAD) ** -exponent)


@kernel
def inner_level(tyre: TyreRecord, slip_speed: float, roll_speed: float, grip: float) -> float:
    """Bristle level G per unit load whose steady force in sliding is exactly the stated grip.

    With a plain level the steady force is ``F/N = C s G/(C s + G)``, which never reaches G. Solved for G at a
    wanted grip m: ``G = m / (1 - min(m r/C, 1/2))``, ``r = |roll|/|slip|``. So the curve starts with the
    slope C, reaches m at the slip ``2m/C`` and stays on it, for a spinning tyre (r = 1) as for a locked one
    (r = 0).

    Parameters
    ----------
    tyre : TYRE record
    slip_speed, roll_speed : tread speed over the ground and tread speed, m/s
    grip : factor of ground piece and load, 1 = the surface and the load for which the grips were stated
    """
    wanted = grip * stribeck_level(slip_speed, tyre.sliding, tyre.peak, tyre.stribeck_speed)
    ratio = abs(roll_speed) / (abs(slip_speed) + TINY_SPEED)
    return wanted / (1.0 - min(wanted * ratio / tyre.slip_stiffness, 0.5))


@kernel
def tangential(
    tyre: TyreRecord, slip_speed: float, roll_speed: float, bristle: float, grip: float
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
    grip : factor of ground and load, as for `inner_level`

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
def rolling_moment(tyre: TyreRecord, load: float, roll_speed: float) -> float:
    """Moment of rolling resistance on the wheel pair, N*m, against the rolling and zero at standstill: ``c N
    R tanh(v/v0)``.
    """
    return tyre.rolling_resistance * load * tyre.radius * math.tanh(roll_speed / ROLLING_FADE)


def sliding_level(peak_grip: float, sliding_grip: float, grip_speed: float, stribeck_speed: float) -> float:
    """Level to which grip falls at great sliding speed, so that the tyre spinning on the spot at `grip_speed`
    shows the stated sliding grip: ``G(vg) = Fc + (Fs - Fc) exp(-(vg/vs)^2) = sliding grip``, Fs = peak grip.

    The standing tyre then holds the stated peak exactly, and no tyre ever more: the rolling one shows a
    little less, because it has begun to slide when it reaches the plateau.

    Parameters
    ----------
    peak_grip, sliding_grip : stated grips, peak >= sliding; files see to it that the level stays above half
        the sliding grip
    grip_speed : vg, tread speed of the spinning tyre at which the sliding grip is stated, m/s
    stribeck_speed : vs, m/s
    """
    if sliding_grip == peak_grip:
        return peak_grip
    fall = math.exp(-((grip_speed / stribeck_speed) ** 2))
    return (sliding_grip - peak_grip * fall) / (1.0 - fall)
