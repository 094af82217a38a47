"""A rig file with what is known of each value behind it, as text."""

import hashlib
import math
import re
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

import tomli_w
from pydantic import BaseModel

from simcore.errors import InputError, InputIssue
from simcore.files.rig import Rig
from simcore.files.schema import follow, hints, items, plain, submodel
from simcore.files.source import version
from simcore.readings.derive import Derived
from simcore.readings.workings import Entry, Origin, decimals
from simcore.units import Q

MADE = "# Made by simcore measure "
UNMOVED = ("weighed", "track")  # what no motion hangs on
_DIGEST = re.compile(rf"{re.escape(MADE)}\S+ .*; text ([0-9a-f]{{16}})\n")
_HEAD = """\
# Behind each value: its error, which 19 of 20 keep within, and how it came about.
# GUESS: not measured, a range of the trade stands in. Positions [x, z]: x forward of the rear axle centre, z
# above the table, the rig at ride height.
"""


def rig_text(derived: Derived) -> str:
    """Give a rig as the text of its file, each value with its error and where it comes from.

    Its first line has a digest of the rest, by which a file that was changed by hand is known.
    """
    lines = [*_lines(Rig, derived.table, derived.entries, ()), *_spread(derived.entries)]
    body = _HEAD + "\n".join(lines) + "\n"
    return f"{MADE}{version()} from {derived.worksheet.path.name}; text {_digest(body)}\n{body}"


def check_rig_place(path: Path) -> None:
    """Refuse to write a rig over a file that this program has not written, or that was changed since.

    Raises
    ------
    InputError
        Saying so.
    """
    if not path.exists():
        return
    try:
        text = path.read_text(encoding="utf-8")
    except (OSError, ValueError):
        text = ""
    found = _DIGEST.match(text)
    if found is None or found[1] != _digest(text[found.end() :]):
        must_be = "a new file, or a rig as simcore measure wrote it"
        raise InputError([InputIssue(str(path), "-o", "a file that was written or changed by hand", must_be)])


def _digest(text: str) -> str:
    return hashlib.sha256(text.encode()).hexdigest()[:16]


def _lines(
    model: type[BaseModel], table: Mapping[str, Any], entries: Mapping[str, Entry], place: tuple[str, ...]
) -> Iterator[str]:
    """Lines of a table in the order of its model: its own values, then the tables below it."""
    below = []
    for key, hint in hints(model).items():
        if key not in table:
            continue
        kinds = items(hint)
        inside = submodel(kinds[0] if kinds else hint)
        if inside is None:
            yield _line(key, table[key], entries, (*place, key))
        elif kinds is None:
            below.append((f"[{'.'.join((*place, key))}]", inside, table[key], (*place, key)))
        else:
            head = f"[[{'.'.join(step for step in (*place, key) if not step.isdigit())}]]"
            below += [(head, inside, one, (*place, key, str(i))) for i, one in enumerate(table[key])]
    for head, inside, one, at in below:
        yield from ("", head) if _has_values(inside, one) else ()
        yield from _lines(inside, one, entries, at)


def _spread(entries: Mapping[str, Entry]) -> Iterator[str]:
    """Lines of how far each value may be off by itself: its error, or the range of a guess."""
    yield from ("", "# How far each may be off by itself: an error, or the ends of a guess", "[spread]")
    for key, entry in entries.items():
        if entry.error > 0.0 and not key.startswith(UNMOVED):
            yield f'"{key}" = {_value(_off(entry))}'


def _off(entry: Entry) -> Any:
    """How far a value may be off, as it would stand in [spread]."""
    quantity = plain(
        follow(Rig, tuple(int(step) if step.isdigit() else step for step in entry.key.split(".")))
    )[1]
    digits = decimals(entry.error)
    if quantity is not None and entry.origin is Origin.GUESS:
        ends = [_within(quantity, entry.value + sign * entry.error) for sign in (-1.0, 1.0)]
        return {"from": round(ends[0], digits + 2), "to": round(ends[1], digits + 2)}
    return round(entry.error, digits)


def _within(quantity: Q, value: float) -> float:
    low = next((end for end in (quantity.ge, quantity.gt) if end is not None), -math.inf)
    return min(max(value, low), math.inf if quantity.le is None else quantity.le)


def _has_values(model: type[BaseModel], table: Mapping[str, Any]) -> bool:
    """Whether a table has values of its own, and not only tables below it."""
    return any(not isinstance(table[key], dict) for key in hints(model) if key in table)


def _line(key: str, value: Any, entries: Mapping[str, Entry], place: tuple[str, ...]) -> str:
    """One value, and behind it what is known of it."""
    dotted = ".".join(place)
    found = [entries[one] for one in (dotted, f"{dotted}.0", f"{dotted}.1") if one in entries]
    text = f"[{', '.join(map(str, value))}]" if isinstance(value, list) else _value(value)
    return f"{key} = {text}" + (f"  # {_remark(found)}" if found else "")


def _value(value: Any) -> str:
    if isinstance(value, dict):
        return f"{{ {', '.join(f'{key} = {_value(one)}' for key, one in value.items())} }}"
    return tomli_w.dumps({"x": value}).removeprefix("x = ").rstrip("\n")


def _remark(entries: list[Entry]) -> str:
    """Errors, unit and how it came about; of a place for both numbers."""
    errors = [one.error for one in entries]
    unit = "" if entries[0].unit == "1" else f" {entries[0].unit}"
    error = f"± {', '.join(f'{one:.{decimals(one)}f}' for one in errors)}{unit}; " if any(errors) else ""
    if all(one.origin is Origin.GUESS for one in entries):
        return f"{error}GUESS"
    how = "; ".join(dict.fromkeys(one.formula for one in entries))
    in_part = any(one.origin is Origin.GUESSED_IN_PART for one in entries)
    return error + how + (" (in part a GUESS)" if in_part else "")
