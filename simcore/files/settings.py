"""Settings: a dotted path and a value, or a change of it, put over a raw scenario table."""

import tomllib
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from simcore.errors import InputError, InputIssue, RejectedValue
from simcore.files.plain import as_read
from simcore.files.relative import changed, nothing_to_change, parted
from simcore.files.schema import Model, default, fields, follow, is_free_table, submodel
from simcore.files.source import read_rig
from simcore.files.steps import Steps, item_number, nearest_path, steps

ABSENT = "none"
"""The value that takes out a key which may be left out."""

Settings = Mapping[str, Any] | Iterable[tuple[str, Any]]


@dataclass(frozen=True)
class Edit:
    """One setting.

    Parameters
    ----------
    key : str
        As it stands in a file: a path, with an operator at its end if it changes the value there.
    value : Any
        What it sets, or changes by.
    where : str
        The table that it stands in, "" if it was typed.
    """

    key: str
    value: Any
    where: str = ""

    @property
    def place(self) -> str:
        """What to call it in messages."""
        return f'{self.where}."{self.key}"' if self.where else self.key

    @property
    def names_a_rig(self) -> bool:
        """Whether it puts the rig of a file, or of `rigs`, in place."""
        return self.key == "rig" and isinstance(self.value, str)


def parse_setting(text: str) -> tuple[str, Any]:
    """Read ``path=value``, or ``path+=value`` and so on; the value as TOML would be read, else as text.

    Raises
    ------
    InputError
        If there is no path or no ``=``.
    """
    path, equals, value = (part.strip() for part in text.partition("="))
    operator = path[-1] if path.endswith(("+", "-", "*")) else ""
    path = path.removesuffix(operator).rstrip()
    if not equals or not path:
        raise InputError([InputIssue("setting", "", f'"{text}"', "path=value, as rear.shock.stroke=30")])
    return f"{path} {operator}=" if operator else path, _value(value)


def _value(text: str) -> Any:
    try:
        table = tomllib.loads(f"value = {text}")
    except (ValueError, RecursionError):
        return text
    return table["value"] if len(table) == 1 else text


def edits(settings: Settings, where: str = "") -> list[Edit]:
    """Give settings in their order, as they stand in a table or were typed."""
    pairs = settings.items() if isinstance(settings, Mapping) else settings
    return [Edit(key, as_read(value), where) for key, value in pairs]


@dataclass(frozen=True)
class Applied:
    """A raw scenario with settings put over it.

    Parameters
    ----------
    raw : dict
        The scenario, with the settings that could be put over it.
    placed : dict
        Which setting went where.
    issues : list of InputIssue
        What is wrong with the others: unknown paths, with the nearest known one; changes that have nothing to
        change; a rig file that cannot be read, after which nothing else is put in.
    """

    raw: dict[str, Any]
    placed: dict[Steps, Edit]
    issues: list[InputIssue]


def apply(raw: Mapping[str, Any], settings: Sequence[Edit], model: Model, file: str) -> Applied:
    """Put settings over a raw scenario, one after the other; the outcome shares with it what none changes.

    Parameters
    ----------
    raw : mapping
        The scenario as read, with the rig inside.
    settings : sequence of Edit
    model : type
        The scenario's model.
    file : str
        The file to name in issues.
    """
    result, placed, issues = dict(raw), dict[Steps, Edit](), list[InputIssue]()
    own: set[int] = set()
    rigs = [edit for edit in settings if edit.names_a_rig]
    for edit in rigs[-1:]:  # another rig first: the other settings then change that one
        known_rig = raw.get("rigs", {}).get(edit.value)
        try:
            result["rig"] = known_rig or read_rig(edit.value, Path(file))
        except InputError as error:
            return Applied(result, placed, [_of_rig_file(issue, edit, file) for issue in error.issues])
        placed[("rig",)] = edit
    for edit in settings:
        if edit.names_a_rig:
            continue
        try:
            placed[_put(result, edit, model, own)] = edit
        except RejectedValue as refusal:
            issues.append(InputIssue(file, edit.place, refusal.got, refusal.must_be, refusal.hint))
    return Applied(result, placed, issues)


def _of_rig_file(issue: InputIssue, edit: Edit, file: str) -> InputIssue:
    """Give an issue of a rig file that was named; in a table of settings as one of that table."""
    if not edit.where:
        return issue
    whose = "" if issue.file == file else f"{issue.file}:"
    got = " ".join(part for part in (whose, issue.key if whose else "", issue.got) if part)
    return InputIssue(file, edit.place, got, issue.must_be, issue.hint)


def _put(raw: dict[str, Any], edit: Edit, model: Model, own: set[int]) -> Steps:
    """Put one value in; give where it went.

    Parameters
    ----------
    raw : dict
        What to put it in, a dict of its own.
    edit : Edit
    model : type
    own : set
        Identities of the tables and lists in it that are no other scenario's; grows.

    Raises
    ------
    RejectedValue
        If the path leads nowhere, or the value there cannot be changed so.
    """
    path, operator = parted(edit.key)
    place = steps(path, model)
    hint = follow(model, place)
    found = None if hint is None else _table_of(raw, place, model, own, new_tables=not operator)
    if found is None:
        raise RejectedValue("an unknown path", "the path of a key", nearest_path(path, raw, model))
    table, place = found
    last, value = place[-1], edit.value
    if operator:
        there = isinstance(table, list) or last in table
        value = changed(table[last] if there else _default(table, place, model), operator, value, hint)
    parent = submodel(follow(model, place[:-1]))
    optional = parent is not None and fields(parent)[str(last)].default is None
    if optional and value == ABSENT:
        table.pop(last, None)
    else:
        table[last] = value
    return place


def _table_of(
    raw: dict[str, Any], place: Steps, model: Model, own: set[int], new_tables: bool
) -> tuple[Any, Steps] | None:
    """Give the table or list that a path ends in, and the path in numbers; None if it is not there.

    What is on the way becomes the scenario's own. Tables that are left out are put in, empty; `new_tables`
    says whether those too that mean something else than left out.
    """
    table: Any = raw
    for depth, step in enumerate(place):
        if isinstance(table, list):
            number = step if isinstance(step, int) else item_number(table, step)
            if number >= len(table):
                return None
            place = (*place[:depth], number, *place[depth + 1 :])
        elif not isinstance(table, dict):
            return None
        if depth == len(place) - 1:
            return table, place
        if isinstance(table, dict) and step not in table:
            if not new_tables and _default(table, place[: depth + 1], model) is None:
                raise nothing_to_change()
            inside = follow(model, place[: depth + 1])
            if submodel(inside) is None and not is_free_table(inside):
                return None
            table[step] = {}
        inner = table[place[depth]]
        if id(inner) not in own:
            inner = table[place[depth]] = _copied(inner)
            own.add(id(inner))
        table = inner
    return None


def _copied(value: Any) -> Any:
    """Give a table or list of its own, with what is in the other; anything else as it is."""
    if isinstance(value, Mapping):
        return dict(value)
    return list(value) if isinstance(value, list | tuple) else value


def _default(table: Mapping[str, Any], place: Steps, model: Model) -> Any:
    """Give the default of a key that a table leaves out, None if there is none."""
    parent = follow(model, place[:-1])
    if is_free_table(parent):
        return None
    known, above = fields(submodel(parent) or model), dict(table)
    for key, field in known.items():
        if key not in above:
            above[key] = default(field, above)
    return above[str(place[-1])]
