"""Runs on a real cluster: a scheduler and two worker processes that talk over TCP."""

import contextlib
from collections.abc import Iterator
from concurrent.futures import CancelledError, Future
from pathlib import Path
from typing import Any

import distributed
import pandas as pd
import pytest

import simcore
from simcore.errors import InputError
from simcore.files import Scenario, with_axes
from simcore.studies import execute
from simcore.studies.sweep import sweep

SCENARIOS = Path(__file__).parents[2] / "scenarios"


@pytest.fixture(scope="module")
def address() -> Iterator[str]:
    cluster = distributed.LocalCluster(
        n_workers=2,
        threads_per_worker=1,
        processes=True,
        protocol="tcp://",
        dashboard_address=None,
        silence_logs=50,
    )
    with cluster:
        yield cluster.scheduler_address


@pytest.fixture(scope="module")
def short() -> Scenario:
    creep = simcore.load_scenario(SCENARIOS / "slow_creep.toml").changed({"end.duration": 0.3})
    return with_axes(creep, {"driveline.overdrive": [0, 10], "ground.slope": [10, 80]})


def test_a_cluster_gives_the_same_table(address: str, short: Scenario, tmp_path: Path) -> None:
    assert address.startswith("tcp://")
    here = sweep(short).table
    there = sweep(short, tmp_path, scheduler=address).table
    pd.testing.assert_frame_equal(here, there, check_exact=True)
    assert there["failed"].str.len().gt(0).tolist() == [False, True, False, True]


def test_no_cluster_at_this_address(short: Scenario, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("simcore.studies.execute.ANSWER_WITHIN", "500 ms")
    for nowhere in ("tcp://127.0.0.1:9", "bogus://x", ""):
        with pytest.raises(InputError, match="address of a running scheduler"):
            sweep(short, scheduler=nowhere)


def test_workers_with_another_version_are_refused(
    address: str, short: Scenario, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("simcore.studies.execute.program", lambda: "another")
    with pytest.raises(InputError, match="another version"):
        sweep(short, scheduler=address)


class Lossy:
    """A cluster that gives an error for every run."""

    def __init__(self, error: Exception) -> None:
        self.error = error

    def submit(self, *_: Any) -> "Future[Any]":
        future: Future[Any] = Future()
        future.set_exception(self.error)
        return future


class Opened(contextlib.nullcontext[Lossy]):
    """A client of it."""

    def get_executor(self) -> Any:
        return contextlib.nullcontext(self.enter_result)


async def somebody(_: str) -> None:
    """A scheduler that answers."""


@pytest.mark.parametrize(
    ("error", "said"),
    [
        (CancelledError(), "a scheduler that has gone, must be one that stays"),
        (ModuleNotFoundError("No module named 'simcore'"), "workers without this program"),
        (distributed.KilledWorker("run", "worker", 3), ""),
    ],
)
def test_what_a_cluster_may_lose(
    short: Scenario, monkeypatch: pytest.MonkeyPatch, error: Exception, said: str
) -> None:
    monkeypatch.setattr(execute, "_knock", somebody)
    cluster = Lossy(error)
    monkeypatch.setattr("distributed.Client", lambda *_, **__: Opened(cluster))
    if said:
        with pytest.raises(InputError, match=said):
            sweep(short, scheduler="tcp://lost:1")
    else:
        assert set(sweep(short, scheduler="tcp://lost:1").table["failed"]) == {"DIED"}
