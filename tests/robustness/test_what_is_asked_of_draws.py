"""Whatever [spread] and [rank] hold is drawn and ranked, or refused: every fault with its file and key."""

import math
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from test_wrong_files import FOLDER, GOOD, PATHS, VALUES
from tries import tries

from simcore.errors import InputError
from simcore.files import Scenario, scenario_of
from simcore.studies import kept_runs
from simcore.studies.drawn import draws_of
from simcore.studies.rank import rank

FILE = str(FOLDER / "asked.toml")
PROGRAM = "__import__('pathlib').Path('executed').touch()"
ODD = st.just(PROGRAM) | VALUES
SIZES = st.sampled_from(["5 g", "1 mm", "3 %", "1 deg", "1e999 mm", "nan", 0.5, -1, 10**400])
GUESSES = st.fixed_dictionaries({"from": SIZES | ODD, "to": SIZES | ODD})
NUMBERS = st.sampled_from([".".join(path) for path in PATHS]) | st.sampled_from(
    ["chassis.mass", "rig.chassis.mass", "ground.pieces.2.slope", "rear.shock.springs.0.rate", PROGRAM]
)
SPREADS = st.dictionaries(
    NUMBERS | st.from_regex(r"[a-z0-9. ]{0,6}[a-z.]", fullmatch=True), SIZES | GUESSES | ODD, max_size=5
)
WAYS = st.sampled_from(["more", "less", "slope", "pitch", "done_s", "support_pitch_deg"])
RANKS = st.fixed_dictionaries(
    {},
    optional={
        "by": WAYS | ODD,
        "better": WAYS | ODD,
        "draws": st.sampled_from([0, 4, 2.5, -1, 4097]) | ODD,
        "steps": st.dictionaries(NUMBERS, SIZES | ODD, max_size=3) | ODD,
        "conditions": st.dictionaries(
            st.sampled_from(["steep", "as it stands", ""]) | st.text(max_size=5),
            st.dictionaries(NUMBERS, SIZES | ODD, max_size=2) | ODD,
            max_size=3,
        )
        | ODD,
        "stepps": ODD,
    },
)


class RunsBegin(Exception):
    """All is taken, and the first run would be done."""


@pytest.fixture(autouse=True)
def _nothing_is_executed(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> object:
    """No run is done, and a line of program stays a text."""

    def begins(*_: object) -> None:
        raise RunsBegin

    monkeypatch.setattr(kept_runs, "run_here", begins)
    monkeypatch.chdir(tmp_path)
    yield
    assert not list(tmp_path.iterdir())


def refused(table: dict[str, object]) -> dict[str, int]:
    """Keys that are refused, and how often; each is said in the usual form."""
    try:
        scenario_of(GOOD | table, FILE)
    except InputError as error:
        lines = str(error).splitlines()
        assert lines and all(f"{FILE}: {one.key}" in str(one) for one in error.issues)
        assert all(": got " in line and ", must be " in line for line in lines)
        keys = [one.key for one in error.issues]
        return {key: keys.count(key) for key in keys}
    return {}


@tries(40, 400)
def test_any_spread_is_drawn_or_refused_with_all_that_is_wrong(count: int) -> None:
    """What is wrong with an entry is said beside what is wrong with all others, and once."""

    @settings(max_examples=count, deadline=None)
    @given(SPREADS)
    def look(spread: dict) -> None:
        alone = [refused({"spread": {path: off}}) for path, off in spread.items()]
        together = refused({"spread": spread})
        own = {key for one in alone for key in one if key.startswith("spread")}
        assert own <= together.keys() and bool(together) >= any(alone)
        assert all(number == 1 for number in together.values())
        if together:
            return
        scenario = scenario_of(GOOD | {"spread": spread}, FILE)
        draws = draws_of(scenario, 4, only_stated=True)
        for name in draws.cases:
            for k in range(draws.count):
                assert all(map(math.isfinite, draws.settings(k, name).values()))
                try:
                    assert isinstance(draws.case(k, name), Scenario)
                except InputError as error:
                    assert error.issues

    look()


@tries(40, 400)
def test_any_rank_comes_to_its_first_run_or_is_refused(count: int) -> None:
    @settings(max_examples=count, deadline=None)
    @given(RANKS, st.booleans())
    def look(table: dict, each: bool) -> None:
        if refused({"rank": table}):
            return
        scenario = scenario_of(GOOD | {"rank": table}, FILE)
        try:
            with pytest.raises(RunsBegin):
                rank(scenario, each)
        except InputError as error:
            assert error.issues and all(one.file == FILE for one in error.issues), error
            lines = str(error).splitlines()
            assert all(": got " in line and ", must be " in line for line in lines)

    look()
