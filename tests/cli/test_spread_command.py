"""`simcore spread` as a user types it: files, words, wrong words."""

import json
from pathlib import Path

import pandas as pd
import pytest
from typer.testing import CliRunner

from simcore.cli import app
from simcore.outdoors.key import read_key


def test_spread_writes_its_files_and_is_shown_again(simcore, desk: Path) -> None:
    file = desk / "scenarios" / "two.toml"
    text = (desk / "scenarios" / "punchy_launch.toml").read_text(encoding="utf-8").split("[conclusion]")[0]
    text = text.replace("duration = 2", "duration = 0.5")
    text += '[variants.raised]\n"rear.upper_link.chassis.1 +=" = 5\n[spread]\n"ground.slope" = "1 deg"\n'
    file.write_text(text, encoding="utf-8")
    words = ("--only-stated", "--runs", "12", "--workers", "1")
    done = simcore("spread", str(file), *words)
    assert done.returncode == 0, done.stderr
    (folder,) = (desk / "plots" / "two").iterdir()
    assert folder.name.startswith("spread,only_stated")
    files = {"spread.json", "spread.parquet", "draws.csv", "intervals.csv", "matters.csv", "runs.jsonl"}
    assert {path.name for path in folder.iterdir()} - {"intervals.png", "bands.png"} == files
    assert len(pd.read_csv(folder / "draws.csv")) == 24
    assert json.loads((folder / "spread.json").read_text())["kind"] == "spread"
    assert "Each does its job in all 12 draws" in done.stdout and "12 is no power of two" in done.stdout
    shown = simcore("show", str(folder))
    assert shown.returncode == 0 and shown.stdout.startswith(done.stdout.split("wrote to")[0].rstrip())
    plan = ("trial", "plan", str(file), "--from", str(folder), "--scatter", "1 mm", "--pairs", "8")
    travel = ("--measure", "rear travel=mm")
    planned = simcore(*plan, *travel, "--effect", "Rear_Travel_end_mm", "--out", "trial")
    assert planned.returncode == 0, planned.stderr
    runs = pd.read_csv(folder / "draws.csv").pivot_table("rear_travel_end_mm", "draw", "case")
    effect = (runs["raised"] - runs["as given"]).median()
    assert read_key(desk / "trial" / "key.toml").plan.expected.predicted.effect == pytest.approx(effect)
    for metric, said in (("rear_travel", "the name of a metric"), ("pitch_end_deg", "a metric in mm")):
        wrong = simcore(*plan, *travel, "--effect", metric, "--out", "other")
        assert wrong.returncode == 2 and said in wrong.stderr, wrong.stderr
    file.write_text(text.replace('+=" = 5', '+=" = 6'), encoding="utf-8")
    other = simcore(*plan, *travel, "--effect", "rear_travel_end_mm", "--out", "other")
    assert other.returncode == 2 and 'in which "raised" had other values' in other.stderr
    file.write_text(text.replace("duration = 0.5", "duration = 0.4"), encoding="utf-8")
    again = (*plan, *travel, "--effect", "rear_travel_end_mm", "--set", "end.duration=0.5", "--out", "other")
    assert simcore(*again).returncode == 0  # the file as it was spread, by what is set
    key = read_key(desk / "other" / "key.toml")
    assert [case.end.duration for case in key.scenario.cases().values()] == [0.5, 0.5]


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("--runs", "3"), "--runs: got 3, must be 8 to"),
        (("--runs", "8", "--only-stated"), "spread: got nothing that may be off"),
    ],
)
def test_spread_of_too_little_is_refused_in_words(words: tuple[str, ...], said: str, desk: Path) -> None:
    file = str(desk / "scenarios" / "punchy_launch.toml")
    done = CliRunner().invoke(app, ["spread", file, *words, "--out", str(desk / "plots")])
    assert done.exit_code == 2
    assert said in done.output and "Traceback" not in done.output
    assert not (desk / "plots").exists()
