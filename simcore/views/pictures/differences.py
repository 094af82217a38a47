"""What every case adds to the figures of the first: bars, one panel a figure."""

import textwrap
from collections.abc import Mapping, Sequence

import numpy as np
import pandas as pd
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.ticker import MaxNLocator

from simcore.results.catalogue import just_seen, label_of
from simcore.results.conditions import Conditions
from simcore.results.formatting import in_picture, said_factor, said_unit
from simcore.results.headlines.side_load import side_load_remark
from simcore.results.headlines.tables import against
from simcore.results.metric_selection import shown_of
from simcore.results.reliability import unreliable_runs
from simcore.studies.compare import Comparison
from simcore.views.catalogue import picture
from simcore.views.pictures.layout import page
from simcore.views.pictures.names import shortened
from simcore.views.pictures.style import NAME_CHARACTERS, QUIET, case_look, styled

MOST_PANELS = 6
TITLE = 44  # letters in a row of a panel's title
NAME_ROW = NAME_CHARACTERS  # letters in a row of a case's name


@styled
def bars(
    table: pd.DataFrame,
    base: str,
    shown: Sequence[str],
    visible: Mapping[str, float],
    answer: str,
    question: str,
    left_out: str = "",
) -> Figure:
    """A panel for each of up to six metrics, a bar for each case.

    Parameters
    ----------
    table : one row a case, its name as index
    base : case that the others are measured against
    shown : columns to draw
    visible : smallest visible difference, by "deg" and "mm"; drawn as a grey band
    answer, question : the finding, and what was asked of which rig
    left_out : what the runs leave out of these differences, a row of its own
    """
    keys = list(shown)[:MOST_PANELS]
    changes = against(table, base, keys)
    columns = 1 if len(keys) == 1 else 2
    rows = -(-len(keys) // columns)
    height = 0.9 + 0.4 * max(len(changes), 2)
    what = f'{question}  Bars: difference to "{base}"; grey: too small to be seen\n{left_out}'
    figure, panels = page(rows, columns, height, answer, what, left=0.21, gap=1.0)
    names, colours = _names(table, base), _colours(table, base)
    for k, (panel, key) in enumerate(zip(panels, keys, strict=False)):
        seen = just_seen(key, visible) * said_factor(key)
        _draw_bars(panel, changes[key] * said_factor(key), key, seen, colours)
        panel.set_yticks(range(len(names))[::-1], names if k % columns == 0 else [""] * len(names))
        panel.tick_params(axis="y", length=0, labelsize=12)
        start = in_picture(key, float(table.loc[base, key]))
        panel.set_title(textwrap.fill(f"{label_of(key)} (base {start})", TITLE), fontsize=12, loc="left")
    for panel in panels[len(keys) :]:
        panel.remove()
    return figure


def _names(table: pd.DataFrame, base: str) -> list[str]:
    """Names of the cases in two rows at most, with what a reader must know of their runs."""
    *known, (_, early) = unreliable_runs(table).items()
    said = [*known, ("job not done", early)]
    cases = [k for k, case in enumerate(table.index) if case != base]
    found = []
    for k, name in zip(cases, shortened([str(table.index[k]) for k in cases], NAME_ROW * 2 - 2), strict=True):
        word = next((text for text, which in said if which[k]), "")
        rows = textwrap.wrap(name, NAME_ROW)[: 1 if word else 2]
        found.append("\n".join([*rows, f"({word})"] if word else rows))
    return found


def _colours(table: pd.DataFrame, base: str) -> list[str]:
    """Colours of the cases' bars; as over time, where those that could not start are not drawn."""
    ran = table["ended"].notna() if "ended" in table else pd.Series(True, table.index)
    place = ran.cumsum() - 1
    return [case_look(int(place[case]))[0] for case in table.index if case != base]


def _draw_bars(panel: Axes, changes: pd.Series, key: str, seen: float, colours: Sequence[str]) -> None:
    """Bars from the first case at the top, each with its value at its end."""
    values = changes.to_numpy(float)
    at = np.arange(len(values))[::-1]
    panel.axvspan(-seen, seen, color="#EBEBEB", lw=0.0, zorder=0)
    panel.barh(at, np.nan_to_num(values), height=0.62, color=colours)
    panel.axvline(0.0, color=QUIET, lw=1.0)
    low, high = float(np.nanmin(values, initial=-seen)), float(np.nanmax(values, initial=seen))
    aside = 0.5 * (high - low) or 1.0  # room for the words beside the bars
    panel.set_xlim(low - (aside if np.nanmin(values, initial=0.0) < 0.0 else 0.0), high + aside)
    panel.xaxis.set_major_locator(MaxNLocator(4))
    for place, value in zip(at, values, strict=True):
        _say_value(panel, place, value, key)
    panel.set_ylim(-0.6, max(len(values), 1) - 0.4)
    panel.set_xlabel(f"difference, {said_unit(key)}", fontsize=11)
    panel.grid(visible=False, axis="y")


def _say_value(panel: Axes, place: int, value: float, key: str) -> None:
    """The difference with its sign and unit at the end of its bar."""
    text = "unknown" if np.isnan(value) else in_picture(key, value / said_factor(key))
    grows = value > 0.0 and any(digit in text for digit in "123456789")
    panel.annotate(
        f"+{text}" if grows else text,
        (0.0 if np.isnan(value) else value, place),
        xytext=(-4 if value < 0.0 else 4, 0),
        textcoords="offset points",
        va="center",
        ha="right" if value < 0.0 else "left",
        fontsize=11,
    )


@picture(
    "Every bar is a case less the first case, in the unit of its panel. A bar as short as the grey "
    "band, or none, is a difference that nobody sees.",
)
def of_comparison(result: Comparison) -> Figure:
    """What every case adds to the metrics of the first."""
    conditions, table, scenario = Conditions.of(result.scenario), result.table, result.scenario
    keys = shown_of(table, scenario.conclusion.shown)[:MOST_PANELS]
    left_out = side_load_remark(result.summaries, keys)
    what = (table, scenario.case, keys, conditions.visible)
    return bars(*what, result.headline, conditions.text, left_out)
