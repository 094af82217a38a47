"""How values are worked out: readings and guesses as numbers with errors, the surest way, what disagrees."""

import enum
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from simcore.errors import InputError, InputIssue
from simcore.files.measured import Reading
from simcore.files.worksheet import Worksheet
from simcore.readings.guesses import AXLE, WHOLE, Guess
from simcore.readings.uncertain import Number, error_of, made_of, value_of, variable
from simcore.units import factor, with_unit

Spot = tuple[Number, Number]
"""A place [x, z], m."""
MATTERS = 0.05
"""Share of the error squared from which guesses count as part of where a value comes from."""
DISAGREES = 1.5
"""Differences over their error from which two ways to one value are said to disagree: 3 in 1000 by chance."""


class Origin(enum.Enum):
    """Where a value comes from; the value is for display."""

    READ = "read"
    WORKED_OUT = "worked out"
    GUESSED_IN_PART = "worked out, in part from guesses"
    GUESS = "guess"


@dataclass(frozen=True)
class Entry:
    """One value of the rig.

    Attributes
    ----------
    key : dotted key of the rig file
    unit : its bench unit
    number : SI, with error
    formula : how it came about, in words of the worksheet
    origin : where it comes from
    """

    key: str
    unit: str
    number: Number
    formula: str
    origin: Origin

    @property
    def value(self) -> float:
        """Value in the bench unit."""
        return value_of(self.number) / factor(self.unit)

    @property
    def error(self) -> float:
        """Error in the bench unit; 0 for what is exact."""
        return error_of(self.number) / factor(self.unit)


@dataclass(frozen=True)
class Way:
    """One way to a value: how, and what it gives, SI."""

    formula: str
    number: Number


@dataclass(frozen=True)
class Disagreement:
    """Two ways to one quantity that do not agree within their errors.

    Attributes
    ----------
    what : the quantity, as a key of worksheet or rig
    text : both ways with what they give, as a clause
    """

    what: str
    text: str


