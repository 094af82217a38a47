"""The standing rig in side view, to scale: where its links push, and where they would have to push."""

import itertools
import math
import textwrap
from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np
from matplotlib.axes import Axes
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure
from matplotlib.patches import Circle, Polygon

from simcore.results.headlines.standing import standing_clauses
from simcore.standing.facts import AxleFacts, Standing
from simcore.studies.inspect import Inspection
from simcore.views.catalogue import picture
from simcore.views.pictures.labels import Label, write_labels
from simcore.views.pictures.standing_lines import (
    HERE,
    Points,
    below_cg,
    body_of,
    level_line_of,
    mm,
    push_of,
    stance_words,
    window,
)
from simcore.views.pictures.style import DPI, FRONT_COLOUR, QUIET, REAR_COLOUR, styled

Place = tuple[float, float]
SIZE, HEAD, FOOT = 8.0, 1.3, 0.2  # inches: width of the picture, room for title and below
TITLE_CHARACTERS = 44
BODY, TYRE, STEEL, GROUND = "#DDE3E8", "#C9C9C9", "#3C3C3C", "#EFE9DD"
TEXT = 13.5


@dataclass(frozen=True)
class Side:
    """One end of the rig: its name, what happens to it, its colour, and the way to the other end."""

    name: str
    moved: str
    colour: str
    inward: float


SIDES = Side("rear", "squat", REAR_COLOUR, 1.0), Side("front", "lift", FRONT_COLOUR, -1.0)


@styled
def side_view(facts: Standing) -> Figure:
    """Rig, instant centres, and for each axle the line along which its links push against the line that would
    keep this end level.

    Parameters
    ----------
    facts : of a rig where it stands; drawn along its ground
    """
    low, high = window(facts)
    span = high - low
    height = SIZE * span[1] / span[0] * 0.96 + HEAD + FOOT
    figure = Figure(figsize=(SIZE, height), dpi=DPI)
    FigureCanvasAgg(figure)
    axis = figure.add_axes((0.02, FOOT / height, 0.96, 1.0 - (HEAD + FOOT) / height))
    axis.set(xlim=(low[0], high[0]), ylim=(low[1], high[1]), aspect="equal")
    axis.set_axis_off()
    _head(figure, facts, height)
    _draw_ground(axis, facts.slope, low, high)
    _draw_body(axis, facts)
    labels: list[Label] = []
    for axle, side in zip(facts.axles, SIDES, strict=True):
        _draw_axle(axis, axle)
        labels += _draw_push(axis, axle, side, low, high)
        labels += _draw_level_line(axis, axle, side, low, high)
    labels += _centres_of_mass(axis, facts)
    write_labels(axis, labels, TEXT, ground=0.0)
    return figure


def _pair(point: Points) -> Place:
    return float(point[0]), float(point[1])


def _head(figure: Figure, facts: Standing, height: float) -> None:
    first, *others = standing_clauses(facts)
    clauses = [f"{first},", *others] if others else [first]
    lines = [line for clause in clauses for line in textwrap.wrap(clause, TITLE_CHARACTERS)]
    top = 1.0 - 0.12 / height
    figure.text(0.025, top, "\n".join(lines), fontsize=19, fontweight="bold", va="top", linespacing=1.1)
    below = top - (0.08 + 0.32 * len(lines)) / height
    figure.text(0.025, below, stance_words(facts), fontsize=TEXT, color=QUIET, va="top")


def _draw_ground(axis: Axes, slope: float, low: Points, high: Points) -> None:
    axis.fill_between([low[0], high[0]], low[1], 0.0, color=GROUND, zorder=2)
    axis.plot([low[0], high[0]], [0.0, 0.0], color=STEEL, lw=2.0, zorder=2.1)
    if slope:
        middle, uphill = 0.5 * (low[0] + high[0]), math.copysign(1.0, slope)
        words = f"{math.degrees(abs(slope)):.4g}° uphill"
        axis.text(middle, low[1] + 13.0, words, fontsize=TEXT, ha="center", va="center", zorder=5)
        start = np.array([middle + uphill * 48.0, low[1] + 13.0])
        _arrow(axis, start, start + np.array([uphill * 60.0, 0.0]), STEEL, 2.2, 3.0)


def _draw_body(axis: Axes, facts: Standing) -> None:
    """The sprung mass as far as it is known."""
    hull = body_of(facts)
    axis.add_patch(Polygon(hull, closed=True, fc=BODY, ec=BODY, lw=9.0, joinstyle="round", zorder=1.2))


