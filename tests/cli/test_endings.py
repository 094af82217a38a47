"""How the command ends when it is interrupted, nobody reads on, or its output has no room: no traceback."""

import os
import random
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
pytestmark = pytest.mark.skipif(os.name != "posix", reason="signals and devices of another system")
INTERRUPTED = """
import signal, sys
signal.signal(signal.SIGINT, signal.default_int_handler)
left = {imports}
def count(event, words):
    global left
    left -= event == "import"
    if event == "import" and left == 0:
        signal.raise_signal(signal.SIGINT)
sys.addaudithook(count)
from simcore.__main__ import main
main()
"""
COMMAND = "from simcore.__main__ import main; main()"


def python(program: str, *words: str, stdout: int = subprocess.PIPE) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "-c", program, *words],
        env=os.environ | {"PYTHONPATH": str(ROOT)},
        stdout=stdout,
        stderr=subprocess.PIPE,
        text=True,
        check=False,
    )


def interrupted(imports: int, out: Path) -> None:
    """Ctrl-C while the n-th module is imported, which is somewhere in the first second of a run."""
    scenario = ROOT / "scenarios" / "slow_creep.toml"
    words = ("run", str(scenario), "--set", "end.duration=0.05", "--quiet", "--out", str(out))
    done = python(INTERRUPTED.format(imports=imports), *words)
    assert (done.returncode, done.stdout, done.stderr) == (130, "", ""), imports
    assert not out.exists()


@pytest.mark.parametrize("imports", [3, 40, 700])
def test_ctrl_c_while_modules_are_imported_is_no_traceback(imports: int, tmp_path: Path) -> None:
    interrupted(imports, tmp_path / "out")


@pytest.mark.thorough
def test_ctrl_c_at_any_import_is_no_traceback(tmp_path: Path) -> None:
    for imports in random.sample(range(3, 1800), 80):
        interrupted(imports, tmp_path / "out")


def test_output_that_nobody_reads_ends_quietly() -> None:
    """141 is what shells give for a program that SIGPIPE ends."""
    read, write = os.pipe()
    os.close(read)
    done = python(COMMAND, "schema", "rig", stdout=write)
    os.close(write)
    assert (done.returncode, done.stderr) == (141, "")


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="no device without room")
@pytest.mark.parametrize("words", [("--help",), ("schema", "rig")])
def test_output_without_room_is_one_line(words: tuple[str, ...]) -> None:
    with Path("/dev/full").open("w") as full:
        done = python(COMMAND, *words, stdout=full.fileno())
    assert (done.returncode, done.stderr) == (2, "the output cannot be written: No space left on device\n")


def test_a_fault_of_the_program_is_one_line_and_a_file_to_report() -> None:
    breaking = "import simcore.cli.shared as s; s.app.command('break')(lambda: {}['no such'])"
    done = python(f"{breaking}; {COMMAND}", "break")
    assert done.returncode == 70
    (line,) = done.stderr.splitlines()
    said, _, file = line.partition("; where it happened is in ")
    assert said == "simcore has broken down, please report it (KeyError: 'no such')"
    assert "Traceback" in Path(file).read_text()
    Path(file).unlink()


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("run", "scenarios/slow_creep.toml", "--out", ""), 'got "", must be a name'),
        (("schema", "rig", "--out", " "), 'got " ", must be a name'),
        (("run", "scenarios/slow_creep.toml", "--out", "x" * 300), "--out: got File name too long"),
        (("schema", "rig", "--out", "x" * 300), "got File name too long"),
        (("run", "x" * 300), "File name too long"),
        (("show", "x" * 300), "File name too long"),
        (("run", "scenarios/slow_creep.toml", "--out", "/proc/none"), "--out: got "),
    ],
)
def test_places_that_cannot_be(simcore, desk: Path, words: tuple[str, ...], said: str) -> None:
    before = sorted(desk.rglob("*"))
    done = simcore(*words)
    assert done.returncode == 2 and said in done.stderr, done.stderr
    assert "Traceback" not in done.stderr
    assert sorted(desk.rglob("*")) == before
