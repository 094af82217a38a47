"""A rig whose numbers have errors: the rig file's model, filled from what was worked out."""

from collections.abc import Mapping
from dataclasses import replace
from itertools import pairwise
from typing import Any, cast

from pydantic import BaseModel

from simcore.errors import InputError, InputIssue
from simcore.files.check import check
from simcore.files.rig import Rig
from simcore.readings.uncertain import Number
from simcore.readings.workings import Entry

DIGITS = 6
"""Digits to which a value is put into a rig file."""


def bench_value(entry: Entry) -> float | int:
    """Value in the bench unit, to the digits of a rig file."""
    number = float(f"{entry.value:.{DIGITS}g}")
    return int(number) if number.is_integer() else number


def rig_table(entries: Mapping[str, Entry], fixed: Mapping[str, Any]) -> dict[str, Any]:
    """Table of a rig file.

    Parameters
    ----------
    entries : values by dotted key
    fixed : what is no number, by dotted key
    """
    table: dict[str, Any] = {}
    for key, value in [*fixed.items(), *((key, bench_value(entry)) for key, entry in entries.items())]:
        steps, place = key.split("."), cast(Any, table)
        for step, below in pairwise(steps):
            place = _into(place, step, [] if below.isdigit() else {})
        _put(place, steps[-1], value)
    return table


def _into(place: Any, step: str, empty: Any) -> Any:
    """Table or list below a place, made where it is missing."""
    if isinstance(place, dict):
        return place.setdefault(step, empty)
    if len(place) <= int(step):
        place.append(empty)
    return place[int(step)]


def _put(place: Any, step: str, value: Any) -> None:
    if isinstance(place, dict):
        place[step] = value
    else:
        place.append(value)


def rig_of(table: Mapping[str, Any], entries: Mapping[str, Entry], source: str) -> Rig:
    """Rig of a table.

    Raises
    ------
    InputError
        When the values make no rig; names the worksheet, and how the value at fault came about.
    """
    try:
        return check(Rig, table, source)
    except InputError as error:
        raise InputError([_blamed(issue, entries) for issue in error.issues]) from None


def _blamed(issue: InputIssue, entries: Mapping[str, Entry]) -> InputIssue:
    entry = entries.get(issue.key.replace("[", ".").replace("]", ""))
    if entry is None:
        return issue
    return replace(issue, got=f"{issue.got} ({entry.origin.value}: {entry.formula})")


def uncertain_rig(entries: Mapping[str, Entry], fixed: Mapping[str, Any], source: str) -> Any:
    """A rig whose floats are numbers with errors, for laws that take both; its chassis weighs nothing yet.

    Raises
    ------
    InputError
        When the values make no rig.
    """
    nothing = {"mass": 1, "cg": [0, 0], "pitch_inertia": 1}
    table = rig_table(entries, fixed) | {"chassis": nothing}
    return _with_numbers(
        rig_of(table, entries, source), {key: entry.number for key, entry in entries.items()}, ""
    )


def _with_numbers(value: Any, numbers: Mapping[str, Number], key: str) -> Any:
    """A model or what one holds, with numbers by their dotted keys in place of its floats."""
    if key in numbers:
        return numbers[key]
    below = f"{key}." if key else ""
    if isinstance(value, BaseModel):
        fields = {name: getattr(value, name) for name in type(value).model_fields}
        return value.model_copy(
            update={name: _with_numbers(one, numbers, f"{below}{name}") for name, one in fields.items()}
        )
    if isinstance(value, tuple):
        return tuple(_with_numbers(one, numbers, f"{below}{i}") for i, one in enumerate(value))
    return value
