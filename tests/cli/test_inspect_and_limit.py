"""`inspect` and `limit` as a user types them."""

import json
import tomllib
from pathlib import Path

import pandas as pd
import pytest
from PIL import Image
from typer.testing import CliRunner

from simcore.cli import app
from simcore.standing.table import MEANING
from simcore.studies.limit import MEANING as LIMITS
from simcore.studies.ranges import MEANING as RANGES


def test_inspect_prints_both_axles_and_writes_facts_and_drawing(simcore, desk: Path) -> None:
    done = simcore("inspect", "scenarios/rigs/gully.toml")
    assert done.returncode == 0, done.stderr
    folder = desk / "plots" / "gully"
    assert {path.name for path in folder.iterdir()} == {"inspection.json", "standing.json", "side_view.png"}
    facts = json.loads((folder / "standing.json").read_text())
    assert list(facts) == list(MEANING)
    assert facts["slope_deg"] == 0.0
    with Image.open(folder / "side_view.png") as picture:
        assert min(picture.size) >= 1000
    lines = {line.split("  ")[0]: line.split()[-4:] for line in done.stdout.splitlines() if "  " in line}
    masses = [facts["rear_axle_mass_g"], facts["front_axle_mass_g"]]
    assert lines["axle with wheels"] == [f"{masses[0]:.0f}", "g", f"{masses[1]:.0f}", "g"]
    usual, own = facts["rear_anti_squat_rear_drive_pct"], facts["rear_anti_squat_with_axle_mass_pct"]
    shares = [f"{share:#.3g}".rstrip(".") for share in (usual, own)]
    assert lines["rear anti-squat"] == [shares[0], "%", shares[1], "%"]
    assert lines["mass"][-2:] == [f"{facts['mass_g']:.4g}", "g"]
    loads = [1000 / 9.80665 * facts[f"{axle}_level_load_N"] for axle in ("rear", "front")]
    assert lines["tyre load on the level"] == [f"{loads[0]:.0f}", "g", f"{loads[1]:.0f}", "g"]
    everything = simcore("inspect", "scenarios/rigs/gully.toml", "--all").stdout
    assert all(key in everything for key in facts if key.startswith("rear_") or "anti" in key)


def test_inspect_as_json_prints_json_alone_and_writes_nothing_unasked(simcore, desk: Path) -> None:
    done = simcore("inspect", "scenarios/rigs/fell.toml", "--json", "--slope", "20")
    assert (done.returncode, done.stderr) == (0, "")
    facts = json.loads(done.stdout)
    assert facts["slope_deg"] == pytest.approx(20.0) and facts["rear_load_N"] > facts["rear_level_load_N"]
    assert not (desk / "plots").exists()
    asked = simcore("inspect", "scenarios/rigs/fell.toml", "--json", "--slope", "20", "--out", "here")
    assert asked.stdout == done.stdout
    assert (desk / "here" / "standing.json").read_text() == done.stdout


def test_inspect_takes_settings(simcore, desk: Path) -> None:
    def rear(*words: str) -> float:
        done = simcore("inspect", "scenarios/rigs/gully.toml", "--json", *words)
        return json.loads(done.stdout)["rear_anti_squat_pct"]

    assert rear("--set", "rear.upper_link.axle=[-4, 96]") > rear() + 5.0


NO_SHAFT = {end: ("--set", f"{end}.shaft=none") for end in ("rear", "front")}
SHAFTS = {
    "rear": "rear.shaft={chassis=[130, 85], axle=[15, 60], ratio=3}",
    "front": 'front.shaft={chassis=[190, 85], axle=[300, 60], ratio=3, turns="anticlockwise"}',
}


def test_inspect_says_what_shaft_torque_moves_from_side_to_side(simcore, desk: Path) -> None:
    """By hand: 2002 g on 30 deg, 3 % rolling resistance, rear drive, tyres of 59 mm less their deflection,
    180 mm of track; shares of roll stiffness from the printed wheel rates.
    """
    stated = ("--set", "track=180", "--set", SHAFTS["rear"], "--set", "driveline.drive=rear")
    done = simcore("inspect", "scenarios/rigs/gully.toml", *stated, "--out", "here")
    assert done.returncode == 0, done.stderr
    facts = json.loads((desk / "here" / "standing.json").read_text())
    load = 2002 * (0.5 + 0.03 * 0.75**0.5) * 58 / 3 / 180
    assert facts["side_load_N"] * 1e3 / 9.80665 == pytest.approx(load, rel=0.03)
    rates = [facts[f"{end}_wheel_rate_N_per_mm"] for end in ("rear", "front")]
    assert facts["side_load_by_springs_N"] == pytest.approx(facts["side_load_N"] * rates[1] / sum(rates))
    text = " ".join(done.stdout.split())
    assert f"shaft torque moves up to {facts['side_load_N'] * 1e3 / 9.80665:.0f} g from one tyre" in text
    assert "climbs 30 deg at constant speed" in text


