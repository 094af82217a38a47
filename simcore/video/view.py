"""What of a picture is known by now: which way is forward, how long a metre is, what is level."""

import dataclasses
from collections.abc import Mapping
from itertools import combinations

import numpy as np

from simcore.files.dots import Dots
from simcore.video.body import Body
from simcore.video.follow import Paths
from simcore.video.plane import Plane, Points, first_plane, slope_of
from simcore.video.smooth import at_start
from simcore.video.way import extent, main_slope

SQUARE, QUARTER = 0.005, 4  # share by which lengths may change, between the first and the last quarter
FAR_ENOUGH = 0.1  # m of way, from which the slope of a path is taken
Places = Mapping[str, tuple[float, float]]


@dataclasses.dataclass(frozen=True)
class View:
    """The plane of motion in m, x forward; and where each of its measures is from, in words.

    Attributes
    ----------
    plane : gives places, m, x forward and z up where there is a level
    drives : "left" or "right"
    scale_from, level_from : where scale and level are from; no level: None
    roll : by how much the picture was turned to be level, rad
    remarks : what a reader should know
    """

    plane: Plane
    drives: str
    scale_from: str
    level_from: str | None
    roll: float
    remarks: tuple[str, ...]


def view_of(paths: Paths, known: Dots, at: Places, slope: float | None) -> View:
    """Work out scale, level and direction.

    Parameters
    ----------
    paths : of the dots
    known : dots file
    at : places of dots on the rig, m, where they are known
    slope : of the plane that the rig drives on, rad; None where it is not known, or no plane
    """
    plane, remarks = first_plane(paths.lens, known), list[str]()
    drives = known.drives or _direction(paths, known, at, plane)
    plane = plane if drives == "right" else plane.mirrored()
    factor, scale_from = _scale(paths, known, plane)
    plane = plane.scaled(factor)
    roll, level_from = _level(paths, known, plane, slope, remarks)
    plane = plane.turned(roll)
    remarks += _off(paths, known, plane) + _shrinks(paths, known, plane)
    return View(plane, drives, scale_from, level_from, roll, tuple(remarks))


def mean_path(names: list[str], paths: Paths, plane: Plane) -> Points:
    """Path of the mean of some dots, (n, 2); NaN where one of them is lost."""
    return np.mean([plane.places(paths.pixels[name]) for name in names], axis=0)


def guide_dots(known: Dots) -> list[str]:
    """Names of the dots whose way stands for the rig's: those of the axles, else all."""
    axles = [dot.name for dot in known.dots if dot.on != "chassis"]
    return axles or [dot.name for dot in known.dots]


def _direction(paths: Paths, known: Dots, at: Places, plane: Plane) -> str:
    """Where the nose points: from the front's dots and the rear's, else places on the rig, else the way."""
    rear, front = ([dot.name for dot in known.on(body)] for body in ("rear", "front"))
    if rear and front:
        apart = mean_path(front, paths, plane)[:, 0] - mean_path(rear, paths, plane)[:, 0]
        if np.isfinite(apart).any():
            return "right" if np.nanmedian(apart) > 0.0 else "left"
    placed = sorted((at[dot.name][0], dot.name) for dot in known.dots if dot.name in at)
    if len(placed) >= 2 and placed[-1][0] > placed[0][0]:
        apart = mean_path([placed[-1][1]], paths, plane) - mean_path([placed[0][1]], paths, plane)
        if np.isfinite(apart).any():
            return "right" if np.nanmedian(apart[:, 0]) > 0.0 else "left"
    across = plane.places(paths.pixels[guide_dots(known)[0]])[:, 0]
    known_places = across[np.isfinite(across)]
    return "right" if known_places[-1] >= known_places[0] else "left"


def _scale(paths: Paths, known: Dots, plane: Plane) -> tuple[float, str]:
    """Factor to m, and where it is from."""
    if known.scale is not None and known.scale.line is not None:
        ends = plane.places(np.array(known.scale.line))
        return known.scale.length / float(np.linalg.norm(ends[1] - ends[0])), "a length in the picture"
    if known.scale is not None and known.scale.between is not None:
        a, b = (plane.places(paths.pixels[name]) for name in known.scale.between)
        apart = at_start(paths.times, np.linalg.norm(b - a, axis=1))
        return known.scale.length / apart, "the length between two dots"
    if known.sheet is not None:
        return 1.0, "the sheet"
    return _by_rig(paths, known, plane), "the places of the dots on the rig"


