"""Bench units at the border, SI inside: the unit that every key and every result column carries."""

import json
import math
import re
from dataclasses import dataclass
from functools import cache, lru_cache
from typing import TYPE_CHECKING, Any

from simcore.common_units import ANGLE, COMMON, Kind, kind_of
from simcore.errors import RejectedValue
from simcore.slips import slip

if TYPE_CHECKING:
    import pint
    from pydantic_core import CoreSchema

GRAVITY = 9.80665
"""Standard gravity, m/s^2: ISO 80000-3."""

GRAMS = 1000.0 / GRAVITY
"""What a scale shows per newton of load, g."""

COLUMN_UNITS = {
    "_s": "s",
    "_mm": "mm",
    "_m": "m",
    "_mm_per_s": "mm/s",
    "_m_per_s": "m/s",
    "_deg": "deg",
    "_deg_per_s": "deg/s",
    "_m_per_s2": "m/s^2",
    "_N": "N",
    "_N_per_mm": "N/mm",
    "_Nmm": "N*mm",
    "_Nm": "N*m",
    "_pct": "%",
    "_rpm": "rpm",
    "_A": "A",
    "_V": "V",
    "_W": "W",
    "_J": "J",
    "_g": "g",
    "_kgmm2": "kg*mm^2",
    "_Hz": "Hz",
    "_ratio": "1",
    "_count": "1",
}
"""The end of a result column's name and the bench unit it stands for; ``_ratio`` and ``_count`` have none."""

SLIPS = {
    "N": ("g",),
    "g": ("kg",),
    "kg*mm^2": ("kg*m^2", "kg*cm^2", "g*mm^2"),
    "g*cm^2": ("kg*m^2", "kg*mm^2", "g*mm^2"),
}
"""Units in which a value is often given where another is meant."""

_SHOWN_CHARACTERS = 60
_WHOLE = 1e15  # whole numbers up to here are written without a point
_UNIT_CHARACTERS = 40
_NAMES = 1000  # of columns whose units are remembered
_NUMBER = re.compile(r"\s*([+-]?(?:[0-9]+\.?[0-9]*|\.[0-9]+)(?:[eE][+-]?[0-9]+)?)(.*)", re.DOTALL)
# Only products of named units with small powers: nothing that pint could take for arithmetic.
_FACTOR = r"[A-Za-zµμΩ°%]+(?:(?:\^|\*\*)-?[1-4])?"
_UNIT = re.compile(rf"(?:1(?=\s*/)|{_FACTOR})(?:\s*(?:[*/·]|(?<=[a-zA-Z])-)\s*{_FACTOR})*")
# The same for editors, in what all dialects of regular expressions know; it refuses a little less.
_TEXT = r"^\s*[+-]?([0-9]+\.?[0-9]*|\.[0-9]+)([eE][+-]?[0-9]+)?\s*"
_TEXT_UNIT = r"(1\s*/\s*)?[A-Za-zµμΩ°%][A-Za-zµμΩ°%1-4^*/·\s-]*"
_HYPHEN = re.compile(r"(?<=[a-zA-Z])-(?=\s*[a-zA-Z])")  # "kg-cm" is how the trade writes a product
_FORCE = re.compile(r"\bN\b")
# pint counts angles as dimensionless; here 5 % is no angle and 25 deg is no ratio.
_ANGLES = frozenset(
    {"radian", "milliradian", "degree", "arcminute", "arcsecond", "turn", "revolutions_per_minute"}
)


