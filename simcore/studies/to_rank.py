"""What of a scenario is ranked: changes, conditions, draws; and the search of a slope as a run."""

from simcore.accounts.job import JobState
from simcore.errors import InputError, InputIssue
from simcore.files.relative import parted
from simcore.files.scenario import Scenario
from simcore.files.settings import Edit, edits
from simcore.files.variants import place_of
from simcore.results.ranked import FEWEST
from simcore.results.store import WHY, Row, program
from simcore.studies.execute import row_of
from simcore.studies.practical import (
    Candidate,
    candidates_of_each,
    candidates_of_variants,
    unknown_steps,
)
from simcore.studies.ranked_by import CLIMBED
from simcore.studies.ranking import AS_IT_STANDS

DRAWS = 40
"""From 39 on the ends of an interval of 95 % ask for no bell curve."""


def climbs(scenario: Scenario) -> tuple[str, Row]:
    """Search the steepest slope that a case climbs: the program that did it, and what it found as a row."""
    from simcore.studies.limit import find_limit

    def searched() -> Row:
        (found,) = find_limit(scenario).cases.values()
        known = found.sharp and not found.unsound
        state = JobState.DONE if known else JobState.UNKNOWN
        return {"job": state.name, CLIMBED: found.climbs_deg if known else None, WHY: found.why}

    return program(), row_of(searched)


def without_axes(scenario: Scenario) -> Scenario:
    """Give a scenario without the axes of a sweep, which have no say in a ranking."""
    return scenario.model_copy(update={"vary": {}}).from_file(scenario.path, scenario.rig_file)


def candidates_of(scenario: Scenario, each: bool) -> list[Candidate]:
    """Give the changes to rank: variants, or steps of every number; raises InputError if there are none."""
    issues = [
        InputIssue(str(scenario.path), place_of("rank.steps", path), refusal.got, refusal.must_be)
        for path, refusal in (unknown_steps(scenario) if each else ())
    ]
    if issues:
        raise InputError(issues)
    found = candidates_of_each(scenario) if each else candidates_of_variants(scenario)
    if not found:
        must_be = 'at least one, as [variants."a name"]; or --each, for a practical step of every number'
        raise InputError([InputIssue(str(scenario.path), "variants", "none", must_be)])
    return found


def conditions_of(scenario: Scenario) -> dict[str, list[Edit]]:
    """Settings of every condition; a change must not undo what one sets."""
    given, file = scenario.rank.conditions, str(scenario.path)
    issues = []
    if AS_IT_STANDS in given:
        got = f'"{AS_IT_STANDS}", which is the name of the file without any'
        issues.append(InputIssue(file, "rank.conditions", got, "a name of its own"))
    for name, settings in given.items():
        where = place_of("rank.conditions", name)
        paths = {parted(key)[0].removeprefix("rig.") for key in settings}
        for variant in scenario.variants:
            undone = sorted(
                path
                for edit in scenario.edits_of(variant)
                if not parted(edit.key)[1] and (path := edit.key.strip().removeprefix("rig.")) in paths
            )
            if undone:
                got = f'{undone[0]}, which the variant "{variant}" replaces'
                must_be = "a key that no variant replaces; one that changes it (+=, *=) may"
                issues.append(InputIssue(file, where, got, must_be))
    if issues:
        raise InputError(issues)
    own = {name: edits(settings, place_of("rank.conditions", name)) for name, settings in given.items()}
    return {AS_IT_STANDS: []} | own


def count_of(scenario: Scenario, draws: int | None) -> int:
    """Say how often to draw: as asked, as the file says, else `DRAWS`."""
    given = draws if draws is not None else scenario.rank.draws
    count = DRAWS if given is None else given
    if count != int(count) or not (count == 0 or count >= FEWEST):
        where = ("--draws", "") if draws is not None else (str(scenario.path), "rank.draws")
        must_be = f"a whole number from {FEWEST} on, of fewer no interval is known; 0 for none"
        raise InputError([InputIssue(*where, f"{count:g}", must_be)])
    return int(count)
