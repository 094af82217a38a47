"""Reads rig and scenario files: all issues at once, each with its file and key."""

from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

from simcore.errors import InputError, InputIssue
from simcore.files.axes import CASE, JOINT, ONLY_VALUES, settings_of
from simcore.files.check import check
from simcore.files.kinds import expect_rig, expect_scenario
from simcore.files.older import renewed
from simcore.files.relative import parted
from simcore.files.rig import Rig
from simcore.files.rigs import with_named_rigs
from simcore.files.scenario import OTHER_CASES, Scenario
from simcore.files.settings import Edit, apply, edits
from simcore.files.source import read_rig, read_toml
from simcore.files.steps import Steps
from simcore.files.trials import edited_issues
from simcore.files.variants import edits_of, issues_of, place_of

A_CASE = "the path of a number or word that changes the run; cases are [variants]"
NO_SUCH_VARIANT = "a path that no variant sets (the axis comes after it); sweep --variant NAME runs one case"


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
    scenario = check(Scenario, raw, str(path), rig_file=rig_file).from_file(path, rig_file)
    case = {key: value for key, value in raw.items() if key not in OTHER_CASES}
    issues = [
        *_variants_issues(scenario, case),
        *_axes_issues(scenario, case),
        *_conditions_issues(scenario, case),
    ]
    if issues:
        raise InputError(dict.fromkeys(issues))
    return scenario


def with_axes(scenario: Scenario, axes: Mapping[str, Any]) -> Scenario:
    """Give a scenario with other axes of a sweep, checked as if they stood in its file.

    Its variants stay, to be run along these axes. Of its conclusion all but what to draw is left out: it
    speaks of other runs.

    Parameters
    ----------
    scenario : Scenario
    axes : mapping
        Dotted path (or paths joined by "+") to values; empty for no axes.

    Raises
    ------
    InputError
        With every issue found.
    """
    return scenario_of(_to_draw(scenario) | {"vary": dict(axes)}, scenario.path)


def case_alone(scenario: Scenario, name: str) -> Scenario:
    """Give one case of a scenario, without the others, with the axes of its file.

    Of its conclusion all but what to draw is left out: it speaks of all cases.

    Raises
    ------
    InputError
        If there is no such case.
    """
    raw = _to_draw(scenario.edited(scenario.edits_of(name), keep_variants=True))
    return scenario_of({key: raw[key] for key in raw if key not in ("variants", "common")}, scenario.path)


def _to_draw(scenario: Scenario) -> dict[str, Any]:
    """Give a raw scenario that concludes nothing, but still says what to draw."""
    raw = {key: value for key, value in scenario.raw.items() if key != "conclusion"}
    shown = list(scenario.conclusion.shown)
    return raw | {"conclusion": {"shown": shown}} if shown else raw


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


def _conditions_issues(scenario: Scenario, raw: Mapping[str, Any]) -> Iterator[InputIssue]:
    """Give what is wrong with the conditions under which changes are ranked."""
    for name, settings in scenario.rank.conditions.items():
        where = place_of("rank.conditions", name)
        yield from dict.fromkeys(edited_issues(scenario, raw, where, edits(settings, where)))


def _axes_issues(scenario: Scenario, raw: Mapping[str, Any]) -> Iterator[InputIssue]:
    """Give what is wrong with the values of a sweep's axes, each value by itself."""
    file = str(scenario.path)
    for path, values in scenario.vary.items():
        if parted(path)[1]:
            yield InputIssue(file, f'vary."{path}"', "a change of a value", ONLY_VALUES)
            continue
        if CASE in (one.strip() for one in path.split(JOINT)):
            yield InputIssue(file, f'vary."{path}"', "the name of a case", A_CASE)
            continue
        found = [
            issue
            for value in values
            for issue in edited_issues(scenario, raw, "vary", edits(settings_of(path, value), "vary"))
        ]
        yield from dict.fromkeys(found or _hidden_variants(scenario, raw, path, values[0]))


def _hidden_variants(
    scenario: Scenario, raw: Mapping[str, Any], path: str, value: Any
) -> Iterator[InputIssue]:
    """Give the settings of variants that an axis would undo, so that their cases were not what they say."""
    file = str(scenario.path)
    axis = apply(raw, edits(settings_of(path, value)), Scenario, file).placed
    for name in scenario.variants:
        if any(issues_of(name, scenario.variants, scenario.common, file)):
            continue
        own = apply(raw, edits_of(name, scenario.variants, scenario.common), Scenario, file).placed
        for place, edit in own.items():
            if any(_undoes(over, by, place, edit) for over, by in axis.items()):
                yield InputIssue(file, f'vary."{path}"', f"an axis that undoes {edit.place}", NO_SUCH_VARIANT)


def _undoes(over: Steps, by: Edit, place: Steps, edit: Edit) -> bool:
    """Say whether a later setting leaves nothing of an earlier one; another rig comes before either."""
    return edit.names_a_rig if by.names_a_rig else place[: len(over)] == over
