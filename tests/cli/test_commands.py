"""The commands as processes: files, exit codes, what is said where."""

import json
import subprocess
import sys
import tomllib
from pathlib import Path

import pandas as pd
import pytest
from drawn import pictures
from PIL import Image
from typer.testing import CliRunner

from simcore.cli import app
from simcore.results.catalogue import CATALOGUE
from simcore.results.metrics import METRICS
from simcore.results.run import Run
from simcore.results.series import COLUMNS
from simcore.studies.compare import Comparison

COMPARE_FILES = {"table.csv", "comparison.toml", "comparison.json", "comparison.parquet"}
COMPARE_FILES |= pictures(Comparison, "launch_vs_creep")
RUN_FILES = {"series.csv", "summary.json", "inputs.toml", "run.json", "run.parquet"}
RUN_FILES |= pictures(Run, "punchy_launch")
TWICE = {"without_support": True}


def test_run_writes_its_files_and_says_where(simcore, desk: Path) -> None:
    done = simcore("run", "scenarios/punchy_launch.toml")
    assert done.returncode == 0, done.stderr
    folder = desk / "plots" / "punchy_launch"
    assert {path.name for path in folder.iterdir()} == RUN_FILES
    assert {"pitch_and_travel.png", "load_account.png", "shock_loops.png"} <= RUN_FILES
    (wrote,) = (line for line in done.stdout.splitlines() if line.startswith("wrote to"))
    where, _, names = wrote.partition(": ")
    assert where == "wrote to plots/punchy_launch" and set(names.split(", ")) == RUN_FILES
    table = pd.read_csv(folder / "series.csv")
    assert list(table.columns) == COLUMNS
    assert len(table) == 1001
    assert table["time_s"].iloc[-1] == 2.0
    empty = {name for name in table.columns if table[name].isna().any()}
    assert all(name.endswith(("support_pct", "usual_formula_pct", "axle_mass_counted_pct")) for name in empty)
    assert list(json.loads((folder / "summary.json").read_text())) == [metric.name for metric in METRICS]
    with Image.open(folder / "pitch_and_travel.png") as picture:
        assert min(picture.size) >= 1200


BARE = ("--quiet", "--no-pictures")


def test_inputs_repeat_the_run_bit_for_bit(simcore, desk: Path) -> None:
    first = simcore("run", "scenarios/slow_creep.toml", "--set", "ground.slope=20", "--out", "a", *BARE)
    again = simcore("run", "a/inputs.toml", "--out", "b", *BARE)
    assert (first.returncode, again.returncode) == (0, 0), first.stderr + again.stderr
    for name in ("series.csv", "summary.json", "inputs.toml"):
        assert (desk / "a" / name).read_bytes() == (desk / "b" / name).read_bytes()
    assert tomllib.loads((desk / "a" / "inputs.toml").read_text())["ground"]["slope"] == 20


def test_variant_goes_into_a_folder_of_its_own(simcore, desk: Path) -> None:
    done = simcore("run", "scenarios/launch_vs_creep.toml", "--variant", "60 ms punch", *BARE)
    assert done.returncode == 0, done.stderr
    assert (done.stdout, done.stderr) == ("", "")
    folder = desk / "plots" / "launch_vs_creep" / "60_ms_punch"
    inputs = tomllib.loads((folder / "inputs.toml").read_text())
    assert inputs["driver"]["control"] == "torque"


def test_run_without_support_adds_the_counterfactual_and_says_what_support_does(simcore, desk: Path) -> None:
    done = simcore("run", "scenarios/punchy_launch.toml", "--without-support", "--set", "end.duration=0.6")
    assert done.returncode == 0, done.stderr
    folder = desk / "plots" / "punchy_launch" / "without_support,end.duration=0.6"
    counterfactual = {"without_support.csv", "with_and_without.png"}
    assert counterfactual - {"without_support.csv"} == pictures(Run, "punchy_launch", TWICE) - RUN_FILES
    assert {path.name for path in folder.iterdir()} == RUN_FILES | counterfactual
    with_it, without = (pd.read_csv(folder / name) for name in ("series.csv", "without_support.csv"))
    assert (with_it["rear_cancelling_share_N"] == 0.0).all()
    held = without["rear_support_N"] + without["rear_cancelling_share_N"]
    assert held.abs().max() < 1e-5 * without["rear_support_N"].abs().max()
    summary = json.loads((folder / "summary.json").read_text())
    assert list(summary) == list(CATALOGUE)
    change = with_it["pitch_deg"] - without["pitch_deg"]
    assert summary["support_pitch_deg"] == pytest.approx(change[change.abs().idxmax()], abs=1e-6)
    assert "support shows" in done.stdout


def test_compare_without_support_reports_each_case(simcore, desk: Path) -> None:
    words = ("compare", "scenarios/launch_vs_creep.toml", "--without-support", "--set", "end.duration=0.5")
    done = simcore(*words, "--out", "both", "--no-pictures")
    assert done.returncode == 0, done.stderr
    table = pd.read_csv(desk / "both" / "table.csv", index_col="case")
    assert table["support_pitch_deg"].notna().all() and table["support_shows"].notna().all()
    everything = simcore("show", "both", "--all")
    assert "support_pitch_deg" in everything.stdout and "pitch changed by support" in everything.stdout


