"""A rig from the side at some instants of a run, with its ground: what is drawn of it, in millimetres."""

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

import numpy as np
import numpy.typing as npt
import pandas as pd
from scipy.spatial import ConvexHull

from simcore.accounts.places import ICE
from simcore.accounts.reasons import SPINNING, TOUCH
from simcore.files.scenario import Scenario
from simcore.results.motion import places
from simcore.results.run import Run
from simcore.results.stages import Stage
from simcore.rig.course import course_of
from simcore.rig.masses import SIDES

Points = npt.NDArray[np.float64]
At = Callable[[str, Any], Points]
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
    """The rig of a run at an instant; as `sketches_of`."""
    (found,) = sketches_of(run, [stage], name, colour)
    return found


def sketches_of(run: Run, told: Sequence[Stage], name: str = "", colour: str = "") -> list[Sketch]:
    """The rig of a run at some instants.

    Parameters
    ----------
    run : fresh or read from a folder
    told : which instants
    name, colour : of the case, if several are shown
    """
    rows = [stage.row for stage in told]
    series, motion = run.series.iloc[rows], run.motion.iloc[rows]

    def at(body: str, points: Any) -> Points:
        """Way of points of a body, with the instants first: (n, 2) or (n, m, 2)."""
        return np.stack(places(series, motion, body, points), axis=-1).swapaxes(0, -2)

    chassis, axles = run.outline["chassis"], {axle: run.outline[f"{axle}_axle"] for axle in SIDES}
    hubs = {axle: at(f"{axle}_axle", own["wheel_centre"]) for axle, own in axles.items()}
    middles = 0.5 * (hubs["rear"] + hubs["front"])
    body = at("chassis", list(_mounted(chassis)))
    rods = np.concatenate([_rods(at, chassis, own, axle) for axle, own in axles.items()], axis=1)
    shocks = np.stack([_shock(at, chassis, own, axle) for axle, own in axles.items()], axis=1)
    skids = at("chassis", [skid["at"] for skid in chassis["skids"]] or np.empty((0, 2)))
    doing = {axle: _doing(series, axle) for axle in SIDES}
    radii = {axle: float(own["tyre_radius"]) for axle, own in axles.items()}
    ground, ice = np.array(run.outline["ground"]), list(ice_of(run))

    def sketch(k: int, stage: Stage) -> Sketch:
        middle = middles[k]
        reach = max(abs(hubs[axle][k][0] - middle[0]) + radii[axle] for axle in SIDES) + ASIDE
        seen = [_seen(piece, middle, reach) for piece in ice]
        return Sketch(
            words=f"{stage.words}, {stage.time_s:.2f} s" if stage.time_s else stage.words,
            name=name,
            colour=colour,
            body=body[k][ConvexHull(body[k]).vertices] - middle,
            wheels={axle: (hubs[axle][k] - middle, radii[axle], doing[axle][k]) for axle in SIDES},
            rods=list(rods[k] - middle),
            shocks=list(shocks[k] - middle),
            skids=[
                (place - middle, float(skid["radius"]))
                for place, skid in zip(skids[k], chassis["skids"], strict=True)
            ],
            ground=_seen(ground, middle, reach),
            ice=[piece for piece in seen if len(piece) > 1],
        )

    return [sketch(k, stage) for k, stage in enumerate(told)]


def chassis_corners(chassis: Mapping[str, Any]) -> Points:
    """Corners of the chassis as far as it is known, (n, 2), mm from its centre of mass."""
    return _hull(tuple((float(x), float(z)) for x, z in _mounted(chassis)))


@lru_cache(maxsize=8)  # a chassis stays as it is while other things are moved
def _hull(places: tuple[tuple[float, float], ...]) -> Points:
    points = np.array(places)
    corners = points[ConvexHull(points).vertices]
    corners.flags.writeable = False
    return corners


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


def _rods(at: At, chassis: Mapping[str, Any], own: Mapping[str, Any], axle: str) -> Points:
    """Ends of an axle's links, (n, links, 2, 2); an arm reaches from its pin to the wheels."""
    up, down = chassis["link_pins"][axle], own["link_pins"]
    if own["arm"]:
        up, down = up[:1], [own["wheel_centre"]]
    return np.stack([at("chassis", up), at(f"{axle}_axle", down)], axis=2)


def _shock(at: At, chassis: Mapping[str, Any], own: Mapping[str, Any], axle: str) -> Points:
    """Mounts of an axle's shocks, (n, 2, 2); on a link the lower one is a fixed mix of its two pins."""
    share, (pin, end) = own["shock_fraction"], own["shock_link_pins"]
    upper, pin = at("chassis", [chassis["shock_mounts"][axle], pin]).swapaxes(0, 1)
    return np.stack([upper, (1.0 - share) * pin + share * at(f"{axle}_axle", end)], axis=1)


def _doing(series: pd.DataFrame, axle: str) -> list[str]:
    """What the tyres of an axle do, in a word an instant; empty where they roll."""
    load, share = series[f"{axle}_load_N"].to_numpy(float), series[f"{axle}_slip_pct"].to_numpy(float)
    slip, ground = (series[name].to_numpy(float) for name in (f"{axle}_slip_speed_m_per_s", "speed_m_per_s"))
    rolls = (np.abs(share) <= 100.0 * SPINNING) | (np.abs(slip) < SLIDES)
    moves = np.where(np.abs(ground + slip) > np.abs(ground), "spins", "slides")
    return [str(word) for word in np.where(load <= TOUCH, "in air", np.where(rolls, "", moves))]


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
