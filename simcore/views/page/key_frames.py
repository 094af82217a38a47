"""A rig at one instant of a run as a still drawing: lines alone, for paper and for where no script runs."""

from collections.abc import Iterable, Sequence

import numpy as np
import numpy.typing as npt
from markupsafe import Markup

from simcore.results.motion import places
from simcore.results.run import Run
from simcore.results.stages import Stage
from simcore.rig.masses import SIDES
from simcore.views.page.film import unmoved
from simcore.views.pictures.rig_sketch import Sketch, chassis_corners, sketch_of

Points = npt.NDArray[np.float64]


def key_frame(run: Run, stage: Stage) -> Markup:
    """The rig of a run at an instant, as SVG in millimetres, upward drawn up.

    Parameters
    ----------
    run : fresh or read from a folder
    stage : which instant

    Notes
    -----
    The dashed outline is the chassis had nothing moved, see `film.unmoved`.
    """
    sketch = sketch_of(run, stage)
    low, high = sketch.corners
    corners = [sketch.body.min(axis=0), sketch.body.max(axis=0)]
    low, high = np.minimum(low, corners[0]), np.maximum(high, corners[1])
    left, right = float(sketch.ground[0, 0]), float(sketch.ground[-1, 0])
    wide, tall = right - left, float(high[1] - low[1])
    box = f"{_digits(left)} {_digits(-high[1])} {_digits(wide)} {_digits(tall)}"
    shapes = Markup("").join(_shapes(sketch, carried_chassis(run, [stage.row])[0], float(low[1])))
    return Markup(
        '<svg class="still" viewBox="{}" role="img" aria-label="{}"><g transform="scale(1 -1)">{}</g></svg>'
    ).format(box, f"side view of the rig: {sketch.words}", shapes)


def carried_chassis(run: Run, rows: Sequence[int] | npt.NDArray[np.intp]) -> list[Points]:
    """Corners of the chassis had nothing moved, (n, 2) each, mm from between the wheels, as in a sketch.

    Parameters
    ----------
    run : fresh or read from a folder
    rows : of its series
    """
    series, motion = run.series.iloc[rows], run.motion.iloc[rows]
    corners, found = chassis_corners(run.outline["chassis"]), []
    poses = unmoved(run.scenario.rig, run.outline, series, motion).to_numpy(float)
    for row, (x, z, turn) in zip(rows, poses, strict=True):
        cos, sin = np.cos(np.radians(turn)), np.sin(np.radians(turn))
        turned = corners @ np.array([[cos, sin], [-sin, cos]])
        found.append(turned + np.array([x, z]) - between_wheels(run, int(row)))
    return found


def between_wheels(run: Run, row: int) -> Points:
    """Middle between the wheel centres at a row of the series, (2,), mm."""
    series, motion = run.series.iloc[row : row + 1], run.motion.iloc[row : row + 1]
    hubs = [
        places(series, motion, f"{axle}_axle", run.outline[f"{axle}_axle"]["wheel_centre"]) for axle in SIDES
    ]
    return np.asarray(np.mean(hubs, axis=0)[:, 0])


def _shapes(sketch: Sketch, carried: Points, low: float) -> Iterable[Markup]:
    surface = sketch.ground
    yield _line("ground", [*surface, [surface[-1, 0], low], [surface[0, 0], low]], closed=True)
    yield _line("surface", surface)
    for piece in sketch.ice:
        yield _line("ice", piece)
    for place, radius, _ in sketch.wheels.values():
        yield _circle("tyre", place, radius)
        yield _circle("rim", place, 0.62 * radius)
    yield _line("body", sketch.body, closed=True)
    for place, radius in sketch.skids:
        yield _circle("skid", place, radius)
    for shock in sketch.shocks:
        yield _line("shock", shock)
        yield _line("sleeve", [shock[0], 0.45 * shock[0] + 0.55 * shock[1]])
    for rod in sketch.rods:
        yield _line("link", rod)
    for place, radius, _ in sketch.wheels.values():
        yield _circle("hub", place, 0.12 * radius)
    yield _line("unmoved", carried, closed=True)


def _line(kind: str, points: Iterable[Iterable[float]], closed: bool = False) -> Markup:
    corners = " ".join(",".join(_digits(k) for k in point) for point in points)
    shape = "polygon" if closed else "polyline"
    return Markup('<{} class="{}" points="{}"/>').format(shape, kind, corners)


def _circle(kind: str, place: Points, radius: float) -> Markup:
    numbers = [_digits(number) for number in (*place, radius)]
    return Markup('<circle class="{}" cx="{}" cy="{}" r="{}"/>').format(kind, *numbers)


def _digits(value: float) -> str:
    """A length to a tenth of a millimetre."""
    return f"{round(float(value), 1) + 0.0:g}"
