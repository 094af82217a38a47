"""How the limit of a number moves along other numbers: a line for each value of a second one."""

from collections.abc import Sequence

import numpy as np
import pandas as pd
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from simcore.results.headlines.ranges import KNOWN, SIDES, Ending, ending
from simcore.results.headlines.tables import at, places
from simcore.results.quantities import Label
from simcore.studies.ranges import Ranges
from simcore.studies.sought import Sought
from simcore.views.catalogue import picture
from simcore.views.pictures.layout import panels
from simcore.views.pictures.names import Named, name_categories, name_lines
from simcore.views.pictures.style import MARKERS, QUIET, case_look, styled

PLACE = "place"  # column of where a row stands along the first axis
PANEL = 3.4  # inches
ASIDE = 0.05  # of an axis, beside what is drawn
SHOWN = KNOWN | {Ending.RANGE_ENDS}
APART = 0.045  # of a panel, between the crosses of two lines
HOLLOW, NEVER = "hollow: to the end of the range", "cross: never done"
OPEN = "hatched: no answer"


@styled
def limit_lines(
    table: pd.DataFrame, sought: Sought, axes: Sequence[tuple[str, Label]], answer: str, question: str
) -> Figure:
    """A panel for the upper limit, one for the lower one, as far as they are found, over the first axis.

    Parameters
    ----------
    table : one row a combination, its axes as they are said; columns as in `simcore.studies.ranges.MEANING`
    sought : the number
    axes : columns and labels of the axes, of which two are drawn
    answer, question : the finding, and what was asked of which rig
    """
    sides = [side for side in SIDES if any(ending(row, side) in KNOWN for _, row in table.iterrows())]
    sides = sides or ["high"]
    (path, label), *others = axes
    figure, panes = panels([PANEL] * len(sides), answer, question + held(table, axes), str(label))
    x, names = places(table[path])
    low, high = float(x.min()), float(x.max())
    aside = 0.5 if names else ASIDE * (high - low) or 1.0
    panes[0].set_xlim(low - aside, high + aside)
    if names:
        name_categories(panes[-1], names, range(len(names)))
    drawn = table.assign(**{PLACE: x})
    for axis, side in zip(panes, sides, strict=True):
        groups = drawn.groupby(others[0][0], sort=False) if others else [("", drawn)]
        lines = []
        for k, (value, rows) in enumerate(groups):
            name = at(value, others[0][1].unit) if others else SIDES[side]
            lines.append(_line(axis, rows, side, sought, name, k))
            _mark(axis, rows, side, sought, k)
        _scale(axis, sought)
        axis.set_ylabel(f"{SIDES[side]} {sought.label}")
        if others:
            name_lines(axis, [line for line in lines if np.isfinite(line.y).any()])
        _explain(axis, drawn, side, f"lines: {others[0][1].name}" if others else "")
    return figure


def held(table: pd.DataFrame, axes: Sequence[tuple[str, Label]]) -> str:
    """Values of a third axis and more, at which the picture stands."""
    said = [f"{label.name} {at(table[path].iloc[0], label.unit)}" for path, label in axes[2:]]
    return f"; at {', '.join(said)}" if said else ""


def _line(axis: Axes, rows: pd.DataFrame, side: str, sought: Sought, name: str, k: int) -> Named:
    """The limit along the first axis: a dot where it is found, hollow where the range ends before it."""
    colour, dash = case_look(k)
    marker, factor = MARKERS[k % len(MARKERS)], sought.said_factor
    rows = rows.sort_values(PLACE, kind="stable")
    edges = [ending(row, side) for _, row in rows.iterrows()]
    x = rows[PLACE].to_numpy(float)
    y = np.where([edge in SHOWN for edge in edges], factor * rows[f"{side}_done"].to_numpy(float), np.nan)
    axis.plot(x, y, color=colour, ls=dash)
    for hollow in (False, True):
        there = np.array([(edge is Ending.RANGE_ENDS) is hollow for edge in edges])
        face = "white" if hollow else colour
        axis.plot(x[there], y[there], marker, color=colour, mfc=face, ms=7, ls="")
    return Named(name, colour, x, y)


def _scale(axis: Axes, sought: Sought) -> None:
    """All of the range upright."""
    first, last = (sought.said_factor * end for end in (sought.scan[0], sought.scan[-1]))
    spare = ASIDE * (last - first)
    axis.set_ylim(first - spare, last + spare)


def _mark(axis: Axes, rows: pd.DataFrame, side: str, sought: Sought, k: int) -> None:
    """Hatched where the k-th line has no answer, crosses where it is never done."""
    colour, factor = case_look(k)[0], sought.said_factor
    first, last = factor * sought.scan[0], factor * sought.scan[-1]
    width = 0.3 * float(np.min(np.diff(np.unique(rows[PLACE])), initial=1.0))
    for _, row in rows.iterrows():
        if ending(row, side) is Ending.NOT_KNOWN:
            inner, outer = {"high": (first, last), "low": (last, first)}[side]
            done, fails = (factor * row[f"{side}_{key}"] for key in ("done", "fails"))
            bottom, top = inner if np.isnan(done) else done, outer if np.isnan(fails) else fails
            axis.bar([row[PLACE]], [top - bottom], width, [bottom], fc="none", ec=colour, hatch="///")
        elif ending(row, side) is Ending.NEVER_DONE:
            foot = axis.get_xaxis_transform()
            axis.plot([row[PLACE]], [0.03 + APART * k], "x", color=colour, ms=8, mew=2, transform=foot)


def _explain(axis: Axes, rows: pd.DataFrame, side: str, lines: str) -> None:
    """What marks stand for, once in a panel."""
    edges = {ending(row, side) for _, row in rows.iterrows()}
    texts = {HOLLOW: Ending.RANGE_ENDS, NEVER: Ending.NEVER_DONE, OPEN: Ending.NOT_KNOWN}
    marks = [text for text, edge in texts.items() if edge in edges]
    said = "; ".join(text for text in (lines, *marks) if text)
    axis.text(0.0, 1.02, said, transform=axis.transAxes, color=QUIET, fontsize=11)


@picture(
    "Each dot is the outermost value with which the job is done, found by whole runs; lines bear the value "
    "of the second axis at their ends. All of the upright axis was searched.",
)
def of_limits_along(result: Ranges) -> Figure:
    """Limits along the axes; a third axis and more stand at their first values."""
    table = result.said
    for path, _ in result.axes[2:]:
        table = table[table[path] == table[path].iloc[0]]
    return limit_lines(table, result.sought, result.axes, result.headline, result.asked)
