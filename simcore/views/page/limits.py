"""Charts of what a rig can just do: the steepest slopes, and the ranges of a number."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
import pandas as pd

from simcore.results.headlines.limits import in_gap
from simcore.results.headlines.ranges import FURTHER, SIDES, Ending, ending
from simcore.results.headlines.tables import at, places
from simcore.results.quantities import Label
from simcore.studies.limit import Limits
from simcore.studies.ranges import Range, Ranges
from simcore.views.page.bars import GLYPHS, Bar, Bars, Mark, Row
from simcore.views.page.chart import Area, Chart, Curve, Series
from simcore.views.pictures.limit_lines import HOLLOW, NEVER, OPEN, SHOWN, held
from simcore.views.pictures.ranges import SPARE, marks_of, texts_of
from simcore.views.pictures.slopes import MARKS, STAND, answer_of, right_end

Rows = npt.NDArray[np.bool_]
BLACK, BLUE = 6, 0  # numbers of colours
SHAPES = dict(zip((key for key, *_ in MARKS), (("tip", BLACK), ("grip", 1)), strict=True))
LOOKS = {"high": 0, "low": 1}  # of the edges of a range
MOST = 9  # values of a second axis, that have a chart each


def of_limits(result: Limits) -> Bars:
    """The steepest slope of every case, what it does beyond, and what the rigid rig could."""
    table = result.table
    right = right_end(table)
    marks = [f"{GLYPHS[SHAPES[key][0]]} {words}" for key, words, *_ in MARKS if table[key].notna().any()]
    return Bars(
        heading="steepest slope climbed, deg",
        note="bars begin on the level; below each: what happens on the next steeper slope",
        along="slope, deg",
        rows=[_slope_row(str(name), row, right) for name, row in table.iterrows()],
        limits=(0.0, right),
        keys=[f"{', '.join(marks)}: {STAND}"] if marks else (),
        origin=0.0,
    )


def _slope_row(name: str, row: pd.Series, right: float) -> Row:
    climbed = 0.0 if pd.isna(row["climbs_deg"]) else float(row["climbs_deg"])
    bars = [] if pd.isna(row["climbs_deg"]) else [Bar(0.0, climbed)]
    if in_gap(row):
        bars.append(
            Bar(climbed, right if pd.isna(row["fails_deg"]) else float(row["fails_deg"]), fill="hatched")
        )
    known = sorted((float(row[key]), words, *SHAPES[key]) for key, words, *_ in MARKS if pd.notna(row[key]))
    said = ", ".join(f"{GLYPHS[shape]} {words} {slope:.1f}°" for slope, words, shape, _ in known)
    angle, reason = answer_of(row)
    return Row(
        name,
        bars,
        [Mark(slope, shape, look) for slope, _, shape, look in known],
        said=[reason, *filter(None, [said])],
        answer=f"{angle}:" if angle else "",
    )


# --- ranges of a number ---


def of_ranges(result: Ranges) -> Bars:
    """Between which values every case does its job, on the scale that was searched."""
    sought, (first, last) = result.sought, _searched(result)
    spare = SPARE * (last - first)
    return Bars(
        heading=f"{sought.label.name} with which the job is done, {sought.label.unit}".removesuffix(", "),
        note=f"all of the scale was searched, every {sought.said(sought.step)}; below each: what lies beyond",
        along=str(sought.label),
        rows=[_range_row(name, one, result, (first, last)) for name, one in result.ranges.items()],
        limits=(first - spare, last + spare),
        keys=marks_of(result.ranges),
    )


def _searched(result: Ranges) -> tuple[float, float]:
    """Ends of the range in which the number was sought, as it is said."""
    sought = result.sought
    return sought.said_factor * sought.scan[0], sought.said_factor * sought.scan[-1]


def _range_row(name: str, found: Range, result: Ranges, ends: tuple[float, float]) -> Row:
    factor = result.sought.said_factor
    bars = [Bar(factor * low, factor * high, fill="pale") for low, high in found.others]
    marks = []
    if found.low.done is None or found.high.done is None:
        if found.low.ending is Ending.NOT_KNOWN:
            bars.append(Bar(*ends, fill="hatched"))
    else:
        low, high = factor * found.low.done, factor * found.high.done
        for end, inner, outer, shape in (
            (found.low, low, ends[0], "less"),
            (found.high, high, ends[1], "more"),
        ):
            if end.ending is Ending.NOT_KNOWN:
                beyond = outer if end.beyond is None else factor * end.beyond
                bars.append(Bar(min(inner, beyond), max(inner, beyond), fill="hatched"))
            if end.ending is Ending.RANGE_ENDS:
                marks.append(Mark(inner, shape, BLUE))
        bars.append(Bar(low, high))
    if found.own is not None and ends[0] <= factor * found.own <= ends[1]:
        marks.append(Mark(factor * found.own))
    return Row(name, bars, marks, said=texts_of(found, result.sought))


def of_ranges_along(result: Ranges) -> list[Chart]:
    """The band in which the job is done over the first axis: one, or one for each value of the second."""
    (path, label), *others = result.axes
    table = result.said
    for other, _ in others[1:]:
        table = table[table[other] == table[other].iloc[0]]
    x, names = places(table[path])
    aside = 0.5 if names else 0.03 * (float(x.max()) - float(x.min())) or 1.0
    first, last = _searched(result)
    spare = SPARE * (last - first)
    charts = []
    for words, own in _groups(table, others):
        order = np.argsort(x[own], kind="stable")
        band = _Band(x[own][order], table[own].iloc[order], result.sought.said_factor, (first, last))
        chart = Chart(
            title=result.sought.label.name,
            unit=result.sought.label.unit,
            note=f"{words}{held(table, result.axes)}",
            along=str(label),
            curves=band.curves,
            limits=(float(x.min()) - aside, float(x.max()) + aside),
            names=names or (),
            areas=[band.area],
            crosses=band.crosses,
            up=(first - spare, last + spare),
        )
        charts.append(chart)
    return charts


def _groups(table: pd.DataFrame, others: Sequence[tuple[str, Label]]) -> Iterator[tuple[str, Rows]]:
    """Values of a second axis, in words, and which rows have them; all rows where there is none."""
    if not others:
        yield "", np.ones(len(table), bool)
        return
    (path, label), *_ = others
    values = list(dict.fromkeys(table[path]))
    for value in values[:MOST]:
        some = f"; {MOST} of {len(values)} are drawn" if len(values) > MOST else ""
        yield f"{label.name} {at(value, label.unit)}{some}", (table[path] == value).to_numpy()


def notes_along(result: Ranges) -> list[str]:
    """How to read these, as sentences."""
    found = {ending(row, side) for _, row in result.table.iterrows() for side in SIDES}
    texts = {HOLLOW: Ending.RANGE_ENDS, NEVER: Ending.NEVER_DONE, OPEN: Ending.NOT_KNOWN}
    marks = ["Shaded: the job is done", *(text for text, edge in texts.items() if edge in found)]
    return [f"{'; '.join(marks)}. All of the upright axis was searched."]


@dataclass(frozen=True)
class _Band:
    """Ranges over an axis.

    Attributes
    ----------
    x : (n,) places along it, rising
    rows : (n) rows, columns as in `simcore.studies.ranges.MEANING`
    factor : what turns the number into the unit in which it is said
    ends : of the range that was searched, as it is said
    """

    x: Series
    rows: pd.DataFrame
    factor: float
    ends: tuple[float, float]

    @property
    def area(self) -> Area:
        """Between both edges."""
        return Area(self.x, self._done("low"), self._done("high"), BLUE)

    @property
    def curves(self) -> list[Curve]:
        """Both edges with their marks, and an upright line at every range that is known."""
        upright = self._upright(self.area.low, self.area.high)
        return [curve for side in SIDES for curve in self._edge(side)] + [Curve("", *upright, BLUE, "stem")]

    @property
    def crosses(self) -> list[tuple[float, float]]:
        """Where the job is never done, at the foot."""
        return [(float(x), self.ends[0]) for x in self.x[self._where("high", Ending.NEVER_DONE)]]

    def _edge(self, side: str) -> Iterator[Curve]:
        """Its line with dots, hollow ones where the range ends before it, and bars where it is not known."""
        done, look = self._done(side), LOOKS[side]
        shown = [edge for edge in self._endings(side) if edge in SHOWN]
        more = FURTHER[side] if shown and shown[-1] is Ending.RANGE_ENDS else ""
        yield Curve(SIDES[side], self.x, done, look, "solid" if side == "high" else "long", more)
        yield Curve("", self.x, done, look, "points")
        further = self._where(side, Ending.RANGE_ENDS)
        yield Curve("", self.x, np.where(further, done, np.nan), look, "holes")
        inner, outer = (self._number(f"{side}_{key}") for key in ("done", "fails"))
        first, last = self.ends if side == "high" else self.ends[::-1]
        unknown = self._where(side, Ending.NOT_KNOWN)
        inner = np.where(unknown, np.where(np.isnan(inner), first, inner), np.nan)
        yield Curve("", *self._upright(inner, np.where(np.isnan(outer), last, outer)), look, "gap")

    def _upright(self, low: Series, high: Series) -> tuple[Series, Series]:
        """Lines from one value to another, with gaps between them."""
        known = np.isfinite(low) & np.isfinite(high)
        ends = [np.where(known, low, np.nan), np.where(known, high, np.nan), np.full(len(low), np.nan)]
        return np.repeat(self.x, 3), np.column_stack(ends).ravel()

    def _done(self, side: str) -> Series:
        """Outermost value with which the job is done, as far as that is known."""
        return np.where(self._where(side, *SHOWN), self._number(f"{side}_done"), np.nan)

    def _number(self, column: str) -> Series:
        return self.factor * self.rows[column].to_numpy(float)

    def _endings(self, side: str) -> list[Ending]:
        return [ending(row, side) for _, row in self.rows.iterrows()]

    def _where(self, side: str, *codes: Ending) -> Rows:
        """In which rows one of these lies beyond an edge."""
        return np.array([one in codes for one in self._endings(side)])
