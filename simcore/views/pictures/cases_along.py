"""Metrics of several cases over one axis, a panel a metric and a line a case; and less the first case."""

import textwrap
from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np
import numpy.typing as npt
import pandas as pd
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from simcore.files.axes import CASE
from simcore.results.catalogue import just_seen, label_of
from simcore.results.conditions import Conditions
from simcore.results.formatting import said_factor, said_unit
from simcore.results.headlines.cases_along import by_case
from simcore.results.headlines.side_load import side_load_remark_of
from simcore.results.headlines.tables import places
from simcore.results.quantities import Label
from simcore.results.reliability import unreliable_runs
from simcore.studies.plan import axis_label
from simcore.studies.sweep import Sweep
from simcore.views.catalogue import picture
from simcore.views.pictures.layout import panels, room
from simcore.views.pictures.names import Named, name_lines, shortened
from simcore.views.pictures.outcomes import CROSSES, LEAST, PANEL, ends_of, name_some
from simcore.views.pictures.style import MARKERS, QUIET, SMALL, case_look, ink, styled

MOST_PANELS = 6
ROW = 0.22  # inches of height that the crosses of a case take
MANY = 50  # runs of a case, from which they have no dots
TITLE = 26  # letters in a row beside a panel
BAND = "#EBEBEB"
Numbers = npt.NDArray[np.float64]


@styled
def case_curves(
    table: pd.DataFrame, axis: str, label: Label, shown: Sequence[str], answer: str, question: str
) -> Figure:
    """A panel for each of up to six metrics, a line for each case, broken where a run did not do its job.

    Parameters
    ----------
    table : one row a run, with a column `case`, the base first
    axis, label : column of the axis and what to call it
    shown : columns to draw
    answer, question : the finding, and what was asked of which rig
    """
    keys = list(shown)[:MOST_PANELS]
    figure, axes = _page(table, axis, label, len(keys), answer, question)
    for panel, key in zip(axes, keys, strict=False):
        values = _done(table, axis, key)
        if values.min(axis=None) < 0.0 < values.max(axis=None):
            panel.axhline(0.0, color=QUIET, lw=0.8)
        lines = [_line(panel, values[name], name, k) for k, name in enumerate(values)]
        _finish(panel, f"{label_of(key)}, {said_unit(key)}", LEAST.get(said_unit(key), 0.0), lines)
    return figure


@styled
def case_differences(
    table: pd.DataFrame,
    axis: str,
    label: Label,
    shown: Sequence[str],
    visible: Mapping[str, float],
    answer: str,
    question: str,
) -> Figure:
    """The same less the first case, where both runs did their job.

    Parameters
    ----------
    table, axis, label, shown, answer, question : as for `case_curves`
    visible : smallest visible difference, by "deg" and "mm"; drawn as a grey band
    """
    keys, base = list(shown)[:MOST_PANELS], table[CASE].iloc[0]
    what = f'{question}\nLines: difference to "{base}"; grey: too small to be seen'
    figure, axes = _page(table, axis, label, len(keys), answer, what)
    for panel, key in zip(axes, keys, strict=False):
        values, seen = _done(table, axis, key), just_seen(key, visible) * said_factor(key)
        panel.axhspan(-seen, seen, color=BAND, lw=0.0, zorder=0)
        panel.axhline(0.0, color=QUIET, lw=1.0)
        others = [(k, name) for k, name in enumerate(values) if name != base]
        lines = [_line(panel, values[name] - values[base], name, k) for k, name in others]
        _finish(panel, f"{label_of(key)}, difference, {said_unit(key)}", 0.0, lines)
    return figure


def _page(
    table: pd.DataFrame, axis: str, label: Label, count: int, answer: str, question: str
) -> tuple[Figure, list[Axes]]:
    """Panels over the axis, and under them one for the runs that the lines leave out, if there are any."""
    marked = _marked(table)
    strip = [(len(marked) + 0.4) * ROW] if marked else []
    said = f"\n{_crosses_in_words(table)}" if marked else ""
    figure, axes = panels([PANEL] * count + strip, answer, f"{question}{said}", str(label))
    x, names = places(table[axis])
    axes[0].set_xlim(*ends_of(x, names is not None))
    if names is not None:
        name_some(axes[-1], names)
    if marked:
        _draw_crosses(axes[-1], table, x, marked)
    return figure, axes


