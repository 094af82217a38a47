"""Rigs that a scenario's variants, axes and trials name, put into the scenario itself."""

from collections.abc import Iterator, Mapping
from contextlib import suppress
from pathlib import Path
from typing import Any

from simcore.errors import InputError
from simcore.files.check import check
from simcore.files.rig import Rig
from simcore.files.source import read_rig

TRIED = ("because", "holds_on")
"""Lists of a conclusion whose tables have settings."""


def names_rigs(raw: Mapping[str, Any]) -> bool:
    """Say whether a raw scenario has anything that may name a rig beside its own."""
    return bool(raw.get("variants") or raw.get("vary") or any(_tried(raw)))


def _tried(raw: Mapping[str, Any]) -> Iterator[Mapping[str, Any]]:
    """Give the settings of every trial of a raw scenario's conclusion."""
    conclusion = _table(raw.get("conclusion"))
    for key in TRIED:
        rows = conclusion.get(key)
        yield from (_table(_table(row).get("settings")) for row in (rows if isinstance(rows, list) else ()))


def with_named_rigs(raw: Mapping[str, Any], path: Path) -> dict[str, Any]:
    """Give a raw scenario with the rig files in it that its variants, axes and trials name.

    Only those that can be used: checking the settings says what is wrong with the others.

    Parameters
    ----------
    raw : mapping
        The scenario as read.
    path : Path
        Its file, to look for rig files from.
    """
    variants, common, axes, rigs = (_table(raw.get(key)) for key in ("variants", "common", "vary", "rigs"))
    axis = axes.get("rig", ())
    named = [_table(settings).get("rig") for settings in (*variants.values(), *common.values(), *_tried(raw))]
    named += axis if isinstance(axis, list | tuple) else []
    found = dict(rigs)
    for name in named:
        if isinstance(name, str) and name not in found:
            with suppress(InputError):
                rig = read_rig(name, path)
                check(Rig, rig, name)
                found[name] = rig
    return {**raw, "rigs": found} if len(found) > len(rigs) else dict(raw)


def _table(value: object) -> Mapping[str, Any]:
    """A table that is one; nothing of anything else, which the models refuse."""
    return value if isinstance(value, Mapping) else {}
