"""What came of changes that were tried under several conditions, and the verdict on each."""

import enum
import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from scipy.stats import binomtest, t

from simcore.accounts.job import JobState
from simcore.results.scatter import ends_of

SURE = 0.95
"""Share of rigs, off as a bench is off, of which an interval and a verdict hold in all conditions at once."""
FEWEST = 4  # differences that an interval is taken of


class Verdict(enum.Enum):
    """What is to be thought of a change; the name stands in files, the value in sentences."""

    CLEAR_GAIN = "clear gain"
    DEPENDS = "depends"
    LOST = "lost in bench error"
    TOO_SMALL = "too small to see"
    NOT_KNOWN = "not known"
    CLEAR_LOSS = "clear loss"


UNSEEN = (Verdict.TOO_SMALL, Verdict.NOT_KNOWN)


class Mark(enum.Enum):
    """What a change does under one condition."""

    GAIN = "better"
    LOSS = "worse"
    SMALL = "too small to see"
    LOST = "lost in bench error"
    UNTOLD = "the job is not done either way"
    UNKNOWN = "not known"


@dataclass(frozen=True)
class Effect:
    """What a change does under one condition.

    Attributes
    ----------
    condition : its name
    before, after : whether the job is done without and with the change, on the rig as given
    change : of the metric by it, on the rig as given; None where only one side, or neither, has a figure
    low, high : interval of the change over the draws; None where nothing was drawn, or too few had a figure
    helped, hurt : draws in which the job is done only with the change, or only without
    pairs : draws in which both sides have a figure
    drawn : draws in all
    why : why it is not known, or the job not done with it; "" where there is nothing to say
    """

    condition: str
    before: JobState
    after: JobState
    change: float | None
    low: float | None = None
    high: float | None = None
    helped: int = 0
    hurt: int = 0
    pairs: int = 0
    drawn: int = 0
    why: str = ""


@dataclass(frozen=True)
class Cost:
    """A metric that a change makes visibly worse, and by how much."""

    metric: str
    change: float


@dataclass(frozen=True)
class Change:
    """A change, what it does by condition, the base first, and what it costs there."""

    name: str
    verdict: Verdict
    effects: tuple[Effect, ...]
    costs: tuple[Cost, ...] = ()


@dataclass(frozen=True)
class Pair:
    """Two changes together, as the rig stands.

    Attributes
    ----------
    names : of both
    after : whether the job is done with both
    change : by both; None where there is no figure
    extra : of that beyond the sum of both alone; None likewise
    low, high : interval of `extra`
    """

    names: tuple[str, str]
    after: JobState
    change: float | None
    extra: float | None
    low: float | None = None
    high: float | None = None


@dataclass(frozen=True)
class Would:
    """What would do the job where no change does: a factor on a number, 1 where none was found."""

    what: str
    factor: float


def level(conditions: int) -> float:
    """Level of one interval, so that all of a change hold together at `SURE` (Bonferroni's inequality)."""
    return 1.0 - (1.0 - SURE) / max(conditions, 1)


def interval(values: Sequence[float], sure: float) -> tuple[float, float] | None:
    """Give the interval in which the difference of one more rig lies; None of fewer than `FEWEST`.

    It is that of a further value, not of the mean: the user's rig is one of those drawn, and more draws make
    his bench no better. Of many draws it is that of `ends_of`, which holds whatever their distribution. Of
    fewer it is exact for normal values; source: NIST/SEMATECH e-Handbook of Statistical Methods, section
    7.1.6 (tolerance and prediction), mean +- t s sqrt(1 + 1/n).

    Parameters
    ----------
    values : paired differences, one a draw
    sure : share of rigs that it holds of
    """
    count = len(values)
    if count < FEWEST:
        return None
    ends = ends_of(np.asarray(values), sure)
    if ends is not None:
        return ends
    middle, spread = float(np.mean(values)), float(np.std(values, ddof=1))
    half = float(t.ppf(0.5 + 0.5 * sure, count - 1)) * spread * math.sqrt(1.0 + 1.0 / count)
    return middle - half, middle + half


