"""Small side views of a rig at some instants of a run, in a row, to one scale with the ground."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
import numpy.typing as npt
from matplotlib.axes import Axes
from matplotlib.patches import Circle, Polygon
from scipy.spatial import ConvexHull

from simcore.accounts.places import ICE
from simcore.accounts.reasons import SPINNING, TOUCH
from simcore.files.scenario import Scenario
from simcore.results.motion import places
from simcore.results.run import Run
from simcore.results.stages import Stage
from simcore.rig.course import course_of
from simcore.rig.masses import SIDES
from simcore.views.pictures.names import shortened
from simcore.views.pictures.style import QUIET, SKY, SMALL, VERMILION, WIDTH, ink, length

Points = npt.NDArray[np.float64]
BODY, TYRE, STEEL, GROUND = "#DDE3E8", "#B9B9B9", "#3C3C3C", "#EFE9DD"
LEFT, RIGHT = 0.02, 0.98  # of the figure's width, where a row of drawings begins and ends
MOST_HIGH = 1.8  # inches of the drawings
WORDS, WORDS_SIZE = 0.2, 12.0  # inches and points of a row of words below them
ASIDE = 25.0  # mm of ground that is seen beyond the tyres
BELOW, WORD = 34.0, 45.0  # mm of ground below tyres for words, and half the length of a word
LEAST_BELOW = 10.0  # mm of ground that is seen below the lowest point
ABOVE = 6.0  # mm over the highest point
SLIDES = 0.02  # m/s of slip; less is none


@dataclass(frozen=True)
class Sketch:
    """A rig at one instant, mm from the middle between its wheels.

    Attributes
    ----------
    words : rows below it: what it is and when
    name, colour : of the case; the colour of its body without one
    body : corners of the chassis
    wheels : by axle: place of the centre, radius, and what its tyres do ("" for rolling)
    rods : ends of the links
    shocks : ends of the shocks, the upper one first
    skids : place and radius
    ground : corners of the surface
    ice : ends of what of it is ice
    """

    words: str
    name: str
    colour: str
    body: Points
    wheels: Mapping[str, tuple[Points, float, str]]
    rods: Sequence[Points]
    shocks: Sequence[Points]
    skids: Sequence[tuple[Points, float]]
    ground: Points
    ice: Sequence[Points]

    @property
    def corners(self) -> tuple[Points, Points]:
        """Lower left and upper right corner of all that is drawn."""
        rims = [place + side * radius for place, radius, _ in self.wheels.values() for side in (-1.0, 1.0)]
        all_points = np.concatenate([self.body, rims, self.ground, *self.shocks])
        low, high = np.min(all_points, axis=0), np.max(all_points, axis=0)
        words = [self.under(axle) - 0.5 * BELOW for axle, wheel in self.wheels.items() if wheel[2]]
        return np.array([low[0], min([low[1] - LEAST_BELOW, *words])]), high + np.array([0.0, ABOVE])

    def under(self, axle: str) -> float:
        """Height of words about the tyres of an axle, in the ground below them."""
        place, radius, _ = self.wheels[axle]
        beside = place[0] + np.array([-WORD, 0.0, WORD])
        near = self.ground[np.abs(self.ground[:, 0] - place[0]) < WORD, 1]
        ground = float(min([*np.interp(beside, *self.ground.T), *near]))
        return min(ground, float(place[1]) - radius) - 0.45 * BELOW


def sketch_of(run: Run, stage: Stage, name: str = "", colour: str = "") -> Sketch:
    """The rig of a run at an instant.

    Parameters
    ----------
    run : fresh or read from a folder
    stage : which instant
    name, colour : of the case, if several are shown
    """
    series, motion = (table.iloc[[stage.row]] for table in (run.series, run.motion))

    def at(body: str, place: Sequence[float]) -> Points:
        x, z = places(series, motion, body, place)
        return np.array([x[0], z[0]])

    chassis, row = run.outline["chassis"], series.iloc[0]
    axles = {axle: run.outline[f"{axle}_axle"] for axle in SIDES}
    hubs = {axle: at(f"{axle}_axle", own["wheel_centre"]) for axle, own in axles.items()}
    middle = 0.5 * (hubs["rear"] + hubs["front"])
    radii = {axle: float(own["tyre_radius"]) for axle, own in axles.items()}
    reach = max(abs(hubs[axle][0] - middle[0]) + radii[axle] for axle in SIDES) + ASIDE
    body = np.array([at("chassis", place) for place in _mounted(chassis)])
    return Sketch(
        words=f"{stage.words}, {stage.time_s:.2f} s" if stage.time_s else stage.words,
        name=name,
        colour=colour,
        body=body[ConvexHull(body).vertices] - middle,
        wheels={axle: (hubs[axle] - middle, radii[axle], _doing(row, axle)) for axle in SIDES},
        rods=[rod - middle for axle, own in axles.items() for rod in _rods(at, chassis, own, axle)],
        shocks=[
            np.array([at("chassis", chassis["shock_mounts"][axle]), _lower_mount(at, own, axle)]) - middle
            for axle, own in axles.items()
        ],
        skids=[(at("chassis", skid["at"]) - middle, float(skid["radius"])) for skid in chassis["skids"]],
        ground=_seen(np.array(run.outline["ground"]), middle, reach),
        ice=[_seen(piece, middle, reach) for piece in ice_of(run) if len(_seen(piece, middle, reach)) > 1],
    )


def chassis_corners(chassis: Mapping[str, Any]) -> Points:
    """Corners of the chassis as far as it is known, (n, 2), mm from its centre of mass."""
    points = np.array(list(_mounted(chassis)))
    return points[ConvexHull(points).vertices]


def _mounted(chassis: Mapping[str, Any]) -> Iterator[Sequence[float]]:
    """All places that the chassis reaches to."""
    for axle in SIDES:
        yield from (*chassis["link_pins"][axle], chassis["shock_mounts"][axle])
    for skid in chassis["skids"]:
        yield skid["at"]
    for part in chassis["parts"]:
        (x, z), (wide, high) = part["at"], part["size"] or (0.0, 0.0)
        yield from ((x + i * wide, z + j * high) for i in (-0.5, 0.5) for j in (-0.5, 0.5))
    yield [0.0, 0.0]


def _rods(at: Any, chassis: Mapping[str, Any], own: Mapping[str, Any], axle: str) -> list[Points]:
    """Ends of an axle's links; an arm reaches from its pin to the wheels."""
    body = f"{axle}_axle"
    pins = [
        (at("chassis", up), at(body, down))
        for up, down in zip(chassis["link_pins"][axle], own["link_pins"], strict=True)
    ]
    if own["arm"]:
        return [np.array([pins[0][0], at(body, own["wheel_centre"])])]
    return [np.array(pair) for pair in pins]