def _done(table: pd.DataFrame, axis: str, key: str) -> pd.DataFrame:
    """Values of a metric as they are said, by place on the axis and case; of runs that did their job."""
    doubtful = np.any(list(unreliable_runs(table).values()), axis=0)
    return by_case(table, axis, table[key].astype(float).mask(doubtful) * said_factor(key))


def _line(panel: Axes, values: pd.Series, name: str, k: int) -> Named | None:
    """The line of the k-th case; gives what names it."""
    x, y = values.index.to_numpy(float), values.to_numpy(float)
    if not np.isfinite(y).any():
        return None
    colour, dash = case_look(k)
    marker, size = (MARKERS[k % len(MARKERS)], 4.5) if len(x) <= MANY else ("", 0.0)
    panel.plot(x, y, color=colour, ls=dash, marker=marker, ms=size)
    return Named(name, colour, x, y)


def _finish(panel: Axes, what: str, least: float, lines: Sequence[Named | None]) -> None:
    """Name and scale of a panel, and names at the ends of its lines."""
    known = [line for line in lines if line is not None]
    panel.set_ylabel("\n".join(textwrap.wrap(what.removesuffix(", "), TITLE)))
    if not known:
        panel.set_yticks([])  # a scale without a value says nothing
    room(panel, least)
    apart = len({line.end[0] for line in known}) > 1  # where each case last does its job
    name_lines(panel, known, beside=apart)


# --- runs that no line has ---


def _marked(table: pd.DataFrame) -> dict[str, str]:
    """Cases with runs that the lines leave out, and their colours."""
    doubtful = np.any(list(unreliable_runs(table).values()), axis=0)
    names = list(dict.fromkeys(table[CASE]))
    return {name: case_look(k)[0] for k, name in enumerate(names) if name in set(table.loc[doubtful, CASE])}


def _crosses_in_words(table: pd.DataFrame) -> str:
    """What the crosses stand for."""
    groups = zip(unreliable_runs(table).items(), CROSSES, strict=True)
    said = [f"{name}: {text}" for (text, which), (_, name) in groups if which.any()]
    return f"Below, runs that no line has; {'; '.join(said)}"


def _draw_crosses(panel: Axes, table: pd.DataFrame, x: Numbers, marked: Mapping[str, str]) -> None:
    """A row of crosses for each case, bearing its name at its end."""
    groups = unreliable_runs(table).values()
    short = shortened(list(marked))
    for row, ((name, colour), said) in enumerate(zip(marked.items(), short, strict=True)):
        own = (table[CASE] == name).to_numpy()
        for which, (mark, _) in zip(groups, CROSSES, strict=True):
            at = x[which & own]
            panel.plot(at, np.full(len(at), row), **mark, color=colour, ls="")
        how: dict[str, Any] = {"transform": panel.get_yaxis_transform(), "va": "center", "fontsize": SMALL}
        panel.text(1.025, row, said, color=ink(colour), **how)
    panel.set_ylim(len(marked) - 0.3, -0.7)
    panel.set_yticks([])
    panel.grid(visible=False, axis="y")


@picture(
    "A line for each case, bearing its name at its end; each dot is a whole run. Lines are broken where a "
    "case does not do its job; crosses below say so in its colour.",
)
def of_cases(result: Sweep) -> Figure:
    """Curves of several cases over the first axis of a sweep; further axes stand at their first values."""
    axis = result.axes[0]
    what = (result.drawn, axis, axis_label(axis), result.shown, result.headline, _question(result))
    return case_curves(*what)


@picture(
    "Each line is a case less the first case, at the same value of the axis, in the unit of its panel. "
    "Within the grey band nobody sees the difference; a line through zero is a change of order.",
)
def differences_of_cases(result: Sweep) -> Figure:
    """What every case adds to the metrics of the first, over the first axis of a sweep."""
    axis, visible = result.axes[0], Conditions.of(result.scenario).visible
    left_out = side_load_remark_of(result.side_by_side, result.shown[:MOST_PANELS])
    question = "\n".join(part for part in (_question(result), left_out) if part)
    what = (result.drawn, axis, axis_label(axis), result.shown, visible)
    return case_differences(*what, result.headline, question)


def _question(result: Sweep) -> str:
    """What was asked, and where axes stand that are not drawn."""
    text = Conditions.of(result.scenario).text
    return f"{text}  At {result.held}" if result.held else text
