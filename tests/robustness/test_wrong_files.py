"""Every wrong file is refused with exactly the message that lies beside it; nothing else ever comes out."""

import contextlib
import copy
import tomllib
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tries import tries

from simcore.errors import InputError
from simcore.files import Scenario, load_rig, load_scenario, scenario_of
from simcore.files.schema import paths
from simcore.rig.model import build
from simcore.solve.settle import settle
from simcore.studies.measure import measure

FOLDER = Path(__file__).parent / "wrong_files"
CASES = sorted(path.stem for path in FOLDER.glob("*.txt"))
GOOD_RIG = tomllib.loads((FOLDER / "good_rig.toml").read_text(encoding="utf-8"))
GOOD = {
    "title": "Does it climb?",
    "rig": GOOD_RIG,
    "driver": {"control": "torque", "torque": [[0, 0], [0.1, 25]]},
    "ground": {"pieces": [{"length": 500}, {"ledge": 30}, {"length": 500, "slope": 20, "grip": 60}]},
    "variants": {"soft": {"rear.shock.springs.0.rate": 0.1}, "level": {"ground": {"slope": 0}}},
    "conclusion": {
        "claims": [["soft", "pitch_rise_deg", "above", "as given", 0.1]],
        "because": [
            {
                "cause": "the ledge",
                "settings": {"ground.pieces.1.ledge": 1},
                "effect": ["soft", "pitch_rise_deg"],
            }
        ],
        "holds_on": [{"on": "the level", "settings": {"ground": {"slope": 0}}, "holds": False}],
    },
}


def test_there_is_a_message_beside_every_wrong_file() -> None:
    wrong = {path.stem for path in FOLDER.glob("*.toml")} - {"good_rig"}
    assert wrong == set(CASES)
    assert len(CASES) >= 25


def stand(path: str) -> None:
    """Read a scenario and put its rig on the ground."""
    scenario = load_scenario(path)
    settle(scenario, build(scenario))


@pytest.mark.parametrize("case", CASES)
def test_wrong_file_gives_its_message(case: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(FOLDER)
    kinds = {"rig": load_rig, "scenario": load_scenario, "start": stand, "worksheet": measure}
    load = kinds[case.split("_")[0]]
    expected = Path(f"{case}.txt").read_text(encoding="utf-8").splitlines()
    with pytest.raises(InputError) as caught:
        load(f"{case}.toml")
    assert sorted(str(caught.value).splitlines()) == sorted(expected)


def test_good_files_are_taken() -> None:
    assert load_rig(FOLDER / "good_rig.toml").name == "Bench mule"
    assert set(scenario_of(GOOD, "good.toml").variants) == {"soft", "level"}


PATHS = [path for path in paths(Scenario, GOOD) if path[0] != "variants"]
NUMBERS = st.integers() | st.floats() | st.sampled_from([10**400, -0.0, 5e-324])
TEXTS = st.text(max_size=20) | st.from_regex(
    r"-?[0-9]{1,3}(\.[0-9])? ?(mm|in|N/mm|%|deg|lb|V|mm\*\*4)?", fullmatch=True
)
VALUES = st.recursive(
    NUMBERS | TEXTS | st.booleans() | st.dates(),
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(st.text(max_size=8), inner, max_size=3),
    max_leaves=6,
)


def put(raw: dict, path: tuple[str, ...], value: object, key: str) -> None:
    """Replace the value at a path, put it beside or take it out; an earlier edit may have cut the path."""
    table = raw
    with contextlib.suppress(KeyError, IndexError, TypeError, ValueError, AttributeError):
        for step in path[:-1]:
            table = table[int(step)] if isinstance(table, list) else table[step]
        if value is None:
            table.pop(int(path[-1]) if isinstance(table, list) else path[-1])
        elif isinstance(table, list):
            table[int(path[-1])] = value
        else:
            table[key or path[-1]] = value


EDITS = st.tuples(st.sampled_from(PATHS), st.none() | VALUES, st.just("") | st.text(max_size=5))


@tries(100, 400)
def test_a_mutated_scenario_is_a_model_or_bad_input(count: int) -> None:
    @settings(max_examples=count, deadline=None)
    @given(st.lists(EDITS, min_size=1, max_size=3))
    def look(edits: list) -> None:
        raw = copy.deepcopy(GOOD)
        for path, value, key in edits:
            put(raw, path, value, key)
        try:
            scenario = scenario_of(raw, "mutated.toml")
        except InputError as error:
            lines = str(error).splitlines()
            assert lines and all(": got " in line and ", must be " in line for line in lines)
        else:
            assert isinstance(scenario, Scenario)

    look()


KEYS = st.builds(
    "{}{}".format, st.sampled_from([".".join(p) for p in PATHS]), st.sampled_from(["", " +=", "-=", " *="])
)


@tries(80, 300)
def test_any_settings_give_a_scenario_or_bad_input(count: int) -> None:
    @settings(max_examples=count, deadline=None)
    @given(st.dictionaries(KEYS | st.text(max_size=12), VALUES, max_size=3))
    def look(changes: dict) -> None:
        scenario = scenario_of(GOOD, FOLDER / "settings.toml")
        try:
            assert isinstance(scenario.changed(changes), Scenario)
        except InputError as error:
            assert error.issues

    look()


NAMES = st.sampled_from(["a", "b", "c", "d"])
BUILT = st.fixed_dictionaries(
    {}, optional={"from": NAMES | VALUES, "with": NAMES | st.lists(NAMES, max_size=3) | VALUES}
)


@tries(50, 200)
def test_any_way_of_building_variants_gives_a_scenario_or_bad_input(count: int) -> None:
    @settings(max_examples=count, deadline=None)
    @given(st.dictionaries(NAMES, BUILT, max_size=4), st.dictionaries(NAMES, st.just({}), max_size=3))
    def look(variants: dict, common: dict) -> None:
        try:
            scenario = scenario_of({**GOOD, "variants": variants, "common": common}, FOLDER / "built.toml")
        except InputError as error:
            assert all(issue.key.startswith("variants.") for issue in error.issues)
            wrong = Scenario.model_validate({**GOOD, "variants": variants, "common": common})
            assert any(_refused(wrong, name) for name in variants)
        else:
            assert all(scenario.variant(name) == scenario.changed({}) for name in variants)

    look()


def _refused(scenario: Scenario, name: str) -> bool:
    try:
        scenario.variant(name)
    except InputError:
        return True
    return False


@tries(60, 200)
def test_damaged_bytes_give_a_rig_or_bad_input(tmp_path_factory: pytest.TempPathFactory, count: int) -> None:
    @settings(max_examples=count, deadline=None)
    @given(st.data())
    def look(data: st.DataObject) -> None:
        text = bytearray((FOLDER / "good_rig.toml").read_bytes())
        for _ in range(data.draw(st.integers(1, 4))):
            start = data.draw(st.integers(0, len(text) - 1))
            text[start : start + data.draw(st.integers(0, 30))] = data.draw(st.binary(max_size=4))
        path = tmp_path_factory.getbasetemp() / "damaged.toml"
        path.write_bytes(text)
        try:
            assert load_rig(path).name
        except InputError as error:
            assert all(fault.file == str(path) for fault in error.issues)

    look()
