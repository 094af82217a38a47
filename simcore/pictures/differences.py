"""What every case adds to the figures of the first: bars, one panel a figure."""

from collections.abc import Mapping, Sequence

import numpy as np
import pandas as pd
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.ticker import MaxNLocator

from simcore.pictures.chosen import failures_in_words, first_seen, seen_by, value_in_words, words
from simcore.pictures.style import COLOURS, QUIET, page, styled
from simcore.units import column_unit

MOST_PANELS = 6


def against(table: pd.DataFrame, base: str, keys: Sequence[str]) -> pd.DataFrame:
    """Figures of every other case less those of the base."""
    numbers = table[list(keys)].astype(float)
    return (numbers - numbers.loc[base]).drop(index=base)


@styled
def bars(
    table: pd.DataFrame,
    base: str,
    shown: Sequence[str],
    visible: Mapping[str, float],
    answer: str,
    question: str,
) -> Figure:
    """A panel for each of up to six figures, a bar for each case.

    Parameters
    ----------
    table : one row a case, its name as index
    base : case that the others are measured against
    shown : columns to draw
    visible : smallest visible difference, by "deg" and "mm"; drawn as a grey band
    answer, question : the finding, and what was asked of which rig
    """
    keys = list(shown)[:MOST_PANELS]
    changes = against(table, base, keys)
    columns = 1 if len(keys) == 1 else 2
    rows = -(-len(keys) // columns)
    height = 0.9 + 0.36 * max(len(changes), 2)
    figure, panels = page(
        rows, columns, height, answer, f"{question}  Bars: difference to {base}", left=0.21, gap=1.0
    )
    for k, (panel, key) in enumerate(zip(panels, keys, strict=False)):
        _draw_bars(panel, changes[key], key, seen_by(key, visible), named=k % columns == 0)
        start = value_in_words(key, float(table.loc[base, key]))
        panel.set_title(f"{words(key)} (base {start})", fontsize=12, loc="left")
    for panel in panels[len(keys) :]:
        panel.remove()
    return figure


def _draw_bars(panel: Axes, changes: pd.Series, key: str, seen: float, named: bool) -> None:
    values = changes.to_numpy(float)
    at = np.arange(len(values))[::-1]
    panel.axvspan(-seen, seen, color="#EBEBEB", lw=0.0, zorder=0)
    panel.barh(
        at,
        np.nan_to_num(values),
        height=0.62,
        color=[COLOURS[k % len(COLOURS)] for k in range(1, len(values) + 1)],
    )
    panel.axvline(0.0, color=QUIET, lw=1.0)
    low, high = float(np.nanmin(values, initial=-seen)), float(np.nanmax(values, initial=seen))
    aside = 0.5 * (high - low)  # room for the words beside the bars
    panel.set_xlim(low - (aside if np.nanmin(values, initial=0.0) < 0.0 else 0.0), high + aside)
    panel.xaxis.set_major_locator(MaxNLocator(4))
    for place, value in zip(at, values, strict=True):
        text = "no result" if np.isnan(value) else value_in_words(key, value)
        text = f"+{text}" if value > 0.0 else text
        panel.annotate(
            text,
            (0.0 if np.isnan(value) else value, place),
            xytext=(4 if not value < 0.0 else -4, 0),
            textcoords="offset points",
            va="center",
            ha="left" if not value < 0.0 else "right",
            fontsize=11,
        )
    panel.set_yticks(at, list(changes.index) if named else [""] * len(at))
    panel.set_ylim(-0.6, len(values) - 0.4)
    panel.set_xlabel(f"difference, {column_unit(key)}", fontsize=11)
    panel.grid(visible=False, axis="y")


def bars_finding(table: pd.DataFrame, base: str, shown: Sequence[str], visible: Mapping[str, float]) -> str:
    """One sentence: the first figure that differs visibly and where it differs most, or that none does."""
    trouble = failures_in_words(table)
    changes = against(table, base, [key for key in shown if key in table])
    key = first_seen({key: float(np.nan_to_num(changes[key].abs().max())) for key in changes}, visible)
    text = f'No case differs visibly from "{base}"'
    if key:
        case = changes[key].abs().idxmax()
        change = float(changes.loc[case, key])
        value = f"{value_in_words(key, abs(change))} {'more' if change > 0.0 else 'less'}"
        text = f'{words(key).capitalize()} is {value} with "{case}" than with "{base}"'
    return ". ".join(part for part in (text, trouble) if part)
