"""Free bodies of axles: what links, shocks, ground and weight do to them, as arrows to scale."""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
import numpy.typing as npt
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.patches import Circle, Polygon

from simcore.results.conditions import Conditions
from simcore.results.free_body import Force, FreeBody, Part, free_bodies, is_known, when_of
from simcore.results.headlines.cases import jobs_sentence
from simcore.results.headlines.links import (
    axle_apart,
    does,
    grams,
    links_of_cases,
    links_of_run,
)
from simcore.results.headlines.run import job_of
from simcore.results.run import Run
from simcore.studies.compare import Comparison
from simcore.units import GRAMS
from simcore.views.catalogue import picture
from simcore.views.pictures.labels import Label, write_labels
from simcore.views.pictures.layout import page
from simcore.views.pictures.names import shortened
from simcore.views.pictures.style import (
    BLACK,
    BLUE,
    GREEN,
    INDIGO,
    QUIET,
    SMALL,
    VERMILION,
    WIDTH,
    WINE,
    dots,
    ink,
    styled,
)

Points = npt.NDArray[np.float64]
TYRE, STEEL, GROUND = "#C9C9C9", "#3C3C3C", "#EFE9DD"
LOOKS: dict[Part, tuple[str, float]] = {
    Part.LOWER: (BLUE, 4.6),
    Part.UPPER: (VERMILION, 4.6),
    Part.ARM: (BLUE, 4.6),
    Part.SHOCK: (GREEN, 3.4),
    Part.SHAFT: (WINE, 2.4),
    Part.LOAD: (BLACK, 3.4),
    Part.THRUST: (INDIGO, 3.4),
    Part.WEIGHT: (QUIET, 2.4),
}
"""Colour and width of each arrow."""
MOST = 6  # cases that are drawn
MOST_LETTERS = 36  # of their names
LONGEST = 1.75  # tyre radii, of the longest arrow
LEAST = 0.03  # tyre radii; shorter ones are a dot
ASIDE, ABOVE, BELOW = 0.8, 0.15, 0.15  # tyre radii of room for words
COLUMNS = 2
APART = 0.16  # of a panel's width, between columns
LEFT, RIGHT = 0.02, 0.98  # edges of the panels, shares of the width
HEADS = 0.17  # tyre radii, longest head of an arrow
ROUND = (1.0, 2.0, 5.0)
HOW_TO_READ = (
    "Forces on the axle with its wheels: a solid arrow pushes with its tip, a dashed one pulls at its dot. "
    "Their sum is mass times acceleration."
)


@dataclass(frozen=True)
class Panel:
    """A free body and what stands over it."""

    name: str
    body: FreeBody


@dataclass(frozen=True)
class Scale:
    """Of all panels: mm per newton, and the size of each, mm."""

    force: float
    size: Points
    radius: float


