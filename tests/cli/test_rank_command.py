"""`simcore rank`, as a user types it."""

from pathlib import Path

FILE = "scenarios/trail_launch.toml"


def test_ranks_says_it_again_and_goes_on_where_it_was(simcore, desk: Path) -> None:
    text = (desk / FILE).read_text(encoding="utf-8").split("[conclusion]")[0].split("[variants")[0]
    (desk / "scenarios" / "mine.toml").write_text(
        text + '\n[variants."battery lower"]\n"parts.0.at.1 -=" = 10\n'
        '[rank]\ndraws = 4\n[rank.conditions."less grip"]\n"ground.grip" = 90\n',
        encoding="utf-8",
    )
    words = (
        "rank",
        "scenarios/mine.toml",
        "--by",
        "pitch",
        "--less",
        "--set",
        "end.duration=0.4",
        "--out",
        "out",
    )
    first = simcore(*words)
    assert first.returncode == 0, first.stderr
    assert (
        "battery lower" in first.stdout and "less grip" in first.stdout and "less is better" in first.stdout
    )
    assert {"ranking.json", "ranking.csv", "ranking.png", "runs.jsonl"} <= {
        one.name for one in (desk / "out").iterdir()
    }
    table = (desk / "out" / "ranking.csv").read_bytes()
    assert simcore(*words, "--no-pictures").returncode == 0
    assert (desk / "out" / "ranking.csv").read_bytes() == table
    shown = simcore("show", "out")
    assert shown.returncode == 0 and shown.stdout in first.stdout
    sent = simcore("report", "scenarios/mine.toml", "--set", "end.duration=0.1", "-o", "sent.html")
    assert sent.returncode == 0, sent.stderr
    page = (desk / "sent.html").read_text(encoding="utf-8")
    assert 'content="ranking"' in page and 'class="player-live"' in page and "battery lower" in page


def test_refuses_with_one_message(simcore, desk: Path) -> None:
    done = simcore("rank", FILE, "--more", "--less")
    assert (done.returncode, done.stdout) == (2, "")
    assert "--less" in done.stderr and "Traceback" not in done.stderr
    done = simcore("rank", "scenarios/punchy_launch.toml")
    assert done.returncode == 2 and "--each" in done.stderr
