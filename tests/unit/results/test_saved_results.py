"""What studies return: saved and read again alike, shown in notebooks, refused when damaged."""

import json
import shutil
from pathlib import Path
from typing import Any

import numpy as np
import pandas as pd
import pytest

import simcore
from simcore.accounts.verdict import Cause, Failure, Verdict
from simcore.errors import InputError
from simcore.files import load_scenario, with_axes
from simcore.results.motion import MOTION_COLUMNS
from simcore.results.plain import from_plain, to_plain
from simcore.results.result import Concern, Doubt, Result
from simcore.results.series import COLUMNS
from simcore.studies.limit import Limit
from simcore.views import console
from simcore.views.catalogue import pictures_of
from simcore.views.digest import digest

SCENARIOS = Path(__file__).parents[3] / "scenarios"
SHORT = {"end.duration": 0.4}


@pytest.fixture(scope="module")
def results() -> dict[str, Result]:
    """One of each kind."""
    creep = simcore.load_scenario(SCENARIOS / "slow_creep.toml").changed(SHORT)
    both = simcore.load_scenario(SCENARIOS / "launch_vs_creep.toml").changed(SHORT, keep_variants=True)
    axes = {"driveline.overdrive": [0, 12.5], "ground.slope": [10, 80]}
    return {
        "run": simcore.simulate(creep, without_support=True),
        "comparison": simcore.compare(both),
        "sweep": simcore.sweep(with_axes(creep, axes)),
        "limits": simcore.find_limit(creep.changed({"ground.grip": 20}), distance=0.02),
        "inspection": simcore.inspect(SCENARIOS / "rigs" / "gully.toml", slope=20),
    }


KINDS = ("run", "comparison", "sweep", "limits", "inspection")


def test_every_kind_is_tried(results: dict[str, Result]) -> None:
    """Here, or where its study has a test of its own."""
    assert set(KINDS) == set(results) <= set(Result.kinds)
    assert all(result.kind == kind for kind, result in results.items())
    unit = Path(__file__).parents[1]
    texts = [path.read_text() for home in ("studies", "outdoors") for path in unit.glob(f"{home}/test_*.py")]
    for kind in set(Result.kinds) - set(KINDS):
        name = Result.kinds[kind].__name__
        assert any(name in text and "simcore.load(" in text for text in texts), f"{name} is never read again"


@pytest.mark.parametrize("kind", KINDS)
def test_what_is_read_is_what_was_saved(results: dict[str, Result], kind: str, tmp_path: Path) -> None:
    """Scenario, tables, summaries, headline, concerns; and every picture shows the same."""
    result = results[kind]
    files = result.save(tmp_path)
    assert {file.name for file in files} <= set(result.names())
    again = simcore.load(tmp_path)
    assert type(again) is type(result)
    assert again.scenario == result.scenario
    assert again.summaries == result.summaries
    assert (again.headline, again.concerns) == (result.headline, result.concerns)
    assert list(again.tables) == list(result.tables)
    for name, table in result.tables.items():
        pd.testing.assert_frame_equal(again.tables[name], table, check_exact=True)
    if kind == "sweep":
        assert (again.failed, again.points) == (result.failed, result.points)  # type: ignore[attr-defined]
    before, after = (pictures_of(one) for one in (result, again))
    assert list(before) == list(after)
    for name, draw in before.items():
        assert digest(draw()) == digest(after[name]()), name
    assert result.saved().keys() == again.saved().keys()
    one, other = tmp_path / "one.json", tmp_path / "other.json"
    for path, saved in ((one, result.saved()), (other, again.saved())):
        saved[f"{kind}.json"](path)
    assert one.read_bytes() == other.read_bytes()


