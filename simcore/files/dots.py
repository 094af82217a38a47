"""The dots file: what is stuck on a rig that was filmed, and what of the picture is known in mm and deg."""

from collections.abc import Iterator
from itertools import combinations
from math import dist
from typing import Annotated, Literal, Self

from pydantic import Field, model_validator

from simcore.files.fields import Contradiction, Name, Position, Schema, Slope, Table, refuse
from simcore.units import Q

HUES = {
    "red": (345.0, 12.0),
    "orange": (12.0, 42.0),
    "yellow": (42.0, 72.0),
    "green": (72.0, 165.0),
    "turquoise": (165.0, 195.0),
    "blue": (195.0, 255.0),
    "violet": (255.0, 290.0),
    "pink": (290.0, 345.0),
}
"""Where each colour begins and ends on the circle of hues, deg; common practice, no source."""
Colour = Literal["red", "orange", "yellow", "green", "turquoise", "blue", "violet", "pink"]
Hue = Annotated[float, Q("1", ge=0, le=360)]
Share = Annotated[float, Q("%", ge=0, le=100)]
Pixel = tuple[Annotated[float, Q("1", ge=-20000, le=20000)], Annotated[float, Q("1", ge=-20000, le=20000)]]
Line = tuple[Pixel, Pixel]
Length = Annotated[float, Q("mm", gt=0, le=10000)]
_CORNERS = 4


class Dot(Table):
    """One dot: what it looks like and where on the rig it is stuck."""

    name: Name
    """What to call it."""
    on: Literal["chassis", "rear", "front"]
    """What it is stuck on: the chassis, or the rear or front axle (best on the middle of the hub)."""
    colour: Colour | None = None
    """Its colour; or `hue`."""
    hue: tuple[Hue, Hue] | None = None
    """From which to which hue it goes, degrees on the circle of colours (red 0, green 120, blue 240),
    upwards: [345, 12] goes through 0."""
    least_saturation: Share = 35
    """Anything paler is no dot."""
    least_brightness: Share = 25
    """Anything darker is no dot."""
    at: Position | None = None
    """Its place [x, z] on the rig, as in the rig file. Two on the chassis give the pitch against the bench,
    rises, and the scale if nothing else does. Left out on an axle: the hub's, where `--scenario` names the
    rig."""
    start: Pixel | None = None
    """Where it is in the first frame, pixels [right, down] from the picture's upper left corner; needed
    only where several things look like it."""

    @property
    def span(self) -> tuple[float, float]:
        """Hues from and to, deg; the second one is smaller where they go through 0."""
        return self.hue or HUES[str(self.colour)]

    def looks_like(self, other: "Dot") -> bool:
        """Say whether some hue is that of both."""
        return any(_inside(hue, b.span) for a, b in ((self, other), (other, self)) for hue in _inner(a.span))

    @model_validator(mode="after")
    def _agree(self) -> Self:
        if (self.colour is None) == (self.hue is None):
            got = "neither colour nor hue" if self.hue is None else "both colour and hue"
            refuse([Contradiction((), got, "a dot with a colour or with a range of hues")])
        if self.hue is not None and self.hue[0] == self.hue[1]:
            refuse([Contradiction(("hue",), "no range", "two different hues, from and to")])
        return self


def _inner(span: tuple[float, float]) -> tuple[float, float]:
    """Both ends of a range of hues, a little inside of it."""
    return (span[0] + 1e-6) % 360.0, (span[1] - 1e-6) % 360.0


def _inside(hue: float, span: tuple[float, float]) -> bool:
    return (hue - span[0]) % 360.0 <= (span[1] - span[0]) % 360.0


class Scale(Table):
    """A length that is known: between two dots, or between two points of the picture."""

    between: tuple[Name, Name] | None = None
    """Names of two dots, as they are at the start."""
    line: Line | None = None
    """Two points of a ruler that lies in the plane of the dots, pixels [[right, down], [right, down]]."""
    length: Length
    """How far they are apart."""

    @model_validator(mode="after")
    def _agree(self) -> Self:
        if (self.between is None) == (self.line is None):
            got = "neither between nor line" if self.line is None else "both between and line"
            refuse([Contradiction((), got, "the length between two dots or between two points")])
        if self.between is not None and self.between[0] == self.between[1]:
            refuse([Contradiction(("between",), f'"{self.between[0]}" twice', "two dots")])
        refuse(_no_line(self.line))
        return self


class Sheet(Table):
    """A sheet of paper, upright in the plane of the dots: puts right a camera that is not square to it."""

    corners: tuple[Pixel, Pixel, Pixel, Pixel]
    """Its corners in the picture: upper left, upper right, lower right, lower left; pixels [right, down]."""
    size: tuple[Length, Length] = (297, 210)
    """Width and height; left out: A4 lying (ISO 216)."""

    @model_validator(mode="after")
    def _agree(self) -> Self:
        turns = [_turn(*(self.corners[(k + i) % _CORNERS] for i in range(3))) for k in range(_CORNERS)]
        if min(turns) <= 0.0:
            must_be = "upper left, upper right, lower right, lower left, of a sheet seen from its front"
            refuse([Contradiction(("corners",), "corners that do not go round it clockwise", must_be)])
        return self


