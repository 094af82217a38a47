"""A chart of rows on one scale: bars and marks in each, words in HTML beside and below them.

Rows are drawn in per cent of their width: nothing in them is stretched, and every shape stays as it is.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple

from markupsafe import Markup

from simcore.views.page.chart import LOOKS
from simcore.views.page.part import Part
from simcore.views.page.scale import Tick, scale, share
from simcore.views.page.shipped import template, text

SHAPES = {
    "tip": "M-5 0h10l-5 9z",
    "grip": "M0 0l5 5-5 5-5-5z",
    "less": "M0-7v14l-9-7z",
    "more": "M0-7v14l9-7z",
}
"""Outlines of marks, px: "tip" and "grip" stand over the bar, "less" and "more" point outward at its ends."""
GLYPHS = {"tip": "\N{BLACK DOWN-POINTING TRIANGLE}", "grip": "\N{BLACK DIAMOND}"}
HEIGHT, HEAD = 14, 13  # px: of a bar, and of the room for marks over it
LEAST = 0.3  # % of the width, that a bar is wide


class Bar(NamedTuple):
    """A stretch of a row.

    Attributes
    ----------
    low, high : its ends
    look : number of its colour
    fill : "full", "pale" or "hatched"
    half : 0: as high as the row; 1: its upper half; 2: its lower one
    words : at its end `high`, or at `low` where `back`
    back : whether it is drawn from `high` to `low`
    """

    low: float
    high: float
    look: int = 0
    fill: str = "full"
    half: int = 0
    words: str = ""
    back: bool = False


class Mark(NamedTuple):
    """A line across the bar at a value; its shape is one of `SHAPES` or empty, its colour by number."""

    at: float
    shape: str = ""
    look: int = 6


class Row(NamedTuple):
    """What is drawn and said of one case.

    Attributes
    ----------
    name, under : of the row; below its name
    bars, marks : that are drawn
    end : at the right end
    said, answer : below it, a line each; the answer stands before the first
    """

    name: str
    bars: Sequence[Bar] = ()
    marks: Sequence[Mark] = ()
    under: str = ""
    end: str = ""
    said: Sequence[str] = ()
    answer: str = ""


@dataclass(frozen=True)
class Bars:
    """Rows on one scale.

    Attributes
    ----------
    heading : what is drawn, with its unit
    note : how to read it, in a few words
    along : what runs along the scale, with its unit
    rows : from the top
    limits : ends of the scale
    keys : what fills and marks stand for
    seen : a stretch of the scale that is shaded in every row
    origin : a value at which all rows have a line
    """

    heading: str
    note: str
    along: str
    rows: Sequence[Row]
    limits: tuple[float, float]
    keys: Sequence[str] = ()
    seen: tuple[float, float] | None = None
    origin: float | None = None

    @property
    def part(self) -> Part:
        """The chart as a piece of the page."""
        html = template("bars.html").render(one=self, rows=list(map(self._drawn, self.rows)))
        return Part(Markup(html), text("bars.css"))

    @property
    def scale(self) -> list[Tick]:
        """Numbers of the scale, none at its very ends."""
        return scale(self.limits)

    @property
    def words(self) -> str:
        """What the chart shows, for those who do not see it."""
        said = "; ".join(
            f"{row.name}: {', '.join(filter(None, [row.end, row.answer, *row.said]))}".rstrip(": ")
            for row in self.rows
        )
        return f"{self.heading}, over {self.along}: {said or 'no value'}"

    @property
    def ended(self) -> bool:
        """Whether rows have words at their right end."""
        return any(row.end for row in self.rows)

    @property
    def head(self) -> int:
        """Room over the bars for marks, px."""
        return HEAD if any(mark.shape in GLYPHS for row in self.rows for mark in row.marks) else 3

    @property
    def height(self) -> int:
        """Of what is drawn of a row, px."""
        halves = any(bar.half for row in self.rows for bar in row.bars)
        return self.head + (2 if halves else 1) * HEIGHT + 3

    def place(self, value: float) -> float:
        """Where a value stands, % of the width."""
        return 100.0 * share(value, self.limits)

    def _drawn(self, row: Row) -> "Drawn":
        return Drawn(
            row,
            [self._rectangle(bar) for bar in row.bars],
            list(map(self._cross, row.marks)),
            [self._end(bar) for bar in row.bars if bar.words],
        )

    def _top(self, bar: Bar) -> int:
        return self.head + HEIGHT * (bar.half == 2)

    def _rectangle(self, bar: Bar) -> "Rectangle":
        left, right = (self.place(value) for value in (bar.low, bar.high))
        missing = max(0.0, LEAST - (right - left))
        return Rectangle(
            left - 0.5 * missing, right - left + missing, self._top(bar), bar.look % LOOKS, bar.fill
        )

    def _cross(self, mark: Mark) -> "Cross":
        return Cross(self.place(mark.at), SHAPES.get(mark.shape, ""), mark.shape, mark.look % LOOKS)

    def _end(self, bar: Bar) -> "End":
        place = self.place(bar.low if bar.back else bar.high)
        return End(bar.words, place, self._top(bar), bar.back)


class Rectangle(NamedTuple):
    """Left edge and width, %; upper edge, px; colour and fill."""

    left: float
    width: float
    top: int
    colour: int
    fill: str


class Cross(NamedTuple):
    """Place of a line across, %; outline and name of its shape; colour."""

    place: float
    outline: str
    shape: str
    colour: int


class End(NamedTuple):
    """Words at the end of a bar: its place, %; upper edge, px; whether they stand to the left of it."""

    words: str
    place: float
    top: int
    back: bool


class Drawn(NamedTuple):
    """A row as the template takes it."""

    row: Row
    bars: Sequence[Rectangle]
    marks: Sequence[Cross]
    ends: Sequence[End]
