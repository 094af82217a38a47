"""The course of a scenario: one plane, or pieces in a row."""

from collections.abc import Iterator
from typing import Annotated, Self

from pydantic import Field, model_validator

from simcore.files.fields import Contradiction, GroundGrip, Slope, Table, bench, refuse
from simcore.units import Q


class Piece(Table):
    """A piece of the course: a straight one with `length` and `slope`, or an upright one with `ledge`."""

    length: Annotated[float, Q("mm", gt=0, le=100000)] | None = None
    """Length along the surface."""
    slope: Slope = 0
    """Angle of a straight piece; uphill is positive."""
    ledge: Annotated[float, Q("mm", ge=-500, le=500)] | None = None
    """Height of an upright face; negative = a drop."""
    grip: GroundGrip = 100
    """Grip of this piece in percent of what the tyre states."""

    @model_validator(mode="after")
    def _agree(self) -> Self:
        if (self.length is None) == (self.ledge is None):
            got = "neither length nor ledge" if self.length is None else "both length and ledge"
            refuse([Contradiction((), got, "a piece with length (and slope) or with ledge")])
        if self.ledge == 0:
            refuse([Contradiction(("ledge",), "0 mm", "a rise or a drop")])
        if self.ledge is not None and self.slope != 0:
            got = f"{bench(self.slope, 'deg')} beside a ledge"
            refuse([Contradiction(("slope",), got, "left out: a ledge is upright")])
        return self


class Ground(Table):
    """The course: one endless plane (`slope`, `grip`) or a list of `pieces`.

    The first piece also reaches back without end, the last one forward.
    """

    slope: Slope = 0
    """Angle of the endless plane; uphill is positive."""
    grip: GroundGrip = 100
    """Grip of the plane in percent of what the tyre states; 10 is like ice."""
    pieces: tuple[Piece, ...] = Field(default=(), max_length=200)
    """The pieces in order, beginning at the origin of the course."""

    @model_validator(mode="after")
    def _agree(self) -> Self:
        if self.pieces:
            refuse(self._contradictions())
        return self

    def _contradictions(self) -> Iterator[Contradiction]:
        for key, value, plain, unit in (("slope", self.slope, 0.0, "deg"), ("grip", self.grip, 1.0, "%")):
            if value != plain:
                yield Contradiction(
                    (key,), f"{bench(value, unit)} beside pieces", "left out when there are pieces"
                )
        ledges = [piece.ledge is not None for piece in self.pieces]
        for i in {0, len(ledges) - 1}:
            if ledges[i]:
                yield Contradiction(("pieces", i), "a ledge at the end of the course", "a piece with length")
        for i in range(1, len(ledges)):
            if ledges[i - 1] and ledges[i]:
                yield Contradiction(
                    ("pieces", i), "a ledge right after a ledge", "a piece with length between them"
                )
