"""Kills a command at random instants, gives it once more, and compares the files: python kills.py run 40.

Every command is a fork of this process, which has loaded the libraries, so that most instants fall into the
work and not into imports.
"""

import json
import os
import random
import shutil
import signal
import sys
import tempfile
import time
from collections import Counter
from pathlib import Path

import forking

ROOT = Path(__file__).parents[2]
SHORT = ("--set", "end.duration=0.2", "--set", "output.rate=50")
AXIS = ("--vary", "driveline.overdrive=0:12:2")
COMMANDS = {
    "run": ("run", "slow_creep.toml", *SHORT),
    "compare": ("compare", "weight.toml", *SHORT),
    "sweep": ("sweep", "slow_creep.toml", *AXIS, *SHORT, "--workers", "1"),
    "side by side": ("sweep", "slow_creep.toml", *AXIS, *SHORT, "--workers", "2"),
    "spread": ("spread", "weight.toml", "--runs", "16", *SHORT, "--workers", "2"),
    "rank": ("rank", "weight.toml", "--draws", "8", *SHORT, "--workers", "2"),
    "measure": ("measure", "worksheets/tarn.toml", "-o", "rig_of_it.toml"),
    "show": ("show", "saved"),
}
AGAIN = {key: {"runs.jsonl"} for key in ("sweep", "side by side", "spread", "rank")}
"""Files with rows in the order in which they came in."""


def begun(words: tuple[str, ...], desk: Path) -> int:
    """Start a command; gives its process."""
    child = os.fork()
    if child:
        return child
    order = {"words": [*words, "--out", "out"], "cwd": str(desk), "environment": {"COLUMNS": "100"}}
    code = forking.run(order | {"out": str(desk / "said"), "err": str(desk / "wrong")})
    sys.stdout.flush()
    sys.stderr.flush()
    os._exit(code)


def ended(child: int) -> int:
    return os.waitstatus_to_exitcode(os.waitpid(child, 0)[1])


def inside(desk: Path) -> dict[str, bytes]:
    """Files of the result, by name."""
    places = [*(desk / "out").rglob("*"), *desk.glob("rig_of_it.toml")]
    return {str(path.relative_to(desk)): path.read_bytes() for path in places if path.is_file()}


def whole(desk: Path, words: tuple[str, ...], ordered: set[str]) -> dict[str, bytes]:
    """Files after the command has ended by itself."""
    code = ended(begun(words, desk))
    wrong = (desk / "wrong").read_text()
    assert code == 0, (code, wrong, (desk / "said").read_text())
    return {name: text for name, text in inside(desk).items() if Path(name).name not in ordered}


def main(name: str, count: int, seed: int) -> None:
    """Kill, give again, compare."""
    forking.load()
    words, dice, met = COMMANDS[name], random.Random(seed), Counter()
    desk = Path(tempfile.mkdtemp())
    shutil.copytree(ROOT / "scenarios", desk, dirs_exist_ok=True)
    if name == "show":
        assert ended(begun(("run", "slow_creep.toml", *SHORT), desk)) == 0
        (desk / "out").rename(desk / "saved")
    whole(desk, words, set())  # what is compiled is there now
    shutil.rmtree(desk / "out")
    (desk / "rig_of_it.toml").unlink(missing_ok=True)
    begin = time.monotonic()
    wanted = whole(desk, words, AGAIN.get(name, set()))
    takes = time.monotonic() - begin
    for _ in range(count):
        if dice.random() < 0.5:  # else the result of before is there
            shutil.rmtree(desk / "out", ignore_errors=True)
            (desk / "rig_of_it.toml").unlink(missing_ok=True)
        child = begun(words, desk)
        time.sleep(dice.uniform(0.0, takes))
        os.kill(child, signal.SIGKILL)
        met["killed" if ended(child) == -signal.SIGKILL else "ended before"] += 1
        hidden = [path.name for path in desk.rglob(".*")]
        met["left a draft"] += bool(hidden)
        found = whole(desk, words, AGAIN.get(name, set()))
        assert found == wanted, sorted(key for key in {*found, *wanted} if found.get(key) != wanted.get(key))
        assert not list(desk.rglob(".*")), hidden
    shutil.rmtree(desk)
    print(json.dumps({"command": name, "takes_s": round(takes, 2), **met}))


if __name__ == "__main__":
    main(sys.argv[1], int(sys.argv[2]), int(sys.argv[3]) if len(sys.argv) > 3 else random.randrange(10**6))
