"""Practical steps: every one is of a key that there is, and what it makes can be built."""

import re
from pathlib import Path

import pytest

import simcore
from simcore.errors import InputError
from simcore.rig.model import build
from simcore.studies.live.knobs import knobs
from simcore.studies.practical import STEPS, TYRES, candidates_of_each

SCENARIOS = Path(__file__).parents[3] / "scenarios"


@pytest.mark.parametrize("rig", ["fell", "gully", "scree"])
def test_every_step_of_a_shipped_rig_can_be_built_but_for_the_few_that_a_file_refuses(rig: str) -> None:
    scenario = simcore.load_scenario(SCENARIOS / "punchy_launch.toml").changed({"rig": f"rigs/{rig}.toml"})
    candidates = candidates_of_each(scenario)
    names = [one.name for one in candidates]
    assert len(set(names)) == len(names) > 80
    refused = []
    for one in candidates:
        try:
            build(scenario.edited(one.edits))
        except InputError:
            refused.append(one.name)
    assert len(refused) <= 0.05 * len(names), refused


def test_every_row_of_the_table_is_of_keys_that_there_are() -> None:
    paths = [
        knob.path
        for file in ("punchy_launch", "slow_creep", "rear_tyres", "grip", "launch_vs_creep")
        for knob in knobs(simcore.load_scenario(SCENARIOS / f"{file}.toml"))
    ]
    for row in STEPS:
        assert any(re.fullmatch(row.path, path) for path in paths), row.path


def test_larger_tyres_lift_the_whole_rig_and_change_nothing_else_of_it() -> None:
    """Geometry: seen from the axles, every place is where it was."""
    scenario = simcore.load_scenario(SCENARIOS / "punchy_launch.toml")
    (larger,) = [one for one in candidates_of_each(scenario) if "larger" in one.name]
    rig, other = scenario.rig, scenario.edited(larger.edits).rig
    for side in ("rear", "front"):
        own, new = getattr(rig, side), getattr(other, side)
        assert new.tyre.radius - own.tyre.radius == pytest.approx(1e-3 * TYRES)
        for link in ("lower_link", "upper_link"):
            for end in ("chassis", "axle"):
                before, after = getattr(getattr(own, link), end), getattr(getattr(new, link), end)
                assert after[0] == before[0]
                assert after[1] - new.tyre.radius == pytest.approx(before[1] - own.tyre.radius)
    assert other.chassis.cg[1] - rig.chassis.cg[1] == pytest.approx(1e-3 * TYRES)
