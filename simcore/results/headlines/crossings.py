"""Where along an axis two lines change their order."""

import itertools
import math
from typing import NamedTuple

import numpy as np
import numpy.typing as npt

Numbers = npt.NDArray[np.float64]
SHARE = 5.0  # of a step of the axis, to which a place between two runs is said


class Crossing(NamedTuple):
    """A place at which one line gets above the other.

    Attributes
    ----------
    at : on the axis, straight between two runs
    within : length of the step between these two
    upward : whether the first line is above from there on
    """

    at: float
    within: float
    upward: bool

    @property
    def said(self) -> float:
        """The place to about a fifth of the step: no run was there."""
        return round(self.at, -math.floor(math.log10(self.within / SHARE))) + 0.0


def crossings(x: Numbers, first: Numbers, second: Numbers, seen: float) -> list[Crossing]:
    """Where two lines of straight pieces change their order visibly.

    A change counts where the lines lie apart by at least `seen` before it and after it; values in between
    that lie nearer to one another belong to it, and the first of them to change its sign gives its place.
    Where a value is missing in between, nothing is known of the order there, and no crossing is told.

    Parameters
    ----------
    x : places on the axis, rising
    first, second : values of both lines there; NaN where there is none
    seen : smallest difference that counts
    """
    apart = first - second
    clear = np.flatnonzero(np.abs(apart) >= max(seen, 1e-12))  # NaN is never
    found = []
    for k, j in itertools.pairwise(clear):
        if np.sign(apart[k]) == np.sign(apart[j]) or not np.isfinite(apart[k : j + 1]).all():
            continue
        i = k + int(np.flatnonzero(np.sign(apart[k + 1 : j + 1]) != np.sign(apart[k]))[0])
        step = float(x[i + 1] - x[i])
        place = float(x[i] + step * apart[i] / (apart[i] - apart[i + 1]))
        found.append(Crossing(place, step, bool(apart[j] > 0.0)))
    return found
