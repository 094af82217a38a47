"""What the runs of a trial show: the effect, what drifted, who drove, whether they knew."""

import dataclasses
import enum
import math
from collections.abc import Iterator, Sequence

import numpy as np
from numpy.typing import NDArray
from scipy import stats

from simcore.outdoors.key import Plan
from simcore.outdoors.paired import (
    LEAST_PAIRS,
    LEVEL,
    interval_of_mean,
    interval_of_share,
    permutation_p,
    sign_p,
    signs,
)
from simcore.outdoors.results_file import TypedRun

LEAST_DRIFT = 5  # pairs, of which three things that may drift can be told
ROUNDING = 1e-12  # of the largest number: less is no drift, nor an error of one
LEAST_ALIKE = 6  # runs with a number noted beside them


class Verdict(enum.Enum):
    """What came of a trial; the value says it."""

    SHOWN = "shown"
    NOT_SHOWN = "not shown"
    OTHER_WAY = "shown, but the other way than predicted"
    NOT_BLIND = "a difference, but the drivers knew which was which"
    TOO_FEW = "too few pairs to show anything"


class Drift(enum.Enum):
    """What may change beside the set-up; the value says what its size is."""

    DAY = "drift over the day, per run"
    PRACTICE = "second run of a pair less the first, with the same set-up"
    FADING = "change of the effect itself, per pair"


@dataclasses.dataclass(frozen=True)
class Pair:
    """Two runs close in time, one with the change and one without.

    Attributes
    ----------
    pair : its number
    driver : who drove both
    changed_first : whether the run with the change came first
    base, changed : their outcomes, in the measure's unit; yes is 100, no is 0
    knew : whether the guess which run had the change was right; None: no guess
    """

    pair: int
    driver: str
    changed_first: bool
    base: float
    changed: float
    knew: bool | None

    @property
    def difference(self) -> float:
        """With the change less without it."""
        return self.changed - self.base


@dataclasses.dataclass(frozen=True)
class LeftOut:
    """A pair that does not count, and why, in words."""

    pair: int
    why: str


@dataclasses.dataclass(frozen=True)
class Effect:
    """The difference that the change made.

    Attributes
    ----------
    value, low, high : mean of the pairs and ends of its 95 % interval, in the unit of the effect; no effect
        is outside it where `deciding_p` is at most 5 %, and only there
    permutation, sign : two-sided p of the two tests
    up, down : pairs that differ upward and downward
    """

    value: float
    low: float
    high: float
    permutation: float
    sign: float
    up: int
    down: int


@dataclasses.dataclass(frozen=True)
class Drifted:
    """How much something drifted.

    Attributes
    ----------
    what : drifted
    value, error : how much, and its standard error; both 0: none but rounding of the numbers
    p : chance of so much without any
    """

    what: Drift
    value: float
    error: float
    p: float


@dataclasses.dataclass(frozen=True)
class Driven:
    """What one driver's pairs say: their mean difference with its standard error."""

    driver: str
    pairs: int
    value: float
    error: float


@dataclasses.dataclass(frozen=True)
class Guesses:
    """How many guesses there were and how many right, and the chance of so many by guessing."""

    made: int
    right: int
    p: float


@dataclasses.dataclass(frozen=True)
class Beside:
    """A number noted beside every run.

    Attributes
    ----------
    name : of it
    low, high : its range over the day
    less : mean with the change less without it
    correlation, p : of both, each less the mean of its set-up
    """

    name: str
    low: float
    high: float
    less: float
    correlation: float
    p: float


@dataclasses.dataclass(frozen=True)
class Findings:
    """All that the runs show.

    Attributes
    ----------
    verdict : what came of it
    pairs, left_out : that count, and that do not
    effect : of the change; None: no pair counts
    drifts, drivers, beside : what drifted, each driver's pairs, numbers beside
    drivers_p : chance of drivers who differ so much; None: not two with two pairs each
    guesses : of the drivers
    """

    verdict: Verdict
    pairs: tuple[Pair, ...]
    left_out: tuple[LeftOut, ...]
    effect: Effect | None
    drifts: tuple[Drifted, ...]
    drivers: tuple[Driven, ...]
    drivers_p: float | None
    beside: tuple[Beside, ...]
    guesses: Guesses

    @property
    def knew(self) -> bool:
        """Whether the drivers guessed right more often than chance does."""
        return self.guesses.p <= LEVEL


