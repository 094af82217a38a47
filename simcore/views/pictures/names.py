"""Words beside lines and under axes."""

import math
import re
import textwrap
from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import takewhile
from typing import Any, cast

import numpy as np
import numpy.typing as npt
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from simcore.views.pictures.style import CHARACTER, NAME_CHARACTERS, QUIET, ROW_HEIGHT, ink, length

Points = npt.NDArray[np.float64]
NAME_SIZE = 12.5  # points
EARLY = 0.04  # of the axis; a line that ends further from the last one's end gets its name there
WIDE = 2.2  # points, width of a line: what lies nearer to another one hides it
STEP = 3.0  # points between those that stand for a line
FARTHEST = 132  # points from a line's end to its name
TURNS = [math.radians(turn) for turn in (0, 30, -30, 60, -60, 90, -90, 120, -120, 150, -150, 180)]


def shortened(names: Sequence[str], most: int = NAME_CHARACTERS) -> list[str]:
    """Names that fit in one row and still differ: what long ones begin and end with alike gives way first."""
    long = [name for name in names if len(name) > most]
    if len(long) < 2:
        return [_cut(name, most) for name in names]
    head = "".join(re.findall(r"^.*[\W_]", _alike(long)))  # whole words
    rest = [name[len(head) :] for name in long]
    tail = "".join(re.findall(r"[\W_].*$", _alike([name[::-1] for name in rest])[::-1]))
    if max(len(name) for name in rest) < most:
        tail = ""
    short = {
        name: ("…" if head else "") + (f"{own.removesuffix(tail)}…" if tail else own)
        for name, own in zip(long, rest, strict=True)
    }
    return [_cut(short.get(name, name), most) for name in names]


def _alike(names: Sequence[str]) -> str:
    """What all names begin with."""
    columns = zip(*names, strict=False)
    return "".join(letters[0] for letters in takewhile(lambda letters: len(set(letters)) == 1, columns))


def _cut(name: str, most: int) -> str:
    return name if len(name) <= most else f"{name[: most - 1].rstrip('… ')}…"


@dataclass(frozen=True)
class Named:
    """A drawn line and what to call it.

    Attributes
    ----------
    name : in words
    colour : of the line
    x, y : its points
    more : what else is to be known of its end
    """

    name: str
    colour: str
    x: Points
    y: Points
    more: str = ""

    @property
    def end(self) -> tuple[float, float]:
        """The last known point."""
        known = np.flatnonzero(np.isfinite(self.y))
        return (
            (float(self.x[known[-1]]), float(self.y[known[-1]])) if len(known) else (float(self.x[-1]), 0.0)
        )


@dataclass(frozen=True)
class Label:
    """Names with their colours, of one line or of several on one another; `colour` is that on top."""

    names: list[tuple[str, str]]
    at: tuple[float, float]
    colour: str

    @property
    def rows(self) -> int:
        """Rows of words."""
        return sum(name.count("\n") + 1 for name, _ in self.names)


def name_lines(axis: Axes, lines: Sequence[Named], beside: bool = False) -> None:
    """Write each line's name at its end: at the right edge, or near an end that lies well inside, where
    nothing is drawn. Lines that nobody can tell apart get one name together.

    Parameters
    ----------
    axis : with everything drawn, and its limits as they are to stay
    lines : those to name
    beside : whether every name may stand near its line's end, also at the right edge
    """
    limits, right = axis.get_xlim(), max((line.end[0] for line in lines), default=0.0)
    inside = right - EARLY * (limits[1] - limits[0])
    labels = _labels(axis, lines)
    height = axis.get_position().height * cast(Figure, axis.figure).get_figheight()
    if sum(label.rows for label in labels) * ROW_HEIGHT > height:  # too many for rows of their own
        names = shortened([line.name for line in lines])
        short = [replace(line, name=name, more="") for line, name in zip(lines, names, strict=True)]
        labels = _labels(axis, short)
    margin, taken = [], _drawn(axis)
    for label in labels:
        free = _free_place(axis, label, taken) if beside or label.at[0] < inside else None
        if free is None:
            margin.append(label)
        else:
            taken = np.concatenate([taken, _write_near(axis, label, free)])
    _write_margin(axis, margin, inside)


