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
    return course([(ENDLESS, 0.0, 1.0)], behind=ENDLESS)


def course(
    pieces: Iterable[tuple[float, float, float]], origin: float = 0.0, behind: float = 0.0
) -> Records[PieceRecord]:
    """Straight pieces of ground from (length m, slope rad, grip factor), beginning at (origin, 0); the first
    one reaches back behind that (m).
    """
    pieces = list(pieces)
    records: Any = np.zeros(len(pieces), PIECE)
    x, z = origin, 0.0
    records[0]["behind"] = behind
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
    pieces[-1] = (pieces[-1][0] + ENDLESS, *pieces[-1][1:])
    return course(pieces, behind=ENDLESS)
