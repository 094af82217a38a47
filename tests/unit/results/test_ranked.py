"""The verdict on a change: every combination, how often it is wrong, and what outranks what."""

import itertools

import numpy as np
import pytest

from simcore.accounts.job import JobState
from simcore.results.ranked import (
    FEWEST,
    Change,
    Effect,
    Mark,
    Verdict,
    in_order,
    interval,
    level,
    mark,
    told_of,
    turn,
    verdict_of,
)
from simcore.results.scatter import draws_for

DONE, NOT, UNKNOWN = JobState.DONE, JobState.NOT_DONE, JobState.UNKNOWN
SEEN = 1.0
BY_MARK = {
    Mark.GAIN: Effect("", DONE, DONE, 3.0, 2.0, 4.0, pairs=32, drawn=32),
    Mark.LOSS: Effect("", DONE, DONE, -3.0, -4.0, -2.0, pairs=32, drawn=32),
    Mark.SMALL: Effect("", DONE, DONE, 0.2, 0.1, 0.3, pairs=32, drawn=32),
    Mark.LOST: Effect("", DONE, DONE, 3.0, -1.0, 7.0, pairs=32, drawn=32),
    Mark.UNTOLD: Effect("", NOT, NOT, None, drawn=32),
    Mark.UNKNOWN: Effect("", DONE, UNKNOWN, None, drawn=32),
}
HELPS = Effect("", NOT, DONE, None, helped=30, drawn=32)
HURTS = Effect("", DONE, NOT, None, hurt=30, drawn=32)


def expected(marks: tuple[Mark, ...]) -> Verdict:
    """The verdict as the words of the table have it, written a second time."""
    if marks[0] is Mark.UNKNOWN:
        return Verdict.NOT_KNOWN
    has = set(marks)
    if {Mark.GAIN, Mark.LOSS} <= has:
        return Verdict.DEPENDS
    if has & {Mark.GAIN, Mark.LOSS}:
        return Verdict.CLEAR_GAIN if Mark.GAIN in has else Verdict.CLEAR_LOSS
    if Mark.LOST in has:
        return Verdict.LOST
    return Verdict.TOO_SMALL if Mark.SMALL in has else Verdict.NOT_KNOWN


@pytest.mark.parametrize("conditions", [1, 2, 3])
def test_every_combination_of_what_a_change_does_has_its_verdict(conditions: int) -> None:
    for marks in itertools.product(BY_MARK, repeat=conditions):
        effects = [BY_MARK[one] for one in marks]
        assert [mark(one, 1, SEEN, level(conditions)) for one in effects] == list(marks)
        assert verdict_of(effects, 1, SEEN) is expected(marks)


def test_less_is_better_turns_gains_and_losses_alone() -> None:
    other = {Mark.GAIN: Mark.LOSS, Mark.LOSS: Mark.GAIN}
    for own, effect in BY_MARK.items():
        assert mark(effect, -1, SEEN, level(1)) is other.get(own, own)


def test_the_job_comes_before_any_number() -> None:
    for effect in BY_MARK.values():
        assert verdict_of([HELPS, effect], 1, SEEN) is Verdict.CLEAR_GAIN
        assert verdict_of([effect, HURTS], 1, SEEN) is Verdict.CLEAR_LOSS
        assert verdict_of([effect, HURTS, HELPS], 1, SEEN) is Verdict.DEPENDS
    gains = Change("number", Verdict.CLEAR_GAIN, (BY_MARK[Mark.GAIN],))
    does = Change("job", Verdict.CLEAR_GAIN, (HELPS,))
    loses = Change("loss", Verdict.CLEAR_LOSS, (BY_MARK[Mark.LOSS],))
    assert [one.name for one in in_order([loses, gains, does], 1)] == ["job", "number", "loss"]


def test_a_job_that_turns_in_few_draws_or_both_ways_is_no_verdict() -> None:
    assert turn(Effect("", NOT, DONE, None, helped=3, drawn=32), level(1)) == 0
    assert turn(Effect("", NOT, DONE, None, helped=9, hurt=8, drawn=32), level(1)) == 0
    assert turn(Effect("", NOT, DONE, None, hurt=30, drawn=32), level(1)) == 0  # the rig as given disagrees
    lost = Effect("", NOT, DONE, None, helped=3, drawn=32)
    assert verdict_of([lost], 1, SEEN) is Verdict.LOST


def test_without_draws_the_rig_as_given_decides_and_errors_do_not_count() -> None:
    for change, verdict in ((2.0, Verdict.CLEAR_GAIN), (0.5, Verdict.TOO_SMALL), (-2.0, Verdict.CLEAR_LOSS)):
        assert verdict_of([Effect("", DONE, DONE, change)], 1, SEEN) is verdict
    assert verdict_of([Effect("", NOT, DONE, None)], 1, SEEN) is Verdict.CLEAR_GAIN


