"""The ground of a scenario as records of straight pieces."""

import math
from collections.abc import Iterable
from typing import Any

import numpy as np

from simcore.compiled import PIECE, PieceRecord, Records
from simcore.files.scenario import Scenario

ENDLESS = 1000.0  # m, how far the first and the last piece of ground reach on


def flat_ground() -> Records[PieceRecord]:
    """Endless level ground as an array of one piece."""
    return course([(2.0 * ENDLESS, 0.0, 1.0)], origin=-ENDLESS)


def course(pieces: Iterable[tuple[float, float, float]], origin: float = 0.0) -> Records[PieceRecord]:
    """Straight pieces of ground from (length m, slope rad, grip factor), beginning at (origin, 0)."""
    pieces = list(pieces)
    records: Any = np.zeros(len(pieces), PIECE)
    x, z = origin, 0.0
    for record, (length, slope, grip) in zip(records, pieces, strict=True):
        record["along"]["x"], record["along"]["z"] = math.cos(slope), math.sin(slope)
        record["start"]["x"], record["start"]["z"] = x, z
        record["length"], record["grip"] = length, grip
        x, z = x + length * math.cos(slope), z + length * math.sin(slope)
    return records


def course_of(scenario: Scenario) -> Records[PieceRecord]:
    """Ground of a scenario; the first piece reaches back and the last one forward without end."""
    ground = scenario.ground
    if not ground.pieces:
        pieces = [(0.0, ground.slope, ground.grip)]
    else:
        pieces = []
        for piece in ground.pieces:
            upright = math.copysign(math.pi / 2.0, piece.ledge or 0.0)
            slope = piece.slope if piece.ledge is None else upright
            pieces.append((abs(piece.length or piece.ledge or 0.0), slope, piece.grip))
    first, last = pieces[0], pieces[-1]
    if first is last:
        pieces = [(2.0 * ENDLESS + first[0], *first[1:])]
    else:
        pieces = [(first[0] + ENDLESS, *first[1:]), *pieces[1:-1], (last[0] + ENDLESS, *last[1:])]
    records = course(pieces)
    back = ENDLESS * np.array([math.cos(first[1]), math.sin(first[1])])
    records["start"]["x"] -= back[0]
    records["start"]["z"] -= back[1]
    return records
