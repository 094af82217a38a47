"""The way of a point along the ground: along a straight line, or along its own bent path."""

import numpy as np

from simcore.video.body import Series
from simcore.video.plane import Points

STRAIGHT = 5e-3  # m, by which a path may leave its line and still count as straight
STANDS = 10e-3  # m; a path shorter than this has no direction
BIN = 15e-3  # m of the line, over which a bent path is evened out


def main_slope(path: Points) -> float:
    """Slope of the line through a path, rad, forward and upward positive.

    Parameters
    ----------
    path : (n, 2) places, m; NaN where not known
    """
    known = path[np.isfinite(path[:, 0])]
    _, _, ways = np.linalg.svd(known - known.mean(axis=0), full_matrices=False)
    x, z = ways[0]
    return float(np.arctan2(z, x) if x > 0.0 else np.arctan2(-z, -x))


def extent(path: Points, slope: float) -> float:
    """How far a path goes along a line of a slope, m."""
    return float(np.nanmax(_along(path, slope)) - np.nanmin(_along(path, slope)))


def _along(path: Points, slope: float) -> Series:
    return np.asarray(path @ np.array([np.cos(slope), np.sin(slope)]))


def way(path: Points, slope: float | None) -> tuple[Series, bool]:
    """Way along the ground, forward positive.

    Parameters
    ----------
    path : (n, 2) places, m; NaN where not known
    slope : of the plane that it goes along, rad; None where that is not known: then along the line through
        the path, or where it is bent along itself, evened out

    Returns
    -------
    (n,), m, from anywhere; and whether it was taken along a straight line.
    """
    if slope is not None:
        return _along(path, slope), True
    slope = main_slope(path)
    if extent(path, slope) < STANDS:
        return _along(path, 0.0), True
    along, across = _along(path, slope), _along(path, slope + 0.5 * np.pi)
    known = np.isfinite(along)
    edges = np.arange(along[known].min(), along[known].max() + 2.0 * BIN, BIN)
    bins = np.digitize(along[known], edges)
    filled = np.unique(bins)
    x = np.array([along[known][bins == k].mean() for k in filled])
    z = np.array([across[known][bins == k].mean() for k in filled])
    if np.ptp(z) <= STRAIGHT or len(filled) < 3:
        return along, True
    rate = np.gradient(z, x)
    length = np.concatenate(
        [[0.0], np.cumsum(0.5 * np.diff(x) * (np.hypot(1, rate[1:]) + np.hypot(1, rate[:-1])))]
    )
    ends = np.hypot(1, rate[[0, -1]])
    x = np.concatenate([[x[0] - BIN], x, [x[-1] + BIN]])
    length = np.concatenate([[-BIN * ends[0]], length, [length[-1] + BIN * ends[1]]])
    return np.interp(along, x, length), False
