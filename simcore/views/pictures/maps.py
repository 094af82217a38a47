"""Outcomes of many runs over two axes: a map for each figure, a cell a run."""

import itertools
import math
from collections.abc import Mapping, Sequence
from typing import Any, cast

import numpy as np
import numpy.typing as npt
import pandas as pd
from matplotlib import colormaps, patheffects
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.path import Path
from matplotlib.ticker import MaxNLocator

from simcore.results.catalogue import label_of
from simcore.results.conditions import Conditions
from simcore.results.formatting import said_factor, said_unit
from simcore.results.headlines.tables import named
from simcore.results.quantities import Label
from simcore.results.reliability import unreliable_runs
from simcore.studies.plan import axis_label
from simcore.studies.sweep import Sweep
from simcore.views.catalogue import picture
from simcore.views.pictures.layout import page
from simcore.views.pictures.names import name_categories, shortened
from simcore.views.pictures.style import QUIET, SMALL, length, styled

MOST_MAPS = 6
FEW = 10  # rows and columns up to which each has its name
MOST_CELLS = 25  # that say their values
VALUE_SIZES, LEVEL_SIZE = (14.0, 13.0, 12.0, 11.0), 12.0  # points, of values in cells and at lines
COLOURS = "cividis"  # even steps of lightness, for the colour-blind and in grey
BROKEN, EARLY = "!", "x"  # marks in a cell
MOST_CHARACTERS = 8  # of a name at the upright axis
MINUS = "\N{MINUS SIGN}"
Numbers = npt.NDArray[np.float64]
Marks = Mapping[tuple[int, int], str]


def cells(table: pd.DataFrame, axes: tuple[str, str], key: str) -> tuple[Numbers, list[Any], list[Any]]:
    """Values of a metric by the second axis (rows) and the first one (columns), and the axes' values."""
    across, up = (list(dict.fromkeys(table[path])) for path in axes)
    across, up = (
        sorted(values) if pd.api.types.is_numeric_dtype(table[path]) else values
        for values, path in zip((across, up), axes, strict=True)
    )
    found = np.full((len(up), len(across)), math.nan)
    for (x, y), value in zip(table[list(axes)].itertuples(index=False), table[key], strict=True):
        found[up.index(y), across.index(x)] = value
    return found, across, up


@styled
def heat_maps(
    table: pd.DataFrame,
    axes: tuple[str, str],
    labels: tuple[Label, Label],
    shown: Sequence[str],
    answer: str,
    question: str,
) -> Figure:
    """A map for each of up to six metrics, two in a row; cells are of one size, whatever the axes' steps.

    Parameters
    ----------
    table : one row a run
    axes, labels : columns of both axes (the first along x) and what to call them
    shown : columns to draw
    answer, question : the finding, and what was asked of which rig
    """
    keys = list(shown)[:MOST_MAPS]
    columns = 1 if len(keys) == 1 else 2
    rows = math.ceil(len(keys) / columns)
    figure, panels = page(rows, columns, 3.1, answer, f"{question}{_marks_in_words(table, keys)}")
    joined = all(pd.api.types.is_numeric_dtype(table[path]) for path in axes)
    for k, (panel, key) in enumerate(zip(panels, keys, strict=False)):
        found, across, up = cells(table, axes, key)
        _draw_map(panel, found * said_factor(key), key, joined, marks_of(table, axes, across, up))
        _name_ticks(panel, across, up, k % columns == 0)
        panel.set_title(f"{label_of(key)}, {said_unit(key)}", fontsize=13, loc="left")
        panel.set_ylabel(str(labels[1]) if k % columns == 0 else "")
        panel.set_xlabel(str(labels[0]) if k + columns >= len(keys) else "")
    for panel in panels[len(keys) :]:
        panel.remove()
    return figure


def _marks_in_words(table: pd.DataFrame, keys: Sequence[str]) -> str:
    """What hatches and the marks in cells stand for, if there are any."""
    failed, unsound, early = unreliable_runs(table).items()
    said = ["hatched: no result"] if failed[1].any() or table[list(keys)].isna().any(axis=None) else []
    said += [f"{mark}: {text}" for mark, (text, which) in ((BROKEN, unsound), (EARLY, early)) if which.any()]
    return f"  In cells, {'; '.join(said)}" if said else ""


