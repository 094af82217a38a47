"""What is wrong with the settings of a conclusion's trials, each put over the cases that it is tried on."""

from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from pydantic import ValidationError

from simcore.errors import InputIssue
from simcore.files.cases import case_issues
from simcore.files.conclusion import CAUSES, Because, HoldsOn, cases_in
from simcore.files.relative import parted
from simcore.files.scenario import Scenario
from simcore.files.settings import Edit, apply, edits
from simcore.files.steps import steps
from simcore.files.variants import edits_of, issues_of


def edits_tried(key: str, row: Because | HoldsOn) -> list[Edit]:
    """Give the settings of a trial.

    Parameters
    ----------
    key : str
        Of the trial, as in `Conclusion.tried`.
    row : Because or HoldsOn
    """
    return edits(row.settings, f"{key}.settings")


def settings_issues(scenario: Scenario, key: str, row: Because | HoldsOn) -> Iterator[InputIssue]:
    """Give what is wrong with the settings of a trial.

    They refuse no file: a conclusion that was copied with its file may speak of what is not there.

    Parameters
    ----------
    scenario : Scenario
        With its conclusion.
    key, row
        As for `edits_tried`.
    """
    own, raw = edits_tried(key, row), scenario.raw_case
    strange = [edit for edit in own if isinstance(row, Because) and not _can_be_cause(edit)]
    for edit in strange:
        got, must_be = "a key that can be no cause", f"a key of {', '.join(CAUSES[:-1])} or {CAUSES[-1]}"
        yield InputIssue(str(scenario.path), edit.place, got, must_be)
    own = [edit for edit in own if edit not in strange]
    for case in _cases(scenario, row):
        yield from edited_issues(scenario, raw, f"{key}.settings", [*case, *own])


def _can_be_cause(edit: Edit) -> bool:
    """Whether a setting is of what happens, not of how it is measured; one that leads nowhere may be."""
    return steps(parted(edit.key)[0], Scenario)[0] in CAUSES


def _cases(scenario: Scenario, row: Because | HoldsOn) -> Iterator[list[Edit]]:
    """Settings of the variants that a trial names, and of the scenario itself where it names anything else.

    Variants that are faulty themselves are told of elsewhere.
    """
    variants, common = scenario.variants, scenario.common
    named: list[str] = []
    if isinstance(row, Because):
        case, _, other = row.effect
        named += [case, *([other] if other == scenario.case or other in variants else ())]
    for claim in row.claims or (() if named else scenario.conclusion.claims):
        named += cases_in(claim)
    if not named or any(name not in variants for name in named):
        yield []
    for name in dict.fromkeys(name for name in named if name in variants):
        if not any(issues_of(name, variants, common, str(scenario.path))):
            yield edits_of(name, variants, common)


def edited_issues(
    scenario: Scenario, raw: Mapping[str, Any], here: str, changes: Sequence[Edit]
) -> Iterator[InputIssue]:
    """Give what is wrong with a raw scenario that settings are put over, see `case_issues`."""
    file = str(scenario.path)
    applied, error = apply(raw, changes, Scenario, file), None
    try:
        raw = {key: value for key, value in applied.raw.items() if key != "rigs"}
        Scenario.model_validate(scenario.with_own(raw, applied), context=scenario.stated_errors)
    except ValidationError as caught:
        error = caught
    return case_issues(applied, error, Scenario, file, here)
