"""Runs filmed by a pin-hole camera and tracked: the log says what the run did, and what it cannot know."""

from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pandas as pd
import pytest
from filmed import DOTS, SLOPE, Camera, Film, dots_file, on_rig, retimed, truth

import simcore
from simcore.files.check import check
from simcore.files.dots import Dots

PITCH, PLACE, RISE, SPEED = 0.2, 0.8, 0.5, 0.03  # deg, mm, mm, m/s: largest error of any frame
TILTED = Camera(turned=10, nodded=-6, rolled=2, bent=-0.25, focal=1100, distance=1500)
CORNERS = [(250.0, 340.0), (547.0, 340.0), (547.0, 130.0), (250.0, 130.0)]
BEND = -0.25 * (0.5 * np.hypot(960, 540) / 1100) ** 2  # the lens in halves of the diagonal
Filmed = Callable[..., Path]


@pytest.fixture(scope="module")
def filmed(tmp_path_factory: pytest.TempPathFactory) -> Filmed:
    """Write a film once, by its name."""
    home, done = tmp_path_factory.mktemp("films"), dict[str, Path]()

    def write(name: str, film: Film, **how: Any) -> Path:
        if name not in done:
            done[name] = film.write(home / name, **how)
        return done[name]

    return write


def tracked(video: Path, film: Film | None = None, **more: Any) -> simcore.Track:
    options = {key: more.pop(key) for key in ("fps", "drives", "scenario") if key in more}
    return simcore.track(video, check(Dots, dots_file(**more), "dots"), **options)


def errors(track: simcore.Track, times: Any) -> dict[str, pd.Series]:
    """Error of each column in every frame in which it is known."""
    return {name: (track.log[name] - true).dropna() for name, true in truth(np.asarray(times)).items()}


def assert_near(track: simcore.Track, times: Any, speed: float = SPEED) -> None:
    off = errors(track, times)
    for name, most in (("pitch_deg", PITCH), ("place_mm", PLACE), ("speed_m_per_s", speed)):
        assert off[name].abs().max() < most, name
        assert np.sqrt((off[name] ** 2).mean()) < 0.6 * most, name
    for axle in ("rear", "front"):
        assert off[f"{axle}_rise_mm"].abs().max() < RISE


PLAIN = Film()
ROUGH = Film(Camera(side=-1, rolled=3), exposure=0.008, noise=6.0)


def test_a_climb_as_it_was(filmed: Filmed) -> None:
    track = tracked(filmed("plain.avi", PLAIN), slope=SLOPE)
    assert_near(track, PLAIN.times)
    assert list(track.log) == [
        "time_s",
        "pitch_deg",
        "speed_m_per_s",
        "place_mm",
        "rear_rise_mm",
        "front_rise_mm",
    ]
    assert track.log["time_s"].to_numpy() == pytest.approx(PLAIN.times - PLAIN.times[0], abs=1e-6)
    assert (track.concerns, track.remarks, track.view.drives) == ([], [], "right")
    assert track.channels.absolute and "from the bench" in track.pitch_is
    true = truth(PLAIN.times)
    assert np.ptp(true["pitch_deg"]) > 1.5 and np.ptp(true["rear_rise_mm"]) > 4.0  # there is something to see


def test_a_clip_that_begins_on_the_move(filmed: Filmed) -> None:
    film = Film(times=PLAIN.times[12:32], exposure=0.004)
    track = tracked(filmed("moving.avi", film), slope=SLOPE)
    off = errors(track, film.times)
    assert off["place_mm"].abs().max() < PLACE and off["rear_rise_mm"].abs().max() < RISE


def test_its_noise_is_of_the_size_of_its_errors(filmed: Filmed) -> None:
    track = tracked(filmed("plain.avi", PLAIN), slope=SLOPE)
    off = errors(track, PLAIN.times)
    for name in ("pitch_deg", "place_mm", "rear_rise_mm", "front_rise_mm"):
        assert 0.3 < np.std(off[name]) / track.channels.noise[name] < 3.5


def test_rolled_blurred_noisy_and_to_the_left(filmed: Filmed) -> None:
    track = tracked(filmed("rough.avi", ROUGH), slope=SLOPE)
    assert_near(track, ROUGH.times)
    assert track.view.drives == "left" and track.lost_pct == dict.fromkeys(DOTS, 0.0)
    assert abs(np.degrees(track.view.roll)) == pytest.approx(3.0, abs=0.1)


def test_a_line_in_the_picture_gives_the_level(filmed: Filmed) -> None:
    line = ROUGH.camera.pixels(
        [(-100, -100 * np.tan(np.radians(SLOPE))), (700, 700 * np.tan(np.radians(SLOPE)))]
    )
    track = tracked(filmed("rough.avi", ROUGH), level={"line": line.tolist(), "slope": SLOPE})
    assert_near(track, ROUGH.times)
    assert track.view.level_from == "a line in the picture"