def marks_of(table: pd.DataFrame, axes: tuple[str, str], across: list[Any], up: list[Any]) -> Marks:
    """Marks of the cells whose run broke its audit or ended early, by row and column."""
    _, unsound, early = unreliable_runs(table).values()
    return {
        (up.index(y), across.index(x)): mark
        for mark, which in ((BROKEN, unsound), (EARLY, early))
        for x, y in table.loc[which, list(axes)].itertuples(index=False)
    }


def _draw_map(panel: Axes, values: Numbers, key: str, joined: bool, marks: Marks) -> None:
    """Cells with their values where these are few and large enough, else lines of equal value."""
    panel.grid(visible=False)
    known = np.isfinite(values)
    low, high = (float(np.min(values[known])), float(np.max(values[known]))) if known.any() else (0.0, 1.0)
    flat = high - low < 1e-9
    if flat:
        low, high = low - 0.5, high + 0.5
    mesh = panel.pcolormesh(np.ma.masked_invalid(values), cmap=COLOURS, vmin=low, vmax=high)
    if known.any() and not flat:
        bar = cast(Figure, panel.get_figure()).colorbar(mesh, ax=panel, pad=0.02)
        bar.ax.tick_params(labelsize=SMALL)
        bar.ax.set_title(said_unit(key), fontsize=SMALL)
    for j, i in np.argwhere(~known):
        panel.fill([i, i + 1, i + 1, i], [j, j, j + 1, j + 1], fc="#FFFFFF", ec=QUIET, hatch="////", lw=0.0)
    texts = texts_of(values, (low, high), marks)
    size = _largest(panel, values.shape, texts)
    if size:
        for (j, i), text in texts.items():
            how: dict[str, Any] = {"ha": "center", "va": "center", "fontsize": size}
            panel.text(i + 0.5, j + 0.5, text, color=_ink(values[j, i], low, high), **how)
        return
    if joined and known.any() and not flat and min(values.shape) > 2:
        _join_equals(panel, values, (low, high))
    _put_marks(panel, marks)


def _ink(value: float, low: float, high: float) -> str:
    """Black on light cells, white on dark ones."""
    return "#000000" if (value - low) / (high - low) > 0.55 else "#FFFFFF"


def texts_of(values: Numbers, ends: tuple[float, float], marks: Marks) -> dict[tuple[int, int], str]:
    """What each cell with a result says: its value with its mark."""
    span = ends[1] - ends[0]
    digits = 0 if span >= 30.0 else 1 if span >= 1.0 else 2
    return {
        at: f"{round(value, digits) + 0.0:.{digits}f}".replace("-", MINUS) + marks.get(at, "")
        for at, value in np.ndenumerate(values)
        if math.isfinite(value)
    }


def _largest(panel: Axes, shape: tuple[int, ...], texts: Mapping[tuple[int, int], str]) -> float:
    """Size in which values fit their cells, points; 0 where they are too many or would be small."""
    rows, columns = shape
    if rows * columns > MOST_CELLS:
        return 0.0
    figure, place = cast(Figure, panel.get_figure()), panel.get_position()
    wide = 0.88 * place.width * figure.get_figwidth() / columns
    high = 0.8 * place.height * figure.get_figheight() / rows
    for size in VALUE_SIZES:
        if size / 72.0 < high and max((length(text, size) for text in texts.values()), default=0.0) < wide:
            return size
    return 0.0


def _join_equals(panel: Axes, values: Numbers, ends: tuple[float, float]) -> None:
    """Contour lines through the middles of the cells, with their values."""
    rows, columns = values.shape
    x, y = np.arange(columns) + 0.5, np.arange(rows) + 0.5
    levels = [level for level in MaxNLocator(5).tick_values(*ends) if ends[0] < level < ends[1]]
    if not levels:
        return
    lines = panel.contour(
        *(x, y, np.ma.masked_invalid(values)),
        levels=levels,
        colors=[_ink(level, *ends) for level in levels],
        linewidths=1.4,
        linestyles="-",
    )
    ways = [_on_screen(panel, path) for path in lines.get_paths()]
    taken: list[tuple[Numbers, Numbers]] = []
    for k, level in enumerate(levels):
        others = np.concatenate([np.empty((0, 2)), *ways[:k], *ways[k + 1 :]])
        _name_level(panel, values, ends, level, (ways[k], others), taken)


