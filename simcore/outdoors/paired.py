"""Tests of a change by pairs of runs, with it and without: what a trial's plan and score share."""

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy import stats

LEVEL = 0.05
"""Two-sided level of every test."""
LEAST_PAIRS = 6
"""Fewer cannot show anything: of 5 pairs that all agree chance makes 2 in 2**5 = 6 %."""
DRAWN = 99_999
"""Ways to turn signs that are drawn where there are too many to try all."""
ALL_OF = 16
"""Pairs up to which all ways are tried, 2**16."""
SUBSETS = 65_535
SEED = 20_000  # of drawn ways: the same results give the same answer
Numbers = NDArray[np.float64]


def permutation_p(differences: ArrayLike, drawn: int = DRAWN, seed: int = SEED) -> Numbers:
    """Chance that pairs differ so much if the change does nothing, and either sign is as likely.

    Parameters
    ----------
    differences : (..., pairs) with the change less without it; all sets along the last axis at once
    drawn : ways to turn signs that are drawn where there are more of them; else all are tried
    seed : of those

    Returns
    -------
    (...) two-sided p

    Source: R. A. Fisher, The Design of Experiments (1935), section 21.
    """
    values = np.asarray(differences, dtype=float)
    found = stats.permutation_test(
        (values,),
        _mean,
        permutation_type="samples",
        axis=-1,
        n_resamples=drawn,
        vectorized=True,
        batch=max(1, 4_000_000 // max(values.size, 1)),
        rng=np.random.default_rng(seed),
    )
    return np.asarray(found.pvalue)


def _mean(values: Numbers, axis: int) -> Numbers:
    return np.mean(values, axis=axis)


def sign_p(differences: ArrayLike) -> float:
    """Two-sided p of the sign test: of the pairs that differ, as many should do so either way.

    Of outcomes that are yes or no it is the exact test of McNemar. Pairs without a difference do not count.

    Source: W. J. Conover, Practical Nonparametric Statistics, 3rd ed. (1999), section 3.4.
    """
    up, down = signs(differences)
    return float(stats.binomtest(up, up + down).pvalue) if up + down else 1.0


def sign_p_of_many(up: NDArray[np.int64], down: NDArray[np.int64]) -> Numbers:
    """The same for many counts of pairs that differ one way and the other."""
    both, back = np.unique(np.stack([up, down], axis=-1), axis=0, return_inverse=True)
    each = [float(stats.binomtest(int(a), int(a + b)).pvalue) if a + b else 1.0 for a, b in both]
    return np.array(each)[back.reshape(up.shape)]


def signs(differences: ArrayLike) -> tuple[int, int]:
    """How many pairs differ upward, and how many downward."""
    values = np.asarray(differences, dtype=float)
    return int(np.sum(values > 0.0)), int(np.sum(values < 0.0))


def interval_of_mean(differences: ArrayLike, level: float = LEVEL) -> tuple[float, float]:
    """All effects that the permutation test does not reject.

    They lie between two of the means of all subsets of the pairs: a set of N has 2**N - 1, and the true
    effect is as likely to lie between any two neighbours of them. The interval holds it in at least
    1 - level of all trials. Above 16 pairs subsets are drawn.

    Source: J. A. Hartigan, Using subsample values as typical values, J. Amer. Statist. Assoc. 64 (1969)
    1303-1317.
    """
    values = np.asarray(differences, dtype=float)
    count = len(values)
    if count <= ALL_OF:
        chosen = (np.arange(1, 2**count)[:, None] >> np.arange(count)) & 1
    else:
        chosen = np.random.default_rng(SEED).integers(0, 2, (SUBSETS, count))
        chosen = chosen[chosen.any(axis=1)]
    means = np.sort(chosen @ values / chosen.sum(axis=1))
    place = int(level * (len(means) + 1) / 2.0)
    if place < 1:
        return -np.inf, np.inf
    return float(means[place - 1]), float(means[-place])


def interval_of_share(differences: ArrayLike, level: float = LEVEL) -> tuple[float, float]:
    """How much more often a yes comes with the change, from differences of 1, 0 and -1: ends of the interval.

    Half a pair is added to each of the four ways that a pair can come out.

    Source: A. Agresti and Y. Min, Simple improved confidence intervals for comparing matched proportions,
    Statist. Med. 24 (2005) 729-740.
    """
    up, down = signs(differences)
    pairs = len(np.asarray(differences)) + 2.0
    effect = (up - down) / pairs
    error = np.sqrt(up + down + 1.0 - (up - down) ** 2 / pairs) / pairs
    reach = float(stats.norm.ppf(1.0 - level / 2.0) * error)
    return max(effect - reach, -1.0), min(effect + reach, 1.0)