def test_a_rolled_camera_that_is_said_to_be_level_is_off_by_its_roll_and_it_is_said(filmed: Filmed) -> None:
    track = tracked(filmed("rough.avi", ROUGH), slope=SLOPE, level={})
    assert abs(errors(track, ROUGH.times)["pitch_deg"].mean()) == pytest.approx(3.0, abs=0.1)
    assert any("the dots' way rises by" in remark for remark in track.remarks)


def test_the_scenario_gives_slope_and_hubs(filmed: Filmed) -> None:
    scenario = Path(__file__).parents[3] / "scenarios" / "punchy_launch.toml"
    dots = dots_file()
    for one in dots["dots"][2:]:
        del one["at"]
    track = simcore.track(filmed("plain.avi", PLAIN), check(Dots, dots, "dots"), scenario=scenario)
    assert_near(track, PLAIN.times)


TILT = Film(TILTED, exposure=0.004, noise=4.0)


def test_sheet_and_lens_undo_a_tilted_bent_view(filmed: Filmed) -> None:
    corners = TILTED.pixels(CORNERS).tolist()
    known = {"slope": SLOPE, "sheet": {"corners": corners}, "lens": {"distortion": BEND}}
    track = tracked(filmed("tilt.avi", TILT), **known)
    assert_near(track, TILT.times)
    assert track.view.scale_from == "the sheet" and track.remarks == []
    by_edge = tracked(filmed("tilt.avi", TILT), **{**known, "level": {}})  # the sheet hangs level
    assert_near(by_edge, TILT.times)
    bent = tracked(filmed("tilt.avi", TILT), **{**known, "lens": None})
    tilted = tracked(filmed("tilt.avi", TILT), **{**known, "sheet": None})
    for without in (bent, tilted):  # each is needed
        worse, better = (errors(one, TILT.times) for one in (without, track))
        assert worse["pitch_deg"].abs().max() > 2.0 * better["pitch_deg"].abs().max()
        assert worse["place_mm"].abs().max() > 2.0 * better["place_mm"].abs().max()
    assert any("camera is not square" in remark for remark in tilted.remarks)


HIDDEN = {"rear hub": range(15, 23), "nose": range(30, 34)}


def test_a_hidden_dot_leaves_its_columns_empty_and_is_found_again(filmed: Filmed) -> None:
    passed = on_rig("front", DOTS["front hub"][1], 0.5)
    film = Film(
        hidden=HIDDEN,
        others=(
            ((420.0, 330.0), DOTS["nose"][2], 16.0),  # larger than the dot itself
            (tuple(passed + np.array([0.0, 12.0])), DOTS["front hub"][2], 14.0),
        ),
    )
    track = tracked(filmed("hidden.avi", film), slope=SLOPE)
    assert_near(track, film.times)
    for name, frames in HIDDEN.items():
        lost = np.isnan(track.paths.pixels[name][:, 0])
        assert np.flatnonzero(lost).tolist() == list(frames)
    assert np.isnan(track.paths.pixels["front hub"][:, 0]).sum() >= 1  # one with what it passes
    assert track.log["pitch_deg"].isna().sum() == 4 and track.log["rear_rise_mm"].isna().sum() == 12
    assert [str(one) for one in track.concerns][:1] == [
        "NOT KNOWN (nose): lost in 9.5 % of the frames, more than 5 %"
    ]
    assert tracked(filmed("hidden.avi", film), slope=SLOPE, most_lost=25).concerns == []


def test_all_dots_hidden_at_once_are_found_again_together(filmed: Filmed) -> None:
    film = Film(hidden=dict.fromkeys(DOTS, range(12, 26)))
    track = tracked(filmed("curtain.avi", film), slope=SLOPE)
    assert_near(track, film.times, speed=0.1)  # beside the gap only one side is known
    for path in track.paths.pixels.values():
        assert np.flatnonzero(np.isnan(path[:, 0])).tolist() == list(range(12, 26))


def test_uneven_frame_times_are_used_as_they_are(filmed: Filmed) -> None:
    apart = np.random.default_rng(2).integers(40, 120, 20)
    ticks = np.column_stack([256 - apart, 256 + apart]).ravel()  # of 15360 a second
    times = 0.1 + np.concatenate([[0.0], np.cumsum(ticks)[:-1]]) / 15360.0
    film = Film(times=times)
    video = filmed("uneven.mov", film, codec="jpeg")
    retimed(video, ticks.tolist())
    track = tracked(video, slope=SLOPE)
    assert track.log["time_s"].to_numpy() == pytest.approx(times - times[0], abs=1e-4)
    assert_near(track, times)
    evenly = tracked(video, slope=SLOPE, fps=60)
    assert (
        errors(evenly, times)["speed_m_per_s"].abs().max()
        > 2.0 * errors(track, times)["speed_m_per_s"].abs().max()
    )


