"""`sweep`, `spread` and `rank` lose a process and are stopped or killed: given again, they end as ever."""

import os
import signal
import subprocess
import time
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest

pytestmark = pytest.mark.skipif(not Path("/proc/self/task").exists(), reason="no /proc")
SHORT = ("--set", "end.duration=0.2", "--set", "output.rate=50", "--no-pictures")
WORDS = {
    "sweep": ("sweep", "scenarios/trail_launch.toml", "--vary", "driveline.overdrive=0:20:0.4", *SHORT),
    "spread": ("spread", "scenarios/trail_launch.toml", "--runs", "56", "--only-stated", *SHORT),
    "rank": ("rank", "scenarios/trail_launch.toml", "--draws", "32", "--by", "pitch", "--less", *SHORT),
}
STATED = """
[variants."battery lower"]
"parts.0.at.1 -=" = 10
[spread]
"chassis.mass" = "10 g"
"chassis.cg.1" = "3 mm"
"""
LIKELY = [("sweep", signal.SIGINT), ("spread", signal.SIGINT), ("rank", signal.SIGKILL)]
OTHERS = [("sweep", signal.SIGKILL), ("spread", signal.SIGKILL), ("rank", signal.SIGINT)]


def children(pid: int) -> list[int]:
    """Processes that one has started and that still run."""
    try:
        lists = [(task / "children").read_text() for task in Path(f"/proc/{pid}/task").iterdir()]
    except OSError:  # it has just ended
        return []
    return [child for words in lists for child in map(int, words.split()) if runs(child)]


def runs(pid: int) -> bool:
    try:
        return Path(f"/proc/{pid}/stat").read_text().rpartition(")")[2].split()[0] != "Z"
    except OSError:
        return False


def waited_for(what: str, seconds: float = 60.0) -> Iterator[None]:
    """Again and again, until the caller has seen what it waits for."""
    end = time.monotonic() + seconds
    while time.monotonic() < end:
        yield
        time.sleep(0.005)
    pytest.fail(f"waited in vain for {what}")


def kept(folder: Path) -> int:
    """How many runs are finished; one that is interrupted while it is written may be written twice."""
    file = folder / "runs.jsonl"
    return (
        len({line for line in file.read_bytes().splitlines(True) if line.endswith(b"\n")})
        if file.exists()
        else 0
    )


def disturbed(server: int, folder: Path, how: signal.Signals) -> list[int]:
    """Kill one of the processes that share the runs, then stop the command; gives all that it had started."""
    for _ in waited_for("the first runs"):
        commands = children(server)
        below = [child for command in commands for child in children(command)]
        workers = [worker for child in below for worker in children(child)]
        if kept(folder) >= 2 and workers:
            os.kill(workers[-1], signal.SIGKILL)
            break
    before = kept(folder)
    for _ in waited_for("runs after a process was killed"):
        if kept(folder) >= before + 2:
            family = [*below, *(worker for child in below for worker in children(child))]
            os.kill(commands[0], how)
            return family
    return []


@pytest.mark.parametrize(
    ("study", "how"), [*LIKELY, *(pytest.param(*one, marks=pytest.mark.thorough) for one in OTHERS)]
)
def test_a_study_that_was_stopped_ends_as_if_it_never_was(
    study: str, how: signal.Signals, simcore, server: subprocess.Popen[str], desk: Path
) -> None:
    file = desk / "scenarios" / "trail_launch.toml"
    text = file.read_text(encoding="utf-8").split("[conclusion]")[0].split("[variants")[0]
    file.write_text(text + STATED, encoding="utf-8")
    whole = simcore(*WORDS[study], "--workers", "1", "--out", "whole")
    assert whole.returncode == 0, whole.stderr
    cut = desk / "cut"
    with ThreadPoolExecutor(1) as pool:
        waiting = pool.submit(simcore, *WORDS[study], "--workers", "2", "--out", "cut")
        family = disturbed(server.pid, cut, how)
        done = waiting.result()
    assert done.returncode == (130 if how == signal.SIGINT else -how) and done.stdout == ""
    if how == signal.SIGINT:
        said = "stopped; finished runs are in cut/runs.jsonl, the same command goes on"
        assert said in done.stderr.splitlines() and "Traceback" not in done.stderr
    for _ in waited_for("its processes to end", 20.0):
        if not any(map(runs, family)):
            break
    assert family and {path.name for path in cut.iterdir()} == {"runs.jsonl"}
    assert 3 <= kept(cut) < kept(desk / "whole")
    again = simcore(*WORDS[study], "--workers", "1", "--out", "cut")
    assert again.returncode == 0 and kept(cut) == kept(desk / "whole"), again.stderr
    assert again.stdout.replace("cut", "whole") == whole.stdout
    for path in (desk / "whole").iterdir():
        if path.name != "runs.jsonl":
            assert (cut / path.name).read_bytes() == path.read_bytes(), path.name
