"""Published worked examples of tests by pairs.

Fifteen pairs of maize plants, crossed less self-fertilised, in eighths of an inch, measured by C. Darwin
(1876): R. A. Fisher, The Design of Experiments (1935), ch. III: of the 32768 ways to turn the signs 835 give
a higher sum and 28 the same, which makes 5.267 % two-sided (numbers and counts from memory; the counts follow
from the numbers, by a sum over whole numbers written here). All effects that this test does
not reject: J. A. Hartigan, J. Amer. Statist. Assoc. 64 (1969) 1303-1317, by which the interval holds the true
effect in at least 95 of 100 trials. Sign test: the binomial with equal chances; of 15 pairs 13 the same
way, two-sided 2 (1 + 15 + 105)/2^15 = 0.00738 (identity).
"""

import numpy as np
import pytest

from simcore.outdoors.paired import interval_of_mean, interval_of_share, permutation_p, sign_p

DARWIN = (49, -67, 8, 16, 6, 23, 28, 41, 14, 29, 56, 24, 75, 60, -48)
TRIALS = 2000


def ways_at_least(values: tuple[int, ...], least: int) -> int:
    """How many ways to turn the signs of whole numbers give at least a sum, by counting sums."""
    ways = {0: 1}
    for value in values:
        turned: dict[int, int] = {}
        for total, count in ways.items():
            for new in (total + value, total - value):
                turned[new] = turned.get(new, 0) + count
        ways = turned
    return sum(count for total, count in ways.items() if total >= least)


def test_fishers_count_of_sign_changes() -> None:
    """835 of 32768 are higher, 28 as high"""
    assert ways_at_least(DARWIN, sum(DARWIN) + 1) == 835
    assert ways_at_least(DARWIN, sum(DARWIN)) == 863
    assert permutation_p(DARWIN) == pytest.approx(0.05267, abs=5e-6)
    assert permutation_p(DARWIN) == pytest.approx(2 * 863 / 32768, abs=1e-12)


def test_drawn_sign_changes_come_near_to_all_of_them() -> None:
    """4 standard errors of 20000 draws"""
    p = 2 * 863 / 32768
    drawn = permutation_p(DARWIN, drawn=20_000)
    assert drawn != p
    assert drawn == pytest.approx(p, abs=8 * np.sqrt(0.5 * p * (1 - 0.5 * p) / 20_000))


def test_sign_test_of_the_same_pairs() -> None:
    """13 of 15 one way, 2 (1 + 15 + 105)/2^15; a pair without a difference does not count"""
    assert sign_p(DARWIN) == pytest.approx(242 / 32768, abs=1e-12)
    assert sign_p([*DARWIN, 0.0]) == pytest.approx(242 / 32768, abs=1e-12)


def test_ends_of_the_interval_are_where_the_test_begins_to_reject() -> None:
    """Just inside the p is above 0.05, just outside it is not"""
    low, high = interval_of_mean(DARWIN)
    pairs = np.array(DARWIN, dtype=float)
    inside = permutation_p(np.stack([pairs - low - 1e-6, pairs - high + 1e-6]))
    outside = permutation_p(np.stack([pairs - low + 1e-6, pairs - high - 1e-6]))
    assert np.all(inside > 0.05)
    assert np.all(outside <= 0.05)


@pytest.mark.parametrize(("pairs", "shape"), [(8, "normal"), (12, "laplace")])
def test_interval_holds_the_true_effect_in_95_of_100_trials(pairs: int, shape: str) -> None:
    """95 +- 2 %; the share of 1000 trials has a standard error of 0.7 %"""
    found = 1.3 + getattr(np.random.default_rng(11), shape)(size=(1000, pairs))
    held = [low <= 1.3 <= high for low, high in map(interval_of_mean, found)]
    assert np.mean(held) == pytest.approx(0.95, abs=0.02)


def test_ends_from_drawn_subsets_are_where_p_is_5_percent() -> None:
    """0.05 within 4 standard errors of 20000 draws and 65535 subsets"""
    pairs = np.random.default_rng(14).normal(1.0, 2.0, 24)
    p = permutation_p(np.stack([pairs - end for end in interval_of_mean(pairs)]), drawn=20_000)
    assert p == pytest.approx(0.05, abs=0.01)


@pytest.mark.parametrize(("before", "after", "pairs"), [(0.4, 0.7, 20), (0.5, 0.5, 30), (0.2, 0.5, 40)])
def test_interval_of_yes_and_no_holds_the_true_share(before: float, after: float, pairs: int) -> None:
    """95 +- 2.5 %: such intervals are of counts, which jump"""
    draws = np.random.default_rng(12)
    found = (draws.random((TRIALS, pairs)) < after) * 1.0 - (draws.random((TRIALS, pairs)) < before)
    held = [low <= after - before <= high for low, high in map(interval_of_share, found)]
    assert np.mean(held) == pytest.approx(0.95, abs=0.025)


def test_a_change_that_does_nothing_is_shown_in_5_of_100_trials() -> None:
    """4 standard errors of 2000 trials; the test of 10 pairs can reach 4.9 %"""
    found = np.random.default_rng(13).normal(size=(2000, 10))
    assert np.mean(permutation_p(found, drawn=2000) <= 0.05) == pytest.approx(0.05, abs=0.02)
