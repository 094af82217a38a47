"""Where results go: names of folders, and whose results may be replaced."""

from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from results_to_show import SCENARIOS, compared, creep, limits, result_of

import simcore
from simcore.errors import InputError
from simcore.files import scenario_of
from simcore.results.result import Result
from simcore.studies.asked import own_study
from simcore.views.place import check_own_place, named, own_folder, variant_word


@pytest.mark.parametrize(
    ("words", "name"),
    [
        (["ground.slope=30"], "ground.slope=30"),
        (["rear.upper_link.axle=[-4, 96]"], "rear.upper_link.axle=-4,96"),
        (["sweep", "vary_ground.slope=10:40:5"], "sweep,vary_ground.slope=10_40_5"),
        (["60 ms punch", "end.duration = 0.5"], "60_ms_punch,end.duration=0.5"),
        (["$x_$ [bold]"], "x__bold"),
        (["../../etc"], "etc"),
        (["rig=rigs/fell.toml"], "rig=rigs_fell.toml"),
        (["///"], "changed"),
    ],
)
def test_a_folder_is_named_by_what_was_changed(words: list[str], name: str) -> None:
    assert named(words) == name


def test_long_names_are_short_and_still_apart() -> None:
    one, other = (named([f"rear.shock.springs.{k}.rate=0.1" for k in range(9)] + [last]) for last in "ab")
    assert one != other and len(one) == len(other) < 60
    assert one.startswith("rear.shock.springs.0.rate=0.1,rear.shock.springs")


@given(st.lists(st.text(max_size=90), min_size=1, max_size=4))
def test_any_words_make_one_folder_inside_the_home(words: list[str]) -> None:
    name = named(words)
    assert name == named(list(words))
    assert Path(name).name == name and name not in (".", "..") and len(name.encode()) <= 255
    assert not set(name) & set('\\/:*?"<>|\n\0')
    assert own_folder(Path("a/creep.toml"), words).parent == Path("plots/creep")


def test_the_study_that_a_file_asks_for_has_the_plain_folder() -> None:
    assert own_folder(Path("a/creep.toml"), []) == Path("plots/creep")
    studies = {
        "slow_creep": "run",
        "launch_vs_creep": "compare",
        "overdrive_level": "sweep",
        "advice_fell": "rank",
    }
    for name, study in studies.items():
        assert own_study(simcore.load_scenario(SCENARIOS / f"{name}.toml")) == study


def test_variants_that_would_be_written_alike_keep_apart() -> None:
    settings = {name: {"driveline.overdrive": k} for k, name in enumerate(("a b", "a_b", "A B", "c"))}
    scenario = scenario_of(creep().scenario.raw | {"variants": settings}, "x.toml")
    names = [named([variant_word(scenario, name)]).lower() for name in settings]
    assert len(set(names)) == 4 and names[3] == "c"


def from_file(result: Result, path: str) -> Any:
    """The same result as if it came from another file."""
    result.scenario.from_file(Path(path))
    return result


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A desk with a saved comparison of a.toml; the scenarios of other results are untouched."""
    monkeypatch.chdir(tmp_path)
    saved = from_file(compared(2), "a.toml")
    Path("a.toml").touch()
    saved.save(tmp_path / "out")
    return tmp_path / "out"


def asked(path: str, result: Result | None = None) -> tuple[type[Result], Any]:
    """Kind and scenario of a result of a file."""
    one = from_file(compared(2) if result is None else result, path)
    return type(one), one.scenario


def test_a_result_of_the_same_file_is_replaced(folder: Path) -> None:
    check_own_place(folder, *asked("a.toml"))
    check_own_place(folder, *asked("./a.toml"))


def test_a_result_of_another_file_is_not(folder: Path) -> None:
    with pytest.raises(InputError, match=r"got the comparison of a\.toml, must be a folder without it"):
        check_own_place(folder, *asked("b.toml"))
    with pytest.raises(InputError):
        check_own_place(folder, *asked("elsewhere/a.toml"))


def test_a_file_that_was_moved_may_replace_its_result(folder: Path) -> None:
    """The same name and question, and the old one is gone; another question is another file."""
    Path("a.toml").unlink()
    kind, scenario = asked("elsewhere/a.toml")
    check_own_place(folder, kind, scenario)
    table = scenario.raw | {"title": "Another?"}
    with pytest.raises(InputError):
        check_own_place(folder, kind, scenario_of(table, "elsewhere/a.toml"))


def test_another_study_is_refused_where_a_file_would_be_lost(folder: Path) -> None:
    """A run draws shock loops as a comparison does; limits share no file with it."""
    shared = folder / "shock_loops.png"
    check_own_place(folder, *asked("a.toml", limits(2)))
    run = asked("a.toml", simcore.Run(**vars(creep()) | {"scenario": compared(2).scenario}))
    check_own_place(folder, *run)  # nothing of it stands there yet
    shared.touch()
    with pytest.raises(InputError, match=r"the comparison of a\.toml, which has a shock_loops\.png too"):
        check_own_place(folder, *run)


def test_what_is_no_result_is_no_hindrance(tmp_path: Path) -> None:
    for name, text in (("run.json", "{"), ("comparison.json", "[]"), ("sweep.json", '{"kind": 3}')):
        (tmp_path / name).write_text(text)
    result = result_of("inspection")
    check_own_place(tmp_path, type(result), result.scenario)
    check_own_place(tmp_path / "new", type(result), result.scenario)
