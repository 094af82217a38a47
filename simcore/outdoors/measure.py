"""What is measured outdoors, and what the change is expected to do to it."""

import dataclasses
import math
import re

import numpy as np
from numpy.typing import ArrayLike

from simcore.errors import InputError, InputIssue, RejectedValue
from simcore.results.formatting import three_digits
from simcore.results.scatter import interval_of
from simcore.units import Q, show, with_unit

YES_NO, COUNT = "yes/no", "count"
WIDE = 1.959964  # standard deviations to both ends of a 95 % interval
_ERROR = re.compile(r"(?P<value>.*?)\s*(?:\+-|\+/-|±)\s*(?P<error>[^\s+-].*)")
NUMBER = re.compile(r"[+-]?(?:[0-9]+\.?[0-9]*|\.[0-9]+)(?:[eE][+-]?[0-9]+)?")
"""A number without a unit."""
TURNS = "turn"
"""An angle in this unit is of what goes round, and goes on beyond half of it."""
_LIMITS = {"deg": (-180.0, 180.0), "s": (0.0, None), "g": (0.0, None), "Hz": (0.0, None)}
"""Ends of what can be, of every unit of the same kind: a slope or a pitch, a time, a mass, how often."""


@dataclasses.dataclass(frozen=True)
class Measure:
    """What is measured of every run.

    Attributes
    ----------
    name : in words, as it stands on the sheets
    unit : bench unit of it; "yes/no" where it only happens or not, "1" for a count
    """

    name: str
    unit: str

    @property
    def yes_no(self) -> bool:
        """Whether it only happens or not."""
        return self.unit == YES_NO

    @property
    def outcomes(self) -> Q:
        """What can come of a run, by the kind of its unit; yes is 1 and no is 0."""
        if self.yes_no:
            return Q("1", ge=0.0, le=1.0)
        if self.unit == "1":
            return Q("1", ge=0.0)
        for known, ends in _LIMITS.items():
            try:
                one = Q(known).bench(f"1 {self.unit}")
            except RejectedValue:
                continue
            low, high = (None if end is None or self.unit == TURNS else end / one for end in ends)
            return Q(self.unit, ge=low, le=high)
        return Q(self.unit)

    @property
    def effect_unit(self) -> str:
        """Unit of a difference: of what happens or not, how many more of a hundred runs."""
        return "%" if self.yes_no else self.unit

    @property
    def asked(self) -> str:
        """What is to be written down of a run."""
        return f"{self.name}: yes or no" if self.yes_no else f"{self.name}, {self.said_unit}"

    @property
    def said_unit(self) -> str:
        """The unit as a sheet says it."""
        return "a count" if self.unit == "1" else self.unit


@dataclasses.dataclass(frozen=True)
class Prediction:
    """What the change is expected to do, with it less without it.

    Attributes
    ----------
    effect : in the measure's `effect_unit`; its sign is the way that is predicted
    error : its standard error; 0 where none was stated
    drawn : ends of its 95 % interval where they were drawn, and need not lie evenly about the effect
    """

    effect: float
    error: float = 0.0
    drawn: tuple[float, float] | None = None

    @property
    def ends(self) -> tuple[float, float]:
        """Ends of its 95 % interval."""
        return self.drawn or (self.effect - WIDE * self.error, self.effect + WIDE * self.error)

    @property
    def lost(self) -> bool:
        """Whether that interval holds no effect at all; without an error it has no width."""
        low, high = self.ends
        return low <= 0.0 <= high


def measure_of(text: str) -> Measure:
    """Read what was typed, NAME=UNIT.

    Raises
    ------
    InputError
        When it is not of that form.
    """
    name, _, unit = (part.strip() for part in text.rpartition("="))
    must_be = "NAME=UNIT, as steepest slope=deg, time to the top=s, marks passed=count or climbed=yes/no"
    if not name or not unit or len(name) > 60 or not name.isprintable():
        raise InputError([InputIssue("--measure", "", show(text), must_be)])
    if unit in (YES_NO, COUNT, "1"):
        return Measure(name, YES_NO if unit == YES_NO else "1")
    try:
        Q(unit).read(1.0)
    except RejectedValue as refusal:
        raise InputError([InputIssue("--measure", "unit", show(unit), must_be)]) from refusal
    return Measure(name, unit)


def prediction_of(text: str, measure: Measure) -> Prediction:
    """Read an expected effect that was typed, "1.7 deg" or "1.7 +- 0.2 deg"; its error is what 19 of 20 keep
    within, as on a worksheet.

    Raises
    ------
    InputError
        When it is no number in the measure's unit, or nothing.
    """
    parts = _ERROR.fullmatch(text.strip())
    value, error = (parts["value"], parts["error"]) if parts else (text.strip(), "")
    if NUMBER.fullmatch(value) and (number := NUMBER.match(error)):  # the unit stands once, behind both
        value += f" {error[number.end() :].strip()}"
    effect = amount(value.strip(), measure.effect_unit, "--effect")
    spread = abs(amount(error, measure.effect_unit, "--effect")) if parts else 0.0
    low, high = measure.outcomes.ge, measure.outcomes.le
    widest = math.inf if low is None or high is None else (100.0 if measure.yes_no else 1.0) * (high - low)
    if effect == 0.0 or abs(effect) >= widest:
        between = with_unit(f"between {-widest:.12g} and {widest:.12g}", measure.effect_unit)
        must_be = "not 0, with the sign it has" if widest == math.inf else f"{between} and not 0"
        raise InputError([InputIssue("--effect", "", show(text), must_be)])
    return Prediction(effect, spread / WIDE)


def prediction_from(differences: ArrayLike) -> Prediction | None:
    """What a bench study predicts from paired differences, one a draw of its errors.

    It is their median and their interval: a few draws far off, which would pull a mean, move neither.

    Parameters
    ----------
    differences : (draws,) with the change less without it, in the measure's `effect_unit`; NaN: not known

    Returns
    -------
    None of too few draws to have an interval.
    """
    found = interval_of(np.asarray(differences, dtype=float))
    return found and Prediction(found.middle, found.half / WIDE, (found.low, found.high))


def amount(text: str, unit: str, option: str) -> float:
    """A number that was typed, in a bench unit.

    Raises
    ------
    InputError
        When it is none.
    """
    bare = text.removesuffix("%").strip() if unit == "%" else text
    try:
        value: object = float(bare) if NUMBER.fullmatch(bare) else bare
        return Q(unit).bench(value)
    except RejectedValue as refusal:
        raise InputError([InputIssue(option, "", refusal.got, refusal.must_be, refusal.hint)]) from None


def said(value: float, unit: str) -> str:
    """A number with its unit, in three digits; a smaller one as small as it is."""
    nought = value and abs(value) < 0.0005
    return with_unit(f"{value:.2g}" if nought else three_digits(value), unit)
