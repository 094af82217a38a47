"""Published worked examples of tests by pairs.

Fifteen pairs of maize plants, crossed less self-fertilised, in eighths of an inch, measured by C. Darwin
(1876): R. A. Fisher, The Design of Experiments (1935), ch. III: of the 32768 ways to turn the signs 835 give
a higher sum and 28 the same, which makes 5.267 % two-sided (numbers and counts from memory; the counts follow
from the numbers, by a sum over whole numbers written here). All effects that this test does
not reject: J. A. Hartigan, J. Amer. Statist. Assoc. 64 (1969) 1303-1317, by which the interval holds the true
effect in at least 95 of 100 trials. Sign test: the binomial with equal chances; of 15 pairs 13 the same
way, two-sided 2 (1 + 15 + 105)/2^15 = 0.00738 (identity). Permutation test of many sets: SciPy's
`stats.permutation_test`, which turns signs and counts no subsets. Chances of every outcome of pairs that are
yes or no: the trinomial distribution (identity).
"""

import numpy as np
import pytest
from scipy import stats

from simcore.outdoors.paired import interval_of_mean, interval_of_share, permutation_p, sign_p

DARWIN = (49, -67, 8, 16, 6, 23, 28, 41, 14, 29, 56, 24, 75, 60, -48)


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


def turned_p(found: np.ndarray, drawn: int) -> np.ndarray:
    """The p of SciPy, (sets,) of (sets, pairs)."""
    tested = stats.permutation_test(
        (found,),
        lambda values, axis: np.mean(values, axis=axis),
        permutation_type="samples",
        axis=-1,
        n_resamples=drawn,
        vectorized=True,
        rng=np.random.default_rng(20),
    )
    return np.asarray(tested.pvalue)


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
    p = turned_p(np.stack([pairs - end for end in interval_of_mean(pairs)]), 20_000)
    assert p == pytest.approx(0.05, abs=0.01)


def test_the_same_p_as_signs_turned_by_another_library() -> None:
    """1e-12; half of the sets are rounded to tenths, so that sums are often alike, and often nought"""
    draws = np.random.default_rng(15)
    found = draws.normal(0.3, 1.0, (40, 9))
    found[::2] = np.round(found[::2], 1)
    assert permutation_p(found) == pytest.approx(turned_p(found, 10_000), abs=1e-12)


@pytest.mark.parametrize("pairs", [6, 9, 13, 24])
def test_interval_is_without_nought_where_the_permutation_test_rejects_and_only_there(pairs: int) -> None:
    """Of 16 sets about the edge, half of them in tenths; above 16 pairs by drawn subsets"""
    draws = np.random.default_rng(pairs)
    seen = set()
    for k in range(16):
        values = draws.normal(2.1 / np.sqrt(pairs), 1.0, pairs)
        found = np.round(values, 1) if k % 2 else values
        low, high = interval_of_mean(found)
        rejected = bool(permutation_p(found) <= 0.05)
        assert rejected is not (low <= 0.0 <= high)
        seen.add(rejected)
    assert seen == {True, False}


def test_interval_is_without_nought_where_the_sign_test_rejects_and_only_there() -> None:
    """Every outcome of 12 pairs, and of 60 those about the edge"""
    outcomes = [(up, down, 12) for up in range(13) for down in range(13 - up)]
    outcomes += [(down + more, down, 60) for down in (1, 8, 20) for more in range(6, 16)]
    for up, down, pairs in outcomes:
        found = [1.0] * up + [-1.0] * down + [0.0] * (pairs - up - down)
        low, high = interval_of_share(found)
        assert -1.0 <= low <= (up - down) / pairs <= high <= 1.0
        assert (sign_p(found) <= 0.05) is not (low <= 0.0 <= high)
        turned = interval_of_share(np.negative(found))
        assert turned == pytest.approx((-high, -low), abs=1e-9)


@pytest.mark.parametrize(
    ("before", "after", "pairs"),
    [(0.4, 0.7, 20), (0.5, 0.5, 30), (0.2, 0.5, 40), (0.0, 0.1, 12), (0.0, 0.9, 12), (0.3, 0.35, 12)],
)
def test_interval_of_yes_and_no_holds_the_true_share(before: float, after: float, pairs: int) -> None:
    """At least 95 %, of counts, which jump: no more is lost. Summed over every outcome"""
    both = before * after
    chances = after - both, before - both
    held, gone = 0.0, 0.0
    for up in range(pairs + 1):
        for down in range(pairs + 1 - up):
            counts = [up, down, pairs - up - down]
            chance = float(stats.multinomial.pmf(counts, pairs, [*chances, 1.0 - sum(chances)]))
            if chance < 1e-5:
                gone += chance
                continue
            low, high = interval_of_share([1.0] * up + [-1.0] * down + [0.0] * counts[2])
            held += chance * (low <= after - before <= high)
    assert gone < 3e-3
    assert 0.95 - gone <= held <= 1.0


def test_a_change_that_does_nothing_is_shown_in_5_of_100_trials() -> None:
    """4 standard errors of 2000 trials; the test of 10 pairs can reach 4.9 %"""
    found = np.random.default_rng(13).normal(size=(2000, 10))
    assert np.mean(permutation_p(found, drawn=2000) <= 0.05) == pytest.approx(0.05, abs=0.02)