def _lower_mount(at: Any, own: Mapping[str, Any], axle: str) -> Points:
    """Lower mount of an axle's shocks: a fixed mix of two pins where it sits on a link."""
    share, (pin, end) = own["shock_fraction"], own["shock_link_pins"]
    return np.asarray((1.0 - share) * at("chassis", pin) + share * at(f"{axle}_axle", end))


def _doing(row: Any, axle: str) -> str:
    """What the tyres of an axle do, in a word; empty where they roll."""
    if row[f"{axle}_load_N"] <= TOUCH:
        return "in air"
    slip, ground = row[f"{axle}_slip_speed_m_per_s"], row["speed_m_per_s"]
    if abs(row[f"{axle}_slip_pct"]) <= 100.0 * SPINNING or abs(slip) < SLIDES:
        return ""
    return "spins" if abs(ground + slip) > abs(ground) else "slides"


def _seen(surface: Points, middle: Points, reach: float) -> Points:
    """Corners of a surface within reach of the middle, from there; cut off at both ends."""
    x, z = (surface - middle).T
    found: list[tuple[float, float]] = []
    for k in range(len(x) - 1):
        shares = [0.0, 1.0]
        if abs(x[k + 1] - x[k]) > 1e-9:
            ends = sorted((edge - x[k]) / (x[k + 1] - x[k]) for edge in (-reach, reach))
            shares = [max(0.0, ends[0]), min(1.0, ends[1])]
        elif abs(x[k]) > reach:
            continue
        if shares[0] < shares[1]:
            found += [(x[k] + s * (x[k + 1] - x[k]), z[k] + s * (z[k + 1] - z[k])) for s in shares]
    return np.array(found).reshape(-1, 2)


def ice_of(run: Run) -> Iterator[Points]:
    """Ends of the pieces of a run's course that are ice."""
    return ice_on(run.scenario)


def ice_on(scenario: Scenario) -> Iterator[Points]:
    """Ends of the pieces of a course that are ice."""
    pieces = course_of(scenario)
    for piece in pieces if len(pieces) > 1 else []:
        if piece["grip"] <= ICE:
            start = 1e3 * np.array([piece["start"]["x"], piece["start"]["z"]])
            along = 1e3 * np.array([piece["along"]["x"], piece["along"]["z"]])
            yield np.array([start - piece["behind"] * along, start + piece["length"] * along])


# --- a row of them ---


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
    axis.add_patch(Polygon([*surface, *below], closed=True, fc=GROUND, ec="none", zorder=1.0))
    axis.plot(*surface.T, color=STEEL, lw=1.5, zorder=2.5)
    for piece in sketch.ice:
        axis.plot(*(piece + shift).T, color=SKY, lw=5.0, solid_capstyle="butt", zorder=2.4)
    hull = {"fc": BODY, "ec": sketch.colour or STEEL, "lw": 1.8 if sketch.colour else 1.0}
    axis.add_patch(Polygon(sketch.body + shift, closed=True, joinstyle="round", zorder=1.4, **hull))
    for place, radius in sketch.skids:
        axis.add_patch(Circle(tuple(place + shift), radius, fc=STEEL, ec="none", zorder=1.5))
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
    axis.add_patch(Circle(at, radius, fc=TYRE, ec=rim, lw=2.5 if doing else 0.8, zorder=1.6))
    axis.add_patch(Circle(at, 0.62 * radius, fc="white", ec=STEEL, lw=0.6, zorder=1.7))
    axis.add_patch(Circle(at, 0.12 * radius, fc=STEEL, ec="none", zorder=2.1))
