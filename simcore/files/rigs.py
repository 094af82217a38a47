"""Rigs that a scenario's variants and axes name, put into the scenario itself."""

from collections.abc import Mapping
from contextlib import suppress
from pathlib import Path
from typing import Any

from simcore.errors import InputError
from simcore.files.check import check
from simcore.files.rig import Rig
from simcore.files.source import read_rig


def with_named_rigs(raw: Mapping[str, Any], path: Path) -> dict[str, Any]:
    """Give a raw scenario with the rig files in it that its variants and axes name.

    Only those that can be used: checking the variants says what is wrong with the others.

    Parameters
    ----------
    raw : mapping
        The scenario as read.
    path : Path
        Its file, to look for rig files from.
    """
    variants, common, axes, rigs = (_table(raw.get(key)) for key in ("variants", "common", "vary", "rigs"))
    axis = axes.get("rig", ())
    named = [_table(settings).get("rig") for settings in (*variants.values(), *common.values())]
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
