"""Intervals, verdicts and shares of draws: known answers, and how often they are right."""

import numpy as np
import pytest
from scipy.stats import norm, qmc

from simcore.results.scatter import (
    FEWEST,
    Interval,
    Verdict,
    band_of,
    interval_of,
    moves_of,
    share_of,
    together,
    verdict_of,
)

TRIES = 1500


def held(count: int, even: bool, law: str) -> float:
    """Share of answers that lie within the interval of other draws; the answer is y = exp(x) or 3x + 2."""
    inside, random = 0, np.random.default_rng(0)
    for _ in range(TRIES):
        x = norm.ppf(qmc.Sobol(1, rng=random).random(count)[:, 0]) if even else random.standard_normal(count)
        one = random.standard_normal()
        values, own = (np.exp(x), np.exp(one)) if law == "exp" else (3.0 * x + 2.0, 3.0 * one + 2.0)
        found = interval_of(values)
        assert found is not None
        inside += found.low <= own <= found.high
    return inside / TRIES


@pytest.mark.parametrize(("count", "law"), [(39, "exp"), (128, "straight")])
def test_an_interval_holds_what_it_says(count: int, law: str) -> None:
    """95 %, within 2: three standard deviations of so many tries are 1.7 points."""
    assert held(count, False, law) == pytest.approx(0.95, abs=0.02)


@pytest.mark.filterwarnings("ignore:The balance properties")
def test_an_interval_of_even_draws_holds_it_too() -> None:
    assert held(128, True, "straight") == pytest.approx(0.95, abs=0.02)


def test_few_draws_say_how_much_their_range_holds() -> None:
    found = interval_of(np.arange(19.0))
    assert found is not None and (found.low, found.middle, found.high) == (0.0, 9.0, 18.0)
    assert found.inside == pytest.approx(0.9) and found.spans == (None, None)
    assert held(19, False, "exp") == pytest.approx(0.9, abs=0.02)
    assert interval_of(np.arange(float(FEWEST - 1))) is None
    assert interval_of(np.full(100, np.nan)) is None


def test_ends_lie_where_they_are_said_to_lie() -> None:
    """The true 2.5th percentile of a normal law lies within the span in 95 of 100 tries, or more often."""
    true, hits = norm.ppf(0.025), 0
    for k in range(1000):
        found = interval_of(np.random.default_rng(k).standard_normal(256))
        assert found is not None and found.spans[0] is not None
        hits += found.spans[0][0] <= true <= found.spans[0][1]
    assert hits / 1000 >= 0.93


def interval(low: float, high: float) -> Interval:
    return Interval(low, 0.5 * (low + high), high, 0.95, 100, (None, None))


@pytest.mark.parametrize(
    ("difference", "verdict"),
    [
        (interval(1.0, 2.0), Verdict.MORE),
        (interval(-2.0, -1.0), Verdict.MORE),
        (interval(0.1, 0.3), Verdict.UNSEEN),
        (interval(-0.1, 3.0), Verdict.LOST),
        (interval(0.0, 3.0), Verdict.LOST),
        (None, Verdict.UNKNOWN),
    ],
)
def test_verdicts(difference: Interval | None, verdict: Verdict) -> None:
    assert verdict_of(difference, 0.5) is verdict


def test_what_does_nothing_is_seldom_more_than_bench_error() -> None:
    """A difference of nothing but noise about nought has nought inside, with 64 draws always."""
    told = [verdict_of(interval_of(np.random.default_rng(k).standard_normal(64)), 0.0) for k in range(500)]
    assert all(one is Verdict.LOST for one in told)


def test_a_share_has_the_interval_of_its_source() -> None:
    """81 of 263 gives 0.255 to 0.366.

    R. G. Newcombe, Two-sided confidence intervals for the single proportion, Statistics in Medicine 17
    (1998), table I, method 3, from memory.
    """
    found = share_of(81, 263)
    assert (found.low, found.high) == pytest.approx((0.2553, 0.3662), abs=1e-4)
    assert share_of(0, 0) == (0, 0, 0.0, 1.0)


def test_the_error_that_counts_is_named_and_chance_is_not() -> None:
    random = np.random.default_rng(1)
    errors = random.standard_normal((400, 60))
    values = 2.0 * errors[:, 7] - errors[:, 3] + 0.3 * random.standard_normal(400)
    assert [one.error for one in moves_of(errors, values)] == [7, 3]
    assert moves_of(errors, values)[1].rank < 0.0
    values[:395] = np.nan
    assert moves_of(errors, values) == []


def test_errors_whose_draws_go_together_are_named_whichever_way() -> None:
    """An error that the number owes nothing to is named with the one that it goes with."""
    errors = np.random.default_rng(1).standard_normal((64, 5))
    errors[:, 2] = 0.4 * errors[:, 2] - errors[:, 4]
    values = errors[:, 4] + 0.1 * errors[:, 0]
    named = [one.error for one in moves_of(errors, values)]
    assert named == [4, 2]
    ((one, other, rank),) = together(errors, named)
    assert (one, other) == (4, 2) and -1.0 < rank < -0.8
    assert together(errors, [0, 4]) == together(errors, [2]) == together(errors[: FEWEST - 1], named) == []


def test_chance_names_an_error_in_fewer_than_one_of_twenty() -> None:
    named = 0
    for k in range(200):
        random = np.random.default_rng(k)
        named += bool(moves_of(random.random((64, 20)), random.random(64)))
    assert named <= 20  # of 200 expected 10; beyond 20 lie fewer than one of a thousand


def test_a_band_ends_where_most_runs_have_ended() -> None:
    curves = np.tile(np.arange(5.0), (20, 1)) + np.linspace(0.0, 1.0, 20)[:, None]
    curves[:11, 4] = np.nan
    low, middle, high = band_of(curves)
    assert np.isnan([low[4], middle[4], high[4]]).all()
    assert middle[:4] == pytest.approx(np.arange(4.0) + 0.5) and (low < high)[:4].all()
