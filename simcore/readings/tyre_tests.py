"""Stiffness, grip, rolling radius and inertia of a wheel, from scales, board, tape and stopwatch."""

from collections.abc import Sequence
from math import pi, sqrt

from uncertainties import umath

from simcore.compiled import LEDGER, blank
from simcore.laws.ground import normal_force, touch
from simcore.readings.uncertain import Number, error_of, numerically, value_of
from simcore.rig.course import flat_ground
from simcore.rig.masses import loaded_height
from simcore.units import GRAVITY


def stiffness_by_squash(rows: Sequence[tuple[Number, Number]], radius: Number) -> tuple[Number, float] | None:
    """Stiffness of one tyre from loads and losses of height, N/m, and how badly it fits.

    The load of the tyre law is proportional to the stiffness, so each row gives one: ``k = m g/N_1(d)``,
    N_1 the law's load at squash d with a stiffness of one. Their mean, each weighted by its error.

    Parameters
    ----------
    rows : mass, kg, and loss of height, m; rows without squash are left out
    radius : free radius, m

    Returns
    -------
    None without a row; else the stiffness, and how much more the rows differ than their errors allow.
    """
    found = [m * GRAVITY / _unit_load(d, radius) for m, d in rows if value_of(d) > 0.0]
    if not found:
        return None
    weights = [1.0 / max(error_of(k), 1e-9) ** 2 for k in found]
    mean = sum(w * k for w, k in zip(weights, found, strict=True)) / sum(weights)
    left = [2.0 * (value_of(k) - value_of(mean)) / max(error_of(k), 1e-9) for k in found]
    return mean, sqrt(sum(one**2 for one in left) / (len(left) - 1)) if len(left) > 1 else 0.0


def _load_of_one(squash: float, radius: float) -> float:
    """Load of the tyre law at a squash on flat ground, N, of a tyre of 1 N/m."""
    contact, flat = blank(LEDGER)[0].axle[0].tyre.contact, flat_ground()
    touch(contact, flat, 0.0, radius - squash, radius)
    return float(normal_force(contact, radius, 1.0, 0.0, 0.0, 0.0)[0])


_unit_load = numerically(_load_of_one)


def squash_under(load: Number, stiffness: Number) -> Number:
    """Loss of height of a tyre under a load, ``N/k`` (the tyre law is within 2 % of it up to a sixth of the
    radius), m.
    """
    return load / stiffness


def radius_by_rolling(distance: Number, turns: Number, squash: Number) -> Number:
    """Free radius from a way rolled: the rolling radius ``s/(2 pi n)`` and a third of the squash, m.

    Source: rolling radius ``R_e = R - d/3`` of the tyre law, see `simcore.laws.tyre`.
    """
    return distance / (2.0 * pi * turns) + squash / 3.0


def grip_by_tilt(angle: Number) -> Number:
    """Grip from the tilt of a board at which the locked rig slides: ``mu = tan(a)``.

    Source: block on an incline; any mechanics text.
    """
    return umath.tan(angle)


def inertia_by_rolling_down(
    mass: Number, radius: Number, slope: Number, distance: Number, time: Number, resistance: Number
) -> Number:
    """Inertia of a wheel from the time it takes to roll down a board, kg*m^2.

    ``a = 2 s/t^2 = g (sin(th) - c cos(th))/(1 + I/(m r^2))``, solved for I.

    Parameters
    ----------
    mass, radius : of the wheel; kg, m
    slope : th, of the board, rad
    distance, time : s from rest, m, and t, s
    resistance : c, rolling drag per load

    Source: rolling without slip; any mechanics text.
    """
    pull = GRAVITY * (umath.sin(slope) - resistance * umath.cos(slope))
    return mass * radius**2 * (pull * time**2 / (2.0 * distance) - 1.0)


hub_height = numerically(loaded_height)
"""Height of an axle's centre over level ground, m: free radius, m, stiffness of both tyres, N/m, load, N."""