def _on_screen(panel: Axes, path: Path) -> Numbers:
    """Points along a contour line, no further apart than three dots."""
    found = [np.empty((0, 2))]
    for piece in path.to_polygons(closed_only=False):
        for start, end in itertools.pairwise(panel.transData.transform(np.asarray(piece))):
            found.append(np.linspace(start, end, 2 + int(math.dist(start, end) / 3.0)))
    return np.concatenate(found)


def _name_level(
    panel: Axes,
    values: Numbers,
    ends: tuple[float, float],
    level: float,
    ways: tuple[Numbers, Numbers],
    taken: list[tuple[Numbers, Numbers]],
) -> None:
    """Value of a contour line upon it, as near its middle as no other line or value is in the way.

    Parameters
    ----------
    ways : points along this line, and along all others
    taken : corners of what is written already; the new one is added
    """
    own, others = ways
    text = f"{level:g}".replace("-", MINUS)
    dots = cast(Figure, panel.get_figure()).dpi
    half = 0.5 * dots * np.array([length(text, LEVEL_SIZE) + 0.06, LEVEL_SIZE / 72.0 + 0.04])
    frame = panel.get_window_extent()
    for k in sorted(range(len(own)), key=lambda k: abs(k - 0.5 * len(own))):
        low, high = own[k] - half, own[k] + half
        if np.any(low < frame.min) or np.any(high > frame.max):
            continue
        if np.any(np.all((others > low) & (others < high), axis=1)):
            continue
        if any(np.all(low < top) and np.all(bottom < high) for bottom, top in taken):
            continue
        taken.append((low, high))
        x, z = panel.transData.inverted().transform(own[k])
        rows, columns = values.shape
        here = values[min(int(z), rows - 1), min(int(x), columns - 1)]
        share = (here - ends[0]) / (ends[1] - ends[0])
        box = {"fc": colormaps[COLOURS](share), "ec": "none", "pad": 1.0}
        how: dict[str, Any] = {"ha": "center", "va": "center", "fontsize": LEVEL_SIZE, "bbox": box}
        panel.text(float(x), float(z), text, color=_ink(here, *ends), **how)
        return


def _put_marks(panel: Axes, marks: Marks) -> None:
    """Marks in the middles of cells that say no value."""
    for (j, i), mark in marks.items():
        rim = patheffects.withStroke(linewidth=2.5, foreground="#FFFFFF")
        panel.text(i + 0.5, j + 0.5, mark, ha="center", va="center", fontweight="bold", path_effects=[rim])


def _name_ticks(panel: Axes, across: list[Any], up: list[Any], names_up: bool) -> None:
    """Names at the middles of the cells; of many, some."""
    step = max(1, math.ceil(len(across) / FEW))
    at = range(0, len(across), step)
    name_categories(panel, [named(across[k]) for k in at], [k + 0.5 for k in at])
    step = max(1, math.ceil(len(up) / FEW))
    at = range(0, len(up), step)
    names = shortened([named(up[k]) for k in at], MOST_CHARACTERS) if names_up else [""] * len(at)
    panel.set_yticks([k + 0.5 for k in at], names)


@picture(
    "Each cell is a whole run, its colour the value in the bar beside it. Where the cells are too many for "
    "numbers, lines join equal values.",
)
def of_sweep(result: Sweep) -> Figure:
    """Maps over the first two axes of a sweep; further ones stand at their first values."""
    text = Conditions.of(result.scenario).text
    stand = ", ".join(f"{axis_label(path)} = {result.points[0].inputs[path]}" for path in result.axes[2:])
    text = f"{text}  At {stand}" if stand else text
    return heat_maps(result.drawn, *result.pair, result.shown, result.headline, text)
