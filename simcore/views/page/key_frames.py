"""A rig at some instants of a run as still drawings: lines alone, for paper and for where no script runs."""

from collections.abc import Iterator, Sequence

import numpy as np
import numpy.typing as npt
import pandas as pd
from markupsafe import Markup

from simcore.results.motion import BODIES, places
from simcore.results.run import Run
from simcore.results.stages import Stage
from simcore.views.page.film import unmoved
from simcore.views.page.shapes import Points, Window, circle, line, lines
from simcore.views.sketch import Sketch, chassis_corners, sketches_of


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
    left, right = sketch.ground[0, 0], sketch.ground[-1, 0]
    window = Window(np.array([left, low[1]]), np.array([right, high[1]]))
    shapes = Markup("").join(_shapes(sketch, carried, float(low[1])))
    return Markup(
        '<svg class="still" viewBox="{}" role="img" aria-label="{}"><g transform="scale(1 -1)">{}</g></svg>'
    ).format(window.box, f"side view of the rig: {sketch.words}", shapes)


def _shapes(sketch: Sketch, carried: Points, low: float) -> Iterator[Markup]:
    surface = sketch.ground
    yield line("ground", [*surface, [surface[-1, 0], low], [surface[0, 0], low]], closed=True)
    yield line("surface", surface)
    yield lines("ice", sketch.ice)
    for place, radius, _ in sketch.wheels.values():
        yield circle("tyre", place, radius)
        yield circle("rim", place, 0.62 * radius)
    yield line("body", sketch.body, closed=True)
    for place, radius in sketch.skids:
        yield circle("skid", place, radius)
    yield lines("shock", sketch.shocks)
    yield lines("sleeve", [(shock[0], 0.45 * shock[0] + 0.55 * shock[1]) for shock in sketch.shocks])
    yield lines("link", sketch.rods)
    for place, radius, _ in sketch.wheels.values():
        yield circle("hub", place, 0.12 * radius)
    yield line("unmoved", carried, closed=True)
