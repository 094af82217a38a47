"""Does many runs side by side: in processes of this machine, or on a cluster.

Whoever does a run, it comes out the same: a run depends on its scenario alone.
"""

import asyncio
import multiprocessing
import os
import signal
import threading
from collections.abc import Callable, Iterator, Mapping
from concurrent.futures import Executor, Future, ProcessPoolExecutor, as_completed
from concurrent.futures.process import BrokenProcessPool
from contextlib import contextmanager
from typing import Any

from simcore.errors import InputError, InputIssue
from simcore.files.scenario import Scenario
from simcore.results.store import NoMetrics, Row, program, without_metrics
from simcore.studies.plan import no_metrics

Note = Callable[[str, Row], None]
Work = Callable[[Scenario], tuple[str, Row]]
ANSWER_WITHIN = "10 s"  # of a cluster's scheduler


def work(scenario: Scenario, supported: bool = True) -> tuple[str, Row]:
    """Do one run, whatever comes of it.

    Parameters
    ----------
    scenario : what is run
    supported : whether with its squat support, or with the support cancelled

    Returns
    -------
    The program that did it, and the metrics of the run, or why there are none.
    """
    from simcore.studies.simulate import summary_of

    try:
        row = summary_of(scenario, supported)
    except InputError as error:
        row = no_metrics(error)
    except Exception as error:  # one run that the program cannot do must not cost the others
        broke = NoMetrics.BROKE_DOWN
        row = without_metrics(broke, f"{broke.value}: {type(error).__name__}: {error}")
    return program(), row


def run_here(tasks: Mapping[str, Scenario], note: Note, workers: int, do: Work | None = None) -> None:
    """Do runs in processes of this machine; a single worker does them in this one.

    Parameters
    ----------
    tasks : key to what is run
    note : called with key and row of each run as it comes in
    workers : how many
    do : does one of them; None: `work`

    Raises
    ------
    KeyboardInterrupt
        when the user stops it; the runs that were under way are finished and noted first.
    """
    do = do or work
    if workers == 1:
        for key, scenario in tasks.items():
            note(key, do(scenario)[1])
        return
    left = dict(tasks)

    def noted(key: str, row: Row) -> None:
        del left[key]
        note(key, row)

    try:
        with processes(workers) as pool:
            _collect(pool, tasks, noted, do)
    except BrokenProcessPool:
        for key, scenario in list(left.items()):  # one of them kills its process; each gets one of its own
            _alone(key, scenario, note, do)


def _alone(key: str, scenario: Scenario, note: Note, do: Work) -> None:
    try:
        with processes(1) as pool:
            _collect(pool, {key: scenario}, note, do)
    except BrokenProcessPool:
        note(key, without_metrics(NoMetrics.DIED))


def run_on_cluster(tasks: Mapping[str, Scenario], note: Note, address: str) -> None:
    """Do runs on a dask cluster; parameters as for `run_here`.

    Raises
    ------
    InputError
        when the cluster cannot be reached, or runs another version of this program.
    """
    try:
        from distributed import Client
    except ImportError:
        must_be = 'left out, or `pip install "simcore[cluster]"` done first'
        raise InputError([InputIssue("--scheduler", "", address, must_be)]) from None
    try:
        asyncio.run(_knock(address))  # a client that finds nobody there leaves a mess behind
        client = Client(address, timeout=ANSWER_WITHIN, set_as_default=False)
    except (OSError, ValueError, TypeError) as error:
        must_be = f"the address of a running scheduler, as tcp://host:8786 ({error})"
        raise InputError([InputIssue("--scheduler", "", address, must_be)]) from error
    with client, client.get_executor() as pool:
        _collect(pool, tasks, note, work)


async def _knock(address: str) -> None:
    """Raise when nobody answers at an address."""
    from distributed.comm.core import connect

    comm = await connect(address, timeout=ANSWER_WITHIN)
    await comm.close()


@contextmanager
def processes(workers: int) -> Iterator[Executor]:
    """Processes that end with this one, and leave the user's Ctrl-C to it."""
    known = multiprocessing.get_all_start_methods()
    context: Any = multiprocessing.get_context("forkserver" if "forkserver" in known else "spawn")
    context.set_forkserver_preload(["simcore.studies.simulate"])
    pool = ProcessPoolExecutor(workers, context, initializer=_serve)
    try:
        yield pool
    finally:
        pool.shutdown(wait=True, cancel_futures=True)


def _serve() -> None:
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    parent = multiprocessing.parent_process()
    if parent is not None:
        threading.Thread(target=_end_with, args=(parent,), daemon=True).start()


def _end_with(parent: Any) -> None:
    parent.join()
    os._exit(1)  # killed parents close no queues


def _collect(pool: Executor, tasks: Mapping[str, Scenario], note: Note, do: Work) -> None:
    futures = {pool.submit(do, scenario): key for key, scenario in tasks.items()}
    waiting = set(futures)
    try:
        for future in as_completed(futures):
            waiting.discard(future)
            note(futures[future], _row(future))
    except KeyboardInterrupt:
        pool.shutdown(wait=True, cancel_futures=True)
        for future in waiting:
            if future.done() and not future.cancelled() and future.exception() is None:
                note(futures[future], _row(future))
        raise


def _row(future: "Future[tuple[str, Row]]") -> Row:
    whose, row = future.result()
    if whose != program():
        got, must_be = "workers with another version of this program", "workers with the version at hand"
        raise InputError([InputIssue("--scheduler", "", got, must_be)])
    return row
