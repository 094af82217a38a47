"""How many runs a trial takes, its schedule, and what may be typed for it."""

import math

import numpy as np
import pytest
from invented_trials import BASE, CHANGED, CLIMBED, SLOPE, driven, key_of, question

from simcore.errors import InputError
from simcore.outdoors.findings import Verdict, findings
from simcore.outdoors.key import Key
from simcore.outdoors.measure import Measure, Prediction, amount, measure_of, prediction_from, prediction_of
from simcore.outdoors.plan import at_least, expected_of, planned, set_ups
from simcore.outdoors.power import Expected, Size, sized
from simcore.outdoors.schedule import WORDS, code_words, schedule
from simcore.outdoors.told import lost_words

BOLD = Expected(SLOPE, Prediction(3.0), 1.5)
"""An effect of twice the scatter: few pairs, so that all sign changes are tried."""


@pytest.fixture(scope="module")
def bold() -> Size:
    return sized(BOLD, 0.8, 2)


def verdicts(pairs: int, effect: float, trials: int) -> list[Verdict]:
    """What the score says of trials that are driven by the schedule, each drawn anew."""
    said = []
    for seed in range(trials):
        key = key_of(pairs, 1, predicted=Prediction(3.0), seed=seed)
        said.append(findings(key.plan, driven(key, effect, 1.5, seed=seed)).verdict)
    return said


def test_trials_of_the_planned_length_show_the_effect_as_often_as_planned(bold: Size) -> None:
    """Schedule, draws and score are those of a real trial; 250 have a standard error of 2.5 %."""
    assert bold.chance is not None
    said = verdicts(bold.chance.pairs, 3.0, 250)
    share = np.mean([one in (Verdict.SHOWN, Verdict.NOT_BLIND) for one in said])
    assert share == pytest.approx(bold.chance.shown, abs=0.1)
    assert share > 0.8 - 0.1


def test_two_pairs_less_would_not_do(bold: Size) -> None:
    assert bold.chance is not None
    less = BOLD.chance(bold.chance.pairs - 2)
    assert less.shown - less.error < 0.8 <= bold.chance.shown - bold.chance.error


def test_a_change_that_does_nothing_is_rarely_shown() -> None:
    """Level 5 %, of 8 pairs at most 4.7 % (12 of 256); 300 trials have a standard error of 1.3 %."""
    said = verdicts(8, 0.0, 300)
    shown = [one is not Verdict.NOT_SHOWN for one in said]
    assert 0.005 < np.mean(shown) < 0.1


def test_pairs_of_yes_and_no_are_about_what_the_normal_curve_says() -> None:
    """Within a third: the exact test is stricter than the curve."""
    expected = Expected(CLIMBED, Prediction(40.0), 40.0)
    found = sized(expected, 0.8, 2)
    assert found.chance is not None
    assert 1.0 <= found.chance.pairs / expected.roughly(0.8) < 1.8


@pytest.mark.parametrize(
    ("expected", "cheaper"),
    [
        (Expected(SLOPE, Prediction(-0.1), 2.0), "steadier runs"),
        (
            Expected(SLOPE, Prediction(1e-300), 1.0),
            "1e-300 deg would take N > 200 runs, about 2000000000000.",
        ),
        (Expected(SLOPE, Prediction(1e-300), 1.0), "another change, or another measure."),
        (Expected(CLIMBED, Prediction(8.0), 50.0), "a number instead of yes or no"),
    ],
)
def test_too_small_an_effect_is_said_with_what_would_be_cheaper(expected: Expected, cheaper: str) -> None:
    found = sized(expected, 0.8, 2)
    assert found.chance is None
    assert "Your effect is too small" in found.words
    assert "N > 200 runs" in found.words
    assert cheaper in found.words


@pytest.mark.parametrize("power", [0.49, 1.0, -1.0, math.nan])
def test_a_trial_that_would_rather_miss_is_refused(power: float) -> None:
    with pytest.raises(InputError, match=r"--power: got .*, must be from 0.5 to 0.99"):
        planned(question(), BOLD, CHANGED, power=power, pairs=8)


