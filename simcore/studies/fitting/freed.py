"""Values that a fit may move: numbers of the scenario, and what the instrument adds of its own."""

import dataclasses
import enum
import math
from collections.abc import Iterable, Mapping, Sequence
from functools import cached_property

import numpy as np

from simcore.errors import InputError, InputIssue, RejectedValue
from simcore.files.axes import settings_of
from simcore.files.scenario import Scenario
from simcore.logs import CHANNELS, Log, channel_named
from simcore.results.quantities import Label
from simcore.studies.plan import axis_label
from simcore.studies.sought import own_value, paths_of, quantity_at
from simcore.units import GRAMS, Q, show, with_unit

CLOCK, OFFSET = "time_offset", "offset:"
CLOCK_RANGE = 0.2  # s either way, unless stated
WANTED = "PATH, PATH=LOW:HIGH, time_offset or offset:CHANNEL, as --free rear.shock.damper.rebound=1:10"
NEAR_ZERO = 0.1  # of half a stated range, that a value counts for at least
AJAR = 1e-6  # of the size, that a value keeps from a bound that it may not reach


class Sort(enum.Enum):
    """What a freed value belongs to."""

    SCENARIO = "a number of the scenario"
    CLOCK = "the log's clock"
    OFFSET = "a constant error of a channel"


@dataclasses.dataclass(frozen=True)
class Freed:
    """One freed value, in its bench unit.

    Attributes
    ----------
    name : as typed: a path, or several joined by "+"; ``time_offset``; ``offset:`` and a channel
    sort : what it belongs to
    unit : bench unit
    start : where the search begins
    low, high : what it may be; infinite where there is no bound
    size : change that counts as a whole one: the own value, but no more than half of a stated range
    stated : whether the range was stated
    """

    name: str
    sort: Sort
    unit: str
    start: float
    low: float
    high: float
    size: float
    stated: bool

    @property
    def channel(self) -> str:
        """Channel of an offset."""
        return self.name.removeprefix(OFFSET)

    @cached_property
    def label(self) -> Label:
        """What to call it, and the unit in which it is said."""
        if self.sort is Sort.SCENARIO:
            return axis_label(self.name)
        if self.sort is Sort.CLOCK:
            return Label("start of the run by the log's clock", "s")
        return Label(f"constant error of the {CHANNELS[self.channel].label}", self.unit)

    @property
    def said_factor(self) -> float:
        """What turns its values into the unit in which they are said."""
        return GRAMS if self.label.unit not in ("", self.unit) else 1.0

    @property
    def box(self) -> tuple[float, float]:
        """Where a first look for it is taken: the stated range, else from half to twice the start."""
        if self.stated:
            return self.low, self.high
        ends = sorted((0.5 * self.start, 2.0 * self.start))
        return max(self.low, ends[0]), min(self.high, ends[1])

    def settings(self, value: float) -> Mapping[str, float]:
        """Settings that put a value into the scenario."""
        return settings_of(self.name, float(f"{value:.12g}"))


def freed_values(scenario: Scenario, log: Log, free: Iterable[str]) -> list[Freed]:
    """Read which values are freed.

    Parameters
    ----------
    scenario : single case
    log : whose channels may have offsets
    free : as typed, see `WANTED`

    Raises
    ------
    InputError
        with all that is wrong with them.
    """
    found: list[Freed] = []
    issues = []
    for text in free:
        name, equals, ends = (part.strip() for part in text.partition("="))
        try:
            if not name or (equals and not ends):
                raise RejectedValue(show(text), WANTED)
            one = _freed(scenario, log, name, _range(ends) if ends else None)
            if any(set(_parts(one.name)) & set(_parts(other.name)) for other in found):
                raise RejectedValue("freed twice", "freed once")
            found.append(one)
        except RejectedValue as refusal:
            issues.append(InputIssue("--free", name, refusal.got, refusal.must_be, refusal.hint))
    if issues:
        raise InputError(issues)
    return found


def _parts(name: str) -> list[str]:
    return paths_of(name)


def _range(text: str) -> tuple[float, float]:
    try:
        low, high = (float(part) for part in text.split(":"))
    except ValueError:
        raise RejectedValue(show(text), "a range LOW:HIGH") from None
    if not (math.isfinite(low) and math.isfinite(high) and low < high):
        raise RejectedValue(show(text), "a range LOW:HIGH, low below high")
    return low, high


def _freed(scenario: Scenario, log: Log, name: str, stated: tuple[float, float] | None) -> Freed:
    """One value; raises RejectedValue when it is none."""
    if name == CLOCK:
        low, high = stated or (-CLOCK_RANGE, CLOCK_RANGE)
        start = min(max(0.0, low), high)
        return Freed(CLOCK, Sort.CLOCK, "s", start, low, high, 0.5 * (high - low), stated is not None)
    if name.startswith(OFFSET):
        return _offset(log, name, stated)
    quantities = [quantity_at(path, scenario) for path in paths_of(name)]
    units = {quantity.unit for quantity in quantities}
    if len(units) > 1:
        raise RejectedValue(f"units {', '.join(sorted(units))}", "numbers of the same unit")
    own = own_value(scenario, name)
    for end in stated or ():
        for quantity in quantities:
            quantity.read(end)
    if own is None or (own == 0.0 and stated is None):
        has = "no value" if own is None else "the value 0"
        raise RejectedValue(f"{has} in the file, and no range", f"with one, as {name}=LOW:HIGH")
    return _number(name, own, quantities, stated)


def _number(name: str, start: float, quantities: Sequence[Q], stated: tuple[float, float] | None) -> Freed:
    """A number of the scenario within what files and the user allow."""
    size = abs(start)
    if stated is not None:
        half = 0.5 * (stated[1] - stated[0])
        size = min(half, max(size, NEAR_ZERO * half))
    lows = [-math.inf if q.gt is None else q.gt + AJAR * size for q in quantities]
    lows += [-math.inf if q.ge is None else q.ge for q in quantities]
    highs = [math.inf if q.le is None else q.le for q in quantities]
    low, high = stated or (max(lows), min(highs))
    start = min(max(start, low), high)
    return Freed(name, Sort.SCENARIO, quantities[0].unit, start, low, high, size, stated is not None)


def _offset(log: Log, name: str, stated: tuple[float, float] | None) -> Freed:
    """A constant that a channel of the log has too much."""
    channel = channel_named(name.removeprefix(OFFSET))
    if channel is None or channel.name not in log.channels:
        raise RejectedValue("no channel of the log", f"offset: and one of {', '.join(log.channels)}")
    values = log.table[channel.name].to_numpy(float)
    size = max(float(np.nanstd(values)), channel.finest)
    low, high = stated or (-math.inf, math.inf)
    start = min(max(0.0, low), high)
    return Freed(OFFSET + channel.name, Sort.OFFSET, channel.unit, start, low, high, size, stated is not None)


def said_unit(freed: Freed, value: float) -> str:
    """A value with the unit in which it is said, to four digits."""
    return with_unit(
        f"{value * freed.said_factor:.4g}".replace("-", "\N{MINUS SIGN}"), freed.label.unit or "1"
    )
