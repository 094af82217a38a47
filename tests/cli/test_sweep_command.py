"""`simcore sweep` as a process: files, wrong words."""

import tomllib
from pathlib import Path

import pandas as pd
import pytest

ROOT = Path(__file__).parents[2]
FILES = {"sweep.json", "table.csv", "table.parquet", "inputs.toml", "outcomes.png", "runs.jsonl"}
SHORT = ("--set", "end.duration=0.4", "--set", "output.rate=50")


def test_sweep_writes_its_files_and_repeats_from_its_inputs(simcore, desk: Path) -> None:
    words = ("--vary", "driveline.overdrive=0,10", "--vary", "ground.slope=10,25,80")
    done = simcore("sweep", "scenarios/slow_creep.toml", *words, *SHORT, "--workers", "1")
    assert done.returncode == 0, done.stderr
    settings = "end.duration=0.4,output.rate=50"
    axes = "vary_driveline.overdrive=0,10,vary_ground.slope=10,25,80"
    (folder,) = (desk / "plots" / "slow_creep").iterdir()
    assert folder.name == f"sweep,{axes},{settings}"[:48] + folder.name[48:] and len(folder.name) == 57
    assert {path.name for path in folder.iterdir()} == FILES
    table = pd.read_csv(folder / "table.csv", index_col="run")
    assert list(table.columns[:2]) == ["driveline.overdrive", "ground.slope"]
    assert list(table.index) == ["0, 10", "0, 25", "0, 80", "10, 10", "10, 25", "10, 80"]
    assert table["failed"].notna().tolist() == [False, False, True] * 2
    assert "No metrics for 0, 80; 10, 80: ground: " in done.stdout
    whole = pd.read_parquet(folder / "table.parquet")
    assert list(whole.columns) == list(table.columns)
    pd.testing.assert_series_equal(whole["pitch_end_deg"], table["pitch_end_deg"], rtol=1e-8)
    inputs = tomllib.loads((folder / "inputs.toml").read_text())
    assert inputs["vary"] == {"driveline.overdrive": [0, 10], "ground.slope": [10, 25, 80]}
    again = simcore("sweep", str(folder / "inputs.toml"), "--out", "again", "--quiet")
    assert (again.returncode, again.stdout, again.stderr) == (0, "", "")
    assert (desk / "again" / "table.csv").read_bytes() == (folder / "table.csv").read_bytes()


def test_wrong_axes_are_named_all_at_once(simcore, desk: Path) -> None:
    words = ("--vary", "ground.slop=1:2:1", "--vary", "ground.grip=0,50", "--vary", "rear.tyre.radius=a")
    done = simcore("sweep", "scenarios/slow_creep.toml", *words)
    assert done.returncode == 2
    assert len(done.stderr.strip().splitlines()) == 3
    assert 'did you mean "ground.slope"' in done.stderr
    assert "Traceback" not in done.stderr
    assert not (desk / "plots").exists()


@pytest.mark.parametrize(
    ("words", "said"),
    [
        ((), "at least one axis"),
        (("--vary", "ground.slope=1:0:1"), "leads from its start to its stop"),
        (("--vary", "ground.slope"), "path=start:stop:step"),
        (("--vary", "ground.slope=1,2", "--vary", "ground.slope=3"), "this axis twice"),
        (("--vary", "ground.slope=1,2", "--format", "jpg,png"), 'got "jpg", must be some of png, svg, pdf'),
        (("--vary", "ground.slope=1,2", "--style", "neon"), 'got "neon", must be screen or print'),
        (
            ("--vary", "ground.slope=1,2", "--scheduler", "tcp://127.0.0.1:x"),
            "address of a running scheduler",
        ),
    ],
)
def test_wrong_words(simcore, words: tuple[str, ...], said: str) -> None:
    done = simcore("sweep", "scenarios/slow_creep.toml", *words)
    assert done.returncode == 2
    assert said in done.stderr
    assert "Traceback" not in done.stderr


def test_formats_and_look(simcore, desk: Path) -> None:
    words = ("--vary", "ground.slope=10,20", *SHORT, "--format", "svg,pdf", "--style", "print", "--quiet")
    done = simcore("sweep", "scenarios/slow_creep.toml", *words, "--out", "a")
    assert done.returncode == 0, done.stderr
    names = {path.name for path in (desk / "a").iterdir()}
    assert names == FILES - {"outcomes.png"} | {"outcomes.svg", "outcomes.pdf"}
    assert (desk / "a" / "outcomes.svg").read_text().startswith("<?xml")
    assert (desk / "a" / "outcomes.pdf").read_bytes().startswith(b"%PDF")


CASES = ("sweep", "scenarios/weight.toml", "--vary", "ground.slope=10,80", "--set", "output.rate=50")


@pytest.mark.thorough
def test_variants_are_run_along_a_typed_axis_or_one_of_them_alone(simcore, desk: Path) -> None:
    done = simcore(*CASES, "--out", "all")
    assert done.returncode == 0, done.stderr
    table = pd.read_csv(desk / "all" / "table.csv", index_col="run")
    names = ["as given", "battery lower", "battery forward", "200 g off"]
    assert list(table.index) == [f"{name}, {slope}" for name in names for slope in (10, 80)]
    assert list(table["case"]) == [name for name in names for _ in range(2)]
    assert {path.name for path in (desk / "all").iterdir()} == FILES | {"curve_differences.png"}
    assert "All 4 cases do their job up to ground slope 10 deg" in done.stdout
    again = simcore("show", "all", "--out", "again")
    assert again.returncode == 0 and again.stdout.startswith(done.stdout.partition("wrote to")[0])
    assert (desk / "again" / "outcomes.png").exists()
    alone = simcore(*CASES, "--variant", "battery lower")
    assert alone.returncode == 0, alone.stderr
    (folder,) = (desk / "plots" / "weight").iterdir()
    assert folder.name.startswith("sweep,battery_lower,vary_ground.slope=10,80")
    own = pd.read_csv(folder / "table.csv", index_col="run")
    pd.testing.assert_series_equal(
        own["front_load_mean_N"].reset_index(drop=True),
        table.loc[table["case"] == "battery lower", "front_load_mean_N"].reset_index(drop=True),
    )


def test_compare_of_a_file_with_an_axis_says_what_it_leaves_out(simcore, desk: Path) -> None:
    file = desk / "scenarios" / "weight.toml"
    text = file.read_text().replace("[conclusion]", '[vary]\n"ground.slope" = [10, 20]\n\n[conclusion]')
    file.write_text(text)
    done = simcore("compare", "scenarios/weight.toml", *SHORT, "--no-pictures")
    assert done.returncode == 0, done.stderr
    assert done.stderr.startswith("warning: [vary] is left out: cases are compared at the file's own values")
    assert "slope of 40° up" in done.stdout
    assert (desk / "plots" / "weight").is_dir()
    assert [path.name for path in (desk / "plots" / "weight").iterdir()] == [
        "compare,end.duration=0.4,output.rate=50"
    ]


def test_an_axis_over_what_a_variant_sets_is_refused(simcore) -> None:
    done = simcore("sweep", "scenarios/weight.toml", "--vary", "chassis.mass=300,400")
    assert done.returncode == 2 and "Traceback" not in done.stderr
    assert 'an axis that undoes variants."200 g off"."chassis.mass *="' in done.stderr
    assert "sweep --variant NAME runs one case" in done.stderr
