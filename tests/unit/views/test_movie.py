"""Films of runs: as long as asked, whole or not at all, and refused in words."""

import dataclasses
from pathlib import Path

import numpy as np
import pytest
from matplotlib.animation import FFMpegWriter
from PIL import Image
from results_to_show import creep

from simcore.cli.moving import chosen
from simcore.errors import InputError
from simcore.results.run import Run
from simcore.views import movie as films
from simcore.views.movie import movie


def _short() -> Run:
    """The last tenth of a second of a creep, in which it moves."""
    run = creep()
    kept = run.series["time_s"] <= 0.1
    series, motion = run.series[kept].copy(), run.motion[kept].copy()
    motion["rear_wheel_turn_deg"] = 3.0 * np.arange(len(motion))
    return dataclasses.replace(run, series=series, motion=motion)


def test_a_film_lasts_as_many_times_longer_as_asked_and_moves(tmp_path: Path) -> None:
    told: list[tuple[float, float]] = []
    file = movie({"a $name$": _short()}, tmp_path / "x.gif", 2.0, lambda *done: told.append(done))
    with Image.open(file) as film:
        assert film.n_frames * film.info["duration"] == pytest.approx(1e3 * (0.2 + 1.0 / films.RATE), abs=41)
        first = np.asarray(film.convert("RGB"))
        film.seek(film.n_frames - 1)
        assert (np.asarray(film.convert("RGB")) != first).any()
    assert told[-1][0] == told[-1][1] == len(told)
    assert [path.name for path in tmp_path.iterdir()] == ["x.gif"]


def test_colours_that_come_later_are_shown_as_they_are(tmp_path: Path) -> None:
    run = _short()
    run.series.loc[run.series.index[2] :, "front_load_N"] = 0.0  # whose tyre gets a ring in vermilion
    with Image.open(movie({"a": run}, tmp_path / "x.gif", 1.0)) as film:
        first = np.asarray(film.convert("RGB"), int)
        film.seek(film.n_frames - 1)
        last = np.asarray(film.convert("RGB"), int)
    ring = [np.abs(frame - (0xD5, 0x5E, 0x00)).max(axis=2) <= 3 for frame in (first, last)]
    assert ring[0].sum() == 0 and ring[1].sum() > 100
    assert (first[5, first.shape[1] // 2] == 255).all()  # paper is white


def test_a_film_that_breaks_off_leaves_the_old_one(tmp_path: Path) -> None:
    (tmp_path / "x.gif").write_text("the old one")

    def stop(done: float, total: float) -> None:
        raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        movie({"a": _short()}, tmp_path / "x.gif", 1.0, stop)
    assert [path.read_text() for path in tmp_path.iterdir()] == ["the old one"]


@pytest.mark.parametrize(
    ("name", "slow", "count", "says"),
    [
        ("x.avi", 4.0, 1, 'got "x.avi", must be a name that ends in .gif or .mp4'),
        ("x.gif", 0.0, 1, "--slow: got 0, must be over 0 and at most"),
        ("x.gif", float("nan"), 1, "--slow: got nan, must be over 0 and at most"),
        ("x.avi", -1.0, 7, "got -1, must be over 0 and at most"),
        ("x.gif", 1e9, 2, "for 2 runs of 0.1 s, or fewer of them (--variants)"),
        ("x.gif", 4.0, 7, "got 7 runs, must be at most 6 of them"),
    ],
)
def test_what_cannot_be_filmed_is_refused(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, name: str, slow: float, count: int, says: str
) -> None:
    monkeypatch.chdir(tmp_path)
    with pytest.raises(InputError) as refusal:
        movie({f"run {k}": _short() for k in range(count)}, Path(name), slow)
    assert says in str(refusal.value)
    assert list(tmp_path.iterdir()) == []


def test_without_ffmpeg_an_mp4_is_refused(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(FFMpegWriter, "isAvailable", lambda: False)
    with pytest.raises(InputError, match="or ffmpeg installed"):
        movie({"a": _short()}, tmp_path / "x.mp4")


def test_names_may_hold_commas() -> None:
    names = ["creep", "run, 1 m/s", "run, 1 m/s, on ice"]
    assert chosen(None, names) == names
    assert chosen("run, 1 m/s, on ice, creep", names) == ["run, 1 m/s, on ice", "creep"]
    assert chosen("creep,run, 1 m/s", names) == ["creep", "run, 1 m/s"]
    with pytest.raises(InputError, match="must be some of creep; run, 1 m/s"):
        chosen("creep, walk", names)
    with pytest.raises(InputError, match="twice"):
        chosen("creep, creep", names)


def test_ticks_stand_on_the_ground_every_50_mm_along_it() -> None:
    run = creep()
    slope = np.radians(25.0)  # the scenario's
    feet = films._ticks(run)[:, 0]
    assert np.hypot(*np.diff(feet, axis=0).T) == pytest.approx(50.0)
    assert np.diff(feet, axis=0)[0] == pytest.approx(50.0 * np.array([np.cos(slope), np.sin(slope)]))