@pytest.mark.parametrize(("power", "advice"), [(0.8, "--power 0.7 or --most"), (0.55, "; --most")])
def test_no_power_below_a_half_is_advised(power: float, advice: str) -> None:
    size = sized(Expected(SLOPE, Prediction(0.1), 2.0), power, 2)
    assert f"{advice}, if you have the days" in size.words


def test_the_scatter_that_would_do_does() -> None:
    """What is said to be cheaper: a scatter k times as small takes k^2 times fewer pairs."""
    expected = Expected(SLOPE, Prediction(0.5), 2.0)
    times = np.sqrt(100 / expected.roughly(0.8))
    calmer = Expected(SLOPE, Prediction(0.5), 2.0 * times)
    assert calmer.roughly(0.8) == pytest.approx(100.0)


@pytest.mark.parametrize(("pairs", "drivers"), [(6, 1), (8, 2), (20, 2)])
def test_orders_are_balanced_for_every_driver_and_pairs_are_neighbours(pairs: int, drivers: int) -> None:
    names = [f"driver {k}" for k in range(drivers)]
    orders = set()
    for seed in range(20):
        runs = schedule(pairs, names, np.random.default_rng(seed))
        assert [run.run for run in runs] == list(range(1, 2 * pairs + 1))
        first, second = runs[::2], runs[1::2]
        for one, other in zip(first, second, strict=True):
            assert (one.pair, one.driver, one.changed) == (other.pair, other.driver, not other.changed)
        for name in names:
            own = [one.changed for one in first if one.driver == name]
            assert sum(own) * 2 == len(own) == pairs // drivers
        orders.add(tuple(one.changed for one in first))
    assert len(orders) > 5
    with pytest.raises(ValueError, match="cannot be balanced"):
        schedule(pairs + 1, names, np.random.default_rng(0))


def test_code_words_stand_in_no_name() -> None:
    for seed in range(50):
        words = code_words(["Slate rock", "amber tyres"], np.random.default_rng(seed))
        assert len({*words, "slate", "amber"}) == 4
        assert set(words) <= set(WORDS)


def test_without_a_seed_every_plan_is_another_one() -> None:
    found = [planned(question(), BOLD, CHANGED, pairs=8) for _ in range(2)]
    one, two = found
    assert isinstance(one, Key)
    assert isinstance(two, Key)
    assert one.plan.seed != two.plan.seed
    assert one.trial != two.trial
    again = planned(question(), BOLD, CHANGED, pairs=8, seed=one.plan.seed)
    assert isinstance(again, Key)
    assert again.trial == one.trial


def test_an_uncertain_prediction_is_tried_at_its_smaller_end() -> None:
    sure = planned(question(), Expected(SLOPE, Prediction(3.0), 1.5), CHANGED, pairs=8)
    unsure = planned(question(), Expected(SLOPE, Prediction(-3.0, 1.0), 1.5), CHANGED, pairs=8)
    assert isinstance(sure, Key)
    assert isinstance(unsure, Key)
    assert at_least(sure.plan.size) is None
    small, own = at_least(unsure.plan.size), unsure.plan.size.chance
    assert small is not None
    assert own is not None
    assert small.shown < 0.5 * own.shown


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("steepest slope=deg", Measure("steepest slope", "deg")),
        ("marks passed = count", Measure("marks passed", "1")),
        ("climbed=yes/no", Measure("climbed", "yes/no")),
    ],
)
def test_measures_are_read(text: str, found: Measure) -> None:
    assert measure_of(text) == found


@pytest.mark.parametrize("text", ["slope", "=deg", "slope=furlongs per lunch", "x" * 61 + "=s", "a\nb=s"])
def test_other_measures_are_refused(text: str) -> None:
    with pytest.raises(InputError, match="NAME=UNIT"):
        measure_of(text)