@styled
def force_arrows(panels: Sequence[Panel], answer: str, question: str) -> Figure:
    """Free bodies beside one another, all to one scale of lengths and of forces.

    Parameters
    ----------
    panels : what to draw
    answer, question : the finding, and what was asked of which rig
    """
    scale = _scale(panels)
    rows = -(-len(panels) // COLUMNS)
    width = WIDTH * (RIGHT - LEFT) / (COLUMNS + APART * (COLUMNS - 1))
    height = width * scale.size[1] / scale.size[0]
    figure, axes = page(rows, COLUMNS, height, answer, question, left=LEFT, right=RIGHT, gap=0.6)
    for axis, panel in zip(axes, panels, strict=False):
        _draw(axis, panel, scale)
    for axis in axes[len(panels) :]:
        axis.set_axis_off()
    _draw_scale(figure, scale, scale.size[0] / width)
    return figure


def _corners(body: FreeBody, scale: float) -> tuple[Points, Points]:
    """Lower left and upper right of all that is drawn of a body."""
    ends = [end for force in body.forces for end in _arrow(force, scale)]
    rim = body.radius * np.array([[-1.0, -1.0], [1.0, 1.0]])
    every = np.concatenate([rim, np.array(ends), *(member for _, member in body.members)])
    return every.min(axis=0), every.max(axis=0)


def _scale(panels: Sequence[Panel]) -> Scale:
    bodies = [panel.body for panel in panels]
    radius = max(body.radius for body in bodies)
    largest = max(force.size for body in bodies for force in body.forces)
    force = LONGEST * radius / largest
    spans = [np.subtract(*reversed(_corners(body, force))) for body in bodies]
    room = radius * np.array([2.0 * ASIDE, ABOVE + BELOW])
    return Scale(force, np.max(spans, axis=0) + room, radius)


def _arrow(force: Force, scale: float) -> tuple[Points, Points]:
    """Tail and tip: what pushes ends at its place, what pulls begins there."""
    way = scale * force.vector
    pushes = force.push > 0.0 or force.part is Part.LOAD
    return (force.at - way, force.at) if pushes else (force.at, force.at + way)


def _draw(axis: Axes, panel: Panel, scale: Scale) -> None:
    body = panel.body
    low, high = _corners(body, scale.force)
    start = 0.5 * (low + high - scale.size) + 0.5 * scale.radius * np.array([0.0, ABOVE - BELOW])
    axis.set(xlim=(start[0], start[0] + scale.size[0]), ylim=(start[1], start[1] + scale.size[1]))
    axis.set(aspect="equal", xticks=[], yticks=[])
    axis.grid(False)
    for spine in axis.spines.values():
        spine.set(visible=True, color="#D0D0D0")
    above: dict[str, Any] = {"xycoords": "axes fraction", "textcoords": "offset points", "ha": "center"}
    left = grams(float(np.hypot(*body.left)))
    axis.annotate(panel.name, (0.5, 1.0), (0.0, 20.0), fontsize=13.0, fontweight="bold", **above)
    words = f"{body.when.words}; sum {left}"
    axis.annotate(words, (0.5, 1.0), (0.0, 5.0), fontsize=SMALL, color=QUIET, **above)
    _draw_axle(axis, body)
    labels = [_draw_force(axis, force, scale) for force in sorted(body.forces, key=lambda one: -one.size)]
    write_labels(axis, labels, SMALL)


def _draw_axle(axis: Axes, body: FreeBody) -> None:
    """Ground, tyre, housing, and thinly what joins it to the chassis."""
    bottom = axis.get_ylim()[0]
    x, z = body.ground.T
    axis.fill_between(x, z, min(bottom, float(z.min())), color=GROUND, lw=0.0, zorder=0.5)
    axis.plot(x, z, color=STEEL, lw=1.2, zorder=0.9, scalex=False, scaley=False)
    turns = np.linspace(0.0, 2.0 * math.pi, 73)
    rim = body.radius * np.stack([np.cos(turns), np.sin(turns)], axis=1)
    axis.add_patch(Polygon(rim, closed=True, fc="white", ec="none", zorder=0.8))
    axis.plot(*rim.T, color=TYRE, lw=6.0, zorder=1.0)
    for part, (chassis, end) in body.members:
        if part is Part.ARM:  # it is part of the housing
            end = chassis
        if part is not Part.SHOCK or body.of(Part.SHOCK):  # which may stand on a link
            axis.plot(*zip((0.0, 0.0), end, strict=True), color=TYRE, lw=8.0, zorder=1.1)
        axis.plot(*zip(chassis, end, strict=True), color="#8C979E", lw=1.6, zorder=1.3)
        axis.plot(*chassis, marker="o", ms=4.5, mfc="white", mec="#8C979E", mew=1.2, zorder=1.4)
    axis.add_patch(Circle((0.0, 0.0), 0.12 * body.radius, fc=TYRE, ec=STEEL, lw=1.0, zorder=1.2))


def _draw_force(axis: Axes, force: Force, scale: Scale) -> Label:
    """An arrow with its point of application; gives what to write beside it."""
    colour, width = LOOKS[force.part]
    tail, tip = _arrow(force, scale.force)
    pulls = force.push < 0.0
    axis.plot(*force.at, marker="o", ms=5.5, mfc="white", mec=colour, mew=1.8, zorder=3.2)
    if scale.force * force.size > LEAST * scale.radius:
        _draw_arrow(axis, tail, tip, {"color": colour, "lw": width, "ls": _dash(pulls)}, scale.radius)
    words = does(force) if np.any(force.toward) else f"{force.part.value} {grams(force.size)}"
    much = words[len(force.part.value) + 1 :]
    middle = 0.4 * force.at + 0.6 * (tail if np.allclose(tip, force.at) else tip)
    return Label(f"{force.part.value}\n{much}", (float(middle[0]), float(middle[1])), ink(colour))


def _dash(pulls: bool) -> Any:
    return (0, (1.6, 0.8)) if pulls else "-"


def _draw_arrow(axis: Axes, tail: Points, tip: Points, look: Mapping[str, Any], radius: float) -> None:
    way = tip - tail
    long = float(np.hypot(*way))
    along = way / long
    head = min(HEADS * radius, long)
    neck, across = tip - head * along, 0.42 * head * np.array([-along[1], along[0]])
    axis.plot(*zip(tail, neck, strict=True), **look, dash_capstyle="butt", solid_capstyle="butt", zorder=3.0)
    corners = [tip, neck + across, neck - across]
    points = 72.0 / dots() * axis.get_window_extent().width / float(np.ptp(axis.get_xlim()))  # a mm
    for place in (0.5 * (tip + neck), tip):  # for words to keep clear of
        axis.plot(*place, marker="o", ms=0.7 * head * points, alpha=0.0)
    axis.add_patch(Polygon(corners, closed=True, fc=look["color"], ec="none", zorder=3.1))


def _draw_scale(figure: Figure, scale: Scale, per_inch: float) -> None:
    """An arrow of a round force at the foot, as long as in the panels."""
    high = 0.4 / figure.get_figheight()
    axis = figure.add_axes((0.02, 0.1 / figure.get_figheight(), 0.96, high))
    wide = 0.96 * WIDTH * per_inch
    axis.set(xlim=(0.0, wide), ylim=(-0.2 * per_inch, 0.2 * per_inch))
    axis.set_axis_off()
    most = LONGEST * scale.radius / scale.force * GRAMS
    step = 10.0 ** math.floor(math.log10(most))
    round_grams = max(step * share for share in (0.5, *ROUND) if step * share <= 0.8 * most)
    long = scale.force * round_grams / GRAMS
    look = {"color": STEEL, "lw": 3.4}
    _draw_arrow(axis, np.zeros(2), np.array([long, 0.0]), look, scale.radius)
    words = (
        f"{grams(round_grams / GRAMS)} in all drawings; lengths to scale, tyre radius {scale.radius:.0f} mm"
    )
    axis.text(long + 0.12 * per_inch, 0.0, words, fontsize=SMALL, va="center", color=QUIET)


def _bodies(run: Run) -> dict[str, FreeBody]:
    tables = run.series, run.motion, run.outline, run.scenario
    return free_bodies(*tables, when_of(*tables, run.outcome))


CAPTION = (
    "The axle with its wheels cut free and every force on it, to scale: a solid arrow pushes with its tip, a "
    "dashed one pulls at its dot. Where the motion is steady the arrows add up to nothing."
)


@picture(CAPTION, says=lambda run: is_known(run.outline))
def of_run(run: Run) -> Figure:
    """What acts on both axles of a run."""
    conditions = Conditions.of(run.scenario)
    axles = _bodies(run)
    answer = f"{job_of(run.summary, conditions)}. {links_of_run(axles).capitalize()}"
    panels = [Panel(f"{name} axle", body) for name, body in axles.items()]
    return force_arrows(panels, answer, f"{conditions.text}\n{HOW_TO_READ}")


@picture(
    CAPTION,
    says=lambda result: all(is_known(run.outline) for run in result.runs.values()),
)
def of_comparison(result: Comparison) -> Figure:
    """What acts on the axle whose links differ most between the cases."""
    conditions = Conditions.of(result.scenario)
    cases = {name: _bodies(run) for name, run in result.runs.items()}
    axle = axle_apart(cases)
    jobs = jobs_sentence(result.jobs, result.scenario.cases())
    answer = ". ".join(part for part in (jobs, links_of_cases(cases, axle)) if part)
    drawn = list(cases)[:MOST]
    which = f"Drawn is the {axle} axle, whose links differ most"
    if len(drawn) < len(cases):
        which += f"; of {len(cases)} cases the first {len(drawn)}"
    names = shortened(drawn, MOST_LETTERS)
    panels = [Panel(name, cases[case][axle]) for name, case in zip(names, drawn, strict=True)]
    return force_arrows(panels, answer, f"{conditions.text}\n{which}. {HOW_TO_READ}")