def _labels(axis: Axes, lines: Sequence[Named]) -> list[Label]:
    """Names of lines; of those that lie on one another in one label, the first one's name first."""
    groups: list[list[Named]] = []
    for line in lines:
        group = next((group for group in groups if _hidden(axis, group[0], line)), None)
        if group is None:
            groups.append([line])
        else:
            group.append(line)
    return [_label(group, len(lines)) for group in groups]


def _label(group: Sequence[Named], count: int) -> Label:
    first, *others = group
    if len(group) == count > 2:
        return Label([(_wrapped(f"all {count} alike", first.more), QUIET)], first.end, group[-1].colour)
    names = [(_wrapped(first.name, first.more), first.colour)]
    names += [(_wrapped(f"= {other.name}"), other.colour) for other in others]
    return Label(names, first.end, group[-1].colour)


def _wrapped(*words: str) -> str:
    return "\n".join(row for text in words for row in textwrap.wrap(text, NAME_CHARACTERS))


def _hidden(axis: Axes, one: Named, other: Named) -> bool:
    """Whether one line lies on another within its own width, all along."""
    (left, right), (low, high) = axis.get_xlim(), axis.get_ylim()
    place = axis.get_position()
    figure = cast(Figure, axis.figure)
    tall = 72.0 * figure.get_figheight() * place.height / (high - low)  # points per unit
    wide = 72.0 * figure.get_figwidth() * place.width / (right - left)
    if any(wide * abs(one.x[k] - other.x[k]) > 2.0 * WIDE for k in (0, -1)):
        return False
    if np.any(np.diff(one.x) < 0.0) or np.any(np.diff(other.x) < 0.0):  # a loop
        same = len(one.x) == len(other.x)
        return same and float(np.hypot(wide * (one.x - other.x), tall * (one.y - other.y)).max()) <= WIDE
    known, there = np.isfinite(one.y), np.isfinite(other.y)
    if not known.any() or not there.any() or (len(known) == len(there) and np.any(known != there)):
        return False
    apart = np.abs(np.interp(one.x[known], other.x[there], other.y[there]) - one.y[known])
    return tall * float(apart.max()) <= WIDE


def _write_margin(axis: Axes, labels: Sequence[Label], inside: float) -> None:
    """Labels beside the right edge, pushed apart where they would overlap, with lines to their ends."""
    low, high = axis.get_ylim()
    left, right = axis.get_xlim()
    height = axis.get_position().height * cast(Figure, axis.figure).get_figheight()
    size = (high - low) * ROW_HEIGHT / height  # one row of text in data units
    order = sorted(range(len(labels)), key=lambda k: labels[k].at[1])
    places: dict[int, float] = {}
    floor = low
    for k in order:
        half = 0.5 * size * labels[k].rows
        places[k] = max(labels[k].at[1], floor + half)
        floor = places[k] + half + 0.15 * size
    overshoot = max(0.0, floor - (high + 0.3 * size))
    ceiling = high + 0.3 * size
    for k in reversed(order):
        half = 0.5 * size * labels[k].rows
        if overshoot > 0.0:
            places[k] = min(places[k], ceiling - half)
            ceiling = places[k] - half - 0.15 * size
    for k, label in enumerate(labels):
        x, top = right + 0.025 * (right - left), places[k] + 0.5 * size * label.rows
        for name, colour in label.names:
            rows = name.count("\n") + 1
            middle, top = top - 0.5 * size * rows, top - size * rows
            _write(axis, name, (x, middle), colour)
        faint = label.at[0] < inside
        axis.annotate(
            "",
            xy=label.at,
            xytext=(x, places[k]),
            annotation_clip=False,
            arrowprops={
                "arrowstyle": "-",
                "color": label.colour,
                "lw": 0.8,
                **({"linestyle": (0, (1, 3)), "alpha": 0.7} if faint else {}),
                "shrinkA": 1,
                "shrinkB": 2,
            },
        )
    axis.set_ylim(low, high)
    axis.set_xlim(left, right)


# --- near a line's end ---


