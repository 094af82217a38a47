"""Outcomes of many runs over two axes: a map for each figure, a cell a run."""

import math
from collections.abc import Sequence
from typing import Any

import numpy as np
import numpy.typing as npt
import pandas as pd
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from simcore.pictures.chosen import failures_in_words, noun, spread, value_in_words, words
from simcore.pictures.style import QUIET, page, styled

MOST_MAPS = 6
FEW = 10  # rows and columns up to which every cell says its value
COLOURS = "cividis"  # even steps of lightness, for the colour-blind and in grey
Numbers = npt.NDArray[np.float64]


def cells(table: pd.DataFrame, axes: tuple[str, str], key: str) -> tuple[Numbers, list[Any], list[Any]]:
    """Values of a figure by the second axis (rows) and the first one (columns), and the axes' values."""
    across, up = (list(dict.fromkeys(table[path])) for path in axes)
    if all(isinstance(value, float) for value in across):
        across = sorted(across)
    if all(isinstance(value, float) for value in up):
        up = sorted(up)
    found = np.full((len(up), len(across)), math.nan)
    for (x, y), value in zip(table[list(axes)].itertuples(index=False), table[key], strict=True):
        found[up.index(y), across.index(x)] = value
    return found, across, up


@styled
def heat_maps(
    table: pd.DataFrame,
    axes: tuple[str, str],
    labels: tuple[str, str],
    shown: Sequence[str],
    answer: str,
    question: str,
) -> Figure:
    """A map for each of up to six figures, two in a row.

    Parameters
    ----------
    table : one row a run
    axes, labels : columns of both axes (the first along x) and what to call them
    shown : columns to draw
    answer, question : the finding, and what was asked of which rig
    """
    keys = list(shown)[:MOST_MAPS]
    columns = 1 if len(keys) == 1 else 2
    figure, panels = page(math.ceil(len(keys) / columns), columns, 3.1, answer, question)
    for k, (panel, key) in enumerate(zip(panels, keys, strict=False)):
        _draw_map(panel, *cells(table, axes, key), key)
        panel.set_title(f"{words(key)}, {noun(key).rsplit(', ', 1)[-1]}", fontsize=13, loc="left")
        panel.set_ylabel(labels[1] if k % columns == 0 else "")
        panel.set_xlabel(labels[0] if k + columns >= len(keys) else "")
    for panel in panels[len(keys) :]:
        panel.remove()
    return figure


def _draw_map(panel: Axes, values: Numbers, across: list[Any], up: list[Any], key: str) -> None:
    panel.grid(visible=False)
    known = np.isfinite(values)
    low, high = (float(np.min(values[known])), float(np.max(values[known]))) if known.any() else (0.0, 1.0)
    flat = high - low < 1e-9
    if flat:
        low, high = low - 0.5, high + 0.5
    mesh = panel.pcolormesh(np.ma.masked_invalid(values), cmap=COLOURS, vmin=low, vmax=high)
    rows, columns = values.shape
    small = rows <= FEW and columns <= FEW
    if not flat and min(rows, columns) > 2:
        _join_equals(panel, values, name=not small)
    for j, i in np.argwhere(~known):
        panel.fill([i, i + 1, i + 1, i], [j, j, j + 1, j + 1], fc="#FFFFFF", ec=QUIET, hatch="////", lw=0.0)
    if small:
        _write_values(panel, values, low, high)
    else:
        bar = panel.figure.colorbar(mesh, ax=panel, pad=0.02)
        bar.ax.tick_params(labelsize=10)
    _name_ticks(panel.xaxis, across)
    _name_ticks(panel.yaxis, up)


def _join_equals(panel: Axes, values: Numbers, name: bool) -> None:
    """Contour lines through the middles of the cells."""
    rows, columns = values.shape
    x, y = np.arange(columns) + 0.5, np.arange(rows) + 0.5
    lines = panel.contour(
        x, y, values, levels=5, colors="#FFFFFF", linewidths=0.9, alpha=0.5 if not name else 0.9
    )
    if name:
        panel.clabel(lines, fontsize=10, fmt="%g", colors="#FFFFFF")


def _write_values(panel: Axes, values: Numbers, low: float, high: float) -> None:
    """The value in every cell, dark on light and light on dark."""
    digits = 0 if high - low >= 30.0 else 1 if high - low >= 1.0 else 2
    for (j, i), value in np.ndenumerate(values):
        if math.isfinite(value):
            text = f"{value:.{digits}f}".replace("-", "\N{MINUS SIGN}")
            colour = "#000000" if (value - low) / (high - low) > 0.55 else "#FFFFFF"
            panel.text(i + 0.5, j + 0.5, text, ha="center", va="center", color=colour, fontsize=9.5)


def _name_ticks(axis: Any, values: list[Any]) -> None:
    """Names at the middles of the cells; of many, some."""
    step = max(1, math.ceil(len(values) / FEW))
    at = range(0, len(values), step)
    axis.set_ticks(
        [k + 0.5 for k in at], [str(v) if isinstance(v, str) else f"{v:g}" for v in values[::step]]
    )


def maps_finding(
    table: pd.DataFrame, axes: tuple[str, str], labels: tuple[str, str], shown: Sequence[str]
) -> str:
    """One sentence: where the first figure that changes is highest and lowest."""
    trouble = failures_in_words(table)
    keys = [key for key in shown if key in table and spread(table[key]) > 0.0]
    if not keys:
        return trouble or "Nothing changes over both axes"
    key = keys[0]
    ends = [
        f"{value_in_words(key, float(table.loc[row, key]))} at {_place(table.loc[row], axes, labels)}"
        for row in (table[key].idxmin(), table[key].idxmax())
    ]
    text = f"{words(key).capitalize()}: from {ends[0]} to {ends[1]}"
    return ". ".join(part for part in (text, trouble) if part)


def _place(row: pd.Series, axes: tuple[str, str], labels: tuple[str, str]) -> str:
    said = []
    for path, label in zip(axes, labels, strict=True):
        name, _, unit = label.partition(", ")
        value = row[path] if isinstance(row[path], str) else f"{row[path]:g}"
        said.append(f"{name} {value} {unit}".strip())
    return " and ".join(said)
