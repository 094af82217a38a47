"""A curve as the few points that a screen can tell apart, and as the path of an SVG."""

import math
from collections.abc import Iterator

import numpy as np
import numpy.typing as npt

Series = npt.NDArray[np.float64]
Places = npt.NDArray[np.int64]
SIDE = 1000  # units of a plot's side, in whole numbers
TOLERANCE = 2.0  # of them: under half a dot on a screen
COLUMNS = 250  # columns, of each of which the first, last, highest and lowest points count


def path(x: Series, y: Series) -> str:
    """Path of a curve in a plot whose sides are `SIDE` long, with a gap where there is no number.

    Parameters
    ----------
    x : (n,) share of the plot's width, from the left; never falling
    y : (n,) share of its height, from the bottom; NaN where there is none
    """
    pieces = (_piece(x[one], 1.0 - y[one]) for one in _stretches(np.isfinite(x) & np.isfinite(y)))
    return "".join(pieces)


def dots(x: Series, y: Series) -> str:
    """A dot at every value, likewise; of very many those at the edges of each column of dots."""
    there = np.isfinite(x) & np.isfinite(y)
    x, down = x[there], 1.0 - y[there]
    shown = columned(x, down)
    places = np.rint(np.column_stack([x, down])[shown] * SIDE).astype(int)
    return "".join(f"M{across} {over}h0" for across, over in places.tolist())


def area(x: Series, low: Series, high: Series) -> str:
    """Path around what lies between two lines, with a gap where either has no number.

    Parameters
    ----------
    x : (n,) share of the plot's width, from the left
    low, high : (n,) share of its height, from the bottom; NaN where there is none
    """
    found = []
    for one in _stretches(np.isfinite(x) & np.isfinite(low) & np.isfinite(high)):
        across = np.concatenate([x[one], x[one][::-1]])
        down = 1.0 - np.concatenate([high[one], low[one][::-1]])
        places = np.rint(np.column_stack([across, down]) * SIDE).astype(int).tolist()
        found.append("M" + "L".join(f"{a} {b}" for a, b in places) + "z")
    return "".join(found)


def _stretches(there: npt.NDArray[np.bool_]) -> Iterator[slice]:
    """Where there are numbers without a gap."""
    edges = np.flatnonzero(np.diff(np.concatenate([[False], there, [False]]).astype(int)))
    for start, end in zip(edges[::2], edges[1::2], strict=True):
        yield slice(int(start), int(end))


def _piece(x: Series, down: Series) -> str:
    """One unbroken piece, in steps from point to point; a lone point is a dot."""
    shown = columned(x, down)
    x, down = x[shown] * SIDE, down[shown] * SIDE
    places = np.rint(np.column_stack([x, down])[straightened(x, down)]).astype(int)
    if len(places) == 1:
        places = np.vstack([places, places])
    steps = "".join(f"{dx}{dy}" if dy < 0 else f"{dx} {dy}" for dx, dy in _signed(np.diff(places, axis=0)))
    return f"M{places[0][0]} {places[0][1]}l{steps.lstrip()}"


def _signed(steps: Places) -> Iterator[tuple[str, int]]:
    """Steps whose first number is set off from the one before it by its sign or a blank."""
    for dx, dy in steps.tolist():
        yield (f"{dx}" if dx < 0 else f" {dx}"), dy


def columned(x: Series, y: Series) -> Places:
    """Places of the first, last, highest and lowest point of every column of dots.

    Parameters
    ----------
    x : (n,) share of the width, never falling
    y : (n,)
    """
    if len(x) <= 2 * COLUMNS:
        return np.arange(len(x))
    column = np.floor(x * COLUMNS).astype(int)
    first = np.flatnonzero(np.diff(column, prepend=column[0] - 1))
    last = np.append(first[1:], len(x)) - 1
    order = np.lexsort((y, column))  # each column from its lowest to its highest point
    return np.unique(np.concatenate([first, last, order[first], order[last]]))


def straightened(x: Series, y: Series, tolerance: float = TOLERANCE) -> list[int]:
    """Places of points whose joining lines pass every other one within a tolerance, measured along y.

    From each kept point a door swings: the slopes at which a line still passes all points since within the
    tolerance. The last point that was seen through it is kept when the next one is not.

    Parameters
    ----------
    x, y : (n,)
    tolerance : in the unit of y
    """
    across, up = x.tolist(), y.tolist()
    kept, low, high = [0], -math.inf, math.inf
    for k in range(1, len(across)):
        start = kept[-1]
        step, rise = across[k] - across[start], up[k] - up[start]
        if step > 0.0 and not low <= rise / step <= high:
            kept.append(k - 1)
            low, high = -math.inf, math.inf
            step, rise = across[k] - across[k - 1], up[k] - up[k - 1]
        if step <= 0.0:  # straight up or down
            kept.append(k)
            low, high = -math.inf, math.inf
            continue
        low, high = max(low, (rise - tolerance) / step), min(high, (rise + tolerance) / step)
    last = len(across) - 1
    return kept if kept[-1] == last else [*kept, last]
