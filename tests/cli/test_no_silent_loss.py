"""Nothing that was found before is lost without a word, and a copied conclusion stops no run."""

import json
from pathlib import Path

SHORT = ("--set", "output.rate=50", "--quiet")
FINDING = """
[finding]
holds = [["60 ms punch", "pitch_rise_deg", "above", "creep", 1], ["as given", "pitch_rize_deg", "near", 0, 1]]
says = "By {60 ms punch | pitch_rise_deg}."
"""
STANDS = """
title = "Who takes load from the front?"
rig = "../scenarios/rigs/gully.toml"
ground.slope = 25
end.duration = 0.05

[driver]
control = "torque"
torque = [[0, 0]]

[variants.level]
"ground.slope" = 0

[conclusion]
claims = [["as given", "front_load_mean_N", "below", "level", 1]]

[[conclusion.because]]
cause = "the slope"
settings = { "ground.slope" = 0 }
effect = ["as given", "front_load_mean_N", "level"]

[[conclusion.because]]
cause = "full grip"
settings = { "ground.grip" = 95 }
effect = ["as given", "front_load_mean_N", "level"]

[[conclusion.holds_on]]
on = "the level"
settings = { "ground.slope" = 0 }
holds = false
"""


def test_changed_runs_of_one_file_have_folders_of_their_own(simcore, desk: Path) -> None:
    for words in (("end.duration=0.05",), ("end.duration=0.06",), ("end.duration=0.05", "ground.slope=20")):
        settings = [part for word in words for part in ("--set", word)]
        done = simcore("run", "scenarios/slow_creep.toml", *settings, *SHORT, "--no-pictures")
        assert done.returncode == 0, done.stderr
    found = {
        path.name: json.loads((path / "summary.json").read_text())
        for path in (desk / "plots/slow_creep").iterdir()
    }
    assert {name: summary["time_s"] for name, summary in found.items()} == {
        "end.duration=0.05,output.rate=50": 0.05,
        "end.duration=0.06,output.rate=50": 0.06,
        "end.duration=0.05,ground.slope=20,output.rate=50": 0.05,
    }
    rig = ("inspect", "scenarios/rigs/gully.toml", "--quiet", "--no-pictures")
    assert [simcore(*rig, *more).returncode for more in ((), ("--slope", "20"))] == [0, 0]
    slopes = {
        path.parent.name: json.loads(path.read_text())["slope_deg"]
        for path in (desk / "plots" / "gully").rglob("standing.json")
    }
    assert slopes["gully"] == 0.0 and round(slopes["slope=20"], 6) == 20.0


def test_results_of_another_file_are_not_replaced(simcore, desk: Path) -> None:
    words = ("--set", "end.duration=0.05", "--out", "here", *SHORT)
    assert simcore("run", "scenarios/slow_creep.toml", *words).returncode == 0
    before = {path: path.read_bytes() for path in (desk / "here").iterdir()}
    done = simcore("run", "scenarios/punchy_launch.toml", *words)
    assert done.returncode == 2
    assert "here: --out: got the run of scenarios/slow_creep.toml, must be a folder without it" in done.stderr
    assert {path: path.read_bytes() for path in (desk / "here").iterdir()} == before


def test_a_copied_conclusion_is_a_warning(simcore, desk: Path) -> None:
    path = desk / "scenarios" / "mine.toml"
    text = (desk / "scenarios" / "slow_creep.toml").read_text().split("[conclusion]")[0]
    path.write_text(text.replace("duration = 4", "duration = 0.05") + FINDING)
    done = simcore("run", str(path), "--out", "here")
    assert done.returncode == 0, done.stderr
    warnings = done.stderr.splitlines()
    assert len(warnings) == 4 and all(line.startswith("warning: ") for line in warnings)
    assert (
        'mine.toml: conclusion.claims[0]: got the case "60 ms punch", must be one of as given' in warnings[0]
    )
    assert 'conclusion.claims[0]: got the case "creep"' in warnings[1]
    assert 'did you mean "pitch_rise_deg"' in warnings[2]
    assert 'conclusion.says: got the case "60 ms punch"' in warnings[3]
    assert "The conclusion of this file speaks of cases or metrics that are not here." in done.stdout


def test_the_input_itself_and_strange_files_are_not_replaced(simcore, desk: Path) -> None:
    own = desk / "scenarios" / "inputs.toml"
    text = (desk / "scenarios" / "slow_creep.toml").read_text().replace("duration = 4", "duration = 0.05")
    own.write_text(text)
    done = simcore("run", str(own), "--out", "scenarios")
    assert done.returncode == 2 and "inputs.toml, which is the input itself" in done.stderr
    assert own.read_text() == text
    (desk / "strange").mkdir()
    (desk / "strange" / "run.json").write_text("mine")
    done = simcore("run", str(own), "--out", "strange")
    assert done.returncode == 2 and "a run.json that is no result of this program" in done.stderr
    assert (desk / "strange" / "run.json").read_text() == "mine"


def test_words_of_a_conclusion_are_not_said_of_a_changed_file(simcore, desk: Path) -> None:
    as_it_is = simcore("run", "scenarios/slow_creep.toml", "--no-pictures", "--out", "one")
    changed = simcore(
        "run", "scenarios/slow_creep.toml", "--no-pictures", "--set", "driveline.overdrive=7", "--out", "two"
    )
    assert (
        "Conclusion: On this slope hardly anything" in as_it_is.stdout and "Conclusion" not in changed.stdout
    )
    written = [(desk / folder / "inputs.toml").read_text() for folder in ("one", "two")]
    assert ["[[conclusion.because]]" in text for text in written] == [True, False]


def test_a_reason_that_a_run_speaks_against_is_a_fault_of_the_gallery(simcore, desk: Path) -> None:
    """Where a rig stands on a slope, the slope takes load from its front and the grip does not: statics."""
    (desk / "mine").mkdir()
    (desk / "mine" / "stands.toml").write_text(STANDS)
    done = simcore("gallery", "mine", "--workers", "1", "--quiet")
    assert done.returncode == 1, done.stderr
    assert "(stands): conclusion.because[1], without full grip: mean front load of as given" in done.stdout
    assert "without the slope" not in done.stdout and "on the level" not in done.stdout
    page = (desk / "plots" / "mine" / "README.md").read_text()
    assert "**Tested reasons.** Without the slope: mean front load of as given less that of level " in page
    assert "**Not borne out:** without full grip: " in page
    assert "**Not on** the level (mean front load of as given " in page


def test_a_page_that_somebody_wrote_is_not_replaced(simcore, desk: Path) -> None:
    (desk / "docs").mkdir()
    (desk / "docs" / "README.md").write_text("mine")
    done = simcore("gallery", "scenarios/rigs", "--out", "docs")
    assert done.returncode == 2
    assert "docs: --out: got a folder with a README.md that simcore has not made" in done.stderr
    assert (desk / "docs" / "README.md").read_text() == "mine"
