"""Does many runs side by side: in processes of this machine, or on a cluster.

Whoever does a run, it comes out the same: a run depends on its scenario alone.
"""

import asyncio
import sys
from collections.abc import Callable, Iterator, Mapping
from concurrent.futures import CancelledError, Executor, Future
from concurrent.futures.process import BrokenProcessPool
from contextlib import contextmanager
from itertools import islice
from queue import SimpleQueue
from types import ModuleType
from typing import Any

from simcore.errors import InputError, InputIssue
from simcore.files.scenario import Scenario
from simcore.results.store import NoMetrics, Row, program, without_metrics
from simcore.studies.plan import no_metrics
from simcore.studies.processes import processes

Note = Callable[[str, Row], None]
Task = Any
"""What is done in one go: a scenario that is run, or whatever else a `Work` takes and a pickle holds."""
Work = Callable[[Task], tuple[str, Row]]
VERSION_AT_HAND = "workers with the version at hand"
ANSWER_WITHIN = "10 s"  # of a cluster's scheduler


def work(scenario: Scenario, supported: bool = True, coarsely: bool = False) -> tuple[str, Row]:
    """Do one run, whatever comes of it.

    Parameters
    ----------
    scenario : what is run
    supported : whether with its squat support, or with the support cancelled
    coarsely : as a draw, less finely

    Returns
    -------
    The program that did it, and the metrics of the run, or why there are none.
    """
    from simcore.studies.simulate import summary_of

    return program(), row_of(lambda: summary_of(scenario, supported, coarsely))


def row_of(do: Callable[[], Row]) -> Row:
    """Row that something gives, or why it gives none: what cannot be done must not cost the others."""
    try:
        return do()
    except InputError as error:
        return no_metrics(error)
    except MemoryError:  # another try, with fewer beside it, may do better
        return without_metrics(NoMetrics.DIED, "there was not enough memory")
    except Exception as error:
        broke = NoMetrics.BROKE_DOWN
        return without_metrics(broke, f"{broke.value}: {type(error).__name__}: {error}")


def run_here(tasks: Mapping[str, Task], note: Note, workers: int, do: Work | None = None) -> None:
    """Do runs in processes of this machine; a single worker does them in this one.

    When a process dies, the runs that were under way are done again, each in a process of its own, so that
    the one that kills its process is known; all others go on side by side.

    Parameters
    ----------
    tasks : key to what is run
    note : called with key and row of each run as it comes in
    workers : how many
    do : does one of them; None: `work`

    Raises
    ------
    InputError
        when this machine starts no process.
    KeyboardInterrupt
        when the user stops it; the runs that were under way are finished and noted first, unless the user
        stops it once more.
    """
    do = do or work
    if workers == 1:
        for key, scenario in tasks.items():
            note(key, do(scenario)[1])
        return
    left = dict(tasks)
    workers = min(workers, len(left))

    def noted(key: str, row: Row) -> None:
        note(key, row)
        del left[key]

    while left:
        for key, scenario in _side_by_side(left, noted, workers, do).items():
            if _side_by_side({key: scenario}, noted, 1, do):
                noted(key, without_metrics(NoMetrics.DIED))


def _side_by_side(tasks: Mapping[str, Task], note: Note, workers: int, do: Work) -> dict[str, Task]:
    """Do runs until all are done or a process dies; gives those that were under way then."""
    begun: dict[str, Task] = {}

    def waiting() -> Iterator[tuple[str, Task]]:
        for key, scenario in list(tasks.items()):
            begun[key] = scenario
            yield key, scenario

    def noted(key: str, row: Row) -> None:
        note(key, row)
        del begun[key]

    try:
        with processes(workers) as pool:
            _collect(pool, waiting(), noted, do, at_once=workers + (workers > 1))  # one waits at the door
    except BrokenProcessPool:
        return begun
    except (OSError, EOFError) as error:
        must_be = f"no more than this machine can start ({error})"
        raise InputError([InputIssue("--workers", "", f"{workers} processes", must_be)]) from error
    return {}


def run_on_cluster(tasks: Mapping[str, Task], note: Note, address: str) -> None:
    """Do runs on a dask cluster; parameters as for `run_here`.

    Raises
    ------
    InputError
        when the cluster cannot be reached or goes away, or has not this version of the program. A run
        that takes its workers with it is noted as one that died.
    """
    try:
        from distributed import Client, KilledWorker
    except ImportError:
        must_be = 'left out, or `pip install "simcore[cluster]"` done first'
        raise InputError([InputIssue("--scheduler", "", address, must_be)]) from None
    try:
        asyncio.run(_knock(address))  # a client that finds nobody there leaves a mess behind
        client = Client(address, timeout=ANSWER_WITHIN, set_as_default=False)
    except (OSError, ValueError, TypeError) as error:
        must_be = f"the address of a running scheduler, as tcp://host:8786 ({error})"
        raise InputError([InputIssue("--scheduler", "", address, must_be)]) from error
    try:
        with client, client.get_executor() as pool:
            _collect(pool, iter(tasks.items()), note, work, lost=(KilledWorker,))
    except CancelledError as error:
        must_be = "one that stays until all is done; finished runs that were kept are not done again"
        raise InputError([InputIssue("--scheduler", "", "a scheduler that has gone", must_be)]) from error
    except ImportError as error:
        got = f"workers without this program ({error})"
        raise InputError([InputIssue("--scheduler", "", got, VERSION_AT_HAND)]) from error


async def _knock(address: str) -> None:
    """Raise when nobody answers at an address."""
    from distributed.comm.core import connect
    from distributed.security import Security

    secured = Security().get_connection_args("client")  # certificates that dask's configuration names
    comm = await connect(address, timeout=ANSWER_WITHIN, **secured)
    await comm.close()


def _collect(
    pool: Executor,
    waiting: Iterator[tuple[str, Task]],
    note: Note,
    do: Work,
    at_once: int | None = None,
    lost: tuple[type[Exception], ...] = (),
) -> None:
    """Hand out runs, and note each as it comes in.

    Parameters
    ----------
    waiting : key and what is run
    at_once : how many are handed out at a time; None: all
    lost : what a run raises whose process died
    """
    keys: dict[Future[tuple[str, Row]], str] = {}
    done: SimpleQueue[Future[tuple[str, Row]]] = SimpleQueue()

    def take_in(future: "Future[tuple[str, Row]]") -> None:
        try:
            row = _row(future)
        except lost:
            row = without_metrics(NoMetrics.DIED)
        note(keys[future], row)
        del keys[future]

    try:
        while True:
            for key, scenario in islice(waiting, None if at_once is None else at_once - len(keys)):
                with _without_script():
                    future = pool.submit(do, scenario)
                keys[future] = key
                future.add_done_callback(done.put)
            if not keys:
                return
            take_in(done.get())
    except (KeyboardInterrupt, BrokenProcessPool):
        pool.shutdown(wait=True, cancel_futures=True)
        for future in list(keys):
            if future.done() and not future.cancelled() and future.exception() is None:
                take_in(future)
        raise


@contextmanager
def _without_script() -> Iterator[None]:
    """Hide the user's script from processes that start inside: each would run it once more, from its top."""
    script, sys.modules["__main__"] = sys.modules["__main__"], ModuleType("__main__")
    try:
        yield
    finally:
        sys.modules["__main__"] = script


def _row(future: "Future[tuple[str, Row]]") -> Row:
    whose, row = future.result()
    if whose != program():
        got = "workers with another version of this program"
        raise InputError([InputIssue("--scheduler", "", got, VERSION_AT_HAND)])
    return row