def turn(effect: Effect, sure: float) -> int:
    """Say whether a change makes the rig do the job (1) or fail it (-1) under a condition; else 0.

    Where there are draws, the sign test of those that turn must tell it: without an effect as many turn
    one way as the other. Source: W. J. Conover, Practical Nonparametric Statistics, 3rd ed., section 3.4.
    """
    states = {effect.before, effect.after}
    if JobState.UNKNOWN in states:
        return 0
    own = _done(effect.after) - _done(effect.before)
    if not effect.drawn:
        return own
    turned = effect.helped + effect.hurt
    if not turned or binomtest(effect.helped, turned).pvalue > 1.0 - sure:
        return 0
    way = 1 if effect.helped > effect.hurt else -1
    return way if own in (0, way) else 0


def mark(effect: Effect, better: int, seen: float, sure: float) -> Mark:
    """Say what a change does under one condition; whether the job is done comes before any number.

    Parameters
    ----------
    effect : there
    better : 1 where more is better, -1 where less is
    seen : smallest visible change
    sure : level of its interval
    """
    if JobState.UNKNOWN in (effect.before, effect.after):
        return Mark.UNKNOWN
    way = turn(effect, sure)
    if way:
        return Mark.GAIN if way > 0 else Mark.LOSS
    if effect.change is None:
        return Mark.LOST if effect.before is not effect.after or effect.helped + effect.hurt else Mark.UNTOLD
    gain, small = better * effect.change, abs(effect.change) < seen
    if effect.low is None or effect.high is None:
        if effect.drawn:
            return Mark.UNKNOWN
        return Mark.SMALL if small else Mark.GAIN if gain > 0.0 else Mark.LOSS
    if small:
        either = effect.low <= -seen and effect.high >= seen
        return Mark.LOST if either else Mark.SMALL
    if effect.low <= 0.0 <= effect.high or (effect.low > 0.0) is not (effect.change > 0.0):
        return Mark.LOST
    return Mark.GAIN if gain > 0.0 else Mark.LOSS


def verdict_of(effects: Sequence[Effect], better: int, seen: float) -> Verdict:
    """Give the verdict on a change from what it does under every condition.

    Where it turns the job under any of them, these alone count. A gain under one condition and a loss under
    another is neither. What is not known somewhere does not undo what is known elsewhere, but for the rig as
    it stands (the first condition).
    """
    sure = level(len(effects))
    ways = {turn(effect, sure) for effect in effects} - {0}
    if ways:
        return Verdict.DEPENDS if len(ways) > 1 else Verdict.CLEAR_GAIN if 1 in ways else Verdict.CLEAR_LOSS
    marks = [mark(effect, better, seen, sure) for effect in effects]
    if not marks or marks[0] is Mark.UNKNOWN:
        return Verdict.NOT_KNOWN
    if Mark.GAIN in marks and Mark.LOSS in marks:
        return Verdict.DEPENDS
    for one, verdict in (
        (Mark.GAIN, Verdict.CLEAR_GAIN),
        (Mark.LOSS, Verdict.CLEAR_LOSS),
        (Mark.LOST, Verdict.LOST),
        (Mark.SMALL, Verdict.TOO_SMALL),
    ):
        if one in marks:
            return verdict
    return Verdict.NOT_KNOWN


def in_order(changes: Sequence[Change], better: int) -> list[Change]:
    """Give changes best first: by verdict, then jobs turned, then the effect on the rig as it stands."""
    order = list(Verdict)

    def place(change: Change) -> tuple[int, int, float]:
        sure = level(len(change.effects))
        jobs = sum(turn(effect, sure) for effect in change.effects)
        known = [effect.change for effect in change.effects if effect.change is not None]
        return order.index(change.verdict), -jobs, -better * (known[0] if known else 0.0)

    return sorted(changes, key=place)


def told_of(changes: Sequence[Change], most: int) -> list[Change]:
    """Give the changes to tell where there are many: the best, and the worst, of which something is seen.

    Parameters
    ----------
    changes : best first
    most : how many
    """
    if len(changes) <= most:
        return list(changes)
    seen = [one for one in changes if one.verdict not in UNSEEN]
    if len(seen) <= most:
        return seen or list(changes[:most])
    worst = most // 4
    return [*seen[: most - worst], *seen[len(seen) - worst :]]


def _done(state: JobState) -> int:
    return int(state in (JobState.DONE, JobState.NO_JOB))
