"""Values that are known at uneven times: their start, their rate, and the noise on them."""

import numpy as np
import numpy.typing as npt

Series = npt.NDArray[np.float64]
AT_START = 7  # frames whose parabola gives the value at the start: clips begin on the move, too
SPAN = 0.1  # s, over which a rate is taken
LEAST, FEWEST = 7, 4  # frames that it is taken over: wanted, also at the ends and beside gaps; at least
NORMAL = 1.4826  # standard deviation per median of absolute values, of a normal distribution


def at_start(times: Series, values: Series) -> float:
    """Value at the first known instant, by the parabola through the first few; NaN where nothing is known.

    Parameters
    ----------
    times, values : (n,), NaN where a value is not known
    """
    known = np.flatnonzero(np.isfinite(values))[:AT_START]
    if len(known) < 4:
        return float(values[known[0]]) if len(known) else float("nan")
    return float(np.polyfit(times[known] - times[known[0]], values[known], 2)[-1])


def rate(times: Series, values: Series) -> tuple[Series, float]:
    """Rate of change, by the parabola through all that is known within `SPAN` around each instant.

    Returns
    -------
    (n,), NaN where the value itself is not known, or too few around it; and the standard deviation of the
    rate for one of 1 of the values, median of all instants.
    """
    found, gains = np.full(len(times), np.nan), []
    known = np.flatnonzero(np.isfinite(values))
    half = max(0.5 * SPAN, 0.5 * (LEAST - 1) * float(np.median(np.diff(times))))
    for k in known:
        away = np.abs(times[known] - times[k])
        reach = half if (away <= half).sum() >= LEAST else min(np.sort(away)[:LEAST][-1], 2.0 * half)
        near = known[away <= reach * (1.0 + 1e-9)]
        if len(near) < FEWEST:
            continue
        weights = np.linalg.pinv(np.vander(times[near] - times[k], 3, increasing=True))[1]
        found[k] = weights @ values[near]
        gains.append(float(np.linalg.norm(weights)))
    return found, float(np.median(gains)) if gains else float("nan")


def noise(times: Series, values: Series) -> float:
    """Standard deviation of what changes from frame to frame only: NaN with fewer than 5 frames in a row.

    Each value is set against the cubic through its two neighbours on either side; what is left is that of
    five values together.
    """
    left = []
    for k in range(2, len(values) - 2):
        near = [k - 2, k - 1, k + 1, k + 2]
        if not np.isfinite(values[[*near, k]]).all():
            continue
        apart = times[near] - times[k]
        weights = [np.prod([b / (b - a) for j, b in enumerate(apart) if j != i]) for i, a in enumerate(apart)]
        left.append((values[k] - np.dot(weights, values[near])) / np.sqrt(1.0 + np.dot(weights, weights)))
    return NORMAL * float(np.median(np.abs(left))) if left else float("nan")
