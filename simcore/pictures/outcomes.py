"""Outcomes of many runs along one axis, a dot a run."""

from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np
import numpy.typing as npt
import pandas as pd
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from simcore.pictures.chosen import first_seen, in_panels, spread
from simcore.pictures.style import (
    COLOURS,
    DASHES,
    MARKERS,
    QUIET,
    name_categories,
    name_ends,
    panels,
    room,
    styled,
)
from simcore.pictures.troubles import told_of_runs, troubles, usable
from simcore.results.formatting import in_picture
from simcore.results.quantities import words

PANEL = 2.3  # inches
LEAST = {
    "deg": 1.0,
    "mm": 2.0,
    "N": 1.0,
    "%": 10.0,
    "s": 0.1,
    "g": 10.0,
}  # spans below which noise would fill a panel
CROSS_COLOUR = "#000000"
CROSSES: tuple[tuple[dict[str, Any], str], ...] = (
    ({"marker": "X", "ms": 9, "mec": "#FFFFFF"}, "thick cross"),
    ({"marker": "P", "ms": 9, "mec": "#FFFFFF"}, "thick plus"),
    ({"marker": "x", "ms": 8, "mew": 2.0}, "thin cross"),
)
MOST_NAMES = 12  # categories that are written at an axis


def places(values: pd.Series) -> tuple[npt.NDArray[np.float64], list[str] | None]:
    """Where the values of an axis stand, and their names if they are words."""
    if pd.api.types.is_numeric_dtype(values):
        return values.to_numpy(float), None
    names = list(dict.fromkeys(values.astype(str)))
    return np.array([names.index(name) for name in values.astype(str)], float), names


@styled
def curves(
    table: pd.DataFrame, axis: str, label: str, shown: Sequence[str], answer: str, question: str
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
    figure, axes = panels([PANEL] * len(grouped), answer, question, label)
    x, names = places(table[axis])
    axes[0].set_xlim(*_ends_of(x, names is not None))
    if names is not None:
        _name_some(axes[-1], names)
    for panel, (kind, keys) in zip(axes, grouped.items(), strict=True):
        looks = _looks(keys)
        ends = [_line(panel, x, table[key], (looks[key], k), words(key)) for k, key in enumerate(keys)]
        panel.set_ylabel(kind)
        if not any(ends):
            panel.set_yticks([])  # a scale without a figure says nothing
        if min(table[key].min() for key in keys) < 0.0 < max(table[key].max() for key in keys):
            panel.axhline(0.0, color=QUIET, lw=0.8)
        room(panel, LEAST.get(kind.rsplit(", ", 1)[-1], 0.0))
        name_ends(panel, [end for end in ends if end is not None])
    _mark_failures(axes, x, table)
    return figure


def _ends_of(x: npt.NDArray[np.float64], categories: bool) -> tuple[float, float]:
    """Ends of the axis, with some room beside the outer runs."""
    low, high = float(np.min(x)), float(np.max(x))
    aside = 0.5 if categories else 0.05 * (high - low) or 0.05 * abs(high) or 1.0
    return low - aside, high + aside


def _name_some(panel: Axes, names: Sequence[str]) -> None:
    """Names of the categories under the axis; of very many, some."""
    step = -(-len(names) // MOST_NAMES)
    name_categories(panel, names[::step], range(0, len(names), step))


def _looks(keys: Sequence[str]) -> dict[str, int]:
    """Number of each figure's colour: the first of the rear and of the front have those of their ends."""
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
) -> tuple[float, float, str, str] | None:
    """Dots of one figure in the order of the axis; gives where its name goes.

    `look` are the numbers of its colour and of its dash and marker.
    """
    order = np.argsort(x, kind="stable")
    y, colour = values.to_numpy(float)[order], COLOURS[look[0] % len(COLOURS)]
    there = np.flatnonzero(np.isfinite(y))
    if not len(there):
        return None
    dash, marker, size = DASHES[look[1] % 4], MARKERS[look[1] % 6], 5.0 if len(there) <= 50 else 2.5
    panel.plot(x[order], y, color=colour, ls=dash, marker=marker, ms=size)
    return float(x[order[there[-1]]]), float(y[there[-1]]), name, colour


def _mark_failures(axes: Sequence[Axes], x: npt.NDArray[np.float64], table: pd.DataFrame) -> None:
    """Crosses at the lower edge of every panel, and once in words what they stand for."""
    said = []
    for (text, which), (mark, name) in zip(troubles(table).items(), CROSSES, strict=True):
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


def outcomes_finding(
    table: pd.DataFrame, axis: str, label: str, shown: Sequence[str], visible: Mapping[str, float]
) -> str:
    """One sentence: the first figure that changes visibly, and from where to where.

    Parameters
    ----------
    table, axis, label, shown : as for `curves`; runs that broke their audit do not count
    visible : smallest visible difference, by "deg" and "mm"
    """
    trouble = told_of_runs(table)
    known = usable(table)
    what, _, unit = label.partition(", ")
    if len(known) == 0:
        return "No run could be done" if troubles(table)["no result"].all() else trouble
    if len(known) == 1:
        alone = f"Only at {_at(known[axis].iloc[0], unit)} there is a result: nothing to compare"
        return ". ".join(part for part in (alone, trouble) if part)
    key = first_seen({key: spread(known[key]) for key in shown if key in known}, visible)
    text = _told(known, axis, key, what, unit) if key else f"No visible difference over {what}"
    return ". ".join(part for part in (text, trouble) if part)


def _told(known: pd.DataFrame, axis: str, key: str, what: str, unit: str) -> str:
    """From where to where a figure goes; where it turns, its highest or lowest too."""
    x, names = places(known[axis])
    order = np.argsort(x, kind="stable")
    y = known[key].to_numpy(float)[order]
    at = [_at(known[axis].iloc[k], "" if names else unit) for k in order]
    there = np.flatnonzero(np.isfinite(y))
    first, last = there[0], there[-1]
    if names is not None:
        high, low = there[np.argmax(y[there])], there[np.argmin(y[there])]
        return (
            f"{words(key).capitalize()}: {in_picture(key, y[high])} with {at[high]}, "
            f"{in_picture(key, y[low])} with {at[low]}"
        )
    text = f"{words(key).capitalize()} goes from {in_picture(key, y[first])} "
    text += f"to {in_picture(key, y[last])} as {what} goes from {at[first]} to {at[last]}"
    for turn, word in ((there[np.argmax(y[there])], "highest"), (there[np.argmin(y[there])], "lowest")):
        beyond = min(abs(y[turn] - y[first]), abs(y[turn] - y[last]))
        if beyond > 0.15 * (np.nanmax(y) - np.nanmin(y)):
            text += f", {word} at {at[turn]} ({in_picture(key, y[turn])})"
    return text


def _at(value: Any, unit: str) -> str:
    text = value if isinstance(value, str) else f"{value:g}".replace("-", "\N{MINUS SIGN}")
    return f"{text} {unit}" if unit else text
