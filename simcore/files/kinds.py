"""Whether a table is a rig, a scenario or a worksheet, and what to do with one in the place of another."""

from collections.abc import Mapping
from pathlib import Path
from typing import Any

from simcore.errors import InputError, InputIssue

OF_A_RIG = ("wheelbase", "chassis", "rear", "front")
OF_A_SCENARIO = ("title", "driver", "rig")
"""Keys that only the one kind of file has, and that it must have."""


def is_rig(table: Mapping[str, Any]) -> bool:
    """Say whether a table describes a rig, even if some of its keys are wrong or missing."""
    return _count(table, OF_A_RIG) >= 2 and not {"driver", "rig"} & set(table)


def is_scenario(table: Mapping[str, Any]) -> bool:
    """Say whether a table is a scenario, even if some of its keys are wrong or missing."""
    return _count(table, OF_A_SCENARIO) >= 2 and _count(table, OF_A_RIG) < 2


def is_worksheet(table: Mapping[str, Any]) -> bool:
    """Say whether a table is a worksheet."""
    return "worksheet" in table


def _refuse_worksheet(table: Mapping[str, Any], path: Path, due: str) -> None:
    if is_worksheet(table):
        must_be = f"{due}; `simcore measure {path} -o RIG.toml` makes a rig of it"
        raise InputError([InputIssue(str(path), "", "a worksheet", must_be)])


def _count(table: Mapping[str, Any], keys: tuple[str, ...]) -> int:
    return sum(key in table for key in keys)


def expect_scenario(table: Mapping[str, Any], path: Path) -> None:
    """Refuse a rig file or a worksheet where a scenario is due.

    Raises
    ------
    InputError
        Saying how to look at a rig and how to name it in a scenario.
    """
    _refuse_worksheet(table, path, "a scenario")
    if is_rig(table):
        must_be = (
            f'a scenario; look at a rig with `simcore inspect {path}`, or name it in one: rig = "{path}"'
        )
        raise InputError([InputIssue(str(path), "", "a rig", must_be)])


def expect_rig(table: Mapping[str, Any], path: Path) -> None:
    """Refuse a scenario file or a worksheet where a rig is due.

    Raises
    ------
    InputError
        Saying how to run a scenario and where its rig is.
    """
    _refuse_worksheet(table, path, "a rig")
    if is_scenario(table):
        rig = table.get("rig")
        where = f"the file {path.parent / rig}" if isinstance(rig, str) else "its table [rig]"
        must_be = f"a rig; run a scenario with `simcore run {path}`; its rig is {where}"
        raise InputError([InputIssue(str(path), "", "a scenario", must_be)])


def expect_worksheet(table: Mapping[str, Any], path: Path) -> None:
    """Refuse a rig file or a scenario file where a worksheet is due.

    Raises
    ------
    InputError
        Saying how to get one.
    """
    kind = "rig" if is_rig(table) else "scenario" if is_scenario(table) else ""
    if kind and not is_worksheet(table):
        must_be = "a worksheet; `simcore new NAME` writes one to fill in"
        raise InputError([InputIssue(str(path), "", f"a {kind}", must_be)])
