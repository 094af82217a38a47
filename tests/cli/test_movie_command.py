"""`movie` as a user types it."""

from pathlib import Path

from PIL import Image


def test_a_scenario_becomes_a_film(simcore, desk: Path) -> None:
    file = desk / "scenarios" / "slow_creep.toml"
    file.write_text(file.read_text().replace("duration = 4", "duration = 0.1"))
    done = simcore("movie", "scenarios/slow_creep.toml", "--slow", "1")
    assert done.returncode == 0, done.stderr
    with Image.open(desk / "plots" / "slow_creep" / "movie.gif") as film:
        assert film.n_frames >= 3
    assert "movie.gif" in done.stdout


def test_what_cannot_be_filmed_is_said_before_any_run(simcore, desk: Path) -> None:
    for words, says in (
        (("scenarios/ledge.toml", "--variants", "walk"), 'got "walk", must be some of creep, 0.15 m/s; run'),
        (("scenarios/ledge.toml", "-o", "film.avi"), "must be a name that ends in .gif or .mp4"),
        (("scenarios/ledge.toml", "--slow", "0"), "--slow: got 0, must be over 0"),
        (("scenarios/slow_creep.toml", "--slow", "1e3"), "must be over 0 and at most 14.99 for a run of 4 s"),
        (("scenarios/ledge.toml", "-o", "scenarios/ledge.toml/x.gif"), "which is no folder"),
        (("nowhere",), "nowhere"),
    ):
        done = simcore("movie", *words)
        assert done.returncode == 2
        assert says in done.stderr
        assert "Traceback" not in done.stderr
    assert not (desk / "plots").exists()
