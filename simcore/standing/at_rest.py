"""A rig file alone as a scenario: the rig stands on one plane, held by its drag brake."""

import dataclasses
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from simcore.compiled import StateRecord
from simcore.errors import InputError, InputIssue
from simcore.files import Rig, Scenario, load_rig, scenario_of
from simcore.files.schema import written
from simcore.rig.course import flat_ground
from simcore.rig.model import Model, build
from simcore.solve.settle import settle

HELD = {"control": "torque", "torque": [[0, 0]], "brake": [[0, 100]]}


def standing_scenario(rig: Rig | str | Path, slope_deg: float = 0.0) -> Scenario:
    """Scenario of a rig that stands on a slope, from the rig or its file.

    Its `changed` takes settings as any scenario does; issues name the rig file and the rig's own keys.

    Raises
    ------
    InputError
        with every issue of the rig file, or when the slope is out of range.
    """
    path = Path("rig") if isinstance(rig, Rig) else Path(rig)
    table = {
        "title": "How does it stand?",
        "rig": written(rig if isinstance(rig, Rig) else load_rig(path), Rig),
        "ground": {"slope": slope_deg},
        "driver": HELD,
    }
    try:
        return scenario_of(table, path)
    except InputError as error:  # the rig is sound, so it is the slope
        issues = [InputIssue("slope", "", issue.got, issue.must_be) for issue in error.issues]
        raise InputError(issues) from None


@contextmanager
def _blaming_the_rig() -> Iterator[None]:
    """Name keys as the rig file has them; what only the ground is to blame for names no key."""
    try:
        yield
    except InputError as error:
        issues = []
        for issue in error.issues:
            key = issue.key.removeprefix("rig.") if issue.key.startswith("rig.") else ""
            issues.append(dataclasses.replace(issue, key=key))
        raise InputError(issues) from None


def stand_up(scenario: Scenario) -> tuple[Model, StateRecord, Model, StateRecord]:
    """Model and settled state of the rig on its slope, and the same on the level.

    Raises
    ------
    InputError
        when the rig cannot be built or cannot stand there, or the ground is no plane.
    """
    if scenario.ground.pieces:
        got, must_be = f"a course of {len(scenario.ground.pieces)} pieces", "left out: facts are of one plane"
        raise InputError([InputIssue(str(scenario.path), "ground.pieces", got, must_be)])
    with _blaming_the_rig():
        model = build(scenario)
        level = dataclasses.replace(model, pieces=flat_ground())
        at_rest = settle(scenario, level)
        here = settle(scenario, model) if scenario.ground.slope else at_rest
    return model, here, level, at_rest