def test_a_saved_run_holds_what_a_moving_picture_needs(results: dict[str, Result], tmp_path: Path) -> None:
    """Pins of links and feet of tyres, put together from the saved parts alone, lie where they must."""
    results["run"].save(tmp_path)
    run: Any = simcore.load(tmp_path / "run.json")
    assert run.trace is None and run.counterfactual is not None
    fresh: Any = results["run"]
    pd.testing.assert_frame_equal(run.counterfactual.series, fresh.counterfactual.series, check_exact=True)
    assert not run.counterfactual.series.equals(run.series)
    assert run.counterfactual.summary == fresh.counterfactual.summary
    assert (list(run.series), list(run.motion)) == (COLUMNS, MOTION_COLUMNS)
    rows = pd.concat([run.series, run.motion], axis=1)

    def at(body: str, place: list[float]) -> tuple[Any, Any]:
        turn = np.radians(rows["pitch_deg"] if body == "chassis" else rows[f"{body}_turn_deg"])
        x = rows[f"{body}_x_mm"] + np.cos(turn) * place[0] - np.sin(turn) * place[1]
        return x, rows[f"{body}_z_mm"] + np.sin(turn) * place[0] + np.cos(turn) * place[1]

    ground = np.array(run.outline["ground"])
    for axle, own in (("rear", run.scenario.rig.rear), ("front", run.scenario.rig.front)):
        shape = run.outline[f"{axle}_axle"]
        for link, up, down in zip(
            (own.lower_link, own.upper_link),
            run.outline["chassis"]["link_pins"][axle],
            shape["link_pins"],
            strict=True,
        ):
            (x0, z0), (x1, z1) = at("chassis", up), at(f"{axle}_axle", down)
            length = 1e3 * np.hypot(link.chassis[0] - link.axle[0], link.chassis[1] - link.axle[1])
            np.testing.assert_allclose(np.hypot(x1 - x0, z1 - z0), length, atol=1e-3)
        x, z = at(f"{axle}_axle", shape["wheel_centre"])
        foot_x, foot_z = rows[f"{axle}_foot_x_mm"], rows[f"{axle}_foot_z_mm"]
        squashed = shape["tyre_radius"] - np.hypot(foot_x - x, foot_z - z)
        np.testing.assert_allclose(squashed, rows[f"{axle}_deflection_mm"], atol=0.05)
        np.testing.assert_allclose(np.interp(foot_x, *ground.T), foot_z, atol=1.0)
        (x0, z0), (x1, z1) = (
            at("chassis", run.outline["chassis"]["shock_mounts"][axle]),
            at(f"{axle}_axle", shape["shock_link_pins"][1]),
        )
        assert shape["shock_fraction"] == 1.0
        length = 1e3 * own.shock.extended_length - rows[f"{axle}_travel_mm"]
        np.testing.assert_allclose(np.hypot(x1 - x0, z1 - z0), length, atol=1e-6)
        direction = np.degrees(np.arctan2(z0 - z1, x0 - x1))
        np.testing.assert_allclose(direction, rows[f"{axle}_shock_direction_deg"], atol=1e-6)
        way = np.degrees(np.arctan2(*np.diff(ground, axis=0)[0][::-1]))
        np.testing.assert_allclose(rows[f"{axle}_thrust_direction_deg"], way, atol=1e-9)
        np.testing.assert_allclose(rows[f"{axle}_load_direction_deg"], way + 90.0, atol=1e-9)
        # turned as fast as the wheels spin
        spun = np.gradient(rows[f"{axle}_wheel_turn_deg"], rows["time_s"]) / 6.0
        np.testing.assert_allclose(spun[1:-1], rows[f"{axle}_wheel_speed_rpm"][1:-1], atol=0.5)


def test_notebooks_get_headline_table_and_picture(results: dict[str, Result]) -> None:
    for kind, result in results.items():
        assert repr(result).startswith(f"<{kind}: ") and len(repr(result)) < 400
        text = result._repr_html_()
        assert "<table" in text and "<p>" in text and "data:image/png;base64," in text
        assert (result._repr_png_() or b"").startswith(b"\x89PNG")


def test_a_run_in_a_notebook_says_words_instead_of_codes(results: dict[str, Result]) -> None:
    text = results["run"]._repr_html_()
    assert "ran full time" in text and "TIME" not in text


def test_a_picture_that_there_is_not_is_named(results: dict[str, Result]) -> None:
    with pytest.raises(ValueError, match="no picture 'maps' of this run; there are pitch_and_travel, "):
        simcore.draw(results["run"], "maps")


def one(form: Any) -> Any:
    """The one run of a form."""
    (run,) = form["data"]["runs"].values()
    return run


def damaged(folder: Path, change: Any) -> Path:
    """A saved run with something changed in its form."""
    file = folder / "run.json"
    form = json.loads(file.read_text())
    del form["sum"]
    change(form)
    file.write_text(json.dumps(form))
    return folder