@pytest.mark.parametrize(
    ("text", "measure", "effect", "error"),
    [
        ("1.67 +- 0.22 deg", SLOPE, 1.67, 0.22),
        ("1.5 deg", SLOPE, 1.5, 0.0),
        ("-1.5", SLOPE, -1.5, 0.0),
        ("1.5 deg ± 0.2 deg", SLOPE, 1.5, 0.2),
        ("-300 ms +/- 0.1 s", Measure("time", "s"), -0.3, 0.1),
        ("2", Measure("marks", "1"), 2.0, 0.0),
        ("20 %", CLIMBED, 20.0, 0.0),
        ("-20 +- 5 %", CLIMBED, -20.0, 5.0),
    ],
)
def test_effects_are_read(text: str, measure: Measure, effect: float, error: float) -> None:
    """Their error is what 19 of 20 keep within, as every error that is typed."""
    found = prediction_of(text, measure)
    assert found.effect == pytest.approx(effect)
    assert found.ends == pytest.approx((effect - error, effect + error))


@pytest.mark.parametrize(
    ("text", "measure"),
    [
        ("0 deg", SLOPE),
        ("360 deg", SLOPE),
        ("1.5 mm", SLOPE),
        ("", SLOPE),
        ("+-", SLOPE),
        ("nan", SLOPE),
        ("120 %", CLIMBED),
    ],
)
def test_other_effects_are_refused(text: str, measure: Measure) -> None:
    with pytest.raises(InputError, match="--effect"):
        prediction_of(text, measure)


def test_of_a_faulty_error_that_alone_is_quoted() -> None:
    with pytest.raises(InputError, match='--effect: got "x deg", must be a number in deg'):
        prediction_of("1 +- x deg", SLOPE)


def test_prediction_from_draws_is_their_median_between_their_percentiles() -> None:
    """Of 1 to 39 the 2.5 and 97.5 percentiles are the lowest and the highest (rank p (n + 1))."""
    found = prediction_from(np.arange(1.0, 40.0))
    assert found is not None
    assert (found.effect, *found.ends) == pytest.approx((20.0, 1.0, 39.0))
    assert not found.lost
    assert prediction_from([1.0, 2.0, np.nan]) is None


def test_skewed_draws_do_not_pull_a_prediction_and_may_hold_no_effect() -> None:
    draws = [-0.2] * 5 + [0.1] * 90 + [30.0] * 5
    found = prediction_from(draws)
    assert found is not None
    assert (found.effect, *found.ends) == pytest.approx((0.1, -0.2, 30.0))
    assert found.lost
    key = planned(question(), Expected(SLOPE, found, 0.1), CHANGED, pairs=8)
    assert isinstance(key, Key)
    assert at_least(key.plan.size) is None
    (words,) = lost_words(key.plan.expected)
    assert "lost in bench error" in words
    assert list(lost_words(BOLD)) == []


def test_what_is_missing_or_too_much_is_said_at_once() -> None:
    with pytest.raises(InputError) as caught:
        expected_of(CLIMBED, Prediction(60.0), 1.0, 50.0)
    assert [issue.file for issue in caught.value.issues] == ["--scatter", "--usual"]
    with pytest.raises(InputError) as caught:
        expected_of(SLOPE, Prediction(1.0), None, 50.0)
    assert [issue.file for issue in caught.value.issues] == ["--usual", "--scatter"]
    with pytest.raises(InputError, match="above 0"):
        expected_of(SLOPE, Prediction(1.0), amount("0 deg", "deg", "--scatter"), None)


def test_set_ups_are_the_base_and_one_variant() -> None:
    assert set_ups(question(), CHANGED) == (BASE, CHANGED)
    with pytest.raises(InputError, match="one of 8 mm lower, 4 mm higher, 10 mm higher"):
        set_ups(question(), None)
    with pytest.raises(InputError, match="--pairs: got 7, must be a multiple of 4, from 8 on"):
        planned(question(), BOLD, CHANGED, drivers=2, pairs=7)


@pytest.mark.parametrize(
    "expected",
    [Expected(SLOPE, Prediction(0.596), 1.5), Expected(CLIMBED, Prediction(20.0), 30.0)],
    ids=["a number", "yes or no"],
)
def test_what_would_do_is_more_than_what_does_not_and_does(expected: Expected) -> None:
    """At the edge of the longest bearable trial, where a formula for long ones is too hopeful."""
    size = Size(expected, 0.8, None)
    assert size.needed > 100.0
    larger = expected.predicted.effect * math.sqrt(size.needed / 100.0)
    assert expected.chance(100, expected.predicted.effect).shown - 0.8 < 0.02
    assert expected.chance(100, larger).shown > 0.8
