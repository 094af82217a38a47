"""From an empty worksheet to a first picture, as a new user types it."""

import shutil
from pathlib import Path

import pytest

TARN = "scenarios/worksheets/tarn.toml"


def test_five_steps_to_a_first_picture(simcore, desk: Path) -> None:
    made = simcore("new", "Marl")
    assert (made.returncode, made.stdout) == (
        0,
        "wrote marl.toml; fill in what you can, then: simcore measure marl.toml\n",
    )
    text = (desk / "marl.toml").read_text(encoding="utf-8")
    filled = text.replace('wheelbase = ""', 'wheelbase = "312 +- 1 mm"', 1)
    (desk / "marl.toml").write_text(filled.replace('rear = ""', 'rear = "905 g"', 1), encoding="utf-8")
    measured = simcore("measure", "marl.toml", "-o", "rigs/marl.toml")
    assert (measured.returncode, measured.stderr) == (0, "")
    assert "wheelbase" in measured.stdout and "guesses, or hanging on guesses" in measured.stdout
    assert "wrote to rigs: marl.toml" in measured.stdout
    stands = simcore("inspect", "rigs/marl.toml")
    assert stands.returncode == 0 and "Rig: Marl" in stands.stdout
    run = simcore(
        "run", "scenarios/punchy_launch.toml", "--set", "rig=../rigs/marl.toml", "--set", "end.duration=0.3"
    )
    assert run.returncode == 0, run.stderr
    assert "Rig: Marl" in run.stdout
    assert list((desk / "plots").glob("punchy_launch/*/pitch_and_travel.png"))


def test_a_worksheet_is_not_written_over(simcore, desk: Path) -> None:
    (desk / "marl.toml").write_text("mine", encoding="utf-8")
    again = simcore("new", "Marl")
    assert (again.returncode, again.stdout) == (2, "")
    assert again.stderr == "marl.toml: got a file that is there already, must be a new name\n"
    assert (desk / "marl.toml").read_text(encoding="utf-8") == "mine"


def test_a_rig_file_changed_by_hand_is_kept(simcore, desk: Path) -> None:
    assert simcore("measure", TARN, "-o", "tarn.toml", "--quiet").returncode == 0
    assert simcore("measure", TARN, "-o", "tarn.toml", "--quiet").returncode == 0  # its own: written again
    changed = (desk / "tarn.toml").read_text(encoding="utf-8") + "# mine\n"
    (desk / "tarn.toml").write_text(changed, encoding="utf-8")
    shutil.rmtree(desk / "plots")
    refused = simcore("measure", TARN, "-o", "tarn.toml")
    assert (refused.returncode, refused.stdout) == (2, "")
    assert refused.stderr.startswith(
        "tarn.toml: -o: got a file that was written or changed by hand, must be "
    )
    assert (desk / "tarn.toml").read_text(encoding="utf-8") == changed
    assert not (desk / "plots").exists()  # nothing half done


def test_readings_that_disagree_are_said_first(simcore, desk: Path) -> None:
    text = (desk / TARN).read_text(encoding="utf-8")
    (desk / TARN).write_text(text.replace('"2089 +- 2 g"', '"2251 +- 2 g"'), encoding="utf-8")
    done = simcore("measure", TARN)
    assert done.returncode == 1
    first = done.stdout.splitlines()[0]
    assert first.startswith("READINGS DISAGREE (scales.whole): ")
    assert "2088.0 ± 2.8 g (rear + front)" in first and "2251.0 ± 2.0 g (read)" in first
    assert (desk / "plots/tarn/measure/rig.toml").exists()


def test_all_faults_of_a_worksheet_at_once(simcore, desk: Path) -> None:
    (desk / "w.toml").write_text(
        'worksheet = 1\nname = ""\nwheelbase = "31 +- x"\n[scales]\nrear = "3 kg +- 1 mm"\nfrnt = 1\n',
        encoding="utf-8",
    )
    done = simcore("measure", "w.toml", "-o", "r.toml")
    assert (done.returncode, done.stdout) == (2, "")
    assert sorted(done.stderr.splitlines()) == [
        "w.toml: name: got nothing, must be text",
        'w.toml: scales.frnt: got an unknown key, must be a known key (did you mean "front"?)',
        'w.toml: scales.rear: got "1 mm", must be in g or a unit of the same kind',
        'w.toml: wheelbase: got "x", must be a number, as in "12 +- 1 mm"',
    ]
    assert not (desk / "r.toml").exists() and not (desk / "plots").exists()


@pytest.mark.parametrize(
    ("file", "kind"), [("scenarios/rigs/gully.toml", "rig"), ("scenarios/ledge.toml", "scenario")]
)
def test_other_files_are_not_worksheets(simcore, file: str, kind: str) -> None:
    done = simcore("measure", file)
    assert done.returncode == 2
    assert (
        done.stderr
        == f"{file}: got a {kind}, must be a worksheet; `simcore new NAME` writes one to fill in\n"
    )


def test_a_worksheet_is_no_rig(simcore) -> None:
    done = simcore("inspect", TARN)
    assert done.returncode == 2
    assert "simcore measure" in done.stderr


def test_a_saved_measurement_is_shown_again(simcore, desk: Path) -> None:
    first = simcore("measure", TARN)
    shown = simcore("show", "plots/tarn/measure")
    assert shown.returncode == 0, shown.stderr
    assert shown.stdout.splitlines()[:5] == first.stdout.splitlines()[:5]
