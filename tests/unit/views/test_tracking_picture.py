"""The check picture of a tracked video, the still with its pixel scale, and what the terminal says."""

import dataclasses
from pathlib import Path

import numpy as np
import pytest
from filmed import DOTS, Film, dots_file

import simcore
from simcore.errors import InputError
from simcore.files.check import check
from simcore.files.dots import Dots
from simcore.views.console.tracking import track_lines
from simcore.views.pictures.tracking import draw_still, draw_track

SHORT = Film(times=0.3 + np.arange(8) / 60.0, hidden={"nose": (3, 4)})


@pytest.fixture(scope="module")
def video(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return SHORT.write(tmp_path_factory.mktemp("pictured") / "short.avi")


@pytest.fixture(scope="module")
def track(video: Path) -> simcore.Track:
    return simcore.track(video, check(Dots, dots_file(slope=15), "dots"))


def test_rings_are_on_the_dots_and_each_frame_names_them(track: simcore.Track) -> None:
    figure = draw_track(track)
    title = " ".join(figure.texts[0].get_text().split())
    assert title == "Nose is lost in 25 % of 8 frames; the other dots in none"
    *frames, strips = figure.axes
    assert [axis.texts[0].get_text() for axis in frames] == ["0.00 s", "0.03 s", "0.07 s", "0.12 s"]
    for axis in frames:
        number = round(60 * float(axis.texts[0].get_text()[:-2]))
        lost = number in SHORT.hidden["nose"]
        assert {text.get_text() for text in axis.texts} >= {"nose: lost" if lost else "nose", "tail"}
        rings = [np.asarray(line.get_xydata()).mean(axis=0) for line in axis.lines[1::2]]
        for name, ring in zip(DOTS, rings, strict=True):
            if not (lost and name == "nose"):
                assert ring == pytest.approx(track.paths.pixels[name][number], abs=1.5)
    assert [label.get_text() for label in strips.get_yticklabels()] == list(DOTS)
    assert [len(bars.get_paths()) for bars in strips.collections] == [8, 6, 8, 8]


def test_names_stand_apart_above_each_frame(track: simcore.Track) -> None:
    figure = draw_track(track)
    figure.canvas.draw()
    for axis in figure.axes[:-1]:
        boxes = [text.get_window_extent() for text in axis.texts if text.get_text() and text.get_visible()]
        for k, one in enumerate(boxes):
            assert not any(one.overlaps(other) for other in boxes[k + 1 :])
            assert one.y0 >= axis.get_window_extent().y1


def test_all_seen_says_so(track: simcore.Track) -> None:
    whole = dataclasses.replace(
        track.paths, pixels={name: track.paths.pixels[name] for name in ("tail", "rear hub")}
    )
    seen = dataclasses.replace(track, paths=whole)
    assert draw_track(seen).texts[0].get_text().startswith("All 2 dots are followed through all 8 frames")


def test_a_still_has_the_films_own_pixels(video: Path) -> None:
    figure = draw_still(video, 0.05, None)
    (axis,) = figure.axes
    assert axis.get_xlim() == (-0.5, 959.5) and axis.get_ylim() == (539.5, -0.5)
    assert "0.05\N{NO-BREAK SPACE}s" in figure.texts[0].get_text()
    with pytest.raises(InputError, match="a time within the video"):
        draw_still(video, 99.0, None)


@pytest.mark.parametrize("width", [60, None])
def test_the_terminal_says_pitch_scale_and_noise(track: simcore.Track, width: int | None) -> None:
    lines = track_lines(track, width)
    text = " ".join(lines)
    for part in (
        "4 dots in 8 frames",
        "nose lost in 25 %",
        "Pitch counts",
        "scale from the places of the dots on the rig",
    ):
        assert part in text
    assert any(line.startswith("pitch_deg") for line in lines)
    assert width is None or max(map(len, lines)) <= width
