"""Puts the rig on its ground as one rigid piece, before it settles."""

import enum
import math
from collections.abc import Callable

import numpy as np
import numpy.typing as npt
from scipy.optimize import brentq

from simcore.compiled import (
    FRONT,
    LEDGER,
    REAR,
    STATE,
    PieceRecord,
    Records,
    StateRecord,
    blank,
    kernel,
)
from simcore.errors import InputError, InputIssue
from simcore.files.scenario import Scenario
from simcore.laws.ground import normal_force, touch
from simcore.rig.masses import SIDES
from simcore.rig.model import Model

Vector = npt.NDArray[np.float64]
FURTHEST = 100  # times 10 mm that a place to stand is looked for
LEANS = math.radians(45.0)  # where that place is too steep


@kernel
def loads_at(places: Vector, pieces: Records[PieceRecord], radius: float, stiffness: float) -> Vector:
    """Elastic load of a tyre with its centre at places (n, 2), N."""
    found, contact = np.empty(len(places)), np.zeros(1, LEDGER)[0].axle[0].tyre.contact
    for k in range(len(places)):
        touch(contact, pieces, places[k, 0], places[k, 1], radius)
        found[k] = normal_force(contact, radius, stiffness, 0.0, 0.0, 0.0)[0]
    return found


class NoPlace(enum.IntEnum):
    """The axle that finds no place to stand: a wall is there, or no ground within its reach."""

    REAR = REAR
    FRONT = FRONT


def initial_pose(scenario: Scenario, model: Model) -> StateRecord:
    """Put the rig on its ground exactly as measured: links fit, both tyres carry their load on the level.

    Returns
    -------
    STATE at rest.

    Raises
    ------
    InputError
        when there is no ground under an axle, or a wall in its place; names the nearest place where it is not
        so.
    """
    x = scenario.start.rear_axle
    placed = _placed(model, x)
    if isinstance(placed, NoPlace):
        got = f"{x * 1e3:g} mm, where the {SIDES[placed]} axle has no place to stand"
        must_be = "a place where both axles stand on the ground"
        near = _nearest_place(model, x)
        must_be += f"; the nearest is {near * 1e3:g} mm" if near is not None else ""
        raise InputError([InputIssue(str(scenario.path), "start.rear_axle", got, must_be)])
    return placed


def _nearest_place(model: Model, x: float) -> float | None:
    """Whole hundredths of a metre, nearest to a place of the rear axle, where the rig is upright."""
    whole = round(x * 100.0)
    tried = [0, *(way * k for k in range(1, FURTHEST + 1) for way in (-1, 1))]
    places = ((whole + k) / 100.0 for k in tried)
    return next((place for place in places if _is_upright(model, _placed(model, place))), None)


def _is_upright(model: Model, placed: StateRecord | NoPlace) -> bool:
    """Whether a rig neither leans far nor rests on a wall with a tyre."""
    if isinstance(placed, NoPlace):
        return False
    walls = [part.tyre.contact.normal.z < math.cos(LEANS) for part in model.ledger(placed).axle]
    return abs(placed.pose[0].angle) < LEANS and not any(walls)


def _placed(model: Model, x: float) -> StateRecord | NoPlace:
    """The rig with its rear axle at a place along x."""
    bench, radius = model.bench, float(model.rig.axle[REAR].tyre.radius)
    top = height_at(model.pieces, x)
    heights = np.arange(top + 6.0 * radius, top - radius, -0.02 * radius)
    z = _touching(model, REAR, heights, lambda way: np.column_stack([np.full_like(way, x), way]))
    if z is None:
        return NoPlace.REAR
    span = math.dist(*bench.centres)
    angles = np.linspace(math.radians(89.0), math.radians(-89.0), 357)
    angle = _touching(
        model, FRONT, angles, lambda way: np.column_stack([x + span * np.cos(way), z + span * np.sin(way)])
    )
    if angle is None:
        return NoPlace.FRONT
    (x0, z0), (x1, z1) = bench.centres
    return _tilted(model, x, z, angle - math.atan2(z1 - z0, x1 - x0))


def _touching(model: Model, i: int, way: Vector, centres: Callable[[Vector], Vector]) -> float | None:
    """Where on its way down the tyre of axle i carries its load; None if nowhere, or from the beginning.

    Parameters
    ----------
    way : what the place hangs on, (n,)
    centres : gives the wheel centres there, (n, 2)
    """
    tyre, carried = model.rig.axle[i].tyre, model.bench.loads[i]
    law = (model.pieces, float(tyre.radius), float(tyre.stiffness))

    def excess(way: Vector) -> Vector:
        return loads_at(centres(way), *law) - carried

    first = int(np.argmax(excess(way) > 0.0))
    if first == 0:
        return None
    return float(brentq(lambda place: excess(np.array([place]))[0], way[first], way[first - 1]))


def _tilted(model: Model, x: float, z: float, tilt: float) -> StateRecord:
    """Bench position turned by `tilt` about the rear axle centre, which comes to (x, z)."""
    state, bench = blank(STATE)[0], model.bench
    c, s = math.cos(tilt), math.sin(tilt)
    for pose, body in zip(state.pose, (bench.chassis, *bench.axles), strict=True):
        d_x, d_z = body.x - bench.centres[REAR][0], body.z - bench.centres[REAR][1]
        pose.x, pose.z, pose.angle = x + c * d_x - s * d_z, z + s * d_x + c * d_z, tilt
    return state


def height_at(pieces: Records[PieceRecord], x: float) -> float:
    """Height of the ground at a place along x, the upper one at a ledge, m."""
    first, along = pieces["start"], pieces["along"]
    first_x, last_x = (first["x"] + way * along["x"] for way in (-pieces["behind"], pieces["length"]))
    over = (first_x <= x) & (x <= last_x) & (along["x"] > 1e-9)
    return float(np.max(first["z"][over] + (x - first["x"][over]) / along["x"][over] * along["z"][over]))