def _drawn(axis: Axes) -> Points:
    """Points along all that is drawn in a panel, in printer's points from the figure's corner."""
    dots = 72.0 / cast(Figure, axis.figure).dpi
    found = [np.empty((0, 2))]
    for line in axis.lines:
        corners = dots * line.get_transform().transform(np.asarray(line.get_xydata(), float))
        corners = corners[np.isfinite(corners).all(axis=1)]
        way = np.hypot(*np.diff(corners, axis=0).T) if len(corners) > 1 else np.empty(0)
        far = np.concatenate([[0.0], np.cumsum(way)])
        steps = np.linspace(0.0, far[-1], 2 + int(far[-1] / STEP))
        found.append(
            np.column_stack([np.interp(steps, far, corners[:, i]) for i in range(2)])
            if len(corners)
            else corners
        )
    return np.concatenate(found)


def _free_place(axis: Axes, label: Label, taken: Points) -> Points | None:
    """Lower left corner of a place near a label's end where nothing is drawn, points; None without any."""
    dots = 72.0 / cast(Figure, axis.figure).dpi
    size = _size(label)
    frame = axis.get_window_extent()
    low, high = dots * np.array(frame.min), dots * np.array(frame.max)
    end = dots * axis.transData.transform(label.at)
    for reach in range(6, FARTHEST, 6):
        for turn in TURNS:
            away = np.array([math.cos(turn), math.sin(turn)])
            corner = end + reach * away + 0.5 * (away - 1.0) * size
            inside = np.all(corner > low) and np.all(corner + size < high)
            if inside and not np.any(np.all((taken > corner - 2.0) & (taken < corner + size + 2.0), axis=1)):
                return np.asarray(corner)
    return None


def _size(label: Label) -> Points:
    """Width and height of a label, points."""
    rows = [row for name, _ in label.names for row in name.split("\n")]
    return np.array([72.0 * max(length(row, NAME_SIZE) for row in rows), 72.0 * ROW_HEIGHT * len(rows)])


def _write(axis: Axes, name: str, at: tuple[float, float], colour: str) -> None:
    """A name to the right of a place, its middle as high."""
    how: dict[str, Any] = {"va": "center", "linespacing": 1.0, "annotation_clip": False}
    axis.annotate(name, at, color=ink(colour), fontsize=NAME_SIZE, **how)


def _write_near(axis: Axes, label: Label, corner: Points) -> Points:
    """Write a label at a free place, with a short line to its end; gives points all over it."""
    dots = cast(Figure, axis.figure).dpi / 72.0
    back, size = axis.transData.inverted(), _size(label)
    top = size[1]
    for name, colour in label.names:
        high = 72.0 * ROW_HEIGHT * (name.count("\n") + 1)
        x, y = back.transform(dots * (corner + np.array([0.0, top - 0.5 * high])))
        _write(axis, name, (float(x), float(y)), colour)
        top -= high
    end = np.array(axis.transData.transform(label.at)) / dots
    near = np.clip(end, corner, corner + size)
    if math.dist(end, near) > 8.0:
        style = {"arrowstyle": "-", "color": label.colour, "lw": 0.8, "shrinkA": 0, "shrinkB": 2}
        axis.annotate("", label.at, tuple(back.transform(dots * near)), arrowprops=style)
    grid = np.meshgrid(*(np.arange(0.0, side + STEP, STEP) for side in size))
    return np.asarray(corner + np.column_stack([part.ravel() for part in grid]))


def name_categories(axis: Axes, names: Sequence[str], places: Sequence[float]) -> None:
    """Write words under the x axis, in two rows where one would run into the next.

    Parameters
    ----------
    names : the words
    places : where each stands, evenly apart
    """
    figure, place = cast(Figure, axis.get_figure()), axis.get_position()
    apart = (places[1] - places[0] if len(places) > 1 else 1.0) / (axis.get_xlim()[1] - axis.get_xlim()[0])
    width = max(4, int(apart * place.width * figure.get_figwidth() / CHARACTER))
    rows = [[name] for name in names]
    if max(len(name) for name in names) > width:
        rows = [textwrap.wrap(name, width)[:2] for name in shortened(names, 2 * width - 2)]
    if width < 8 and max(len(row) for row in rows) == 1:  # no room for the dots either
        rows = [[row[0].strip("…") or "…"] for row in rows]
    axis.set_xticks(places, ["\n".join(row) for row in rows], fontsize=11)
