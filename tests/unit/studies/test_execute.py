"""Runs side by side: from a script as it is, with processes that die, and as many as the machine starts."""

import os
import signal
import subprocess
import sys
import time
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from typing import Any

import pytest

from simcore.errors import InputError
from simcore.results.store import FAILED, NoMetrics, Row, program
from simcore.studies import execute, processes
from simcore.studies.execute import row_of, run_here

ROOT = Path(__file__).parents[3]
SCRIPT = """
print("once")
import simcore
from simcore.files import with_axes
creep = simcore.load_scenario("scenarios/slow_creep.toml").changed({"end.duration": 0.05})
print(simcore.sweep(with_axes(creep, {"driveline.overdrive": [0, 5, 10]}), workers=2).failed)
"""


class Deadly:
    """Kills the process that unpacks it."""

    def __reduce__(self) -> Any:
        return os._exit, (7,)


def quick(task: Any) -> tuple[str, Row]:
    """A run that gives back what it is given."""
    return program(), {"given": task}


@pytest.fixture
def pools(monkeypatch: pytest.MonkeyPatch) -> list[int]:
    """Workers of each pool that is opened."""
    opened: list[int] = []
    own = execute.processes

    def noted(workers: int) -> Any:
        opened.append(workers)
        return own(workers)

    monkeypatch.setattr(execute, "processes", noted)
    return opened


def done_by(tasks: dict[str, Any], workers: int) -> dict[str, Row]:
    found: dict[str, Row] = {}
    run_here(tasks, found.__setitem__, workers, quick)
    return found


def test_after_a_death_only_what_was_under_way_is_done_alone(pools: list[int]) -> None:
    """Two work and one waits at the door, so that a death leaves three in doubt at most."""
    tasks: dict[str, Any] = {f"{k}": k for k in range(40)}
    tasks["7"] = tasks["20"] = Deadly()
    found = done_by(tasks, 2)
    assert found.keys() == tasks.keys()
    assert {key for key, row in found.items() if row.get(FAILED) == NoMetrics.DIED.name} == {"7", "20"}
    assert all(found[key]["given"] == k for key, k in tasks.items() if not isinstance(k, Deadly))
    assert 2 <= pools.count(2) <= 3 and 1 <= pools.count(1) <= 2 * 3


def test_what_starts_processes_does_not_hear_ctrl_c(monkeypatch: pytest.MonkeyPatch) -> None:
    """It inherits that; hearing it while it reads the program would write a traceback."""
    heard = []
    monkeypatch.setattr(
        processes.forkserver, "ensure_running", lambda: heard.append(signal.getsignal(signal.SIGINT))
    )
    monkeypatch.setattr(processes, "ProcessPoolExecutor", ThreadPoolExecutor)
    monkeypatch.setattr(ThreadPoolExecutor, "_processes", {}, raising=False)
    monkeypatch.setattr(ThreadPoolExecutor, "__init__", lambda *_, **__: None)
    monkeypatch.setattr(ThreadPoolExecutor, "shutdown", lambda *_, **__: None)
    before = signal.getsignal(signal.SIGINT)
    with processes.processes(2):
        assert heard == [signal.SIG_IGN] and signal.getsignal(signal.SIGINT) == before


def test_want_of_memory_is_no_fault_of_the_program() -> None:
    """Such a row is not kept, and another try may bring a better one."""

    def wants() -> Row:
        raise MemoryError

    assert row_of(wants) == {FAILED: NoMetrics.DIED.name, "why": "there was not enough memory"}


def test_who_is_stopped_twice_does_not_wait() -> None:
    """The second time while the first run, of a minute, is waited for."""
    begin = time.monotonic()
    with pytest.raises(KeyboardInterrupt), processes.processes(1) as pool:
        pool.submit(time.sleep, 60.0)
        raise KeyboardInterrupt
    assert time.monotonic() - begin < 30.0


def test_no_more_processes_than_runs(pools: list[int]) -> None:
    assert done_by({"a": 1}, 10**12) == {"a": {"given": 1}}
    assert pools == [1]


def test_a_machine_that_starts_no_process_says_so(monkeypatch: pytest.MonkeyPatch) -> None:
    def refused(*_: Any) -> None:
        raise BlockingIOError(11, "Resource temporarily unavailable")

    monkeypatch.setattr("multiprocessing.process.BaseProcess.start", refused)
    with pytest.raises(InputError, match="--workers: got 2 processes, must be no more than this machine can"):
        done_by({"a": 1, "b": 2}, 2)


def test_a_script_need_not_guard_its_top(tmp_path: Path) -> None:
    """Processes that start must not run the user's script once more."""
    script = tmp_path / "mine.py"
    script.write_text(SCRIPT)
    environment = os.environ | {"PYTHONPATH": str(ROOT)}
    done = subprocess.run(
        [sys.executable, str(script)], cwd=ROOT, env=environment, capture_output=True, text=True, check=False
    )
    assert (done.returncode, done.stdout, done.stderr) == (0, "once\n{}\n", "")
