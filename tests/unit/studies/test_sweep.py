"""Many runs: rows that come out alike whoever does them, that stay, and that say why there are none."""

import json
import os
import shutil
from contextlib import closing
from pathlib import Path
from typing import Any

import pandas as pd
import pytest

import simcore
from simcore.files import Scenario, scenario_of, with_axes
from simcore.results import store
from simcore.results.store import FAILED, FILE, NoMetrics, Rows, run_key, without_metrics
from simcore.studies import execute
from simcore.studies.execute import run_here
from simcore.studies.sweep import sweep

SCENARIOS = Path(__file__).parents[3] / "scenarios"
SHORT = {"end.duration": 0.3, "output.rate": 50}


@pytest.fixture(scope="module")
def short() -> Scenario:
    creep = simcore.load_scenario(SCENARIOS / "slow_creep.toml").changed(SHORT)
    return with_axes(creep, {"driveline.overdrive": [0, 12.5], "ground.slope": [10, 80]})


@pytest.fixture
def runs(monkeypatch: pytest.MonkeyPatch) -> list[Scenario]:
    """What is really run."""
    done: list[Scenario] = []
    own = execute.work

    def counting(scenario: Scenario) -> tuple[str, dict[str, Any]]:
        done.append(scenario)
        return own(scenario)

    monkeypatch.setattr(execute, "work", counting)
    return done


def test_one_row_a_run_whoever_does_them(short: Scenario) -> None:
    here, there = sweep(short), sweep(short, workers=2)
    pd.testing.assert_frame_equal(here.table, there.table, check_exact=True)
    table = here.table
    assert list(table.index) == ["0, 10", "0, 80", "12.5, 10", "12.5, 80"]
    assert list(table["driveline.overdrive"]) == [0.0, 0.0, 12.5, 12.5]
    alone = simcore.simulate(short.changed({"driveline.overdrive": 12.5, "ground.slope": 10})).summary
    for key, value in alone.items():
        assert table.loc["12.5, 10", key] == value or value is None


def test_a_run_that_cannot_be_done_is_a_row_that_says_why(short: Scenario) -> None:
    result = sweep(short)
    assert list(result.failed) == ["0, 80", "12.5, 80"]  # no rig stands on 80 degrees
    assert "ground of 80.0 deg, where the braked rig slides" in result.failed["0, 80"]
    assert result.table["failed"].tolist() == ["", "CANNOT_STAND"] * 2
    assert result.table.loc["0, 80", "why"] == result.failed["0, 80"]
    assert result.table["pitch_rise_deg"].notna().tolist() == [True, False, True, False]
    assert result.sound


def test_finished_runs_are_not_run_again(short: Scenario, tmp_path: Path, runs: list[Scenario]) -> None:
    first = sweep(short, tmp_path)
    assert len(runs) == 4
    again = sweep(short, tmp_path)
    assert len(runs) == 4
    pd.testing.assert_frame_equal(first.table, again.table, check_exact=True)
    wider = with_axes(short, {"driveline.overdrive": [0, 6, 12.5], "ground.slope": [10]})
    sweep(wider, tmp_path)
    assert [run.rig.driveline.overdrive for run in runs[4:]] == [pytest.approx(0.06)]


def test_another_program_does_not_take_over_old_rows(
    short: Scenario, tmp_path: Path, runs: list[Scenario], monkeypatch: pytest.MonkeyPatch
) -> None:
    one = with_axes(short, {"ground.slope": [10]})
    sweep(one, tmp_path)
    monkeypatch.setattr(store, "program", lambda: "another")
    sweep(one, tmp_path)
    assert len(runs) == 2


def test_a_line_that_was_cut_off_costs_its_run_alone(
    short: Scenario, tmp_path: Path, runs: list[Scenario]
) -> None:
    whole = sweep(short, tmp_path).table
    file = tmp_path / FILE
    lines = file.read_bytes().splitlines(keepends=True)
    assert len(lines) == 4
    junk = [
        b"\xff\x00 no json\n",
        b"[1, 2]\n",
        b'{"run": 7, "row": {}}\n',
        b'{"run": "x"}\n',
        b"[" * 9999 + b"\n",
    ]
    file.write_bytes(b"".join([*junk, *lines[:3]]) + lines[3][:100])
    with pytest.warns(store.DamagedRows, match="4 lines are damaged"):
        again = sweep(short, tmp_path).table
    assert len(runs) == 5
    pd.testing.assert_frame_equal(whole, again, check_exact=True)
    assert json.loads(file.read_bytes().splitlines()[-1])["run"] == json.loads(lines[3])["run"]
    file.write_bytes(b"".join(lines))
    sweep(short, tmp_path)
    assert len(runs) == 5