def _by_rig(paths: Paths, known: Dots, plane: Plane) -> float:
    """Factor by which the dots of one body lie as far apart as on the rig, longer lengths counting more."""
    seen, true = [], []
    for a, b in known.measured_pairs():
        apart = np.linalg.norm(
            plane.places(paths.pixels[b.name]) - plane.places(paths.pixels[a.name]), axis=1
        )
        if np.isfinite(apart).any():
            seen.append(float(np.nanmedian(apart)))
            true.append(float(np.hypot(b.at[0] - a.at[0], b.at[1] - a.at[1])) if a.at and b.at else 0.0)
    return float(np.dot(seen, true) / np.dot(seen, seen)) if seen else float("nan")


def _level(
    paths: Paths, known: Dots, plane: Plane, slope: float | None, remarks: list[str]
) -> tuple[float, str | None]:
    """By how much to turn the picture so that it is level, and where that is from."""
    path = mean_path(guide_dots(known), paths, plane)
    runs = main_slope(path) if np.isfinite(path).any() else 0.0
    far = extent(path, runs) if np.isfinite(path).any() else 0.0
    stated = known.level
    if stated is not None:
        line = None if stated.line is None else slope_of(plane.places(np.array(stated.line)))
        turn = stated.slope - (line or 0.0)
        said = "a line in the picture" if line is not None else "the sheet" if known.sheet else "the camera"
        if slope is not None and far >= FAR_ENOUGH and abs(runs + turn - slope) > np.radians(1.0):
            seen, asked = np.degrees(runs + turn), np.degrees(slope)
            remarks.append(f"the dots' way rises by {seen:.1f} deg, the slope is stated as {asked:.1f} deg")
        return turn, said
    if slope is not None and far >= FAR_ENOUGH:
        return slope - runs, "the dots' way and the slope"
    if slope is not None:
        remarks.append(
            f"the rig moves {1e3 * far:.0f} mm, too little to take the level from its way; state [level]"
        )
    return 0.0, None


def _off(paths: Paths, known: Dots, plane: Plane) -> list[str]:
    """Whether the dots lie as far apart as the rig's measures say, if the scale is from something else."""
    if not known.measured_pairs():
        return []
    factor = _by_rig(paths, known, plane)
    if not np.isfinite(factor) or abs(factor - 1.0) < 0.02:
        return []
    return [
        f"dots on one body lie {100.0 * (1.0 / factor - 1.0):+.1f} % further apart than `at` says: check the "
        "scale, `at`, and that what gives the scale lies in the plane of the dots"
    ]


def _shrinks(paths: Paths, known: Dots, plane: Plane) -> list[str]:
    """Whether dots on one body seem to come nearer to one another on the way: a camera that is not square."""
    remarks = []
    for a, b in combinations(known.dots, 2):
        ways = [plane.places(paths.pixels[dot.name]) for dot in (a, b)]
        apart = np.linalg.norm(ways[1] - ways[0], axis=1)
        apart = apart[np.isfinite(apart)]
        if a.on != b.on or len(apart) < QUARTER:
            continue
        part = len(apart) // QUARTER
        change = float(np.median(apart[-part:]) / np.median(apart[:part]) - 1.0)
        if abs(change) >= SQUARE:
            remarks.append(
                f"{a.name} and {b.name}, on one body, lie {100.0 * change:+.1f} % further apart at the end: "
                "the camera is not square to the plane of motion ([sheet]), or its lens bends lines ([lens])"
            )
    return remarks


def body_of(body: str, paths: Paths, known: Dots, at: Places, plane: Plane) -> Body | None:
    """A body by its dots: by their places on the rig if those of two or more are known."""
    names = [dot.name for dot in known.on(body)]
    placed = [name for name in names if name in at]
    used = placed if len(placed) >= 2 else names
    shape = np.array([at[name] for name in used]) if len(placed) >= 2 else None
    return Body.of([plane.places(paths.pixels[name]) for name in used], shape)