def _turn(a: Pixel, b: Pixel, c: Pixel) -> float:
    """Twice the area of a triangle, positive if it goes round clockwise in a picture whose rows go down."""
    return (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])


class Level(Table):
    """What is level in the picture, so that pitch is known against the bench and not only since the start."""

    line: Line | None = None
    """Two points of a straight line of known slope, pixels [[right, down], [right, down]]: a shelf, or the
    ground. Left out: the lower edge of the sheet, else the picture's own rows (a camera set with a spirit
    level)."""
    slope: Slope = 0
    """Slope of that line, uphill towards the rig's nose positive."""

    @model_validator(mode="after")
    def _agree(self) -> Self:
        refuse(_no_line(self.line))
        if self.line is None and self.slope != 0:
            refuse([Contradiction(("slope",), "a slope without a line", "left out, or beside `line`")])
        return self


class Lens(Table):
    """How the lens bends straight lines."""

    distortion: Annotated[float, Q("1", ge=-0.3, le=0.3)]
    """k of seen = true * (1 + k * true^2), radii from the middle of the picture in halves of its diagonal;
    negative bends lines outward, like a barrel (Brown 1966, first term)."""


def _no_line(line: Line | None) -> Iterator[Contradiction]:
    if line is not None and line[0] == line[1]:
        yield Contradiction(("line",), "the same point twice", "two points")


class Dots(Table):
    """What is known of a video: the dots, and scale, level and lens of its picture."""

    schema_version: Schema = Field(1, alias="schema")
    """Version of this file format."""
    note: str = ""
    """Free text."""
    dots: tuple[Dot, ...] = Field(max_length=12)
    """[[dots]], two at least."""
    scale: Scale | None = None
    """A known length. Left out: the sheet, else the places of two dots on one body."""
    sheet: Sheet | None = None
    """A sheet of paper; left out: the camera looks square at the plane of motion."""
    level: Level | None = None
    """What is level. Left out: taken from the dots' way where the slope is known, else pitch counts since
    the start."""
    lens: Lens | None = None
    """Left out: a lens that keeps straight lines straight."""
    slope: Slope | None = None
    """Slope of the plane that the rig drives on, uphill towards its nose positive; also by `--scenario`."""
    drives: Literal["left", "right"] | None = None
    """Where the rig's nose points in the picture; left out: from the dots."""
    fps: Annotated[float, Q("1/s", ge=1, le=10000)] | None = None
    """Frames per second as filmed, for files that say something else (slow motion). Left out: the times in
    the file."""
    most_lost: Share = 5
    """Share of the frames in which a dot may be lost before the log counts as doubtful."""

    @model_validator(mode="after")
    def _agree(self) -> Self:
        refuse([*self._twice(), *self._alike(), *self._lengths()])
        return self

    def dot(self, name: str) -> Dot:
        """Give a dot by its name."""
        return next(dot for dot in self.dots if dot.name == name)

    def on(self, body: str) -> list[Dot]:
        """Give the dots of a body."""
        return [dot for dot in self.dots if dot.on == body]

    def _twice(self) -> Iterator[Contradiction]:
        for (_, a), (k, b) in combinations(enumerate(self.dots), 2):
            if a.name == b.name:
                yield Contradiction(("dots", k, "name"), f'"{b.name}" twice', "a name of its own")
            if a.on == b.on and a.at is not None and a.at == b.at:
                yield Contradiction(("dots", k, "at"), f'the place of "{a.name}"', "a place of its own")

    def _alike(self) -> Iterator[Contradiction]:
        for (_, a), (k, b) in combinations(enumerate(self.dots), 2):
            if a.looks_like(b) and (a.start is None or b.start is None):
                key = "colour" if b.hue is None else "hue"
                must_be = "another colour, or `start` for both, to tell them apart"
                yield Contradiction(("dots", k, key), f'hues of "{a.name}" too', must_be)

    def _lengths(self) -> Iterator[Contradiction]:
        names = [dot.name for dot in self.dots]
        if len(names) < 2:  # pydantic's own count would leave out faulty ones
            yield Contradiction(("dots",), f"a list of {len(names)}", "a list of at least 2")
            return
        if self.scale is not None:
            for k, name in enumerate(self.scale.between or ()):
                if name not in names:
                    must_be = f"one of {', '.join(names)}"
                    yield Contradiction(("scale", "between", k), f'"{name}"', must_be)
        elif self.sheet is None and not self.measured_pairs():
            must_be = "[scale], [sheet], or `at` of two dots on one body"
            yield Contradiction((), "no length that is known", must_be)

    def measured_pairs(self) -> list[tuple[Dot, Dot]]:
        """Give pairs of dots on one body whose places are known, and differ."""
        return [
            (a, b)
            for a, b in combinations(self.dots, 2)
            if a.on == b.on and a.at is not None and b.at is not None and dist(a.at, b.at) > 0.0
        ]
