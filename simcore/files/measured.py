"""Readings of a worksheet: what an instrument shows, with its error, as "862 +- 2 g"."""

import re
from dataclasses import dataclass
from typing import Any

from pydantic import model_validator

from simcore.errors import RejectedValue
from simcore.files.fields import Table
from simcore.slips import CELL_NOMINAL, CELLS
from simcore.units import Q, factor, show

_PLUS_MINUS = re.compile(r"\s*(?:\+\s*/?\s*-|±)\s*")
_NUMBER = re.compile(r"[+-]?(?:[0-9]+\.?[0-9]*|\.[0-9]+)(?:[eE][+-]?[0-9]+)?")
_PERCENT = re.compile(rf"\s*({_NUMBER.pattern})\s*%\s*")


@dataclass(frozen=True)
class Reading:
    """What an instrument shows, SI.

    Attributes
    ----------
    value : the number read
    error : what is put behind +-: 19 of 20 such readings lie this near to the truth (twice the standard
        deviation, the expanded uncertainty with k = 2 of JCGM 100:2008, the GUM)
    stated : whether the error was written down; else it is that of the usual instrument
    """

    value: float
    error: float
    stated: bool


@dataclass(frozen=True)
class Instrument(Q):
    """What a reading stands for: its bench unit, its range, and the error of the usual instrument.

    Parameters
    ----------
    error : float
        Error of a reading without one, in the bench unit.
    share : float
        Likewise as a share of the reading; the larger counts.
    """

    error: float = 0.0
    share: float = 0.0

    def read(self, value: object) -> Any:
        """Give the reading of what stands in a worksheet: a number, text as "862 +- 2 g", or a list of both.

        Raises
        ------
        RejectedValue
            If it is no number, has the wrong dimension, lies outside the range, or has an error below zero.
        """
        if isinstance(value, list):
            return self._repeated([one for one in value if one != ""])
        both = _PLUS_MINUS.split(value) if isinstance(value, str) else []
        if len(both) < 2:
            si = self._plain(value)
            usual = max(self.error * factor(self.unit), self.share * abs(si))
            return Reading(si, usual, stated=False)
        if len(both) > 2 or not all(part.strip() for part in both):
            raise RejectedValue(show(value), f'one number, or one with its error, as "{self._example()}"')
        return Reading(*self._with_error(*both), stated=True)

    def _plain(self, value: object) -> float:
        return super().read(value)

    def _repeated(self, values: list[object]) -> Reading:
        """Give the mean of readings that were taken again and again.

        Its error is what they scatter by, `t s/sqrt(n)`, t the 95 % point of Student's distribution (JCGM
        100:2008, 4.2.3 and G.3), or what the error of a single one leaves where that is more.
        """
        if len(values) < 2 or any(isinstance(one, list) for one in values):
            raise RejectedValue(show(values), "one reading, or a list of two or more")
        import numpy as np
        from scipy.stats import t

        each = [self.read(one) for one in values]
        numbers, count = [one.value for one in each], len(each)
        scatter = float(t.ppf(0.975, count - 1) * np.std(numbers, ddof=1) / count**0.5)
        left = max(one.error for one in each) / count**0.5
        return Reading(float(np.mean(numbers)), max(scatter, left), stated=True)

    def _with_error(self, left: str, right: str) -> tuple[float, float]:
        """Give value and error of text on both sides of +-; a unit behind the error goes for both."""
        percent = _PERCENT.fullmatch(right)
        unit = _NUMBER.sub("", right, count=1).strip()
        bare = _NUMBER.fullmatch(left.strip()) is not None
        if not _NUMBER.match(right.strip()):
            raise RejectedValue(show(right), f'a number, as in "{self._example()}"')
        of_value = percent is not None and self.unit != "%"
        takes_unit = bare and unit and not of_value
        value = self._plain(f"{left.strip()} {unit}" if takes_unit else float(left) if bare else left)
        if percent and of_value:
            return value, abs(value) * self._positive(float(percent[1]), right) / 100.0
        return value, self._positive(Q(self.unit).read(right if unit else float(right)), right)

    def _positive(self, error: float, text: str) -> float:
        if not error > 0.0:
            raise RejectedValue(f"an error of {text.strip()}", "an error greater than 0")
        return error

    def _example(self) -> str:
        return f"12 +- 1 {self.unit}" if self.unit != "1" else "12 +- 1"

    def wanted(self) -> str:
        """Say what is wanted, and which error stands in where none is stated."""
        usual = " or ".join(
            text
            for text in (
                f"{self.error:g}" + ("" if self.unit == "1" else f" {self.unit}") if self.error else "",
                f"{100.0 * self.share:g} % of it" if self.share else "",
            )
            if text
        )
        return f"{super().wanted()}, as it is or +- its error" + (f" (else {usual})" if usual else "")

    def __get_pydantic_json_schema__(self, schema: object, handler: object) -> dict[str, Any]:
        """Give the JSON Schema: a number, text with unit and error, or nothing yet."""
        form = super().__get_pydantic_json_schema__(schema, handler)
        one = form | {"pattern": "^$|[0-9]"}
        again = {
            "type": "array",
            "minItems": 2,
            "items": {key: one[key] for key in one if key != "description"},
        }
        return {"anyOf": [one, again], "description": form["description"]}

    def write(self, value: Any) -> float | int | str:
        """Give text that reads as this reading again."""
        if not isinstance(value, Reading):
            return super().write(value)
        number = Q(self.unit).write(value.value)
        if not value.stated or isinstance(number, str):
            return number
        unit = "" if self.unit == "1" else f" {self.unit}"
        return f"{number} +- {value.error / factor(self.unit):.12g}{unit}"


class Cells(Instrument):
    """A supply voltage; "3S" is taken as what so many LiPo cells give."""

    def _plain(self, value: object) -> float:
        cells = CELLS.fullmatch(value) if isinstance(value, str) else None
        return super()._plain(value if cells is None else int(cells[1]) * CELL_NOMINAL)


def is_empty(value: object) -> bool:
    """Say whether a line of a worksheet was left to be filled in."""
    return value == "" or (isinstance(value, list) and bool(value) and all(map(is_empty, value)))


def _without_empty_rows(value: object) -> object:
    """A list of rows without those that were left to be filled in; anything else as it is."""
    if isinstance(value, list) and all(isinstance(row, list) for row in value):
        return [row for row in value if not is_empty(row)]
    return value


class Lines(Table):
    """A table of a worksheet: a line left empty counts as left out."""

    @model_validator(mode="before")
    @classmethod
    def _filled_in(cls, raw: Any) -> Any:
        if not isinstance(raw, dict):
            return raw
        return {key: _without_empty_rows(one) for key, one in raw.items() if not is_empty(one)}
