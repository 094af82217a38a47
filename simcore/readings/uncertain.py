"""Numbers with errors: how readings become variables, and what the error of a result is made of.

Errors are propagated to first order (JCGM 100:2008, section 5.1.2), by the package `uncertainties`. An error
that is written or printed is twice the standard deviation (coverage factor k = 2, about 95 %).
"""

from collections.abc import Callable
from typing import Any

import uncertainties
from uncertainties import ufloat

COVERAGE = 2.0
"""Errors as written and printed over standard deviations."""

Number = Any
"""A float, or a number with an error of `uncertainties`; every law of this package takes both."""


def variable(value: float, error: float, tag: str) -> Number:
    """Number with an error of its own.

    Parameters
    ----------
    value, error : float
        What was read, and what 19 of 20 such readings keep within.
    tag : str
        Where it comes from.
    """
    return ufloat(value, error / COVERAGE, tag)


def value_of(number: Number) -> float:
    """Value of a number, with or without an error."""
    return float(uncertainties.nominal_value(number))


def error_of(number: Number) -> float:
    """Error of a number that 19 of 20 keep within; 0 without one."""
    return float(COVERAGE * uncertainties.std_dev(number))


def made_of(number: Number) -> dict[str, float]:
    """Where the error of a number comes from: tag to its error alone, the largest first.

    The squares of these errors add up to the square of the whole.
    """
    if not isinstance(number, uncertainties.UFloat):
        return {}
    found: dict[str, float] = {}
    for one, part in number.error_components().items():
        found[str(one.tag)] = float((found.get(str(one.tag), 0.0) ** 2 + (COVERAGE * part) ** 2) ** 0.5)
    return dict(sorted(found.items(), key=lambda item: -item[1]))


def mostly_of(number: Number) -> tuple[str, float]:
    """Tag that most of a number's error comes from, and its share of the error squared; "" and 0 without."""
    parts = made_of(number)
    if not parts:
        return "", 0.0
    first, part = next(iter(parts.items()))
    return first, part**2 / sum(one**2 for one in parts.values())


def numerically(law: Callable[..., float]) -> Callable[..., Number]:
    """A law that takes floats alone, made to take numbers with errors; its derivatives by differences."""
    return uncertainties.wrap(law)