DAMAGE: dict[str, tuple[Any, str]] = {
    "another format": (lambda form: form.update(format=99), "format: got 99, written by version"),
    "no kind": (lambda form: form.pop("kind"), "got no saved result"),
    "a kind unknown": (lambda form: form.update(kind="walk"), "got no saved result"),
    "no runs": (lambda form: form["data"].pop("runs"), "a damaged or older result"),
    "another outcome": (
        lambda form: next(iter(form["data"]["runs"].values())).update(outcome="FLEW_AWAY"),
        "a damaged or older result",
    ),
    "a scenario that is none": (lambda form: form["scenario"].update(ground={"slope": 95}), "ground.slope"),
    "no metrics": (lambda form: one(form).update(summary={}), "a damaged or older result"),
    "a metric less": (lambda form: one(form)["summary"].pop("pitch_rise_deg"), "'pitch_rise_deg'"),
    "a metric more": (lambda form: one(form)["summary"].update(joy_1=3), "'joy_1'"),
    "a code unknown": (lambda form: one(form)["summary"].update(ended="x"), "a damaged or older result"),
    "a metric of words": (lambda form: one(form)["summary"].update(time_s="x"), "a damaged or older result"),
    "a number too long": (lambda form: one(form)["summary"].update(time_s=10**400), "a damaged or older"),
    "no outline": (lambda form: one(form).update(outline={}), "its outline is not one"),
    "a format that is none": (lambda form: form.update(format=True), "format: got True"),
    "series of another": (lambda form: form.update(series="0" * 64), "belongs to another result"),
    "a case renamed": (lambda form: form["scenario"].update(case="x"), "a damaged or older result"),
    "data of another shape": (lambda form: form.update(data=[1, 2]), "a damaged or older result"),
}


