"""Nothing that was found before is lost without a word, and a copied conclusion stops no run."""

import json
from pathlib import Path

SHORT = ("--set", "output.rate=50", "--quiet")
FINDING = """
[finding]
holds = [["60 ms punch", "pitch_rise_deg", "above", "creep", 1], ["as given", "pitch_rize_deg", "near", 0, 1]]
says = "By {60 ms punch | pitch_rise_deg}."
"""


def test_changed_runs_of_one_file_have_folders_of_their_own(simcore, desk: Path) -> None:
    for words in (("end.duration=0.05",), ("end.duration=0.06",), ("end.duration=0.05", "ground.slope=20")):
        settings = [part for word in words for part in ("--set", word)]
        done = simcore("run", "scenarios/slow_creep.toml", *settings, *SHORT)
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
    rig = ("inspect", "scenarios/rigs/gully.toml", "--quiet")
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
    as_it_is = simcore("run", "scenarios/slow_creep.toml", "--out", "one")
    changed = simcore("run", "scenarios/slow_creep.toml", "--set", "driveline.overdrive=7", "--out", "two")
    assert "Conclusion: Hardly anything" in as_it_is.stdout and "Conclusion" not in changed.stdout


def test_a_page_that_somebody_wrote_is_not_replaced(simcore, desk: Path) -> None:
    (desk / "docs").mkdir()
    (desk / "docs" / "README.md").write_text("mine")
    done = simcore("gallery", "scenarios/rigs", "--out", "docs")
    assert done.returncode == 2
    assert "docs: --out: got a folder with a README.md that simcore has not made" in done.stderr
    assert (desk / "docs" / "README.md").read_text() == "mine"
