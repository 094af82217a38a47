"""Tests of a change by pairs of runs, with it and without: what a trial's plan and score share."""

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy import optimize, special, stats

LEVEL = 0.05
"""Two-sided level of every test."""
LEAST_PAIRS = 6
"""Fewer cannot show anything: of 5 pairs that all agree chance makes 2 in 2**5 = 6 %."""
SUBSETS = 65_535
"""Ways to choose some of the pairs that are drawn where there are more of them: of 16 pairs all are tried."""
ROUNDING = 1e-12
"""Of the sum of all sizes: nearer to nought a sum of typed numbers is nought."""
POINTS = (np.arange(500) + 0.5) / 500.0  # of a distribution: each of its values there is as likely
SEED = 20_000  # of drawn subsets: the same results give the same answer
Numbers = NDArray[np.float64]


def permutation_p(differences: ArrayLike, drawn: int = SUBSETS) -> Numbers:
    """Chance that pairs differ so much if the change does nothing, and either sign is as likely.

    Turning the signs of some of the pairs raises their sum as far as these add up to less than nought: so it
    is sums of subsets that are counted, the same as for `interval_of_mean`.

    Parameters
    ----------
    differences : (..., pairs) with the change less without it; all sets along the last axis at once
    drawn : subsets that are drawn where there are more of them; else all are tried

    Returns
    -------
    (...) two-sided p, twice that of the rarer side

    Source: R. A. Fisher, The Design of Experiments (1935), section 21.
    """
    sums, _ = _subsets(differences, drawn)
    rarer = np.minimum((sums <= 0.0).sum(axis=-1), (sums >= 0.0).sum(axis=-1))
    return np.asarray(np.minimum(2.0 * (1.0 + rarer) / (1.0 + sums.shape[-1]), 1.0))


def _subsets(differences: ArrayLike, drawn: int) -> tuple[Numbers, Numbers]:
    """Sum of each subset of the pairs, (..., subsets), none that is but rounding, and how many are in it."""
    values = np.asarray(differences, dtype=float)
    count = values.shape[-1]
    if 2**count - 1 <= drawn:
        chosen = (np.arange(1, 2**count)[:, None] >> np.arange(count)) & 1
    else:
        chosen = np.random.default_rng(SEED).integers(0, 2, (drawn, count))
        chosen = chosen[chosen.any(axis=1)]
    sums = values @ chosen.T.astype(float)
    nought = np.abs(sums) <= ROUNDING * np.abs(values).sum(axis=-1, keepdims=True)
    return np.where(nought, 0.0, sums), chosen.sum(axis=1)


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
    """All effects that `permutation_p` does not reject, by the same subsets: without nought where p is at
    most the level, and only there.

    They lie between two of the means of all subsets of the pairs: a set of N has 2**N - 1, and the true
    effect is as likely to lie between any two neighbours of them. The interval holds it in at least
    1 - level of all trials. Above 16 pairs subsets are drawn.

    Source: J. A. Hartigan, Using subsample values as typical values, J. Amer. Statist. Assoc. 64 (1969)
    1303-1317.
    """
    sums, sizes = _subsets(differences, SUBSETS)
    means = np.sort(sums / sizes)
    place = int(level * (len(means) + 1) / 2.0)
    if place < 1:
        return -np.inf, np.inf
    return float(means[place - 1]), float(means[-place])


def interval_of_share(differences: ArrayLike, level: float = LEVEL) -> tuple[float, float]:
    """How much more often a yes comes with the change: ends of the interval that goes with `sign_p`.

    It is without nought where that p is at most the level, and only there. The effect is the share of pairs
    that differ, times twice the chance that one of these differs upward, less one. Each of the two has the
    exact limits of a binomial share at every level, which make a distribution; the end is where the effect of
    both, drawn by these, has half of the level beyond it. Whether that is above nought hangs on the second
    alone, and its exact limits are the sign test's.

    Parameters
    ----------
    differences : (pairs,) of 1, 0 and -1
    level : 1 less the share of trials in which the interval holds the true effect, at least

    Source: M. P. Fay, M. A. Proschan and E. Brittain, Combining one-sample confidence procedures for
    inference in the two-sample case, Biometrics 71 (2015) 146-156; for the sign test M. P. Fay and
    K. Lumbard, Statist. Med. 40 (2021) 1147-1159 (both from memory; its tests sum over all outcomes).
    """
    up, down = signs(differences)
    pairs = len(np.asarray(differences))
    return _least_share(up, down, pairs, level / 2.0), -_least_share(down, up, pairs, level / 2.0)


def _least_share(up: int, down: int, pairs: int, beyond: float) -> float:
    """Lower end; the share that differ is taken where it gives less."""
    differ = up + down
    few, many = (differ, pairs - differ + 1), (differ + 1, pairs - differ)
    if up == 0:  # none went up, so none need to
        return -float(_share(1.0 - beyond, *many))
    above = float(special.betainc(up, down + 1, 0.5)) <= beyond
    shares = _share(POINTS, *(few if above else many))

    def missing(effect: float) -> float:
        upward = np.clip(0.5 * (1.0 + effect / shares), 0.0, 1.0)
        return float(np.mean(special.betainc(up, down + 1, upward))) - beyond

    return float(optimize.brentq(missing, *((0.0, 1.0) if above else (-1.0, 0.0))))


def _share(points: ArrayLike, ups: int, downs: int) -> Numbers:
    """A share by its distribution; all of it where there are no others."""
    return special.betaincinv(ups, downs, points) if downs else np.ones_like(points, dtype=float)