def test_compare_writes_one_row_a_case_with_differences(simcore, desk: Path) -> None:
    done = simcore("compare", "scenarios/launch_vs_creep.toml", "--out", "side by side")
    assert done.returncode == 0, done.stderr
    folder = desk / "side by side"
    assert {path.name for path in folder.iterdir()} == COMPARE_FILES
    assert {
        "comparison.png",
        "pitch_and_front_load.png",
        "differences.png",
        "shock_loops.png",
    } <= COMPARE_FILES
    table = pd.read_csv(folder / "table.csv", index_col="case")
    assert list(table.index) == ["creep at 0.15 m/s", "60 ms punch", "as hard, over 1 s"]
    for key in ("pitch_rise_deg", "front_load_low_N"):
        assert table[f"{key}_change"].iloc[0] == 0.0
        difference = table[key].iloc[1] - table[key].iloc[0]
        assert table[f"{key}_change"].iloc[1] == pytest.approx(difference, rel=1e-6)
    assert f"{table['pitch_rise_deg'].iloc[1]:.1f}°" in done.stdout
    assert "variants" in tomllib.loads((folder / "comparison.toml").read_text())


def test_a_setting_reaches_every_case_of_a_comparison(simcore, desk: Path) -> None:
    words = (
        "compare",
        "scenarios/launch_vs_creep.toml",
        "--set",
        "end.duration=0.5",
        "--out",
        "x",
        *BARE,
    )
    assert simcore(*words).returncode == 0
    table = pd.read_csv(desk / "x" / "table.csv", index_col="case")
    assert list(table["time_s"]) == [0.5] * 3


WRONG = [
    (("run", "nowhere.toml"), "nowhere.toml: got no such file"),
    (("run", "scenarios/slow_creep.toml", "--set", "rear.shock.stroke=-3"), "rear.shock.stroke: got -3 mm"),
    (
        ("run", "scenarios/slow_creep.toml", "--set", "rear.shok.stroke=3"),
        'did you mean "rear.shock.stroke"?',
    ),
    (("run", "scenarios/slow_creep.toml", "--set", "rear.shock.stroke"), "must be path=value"),
    (("run", "scenarios/slow_creep.toml", "--variant", "punch"), "there are no variants"),
    (("run", "scenarios/launch_vs_creep.toml", "--variant", "60 ms pinch"), 'did you mean "60 ms punch"?'),
    (("run", "scenarios/slow_creep.toml", "--set", "ground.slope=50"), "where the braked rig slides"),
    (("run", "scenarios/slow_creep.toml", "--set", "motor.brake_torque=1"), "the drag brake must hold"),
    (("run", "scenarios/slow_creep.toml", "--set", "chassis.cg=[-900,50]"), "between the axles"),
    (
        ("run", "scenarios/slow_creep.toml", "--out", "scenarios/slow_creep.toml"),
        "a folder that can be written",
    ),
    (
        ("run", "scenarios/slow_creep.toml", "--set", "rear.upper_link.chassis=[10,95]"),
        "rig.rear.upper_link: got a link that ends 5.0 mm short of its axle pin",
    ),
    (("compare", "scenarios/slow_creep.toml"), "at least one table [variants."),
    (("run", "scenarios/rigs/gully.toml"), "gully.toml: got a rig, must be a scenario; look at a rig with"),
    (("compare", "scenarios/rigs/gully.toml"), "`simcore inspect scenarios/rigs/gully.toml`"),
    (("inspect", "scenarios/weight.toml"), "its rig is the file scenarios/rigs/gully.toml"),
    (("run", "scenarios/slow_creep.toml", "--set", "ground.slope=12,5"), 'did you mean "12.5"?'),
    (("run", "scenarios/slow_creep.toml", "--set", "parts.batery.mass-=5"), 'did you mean "battery"?'),
]


@pytest.mark.parametrize(("words", "said"), WRONG, ids=[text for _, text in WRONG])
def test_bad_input_is_one_message_and_exit_code_2(
    simcore, desk: Path, words: tuple[str, ...], said: str
) -> None:
    before = sorted(desk.rglob("*"))
    done = simcore(*words)
    assert done.returncode == 2
    assert said in done.stderr
    assert "Traceback" not in done.stderr
    assert "wrote" not in done.stdout
    assert sorted(desk.rglob("*")) == before


def test_two_faults_come_at_once(simcore) -> None:
    done = simcore(
        "run", "scenarios/slow_creep.toml", "--set", "rear.shock.stroke=-3", "--set", "driver.control=fast"
    )
    assert done.returncode == 2
    assert len(done.stderr.strip().splitlines()) == 2


