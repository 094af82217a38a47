"""A chart as inline SVG: lines named at their ends, a plot stretched to its room, words in HTML around it."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
import numpy.typing as npt
from markupsafe import Markup

from simcore.results.formatting import three_digits
from simcore.views.page.lines import SIDE, area, dots, path
from simcore.views.page.part import Part
from simcore.views.page.scale import Tick, scale, share
from simcore.views.page.shipped import template

Series = npt.NDArray[np.float64]
LOOKS = 9  # colours of cases in page.css
ROOM = 0.07  # of the span, above and below
LEAST, LEAST_SHARE = 1e-3, 0.01  # span that is shown at least, and as a share of the value
DASHES = ("solid", "long", "short", "mixed")
MARKS = ("points", "holes")
ROW = 9.0  # % of a plot's height, that the name of a line takes
MOST_ROWS = 11  # names of lines beside a plot as high as it stands
LONG_NAME = 18  # letters; where a line has more, the names stand below the plot


@dataclass(frozen=True)
class Curve:
    """One line of a chart.

    Attributes
    ----------
    name : at its end; empty: it is not named
    x, y : (n,) NaN where there is no number
    look : number of its colour, `--case-<n>` in page.css
    dash : one of `DASHES`; or "bold", "dots", "stem" (thin), "gap" (a hatched bar); or one of `MARKS`: no
        line, a dot at every value, or a hole in it
    more : what is to be known of its end
    """

    name: str
    x: Series
    y: Series
    look: int
    dash: str = "solid"
    more: str = ""


class Area(NamedTuple):
    """What lies between two lines; all (n,), NaN where there is none.

    Attributes
    ----------
    x, low, high : its edges
    look : number of its colour
    """

    x: Series
    low: Series
    high: Series
    look: int


@dataclass(frozen=True)
class Chart:
    """Lines over one axis.

    Attributes
    ----------
    title, unit : of what is drawn upward
    note : how to read it, in a few words
    along : what runs along it, with its unit
    curves : its lines
    limits : ends of the axis along it
    least : span upward that is shown at least, in which noise stays small
    from_zero : whether zero is shown
    marks : where something happens
    names : words of the axis along it, in place of numbers
    areas : shaded between lines
    crosses : where something is missing, along and upward
    up : ends of the axis upward; None: as the values have them
    """

    title: str
    unit: str
    note: str
    along: str
    curves: Sequence[Curve]
    limits: tuple[float, float]
    least: float = 0.0
    from_zero: bool = False
    marks: Sequence[float] = ()
    names: Sequence[str] = ()
    areas: Sequence[Area] = ()
    crosses: Sequence[tuple[float, float]] = ()
    up: tuple[float, float] | None = None

    @property
    def heading(self) -> str:
        """What is drawn, with its unit."""
        return f"{self.title}, {self.unit}" if self.unit else self.title

    @property
    def part(self) -> Part:
        """The chart as a piece of the page."""
        return Part(Markup(template("chart.html").render(one=self.drawn)))

    @property
    def drawn(self) -> "Drawn":
        """The chart as the template takes it."""
        known = [one for one in self.curves if np.isfinite(one.y).any()]
        up = self.up or (0.0, 1.0)
        if known and not self.up:
            up = _reach([one.y for one in known], self.least, self.from_zero)
        upward = scale(up) if known else []  # a scale without a value says nothing
        ends = _apart([_end(one, up) for one in known if one.name])
        return Drawn(
            chart=self,
            lines=[_line(one, self.limits, up) for one in known],
            ends=ends,
            up=upward,
            along=self._along(),
            grid="".join(f"M0 {SIDE * (1.0 - tick.place / 100.0):.0f}h{SIDE}" for tick in upward),
            areas=[_area(one, self.limits, up) for one in self.areas],
            crosses=[(100.0 * share(x, self.limits), 100.0 * share(y, up[::-1])) for x, y in self.crosses],
            marks="".join(f"M{SIDE * share(value, self.limits):.0f} 0v{SIDE}" for value in self.marks),
            rows=max(MOST_ROWS, len(ends)),
            words=self._words(ends),
        )

    def _along(self) -> list[Tick]:
        if self.names:
            return [Tick(name, 100.0 * share(k, self.limits)) for k, name in enumerate(self.names)]
        return scale(self.limits)

    def _words(self, ends: Sequence["End"]) -> str:
        """What the chart shows, for those who do not see it."""
        said = "; ".join(f"{one.name} ends at {one.value}{f' {one.more}' * bool(one.more)}" for one in ends)
        return f"{self.heading}, over {self.along}: {said}" if said else f"{self.heading}: no value"


class Stroke(NamedTuple):
    """Path of a line, number of its colour, name of its dash."""

    path: str
    colour: int
    dash: str


class End(NamedTuple):
    """Name of a line with its last value; its place is % from the lower end."""

    name: str
    value: str
    more: str
    colour: int
    dash: str
    place: float


@dataclass(frozen=True)
class Drawn:
    """What the template of a chart takes; the words are for those who do not see it."""

    chart: Chart
    lines: Sequence[Stroke]
    ends: Sequence[End]
    up: Sequence[Tick]
    along: Sequence[Tick]
    grid: str
    areas: Sequence[Stroke]
    crosses: Sequence[tuple[float, float]]
    marks: str
    rows: int
    words: str

    @property
    def side(self) -> int:
        """Length of the plot's sides in its own units."""
        return SIDE

    @property
    def keyed(self) -> bool:
        """Whether names are too long to stand beside the plot."""
        return any(len(one.name) + len(one.more) > LONG_NAME for one in self.ends)


