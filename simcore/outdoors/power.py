"""How many pairs of runs would show an effect, found by doing the trial many times with random numbers."""

import dataclasses
import math
from functools import cached_property, lru_cache

import numpy as np
from scipy import stats

from simcore.outdoors.measure import Measure, Prediction, said
from simcore.outdoors.paired import LEAST_PAIRS, LEVEL, permutation_p, sign_p_of_many

TRIALS = 1000
"""Trials that are made up for one number of pairs."""
DRAWN = 4095  # subsets of the pairs that test each of them; more would find hardly more
MOST_RUNS = 200
HOPELESS = 1e6  # times the effect: of a scatter beyond it nobody asks how far
LEAST_POWER, MOST_POWER = 0.5, 0.99
"""Of a trial that would rather miss its effect than show it, not shown says nothing."""


@dataclasses.dataclass(frozen=True)
class Chance:
    """How often trials of so many pairs show the effect.

    Attributes
    ----------
    pairs : of runs
    shown : share of the trials that show it, the predicted way
    error : standard error of that share, for so many were made up
    """

    pairs: int
    shown: float
    error: float


@dataclasses.dataclass(frozen=True)
class Expected:
    """What is expected of the runs.

    Attributes
    ----------
    measure : what is measured
    predicted : what the change does to it
    scatter : of a measured number: standard deviation of runs with one set-up that are done one after the
        other; of yes or no: how many of a hundred runs without the change say yes
    """

    measure: Measure
    predicted: Prediction
    scatter: float

    @property
    def pair_scatter(self) -> float:
        """Standard deviation of the difference within a pair, in the unit of the effect."""
        if not self.measure.yes_no:
            return math.sqrt(2.0) * self.scatter
        without, with_it = self.scatter / 100.0, (self.scatter + self.predicted.effect) / 100.0
        return 100.0 * math.sqrt(without * (1.0 - without) + with_it * (1.0 - with_it))

    def roughly(self, power: float) -> float:
        """About how many pairs that takes, as if differences were normal and their scatter known."""
        reach = float(stats.norm.ppf(1.0 - LEVEL / 2.0) + stats.norm.ppf(power))
        return min(reach * self.pair_scatter / abs(self.predicted.effect), HOPELESS) ** 2

    def chance(self, pairs: int, effect: float | None = None, seed: int = 1) -> Chance:
        """Do trials of so many pairs with the test that the score does; count those that show the effect."""
        return _made_up(self, pairs, self.predicted.effect if effect is None else effect, seed)

    def trials(self, pairs: int, size: float, draws: np.random.Generator) -> tuple[np.ndarray, np.ndarray]:
        """Do trials in which the effect has a size: p and mean difference of each, (TRIALS,)."""
        if self.measure.yes_no:
            return self._yes_no(pairs, size, draws)
        found = size + self.pair_scatter * draws.standard_normal((pairs, TRIALS)).T
        return permutation_p(found, DRAWN), found.mean(axis=1)

    def _yes_no(self, pairs: int, size: float, draws: np.random.Generator) -> tuple[np.ndarray, np.ndarray]:
        """Likewise; the two runs of a pair are taken for independent, which asks for more pairs than less."""
        without, with_it = draws.random((2, pairs, TRIALS))
        before, after = without < self.scatter / 100.0, with_it < (self.scatter + size) / 100.0
        up, down = (after & ~before).sum(axis=0), (before & ~after).sum(axis=0)
        return sign_p_of_many(up, down), up - down


@lru_cache(maxsize=256)
def _made_up(expected: Expected, pairs: int, size: float, seed: int) -> Chance:
    """Count the trials that show the effect; the same are asked for again while a length is looked for."""
    p, way = expected.trials(pairs, size, np.random.default_rng(seed))
    share = float(np.mean((p <= LEVEL) & (way * expected.predicted.effect > 0.0)))
    return Chance(pairs, share, math.sqrt(max(share * (1.0 - share), 1.0 / TRIALS) / TRIALS))


