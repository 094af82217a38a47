"""A map of many runs over two axes: a cell a run, its colour the value, written in it where there is room."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from typing import NamedTuple

import numpy as np
from markupsafe import Markup
from matplotlib import colormaps
from matplotlib.colors import to_hex

from simcore.results.catalogue import label_of
from simcore.results.formatting import said_factor, said_unit, three_digits
from simcore.results.headlines.tables import named
from simcore.results.reliability import unreliable_runs
from simcore.studies.sweep import Sweep
from simcore.views.page.part import Part
from simcore.views.page.scale import Tick, scale, share
from simcore.views.page.shipped import template, text
from simcore.views.pictures.maps import BROKEN, COLOURS, EARLY, MOST_MAPS, Numbers, cells, marks_of, texts_of
from simcore.views.pictures.style import white_contrast

CROSS = "\N{MULTIPLICATION SIGN}"
SHADES = 32  # colours of a map
FEW, SOME = 6, 12  # columns with values on any screen, and on a wide one
MOST_ROWS = 12  # rows with values
ROW, LEAST_HIGH, MOST_HIGH = 1.9, 7.0, 26.0  # rem of height, of a row and of all
DARK_INK = 21.0**0.5  # contrast of a colour with white, below which black is clearer on it
NAMES = 12  # of an axis, that are written
LETTERS = 34  # of them with their blanks, that stand in a row on a phone
SIDE = 4  # units of a cell's sides, in which marks are whole numbers


@dataclass(frozen=True)
class Map:
    """Cells over two axes.

    Attributes
    ----------
    heading : what their colour is, with its unit
    note : where other axes stand; may be empty
    axes : what runs along and upward, with units
    across, up : names of columns and, from below, of rows
    values : (rows, columns) as they are said, NaN where there is none
    marks : of cells, by row and column: `CROSS` or `BROKEN`
    signs_said : what these stand for
    """

    heading: str
    note: str
    axes: tuple[str, str]
    across: Sequence[str]
    up: Sequence[str]
    values: Numbers
    marks: Mapping[tuple[int, int], str]
    signs_said: Mapping[str, str]

    @property
    def part(self) -> Part:
        """The map as a piece of the page."""
        return Part(Markup(template("cells.html").render(one=self)), text("cells.css"))

    @property
    def keys(self) -> list[str]:
        """What is drawn in cells, in words."""
        lost = [] if np.isfinite(self.values).all() else ["struck through: no result"]
        return [*(f"{sign}: {words}" for sign, words in self.signs_said.items()), *lost]

    @property
    def limits(self) -> tuple[float, float]:
        """Lowest and highest value; of alike ones somewhat more."""
        known = self.values[np.isfinite(self.values)]
        low, high = (float(known.min()), float(known.max())) if len(known) else (0.0, 1.0)
        return (low, high) if high - low >= 1e-9 else (low - 0.5, high + 0.5)

    @property
    def varied(self) -> bool:
        """Whether there are different values, which a scale of colours can tell."""
        known = self.values[np.isfinite(self.values)]
        return len(known) > 0 and float(np.ptp(known)) >= 1e-9

    @property
    def written(self) -> str:
        """On which screens the values stand in the cells: "few" columns on any, "some" on a wide one."""
        rows, columns = self.values.shape
        if rows > MOST_ROWS or columns > SOME:
            return ""
        return "few" if columns <= FEW else "some"

    @property
    def box(self) -> str:
        """View box of the cells."""
        return f"0 0 {SIDE * len(self.across)} {SIDE * len(self.up)}"

    @property
    def height(self) -> float:
        """Of all cells, rem."""
        return min(max(ROW * len(self.up), LEAST_HIGH), MOST_HIGH)

    @property
    def fills(self) -> list[tuple[str, str]]:
        """Colours, each with the path of its cells."""
        found: dict[int, list[str]] = {}
        for (j, i), value in np.ndenumerate(self.values):
            if np.isfinite(value):
                found.setdefault(self._shade(float(value)), []).append(self._cell(j, i))
        return [(colour(shade), "".join(found[shade])) for shade in sorted(found)]

    @property
    def missing(self) -> tuple[str, str]:
        """Paths of the cells without a result, and of the strokes through them."""
        lost = [(j, i) for j, i in np.argwhere(~np.isfinite(self.values)).tolist()]
        strokes = "".join(f"M{SIDE * i} {self._down(j) + SIDE}l{SIDE}-{SIDE}" for j, i in lost)
        return "".join(self._cell(j, i) for j, i in lost), strokes

    @property
    def signs(self) -> dict[str, str]:
        """Paths of the marks, by the ink that is clear on their cells; of few cells these are written."""
        found = {"black": "", "white": ""}
        for (j, i), mark in self.marks.items():
            if not self.written and np.isfinite(self.values[j, i]):
                found[self._ink(j, i)] += _sign(mark, SIDE * i, self._down(j))
        return found

    @property
    def texts(self) -> dict[str, list["Value"]]:
        """Values and marks that are written in cells, by their ink."""
        found: dict[str, list[Value]] = {}
        rows, columns = self.values.shape
        for (j, i), said in texts_of(self.values, self.limits, {}).items() if self.written else ():
            left, top = 100.0 * (i + 0.5) / columns, 100.0 * (rows - j - 0.5) / rows
            found.setdefault(self._ink(j, i), []).append(Value(said, self.marks.get((j, i), ""), left, top))
        return found

    @property
    def names(self) -> tuple[list[Tick], list[Tick]]:
        """Names of columns and rows at the middles of their cells; of many, some."""
        return _spread(self.across), _spread(self.up)

    @property
    def crowded(self) -> bool:
        """Whether only every other name of the columns has room on a phone."""
        return sum(len(name.text) + 1 for name in self.names[0]) > LETTERS

    @property
    def legend(self) -> list[tuple[str, str]]:
        """Colours from the lowest value to the highest, each with the path of its piece of a strip; the next
        one lies over its end.
        """
        return [(colour(shade), f"M{shade} 0h1.2v1h-1.2z") for shade in range(SHADES)]

    @property
    def scale(self) -> list[Tick]:
        """Numbers along the strip."""
        return scale(self.limits)

    @property
    def words(self) -> str:
        """What the map shows, for those who do not see it."""
        said = f"{self.heading}, over {self.axes[0]} (along) and {self.axes[1]} (upward): "
        if not np.isfinite(self.values).any():
            return f"{said}no value"
        low, high = (self._at(int(find(self.values))) for find in (np.nanargmin, np.nanargmax))
        marks = list(self.marks.values())
        counts = [f"{marks.count(sign)} cells: {words}" for sign, words in self.signs_said.items()]
        counts += [f"{lost} cells: no result"] if (lost := int((~np.isfinite(self.values)).sum())) else []
        return "; ".join([f"{said}from {low} to {high}", *counts])

    def _at(self, place: int) -> str:
        """The value of a cell, counted along the rows, and where it is."""
        j, i = divmod(place, len(self.across))
        return f"{three_digits(float(self.values[j, i]))} at {self.across[i]} and {self.up[j]}"

    def _down(self, j: int) -> int:
        """Upper edge of a row, from above."""
        return SIDE * (len(self.up) - 1 - j)

    def _cell(self, j: int, i: int) -> str:
        return f"M{SIDE * i} {self._down(j)}h{SIDE}v{SIDE}h-{SIDE}z"

    def _shade(self, value: float) -> int:
        return min(int(SHADES * share(value, self.limits)), SHADES - 1)

    def _ink(self, j: int, i: int) -> str:
        return ink_on(self._shade(float(self.values[j, i])))


class Value(NamedTuple):
    """A value in a cell with its mark, and the cell's middle, % from the left and from above."""

    text: str
    mark: str
    left: float
    top: float


