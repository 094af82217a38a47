"""`fit` as a user types it: a log rendered from a run, in the words of another program."""

import re
import shlex
from pathlib import Path

import numpy as np
import pandas as pd
import pytest
from drawn import pictures
from typer.testing import CliRunner

import simcore as package
from simcore.cli import app
from simcore.studies.fitted import Fit
from simcore.views.page.again import again

SHORT = ("--set", "end.duration=0.4")
RATE = "rear.shock.springs.0.rate"
FILES = {"fit.json", "fit.parquet", "log_over_run.csv", "channels.csv"}


@pytest.fixture
def log(desk: Path) -> Path:
    """Rendered, not measured: the launch with stiffer springs, and noise; semicolons, decimal commas."""
    scenario = package.load_scenario(desk / "scenarios" / "punchy_launch.toml")
    case = scenario.changed({"end.duration": 0.4, "output.rate": 250, f"{RATE} *=": 1.1})
    series, rng = package.simulate(case).series, np.random.default_rng(1)
    table = pd.DataFrame(
        {
            "t [ms]": 1000.0 * series["time_s"],
            "gyro y [rad/s]": -np.radians(series["pitch_rate_deg_per_s"] + rng.normal(0.0, 0.5, len(series))),
            "rear travel [cm]": (series["rear_travel_mm"] + rng.normal(0.0, 0.2, len(series))) / 10.0,
            "note": "x",
        }
    )
    table.to_csv(desk / "logged.csv", sep=";", decimal=",", index=False, float_format="%.7g")
    return desk / "logged.csv"


MAPPED = ("--column", "t [ms]=time_s", "--column", "gyro y [rad/s]=-pitch_rate_deg_per_s")
MAPPED += ("--column", "rear travel=rear_travel_mm")


def test_fit_writes_its_files_and_names_the_value(simcore, desk: Path, log: Path) -> None:
    words = (*MAPPED, *SHORT, "--free", f"{RATE}=0.06:0.09", "--workers", "1")
    done = simcore("fit", "scenarios/punchy_launch.toml", "logged.csv", *words)
    assert done.returncode == 0, done.stdout + done.stderr
    (folder,) = (desk / "plots" / "punchy_launch").iterdir()
    assert folder.name == "fit,logged,free_rear.shock.springs.0.rate=0.06_0.09,end.duration=0.4"
    names = FILES | {"values.csv", "correlations.csv", "fitted.toml", "log_over_run.png"}
    assert (
        {path.name for path in folder.iterdir()}
        == names
        <= FILES | set(Fit.files) | pictures(Fit, "punchy_launch")
    )
    values = pd.read_csv(folder / "values.csv", index_col=0).loc[f"{RATE}"]
    assert values["told"] == "TOLD" and abs(values["value"] - 0.077) < 3.5 * values["standard_error"]
    said = re.search(r"springs 1 rate ([\d.]+) ± ([\d.]+) g/mm\. Run and log then differ", done.stdout)
    grams = 1e3 / 9.80665
    assert float(said[1]) == pytest.approx(grams * values["value"], abs=0.001)
    assert float(said[2]) == pytest.approx(grams * values["standard_error"], abs=0.001)
    assert "no more than noise" in done.stdout
    assert 'no channel: "note"' in done.stdout
    shown = simcore("show", str(folder))
    assert shown.returncode == 0 and shown.stdout.startswith(done.stdout.split("wrote to")[0].rstrip())
    again = simcore("run", str(folder / "fitted.toml"), "--out", "again", "--quiet")
    assert again.returncode == 0, again.stderr


def test_a_log_is_drawn_over_a_run_without_a_fit(simcore, desk: Path, log: Path) -> None:
    words = (*MAPPED, *SHORT, "--set", f"{RATE}=0.077", "--out", "here")
    done = simcore("fit", "scenarios/punchy_launch.toml", "logged.csv", *words)
    assert done.returncode == 0, done.stdout + done.stderr
    assert {path.name for path in (desk / "here").iterdir()} == FILES | {"log_over_run.png"}
    assert "Run and log differ by" in done.stdout


def test_its_page_says_all_that_repeats_it(simcore, desk: Path, log: Path) -> None:
    words = (*MAPPED, *SHORT, "--noise", "rear_travel=0.3", "--set", f"{RATE}=0.077", "--no-pictures")
    done = simcore("fit", "scenarios/punchy_launch.toml", "logged.csv", *words, "--out", "here")
    assert done.returncode == 0, done.stdout + done.stderr
    first = package.load(desk / "here")
    repeat = again(first)
    for name, text in repeat.inputs.items():
        (desk / name).write_text(text, encoding="utf-8")
    done = simcore(*shlex.split(repeat.command)[1:], "--out", "there", "--no-pictures")
    assert done.returncode == 0, done.stdout + done.stderr
    second = package.load(desk / "there")
    assert second.data() == first.data()
    pd.testing.assert_frame_equal(second.frame, first.frame, check_exact=True)


def test_a_log_is_never_written_over(desk: Path, log: Path) -> None:
    mine = log.rename(desk / "values.csv")
    before, file = mine.read_bytes(), str(desk / "scenarios" / "punchy_launch.toml")
    done = CliRunner().invoke(app, ["fit", file, str(mine), *MAPPED, *SHORT, "--out", str(desk)])
    assert done.exit_code == 2 and mine.read_bytes() == before
    assert "--out: got a folder in which values.csv is the log itself" in done.output


def test_a_wrong_sign_is_said_first_and_ends_with_1(desk: Path, log: Path) -> None:
    columns = [word.replace("=-pitch", "=pitch") for word in MAPPED]
    file = str(desk / "scenarios" / "punchy_launch.toml")
    done = CliRunner().invoke(app, ["fit", file, str(log), *columns, *SHORT, "--out", str(desk / "out")])
    assert done.exit_code == 1
    assert done.output.startswith(
        "NOT EXPLAINED (pitch_rate_deg_per_s): the log fits far better with the sign"
    )
    assert '--column "its header=-pitch_rate_deg_per_s"' in done.output


@pytest.mark.parametrize(
    ("words", "said"),
    [
        ((), "time_s: got the columns"),
        (("--column", "t [ms]"), '--column: got "t [ms]", must be header=channel'),
        ((*MAPPED, *MAPPED[:2]), "--column: t [ms]: got named twice, must be named once"),
        ((*MAPPED, "--noise", "rear_travel=some"), '--noise: rear_travel: got "some", must be a number'),
        ((*MAPPED, "--noise", "pitch=1"), "--noise: pitch: got no channel of the log"),
        (
            (*MAPPED, "--free", "rear.shock.damper.compresion"),
            'did you mean "rear.shock.damper.compression"?',
        ),
        ((*MAPPED, "--free", "offset:speed"), "--free: offset:speed: got no channel of the log"),
        ((*MAPPED, "--set", "end.durtion=1"), "durtion"),
    ],
)
def test_fit_refuses_in_words(desk: Path, log: Path, words: tuple[str, ...], said: str) -> None:
    file, out = str(desk / "scenarios" / "punchy_launch.toml"), desk / "out"
    done = CliRunner().invoke(app, ["fit", file, str(log), *words, "--out", str(out)])
    assert done.exit_code == 2
    assert said in done.output and "Traceback" not in done.output
    assert not out.exists()
