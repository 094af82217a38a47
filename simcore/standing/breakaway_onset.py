"""When shocks begin to move: the acceleration or the slope at which their share breaks out of friction.

Their seals hold a part of it, and the drive shaft's splines one that grows with the torque in them.

Until then the stance stays as it is, so the share of the shocks follows from the statics of that stance.
"""

import dataclasses
import math
from collections.abc import Callable

import numpy as np
from scipy.optimize import brentq

from simcore.compiled import FRONT, REAR
from simcore.standing.kinematics import AxleKinematics
from simcore.standing.percentages import Stand, thrust_shares

GRID = 400  # points between standing and lifting the front, between which a crossing is looked for


@dataclasses.dataclass(frozen=True)
class BreakawayOnset:
    """Where friction lets the shocks of one axle go, with the rig's own drive; None if never before the front
    tyres lift.

    Attributes
    ----------
    acceleration : on the level, m/s^2
    slope : climbed at constant speed, rad
    """

    acceleration: float | None
    slope: float | None


def _loads(stand: Stand, cosine: float, pull: float) -> tuple[float, float]:
    """Loads of the rear and the front tyres per weight, ``share cos th +- u h/L``."""
    moved = pull * stand.moved
    return stand.load_shares[REAR] * cosine + moved, stand.load_shares[FRONT] * cosine - moved


def shock_change(
    path: AxleKinematics, stand: Stand, weight: float, drive: str, i: int, cosine: float, pull: float
) -> float:
    """Change of the shocks' share at the wheels of axle i against standing on the level, N.

    ``N = W (share cos th +- u h/L)``, ``S = N - F tan(a) - m g (cos th p_z + u p_x)`` with ``u g = ax + g sin
    th`` and the thrust W u parted among driven axles by their loads.

    Parameters
    ----------
    path, stand : of the rig on the level
    weight : W, N
    cosine : cos th of the slope
    pull : u
    """
    loads = _loads(stand, cosine, pull)
    thrust = pull * thrust_shares(drive, loads)[i]
    still = stand.load_shares[i] - stand.mass_shares[i] * path.mass_up
    own = stand.mass_shares[i] * (cosine * path.mass_up + pull * path.mass_along)
    return weight * (loads[i] - thrust * path.slope - own - still)


def _first(excess: Callable[[float], float], end: float) -> float | None:
    """First place between 0 and an end where the excess turns positive."""
    places = np.linspace(0.0, end, GRID)
    beyond = next((k for k, x in enumerate(places) if excess(x) > 0.0), None)
    if beyond is None:
        return None
    return float(brentq(excess, places[beyond - 1], places[beyond])) if beyond else 0.0


@dataclasses.dataclass(frozen=True)
class Band:
    """Change of the shocks' share that friction holds, N at the wheels.

    Attributes
    ----------
    seals : of the shocks' seals
    splines : of the drive shaft's splines, per thrust of the axle
    """

    seals: float
    splines: float


def breakaway_onset(
    path: AxleKinematics, stand: Stand, weight: float, gravity: float, drive: str, i: int, band: Band
) -> BreakawayOnset:
    """When the shocks of axle i leave their friction band."""

    def excess(cosine: float, pull: float) -> float:
        thrust = weight * pull * thrust_shares(drive, _loads(stand, cosine, pull))[i]
        change = shock_change(path, stand, weight, drive, i, cosine, pull)
        return abs(change) - band.seals - band.splines * abs(thrust)

    def on_level(acceleration: float) -> float:
        return excess(1.0, acceleration / gravity)

    def on_slope(slope: float) -> float:
        return excess(math.cos(slope), math.sin(slope))

    lift = stand.load_shares[FRONT] / stand.moved  # tan th and ax/g at which the front tyres lift
    return BreakawayOnset(_first(on_level, gravity * lift), _first(on_slope, math.atan(lift)))