@cache
def colour(shade: int) -> str:
    """A colour of a map: steps of lightness that the colour-blind see too, and that stay apart in grey."""
    return str(to_hex(colormaps[COLOURS](shade / (SHADES - 1))))


@cache
def ink_on(shade: int) -> str:
    """Black or white, whichever is clearer on a colour."""
    red, green, blue, _ = colormaps[COLOURS](shade / (SHADES - 1))
    return "black" if white_contrast((red, green, blue)) < DARK_INK else "white"


def _sign(mark: str, left: int, top: int) -> str:
    """Lines of a mark in a cell: a cross, or an exclamation mark."""
    if mark == CROSS:
        return f"M{left + 1} {top + 1}l2 2m0-2l-2 2"
    return f"M{left + 2} {top + 1}v1m0 .7v.2"


def _spread(names: Sequence[str]) -> list[Tick]:
    step = -(-len(names) // NAMES)
    return [Tick(names[k], 100.0 * (k + 0.5) / len(names)) for k in range(0, len(names), step)]


def of_sweep(sweep: Sweep) -> list[Map]:
    """Maps of the metrics of a sweep over its first two axes; further ones stand at their first values."""
    table, (axes, labels) = sweep.drawn, sweep.pair
    _, (broken, unsound), (missed, early) = unreliable_runs(table).items()
    said = {CROSS: missed} if early.any() else {}
    said |= {BROKEN: broken} if unsound.any() else {}
    found = {key: cells(table, axes, key) for key in list(sweep.shown)[:MOST_MAPS]}
    _, across, up = next(iter(found.values()))
    marks = {at: CROSS if mark == EARLY else mark for at, mark in marks_of(table, axes, across, up).items()}
    return [
        Map(
            heading=", ".join(filter(None, [label_of(key), said_unit(key)])),
            note=f"at {sweep.held}" if sweep.held else "",
            axes=(str(labels[0]), str(labels[1])),
            across=[named(one) for one in across],
            up=[named(one) for one in up],
            values=values * said_factor(key),
            marks=marks,
            signs_said=said,
        )
        for key, (values, _, _) in found.items()
    ]
