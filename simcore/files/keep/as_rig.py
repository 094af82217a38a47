"""Writes the rig of a changed scenario as a file of its own, with comments and order of the old one."""

import os
import re
import tomllib
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import tomlkit

from simcore.errors import InputError, InputIssue
from simcore.files.check import check
from simcore.files.keep.on_disk import Layout, create, read
from simcore.files.keep.opened import Opened
from simcore.files.rig import Rig
from simcore.files.scenario import Scenario
from simcore.files.schema import written
from simcore.units import show

_SCHEMA = re.compile(r"\A#:schema[^\n]*\n")


def save_rig(source: Opened, file: str, case: str, settings: Mapping[str, Any]) -> Path:
    """Write the rig of a case with some settings as a file of its own.

    Where the rig stands in a file, its comments and order are those of that file. Its name is that of the new
    file, so that results tell the two apart.

    Parameters
    ----------
    source, case, settings : as for `save_variant`
    file : name of the new file, in the scenario's folder or below it

    Returns
    -------
    The new file.

    Raises
    ------
    InputError
        If the file is there already or lies elsewhere, the settings are refused, or a file is not what was
        read any more; nothing is written then.
    """
    scenario = source.scenario
    path = _free_place(scenario, file)
    name = path.stem.replace("_", " ")
    wanted = scenario.variant(case).changed([*settings.items(), ("name", name)]).rig
    source.check_unchanged()
    home = _home_of_rig(scenario, case)
    if home is None:
        text, layout = tomlkit.dumps(written(wanted, Rig)), Layout()
    else:
        text, layout = read(home)
        text = _edited(text, written(check(Rig, tomllib.loads(text), str(home)), Rig), written(wanted, Rig))
        if home.resolve().parent != path.parent:
            text = _SCHEMA.sub("", text)  # its path leads from another folder
    if check(Rig, tomllib.loads(text), str(path)) != wanted:
        raise InputError([InputIssue(str(path), "", "a rig that its file could not say", "another change")])
    create(path, layout.of(text))
    return path


def _free_place(scenario: Scenario, file: str) -> Path:
    """Place of a new rig file, in the scenario's folder or below."""
    folder = scenario.path.resolve().parent
    must_be = f"the name of a new file in {folder}, as my_rig.toml"
    if not file.strip() or not file.isprintable() or not file.endswith(".toml") or Path(file).stem == ".toml":
        raise InputError([InputIssue(show(file), "", "no name of a rig file", must_be)])
    path = folder / file
    home = path.parent.resolve()
    if not home.is_relative_to(folder) or not home.is_dir():
        raise InputError([InputIssue(file, "", "a place elsewhere", must_be)])
    path = home / path.name
    if os.path.lexists(path):
        raise InputError([InputIssue(file, "", "a file that is there already", must_be)])
    return path


def _home_of_rig(scenario: Scenario, case: str) -> Path | None:
    """File that holds the rig of a case before anything else is changed; None if the scenario's own does."""
    named = [edit.value for edit in scenario.edits_of(case) if edit.names_a_rig]
    if named:
        path = scenario.path.parent / named[-1]
        return path if path.is_file() else None
    home = Path(scenario.rig_file)
    return None if home == scenario.path else home


def _edited(text: str, before: Mapping[str, Any], after: Mapping[str, Any]) -> str:
    """A file's text with what is different in the values that it is to have."""
    document = tomlkit.parse(text)
    _put_differences(document, before, after)
    return document.as_string()


def _put_differences(table: Any, before: Mapping[str, Any], after: Mapping[str, Any]) -> None:
    for key in before.keys() - after.keys():
        del table[key]
    for key, value in after.items():
        if key not in before:
            table[key] = value
        elif value != before[key]:
            _put_difference(table, key, before[key], value)


def _put_difference(holder: Any, key: Any, before: Any, after: Any) -> None:
    """Put one value in place; of tables and lists only what is different in them."""
    if isinstance(before, Mapping) and isinstance(after, Mapping):
        _put_differences(holder[key], before, after)
    elif isinstance(before, list) and isinstance(after, list) and len(before) == len(after):
        for k, (was, value) in enumerate(zip(before, after, strict=True)):
            if was != value:
                _put_difference(holder[key], k, was, value)
    else:
        holder[key] = after
