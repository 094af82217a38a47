"""Settings: a dotted path and a value, put over a raw scenario table."""

import copy
import tomllib
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from simcore.errors import InputError, InputIssue
from simcore.files.plain import as_read
from simcore.files.schema import Model, fields, follow, hints, paths, submodel
from simcore.files.source import read_rig
from simcore.files.words import nearest

ABSENT = "none"
"""The value that takes out a key which may be left out."""

Steps = tuple[str | int, ...]


def parse_setting(text: str) -> tuple[str, Any]:
    """Read ``path=value``; the value as TOML would be read, anything else as text.

    Raises
    ------
    InputError
        If there is no path or no ``=``.
    """
    path, equals, value = text.partition("=")
    if not equals or not path.strip():
        raise InputError([InputIssue("setting", "", f'"{text}"', "path=value, as rear.shock.stroke=30")])
    return path.strip(), _value(value.strip())


def _value(text: str) -> Any:
    try:
        table = tomllib.loads(f"value = {text}")
    except (ValueError, RecursionError):
        return text
    return table["value"] if len(table) == 1 else text


def apply(raw: Mapping[str, Any], settings: Mapping[str, Any], model: Model, file: str) -> dict[str, Any]:
    """Give a copy of a raw scenario with settings put over it.

    Parameters
    ----------
    raw : mapping
        The scenario as read, with the rig inside.
    settings : mapping
        Dotted path to value.
    model : type
        The scenario's model.
    file : str
        The file to name in issues.

    Raises
    ------
    InputError
        Naming every unknown path, with the nearest known one.
    """
    result: dict[str, Any] = copy.deepcopy(dict(raw))
    named = settings.get("rig")
    if isinstance(named, str):  # another rig first: the other settings then change that one
        settings = {path: value for path, value in settings.items() if path != "rig"}
        known_rig = raw.get("rigs", {}).get(named)
        result["rig"] = read_rig(named, Path(file)) if known_rig is None else copy.deepcopy(known_rig)
    unknown = [path for path, value in settings.items() if not _put(result, steps(path, model), value, model)]
    if unknown:
        known = known_paths(result, model)
        raise InputError(
            InputIssue(file, path, "an unknown path", "the path of a key", nearest(path, known))
            for path in unknown
        )
    return result


def steps(path: str, model: Model) -> Steps:
    """Split a dotted path; the first word decides whether it leads into the rig."""
    words: list[str | int] = [
        int(w) if w.isascii() and w.isdigit() and len(w) < 5 else w for w in path.split(".")
    ]
    return tuple(words) if words[0] in _own_keys(model) or words == ["rig"] else ("rig", *words)


def known_paths(raw: Mapping[str, Any], model: Model) -> list[str]:
    """List every path that a setting may name."""
    every = (path for path in paths(model, raw) if path[0] != "variants")
    return [".".join(path[1:] if path[0] == "rig" and path[1:] else path) for path in every]


def _own_keys(model: Model) -> set[object]:
    return {key for key in hints(model) if key not in ("rig", "variants")}


def _put(raw: dict[str, Any], place: Steps, value: Any, model: Model) -> bool:
    """Put one value in; say whether the path exists."""
    if follow(model, place) is None:
        return False
    table: Any = raw
    for depth, step in enumerate(place[:-1]):
        missing = isinstance(table, dict) and step not in table
        if missing and submodel(follow(model, place[: depth + 1])) is not None:
            table[step] = {}
        elif missing or not _holds(table, step):
            return False
        table = table[step]
    last = place[-1]
    parent = submodel(follow(model, place[:-1]))
    optional = parent is not None and fields(parent)[str(last)].default is None
    value = as_read(value)
    if isinstance(table, dict) and optional and value == ABSENT:
        table.pop(last, None)
    elif isinstance(table, dict) or _holds(table, last):
        table[last] = value
    else:
        return False
    return True


def _holds(table: object, step: str | int) -> bool:
    if isinstance(table, list):
        return isinstance(step, int) and step < len(table)
    return isinstance(table, dict) and step in table
