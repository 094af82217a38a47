"""The path that its links leave to an axle: slope, turning centre, and what the shocks make of it."""

import dataclasses

from simcore.accounts.support import LEAST_RISE
from simcore.compiled import LedgerRecord, StateRecord
from simcore.rig.model import Model
from simcore.standing.axes import GroundAxes, Point

FAR = 1000.0  # m; links that meet beyond count as parallel
STEP = 1e-6  # m of rise, over which the motion ratio is differenced


@dataclasses.dataclass(frozen=True)
class AxleKinematics:
    """Motion of an axle per unit rise of its wheels across the ground, the chassis held still.

    Attributes
    ----------
    slope : tan(a), way of the contact point back along the ground, as part of the housing; positive where
        forward thrust presses the tyres down. The line from contact to instant centre has this slope.
    mass_along, mass_up : way of the axle's centre of mass along and across the ground
    ratio : motion ratio dl/dz, shortening of the shocks
    ratio_change : d2l/dz2, how the motion ratio grows with the rise, 1/m
    lengthening : of the drive shaft; 0 where none is stated
    """

    slope: float
    mass_along: float
    mass_up: float
    ratio: float
    ratio_change: float
    lengthening: float


def _ratio(model: Model, state: StateRecord, i: int) -> float:
    path = model.ledger(state).axle[i].path
    return float(path.shortening / path.contact_rise)


def axle_kinematics(model: Model, state: StateRecord, axes: GroundAxes, i: int) -> AxleKinematics | None:
    """AxleKinematics of axle i from where it stands; None when its wheels can only move along the ground.

    The wheel centre and the contact point below it rise alike, so `ratio` is that of either. `ratio_change`
    is a central difference along the path's direction; its curvature drops out of it.
    """
    path = model.ledger(state).axle[i].path
    rise = float(path.contact_rise)
    if abs(rise) < LEAST_RISE:
        return None
    along, up = axes.turn(path.way.x / rise, path.way.z / rise)
    ratios = []
    for step in (STEP, -STEP):
        moved = state.copy()
        pose, way = moved.pose[1 + i], path.way
        pose.x += step * way.x / rise
        pose.z += step * way.z / rise
        pose.angle += step * way.angle / rise
        ratios.append(_ratio(model, moved, i))
    change = (ratios[0] - ratios[1]) / (2.0 * STEP)
    return AxleKinematics(
        slope=float(-path.contact_along / rise),
        mass_along=float(along),
        mass_up=float(up),
        ratio=float(path.shortening / rise),
        ratio_change=change,
        lengthening=float(path.lengthening / rise),
    )


def instant_centre(led: LedgerRecord, state: StateRecord, axes: GroundAxes, i: int) -> Point | None:
    """Where axle i turns against the chassis, ground axes, m; None when its links are parallel.

    The point of the housing that does not move: ``x = x_c - v_z/w``, ``z = z_c + v_x/w``. For two links it is
    where their lines meet (theorem of Aronhold and Kennedy), for an arm its pin.
    """
    way, pose = led.axle[i].path.way, state.pose[1 + i]
    reach = (way.x * way.x + way.z * way.z) ** 0.5
    if reach >= FAR * abs(way.angle):
        return None
    return axes.place((float(pose.x - way.z / way.angle), float(pose.z + way.x / way.angle)))
