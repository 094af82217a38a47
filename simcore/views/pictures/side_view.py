"""The standing rig in side view, to scale: where its links push, and where they would have to push."""

import itertools
import math
import textwrap
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
from matplotlib.axes import Axes
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure
from matplotlib.patches import Circle, Polygon
from scipy.spatial import ConvexHull

from simcore.results.headlines.standing import standing_clauses
from simcore.standing.facts import AxleFacts, Standing
from simcore.studies.inspect import Inspection
from simcore.views.catalogue import picture
from simcore.views.pictures.labels import Label, write_labels
from simcore.views.pictures.style import DPI, FRONT_COLOUR, QUIET, REAR_COLOUR, styled

Place = tuple[float, float]
Points = npt.NDArray[np.float64]
SIZE, HEAD, FOOT = 8.0, 1.3, 0.2  # inches: width of the picture, room for title and below
TITLE_CHARACTERS = 44
BODY, TYRE, STEEL, GROUND = "#DDE3E8", "#C9C9C9", "#3C3C3C", "#EFE9DD"
MARGIN, BELOW, UPHILL, ABOVE = 22.0, 44.0, 22.0, 150.0  # mm of room: at the ends, for words, over the rig
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
    low, high = _window(facts)
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


def _mm(place: Sequence[float]) -> Points:
    return 1e3 * np.asarray(place)


def _pair(point: Points) -> Place:
    return float(point[0]), float(point[1])


def _window(facts: Standing) -> tuple[Points, Points]:
    """Corners of the picture, mm: all tyres and pins, and room for words."""
    rear, front = facts.axles
    top = max(
        point[1] for axle in facts.axles for point in (*itertools.chain(*axle.pins), *axle.shock_mounts)
    )
    below = BELOW + UPHILL * bool(facts.slope)
    low = np.array([1e3 * (rear.hub[0] - rear.radius) - MARGIN, -below])
    high = np.array([1e3 * (front.hub[0] + front.radius) + MARGIN, 1e3 * top + ABOVE])
    return low, high


def _head(figure: Figure, facts: Standing, height: float) -> None:
    where = "on the level" if facts.slope == 0.0 else f"on {math.degrees(facts.slope):.4g} deg"
    drive = {"all": "both axles drive", "rear": "rear drive", "front": "front drive"}[facts.drive]
    first, *others = standing_clauses(facts)
    clauses = [f"{first},", *others] if others else [first]
    lines = [line for clause in clauses for line in textwrap.wrap(clause, TITLE_CHARACTERS)]
    top = 1.0 - 0.12 / height
    figure.text(0.025, top, "\n".join(lines), fontsize=19, fontweight="bold", va="top", linespacing=1.1)
    below = top - (0.08 + 0.32 * len(lines)) / height
    words = f"{facts.name} {where}, {drive}; axle mass counted"
    figure.text(0.025, below, words, fontsize=TEXT, color=QUIET, va="top")


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
    """The sprung mass as far as it is known: the hull of everything that is mounted on it."""
    mounted = [facts.sprung_cg]
    for axle in facts.axles:
        mounted += [pin for pin, _ in axle.pins] + [axle.shock_mounts[0]]
    points = np.array([_mm(point) for point in mounted])
    hull = points[ConvexHull(points).vertices]
    axis.add_patch(Polygon(hull, closed=True, fc=BODY, ec=BODY, lw=9.0, joinstyle="round", zorder=1.2))


def _draw_axle(axis: Axes, axle: AxleFacts) -> None:
    hub = _mm(axle.hub)
    axis.add_patch(Circle(_pair(hub), 1e3 * axle.radius, fc="white", ec=TYRE, lw=7.0, zorder=1.0))
    for _, end in axle.pins:
        axis.plot(*zip(hub, _mm(end), strict=True), color=TYRE, lw=13.0, solid_capstyle="round", zorder=1.4)
    axis.add_patch(Circle(_pair(hub), 9.0, fc=TYRE, ec=STEEL, lw=1.5, zorder=1.5))
    top, bottom = (_mm(mount) for mount in axle.shock_mounts)
    middle = 0.55 * top + 0.45 * bottom
    axis.plot(*zip(middle, bottom, strict=True), color=QUIET, lw=2.5, zorder=1.6)
    axis.plot(*zip(top, middle, strict=True), color="#9AA7B0", lw=9.0, solid_capstyle="butt", zorder=1.6)
    for pin, end in axle.pins:
        axis.plot(*zip(_mm(pin), _mm(end), strict=True), color=STEEL, lw=4.0, zorder=1.7)
    for point in (*itertools.chain(*axle.pins), *axle.shock_mounts):
        axis.plot(*_mm(point), marker="o", ms=6.5, mfc="white", mec=STEEL, mew=1.8, zorder=1.8)


