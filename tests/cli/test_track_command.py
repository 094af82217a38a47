"""`simcore track` as a user types it."""

import json
from collections.abc import Callable
from pathlib import Path
from subprocess import CompletedProcess

import numpy as np
import pandas as pd
import tomli_w
from filmed import Film, dots_file

Command = Callable[..., CompletedProcess[str]]


def said(done: CompletedProcess[str]) -> str:
    return done.stdout + done.stderr


def test_a_film_becomes_a_log(simcore: Command, desk: Path) -> None:
    Film(times=0.2 + np.arange(16) / 60.0).write(desk / "climb.avi")
    (desk / "dots.toml").write_text(tomli_w.dumps(dots_file(slope=15)), encoding="utf-8")
    done = simcore("track", "climb.avi", "--dots", "dots.toml")
    assert done.returncode == 0, said(done)
    assert "4 dots in 16 frames, none ever lost" in done.stdout
    folder = desk / "plots" / "climb" / "track"
    assert sorted(path.name for path in folder.iterdir()) == ["dots.png", "log.csv", "track.json"]
    log, facts = pd.read_csv(folder / "log.csv"), json.loads((folder / "track.json").read_text())
    assert list(log) == ["time_s", "pitch_deg", "speed_m_per_s", "place_mm", "rear_rise_mm", "front_rise_mm"]
    assert facts["drives"] == "right" and facts["lost_pct"]["nose"] == 0.0
    hidden = Film(times=0.2 + np.arange(16) / 60.0, hidden={"nose": range(4, 9)}).write(desk / "climb.avi")
    done = simcore("track", hidden.name, "--dots", "dots.toml", "--quiet", "--fps", "60", "--drives", "right")
    assert (done.returncode, done.stdout) == (
        1,
        "NOT KNOWN (nose): lost in 31.2 % of the frames, more than 5 %\n",
    )
    done = simcore("track", "climb.avi", "--still", "0", "--out", "still")
    assert done.returncode == 0 and (desk / "still" / "still.png").exists()


def test_everything_wrong_at_once_and_nothing_written(simcore: Command, desk: Path) -> None:
    done = simcore("track", "none.mp4", "--drives", "up", "--fps", "0")
    assert done.returncode == 2 and "Traceback" not in done.stderr
    for part in ("none.mp4: got no such file", "--dots: got nothing", "--drives", "--fps"):
        assert part in done.stderr
    assert not (desk / "plots").exists()


def test_without_opencv_it_says_how_to_get_it(simcore: Command, desk: Path) -> None:
    (desk / "cv2.py").write_text("raise ImportError\n", encoding="utf-8")
    (desk / "climb.avi").write_bytes(b"x")
    done = simcore("track", "climb.avi", "--dots", "dots.toml")
    assert done.returncode == 2 and done.stdout == ""
    assert (
        done.stderr
        == "track: got no OpenCV, which reads videos, must be installed: pip install 'simcore[video]'\n"
    )
