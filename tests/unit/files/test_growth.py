"""What keeps large files quick to read changes nothing of what they say."""

import pickle
import re
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from simcore.errors import InputError, RejectedValue
from simcore.files import load_scenario
from simcore.files.axes import axis_values
from simcore.files.reading import scenario_of
from simcore.files.scenario import Scenario
from simcore.files.source import read_toml
from simcore.files.steps import _split, steps
from simcore.files.syntax import MOST_PARTS

CREEP = Path(__file__).parents[3] / "scenarios" / "slow_creep.toml"
DOT = re.compile(
    r"\.(?![^\[\]]*\])"
)  # not before a closing bracket; looks to the end of the path for every dot


@pytest.fixture(scope="module")
def creep() -> Scenario:
    return load_scenario(CREEP)


@given(st.text("ab.[]"))
def test_a_path_is_split_at_dots_that_no_bracket_closes_over(path: str) -> None:
    assert _split(path) == DOT.split(path)


def test_names_in_brackets_keep_their_dots() -> None:
    assert steps("parts[battery, 3.7 V].at.1", Scenario) == ("rig", "parts", "battery, 3.7 V", "at", 1)
    assert steps("parts.0.at.1", Scenario) == ("rig", "parts", 0, "at", 1)


def test_a_case_shares_what_no_setting_changes(creep: Scenario) -> None:
    steeper = creep.changed({"ground.slope": 30})
    assert steeper.rig is creep.rig
    assert steeper.ground is not creep.ground
    heavier = creep.changed({"parts.0.mass": 100})
    assert heavier.rig != creep.rig
    assert heavier.ground is creep.ground


def test_a_change_leaves_the_original_alone(creep: Scenario) -> None:
    before = pickle.dumps(creep.table)
    creep.changed({"parts.0.mass+=": 5, "ground.slope": 30, "goal.reach": 100})
    creep.changed({"parts.0.mass+=": 5}, keep_variants=True)
    assert pickle.dumps(creep.table) == before
    assert creep.changed({"parts.0.mass+=": 5}) == creep.changed({"parts.0.mass+=": 5})


def test_what_was_worked_out_by_the_way_is_no_part_of_a_scenario(creep: Scenario) -> None:
    fresh, used = load_scenario(CREEP), load_scenario(CREEP)
    used.changed({"ground.slope": 30})
    assert fresh == used
    assert pickle.loads(pickle.dumps(used)) == fresh
    assert len(pickle.dumps(used)) == len(pickle.dumps(fresh))


@pytest.mark.parametrize("values", [[1, 2, 1.0], ["a", "b", "a"], [[1], [2], [1]], [True, 1]])
def test_a_value_twice_is_refused(values: list[object]) -> None:
    with pytest.raises(RejectedValue, match="twice"):
        axis_values(values)


def test_lists_may_be_values_of_an_axis() -> None:
    assert axis_values([[1, 2], [2, 1]]) == ([1, 2], [2, 1])


@pytest.mark.parametrize("join", [".", " . ", '."b c".'])
def test_a_key_of_too_many_parts_is_refused_with_its_line(join: str, tmp_path: Path) -> None:
    path = tmp_path / "long.toml"
    path.write_text("title = 'x'\n" + join.join(["a"] * (MOST_PARTS + 2)) + " = 1\n")
    with pytest.raises(InputError) as caught:
        read_toml(path)
    (issue,) = caught.value.issues
    assert issue.key == "line 2"
    assert "parts between dots" in issue.got


def test_text_and_lists_with_many_dots_are_none(tmp_path: Path) -> None:
    path = tmp_path / "dots.toml"
    path.write_text(f"note = '{'Wait... and see. ' * 500}'\nrows = [{'0.1, ' * 500}]\na.b.c = 1\n")
    assert read_toml(path)["a"] == {"b": {"c": 1}}


def test_variants_of_variants_have_the_settings_of_all(creep: Scenario) -> None:
    variants = {"v0": {"ground.slope": 20}}
    variants |= {f"v{k}": {"from": f"v{k - 1}", "parts.0.mass+=": 1} for k in range(1, 20)}
    raw = creep.raw | {"variants": variants}
    del raw["conclusion"]
    last = scenario_of(raw, CREEP).variant("v19")
    assert last.rig.parts[0].mass == pytest.approx(creep.rig.parts[0].mass + 0.019)
    assert last.ground == creep.changed({"ground.slope": 20}).ground