def dash_of(k: int) -> str:
    """Dash of the k-th case; where colours are alike, dashes are not."""
    return DASHES[(k + k // len(DASHES)) % len(DASHES)]


def _line(curve: Curve, limits: tuple[float, float], up: tuple[float, float]) -> Stroke:
    draw = dots if curve.dash in MARKS else path
    return Stroke(draw(share(curve.x, limits), share(curve.y, up)), curve.look % LOOKS, curve.dash)


def _area(one: Area, limits: tuple[float, float], up: tuple[float, float]) -> Stroke:
    low, high = share(one.low, up), share(one.high, up)
    return Stroke(area(share(one.x, limits), low, high), one.look % LOOKS, "area")


def _end(curve: Curve, up: tuple[float, float]) -> End:
    last = float(curve.y[np.flatnonzero(np.isfinite(curve.y))[-1]])
    place = 100.0 * share(last, up)
    return End(curve.name, three_digits(last), curve.more, curve.look % LOOKS, curve.dash, place)


def _reach(values: Sequence[Series], least: float, from_zero: bool) -> tuple[float, float]:
    """Ends of the axis upward: all values, with some room, and no less than a span."""
    every = np.concatenate([*values, [0.0] * from_zero])
    every = every[np.isfinite(every)]
    low, high = float(every.min()), float(every.max())
    missing = max(least, LEAST, LEAST_SHARE * abs(high)) - (high - low)
    if missing > 0.0:
        low, high = low - 0.5 * missing, high + 0.5 * missing
    room = ROOM * (high - low)
    return low - room, high + room


def _apart(ends: Sequence[End]) -> list[End]:
    """The same from the lowest to the highest, moved so far that no name lies over another."""
    if not ends:
        return []
    ordered = sorted(ends, key=lambda one: one.place)
    row = min(ROW, 100.0 / len(ordered))
    places = [one.place for one in ordered]
    for k in range(1, len(places)):
        places[k] = max(places[k], places[k - 1] + row)
    places[-1] = min(places[-1], 100.0 - 0.5 * row)
    for k in range(len(places) - 2, -1, -1):
        places[k] = min(places[k], places[k + 1] - row)
    return [one._replace(place=place) for one, place in zip(ordered, places, strict=True)]