def _draw_axle(axis: Axes, axle: AxleFacts) -> None:
    hub = mm(axle.hub)
    axis.add_patch(Circle(_pair(hub), 1e3 * axle.radius, fc="white", ec=TYRE, lw=7.0, zorder=1.0))
    for _, end in axle.pins:
        axis.plot(*zip(hub, mm(end), strict=True), color=TYRE, lw=13.0, solid_capstyle="round", zorder=1.4)
    axis.add_patch(Circle(_pair(hub), 9.0, fc=TYRE, ec=STEEL, lw=1.5, zorder=1.5))
    top, bottom = (mm(mount) for mount in axle.shock_mounts)
    middle = 0.55 * top + 0.45 * bottom
    axis.plot(*zip(middle, bottom, strict=True), color=QUIET, lw=2.5, zorder=1.6)
    axis.plot(*zip(top, middle, strict=True), color="#9AA7B0", lw=9.0, solid_capstyle="butt", zorder=1.6)
    for pin, end in axle.pins:
        axis.plot(*zip(mm(pin), mm(end), strict=True), color=STEEL, lw=4.0, zorder=1.7)
    for point in (*itertools.chain(*axle.pins), *axle.shock_mounts):
        axis.plot(*mm(point), marker="o", ms=6.5, mfc="white", mec=STEEL, mew=1.8, zorder=1.8)


def _centres_of_mass(axis: Axes, facts: Standing) -> Iterable[Label]:
    """Both centres of mass, and where the weight of the whole rig points."""
    whole, sprung, foot = mm(facts.cg), mm(facts.sprung_cg), below_cg(facts)
    _arrow(axis, whole, foot, "black", 2.2, 3.0)
    for place, size in ((whole, 15.0), (sprung, 11.0)):
        axis.plot(*place, marker="o", ms=size, mfc="white", mec="black", mew=2.0, zorder=3.1)
        axis.plot(*place, marker="+", ms=size, mec="black", mew=2.0, zorder=3.2)
    yield Label("CG of whole rig", _pair(whole), "black")
    yield Label("CG of sprung mass", _pair(sprung), "black")
    yield Label("weight", _pair(foot), "black", sinks=True)


def _arrow(axis: Axes, start: Points, end: Points, colour: str, width: float, zorder: float) -> None:
    style = {"arrowstyle": "-|>", "color": colour, "lw": width, "shrinkA": 0, "shrinkB": 0}
    style |= {"mutation_scale": 8.0 + 5.0 * width}
    axis.annotate("", _pair(end), _pair(start), arrowprops=style, zorder=zorder)
    axis.plot(*zip(start, end, strict=True), alpha=0.0)  # for words to keep clear of


def _draw_push(axis: Axes, axle: AxleFacts, side: Side, low: Points, high: Points) -> Iterable[Label]:
    """The line from contact through instant centre, with the links' lines that lead to it."""
    push = push_of(axle, side.name, side.inward, low, high)
    if push is None:
        return
    start, end = push.start, push.end
    width = 3.2 if push.driven else 1.4
    if push.seen:
        for pin in push.pins:
            axis.plot(*zip(pin, end, strict=True), color=side.colour, lw=1.4, ls=(0, (1, 2)), zorder=2.2)
        axis.plot(*zip(start, end, strict=True), color=side.colour, lw=width, zorder=2.6)
        axis.plot(*end, marker="D", ms=11, mfc=side.colour, mec="white", mew=1.8, zorder=3.3)
        at = end
    else:
        _arrow(axis, start, end, side.colour, width, 2.6)
        at = start + 0.95 * (end - start)
    yield Label(push.centre, _pair(at), side.colour, bold=True)
    yield Label(push.thrust, _pair(start), side.colour, sinks=True)


def _draw_level_line(axis: Axes, axle: AxleFacts, side: Side, low: Points, high: Points) -> Iterable[Label]:
    """Where the instant centre would have to lie for this end to stay level in the stance drawn."""
    line = level_line_of(axle, side.inward, low, high)
    if line is None:
        return
    first, end = line
    axis.plot(*zip(first, end, strict=True), color=side.colour, lw=2.4, ls=(0, (5, 2.5)), zorder=2.5)
    yield Label(HERE.format(side.name), _pair(first + 0.97 * (end - first)), side.colour)


@picture(
    "Drawn to scale: the thrust of an axle works along the bold line from its contact to its "
    "instant centre. With the instant centre on the dashed line the links would carry all of the "
    "change of load, and that end would stay level.",
)
def of_inspection(result: Inspection) -> Figure:
    """The rig from the side, to scale."""
    return side_view(result.standing)
