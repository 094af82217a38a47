"""Places of a course that give a rig work: ledges, drops, slippery stretches, changes of slope."""

import dataclasses
import enum
import math

import numpy as np
import numpy.typing as npt

from simcore.accounts.stance import wheel_centre
from simcore.compiled import FRONT, REAR, PieceRecord
from simcore.solve.trace import Trace

Point = tuple[float, float]  # x, z, m
UPRIGHT = 0.99  # of a quarter turn, from which a piece is a face
SLIPPERY, ICE = 0.5, 0.25  # of the stated grip, below which a piece is named for that, and called ice
BEND = math.radians(2.0)  # between two pieces, from which the edge is named


class Feature(enum.Enum):
    """What gives work at a place; the name stands in files, the value in sentences."""

    LEDGE = "the ledge"
    DROP = "the drop"
    ICE = "the ice"
    SLIPPERY = "the slippery stretch"
    STEEPER = "the steeper ground"
    CREST = "the crest"


@dataclasses.dataclass(frozen=True)
class Place:
    """One such place.

    Attributes
    ----------
    feature : what it is
    start, end : ends of what gives the work, (x, z), m; the same point for an edge
    """

    feature: Feature
    start: Point
    end: Point


def slippery(grip: float) -> Feature:
    """What to call a stretch with little grip."""
    return Feature.ICE if grip <= ICE else Feature.SLIPPERY


def places_of(trace: Trace) -> list[Place]:
    """Places of the course of a run, in order."""
    pieces, found = trace.model.pieces, []
    slopes = [math.atan2(piece.along.z, piece.along.x) for piece in pieces]
    for k in range(1, len(pieces)):
        piece, turn = pieces[k], slopes[k] - slopes[k - 1]
        start, end = _ends(piece)
        if abs(slopes[k]) > UPRIGHT * math.pi / 2.0:
            found.append(Place(Feature.LEDGE if slopes[k] > 0.0 else Feature.DROP, start, end))
            continue
        if piece.grip < SLIPPERY:
            found.append(Place(slippery(float(piece.grip)), start, end))
        if abs(turn) > BEND and abs(slopes[k - 1]) < UPRIGHT * math.pi / 2.0:
            found.append(Place(Feature.STEEPER if turn > 0.0 else Feature.CREST, start, start))
    return found


def at_place(trace: Trace, place: Place, axle: int) -> npt.NDArray[np.bool_]:
    """At which instants an axle's tyres touch a place, (n,)."""
    return _touches(trace, place.start, place.end, axle)


def at_last_piece(trace: Trace, axle: int) -> npt.NDArray[np.bool_]:
    """At which instants an axle's tyres touch the last piece of the course, which goes on for ever, (n,)."""
    return _touches(trace, *_ends(trace.model.pieces[-1]), axle)


def _ends(piece: PieceRecord) -> tuple[Point, Point]:
    """Ends of a piece of the course."""
    x, z, along = float(piece.start.x), float(piece.start.z), piece.along
    first, last = ((x + way * along.x, z + way * along.z) for way in (-piece.behind, piece.length))
    return first, last


def _touches(trace: Trace, start: Point, end: Point, axle: int) -> npt.NDArray[np.bool_]:
    """At which instants an axle's tyres touch a stretch, (n,)."""
    x, z = wheel_centre(trace, axle)
    (ax, az), (bx, bz) = start, end
    length = math.hypot(bx - ax, bz - az)
    along = ((bx - ax) / length, (bz - az) / length) if length else (0.0, 0.0)
    way = np.clip((x - ax) * along[0] + (z - az) * along[1], 0.0, length)
    away = np.hypot(x - ax - way * along[0], z - az - way * along[1])
    return np.asarray(away < trace.model.rig.axle[axle].tyre.radius)


def place_at(trace: Trace) -> Place | None:
    """Place that some tyres touch for most of a run; None where there is none.

    A face or an edge counts before the stretch that it leads to, as it is what the tyres stand against.
    """
    edges = sorted(places_of(trace), key=lambda place: place.feature in (Feature.ICE, Feature.SLIPPERY))
    for place in edges:
        if any(np.mean(at_place(trace, place, axle)) > 0.5 for axle in (REAR, FRONT)):
            return place
    return None


def place_ahead(trace: Trace) -> Place | None:
    """First place that the front tyres have not come to in a whole run."""
    reached = float(wheel_centre(trace, FRONT)[0].max()) + float(trace.model.rig.axle[FRONT].tyre.radius)
    return next((place for place in places_of(trace) if place.start[0] > reached), None)
