"""When shocks begin to move: the acceleration or the slope at which their share breaks out of friction.

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
    moved = pull * stand.moved
    loads = stand.load_shares[REAR] * cosine + moved, stand.load_shares[FRONT] * cosine - moved
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


def breakaway_onset(
    path: AxleKinematics, stand: Stand, weight: float, gravity: float, drive: str, i: int, band: float
) -> BreakawayOnset:
    """When the shocks of axle i leave a friction band of so many newtons at the wheels."""

    def on_level(acceleration: float) -> float:
        return abs(shock_change(path, stand, weight, drive, i, 1.0, acceleration / gravity)) - band

    def on_slope(slope: float) -> float:
        change = shock_change(path, stand, weight, drive, i, math.cos(slope), math.sin(slope))
        return abs(change) - band

    lift = stand.load_shares[FRONT] / stand.moved  # tan th and ax/g at which the front tyres lift
    return BreakawayOnset(_first(on_level, gravity * lift), _first(on_slope, math.atan(lift)))
