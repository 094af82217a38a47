"""The command `report`: from a scenario file and from a saved result; what it refuses."""

import re
from pathlib import Path

SHORT = ("--set", "end.duration=0.1", "--set", "output.rate=50")
STEEPER = ("--set", "ground.slope=45")


def headline(file: Path) -> str:
    found = re.search(r"<h1[^>]*>(.*?)</h1>", file.read_text(encoding="utf-8"))
    return found[1] if found else ""


def test_a_scenario_is_run_and_a_saved_result_is_read(simcore, desk: Path) -> None:
    done = simcore("report", "scenarios/slow_creep.toml", *SHORT, "-o", "sent/creep.html")
    assert done.returncode == 0, done.stderr
    assert headline(desk / "sent" / "creep.html") in done.stdout.splitlines()
    assert "wrote to sent: creep.html" in done.stdout
    simcore("run", "scenarios/slow_creep.toml", *SHORT, "--out", "saved", "--no-pictures", "--quiet")
    again = simcore("report", "saved", "--quiet")
    assert (again.returncode, again.stdout) == (0, ""), again.stderr
    pages = [(desk / file).read_text(encoding="utf-8") for file in ("sent/creep.html", "saved/report.html")]
    assert pages[0] == pages[1]
    rerun = simcore("run", "scenarios/slow_creep.toml", *SHORT, *STEEPER, "--out", "saved", "--no-pictures")
    assert "report.html" in rerun.stdout and headline(desk / "saved" / "report.html") in rerun.stdout
    assert (desk / "saved" / "report.html").read_text(encoding="utf-8") != pages[0]


def test_it_refuses_what_it_would_replace_and_options_without_a_run(simcore, desk: Path) -> None:
    (desk / "mine.html").write_text("mine")
    for words in (
        ("scenarios/slow_creep.toml", "-o", "mine.html"),
        ("scenarios/slow_creep.toml", "-o", "page.txt"),
        ("scenarios", "--set", "ground.slope=5"),
        ("scenarios",),
        ("scenarios/none.toml",),
    ):
        done = simcore("report", *words)
        assert (done.returncode, done.stdout) == (2, "") and "must be" in done.stderr, words
    assert (desk / "mine.html").read_text() == "mine" and not (desk / "plots").exists()
