"""Numbers as people read them: the one place that turns a result into words.

A builder weighs: loads and forces are said in grams, as weight, and rates in grams per millimetre. Files keep
newtons.
"""

import math
from typing import Any

from simcore.units import GRAMS, column_unit

DEGREE, MINUS = "\N{DEGREE SIGN}", "\N{MINUS SIGN}"
WEIGHED = {"N": "g", "N/mm": "g/mm"}
"""Units of force in files, and what people weigh them in."""


def said_unit(name: str) -> str:
    """Unit in which a result is said; empty for none."""
    unit = column_unit(name)
    return "" if unit == "1" else WEIGHED.get(unit, unit)


def said_factor(name: str) -> float:
    """What turns a result in the unit of its name into the unit in which it is said."""
    return GRAMS if column_unit(name) in WEIGHED else 1.0


def three_digits(value: float) -> str:
    """A number to three significant digits, never with an exponent; whole from 100 on."""
    size = abs(value)
    if not math.isfinite(value):
        return "none"
    if value == 0.0:
        return "0"
    digits = 0 if size >= 99.95 else 1 if size >= 9.995 else 2 if size >= 0.9995 else 3
    return f"{round(value, digits) + 0.0:.{digits}f}".replace("-", MINUS)


def number(name: str, value: Any, bare: bool = False) -> str:
    """A result to three digits, for the terminal; with its unit unless bare."""
    if value is None:
        return "-"
    if isinstance(value, str):
        return value
    unit, digits = said_unit(name), three_digits(value * said_factor(name))
    return digits if bare or not unit else f"{digits} {unit}"


def in_picture(name: str, value: float) -> str:
    """A result with its unit, short: "1.2°", "13 mm"."""
    if not math.isfinite(value):
        return "none"
    text, unit = _short(name, value), said_unit(name)
    return text + (DEGREE if unit == "deg" else f" {unit}" if unit else "")


def signed(name: str, value: float) -> str:
    """A change with its sign and unit, short: "+1.2°", "−13 mm"; "0 g" of one that rounds to nought."""
    text = in_picture(name, value)
    if math.isfinite(value) and not _says_more_than_nought(text):
        return text.lstrip(MINUS).replace("0.00", "0").replace("0.0", "0")
    return _with_plus(text, value)


def span(name: str, low: float, high: float, change: bool = True) -> str:
    """Both ends of an interval, of a change with their signs: to three digits where fewer make them one."""
    short = signed if change else in_picture
    ends = short(name, low), short(name, high)
    if ends[0] == ends[1] and _says_more_than_nought(ends[0]) and low != high:
        low_end, high_end = number(name, low), number(name, high)
        ends = (_with_plus(low_end, low), _with_plus(high_end, high)) if change else (low_end, high_end)
    return f"{ends[0]} to {ends[1]}"


def _says_more_than_nought(text: str) -> bool:
    return any(digit in text for digit in "123456789")


def _with_plus(text: str, value: float) -> str:
    return text if text.startswith(MINUS) or not value > 0.0 else f"+{text}"


def in_text(name: str, value: float) -> str:
    """A result with its unit, within a sentence."""
    if not math.isfinite(value):
        return "none"
    text, unit = _short(name, value), said_unit(name)
    return f"{text} {unit}" if unit else text


def _short(name: str, value: float) -> str:
    """Digits that a sentence needs: whole grams and percents, else about two."""
    value *= said_factor(name)
    size, unit = abs(value), said_unit(name)
    digits = 0 if size >= 99.5 or (unit in ("g", "%") and size >= 9.95) else 1 if size >= 0.95 else 2
    if unit == "g":
        digits = 0 if size >= 0.5 else 1
    return f"{round(value, digits) + 0.0:.{digits}f}".replace("-", MINUS)
