"""A rig in the place of a scenario and the other way round: told as what they are, and nothing else is."""

import tomllib
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

import simcore
from simcore.errors import InputError
from simcore.files import Rig, Scenario
from simcore.files.kinds import OF_A_RIG, OF_A_SCENARIO, is_rig, is_scenario
from simcore.files.schema import fields, hints

SCENARIOS = Path(__file__).parents[3] / "scenarios"


def test_the_telling_keys_are_required_and_of_one_kind_only() -> None:
    for keys, model, other in ((OF_A_RIG, Rig, Scenario), (OF_A_SCENARIO, Scenario, Rig)):
        assert all(fields(model)[key].is_required() for key in keys)
        assert not set(keys) & set(hints(other))


@pytest.mark.parametrize("path", sorted(SCENARIOS.glob("rigs/*.toml")), ids=lambda path: path.stem)
def test_shipped_rigs_are_told_from_scenarios(path: Path) -> None:
    table = tomllib.loads(path.read_text(encoding="utf-8"))
    assert is_rig(table) and not is_scenario(table)
    with pytest.raises(InputError) as caught:
        simcore.load_scenario(path)
    assert len(caught.value.issues) == 1
    assert f"`simcore inspect {path}`" in str(caught.value) and f'rig = "{path}"' in str(caught.value)


@pytest.mark.parametrize("path", sorted(SCENARIOS.glob("*.toml")), ids=lambda path: path.stem)
def test_shipped_scenarios_are_told_from_rigs(path: Path) -> None:
    table = tomllib.loads(path.read_text(encoding="utf-8"))
    assert is_scenario(table) and not is_rig(table)
    for take in (simcore.load_rig, simcore.inspect):
        with pytest.raises(InputError) as caught:
            take(path)
        assert len(caught.value.issues) == 1
        assert f"`simcore run {path}`" in str(caught.value)
        assert f"its rig is the file {SCENARIOS / table['rig']}" in str(caught.value)


def test_a_scenario_with_its_rig_inside_says_where_that_is(tmp_path: Path) -> None:
    inside = simcore.load_scenario(SCENARIOS / "weight.toml").to_toml()
    (tmp_path / "inside.toml").write_text(inside, encoding="utf-8")
    with pytest.raises(InputError, match=r"its rig is its table \[rig\]"):
        simcore.load_rig(tmp_path / "inside.toml")


KEYS = st.sets(st.sampled_from(sorted({*hints(Rig), *hints(Scenario), "x"})))


@given(KEYS)
def test_no_table_is_both(keys: set[str]) -> None:
    table = dict.fromkeys(keys, 1)
    assert not (is_rig(table) and is_scenario(table))


@pytest.mark.parametrize("left_out", sorted(hints(Rig)))
def test_a_rig_without_one_key_is_still_one(left_out: str) -> None:
    table = dict.fromkeys(set(hints(Rig)) - {left_out} | {"title", "ground"}, 1)
    assert is_rig(table)


@pytest.mark.parametrize("left_out", sorted(hints(Scenario)))
def test_a_scenario_without_one_key_is_still_one(left_out: str) -> None:
    """Also one into which a table of the rig has been written."""
    table = dict.fromkeys(set(hints(Scenario)) - {left_out} | {"name", "chassis", "motor"}, 1)
    assert is_scenario(table) and not is_rig(table)


@pytest.mark.parametrize("keys", [set(), {"title"}, {"ground", "end"}, {"name", "motor"}])
def test_what_is_neither_gets_the_list_of_what_is_wrong(keys: set[str]) -> None:
    table = dict.fromkeys(keys, 1)
    assert not is_rig(table) and not is_scenario(table)
