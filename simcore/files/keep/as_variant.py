"""Writes settings into a scenario's file, as a variant of it; everything else in the file stays as it is."""

import re
import tomllib
from collections.abc import Iterator, Mapping
from contextlib import suppress
from pathlib import Path
from typing import Any

import tomlkit

from simcore.errors import InputError, InputIssue
from simcore.files.keep.on_disk import read, replace
from simcore.files.keep.opened import Opened
from simcore.files.reading import scenario_of
from simcore.files.scenario import Scenario
from simcore.files.variants import FROM, place_of
from simcore.units import show

MOST_LETTERS = 80  # of the name of a variant
_HEADER = re.compile(r"^[ \t]*\[", re.MULTILINE)


def save_variant(source: Opened, name: str, case: str, settings: Mapping[str, Any]) -> Path:
    """Write settings into the scenario's file, as a variant of it.

    Parameters
    ----------
    source : the scenario as it was read
    name : of the new variant
    case : that the settings change: the scenario itself, or a variant, on which the new one then builds
    settings : dotted path to value, as in a file

    Returns
    -------
    The file.

    Raises
    ------
    InputError
        If the name is taken or none, the settings are refused, or the file is not what was read any more;
        nothing is written then.
    """
    scenario, name = source.scenario, name.strip()
    _check_name(scenario, name)
    wanted = scenario.variant(case).changed(settings)
    if not settings:
        raise InputError(
            [InputIssue(str(scenario.path), place_of("variants", name), "no change", "one change or more")]
        )
    table = tomlkit.table()
    if case in scenario.variants:
        table[FROM] = case
    table.update(settings)
    block = tomlkit.document()
    block["variants"] = tomlkit.table(is_super_table=True).append(name, table)
    source.check_unchanged()
    path = scenario.path.resolve()
    text, layout = read(path)
    replace(path, layout.of(_with_block(text, block.as_string(), scenario, name, wanted)))
    return scenario.path


def _check_name(scenario: Scenario, name: str) -> None:
    taken = name == scenario.case or name in scenario.variants
    if not name or not name.isprintable() or len(name) > MOST_LETTERS or taken:
        got = f"{show(name)}, which is there already" if taken else show(name)
        must_be = f"a new name of at most {MOST_LETTERS} letters"
        raise InputError([InputIssue(str(scenario.path), "variants", got, must_be)])


def _with_block(text: str, block: str, scenario: Scenario, name: str, wanted: Scenario) -> str:
    """A scenario's text with a variant put in, in the first place where that is all it changes.

    Raises
    ------
    InputError
        If there is no such place, or the whole would be no valid file.
    """
    expected = tomllib.loads(text)
    expected["variants"] = {**expected.get("variants", {}), name: tomllib.loads(block)["variants"][name]}
    for place in _places(text):
        before, after = text[:place].rstrip("\n"), text[place:]
        whole = f"{before}\n\n{block.strip()}\n" + (f"\n{after}" if after else "")
        with suppress(ValueError):
            if tomllib.loads(whole) == expected:
                if scenario_of(expected, scenario.path).variant(name) == wanted:
                    return whole
                break
    must_be = "a file whose variants stand in tables of their own"
    raise InputError([InputIssue(str(scenario.path), "variants", "no place for another one", must_be)])


def _places(text: str) -> Iterator[int]:
    """Where a table may be put in: behind the variants there are, before the conclusion, at the end."""
    headers = [match.start() for match in _HEADER.finditer(text)]

    def begins(at: int, *names: str) -> bool:
        return text[at:].lstrip(" \t[").startswith(names)

    variants = [at for at in headers if begins(at, "variants")]
    if variants:
        yield from (_above(text, at) for at in headers if at > variants[-1])
    else:
        yield from (_above(text, at) for at in headers if begins(at, "conclusion"))
    yield len(text)


def _above(text: str, header: int) -> int:
    """Begin of a header's line, or of the comment right above it."""
    lines = text[:header].split("\n")[:-1]
    while lines and lines[-1].lstrip().startswith("#"):
        lines.pop()
    return sum(len(line) + 1 for line in lines)
