"""Outcomes of many runs along one axis, a dot a run."""

from collections.abc import Sequence
from typing import Any

import numpy as np
import numpy.typing as npt
import pandas as pd
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from simcore.results.catalogue import label_of
from simcore.results.conditions import Conditions
from simcore.results.formatting import said_factor, said_unit
from simcore.results.headlines.tables import places
from simcore.results.metric_selection import in_panels
from simcore.results.quantities import Label
from simcore.results.reliability import unreliable_runs
from simcore.studies.plan import axis_label
from simcore.studies.sweep import Sweep
from simcore.views.catalogue import picture
from simcore.views.pictures.layout import panels, room
from simcore.views.pictures.names import Named, name_categories, name_lines
from simcore.views.pictures.style import COLOURS, DASHES, MARKERS, QUIET, styled

PANEL = 2.3  # inches
LEAST = {
    "deg": 1.0,
    "mm": 2.0,
    "g": 100.0,
    "%": 10.0,
    "s": 0.1,
}  # spans below which noise would fill a panel
CROSS_COLOUR = "#000000"
CROSSES: tuple[tuple[dict[str, Any], str], ...] = (
    ({"marker": "X", "ms": 9, "mec": "#FFFFFF"}, "thick cross"),
    ({"marker": "P", "ms": 9, "mec": "#FFFFFF"}, "thick plus"),
    ({"marker": "x", "ms": 8, "mew": 2.0}, "thin cross"),
)
MOST_NAMES = 12  # categories that are written at an axis


@styled
def curves(
    table: pd.DataFrame, axis: str, label: Label, shown: Sequence[str], answer: str, question: str
) -> Figure:
    """One panel for each kind of figure, its runs joined along the axis, with a gap where one has no result.

    Parameters
    ----------
    table : one row a run
    axis, label : column of the axis and what to call it
    shown : columns to draw
    answer, question : the finding, and what was asked of which rig
    """
    grouped = in_panels(shown)
    figure, axes = panels([PANEL] * len(grouped), answer, question, str(label))
    x, names = places(table[axis])
    axes[0].set_xlim(*ends_of(x, names is not None))
    if names is not None:
        name_some(axes[-1], names)
    for panel, (kind, keys) in zip(axes, grouped.items(), strict=True):
        looks = _looks(keys)
        lines = [
            _line(panel, x, table[key] * said_factor(key), (looks[key], k), label_of(key))
            for k, key in enumerate(keys)
        ]
        panel.set_ylabel(kind)
        if not any(lines):
            panel.set_yticks([])  # a scale without a value says nothing
        if min(table[key].min() for key in keys) < 0.0 < max(table[key].max() for key in keys):
            panel.axhline(0.0, color=QUIET, lw=0.8)
        room(panel, LEAST.get(said_unit(keys[0]), 0.0))
        name_lines(panel, [one for one in lines if one is not None])
    _mark_failures(axes, x, table)
    return figure


def ends_of(x: npt.NDArray[np.float64], categories: bool) -> tuple[float, float]:
    """Ends of the axis, with some room beside the outer runs."""
    low, high = float(np.min(x)), float(np.max(x))
    aside = 0.5 if categories else 0.05 * (high - low) or 0.05 * abs(high) or 1.0
    return low - aside, high + aside


def name_some(panel: Axes, names: Sequence[str]) -> None:
    """Names of the categories under the axis; of very many, some."""
    step = -(-len(names) // MOST_NAMES)
    name_categories(panel, names[::step], range(0, len(names), step))


def _looks(keys: Sequence[str]) -> dict[str, int]:
    """Number of each metric's colour: the first of the rear and of the front have those of their ends."""
    looks: dict[str, int] = {}
    for side, k in (("rear_", 0), ("front_", 1)):
        first = next((key for key in keys if key.startswith(side)), "")
        looks |= {first: k} if first else {}
    free = iter(k for k in range(len(COLOURS) + len(keys)) if k not in (0, 1))
    return {key: looks[key] if key in looks else next(free) for key in keys} if looks else _in_order(keys)


def _in_order(keys: Sequence[str]) -> dict[str, int]:
    return {key: (6 if k == 0 else k + 1) for k, key in enumerate(keys)}


def _line(
    panel: Axes, x: npt.NDArray[np.float64], values: pd.Series, look: tuple[int, int], name: str
) -> Named | None:
    """Dots of one metric in the order of the axis; gives what names them.

    `look` are the numbers of its colour and of its dash and marker.
    """
    order = np.argsort(x, kind="stable")
    y, colour = values.to_numpy(float)[order], COLOURS[look[0] % len(COLOURS)]
    there = np.flatnonzero(np.isfinite(y))
    if not len(there):
        return None
    dash, marker, size = DASHES[look[1] % 4], MARKERS[look[1] % 6], 5.0 if len(there) <= 50 else 2.5
    panel.plot(x[order], y, color=colour, ls=dash, marker=marker, ms=size)
    return Named(name, colour, x[order], y)


def _mark_failures(axes: Sequence[Axes], x: npt.NDArray[np.float64], table: pd.DataFrame) -> None:
    """Crosses at the lower edge of every panel, and once in words what they stand for."""
    said = []
    for (text, which), (mark, name) in zip(unreliable_runs(table).items(), CROSSES, strict=True):
        if not which.any():
            continue
        said.append(f"{name}: {text}")
        for panel in axes:
            edge = np.full(which.sum(), 0.03)
            panel.plot(
                x[which], edge, **mark, ls="", color=CROSS_COLOUR, transform=panel.get_xaxis_transform()
            )
    if said:
        axes[0].text(0.0, 1.02, "; ".join(said), transform=axes[0].transAxes, color=QUIET, fontsize=11)


@picture(
    "Each dot is a whole run; what is held constant stands in the question. Lines in one panel "
    "share its unit and bear their names at their ends.",
)
def of_sweep(result: Sweep) -> Figure:
    """Curves over the one axis of a sweep."""
    (axis,), text = result.axes, Conditions.of(result.scenario).text
    return curves(result.said, axis, axis_label(axis), result.shown, result.headline, text)
