"""The line that repeats a change is taken by a shell and by `--set` as what it stands for."""

import shlex
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from simcore.errors import InputError
from simcore.files import load_scenario, parse_setting
from simcore.files.keep.typed import command

SCENARIO = load_scenario(Path(__file__).parents[4] / "scenarios" / "launch_vs_creep.toml")
NUMBERS = st.one_of(st.integers(-(2**53), 2**53), st.floats(allow_nan=False, allow_infinity=False))
VALUES = st.one_of(
    NUMBERS, st.booleans(), st.text(), st.lists(st.lists(NUMBERS, min_size=2, max_size=2), max_size=4)
)


@given(VALUES)
def test_what_is_typed_is_what_was_set(value: object) -> None:
    line = command(SCENARIO, SCENARIO.case, {"rear.shock.stroke": value})
    *words, option, typed = shlex.split(line)
    assert words == ["simcore", "run", str(SCENARIO.path)] and option == "--set"
    path, read = parse_setting(typed)
    assert (path, read, type(read)) == ("rear.shock.stroke", value, type(value))


@pytest.mark.parametrize("key", ["ground.slope +=", "ground.slope+=", "parts[battery].at.1 -=", "a *="])
def test_changes_of_a_value_are_typed_as_such(key: str) -> None:
    *_, typed = shlex.split(command(SCENARIO, SCENARIO.case, {key: 1.5}))
    path, value = parse_setting(typed)
    assert (path.replace(" ", ""), value) == (key.replace(" ", ""), 1.5)


def test_a_variant_is_named_and_settings_keep_their_order() -> None:
    settings = {"rig": "rigs/fell.toml", "ground.slope": 20, "driver.control": "torque"}
    words = shlex.split(command(SCENARIO, "60 ms punch", settings))
    assert words[3:] == [
        *("--variant", "60 ms punch"),
        *("--set", "rig=rigs/fell.toml", "--set", "ground.slope=20", "--set", "driver.control=torque"),
    ]


@pytest.mark.parametrize("case, settings", [("no such case", {}), (SCENARIO.case, {"rear.x": object()})])
def test_what_nobody_can_type_is_refused(case: str, settings: dict[str, object]) -> None:
    with pytest.raises(InputError):
        command(SCENARIO, case, settings)