@dataclass
class Workings:
    """Readings of a worksheet as numbers with errors, and the values that were worked out so far.

    Attributes
    ----------
    worksheet : what was read
    moved : tag of a reading or guess to a value, SI, that it is to have instead of its own
    entries : values by key of the rig file, in their order
    guesses : every guess that was used, by its tag
    disagreements : what was found to contradict itself
    unused : tables that could not be used, with the lines that are missing
    photographed : places from the photograph, by the key of their line
    """

    worksheet: Worksheet
    moved: Mapping[str, float] = field(default_factory=dict)
    entries: dict[str, Entry] = field(default_factory=dict)
    guesses: dict[str, Guess] = field(default_factory=dict)
    disagreements: list[Disagreement] = field(default_factory=list)
    unused: dict[str, tuple[str, ...]] = field(default_factory=dict)
    photographed: dict[str, Spot] = field(default_factory=dict)
    _numbers: dict[str, Number] = field(default_factory=dict)
    _places: dict[str, tuple[Way, Way] | None] = field(default_factory=dict)

    # --- what is known ---

    def read(self, key: str) -> Number | None:
        """Number of a line by its dotted key, lists by number; None if it was left empty."""
        if key in self._numbers:
            return self._numbers[key]
        found: object = self.worksheet
        for step in key.split("."):
            if found is None:
                return None
            found = found[int(step)] if isinstance(found, tuple) else getattr(found, step)
        return self.number(key, found) if isinstance(found, Reading) else None

    def number(self, tag: str, reading: Reading) -> Number:
        """A reading as a number; always the same one for a tag."""
        return self._variable(tag, reading.value, reading.error)

    def all_read(self, place: str, *keys: str) -> list[Number] | None:
        """Numbers of several lines of a table; None unless all of them are filled in."""
        found = [self.read(f"{place}.{key}") for key in keys]
        missing = [key for key, one in zip(keys, found, strict=True) if one is None]
        if missing and len(missing) < len(keys):
            self.unused[place] = tuple(missing)
        return None if missing else found

    def rows(self, key: str) -> list[tuple[Number, Number]]:
        """Rows of a list of pairs."""
        found: object = self.worksheet
        for step in key.split("."):
            found = getattr(found, step)
        count = len(found) if isinstance(found, tuple) else 0
        return [(self.read(f"{key}.{i}.0"), self.read(f"{key}.{i}.1")) for i in range(count)]

    def place(self, key: str) -> tuple[Way, Way] | None:
        """Both numbers of a place, by ruler or from the photograph; None if by neither."""
        if key not in self._places:
            self._places[key] = self._place(key)
        return self._places[key]

    def _place(self, key: str) -> tuple[Way, Way] | None:
        both: list[Way] = []
        for axis in (0, 1):
            seen = self.photographed[key][axis] if key in self.photographed else None
            ways = [way("read", self.read(f"{key}.{axis}")), way("from the photograph", seen)]
            both += [one for one in [self.best(f"{key}.{axis}", "mm", ways)] if one is not None]
        return (both[0], both[1]) if len(both) == 2 else None

    def not_above(self, key: str, unit: str, one: Way, most: Way) -> Number:
        """Number of a way that cannot be above another; lowered to it, and said if that is no chance."""
        over = value_of(one.number - most.number)
        if over <= 0.0:
            return one.number
        if over > DISAGREES * error_of(one.number - most.number):
            self.disagree(key, unit, one, most)
        return one.number - over

    def guess(self, key: str) -> Number:
        """Guess for a key, of an axle's kind where it begins with its name."""
        if key in self._numbers:
            return self._numbers[key]
        guess = WHOLE[key] if key in WHOLE else AXLE[key.partition(".")[2]]
        self.guesses[key] = guess
        return self._variable(key, guess.middle, guess.half)

    def assumed(self, tag: str, error: float) -> Number:
        """A factor of one that a formula takes for granted, and by how much it may be off.

        Parameters
        ----------
        tag : what is taken for granted, with a blank in it
        error : share
        """
        return self._variable(tag, 1.0, error)

    def _variable(self, tag: str, value: float, error: float) -> Number:
        """A number with an error of its own, SI, moved where it is to be; always the same one for a tag."""
        if tag not in self._numbers:
            value = self.moved.get(tag, value)
            self._numbers[tag] = variable(value, error, tag) if error > 0.0 else value
        return self._numbers[tag]

    # --- what follows ---

    def put(self, key: str, unit: str, formula: str, number: Number) -> Number:
        """Note a value of the rig; give it."""
        parts = made_of(number)
        guessed = sum(part**2 for tag, part in parts.items() if tag in self.guesses)
        if formula == "guess":
            origin = Origin.GUESS
        elif guessed > MATTERS * sum(part**2 for part in parts.values()):
            origin = Origin.GUESSED_IN_PART
        else:
            origin = Origin.READ if formula == "read" else Origin.WORKED_OUT
        self.entries[key] = Entry(key, unit, number, formula, origin)
        return number

    def best(self, key: str, unit: str, ways: Sequence[Way | None]) -> Way | None:
        """The surest of several ways, those that disagree noted; None where there is none."""
        found = [way for way in ways if way is not None]
        if not found:
            return None
        surest = min(found, key=lambda way: error_of(way.number))
        for way in found:
            apart = value_of(way.number) - value_of(surest.number)
            error = error_of(way.number - surest.number)
            if way is not surest and abs(apart) > DISAGREES * error:
                self.disagree(key, unit, surest, way)
        return surest

    def disagree(self, key: str, unit: str, one: Way, other: Way) -> None:
        """Note that two ways to a quantity contradict each other."""
        text = f"{said(one.number, unit)} ({one.formula}), but {said(other.number, unit)} ({other.formula})"
        self.note(key, text)

    def refuse(self, key: str, got: str, must_be: str) -> InputError:
        """Give the refusal of a line that cannot be used."""
        return InputError([InputIssue(str(self.worksheet.path), key, got, must_be)])

    def note(self, key: str, text: str) -> None:
        """Note that readings contradict themselves or one another."""
        self.disagreements.append(Disagreement(key, text))

    def put_best(self, key: str, unit: str, ways: Sequence[Way | None], guess: str = "") -> Number:
        """Note the surest way to a value, or the guess for it where there is none."""
        way = self.best(key, unit, ways)
        if way is None:
            return self.put(key, unit, "guess", self.guess(guess or key))
        return self.put(key, unit, way.formula, way.number)


def said(number: Number, unit: str, behind: bool = True) -> str:
    """A number with its error, in a bench unit, to the digits that the error leaves.

    Parameters
    ----------
    number : SI
    unit : bench unit
    behind : whether the unit is put behind it
    """
    value, error = value_of(number) / factor(unit), error_of(number) / factor(unit)
    unit = unit if behind else "1"
    if not error > 0.0:
        return with_unit(f"{value:.4g}", unit)
    digits = decimals(error)
    return with_unit(f"{value:.{digits}f} ± {error:.{digits}f}", unit)


def decimals(error: float) -> int:
    """Decimals that show two digits of an error."""
    return max(0, 1 - int(f"{error:.1e}".partition("e")[2]))


def way(formula: str, number: Number | None) -> Way | None:
    """A way, if it can be gone."""
    return None if number is None else Way(formula, number)


def distance(one: Spot, other: Spot) -> Number:
    """Distance of two places; without an error where they are one."""
    (x0, z0), (x1, z1) = one, other
    squared = (x1 - x0) ** 2 + (z1 - z0) ** 2
    return squared**0.5 if value_of(squared) > 0.0 else 0.0
