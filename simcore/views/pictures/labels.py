"""Words beside what they belong to in a drawing, clear of one another and of what is drawn."""

import itertools
import math
from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
from matplotlib.axes import Axes
from matplotlib.patheffects import withStroke
from matplotlib.text import Text

from simcore.views.pictures.style import DPI

Place = tuple[float, float]
Points = npt.NDArray[np.float64]
Box = tuple[Points, Points]  # lower left and upper right corner
STEEL = "#3C3C3C"
STANDS_OFF = 30.0  # dots; words further from their place get a line to it
CROSSING = 400.0  # likewise, than lead a line through other words
ALONG = np.linspace(0.1, 0.9, 9)[:, None]  # of that line, where it is looked at
_TURNS = np.arange(0.0, 2.0 * np.pi, np.pi / 12.0).tolist()
AWAY = np.array([[math.cos(turn), math.sin(turn)] for turn in _TURNS])  # ways to where words may stand
COVERING = 40.0  # dots that words rather stand off than cover 6 dots of a line
HALO = [withStroke(linewidth=3.5, foreground="white")]


@dataclass(frozen=True)
class Label:
    """Words that belong to a place in the picture."""

    words: str
    at: Place
    colour: str = STEEL
    bold: bool = False
    sinks: bool = False  # into the ground


def write_labels(axis: Axes, labels: Iterable[Label], size: float, ground: float | None = None) -> None:
    """Write every label near its place, clear of the others and of what is drawn, with a line to the place
    when it stands off.

    Parameters
    ----------
    axis : with its limits set and all lines drawn
    labels : the first ones get the best places
    size : of the words, points; bold ones are a little larger
    ground : height of a level ground, in the axis' units, over which labels stay that do not sink into it
    """
    frame = axis.get_window_extent()
    dots = _dots(axis)
    dots = dots[np.all((dots > frame.min) & (dots < frame.max), axis=1)]
    taken: list[Box] = []
    back = axis.transData.inverted()
    floor = None if ground is None else axis.transData.transform((0.0, ground))[1]
    for label in labels:
        text = _text(axis, label, size)
        half = 0.5 * np.array(text.get_window_extent().size)
        anchor = axis.transData.transform(label.at)
        best = (math.inf, anchor, 0.0)
        for reach in range(0, 300, 10):
            if reach >= best[0]:  # nothing costs less than it stands off
                break
            middles = anchor + AWAY * (reach + 14.0) + AWAY * half
            low, high = middles - half - 4.0, middles + half + 4.0
            cost = reach + COVERING * _inside(dots, low, high).sum(axis=1)
            cost += 1e6 * np.any((low < frame.min) | (high > frame.max), axis=1)
            cost += 1e5 * _any_overlap(low, high, taken)
            cost += CROSSING * _any_crossed(anchor + ALONG * (middles - anchor)[:, None], taken)
            if floor is not None:
                cost += 1e4 * (high[:, 1] > floor if label.sinks else low[:, 1] < floor)
            k = int(np.argmin(cost))
            if cost[k] < best[0]:
                best = (float(cost[k]), middles[k], reach)
        taken.append((best[1] - half - 4.0, best[1] + half + 4.0))
        text.set_position(_pair(back.transform(best[1])))
        if best[2] > STANDS_OFF and not label.sinks:
            dots = np.concatenate([dots, _leader(axis, label, anchor, best[1], half)])


def _inside(dots: Points, low: Points, high: Points) -> npt.NDArray[np.bool_]:
    """Which dots, (n, 2), lie inside of each of some boxes, (m, 2) and (m, 2); gives (m, n)."""
    return np.all((dots > low[:, None]) & (dots < high[:, None]), axis=2)


def _any_overlap(low: Points, high: Points, taken: list[Box]) -> npt.NDArray[np.bool_]:
    """Which boxes overlap any of those that are taken."""
    found = np.zeros(len(low), dtype=bool)
    for bottom, top in taken:
        found |= np.all((low < top) & (bottom < high), axis=1)
    return found


def _any_crossed(ways: Points, taken: list[Box]) -> npt.NDArray[np.bool_]:
    """Which ways, (m, points, 2), lead through any box that is taken."""
    found = np.zeros(len(ways), dtype=bool)
    for bottom, top in taken:
        found |= np.any(np.all((bottom < ways) & (ways < top), axis=2), axis=1)
    return found


def _leader(axis: Axes, label: Label, anchor: Points, middle: Points, half: Points) -> Points:
    """Draw a line from words to their place; gives points along it, which later words keep clear of."""
    style = {"arrowstyle": "-", "color": label.colour, "lw": 1.0}
    way = anchor - middle
    edge = middle + way * float(np.min(half / np.maximum(np.abs(way), 1e-9)))  # of the words' box
    axis.annotate(
        "", label.at, _pair(axis.transData.inverted().transform(edge)), arrowprops=style, zorder=2.9
    )
    share = np.linspace(0.0, 1.0, 12)[:, None]
    return np.asarray((1.0 - share) * anchor + share * middle)


def _pair(point: Points) -> Place:
    return float(point[0]), float(point[1])


def _dots(axis: Axes) -> Points:
    """Points along everything that is drawn, which words should not cover, display units."""
    found = []
    for line in axis.lines:
        corners = axis.transData.transform(line.get_xydata())
        for first, last in itertools.pairwise(corners):
            share = np.linspace(0.0, 1.0, 2 + int(math.dist(first, last) / 6.0))[:, None]
            found.append((1.0 - share) * first + share * last)
        if line.get_marker() not in ("None", None):  # marks weigh more than lines
            size = 0.6 * float(line.get_markersize()) * DPI / 72.0
            ring = size * np.array([(math.cos(a), math.sin(a)) for a in np.arange(0.0, 6.28, 0.5)])
            found += [corner + ring for corner in corners]
    return np.concatenate(found)


def _text(axis: Axes, label: Label, size: float) -> Text:
    return axis.text(
        *label.at,
        label.words,
        color=label.colour,
        fontsize=size + 1.5 * label.bold,
        fontweight="bold" if label.bold else "normal",
        ha="center",
        va="center",
        zorder=5,
        path_effects=[] if label.sinks else HALO,
        linespacing=1.05,
    )