@pytest.mark.parametrize(
    ("words", "keys"),
    [
        (("--set", "track=none", *NO_SHAFT["rear"], *NO_SHAFT["front"]), "track, rear.shaft and front.shaft"),
        (NO_SHAFT["rear"], "rear.shaft"),
        (("--set", "track=none"), "track"),
    ],
)
def test_inspect_says_which_keys_are_missing(simcore, desk: Path, words: tuple[str, ...], keys: str) -> None:
    text = " ".join(simcore("inspect", "scenarios/rigs/gully.toml", *words, "--out", "here").stdout.split())
    assert f"to know it, state {keys}." in text
    facts = json.loads((desk / "here" / "standing.json").read_text())
    assert [value for key, value in facts.items() if key.startswith("side_load")] == [None] * 3


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("scenarios/rigs/none.toml",), "scenarios/rigs/none.toml: got no such file"),
        (("scenarios/rigs/gully.toml", "--slope", "85"), "slope: got 85.0 deg, must be from -80 to 80 deg"),
        (("scenarios/rigs/gully.toml", "--slope", "60"), "must be ground.slope no steeper than 46 deg; or"),
        (("scenarios/rigs/gully.toml", "--set", "chassis.cg=[1500, 90]"), "gully.toml: chassis.cg: got"),
        (("scenarios/rigs/gully.toml", "--set", "rear.tyre.radus=3"), "radus"),
        (("scenarios/slow_creep.toml",), "got a scenario, must be a rig; run a scenario with `simcore run"),
    ],
)
def test_inspect_refuses_in_words(simcore, desk: Path, words: tuple[str, ...], said: str) -> None:
    done = simcore("inspect", *words)
    assert done.returncode == 2
    assert said in done.stderr and "Traceback" not in done.stderr
    assert done.stdout == "" and not (desk / "plots").exists()


def test_limit_writes_its_files_and_names_the_answer(simcore, desk: Path) -> None:
    done = simcore("limit", "scenarios/launch_vs_creep.toml", "--distance", "150")
    assert done.returncode == 0, done.stderr
    folder = desk / "plots" / "launch_vs_creep" / "limit,distance=150"
    assert {path.name for path in folder.iterdir()} == {
        "limits.json",
        "limits.csv",
        "limits.toml",
        "limits.png",
    }
    table = pd.read_csv(folder / "limits.csv", index_col="case")
    assert list(table.columns) == list(LIMITS)
    assert list(table.index) == ["creep at 0.15 m/s", "60 ms punch", "as hard, over 1 s"]
    assert (table["distance_mm"] == 150.0).all()
    assert (table["fails_deg"] - table["climbs_deg"]).between(0.0, 0.1).all()
    for value, reason in zip(table["climbs_deg"], table["why"], strict=True):
        assert f"{value:.1f} deg" in done.stdout and reason.split()[0] in done.stdout
    assert "variants" in tomllib.loads((folder / "limits.toml").read_text())


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("--distance", "-5"), "got -5"),
        (("--front-up", "-1"), "got -1"),
        (("--set", "driver.speed=[[0, -0.1]]"), "reverses"),
    ],
)
def test_limit_refuses_in_words(simcore, desk: Path, words: tuple[str, ...], said: str) -> None:
    done = simcore("limit", "scenarios/slow_creep.toml", *words)
    assert done.returncode == 2
    assert said in done.stderr and "Traceback" not in done.stderr
    assert not (desk / "plots").exists()


def test_limit_of_another_number_writes_its_files_and_names_the_answer(simcore, desk: Path) -> None:
    words = ("--find", "ground.grip=20:100:20", "--vary", "ground.slope=10,20", "--workers", "1")
    done = simcore("limit", "scenarios/slow_creep.toml", *words, "--set", "goal.reach=30")
    assert done.returncode == 0, done.stderr
    (folder,) = (desk / "plots" / "slow_creep").iterdir()
    assert folder.name.startswith("limit,find_ground.grip=20_100_20,vary_ground.slope=10,20")
    names = {"ranges.json", "limits.csv", "limits.toml", "limits_along.png", "runs.jsonl"}
    assert {path.name for path in folder.iterdir()} == names
    table = pd.read_csv(folder / "limits.csv", index_col="case")
    assert list(table.columns) == ["ground.slope", *RANGES]
    assert "cover 30 mm" in done.stdout and "ground slope" in done.stdout
    assert all(f"{value:.1f} %" in done.stdout for value in table["low_done"] if value > 20.0)
    shown = simcore("show", str(folder))
    assert shown.returncode == 0 and shown.stdout.startswith(done.stdout.split("wrote to")[0].rstrip())


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (
            ("--find", "ground.grp"),
            "slow_creep.toml: ground.grp: got an unknown path, must be the path of a number",
        ),
        (("--find", "ground.grp"), 'did you mean "ground.grip"'),
        (("--find", "rear.tyre"), "got a whole table"),
        (("--find", "driveline.drive"), "got a key without a number"),
        (("--find", "ground.grip=90:10:5"), "low below high"),
        (("--find", "ground.grip=0:90:5"), "ground.grip: got 0 %, must be from 1 to 300 %"),
        (("--find", "ground.pieces.1.ledge"), "got a number that no case has"),
        (("--find", "driver.speed.1.1"), "as driver.speed.1.1=low:high:step in m/s; the file has 0.15 m/s"),
        (("--find", "ground.grip", "--distance", "30"), "--distance: got beside --find"),
        (("--find", "ground.grip", "--vary", "ground.grip=10,20"), "the number that is sought"),
        (("--find", "ground.grip", "--vary", "ground.slpe=10,20"), 'did you mean "ground.slope"'),
        (("--vary", "ground.grip=10,20"), "--vary: got axes without a number to find"),
    ],
)
def test_limit_of_what_is_no_number_is_refused_in_words(
    words: tuple[str, ...], said: str, desk: Path
) -> None:
    file = str(desk / "scenarios" / "slow_creep.toml")
    done = CliRunner().invoke(app, ["limit", file, *words, "--out", str(desk / "plots")])
    assert done.exit_code == 2
    assert said in done.output and "Traceback" not in done.output
    assert not (desk / "plots").exists()