@pytest.fixture(scope="module")
def saved_run(results: dict[str, Result], tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The folder of a run; to be copied before it is changed."""
    folder = tmp_path_factory.mktemp("saved")
    results["run"].save(folder)
    return folder


@pytest.mark.parametrize("name", DAMAGE)
def test_damaged_results_are_refused(saved_run: Path, tmp_path: Path, name: str) -> None:
    change, said = DAMAGE[name]
    copy = shutil.copytree(saved_run, tmp_path / "copy")
    with pytest.raises(InputError) as refused:
        simcore.load(damaged(copy, change))
    assert said in str(refused.value) and "\n" not in str(refused.value)


def test_no_number_of_a_saved_result_changes_unseen(results: dict[str, Result], tmp_path: Path) -> None:
    """Every tenth byte in turn."""
    results["limits"].save(tmp_path)
    file = tmp_path / "limits.json"
    text = file.read_bytes()
    for place in range(0, len(text) - 1, 10):
        file.write_bytes(text[:place] + bytes([text[place] ^ 1]) + text[place + 1 :])
        with pytest.raises(InputError, match=r"limits\.json: got no saved result"):
            simcore.load(file)


def test_files_that_are_missing_or_no_results_are_refused(results: dict[str, Result], tmp_path: Path) -> None:
    with pytest.raises(InputError, match="got no saved result, must be a folder"):
        simcore.load(tmp_path)
    with pytest.raises(InputError, match="got No such file"):
        simcore.load(tmp_path / "run.json")
    results["run"].save(tmp_path)
    (tmp_path / "run.parquet").unlink()
    with pytest.raises(InputError, match="is missing or belongs"):
        simcore.load(tmp_path)
    (tmp_path / "run.parquet").write_bytes(b"no parquet at all")
    with pytest.raises(InputError, match="belongs to another result"):
        simcore.load(tmp_path)
    (tmp_path / "run.json").write_bytes(b"\xff\xfe{")
    with pytest.raises(InputError, match="got no saved result"):
        simcore.load(tmp_path)
    (tmp_path / "run.json").write_text("[" * 100_000)
    with pytest.raises(InputError, match="got no saved result"):
        simcore.load(tmp_path)


def test_a_folder_with_several_results_asks_which(results: dict[str, Result], tmp_path: Path) -> None:
    for kind in ("limits", "inspection"):
        results[kind].save(tmp_path)
    with pytest.raises(InputError, match=r"2 results \(inspection.json, limits.json\)"):
        simcore.load(tmp_path)
    assert simcore.load(tmp_path / "limits.json").kind == "limits"


def test_concerns_make_a_result_unsound_or_undecided() -> None:
    class Bare(Result):
        headline = "h"
        tables: Any = None
        concerns: Any = ()

        def writers(self) -> Any: ...
        def data(self) -> Any: ...
        @classmethod
        def restored(cls, *_: Any) -> Any: ...

    bare = Bare()
    assert bare.sound and bare.decided
    bare.concerns = [Concern(Doubt.NOT_KNOWN, "a", "b")]
    assert bare.sound and not bare.decided
    bare.concerns = [Concern(Doubt.AUDIT_FAILED, "a", "b")]
    assert not bare.sound and bare.decided
    assert str(bare.concerns[0]) == "AUDIT FAILED, do not use these results (a): b"


def test_plain_data_and_back() -> None:
    """Codes by name, infinities as text, whole numbers as floats where floats are due."""
    verdict = Verdict(Failure.CANNOT_STAND, Cause.TIPS_OVER, 0.25)
    limit = Limit(
        12.5, None, None, ((13.0, verdict),), (), {"a": None, "b": 2.0}, float("inf"), 0.25, 7, 80.0
    )
    data = json.loads(json.dumps(to_plain(limit), allow_nan=False))
    assert data["open_slopes"] == [[13.0, {"failure": "CANNOT_STAND", "cause": "TIPS_OVER", "seconds": 0.25}]]
    assert from_plain(Limit, data) == limit
    for wrong in (data | {"climbs_deg": "steep"}, data | {"more": 1}, {"climbs_deg": 1}):
        with pytest.raises((TypeError, ValueError, KeyError)):
            from_plain(Limit, wrong)


def test_every_kind_refuses_emptied_data(results: dict[str, Result], tmp_path: Path) -> None:
    """One key after the other loses its value: what is left is read, or refused with a sentence."""
    for kind, result in results.items():
        result.save(tmp_path / kind)
        file = tmp_path / kind / f"{kind}.json"
        text = file.read_text()
        for place in places(json.loads(text)["data"]):
            for value in ({}, None, "x", [], 10**400):
                form = json.loads(text)
                del form["sum"]  # what an older program saved has none
                table = form["data"]
                for step in place[:-1]:
                    table = table[step]
                table[place[-1]] = value
                file.write_text(json.dumps(form))
                try:
                    simcore.load(file)
                except InputError as error:
                    assert "\n" not in str(error)


def places(data: Any, depth: int = 4) -> list[tuple[Any, ...]]:
    """Some keys of nested data: the first two of every table and list."""
    steps = (
        list(data)[:2]
        if isinstance(data, dict)
        else list(range(len(data)))[:2]
        if isinstance(data, list)
        else []
    )
    found: list[tuple[Any, ...]] = [(step,) for step in steps]
    if depth:
        found += [(step, *rest) for step in steps for rest in places(data[step], depth - 1)]
    return found


RIG = (SCENARIOS / "rigs" / "gully.toml").read_text()
FOLLOWS = """
title = "Does a default that follows another key survive?"
rig = "loose.toml"
driver = {control = "speed", speed = [[0, 0], [0.1, 0.15]]}
end = {duration = 0.05}

[variants.free]
"rear.shock.friction.breakaway" = 0

[variants.sticky]
"rear.shock.friction.breakaway" = 2

[variants.other]
rig = "other.toml"
"ground.slope" = 5
without_support = true
"""


def test_variants_come_back_whole(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """With defaults that follow another key, and rigs from other files, which may be gone by then."""
    desk = tmp_path / "desk"
    desk.mkdir()
    (desk / "loose.toml").write_text(RIG.replace("sliding = 0.12", ""))
    (desk / "other.toml").write_text(RIG.replace('name = "Gully"', 'name = "Another"'))
    (desk / "q.toml").write_text(FOLLOWS)
    scenario = load_scenario(desk / "q.toml")
    result = simcore.compare(scenario)
    assert [run.scenario.rig.rear.shock.friction.sliding for run in result.runs.values()][:3] == [
        0.16,
        0.0,
        2.0,
    ]
    simcore.export(result, tmp_path / "out")
    for file in desk.iterdir():
        file.unlink()
    monkeypatch.chdir("/")
    again: Any = simcore.load(tmp_path / "out")
    assert {name: run.scenario for name, run in again.runs.items()} == scenario.cases()
    written = load_scenario(tmp_path / "out" / "comparison.toml")
    assert written == scenario and written.cases() == scenario.cases()
    assert again.runs["other"].scenario.rig.name == "Another"
    console.show_result(again)  # a case with metrics that others lack


def test_files_that_a_new_result_has_no_more_are_taken_away(
    results: dict[str, Result], tmp_path: Path
) -> None:
    twice: Any = results["run"]
    simcore.export(twice, tmp_path)
    assert (tmp_path / "with_and_without.png").exists() and (tmp_path / "without_support.csv").exists()
    (tmp_path / "mine.txt").write_text("stays")
    once = simcore.simulate(twice.scenario, without_support=False)
    files = simcore.export(once, tmp_path)
    assert {path.name for path in tmp_path.iterdir()} == {path.name for path in files} | {"mine.txt"}
