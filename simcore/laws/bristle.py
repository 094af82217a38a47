"""LuGre bristle friction: one law for the shock seal, the tyre, the skid and the rotor."""

import math

from simcore.compiled import kernel


@kernel
def stribeck_level(speed: float, sliding: float, breakaway: float, stribeck_speed: float) -> float:
    """Friction level that falls from breakaway to sliding with speed.

    ``G(v) = Fc + (Fs - Fc) exp(-(v/vs)^2)``

    Parameters
    ----------
    speed : v, m/s
    sliding, breakaway : Fc, Fs, N (or per unit load)
    stribeck_speed : vs, m/s

    Returns
    -------
    G, in the unit of Fc.

    Source: Canudas de Wit, Olsson, Astrom, Lischinsky, IEEE TAC 40(3), 1995, eq (4).
    """
    ratio = speed / stribeck_speed
    return sliding + (breakaway - sliding) * math.exp(-ratio * ratio)


@kernel
def bristle_rate(speed: float, bristle: float, stiffness: float, level: float, transport: float) -> float:
    """How fast the mean bristle deflection grows.

    ``dz/dt = v - sigma0 |v| z / G - kappa_w z``

    Parameters
    ----------
    speed : v, sliding speed, m/s
    bristle : z, m
    stiffness : sigma0, N/m (or 1/m per unit load)
    level : G, friction level > 0, N (or per unit load)
    transport : kappa_w, rate at which rolling carries bristles out of the contact, 1/s (0 for a seal)

    Returns
    -------
    dz/dt, m/s.

    Source: the 1995 paper, eq (2); transport term: Canudas de Wit and Tsiotras, CDC 1999.
    """
    return speed - stiffness * abs(speed) * bristle / level - transport * bristle


@kernel
def bristle_force(
    speed: float, bristle: float, rate: float, stiffness: float, micro_damping: float, fade_speed: float
) -> float:
    """Friction force of the bristles.

    ``F = sigma0 z + sigma1(v) dz/dt``, ``sigma1(v) = sigma1 exp(-(v/vd)^2)``

    The micro damping fades with speed so that the law never gives energy back while sliding.

    Parameters
    ----------
    speed : v, m/s
    bristle, rate : z, m and dz/dt, m/s
    stiffness : sigma0, N/m
    micro_damping : sigma1, N*s/m
    fade_speed : vd, m/s; infinite gives the constant sigma1 of the 1995 paper

    Returns
    -------
    F, N, positive along v.

    Source: the 1995 paper, eq (3); fading: H. Olsson, thesis, Lund 1996, ch 3 (from
    memory; a copy of the thesis would settle it; the tests hold that no energy comes back while sliding).
    """
    ratio = speed / fade_speed
    return stiffness * bristle + micro_damping * math.exp(-ratio * ratio) * rate