def test_a_run_that_fails_its_audit_says_so_first_and_exits_with_1(
    desk: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """No shipped setting breaks the bounds, so the bound is moved below what rounding leaves."""
    monkeypatch.setattr("simcore.accounts.audit.DRIFT_BOUND", 1e-18)
    path, out = str(desk / "scenarios" / "punchy_launch.toml"), str(desk / "strict")
    done = CliRunner().invoke(app, ["run", path, "--out", out, "--no-pictures"])
    assert done.exit_code == 1
    assert done.output.startswith("AUDIT FAILED, do not use these results")
    assert "link length is off" in done.output.splitlines()[0]
    assert json.loads((desk / "strict" / "summary.json").read_text())["audit"] == "LINK_LENGTH"


def test_help_loads_no_heavy_library() -> None:
    code = (
        "import sys\n"
        "from simcore.cli import app\n"
        "try:\n"
        "    app(['--help'])\n"
        "except SystemExit as end:\n"
        "    assert not end.code\n"
        "heavy = {'numba', 'scipy', 'pandas', 'matplotlib', 'numpy', 'pint', 'pydantic'} & set(sys.modules)\n"
        "sys.exit(f'loaded {heavy}' if heavy else 0)\n"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
    assert "compare" in done.stdout


def test_settings_out_of_a_tty_show_no_progress(simcore) -> None:
    done = simcore("run", "scenarios/slow_creep.toml", "--out", "x", "--no-pictures")
    assert "\r" not in done.stderr
    assert "\x1b" not in done.stdout + done.stderr


def test_text_of_a_file_is_never_read_as_markup(simcore, desk: Path) -> None:
    path = desk / "scenarios" / "launch_vs_creep.toml"
    text = path.read_text().replace("Punch or creep:", "5_{ and $ more $ [/red] [rear]")
    path.write_text(text.replace("60 ms punch", "$x_$ [bold]"))
    for words in (("compare",), ("run", "--variant", "$x_$ [bold]")):
        done = simcore(words[0], str(path), *words[1:])
        assert done.returncode == 0, done.stderr
        assert "5_{ and $ more $ [/red] [rear]" in done.stdout
    assert (desk / "plots" / "launch_vs_creep" / "x__bold" / "series.csv").exists()


def test_nine_cases_are_compared_with_their_whole_names(simcore, desk: Path) -> None:
    path = desk / "scenarios" / "slow_creep.toml"
    variants = [
        f'[variants."overdrive {k} % and a long name"]\n"driveline.overdrive" = {k}\n' for k in range(8)
    ]
    path.write_text(path.read_text() + "\n".join(variants))
    done = simcore("compare", str(path), "--set", "end.duration=0.6", "--out", "nine", "--no-pictures")
    assert done.returncode == 0, done.stderr
    head = next(line for line in done.stdout.splitlines() if "as given" in line)
    assert head.split("  ")[-1] == "overdrive 7 % and a long name"


def test_a_case_named_like_a_variant_is_refused(simcore) -> None:
    done = simcore("compare", "scenarios/launch_vs_creep.toml", "--set", "case=60 ms punch")
    assert done.returncode == 2
    assert "also the name of a variant" in done.stderr


def test_a_folder_in_the_way_is_told_before_the_run_and_leaves_nothing(simcore, desk: Path) -> None:
    (desk / "half" / "summary.json").mkdir(parents=True)
    done = simcore("run", "scenarios/punchy_launch.toml", "--out", "half")
    assert done.returncode == 2
    assert "a folder named summary.json" in done.stderr
    assert [path.name for path in (desk / "half").iterdir()] == ["summary.json"]


def test_a_missing_rig_does_not_hide_the_other_faults(simcore, desk: Path) -> None:
    path = desk / "scenarios" / "slow_creep.toml"
    path.write_text(path.read_text().replace("rigs/gully", "rigs/gone").replace("slope = 25", "slope = 99"))
    done = simcore("run", str(path))
    assert done.returncode == 2
    assert "gone.toml: got no such file" in done.stderr
    assert "ground.slope: got 99 deg" in done.stderr


def test_a_saved_result_is_shown_again_and_drawn_in_another_format(simcore, desk: Path) -> None:
    first = simcore("run", "scenarios/slow_creep.toml", "--set", "end.duration=0.5", "--out", "a")
    assert first.returncode == 0, first.stderr
    again = simcore("show", "a", "--out", "b", "--format", "pdf")
    assert (again.returncode, again.stderr) == (0, "")
    said = [
        [line for line in one.stdout.splitlines() if not line.startswith("wrote")] for one in (first, again)
    ]
    assert said[0] == said[1]
    for name in ("series.csv", "summary.json", "inputs.toml", "run.json"):
        assert (desk / "a" / name).read_bytes() == (desk / "b" / name).read_bytes()
    assert (desk / "b" / "pitch_and_travel.pdf").read_bytes().startswith(b"%PDF")
    assert simcore("show", "a").stdout.splitlines() == said[0]


@pytest.mark.parametrize(
    "words", [("show", "scenarios"), ("show", "nowhere"), ("show", "scenarios/grip.toml")]
)
def test_what_is_no_result_is_refused(simcore, words: tuple[str, ...]) -> None:
    done = simcore(*words)
    assert done.returncode == 2 and done.stdout == ""
    assert len(done.stderr.strip().splitlines()) == 1 and words[1] in done.stderr