def test_a_program_that_breaks_down_in_one_run_does_the_others(
    short: Scenario, monkeypatch: pytest.MonkeyPatch
) -> None:
    from simcore.studies import simulate as module

    own = module.summary_of

    def brittle(scenario: Scenario, *how: Any) -> Any:
        if scenario.rig.driveline.overdrive == 0.0:
            raise ZeroDivisionError("as planned")
        return own(scenario, *how)

    monkeypatch.setattr(module, "summary_of", brittle)
    result = sweep(with_axes(short, {"driveline.overdrive": [0, 5]}))
    assert "ZeroDivisionError: as planned" in result.failed["0"]
    assert result.table.loc["0", FAILED] == "BROKE_DOWN"
    assert list(result.summaries) == ["5"]


class Deadly:
    """Kills the process that unpacks it."""

    def __reduce__(self) -> Any:
        return os._exit, (7,)


def test_a_run_that_kills_its_process_does_not_take_the_others_with_it(short: Scenario) -> None:
    good = short.changed({"ground.slope": 10})
    tasks: dict[str, Any] = {"good": good, "deadly": Deadly(), "other": good.changed({"ground.grip": 50})}
    found: dict[str, dict[str, Any]] = {}
    run_here(tasks, found.__setitem__, 2)
    assert found["deadly"] == without_metrics(NoMetrics.DIED)
    assert found["good"]["audit"] == found["other"]["audit"] == "SOUND"


def test_rows_that_may_come_out_better_are_not_kept(tmp_path: Path) -> None:
    with closing(Rows(tmp_path)) as kept:
        kept.keep("a", without_metrics(NoMetrics.DIED))
        kept.keep("b", without_metrics(NoMetrics.CANNOT_STAND, "too steep"))
    with closing(Rows(tmp_path)) as kept:
        assert list(kept.found) == ["b"]


def test_keys_tell_runs_apart(short: Scenario) -> None:
    """By values, however they are written; words do not count."""
    same = short.changed({})
    assert run_key(same) == run_key(short.changed({"front.tyre.radius": "5.9 cm"}))
    words = {"title": "another", "note": "new", "case": "x", "name": "y", "parts.0.name": "z"}
    assert run_key(same) == run_key(short.changed(words))
    assert run_key(same) == run_key(Scenario.model_validate(short.raw | {"vary": {}}))
    for path, value in {"ground.grip": 99, "rear.tyre.radius": 58, "visible.pitch": 0.3}.items():
        assert run_key(same) != run_key(short.changed({path: value})), path


def test_keys_follow_the_code_that_computes_and_no_other(
    short: Scenario, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    copy = shutil.copytree(store.PACKAGE, tmp_path / "simcore", ignore=shutil.ignore_patterns("__pycache__"))
    monkeypatch.setattr(store, "PACKAGE", copy)

    def key() -> str:
        store.program.cache_clear()
        return run_key(short)

    try:
        before = key()
        for name in (
            "views/pictures/maps.py",
            "views/console/report.py",
            "cli/runs.py",
            "results/headlines/run.py",
            *store.FILES_APART,
        ):
            (copy / name).write_text((copy / name).read_text() + "# another word\n")
            assert key() == before, name
        computing = (
            "compiled/parameters.py",
            "laws/tyre.py",
            "dynamics/forces.py",
            "files/shock.py",
            "rig/masses.py",
        )
        computing += (
            "solve/integrate.py",
            "accounts/support.py",
            "results/metrics.py",
            "studies/simulate.py",
        )
        for name in (*computing, "units.py", "common_units.py"):
            old, before = before, (copy / name).write_text((copy / name).read_text() + "# x\n") and key()
            assert before != old, name
    finally:
        store.program.cache_clear()


def test_progress_counts_what_is_known_already(short: Scenario, tmp_path: Path) -> None:
    seen: list[tuple[float, float]] = []
    sweep(with_axes(short, {"ground.slope": [10, 12]}), tmp_path)
    sweep(
        with_axes(short, {"ground.slope": [10, 11, 12]}), tmp_path, progress=lambda a, b: seen.append((a, b))
    )
    assert seen == [(3, 3)]


def test_mixed_values_are_text(short: Scenario) -> None:
    result = sweep(with_axes(short, {"rear.shock.friction": [{"breakaway": 1}, {"breakaway": 2}]}))
    assert list(result.table["rear.shock.friction"]) == ["{'breakaway': 1}", "{'breakaway': 2}"]


def test_pictures_of_three_axes_say_where_the_third_stands(short: Scenario, tmp_path: Path) -> None:
    """The third may be words; without a counterfactual there are no metrics of what support does."""
    axes = {"ground.slope": [10, 12], "driveline.overdrive": [0, 5], "driveline.drive": ["all", "rear"]}
    wanted = {"conclusion": {"shown": ["support_pitch_deg", "pitch_end_deg"]}}
    scenario = with_axes(scenario_of({**short.raw, **wanted}, "three.toml"), axes)
    result = sweep(scenario)
    assert result.shown == ["pitch_end_deg"]
    figure = simcore.draw(result)
    assert "At drive = all" in " ".join(text.get_text() for text in figure.texts)
    assert len(simcore.export(result, tmp_path)) >= 5
