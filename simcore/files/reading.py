"""Reads rig and scenario files: all issues at once, each with its file and key."""

from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

from simcore.errors import InputError, InputIssue
from simcore.files.axes import ONLY_VALUES, settings_of
from simcore.files.check import check
from simcore.files.kinds import expect_rig, expect_scenario
from simcore.files.older import renewed
from simcore.files.relative import parted
from simcore.files.rig import Rig
from simcore.files.rigs import with_named_rigs
from simcore.files.scenario import STUDIED, Scenario
from simcore.files.settings import apply, edits
from simcore.files.source import read_rig, read_toml
from simcore.files.trials import edited_issues
from simcore.files.variants import edits_of, issues_of, place_of


def load_rig(path: str | Path) -> Rig:
    """Read a rig file.

    Parameters
    ----------
    path : str or Path
        The file.

    Returns
    -------
    Rig
        The checked rig, in SI.

    Raises
    ------
    InputError
        With every issue found.
    """
    table = read_toml(Path(path))
    expect_rig(table, Path(path))
    return check(Rig, table, str(path))


def load_scenario(path: str | Path) -> Scenario:
    """Read a scenario file, the rig file it names, and check all its variants and the values of its axes.

    Parameters
    ----------
    path : str or Path
        The file.

    Returns
    -------
    Scenario
        The checked scenario, in SI.

    Raises
    ------
    InputError
        With every issue found.
    """
    table = read_toml(Path(path))
    expect_scenario(table, Path(path))
    return scenario_of(table, path)


def scenario_of(table: Mapping[str, Any], path: str | Path) -> Scenario:
    """Give the scenario that a table says, as if it had been read from a file.

    Parameters
    ----------
    table : mapping
        What the file would say, in bench units.
    path : str or Path
        The file to name in issues, and to look for the rig file from.

    Raises
    ------
    InputError
        With every issue found.
    """
    path, raw = Path(path), renewed(table)
    try:
        rig_file = _put_rig_in(raw, path)
    except InputError as error:
        raise InputError([*error.issues, *_issues_beside_the_rig(raw, path)]) from None
    raw = with_named_rigs(raw, path)
    scenario = check(Scenario, raw, str(path), rig_file=rig_file).from_file(path)
    issues = [
        *_variants_issues(scenario, raw),
        *_axes_issues(scenario, raw),
    ]
    if issues:
        raise InputError(dict.fromkeys(issues))
    return scenario


def with_axes(scenario: Scenario, axes: Mapping[str, Any]) -> Scenario:
    """Give a scenario with other axes of a sweep, checked as if they stood in its file.

    Its variants are left out, and of its conclusion all but what to draw: neither speaks of these runs.

    Parameters
    ----------
    scenario : Scenario
    axes : mapping
        Dotted path (or paths joined by "+") to values.

    Raises
    ------
    InputError
        With every issue found.
    """
    raw = {key: value for key, value in scenario.raw.items() if key not in STUDIED}
    if scenario.conclusion.shown:
        raw["conclusion"] = {"shown": list(scenario.conclusion.shown)}
    return scenario_of(raw | {"vary": dict(axes)}, scenario.path)


def _put_rig_in(raw: dict[str, Any], path: Path) -> str:
    """Replace the name of a rig file by its contents; give the name, "" if the rig stands in the scenario."""
    named = raw.get("rig")
    if not isinstance(named, str):
        return ""
    raw["rig"] = read_rig(named, path)
    return str(path.parent / named)


def _issues_beside_the_rig(raw: Mapping[str, Any], path: Path) -> Iterator[InputIssue]:
    """Give what else is wrong with a scenario whose rig cannot be read."""
    try:
        check(Scenario, {key: value for key, value in raw.items() if key != "rig"}, str(path))
    except InputError as error:
        yield from (issue for issue in error.issues if issue.key != "rig")


def _variants_issues(scenario: Scenario, raw: Mapping[str, Any]) -> Iterator[InputIssue]:
    """Give what is wrong with the variants, and with the sets of settings that none of them takes."""
    file, used = str(scenario.path), set[str]()
    issues: list[InputIssue] = []
    for name in scenario.variants:
        wrong = list(issues_of(name, scenario.variants, scenario.common, file))
        own = [] if wrong else edits_of(name, scenario.variants, scenario.common)
        used |= {edit.where for edit in own}
        issues += wrong or edited_issues(scenario, raw, place_of("variants", name), own)
    for name, settings in scenario.common.items():
        where = place_of("common", name)
        if where not in used:  # for its own sake: what it makes of a rig depends on who takes it
            issues += apply(raw, edits(settings, where), Scenario, file).issues
    yield from dict.fromkeys(issues)


def _axes_issues(scenario: Scenario, raw: Mapping[str, Any]) -> Iterator[InputIssue]:
    """Give what is wrong with the values of a sweep's axes, each value by itself."""
    file = str(scenario.path)
    for path, values in scenario.vary.items():
        if parted(path)[1]:
            yield InputIssue(file, f'vary."{path}"', "a change of a value", ONLY_VALUES)
            continue
        found = [
            issue
            for value in values
            for issue in edited_issues(scenario, raw, "vary", edits(settings_of(path, value), "vary"))
        ]
        yield from dict.fromkeys(found)
