"""Relative edits: a number changed by += -= *= instead of replaced."""

import re
from decimal import Decimal
from typing import Any

from simcore.errors import RejectedValue
from simcore.files.schema import items, plain
from simcore.units import Q, show

ADD, SUBTRACT, TIMES = "+=", "-=", "*="
_KEY = re.compile(r"(.*?)\s*([-+*]=)\s*", re.DOTALL)
_WHOLE = Decimal(10) ** 15


def parted(key: str) -> tuple[str, str]:
    """Split the key of a setting into its path and the operator at its end, "" if the value is replaced."""
    match = _KEY.fullmatch(key)
    return (match[1].strip(), match[2]) if match else (key, "")


def changed(old: Any, operator: str, by: Any, hint: Any) -> Any:
    """Give a value as it would stand in a file after a relative edit.

    Parameters
    ----------
    old : number, text with a unit, or a list of them
        What stands there now; None if nothing does.
    operator : str
        ``+=`` and ``-=`` add in the bench unit of the key, ``*=`` multiplies.
    by : as `old`
        By how much: for ``*=`` a pure number; for a list a list of the same length.
    hint : type
        The type of the key.

    Raises
    ------
    RejectedValue
        If there is no number to change, or none to change it by.
    """
    kinds, (_, quantity) = items(hint), plain(hint)
    if old is None and (quantity is not None or _is_row(kinds)):
        raise nothing_to_change()
    if quantity is not None:
        return _changed_number(old, operator, by, quantity.unit)
    if kinds is None or not _is_row(kinds):
        raise RejectedValue("a change of something that is no number", f"a value: {operator} changes numbers")
    if not isinstance(by, list) or len(by) != len(kinds) or not isinstance(old, list) or len(old) != len(by):
        raise RejectedValue(show(by), f"a list of {len(kinds)} numbers, one for each of its numbers")
    return [changed(*each) for each in zip(old, [operator] * len(by), by, kinds, strict=True)]


def nothing_to_change() -> RejectedValue:
    """Give the refusal of a change of a key that has no value and no default."""
    return RejectedValue("a change of a key that is left out", "a value: it has none to change")


def _is_row(kinds: tuple[Any, ...] | None) -> bool:
    """Whether a list is one of so many numbers, as [x, z]."""
    return kinds is not None and kinds[-1] is not Ellipsis and all(plain(kind)[1] for kind in kinds)


def _changed_number(old: Any, operator: str, by: Any, unit: str) -> float | int:
    """Reckon in decimals, as on paper: 80 and 5.7 make 85.7."""
    before = _decimal(old, unit)
    if operator == TIMES:
        after = before * _decimal(by, "1")
    else:
        after = before + (_decimal(by, unit) if operator == ADD else -_decimal(by, unit))
    return int(after) if after == after.to_integral_value() and abs(after) < _WHOLE else float(after)


def _decimal(value: Any, unit: str) -> Decimal:
    """The number in the bench unit, of any range."""
    return Decimal(repr(Q(unit).bench(value)))
