"""Numbers as people read them: the one place that turns a result into words."""

import math
from typing import Any

from simcore.units import column_unit

DEGREE, MINUS = "\N{DEGREE SIGN}", "\N{MINUS SIGN}"


def number(name: str, value: Any, bare: bool = False) -> str:
    """A result to four digits with its unit, for the terminal; bare: short, without."""
    if value is None:
        return "-"
    if isinstance(value, str):
        return value
    unit = column_unit(name)
    if bare:
        return f"{value:.0f}" if abs(value) >= 100.0 else f"{value:.2f}"
    small = abs(value) < 5e-4 and not name.endswith(("_1", "_pct"))
    digits = f"{abs(round(value, 3)):g}" if small else f"{value:.4g}"
    return digits if unit == "1" else f"{digits} {unit}"


def four_digits(value: Any) -> str:
    """A number to four digits whose unit stands in the head of its column."""
    return f"{round(value, 3) + 0.0:.4g}" if isinstance(value, float) else "-"


def in_picture(name: str, value: float) -> str:
    """A result with its unit, short: "1.2°", "13 mm"."""
    if not math.isfinite(value):
        return "none"
    unit, size = column_unit(name), abs(value)
    digits = 0 if size >= 99.5 else 1 if size >= 0.95 else 2
    text = f"{round(value, digits) + 0.0:.{digits}f}".replace("-", MINUS)
    return text + (DEGREE if unit == "deg" else "" if unit == "1" else f" {unit}")


def in_text(name: str, value: float) -> str:
    """A result to about three digits with its unit, within a sentence."""
    unit, size = column_unit(name), abs(value)
    if math.isnan(value):
        return "none"
    digits = 0 if size >= 100.0 or (unit in ("%", "g") and size >= 10.0) else 1 if size >= 1.0 else 2
    text = f"{value:.{digits}f}".replace("-", MINUS)
    return text if unit == "1" else f"{text} {unit}"
