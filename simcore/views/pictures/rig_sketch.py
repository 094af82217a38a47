"""Sketches of rigs drawn in a row, to one scale with their ground."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
import numpy.typing as npt
from matplotlib.axes import Axes
from matplotlib.patches import Circle, Polygon

from simcore.views.pictures.names import shortened
from simcore.views.pictures.style import QUIET, SKY, SMALL, VERMILION, WIDTH, ink, length
from simcore.views.sketch import Sketch

Points = npt.NDArray[np.float64]
BODY, TYRE, STEEL, GROUND = "#DDE3E8", "#B9B9B9", "#3C3C3C", "#EFE9DD"
LEFT, RIGHT = 0.02, 0.98  # of the figure's width, where a row of drawings begins and ends
MOST_HIGH = 1.8  # inches of the drawings
WORDS, WORDS_SIZE = 0.2, 12.0  # inches and points of a row of words below them


@dataclass(frozen=True)
class Row:
    """Drawings beside one another: all to one scale, in mm per inch, from the lowest to the highest point."""

    sketches: Sequence[Sketch]
    scale: float
    low: float
    high: float

    @property
    def slot(self) -> float:
        """Width of one drawing, inches."""
        return WIDTH * (RIGHT - LEFT) / max(len(self.sketches), 3)

    @property
    def named(self) -> bool:
        """Whether cases bear names."""
        return any(sketch.name for sketch in self.sketches)

    @property
    def drawn(self) -> float:
        """Height of the drawings alone, inches."""
        return (self.high - self.low) / self.scale

    @property
    def height(self) -> float:
        """Height with the words below, inches."""
        return self.drawn + WORDS * (1 + self.named) + 0.1 if self.sketches else 0.0


def row_of(sketches: Sequence[Sketch]) -> Row:
    """Put drawings in a row as large as it allows; they stand on one height where their ground is level."""
    if not sketches:
        return Row([], 1.0, 0.0, 0.0)
    corners = [sketch.corners for sketch in sketches]
    low, high = min(one[0][1] for one in corners), max(one[1][1] for one in corners)
    wide = max(one[1][0] - one[0][0] for one in corners)
    slot = WIDTH * (RIGHT - LEFT) / max(len(sketches), 3)
    return Row(sketches, max(wide / (0.95 * slot), (high - low) / MOST_HIGH), low, high)


def draw_row(row: Row, axis: Axes) -> None:
    """Draw a row into a panel of its own, as wide as LEFT to RIGHT and as high as the row."""
    slot = row.slot * row.scale  # mm
    words = row.height - row.drawn
    axis.set(xlim=(0.0, WIDTH * (RIGHT - LEFT) * row.scale), ylim=(row.low - words * row.scale, row.high))
    axis.set_axis_off()
    for k, sketch in enumerate(row.sketches):
        middle = 0.5 * axis.get_xlim()[1] + (k + 0.5 - 0.5 * len(row.sketches)) * slot
        draw_sketch(axis, sketch, np.array([middle, 0.0]), row)


def draw_sketch(axis: Axes, sketch: Sketch, shift: Points, row: Row) -> None:
    """Draw one of a row, its middle at a shift."""
    left, right = sketch.ground[0] + shift, sketch.ground[-1] + shift
    surface = sketch.ground + shift
    below = [(right[0], row.low), (left[0], row.low)]
    axis.add_artist(Polygon([*surface, *below], closed=True, fc=GROUND, ec="none", zorder=1.0))
    axis.plot(*surface.T, color=STEEL, lw=1.5, zorder=2.5)
    for piece in sketch.ice:
        axis.plot(*(piece + shift).T, color=SKY, lw=5.0, solid_capstyle="butt", zorder=2.4)
    hull = {"fc": BODY, "ec": sketch.colour or STEEL, "lw": 1.8 if sketch.colour else 1.0}
    axis.add_artist(Polygon(sketch.body + shift, closed=True, joinstyle="round", zorder=1.4, **hull))
    for place, radius in sketch.skids:
        axis.add_artist(Circle(tuple(place + shift), radius, fc=STEEL, ec="none", zorder=1.5))
    for place, radius, doing in sketch.wheels.values():
        _draw_wheel(axis, place + shift, radius, doing)
    for x, y, doing in _doings(sketch, row):
        how: dict[str, Any] = {"ha": "center", "va": "center", "fontsize": SMALL, "zorder": 5.0}
        axis.text(x + float(shift[0]), y, doing, color=ink(VERMILION), **how)
    for shock in sketch.shocks:
        top, bottom = shock + shift
        middle = 0.5 * (top + bottom)
        axis.plot(*zip(top, middle, strict=True), color=QUIET, lw=4.5, solid_capstyle="butt", zorder=1.9)
        axis.plot(*zip(middle, bottom, strict=True), color=QUIET, lw=1.5, zorder=1.9)
    for rod in sketch.rods:
        axis.plot(*(rod + shift).T, color=STEEL, lw=1.8, solid_capstyle="round", zorder=2.0)
    foot = row.low - 0.5 * WORDS * row.scale - 0.05 * row.scale
    if sketch.name:
        bold: dict[str, Any] = {"color": ink(sketch.colour), "fontweight": "bold"}
        axis.text(
            shift[0], foot, _fitting(sketch.name, row), ha="center", va="center", fontsize=WORDS_SIZE, **bold
        )
        foot -= WORDS * row.scale
    axis.text(shift[0], foot, sketch.words, ha="center", va="center", fontsize=WORDS_SIZE, color=STEEL)


def _doings(sketch: Sketch, row: Row) -> list[tuple[float, float, str]]:
    """Where to say what each wheel does that does not simply roll; once for both where they are too near."""
    said = [
        (float(place[0]), sketch.under(name), doing)
        for name, (place, _, doing) in sketch.wheels.items()
        if doing
    ]
    if len(said) < 2:
        return said
    (x, y, one), (other_x, other_y, other) = said
    wide = 0.5 * (length(one, SMALL) + length(other, SMALL)) * row.scale
    if abs(other_x - x) > 1.1 * wide:
        return said
    return [(0.5 * (x + other_x), min(y, other_y), ", ".join(dict.fromkeys((one, other))))]


def _fitting(name: str, row: Row) -> str:
    """A name, cut where it would run into the next one."""
    most = len(name)
    while length(name, WORDS_SIZE) > 0.9 * row.slot and most > 4:
        most -= 1
        (name,) = shortened([name], most)
    return name


def _draw_wheel(axis: Axes, place: Points, radius: float, doing: str) -> None:
    """A tyre with its rim; in vermilion where it does not simply roll."""
    rim = VERMILION if doing else STEEL
    at = (float(place[0]), float(place[1]))
    axis.add_artist(Circle(at, radius, fc=TYRE, ec=rim, lw=2.5 if doing else 0.8, zorder=1.6))
    axis.add_artist(Circle(at, 0.62 * radius, fc="white", ec=STEEL, lw=0.6, zorder=1.7))
    axis.add_artist(Circle(at, 0.12 * radius, fc=STEEL, ec="none", zorder=2.1))