@dataclasses.dataclass(frozen=True)
class Size:
    """How many pairs a trial takes.

    Attributes
    ----------
    expected : of its runs
    power : share of trials that shall show the effect
    chance : of the pairs that were chosen; None: more than `most` runs are needed
    most : runs
    """

    expected: Expected
    power: float
    chance: Chance | None
    most: int = MOST_RUNS

    @cached_property
    def words(self) -> str:
        """What it takes, or that it takes too much, and what would make it cheaper."""
        expected, unit = self.expected, self.expected.measure.effect_unit
        effect = said(expected.predicted.effect, unit)
        if self.chance is not None:
            share, error = 100.0 * self.chance.shown, 100.0 * self.chance.error
            return (
                f"{self.chance.pairs} pairs, {2 * self.chance.pairs} runs: of trials like it {share:.0f} ± "
                f"{error:.0f} of 100 show an effect of {effect} ({TRIALS} were made up with random numbers "
                f"and tested as the score will test; ± is chance in that)."
            )
        about = 2 * math.ceil(self.needed)
        return (
            f"Your effect is too small: {effect} would take N > {self.most} runs, about {about}. "
            f"What would make it cheaper: {'; '.join(self._cheaper())}."
        )

    @cached_property
    def needed(self) -> float:
        """About how many pairs it takes where the longest bearable trial is too short.

        As differences of known scatter would go, set right by what such trials show, chance in that allowed.
        """
        longest = self.expected.chance(self.most // 2)
        share = longest.shown - 2.0 * longest.error
        if share <= LEVEL:
            return self.expected.roughly(self.power)
        return self.expected.roughly(self.power) * longest.pairs / self.expected.roughly(share)

    def _cheaper(self) -> list[str]:
        expected, unit = self.expected, self.expected.measure.effect_unit
        if self.needed >= HOPELESS**2:
            return ["another change, or another measure"]
        times = math.sqrt(self.most / 2.0 / self.needed)
        larger = f"a larger change: {said(abs(expected.predicted.effect) / times, unit)} would do"
        place = "a course where it shows more, nearer the limit of the rig"
        if expected.measure.yes_no:
            return [
                "a number instead of yes or no (how far it came, where it stopped): it tells more a run",
                *(larger, place, "a course that half of the runs climb"),
            ]
        steady = said(times * expected.scatter, unit)
        calm = f"steadier runs (one line, marked start, same throttle): a scatter of {steady} would do"
        less = round(self.power - 0.1, 2)
        power = f"--power {less:g} or " if less >= LEAST_POWER else ""
        return [calm, larger, place, f"{power}--most, if you have the days"]


def sized(expected: Expected, power: float, step: int, most: int = MOST_RUNS) -> Size:
    """Find the fewest pairs that show the effect often enough.

    That is where the share of made-up trials that show it lies above the power by its own standard error:
    chance in it makes the trial rather too long than too short.

    Parameters
    ----------
    expected : of the runs
    power : share of trials that shall show it
    step : pairs come in multiples of it, so that orders and drivers are balanced
    most : runs
    """

    def chance(k: int) -> Chance:
        return expected.chance(k * step)

    def enough(k: int) -> bool:
        found = chance(k)
        return found.shown - found.error >= power

    low, top = math.ceil(LEAST_PAIRS / step) - 1, most // 2 // step
    rough = expected.roughly(power) / step
    if rough > 2.0 * top:  # hopeless; not worth a minute
        return Size(expected, power, None, most)
    high = min(max(math.ceil(1.25 * rough) + 1, low + 1), top)
    while not enough(high):
        if high >= top:
            return Size(expected, power, None, most)
        low, high = high, min(2 * high, top)
    start = math.floor(0.8 * rough)
    if low < start < high and not enough(start):
        low = start
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (low, middle) if enough(middle) else (middle, high)
    return Size(expected, power, chance(high), most)