def findings(plan: Plan, runs: Sequence[TypedRun]) -> Findings:
    """Unblind the runs and test them.

    Parameters
    ----------
    plan : of the trial
    runs : as typed
    """
    pairs, left = _paired(plan, runs)
    yes_no = plan.measure.yes_no
    effect = _effect(pairs, yes_no) if pairs else None
    guesses = _guesses(pairs)
    drivers = tuple(_drivers(pairs))
    return Findings(
        _verdict(plan, pairs, effect, guesses),
        *(tuple(pairs), tuple(left), effect, tuple(_drifts(pairs)), drivers),
        *(_drivers_differ(pairs), tuple(_beside(plan, pairs, runs)), guesses),
    )


def _paired(plan: Plan, runs: Sequence[TypedRun]) -> tuple[list[Pair], list[LeftOut]]:
    """Pairs that count, and those that do not."""
    typed = {run.run: run for run in runs}
    pairs, left = [], []
    for number in range(1, plan.pairs + 1):
        numbers = [run.run for run in plan.runs if run.pair == number]
        two = [typed.get(run) for run in numbers]
        whys = [why for run, one in zip(numbers, two, strict=True) if (why := _why_not(run, one))]
        first, second = two
        if first is None or second is None or whys:
            left.append(LeftOut(number, "; ".join(whys)))
        elif first.word == second.word:
            left.append(LeftOut(number, f'both runs were with "{first.word}"'))
        elif first.driver != second.driver:
            left.append(LeftOut(number, f"two drivers: {first.driver} and {second.driver}"))
        else:
            pairs.append(_pair(plan, number, first, second))
    return pairs, left


def _why_not(number: int, run: TypedRun | None) -> str:
    if run is None:
        return f"run {number} has no row"
    if run.left_out:
        return f"run {number}: {run.left_out}"
    return f"run {number} has no outcome" if run.outcome is None else ""


def _pair(plan: Plan, number: int, first: TypedRun, second: TypedRun) -> Pair:
    changed_first = first.word == plan.words[1]
    scale = 100.0 if plan.measure.yes_no else 1.0
    outcomes = [scale * float(run.outcome or 0.0) for run in (first, second)]
    changed, base = outcomes if changed_first else reversed(outcomes)
    said = {run.guess for run in (first, second)} - {0}
    knew = None if len(said) != 1 else (said == {1}) is changed_first
    return Pair(number, first.driver, changed_first, base, changed, knew)


def _differences(pairs: Sequence[Pair]) -> NDArray[np.float64]:
    return np.array([pair.difference for pair in pairs])


def _effect(pairs: Sequence[Pair], yes_no: bool) -> Effect:
    found = _differences(pairs)
    low, high = (
        (100.0 * end for end in interval_of_share(found / 100.0)) if yes_no else interval_of_mean(found)
    )
    p = float(permutation_p(found))
    return Effect(float(found.mean()), low, high, p, sign_p(found), *signs(found))


def deciding_p(plan: Plan, effect: Effect) -> float:
    """The p that the verdict goes by, of the test whose interval an effect has: of a number the permutation
    test, of yes or no the sign test, which that one is there.
    """
    return effect.sign if plan.measure.yes_no else effect.permutation


def _verdict(plan: Plan, pairs: Sequence[Pair], effect: Effect | None, guesses: Guesses) -> Verdict:
    if effect is None or len(pairs) < LEAST_PAIRS:
        return Verdict.TOO_FEW
    if deciding_p(plan, effect) > LEVEL:
        return Verdict.NOT_SHOWN
    if guesses.p <= LEVEL:
        return Verdict.NOT_BLIND
    return Verdict.SHOWN if effect.value * plan.expected.predicted.effect > 0.0 else Verdict.OTHER_WAY


def _guesses(pairs: Sequence[Pair]) -> Guesses:
    """Whether drivers guessed better than a coin."""
    guessed = [pair.knew for pair in pairs if pair.knew is not None]
    p = float(stats.binomtest(sum(guessed), len(guessed), alternative="greater").pvalue) if guessed else 1.0
    return Guesses(len(guessed), sum(guessed), p)


