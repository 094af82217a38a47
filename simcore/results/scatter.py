"""What draws of an uncertain rig say of a number: an interval, how surely its ends are known, a verdict."""

import enum
import itertools
import math
from collections.abc import Sequence
from functools import lru_cache
from typing import NamedTuple

import numpy as np
import numpy.typing as npt
from scipy.stats import binom, binomtest, rankdata, spearmanr

Vector = npt.NDArray[np.float64]
INSIDE = 0.95
"""Share of the draws that an interval holds."""
SURE = 0.95
"""How surely something is said of draws of which there are only so many."""
FEWEST = 8
"""Draws that an interval needs."""
TOGETHER = 0.5
"""Rank correlation from which on draws of two errors are said to go together: a quarter of the variance."""


class Verdict(enum.Enum):
    """What bench error leaves of a difference; the name stands in files, the value in sentences."""

    MORE = "more than bench error"
    UNSEEN = "more than bench error, but too small to see"
    LOST = "lost in bench error"
    UNKNOWN = "not known: too few draws did the job in both"


class Interval(NamedTuple):
    """Where a number lies in so many of the draws.

    Attributes
    ----------
    low, middle, high : ends, and the median
    inside : share of the draws that lies between the ends
    draws : of the draws that have the number
    spans : of each end, between which values it is with more draws of the same kind; None where there are too
        few to say
    """

    low: float
    middle: float
    high: float
    inside: float
    draws: int
    spans: tuple[tuple[float, float] | None, tuple[float, float] | None]

    @property
    def half(self) -> float:
        """Half of its length."""
        return 0.5 * (self.high - self.low)


def interval_of(values: Vector) -> Interval | None:
    """Give the interval from the 2.5th to the 97.5th percentile; None of too few draws.

    The percentile p of n draws stands at rank p (n + 1), so that one draw more lies between the ends with
    95 % exactly. Fewer than 39 draws have no such rank: then from the lowest to the highest, between which
    one draw more lies with (n - 1) / (n + 1). How surely the ends are known follows from ranks alone
    (a percentile lies between two draws with the probability of a binomial count); draws that are spread
    evenly, as here, know them better.

    Parameters
    ----------
    values : of the draws, (n,); NaN where there is none

    References
    ----------
    R. J. Hyndman, Y. Fan, Sample quantiles in statistical packages, The American Statistician 50 (1996),
    definition 6; H. A. David, H. N. Nagaraja, Order Statistics, 3rd ed. (2003), sections 7.1 and 7.3.
    """
    known = np.sort(values[np.isfinite(values)])
    count = len(known)
    if count < FEWEST:
        return None
    tail, ends = 0.5 * (1.0 - INSIDE), ends_of(known, INSIDE)
    inside = INSIDE if ends is not None else (count - 1) / (count + 1)
    low, high = ends or (float(known[0]), float(known[-1]))
    spans = _span(known, tail), _span(known, 1.0 - tail)
    return Interval(low, float(np.quantile(known, 0.5, method="weibull")), high, inside, count, spans)


def draws_for(inside: float) -> int:
    """Draws from which on `ends_of` has such ranks."""
    return math.ceil(2.0 / (1.0 - inside) - 1e-9) - 1


def ends_of(known: Vector, inside: float) -> tuple[float, float] | None:
    """Give the percentiles between which one draw more lies with a probability, as `interval_of` says.

    Parameters
    ----------
    known : of the draws, (n,), all numbers
    inside : the probability

    Returns
    -------
    None of too few draws to have such ranks.
    """
    if len(known) < draws_for(inside):
        return None
    tail = 0.5 * (1.0 - inside)
    low, high = np.quantile(known, [tail, 1.0 - tail], method="weibull")
    return float(low), float(high)


def _span(known: Vector, share: float) -> tuple[float, float] | None:
    """Between which draws a percentile lies, as surely as `SURE`; None where it may lie beyond all."""
    below, above = _ranks(len(known), share)
    if below < 1 or above >= len(known):
        return None
    return float(known[below - 1]), float(known[above])