def test_slow_motion_is_told_by_its_frames_per_second(filmed: Filmed) -> None:
    slow = tracked(filmed("plain.avi", PLAIN), slope=SLOPE, fps=240)
    assert slow.log["time_s"].iloc[-1] == pytest.approx(41 / 240)
    true = tracked(filmed("plain.avi", PLAIN), slope=SLOPE)
    assert slow.log["speed_m_per_s"].max() > 3.5 * true.log["speed_m_per_s"].max()


def test_without_a_level_pitch_counts_from_the_start_and_says_so(filmed: Filmed) -> None:
    track = tracked(filmed("plain.avi", PLAIN))
    true = truth(PLAIN.times)["pitch_deg"]
    assert (track.log["pitch_deg"] - (true - true[0])).abs().max() < PITCH
    assert not track.channels.absolute and track.facts["pitch_counts_from"] == "start"
    assert "START OF THE VIDEO" in track.pitch_is and "of its start" in track.headline


def test_only_what_the_dots_can_tell(filmed: Filmed) -> None:
    """Places on the rig unknown, scale from the hubs: pitch since the start, no rises; hubs: no pitch."""
    dots = dots_file(scale={"between": ["rear hub", "front hub"], "length": 315}, slope=SLOPE)
    for one in dots["dots"]:
        del one["at"]
    unplaced = simcore.track(filmed("plain.avi", PLAIN), check(Dots, dots, "dots"))
    assert list(unplaced.log) == ["time_s", "pitch_deg", "speed_m_per_s", "place_mm"]
    assert not unplaced.channels.absolute and any("no rise" in remark for remark in unplaced.remarks)
    assert errors_of_place(unplaced) < 4.0  # the wheelbase on the slope is not quite that on the bench
    dots["dots"] = dots["dots"][2:]
    hubs = simcore.track(filmed("plain.avi", PLAIN), check(Dots, dots, "dots"))
    assert list(hubs.log) == ["time_s", "speed_m_per_s", "place_mm"]
    assert any("no pitch" in remark for remark in hubs.remarks) and hubs.pitch_is == "No pitch."
    chassis = dots_file(slope=SLOPE)
    chassis["dots"] = chassis["dots"][:2]
    alone = simcore.track(filmed("plain.avi", PLAIN), check(Dots, chassis, "dots"))
    assert list(alone.log) == ["time_s", "pitch_deg", "speed_m_per_s", "place_mm"]
    assert any("no dot on an axle" in remark for remark in alone.remarks)


def errors_of_place(track: simcore.Track) -> float:
    return float((track.log["place_mm"] - truth(PLAIN.times)["place_mm"]).abs().max())


def test_a_wrong_place_of_a_dot_is_noticed(filmed: Filmed) -> None:
    line = PLAIN.camera.pixels([(0.0, 300.0), (400.0, 300.0)]).tolist()
    dots = dots_file(slope=SLOPE, scale={"line": line, "length": 400})
    right = simcore.track(filmed("plain.avi", PLAIN), check(Dots, dots, "dots"))
    assert right.remarks == [] and right.view.scale_from == "a length in the picture"
    assert_near(right, PLAIN.times)
    dots["dots"][0]["at"][0] += 10
    wrong = simcore.track(filmed("plain.avi", PLAIN), check(Dots, dots, "dots"))
    assert any("further apart than `at` says" in remark for remark in wrong.remarks)


def test_two_dots_of_one_colour_are_followed_from_where_they_start(filmed: Filmed) -> None:
    alike = {name: (body, at, DOTS["tail"][2]) for name, (body, at, _) in DOTS.items()}
    film = Film(dots=alike)
    dots = dots_file(slope=SLOPE)
    for one in dots["dots"]:
        one["colour"] = "orange"
        one["start"] = film.camera.pixels(on_rig(one["on"], one["at"], film.times[0]))[0].round().tolist()
    assert_near(simcore.track(filmed("alike.avi", film), check(Dots, dots, "dots")), film.times)


def test_it_is_saved_whole_and_not_over_another_log(filmed: Filmed, tmp_path: Path) -> None:
    track = tracked(filmed("plain.avi", PLAIN), slope=SLOPE)
    assert [file.name for file in track.save(tmp_path)] == ["log.csv", "track.json"]
    read = pd.read_csv(tmp_path / "log.csv")
    assert list(read) == list(track.log) and np.allclose(read, track.log, rtol=1e-5, atol=1e-6)
    track.save(tmp_path)
    other = tracked(filmed("rough.avi", ROUGH), slope=SLOPE)
    with pytest.raises(simcore.InputError, match="a folder without it"):
        other.save(tmp_path)
    (tmp_path / "track.json").unlink()
    with pytest.raises(simcore.InputError, match="another origin"):
        track.save(tmp_path)
