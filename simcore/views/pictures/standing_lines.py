"""What a side view of a standing rig is made of, mm along the ground and above it.

Its outline, the lines along which its links push, and those along which they would have to push.
"""

import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
from scipy.spatial import ConvexHull

from simcore.standing.facts import AxleFacts, Standing

Points = npt.NDArray[np.float64]
MARGIN, BELOW, UPHILL, ABOVE = 22.0, 44.0, 22.0, 150.0  # mm of room: at the ends, for words, over the rig
EDGE = 8.0  # mm, that lines end short of the picture's edge
HERE = "instant centre here: 100 %,\nthe {} stays level\n(until the other end moves)"


@dataclass(frozen=True)
class Push:
    """The line from an axle's contact through its instant centre.

    Attributes
    ----------
    start, end : (2,) of the line
    seen : whether the end is the instant centre; else it lies further out, or there is none
    pins : (2,) chassis pins, from which the links' lines lead to it
    driven : whether the axle has thrust
    centre : what is at its end, in words
    thrust : what works along it, in words
    """

    start: Points
    end: Points
    seen: bool
    pins: Sequence[Points]
    driven: bool
    centre: str
    thrust: str


def mm(place: Sequence[float]) -> Points:
    """A place in millimetres."""
    return 1e3 * np.asarray(place)


def window(facts: Standing) -> tuple[Points, Points]:
    """Corners of the picture: all tyres and pins, and room for words."""
    rear, front = facts.axles
    top = max(
        point[1] for axle in facts.axles for point in (*itertools.chain(*axle.pins), *axle.shock_mounts)
    )
    below = BELOW + UPHILL * bool(facts.slope)
    low = np.array([1e3 * (rear.hub[0] - rear.radius) - MARGIN, -below])
    high = np.array([1e3 * (front.hub[0] + front.radius) + MARGIN, 1e3 * top + ABOVE])
    return low, high


def stance_words(facts: Standing) -> str:
    """Which rig stands where, and what drives it."""
    where = "on the level" if facts.slope == 0.0 else f"on {math.degrees(facts.slope):.4g} deg"
    drive = {"all": "both axles drive", "rear": "rear drive", "front": "front drive"}[facts.drive]
    return f"{facts.name} {where}, {drive}; axle mass counted"


def body_of(facts: Standing) -> Points:
    """Corners of the sprung mass as far as it is known, (n, 2): the hull of everything mounted on it."""
    mounted = [facts.sprung_cg]
    for axle in facts.axles:
        mounted += [pin for pin, _ in axle.pins] + [axle.shock_mounts[0]]
    points = np.array([mm(point) for point in mounted])
    return np.asarray(points[ConvexHull(points).vertices])


def below_cg(facts: Standing) -> Points:
    """Where the weight of the whole rig points to on the ground, (2,)."""
    whole = mm(facts.cg)
    down = np.array([-math.sin(facts.slope), -math.cos(facts.slope)])
    return np.asarray(whole - down * whole[1] / down[1])


def push_of(axle: AxleFacts, name: str, inward: float, low: Points, high: Points) -> Push | None:
    """The line along which the thrust of an axle works; None where the links leave it no path.

    Parameters
    ----------
    axle, name : its facts, and "rear" or "front"
    inward : 1 for the rear axle, -1 for the front one
    low, high : corners of the picture
    """
    contact = mm(axle.contact)
    if axle.path is None or axle.carried is None:
        return None
    seen = axle.centre is not None and _inside(mm(axle.centre), low, high)
    if axle.centre is not None and seen:
        end, words = mm(axle.centre), "instant\ncentre"
    else:
        ahead = inward if axle.centre is None else axle.centre[0] - axle.contact[0]
        way = math.copysign(1.0, ahead) * np.array([1.0, axle.path.slope])
        end = _clipped(contact, way, low, high)
        words = "links\nparallel" if axle.centre is None else f"instant\ncentre {_far(axle)}\naway"
    share = f"{100.0 * axle.carried['own'].with_axle_mass:.0f} %".replace("-", "\N{MINUS SIGN}")
    steep = math.degrees(math.atan(abs(axle.path.slope)))
    driven = axle.thrust_share > 0.0
    return Push(
        start=contact,
        end=end,
        seen=seen,
        pins=[mm(pin) for pin, _ in axle.pins] if seen else [],
        driven=driven,
        centre=f"{name} {words}: {share}",
        thrust=f"{name} thrust works\nalong this line, {steep:.0f}°" if driven else f"{name}: not driven",
    )


def level_line_of(axle: AxleFacts, inward: float, low: Points, high: Points) -> tuple[Points, Points] | None:
    """Where the instant centre would have to lie for this end to stay level in the stance drawn: ends of that
    line; None where no place would do.

    The other end moves in a run, which shifts the centre of mass: there the line lies about a millimetre
    elsewhere.
    """
    line, contact = axle.level_line, mm(axle.contact)
    if line is None:
        return None
    way = np.array([inward, line.gradient])
    start = contact + np.array([0.0, 1e3 * line.foot])
    first = start - way * start[1] / way[1]  # on the ground
    return first, _clipped(first, way, low, high)


def _inside(place: Points, low: Points, high: Points) -> bool:
    return bool(np.all(place > low + EDGE) and np.all(place < high - EDGE))


def _clipped(start: Points, way: Points, low: Points, high: Points) -> Points:
    """Where a ray from inside the picture leaves it, a little short of the edge."""
    edges = np.where(way > 0.0, high - EDGE, low + EDGE)
    with np.errstate(divide="ignore", invalid="ignore"):
        reach = np.where(way == 0.0, np.inf, (edges - start) / way)
    return np.asarray(start + way * float(reach.min()))


def _far(axle: AxleFacts) -> str:
    distance = math.dist(axle.centre or axle.contact, axle.contact)
    return f"{1e3 * distance:.0f} mm" if distance < 1.0 else f"{distance:.3g} m"