@dataclass(frozen=True)
class Q:
    """What a number in a file stands for; pydantic reads it from ``Annotated[float, Q("mm", gt=0)]``.

    Parameters
    ----------
    unit : str
        Bench unit of a bare number.
    gt, ge, le : float, optional
        Range, in the bench unit.
    """

    unit: str
    gt: float | None = None
    ge: float | None = None
    le: float | None = None

    def read(self, value: object) -> float:
        """Give the SI value of what stands in a file.

        Parameters
        ----------
        value : int, float or str
            A number in the bench unit, or text with its own unit ("2.2 in").

        Returns
        -------
        float
            The value in SI.

        Raises
        ------
        RejectedValue
            If it is no number, has the wrong dimension or lies outside the range.
        """
        bench, si = self._both(value)
        broken = self._broken(bench)
        if broken:
            raise RejectedValue(show(value, self.unit), broken, self._meant(value))
        return si

    def bench(self, value: object) -> float:
        """Give the number in the bench unit of what stands in a file, whatever its range; raises as `read`.

        Of a number in another unit the digits that a decimal number keeps: "0.5 in" is 12.7 mm.
        """
        return float(f"{self._both(value)[0]:.15g}") if isinstance(value, str) else self._both(value)[0]

    def _both(self, value: object) -> tuple[float, float]:
        """Bench and SI value, both finite."""
        both = self._number(value) if _is_number(value) else self._text(value)
        if not all(map(math.isfinite, both)):
            raise RejectedValue(show(value, self.unit), self._kind())
        return both

    def write(self, value: float) -> float | int | str:
        """Give what to put into a file so that reading it gives this SI value again, to the last bit.

        The shortest number in the bench unit that does so; where none does, as for some lengths that were
        given in inches, text in SI.
        """
        bench = value / factor(self.unit)
        for digits in range(12, 18):
            number = float(f"{bench:.{digits}g}")
            if number * factor(self.unit) == value:
                whole = number.is_integer() and abs(number) < _WHOLE and str(number) != "-0.0"
                return int(number) if whole else number
        return with_unit(repr(value), _si_unit(self.unit))

    def _meant(self, value: object) -> str:
        """Give a bare number out of range in the first other unit that brings it into range, or ""."""
        for unit in SLIPS.get(self.unit, ()) if _is_number(value) else ():
            if not self._broken(self._number(value)[0] * (_own_factor(unit, self.unit) / factor(self.unit))):
                return show(value, unit)
        return ""

    def range_text(self) -> str:
        """Give the whole range as text: "from 0 to 100 %", "greater than 0 mm", or "" if there is none."""
        low = "" if self.gt is None else f"greater than {self.gt:.12g}"
        if self.ge is not None:
            low = f"from {self.ge:.12g}" if self.le is not None else f"at least {self.ge:.12g}"
        high = "" if self.le is None else f"at most {self.le:.12g}"
        if self.ge is not None:
            high = high.replace("at most", "to")
        joint = " " if self.ge is not None else " and "
        return with_unit(joint.join(part for part in (low, high) if part), self.unit)

    def wanted(self) -> str:
        """Say what is wanted: "a number in mm, greater than 0 mm"."""
        return ", ".join(part for part in (self._kind(), self.range_text()) if part)

    def _kind(self) -> str:
        return "a number" if self.unit == "1" else f"a number in {self.unit}"

    def _number(self, value: Any) -> tuple[float, float]:
        try:
            bench = float(value)
        except OverflowError:
            bench = math.inf
        return bench, bench * factor(self.unit)

    def _text(self, value: object) -> tuple[float, float]:
        found = slip(value, self.unit) if isinstance(value, str) else None
        if found is not None:
            got = f"{show(value)} {found.what}".strip()
            raise RejectedValue(got, found.must_be, found.meant)
        match = _NUMBER.fullmatch(value) if isinstance(value, str) else None
        if match is None:
            raise RejectedValue(show(value), self._kind())
        try:
            own = _own_factor(match[2].strip(), self.unit)
        except RejectedValue as refusal:
            raise RejectedValue(show(value), refusal.must_be) from None
        bench_unit = factor(self.unit)
        # The ratio first: in its own bench unit a text is the same number to the last bit.
        return float(match[1]) * (own / bench_unit), float(match[1]) * own

    def _broken(self, bench: float) -> str:
        too_low = (self.gt is not None and bench <= self.gt) or (self.ge is not None and bench < self.ge)
        too_high = self.le is not None and bench > self.le
        if not (too_low or too_high):
            return ""
        if self.ge is not None and self.le is not None:
            return self.range_text()
        broken_end = Q(self.unit, self.gt, self.ge) if too_low else Q(self.unit, le=self.le)
        return broken_end.range_text()

    def __get_pydantic_core_schema__(self, source: object, handler: object) -> "CoreSchema":
        """Let pydantic read a value through `read`."""
        from pydantic_core import core_schema

        return core_schema.no_info_plain_validator_function(self.read)

    def __get_pydantic_json_schema__(self, schema: object, handler: object) -> dict[str, Any]:
        """Give the JSON Schema of what may stand in a file; a text is held against its form alone."""
        unit = f"({_TEXT_UNIT})?" if self.unit in ("1", "%") else _TEXT_UNIT  # "0.06" is 6 %
        ends = {"exclusiveMinimum": self.gt, "minimum": self.ge, "maximum": self.le}
        stated = {key: end for key, end in ends.items() if end is not None}
        form = {"type": ["number", "string"], **stated, "pattern": f"{_TEXT}{unit}$"}
        return form | {"description": self.wanted()}


def show(value: object, unit: str = "1") -> str:
    """Give a value out of a file as short text for a message: numbers with their unit, text in quotes."""
    if _is_number(value):
        try:
            return with_unit(_cut(repr(value)), unit)
        except ValueError:  # Python refuses to print whole numbers of thousands of digits
            return "a number too long to print"
    if isinstance(value, dict):
        return "a table"
    if isinstance(value, list | tuple):
        return f"a list of {len(value)}"
    text = json.dumps(value, default=str, ensure_ascii=False)
    return _cut("".join(c if c.isprintable() else "?" for c in text))


