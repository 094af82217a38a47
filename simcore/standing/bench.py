"""A rig file alone as a scenario: the rig stands on one plane, held by its drag brake."""

import dataclasses
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from simcore.compiled import Record
from simcore.faults import BadInput, Fault
from simcore.files.read import load_rig, scenario_of
from simcore.files.scenario import Scenario
from simcore.rig.course import flat_ground
from simcore.rig.model import Model, build
from simcore.settle import settle

HELD = {"control": "torque", "torque": [[0, 0]], "brake": [[0, 100]]}


def standing_scenario(rig_path: str | Path, slope_deg: float = 0.0) -> Scenario:
    """Scenario of a rig that stands on a slope, from its rig file.

    Its `changed` takes settings as any scenario does; faults name the rig file and the rig's own keys.

    Raises
    ------
    BadInput
        with every fault of the rig file, or when the slope is out of range.
    """
    path = Path(rig_path)
    load_rig(path)
    table = {
        "title": "How does it stand?",
        "rig": path.name,
        "ground": {"slope": slope_deg},
        "driver": HELD,
    }
    try:
        return scenario_of(table, path)
    except BadInput as error:  # the rig is sound, so it is the slope
        raise BadInput(Fault("slope", "", fault.got, fault.must_be) for fault in error.faults) from None


@contextmanager
def _blaming_the_rig() -> Iterator[None]:
    """Name keys as the rig file has them; what only the ground is to blame for names no key."""
    try:
        yield
    except BadInput as error:
        faults = []
        for fault in error.faults:
            key = fault.key.removeprefix("rig.") if fault.key.startswith("rig.") else ""
            faults.append(dataclasses.replace(fault, key=key))
        raise BadInput(faults) from None


def stand_up(scenario: Scenario) -> tuple[Model, Record, Model, Record]:
    """Model and settled state of the rig on its slope, and the same on the level.

    Raises
    ------
    BadInput
        when the rig cannot be built or cannot stand there, or the ground is no plane.
    """
    if scenario.ground.pieces:
        got, must_be = f"a course of {len(scenario.ground.pieces)} pieces", "left out: facts are of one plane"
        raise BadInput([Fault(str(scenario.path), "ground.pieces", got, must_be)])
    with _blaming_the_rig():
        model = build(scenario)
        level = dataclasses.replace(model, pieces=flat_ground())
        at_rest = settle(scenario, level)
        here = settle(scenario, model) if scenario.ground.slope else at_rest
    return model, here, level, at_rest
