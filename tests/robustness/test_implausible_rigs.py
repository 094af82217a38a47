"""Whatever a rig file says, looking for slips in it raises nothing; what is shipped has none."""

import copy
import warnings
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis.strategies import SearchStrategy
from standing import Raw, standing_rigs
from strategies import SLOW, raw_rigs
from tries import tries

from simcore.errors import InputError
from simcore.files import load_rig, load_scenario, scenario_of
from simcore.plausibility.check import check_rig
from simcore.plausibility.warn import ImplausibleRig, warn_of_rig
from simcore.standing.at_rest import standing_scenario

FOLDER = Path(__file__).parents[2] / "scenarios"
RIGS = sorted((FOLDER / "rigs").glob("*.toml"))
CASES = sorted(FOLDER.glob("*.toml"))


def looked_at(raw: Raw) -> None:
    table = {"title": "drawn", "rig": raw, "driver": {"control": "torque", "torque": [[0, 0]]}}
    try:
        scenario = scenario_of(copy.deepcopy(table), "drawn.toml")
    except InputError:  # a drawn rig whose places do not go together
        return
    for one in check_rig(scenario):
        line = str(one)
        assert line.startswith("drawn.toml: ")
        assert one.got in line and one.usual in line and "\n" not in line
        assert "nan" not in one.got and "nan" not in one.usual


def look_at_many(rigs: SearchStrategy[Raw], count: int) -> None:
    settings(max_examples=count, suppress_health_check=SLOW)(given(rigs)(looked_at))()


@tries(12, 300)
def test_rigs_that_stand_raise_nothing(count: int) -> None:
    look_at_many(standing_rigs(), count)


@tries(12, 300)
def test_rigs_over_all_that_files_may_say_raise_nothing(count: int) -> None:
    look_at_many(raw_rigs(), count)


@pytest.mark.parametrize("path", RIGS, ids=lambda path: path.stem)
def test_shipped_rigs_are_not_warned_of(path: Path) -> None:
    assert check_rig(standing_scenario(load_rig(path))) == []


@pytest.mark.parametrize("path", CASES, ids=lambda path: path.stem)
def test_shipped_scenarios_and_their_variants_are_not_warned_of(path: Path) -> None:
    with warnings.catch_warnings():
        warnings.simplefilter("error", ImplausibleRig)
        warn_of_rig(load_scenario(path))
