"""Videos and dots that cannot be used: one clear issue each, and all of them at once."""

import dataclasses
import sys
from pathlib import Path
from typing import Any

import cv2
import numpy as np
import pytest
from filmed import DOTS, Film, dots_file, on_rig

import simcore
from simcore.errors import InputError
from simcore.files.check import check
from simcore.files.dots import Dots

SHORT = Film(times=0.3 + np.arange(4) / 60.0)


def refused(video: Path, known: Any = None, **options: Any) -> list[str]:
    dots = known if isinstance(known, Path) else check(Dots, known or dots_file(slope=15), "dots")
    with pytest.raises(InputError) as caught:
        simcore.track(video, dots, **options)
    return [str(issue) for issue in caught.value.issues]


@pytest.fixture(scope="module")
def short(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return SHORT.write(tmp_path_factory.mktemp("short") / "short.avi")


def test_what_is_no_video(tmp_path: Path) -> None:
    text, empty, one = tmp_path / "text.mp4", tmp_path / "empty.mp4", tmp_path / "one.avi"
    text.write_text("no video " * 500)
    empty.touch()
    dataclasses.replace(SHORT, times=SHORT.times[:1]).write(one)
    for path, got in (
        (tmp_path / "none.mp4", "no such file"),
        (tmp_path, "no regular file"),
        (text, "a file of another kind, or damaged"),
        (empty, "an empty file"),
        (one, "a video of 1 frames that can be read"),
    ):
        (issue,) = refused(path)
        assert issue.startswith(f"{path}: got {got}, must be a video")


def test_a_codec_that_nobody_knows_and_a_file_cut_off(tmp_path: Path, short: Path) -> None:
    unknown, cut = tmp_path / "unknown.avi", tmp_path / "cut.avi"
    unknown.write_bytes(short.read_bytes().replace(b"MJPG", b"ZZ9Z"))
    cut.write_bytes(short.read_bytes()[:2000])
    for path in (unknown, cut):
        (issue,) = refused(path)
        assert issue.startswith(f"{path}: got a")


def test_times_that_do_not_rise(short: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    from simcore.video import frames

    class Stuck:
        def __init__(self, path: str) -> None:
            self.inner = cv2.VideoCapture(path)

        def __getattr__(self, name: str) -> Any:
            return getattr(self.inner, name)

        def get(self, key: int) -> float:
            return 0.0

    class Module:
        VideoCapture, CAP_PROP_POS_MSEC = Stuck, cv2.CAP_PROP_POS_MSEC

    monkeypatch.setattr(frames, "opencv", Module)
    (issue,) = refused(short)
    assert "frames 1 and 2 both at 0.000 s" in issue and "--fps" in issue
    assert len(simcore.track(short, check(Dots, dots_file(slope=15), "dots"), fps=60).log) == 4


def test_every_missing_dot_at_once(short: Path) -> None:
    known = dots_file(slope=15)
    known["dots"] += [
        {"name": "roof", "on": "chassis", "colour": "turquoise"},
        {"name": "bumper", "on": "chassis", "colour": "violet"},
    ]
    issues = refused(short, known)
    assert [issue.split(": ")[1] for issue in issues] == ["dots.roof", "dots.bumper"]
    assert "no turquoise spot in any of 4 frames" in issues[0]


def test_a_stated_start_where_nothing_is(short: Path) -> None:
    known = dots_file(slope=15)
    known["dots"][0]["start"] = [5, 5]
    (issue,) = refused(short, known)
    assert issue.startswith("dots: dots.tail: got no orange spot within 30 pixels of its start")


def test_a_rival_that_nothing_tells_apart_is_not_guessed(tmp_path: Path) -> None:
    others = (((420.0, 330.0), DOTS["nose"][2], 14.0),)
    video = dataclasses.replace(SHORT, others=others).write(tmp_path / "rival.avi")
    known = dots_file(scale={"between": ["tail", "nose"], "length": 190})
    for one in known["dots"]:
        del one["at"]
    (issue,) = refused(video, known)
    assert issue.startswith("dots: dots.nose: got 2 spots of its colour at [") and "`start`" in issue
    start = SHORT.camera.pixels(on_rig("chassis", DOTS["nose"][1], SHORT.times[0]))[0]
    known["dots"][1]["start"] = start.round().tolist()
    track = simcore.track(video, check(Dots, known, "dots"))
    assert np.linalg.norm(track.paths.pixels["nose"][0] - start) < 0.3


def test_dots_that_claim_one_spot_are_both_lost_and_it_is_said(tmp_path: Path) -> None:
    film = dataclasses.replace(SHORT, dots={name: DOTS[name] for name in ("tail", "nose")})
    video = film.write(tmp_path / "one_spot.avi")
    start = film.camera.pixels(on_rig("chassis", DOTS["nose"][1], film.times[0]))[0].round().tolist()
    known = dots_file(scale={"between": ["tail", "nose"], "length": 190})
    known["dots"] = [
        {"name": "tail", "on": "chassis", "colour": "orange"},
        {"name": "nose", "on": "chassis", "colour": "blue", "start": start},
        {"name": "roof", "on": "chassis", "colour": "blue", "start": start},
    ]
    track = simcore.track(video, check(Dots, known, "dots"))
    said = [str(concern) for concern in track.concerns]
    assert any("nose, roof" in text and "too alike" in text for text in said)
    assert np.isnan(track.paths.pixels["roof"][1:]).all()


def test_everything_that_is_wrong_at_once(tmp_path: Path) -> None:
    dots, scenario = tmp_path / "dots.toml", tmp_path / "none.toml"
    dots.write_text('[[dots]]\nname = "a"\non = "roof"\ncolour = "orang"\n')
    issues = refused(tmp_path / "none.mp4", dots, scenario=scenario, drives="up", fps=0.1)
    for part in ("none.mp4", "dots[0].on", 'did you mean "orange"?', "none.toml", "--drives", "--fps"):
        assert any(part in issue for issue in issues), part


def test_a_slope_that_is_not_the_scenarios(short: Path) -> None:
    scenario = Path(__file__).parents[3] / "scenarios" / "punchy_launch.toml"
    (issue,) = refused(short, dots_file(slope=14), scenario=scenario)
    assert issue == "dots: slope: got 14 deg, must be left out, or the scenario's 15 deg"


def test_without_opencv_one_message_says_how_to_get_it(short: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, "cv2", None)
    assert refused(short) == [
        "track: got no OpenCV, which reads videos, must be installed: pip install 'simcore[video]'"
    ]
