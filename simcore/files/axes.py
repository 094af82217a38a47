"""The values that an axis of a sweep takes: a list, or a range from start to stop."""

import re
import tomllib
from collections.abc import Mapping, Sequence
from decimal import Decimal
from typing import Any

from simcore.errors import RejectedValue
from simcore.files.plain import as_read
from simcore.units import show

JOINT = "+"
"""Between paths that take the same value together: ``rear.tyre.radius+front.tyre.radius``."""
CASE = "case"
"""What the cases of a sweep are called where its axes are called by their paths."""
MOST_VALUES, MOST_RUNS = 1000, 20_000
WANTED = "values as [0, 10, 20], or a range start:stop:step as 0:30:0.75"
ONLY_VALUES = "a path alone: an axis lists the values themselves"
_NUMBER = r"\s*([+-]?(?:\d{1,30}\.?\d{0,30}|\.\d{1,30})(?:[eE][+-]?\d{1,3})?)\s*"
_RANGE = re.compile(":".join([_NUMBER] * 3))

Values = tuple[Any, ...]
FORM = {
    "type": ["array", "string"],
    "minItems": 1,
    "maxItems": MOST_VALUES,
    "uniqueItems": True,
    "pattern": f"^{_RANGE.pattern}$",
}
"""The JSON Schema of `axis_values`."""


def axis_values(given: Any) -> Values:
    """Read the values of an axis as they stand in a file: a list, or text with a range.

    Raises
    ------
    RejectedValue
        Saying what is wrong with it.
    """
    values = _range(given) if isinstance(given, str) else as_read(given)
    if not isinstance(values, list | tuple):
        raise RejectedValue(show(given), WANTED)
    if not values or len(values) > MOST_VALUES:
        raise RejectedValue(f"{len(values)} values", f"from 1 to {MOST_VALUES} values")
    twice = _first_twice(values)
    if twice is not None:
        raise RejectedValue(f"{show(values[twice])} twice", "every value once")
    return tuple(values)


def _first_twice(values: Sequence[Any]) -> int | None:
    """Place of the first value that was there before, None if every value is there once."""
    try:
        if len(set(values)) == len(values):
            return None
    except TypeError:  # lists and tables are compared one by one
        pass
    return next((k for k, value in enumerate(values) if value in values[:k]), None)


def _range(text: str) -> list[float | int]:
    match = _RANGE.fullmatch(text)
    if match is None:
        raise RejectedValue(show(text), WANTED)
    start, stop, step = (Decimal(number) for number in match.groups())
    steps = (stop - start) / step if step else Decimal(-1)  # decimals reach 30 by steps of 0.75
    if steps < 0:
        raise RejectedValue(show(text), "a range whose step leads from its start to its stop")
    count = int(min(steps, Decimal(MOST_VALUES))) + 1
    if count > MOST_VALUES:
        raise RejectedValue(f"{show(text)}, too many values", f"from 1 to {MOST_VALUES} values")
    values = [start + k * step for k in range(count)]
    return [int(value) if value == value.to_integral_value() else float(value) for value in values]


def parse_axis(text: str) -> tuple[str, Values]:
    """Read ``path=start:stop:step`` or ``path=a,b,c`` as typed on the command line.

    Raises
    ------
    RejectedValue
        Saying what is wrong with it.
    """
    path, equals, given = (part.strip() for part in text.partition("="))
    if not equals or not path:
        raise RejectedValue(show(text), "path=start:stop:step or path=a,b,c")
    if path.endswith(("+", "-", "*")):
        raise RejectedValue(f"{show(text)}, a change of a value", ONLY_VALUES)
    return path, axis_values(given if _RANGE.fullmatch(given) else _listed(given))


def _listed(text: str) -> list[Any]:
    """Values between commas: as TOML would read the list, else each as text."""
    try:
        return list(tomllib.loads(f"values = [{text}]")["values"])
    except (ValueError, RecursionError):
        return [word.strip() for word in text.split(",")]


def settings_of(path: str, value: Any) -> Mapping[str, Any]:
    """Settings that an axis makes at one of its values; joined paths all take it."""
    return dict.fromkeys((one.strip() for one in path.split(JOINT)), value)
