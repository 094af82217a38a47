"""Processes of this machine that share runs: they end with this one, and leave the user's Ctrl-C to it.

Nothing that takes long to import stands here, so that a command can have them begun while it still reads its
file.
"""

import multiprocessing
import os
import signal
import threading
from collections.abc import Iterator, Sequence
from concurrent.futures import Executor, ProcessPoolExecutor
from contextlib import contextmanager
from multiprocessing import forkserver
from typing import Any

BY_SERVER = "forkserver" in multiprocessing.get_all_start_methods()
RUNS = ("simcore.studies.simulate",)
"""What every run imports, once for all processes."""
DRAWS = (*RUNS, "simcore.studies.drawn_runs")
"""Likewise draws of bench errors."""


def begin(needed: Sequence[str] = RUNS) -> None:
    """Start what processes come from, unless it is there: they are at hand sooner then."""
    if BY_SERVER:
        multiprocessing.get_context("forkserver").set_forkserver_preload(list(needed))
        with _deaf():  # so is what starts meanwhile, to its end
            forkserver.ensure_running()


@contextmanager
def processes(workers: int) -> Iterator[Executor]:
    """As many processes as asked for; what they still do in the end is not waited for."""
    begin()
    context: Any = multiprocessing.get_context("forkserver" if BY_SERVER else "spawn")
    pool = ProcessPoolExecutor(workers, context, initializer=_serve)
    try:
        yield pool
    finally:
        for process in list((pool._processes or {}).values()):
            process.kill()  # else it waits for ever for another that was killed while it took its next run
        pool.shutdown(wait=True, cancel_futures=True)


@contextmanager
def _deaf() -> Iterator[None]:
    """For a moment Ctrl-C is not heard; elsewhere than in the main thread it never is."""
    if threading.current_thread() is not threading.main_thread():
        yield
        return
    before = signal.signal(signal.SIGINT, signal.SIG_IGN)
    try:
        yield
    finally:
        signal.signal(signal.SIGINT, before)


def _serve() -> None:
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    parent = multiprocessing.parent_process()
    if parent is not None:
        threading.Thread(target=_end_with, args=(parent,), daemon=True).start()


def _end_with(parent: Any) -> None:
    parent.join()
    os._exit(1)  # killed parents close no queues