def _cut(text: str) -> str:
    return text if len(text) <= _SHOWN_CHARACTERS else text[:_SHOWN_CHARACTERS] + "..."


def with_unit(text: str, unit: str) -> str:
    """Put the unit behind a text, unless there is no text or no dimension."""
    return text if unit == "1" or not text else f"{text} {unit}"


def to_bench(value_si: float, unit: str) -> float:
    """Give an SI value in a bench unit.

    Parameters
    ----------
    value_si : float
        The value in SI.
    unit : str
        Bench unit.

    Returns
    -------
    float
        The number as it would stand in a file.
    """
    return value_si / factor(unit)


@lru_cache(maxsize=_NAMES)
def column_unit(name: str) -> str:
    """Give the bench unit that a result column's name ends in.

    Parameters
    ----------
    name : str
        Column name, as ``rear_travel_mm``.

    Raises
    ------
    KeyError
        If the name ends in no known unit.
    """
    ends = [suffix for suffix in COLUMN_UNITS if name.endswith(suffix)]
    if not ends:
        raise KeyError(f'column "{name}" must end in one of {", ".join(COLUMN_UNITS)}')
    return COLUMN_UNITS[max(ends, key=len)]


def column_factor(name: str) -> float:
    """Give the number that turns an SI value into the unit of a result column.

    Parameters
    ----------
    name : str
        Column name, as ``rear_travel_mm``.

    Raises
    ------
    KeyError
        If the name ends in no known unit.
    """
    return 1.0 / factor(column_unit(name))


@cache
def factor(unit: str) -> float:
    """Give the SI value of one bench unit.

    Raises
    ------
    RejectedValue
        If the text is no unit.
    """
    return _measure(unit)[0]


def _is_number(value: object) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool)


def _own_factor(own: str, bench: str) -> float:
    """Give the SI value of a text's own unit; where the bench unit has a force, a mass counts as its weight.

    Scales and spring tests give grams, pounds and ounces: "40 g" of breakaway, "1.4 lb/in", "1.2 kg*cm".
    """
    wanted, (value, kind) = _measure(bench)[1], _measure(own)
    if kind != wanted and _FORCE.search(bench):
        value, kind = value * GRAVITY, _weighed(kind)
    if kind != wanted:
        must_be = "a number without a dimension" if bench == "1" else f"in {bench} or a unit of the same kind"
        raise RejectedValue(own, must_be)
    return value


def _weighed(kind: Kind) -> Kind:
    """Give the kind of the weight of a mass, of mass per length, and so on."""
    powers = dict(kind)
    for dimension, power in kind_of("m/s**2"):
        powers[dimension] = powers.get(dimension, 0.0) + power
    return frozenset((dimension, power) for dimension, power in powers.items() if power)


@cache
def _measure(unit: str) -> tuple[float, Kind]:
    """Give the SI value of one unit and its kind."""
    if unit in ("", "1"):
        return 1.0, kind_of("")
    if unit in COMMON:
        value, si_unit = COMMON[unit]
        return value, kind_of(si_unit)
    if len(unit) > _UNIT_CHARACTERS or not _UNIT.fullmatch(unit):
        raise RejectedValue(show(unit), "a number and a unit")
    return _uncommon(unit)


def _uncommon(unit: str) -> tuple[float, Kind]:
    """Give what pint says of a unit."""
    try:
        parsed = _registry().parse_units(_for_pint(unit))
        one, two = (_registry().Quantity(x, parsed).to_base_units().magnitude for x in (1.0, 2.0))
    except Exception:  # pint's refusals share no base class: unknown names, misuse, parser errors
        raise RejectedValue(show(unit), "a number and a known unit") from None
    if not math.isclose(two, 2.0 * one, rel_tol=1e-9):  # temperatures, decibels
        raise RejectedValue(show(unit), "a number and a unit that counts from zero")
    angle = sum(float(str(power)) for name, power in dict(parsed._units).items() if name in _ANGLES)
    powers = {ANGLE: angle} | {name: float(str(power)) for name, power in parsed.dimensionality.items()}
    return float(one), frozenset((name, power) for name, power in powers.items() if power)


@cache
def _si_unit(unit: str) -> str:
    """Give the SI unit of a bench unit as text, "1" for none."""
    if _measure(unit)[1] == kind_of(""):
        return "1"
    if unit in COMMON:
        return COMMON[unit][1]
    return f"{_registry().Quantity(1.0, _for_pint(unit)).to_base_units().units:~C}"


def _for_pint(unit: str) -> str:
    return _HYPHEN.sub("*", unit).replace("%", "percent").replace("·", "*").replace("μ", "µ")


@cache
def _registry() -> "pint.UnitRegistry[Any]":
    import pint  # slow to load, and most units are common ones

    return pint.UnitRegistry()
