"""A rig at some instants of a run as still drawings: lines alone, for paper and for where no script runs."""

from collections.abc import Iterable, Iterator, Sequence

import numpy as np
import numpy.typing as npt
import pandas as pd
from markupsafe import Markup

from simcore.results.motion import BODIES, places
from simcore.results.run import Run
from simcore.results.stages import Stage
from simcore.views.page.film import unmoved
from simcore.views.sketch import Sketch, chassis_corners, sketches_of

Points = npt.NDArray[np.float64]


def key_frames(run: Run, told: Sequence[Stage]) -> list[Markup]:
    """The rig of a run at some instants, as SVG in millimetres, upward drawn up.

    Parameters
    ----------
    run : fresh or read from a folder
    told : which instants

    Notes
    -----
    The dashed outline is the chassis had nothing moved, see `film.unmoved`.
    """
    carried = carried_chassis(run, [stage.row for stage in told])
    return [_drawn(*one) for one in zip(sketches_of(run, told), carried, strict=True)]


def carried_chassis(run: Run, rows: Sequence[int] | npt.NDArray[np.intp]) -> Points:
    """Corners of the chassis had nothing moved, (rows, corners, 2), mm from between the wheels.

    Parameters
    ----------
    run : fresh or read from a folder
    rows : of its series
    """
    series, motion = run.series.iloc[rows], run.motion.iloc[rows]
    x, z, turn = unmoved(run.scenario.rig, run.outline, series, motion).to_numpy(float).T[..., np.newaxis]
    cos, sin = np.cos(np.radians(turn)), np.sin(np.radians(turn))
    ahead, up = chassis_corners(run.outline["chassis"]).T
    corners = np.stack([x + cos * ahead - sin * up, z + sin * ahead + cos * up], axis=-1)
    return np.asarray(corners - _middles(run, series, motion)[:, np.newaxis])


def between_wheels(run: Run, rows: Sequence[int] | npt.NDArray[np.intp]) -> Points:
    """Middle between the wheel centres at rows of the series, (rows, 2), mm."""
    return _middles(run, run.series.iloc[rows], run.motion.iloc[rows])


def _middles(run: Run, series: pd.DataFrame, motion: pd.DataFrame) -> Points:
    bodies = [(body, run.outline[body]["wheel_centre"]) for body in BODIES]
    return np.asarray(np.mean([places(series, motion, *one) for one in bodies], axis=0).T)


def _drawn(sketch: Sketch, carried: Points) -> Markup:
    low, high = sketch.corners
    low = np.minimum(low, sketch.body.min(axis=0))
    high = np.maximum(high, sketch.body.max(axis=0))
    left, right = float(sketch.ground[0, 0]), float(sketch.ground[-1, 0])
    box = " ".join(map(_digits, (left, -high[1], right - left, high[1] - low[1])))
    shapes = Markup("".join(_shapes(sketch, carried, float(low[1]))))
    return Markup(
        '<svg class="still" viewBox="{}" role="img" aria-label="{}"><g transform="scale(1 -1)">{}</g></svg>'
    ).format(box, f"side view of the rig: {sketch.words}", shapes)


def _shapes(sketch: Sketch, carried: Points, low: float) -> Iterator[str]:
    surface = sketch.ground
    yield _line("ground", [*surface, [surface[-1, 0], low], [surface[0, 0], low]], closed=True)
    yield _line("surface", surface)
    yield _lines("ice", sketch.ice)
    for place, radius, _ in sketch.wheels.values():
        yield _circle("tyre", place, radius)
        yield _circle("rim", place, 0.62 * radius)
    yield _line("body", sketch.body, closed=True)
    for place, radius in sketch.skids:
        yield _circle("skid", place, radius)
    yield _lines("shock", sketch.shocks)
    yield _lines("sleeve", [(shock[0], 0.45 * shock[0] + 0.55 * shock[1]) for shock in sketch.shocks])
    yield _lines("link", sketch.rods)
    for place, radius, _ in sketch.wheels.values():
        yield _circle("hub", place, 0.12 * radius)
    yield _line("unmoved", carried, closed=True)


def _line(kind: str, points: Iterable[Iterable[float]], closed: bool = False) -> str:
    corners = " ".join(",".join(map(_digits, point)) for point in points)
    shape = "polygon" if closed else "polyline"
    return f'<{shape} class="{kind}" points="{corners}"/>'


def _lines(kind: str, lines: Iterable[Iterable[Points]]) -> str:
    """Several lines of a kind as one shape; none: nothing."""
    way = "".join("M" + "L".join(" ".join(map(_digits, point)) for point in line) for line in lines)
    return f'<path class="{kind}" d="{way}"/>' if way else ""


def _circle(kind: str, place: Points, radius: float) -> str:
    x, y, r = map(_digits, (*place, radius))
    return f'<circle class="{kind}" cx="{x}" cy="{y}" r="{r}"/>'


def _digits(value: float) -> str:
    """A length to a tenth of a millimetre."""
    return f"{round(float(value), 1) + 0.0:g}"