@pytest.mark.parametrize("conditions", [1, 3, 6])
def test_ends_are_those_of_draws_as_they_lie_from_a_number_of_draws_on(conditions: int) -> None:
    sure = level(conditions)
    for count, known in ((draws_for(sure) - 1, False), (draws_for(sure), True)):
        values = np.exp(np.arange(count) % 7.0)
        low, _ = interval(list(values), sure) or (0.0, 0.0)
        assert (low == 1.0) is known and (low < 0.0) is not known


def test_too_few_figures_are_no_interval_and_no_verdict() -> None:
    assert interval([1.0] * (FEWEST - 1), 0.95) is None
    few = Effect("", DONE, DONE, 5.0, pairs=FEWEST - 1, drawn=32)
    assert verdict_of([few], 1, SEEN) is Verdict.NOT_KNOWN


@pytest.mark.parametrize("count", [8, 32])
def test_an_interval_holds_of_a_further_rig_as_often_as_it_says(count: int) -> None:
    """Coverage of normal differences; 20,000 trials have a standard error of 0.15 percentage points."""
    rng, trials = np.random.default_rng(7), 20_000
    values = rng.normal(0.3, 2.0, (trials, count + 1))
    middle, spread = values[:, :-1].mean(axis=1), values[:, :-1].std(axis=1, ddof=1)
    low, high = interval(list(values[0, :-1]), 0.95) or (0.0, 0.0)
    half = (high - low) / 2.0 / spread[0]  # the same multiple of the spread for all
    inside = np.abs(values[:, -1] - middle) <= half * spread
    assert inside.mean() == pytest.approx(0.95, abs=0.006)


@pytest.mark.parametrize(("count", "holds"), [(40, 39 / 41), (199, 0.95)])
def test_of_many_draws_it_holds_whatever_their_distribution(count: int, holds: float) -> None:
    """Differences that are never below nought and skewed; 4,000 trials have a standard error of 0.34
    percentage points."""
    values = np.random.default_rng(8).exponential(1.0, (4_000, count + 1)) ** 2
    ends = [interval(list(row[:-1]), 0.95) or (0.0, 0.0) for row in values]
    inside = [low <= row[-1] <= high for (low, high), row in zip(ends, values, strict=True)]
    assert np.mean(inside) == pytest.approx(holds, abs=0.011)
    assert min(low for low, _ in ends) >= 0.0


@pytest.mark.parametrize("conditions", [1, 3])
def test_a_clear_verdict_on_a_change_without_effect_is_rarer_than_stated(conditions: int) -> None:
    """False alarms: differences about nought, the user's rig one of those drawn, nothing too small to see."""
    rng, trials, count, wrong = np.random.default_rng(11), 800, 16, 0
    for _ in range(trials):
        values = rng.normal(0.0, 1.0, (conditions, count + 1))
        effects = []
        for row in values:
            ends = interval(list(row[:-1]), level(conditions))
            assert ends is not None
            effects.append(Effect("", DONE, DONE, float(row[-1]), *ends, pairs=count, drawn=count))
        found = verdict_of(effects, 1, 1e-9)
        wrong += found in (Verdict.CLEAR_GAIN, Verdict.CLEAR_LOSS, Verdict.DEPENDS)
    assert wrong / trials <= 0.05


def test_a_job_that_turns_by_chance_is_told_no_oftener_than_stated() -> None:
    """False alarms of the job: each draw turns one way or the other, as likely."""
    rng, trials = np.random.default_rng(13), 1000
    turned = rng.binomial(32, 0.4, trials)
    helped = rng.binomial(turned, 0.5)
    told = [
        turn(Effect("", NOT, NOT, None, helped=int(a), hurt=int(n - a), drawn=32), level(1)) != 0
        for a, n in zip(helped, turned, strict=True)
    ]
    assert np.mean(told) <= 0.05 + 2.0 * np.sqrt(0.05 * 0.95 / trials)


def test_what_is_clear_is_found() -> None:
    """Not by never saying anything: an effect of four standard deviations is told nearly always."""
    rng, found = np.random.default_rng(17), 0
    for _ in range(300):
        row = rng.normal(4.0, 1.0, 32)
        ends = interval(list(row), level(1)) or (0.0, 0.0)
        effect = Effect("", DONE, DONE, 4.0, *ends, pairs=32, drawn=32)
        found += verdict_of([effect], 1, SEEN) is Verdict.CLEAR_GAIN
    assert found / 300 >= 0.95


def test_of_many_changes_the_best_and_the_worst_are_told() -> None:
    gains = [Change(f"gain {k}", Verdict.CLEAR_GAIN, ()) for k in range(9)]
    unseen = [Change(f"small {k}", Verdict.TOO_SMALL, ()) for k in range(9)]
    losses = [Change(f"loss {k}", Verdict.CLEAR_LOSS, ()) for k in range(9)]
    told = [one.name for one in told_of([*gains, *unseen, *losses], 8)]
    assert told == [*(f"gain {k}" for k in range(6)), "loss 7", "loss 8"]
    assert told_of([*gains, *unseen], 9) == gains
    assert told_of(unseen, 4) == unseen[:4]
    assert told_of([*unseen, *losses], 18) == [*unseen, *losses]