def _centres_of_mass(axis: Axes, facts: Standing) -> Iterable[Label]:
    """Both centres of mass, and where the weight of the whole rig points."""
    whole, sprung = _mm(facts.cg), _mm(facts.sprung_cg)
    down = np.array([-math.sin(facts.slope), -math.cos(facts.slope)])
    foot = whole - down * whole[1] / down[1]
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


def _inside(place: Points, low: Points, high: Points) -> bool:
    return bool(np.all(place > low + 8.0) and np.all(place < high - 8.0))


def _clipped(start: Points, way: Points, low: Points, high: Points) -> Points:
    """Where a ray from inside the picture leaves it, a little short of the edge."""
    edges = np.where(way > 0.0, high - 8.0, low + 8.0)
    with np.errstate(divide="ignore", invalid="ignore"):
        reach = np.where(way == 0.0, np.inf, (edges - start) / way)
    return np.asarray(start + way * float(reach.min()))


def _draw_push(axis: Axes, axle: AxleFacts, side: Side, low: Points, high: Points) -> Iterable[Label]:
    """The line from contact through instant centre, with the links' lines that lead to it."""
    contact, driven = _mm(axle.contact), axle.thrust_share > 0.0
    if axle.path is None or axle.carried is None:
        return
    share = f"{100.0 * axle.carried['own'].with_axle_mass:.0f} %".replace("-", "\N{MINUS SIGN}")
    width = 3.2 if driven else 1.4
    if axle.centre is not None and _inside(_mm(axle.centre), low, high):
        end = _mm(axle.centre)
        for pin, _ in axle.pins:
            way_there = zip(_mm(pin), end, strict=True)
            axis.plot(*way_there, color=side.colour, lw=1.4, ls=(0, (1, 2)), zorder=2.2)
        axis.plot(*zip(contact, end, strict=True), color=side.colour, lw=width, zorder=2.6)
        axis.plot(*end, marker="D", ms=11, mfc=side.colour, mec="white", mew=1.8, zorder=3.3)
        words, at = "instant\ncentre", end
    else:
        inward = side.inward if axle.centre is None else axle.centre[0] - axle.contact[0]
        way = math.copysign(1.0, inward) * np.array([1.0, axle.path.slope])
        end = _clipped(contact, way, low, high)
        _arrow(axis, contact, end, side.colour, width, 2.6)
        words = "links\nparallel" if axle.centre is None else f"instant\ncentre {_far(axle)}\naway"
        at = contact + 0.95 * (end - contact)
    yield Label(f"{side.name} {words}: {share}", _pair(at), side.colour, bold=True)
    steep = math.degrees(math.atan(abs(axle.path.slope)))
    thrust = (
        f"{side.name} thrust works\nalong this line, {steep:.0f}°" if driven else f"{side.name}: not driven"
    )
    yield Label(thrust, _pair(contact), side.colour, sinks=True)


def _far(axle: AxleFacts) -> str:
    distance = math.dist(axle.centre or axle.contact, axle.contact)
    return f"{1e3 * distance:.0f} mm" if distance < 1.0 else f"{distance:.3g} m"


def _draw_level_line(axis: Axes, axle: AxleFacts, side: Side, low: Points, high: Points) -> Iterable[Label]:
    """Where the instant centre would have to lie for this end to stay level in the stance drawn.

    The other end moves in a run, which shifts the centre of mass: there the line lies about a millimetre
    elsewhere.
    """
    line, contact = axle.level_line, _mm(axle.contact)
    if line is None:
        return
    way = np.array([side.inward, line.gradient])
    start = contact + np.array([0.0, 1e3 * line.foot])
    first = start - way * start[1] / way[1]  # on the ground
    end = _clipped(first, way, low, high)
    axis.plot(*zip(first, end, strict=True), color=side.colour, lw=2.4, ls=(0, (5, 2.5)), zorder=2.5)
    words = f"instant centre here: 100 %,\nthe {side.name} stays level\n(until the other end moves)"
    yield Label(words, _pair(first + 0.97 * (end - first)), side.colour)


@picture(
    "Drawn to scale: the thrust of an axle works along the bold line from its contact to its "
    "instant centre. With the instant centre on the dashed line the links would carry all of the "
    "change of load, and that end would stay level.",
)
def of_inspection(result: Inspection) -> Figure:
    """The rig from the side, to scale."""
    return side_view(result.standing)