def _drifts(pairs: Sequence[Pair]) -> Iterator[Drifted]:
    """Least squares: of differences over order and pair, of the pairs' means over the day."""
    if len(pairs) < LEAST_DRIFT:
        return
    numbers = np.array([pair.pair for pair in pairs], dtype=float)
    along = numbers - numbers.mean()
    means = np.array([0.5 * (pair.base + pair.changed) for pair in pairs])
    ones = np.ones(len(pairs))
    driver = [float(pair.driver == pairs[0].driver) for pair in pairs]
    who = [np.array(driver) - np.mean(driver)] if 0.0 < np.mean(driver) < 1.0 else []
    yield from _slopes({Drift.DAY: (1, 0.5)}, np.column_stack([ones, along, *who]), means)
    order = np.array([-1.0 if pair.changed_first else 1.0 for pair in pairs])
    if len(set(order)) == 2:  # with one order alone practice cannot be told from the change
        told = {Drift.PRACTICE: (1, 1.0), Drift.FADING: (2, 1.0)}
        yield from _slopes(told, np.column_stack([ones, order, along]), _differences(pairs))


def _slopes(
    told: dict[Drift, tuple[int, float]], model: NDArray[np.float64], values: NDArray[np.float64]
) -> Iterator[Drifted]:
    """Slopes of a linear model with errors from its own residuals: column and factor of each that is told."""
    free = len(values) - model.shape[1]
    if free < 1:
        return
    slopes, *_ = np.linalg.lstsq(model, values, rcond=None)
    rest = values - model @ slopes
    errors = np.sqrt(np.diag(np.linalg.pinv(model.T @ model)) * (rest @ rest) / free)
    nothing = ROUNDING * float(np.abs(values).max())
    for what, (column, scale) in told.items():
        found = scale * float(slopes[column]), scale * float(errors[column])
        value, error = (size if abs(size) > nothing else 0.0 for size in found)
        p = float(2.0 * stats.t.sf(abs(value / error), free)) if error else float(value == 0.0)
        yield Drifted(what, value, error, p)


def _drivers(pairs: Sequence[Pair]) -> Iterator[Driven]:
    for driver in sorted({pair.driver for pair in pairs}):
        own = _differences([pair for pair in pairs if pair.driver == driver])
        error = float(own.std(ddof=1) / math.sqrt(len(own))) if len(own) > 1 else math.inf
        yield Driven(driver, len(own), float(own.mean()), error)


def _drivers_differ(pairs: Sequence[Pair]) -> float | None:
    """Chance that two drivers' pairs differ so much, if it is all the same who drives."""
    names = sorted({pair.driver for pair in pairs})
    groups = [_differences([pair for pair in pairs if pair.driver == name]) for name in names]
    if len(groups) != 2 or min(map(len, groups)) < 2:
        return None
    found = stats.permutation_test(
        groups,
        lambda one, two, axis: np.mean(one, axis=axis) - np.mean(two, axis=axis),
        permutation_type="independent",
        n_resamples=9999,
        vectorized=True,
        rng=np.random.default_rng(1),
    )
    return float(found.pvalue)


def _beside(plan: Plan, pairs: Sequence[Pair], runs: Sequence[TypedRun]) -> Iterator[Beside]:
    """Temperature and battery: what they were, and whether outcomes went with them."""
    if not pairs:
        return
    counted = {pair.pair for pair in pairs}
    places = {run.run: run.pair for run in plan.runs}
    own = [run for run in runs if places[run.run] in counted]
    scale = 100.0 if plan.measure.yes_no else 1.0
    off = np.array([scale * float(run.outcome or 0.0) for run in own])
    changed = np.array([run.word == plan.words[1] for run in own])
    for which in (changed, ~changed):
        off[which] -= off[which].mean()
    for name, noted in (
        ("temperature, \N{DEGREE SIGN}C", [run.temperature for run in own]),
        ("battery, V", [run.battery for run in own]),
    ):
        values = np.array([math.nan if one is None else one for one in noted])
        there = np.isfinite(values)
        two = [values[there & which] for which in (changed, ~changed)]
        if there.sum() < LEAST_ALIKE or not all(map(len, two)):
            continue
        less = float(two[0].mean() - two[1].mean())
        own_mean = np.where(changed, two[0].mean(), two[1].mean())
        both = (values - own_mean)[there], off[there]
        if any(np.ptp(one) <= 1e-9 for one in both):  # it did not change, or nothing did
            continue
        r = stats.pearsonr(*both)
        yield Beside(
            name,
            *(float(values[there].min()), float(values[there].max()), less),
            *(float(r.statistic), float(r.pvalue)),
        )