@lru_cache(64)
def _ranks(count: int, share: float) -> tuple[int, int]:
    """Between which counts a share of draws lies, as surely as `SURE`."""
    below, above = binom.ppf([0.5 * (1 - SURE), 0.5 * (1 + SURE)], count, share)
    return int(below), int(above)


def verdict_of(difference: Interval | None, seen: float) -> Verdict:
    """Whether a difference is more than bench error, and is seen.

    Parameters
    ----------
    difference : its interval over draws that both cases share
    seen : smallest difference that a viewer sees
    """
    if difference is None:
        return Verdict.UNKNOWN
    if difference.low <= 0.0 <= difference.high:
        return Verdict.LOST
    return Verdict.MORE if abs(difference.middle) >= seen else Verdict.UNSEEN


class Share(NamedTuple):
    """How many of some draws did their job, and between which shares that lies, Wilson's interval."""

    done: int
    draws: int
    low: float
    high: float


def share_of(done: int, count: int) -> Share:
    """Share of draws that did their job.

    References
    ----------
    E. B. Wilson, Probable inference, the law of succession, and statistical inference, J. Am. Stat. Assoc. 22
    (1927), by `scipy.stats.binomtest`.
    """
    if count == 0:
        return Share(0, 0, 0.0, 1.0)
    ends = binomtest(done, count).proportion_ci(SURE, method="wilson")
    return Share(done, count, float(ends.low), float(ends.high))


class Moves(NamedTuple):
    """How one error goes with a number: its place, rank correlation, and how likely that is by chance."""

    error: int
    rank: float
    chance: float


def moves_of(errors: Vector, values: Vector, by_chance: float = 1.0 - SURE) -> list[Moves]:
    """Which errors a number goes with, the most first; unless chance alone would do so.

    What is asked of many errors at once counts as many times (Bonferroni).

    Parameters
    ----------
    errors : of the draws, (n, errors)
    values : the number, (n,); NaN where there is none
    by_chance : in which share of such questions chance alone may name an error; infinite: all are given

    References
    ----------
    Spearman's rank correlation and its significance, by `scipy.stats.spearmanr`.
    """
    known = np.isfinite(values)
    if known.sum() < FEWEST or np.ptp(values[known]) == 0.0:
        return []
    every = spearmanr(np.column_stack([errors[known], values[known]]))
    ranks, chances = np.atleast_2d(every.statistic)[-1], np.atleast_2d(every.pvalue)[-1]
    found = [
        Moves(place, float(rank), float(chance))
        for place, (rank, chance) in enumerate(zip(ranks, chances, strict=True))
        if place < errors.shape[1] and chance * errors.shape[1] < by_chance
    ]
    return sorted(found, key=lambda one: -abs(one.rank))


def together(errors: Vector, some: Sequence[int]) -> list[tuple[int, int, float]]:
    """Pairs of some errors whose draws go together, though the errors do not, with their rank correlation.

    Few draws of many errors are never all independent of one another: what a number owes to one error of such
    a pair it seems to owe to the other. Source: as of `moves_of`.

    Parameters
    ----------
    errors : of the draws, (n, errors)
    some : places of those that are looked at, the first of a pair first
    """
    if len(errors) < FEWEST or len(some) < 2:
        return []
    ranks = np.corrcoef(rankdata(errors[:, list(some)], axis=0), rowvar=False)
    pairs = itertools.combinations(range(len(some)), 2)
    return [(some[i], some[j], float(ranks[i, j])) for i, j in pairs if abs(ranks[i, j]) >= TOGETHER]


def band_of(curves: Vector, shares: Sequence[float] = (0.05, 0.5, 0.95)) -> Vector:
    """Percentiles of curves at every instant, (shares, instants); NaN where fewer than half of them go on."""
    band = np.full((len(shares), curves.shape[-1]), np.nan)
    for instant in range(curves.shape[-1]):
        known = curves[:, instant]
        known = known[np.isfinite(known)]
        if len(known) >= max(FEWEST, 0.5 * len(curves)):
            band[:, instant] = np.quantile(known, shares, method="weibull")
    return band
