"""Speed as ratios in one run: pytest -m bench. Nothing is asserted: a busy machine is slow and not wrong."""

import os
import subprocess
import sys
import time
from pathlib import Path

import simcore
from simcore.files import with_axes
from simcore.rig.model import build
from simcore.solve.integrate import integrate
from simcore.solve.settle import settle
from simcore.studies.sweep import sweep

ROOT = Path(__file__).parents[2]


def test_integration_over_real_time(benchmark) -> None:
    scenario = simcore.load_scenario(ROOT / "scenarios" / "punchy_launch.toml")
    model = build(scenario)
    start = settle(scenario, model)
    benchmark.pedantic(integrate, args=(scenario, model, start), rounds=15, warmup_rounds=2)
    ratio = scenario.end.duration / benchmark.stats["median"]
    benchmark.extra_info["times faster than real time"] = ratio


def process(folder: Path, cache: Path) -> float:
    environment = os.environ | {"PYTHONPATH": str(ROOT), "XDG_CACHE_HOME": str(cache)}
    scenario = str(ROOT / "scenarios" / "punchy_launch.toml")
    program = [
        sys.executable,
        "-c",
        "from simcore.__main__ import main; main()",
        "run",
        scenario,
        "--out",
        str(folder),
    ]
    begin = time.perf_counter()
    subprocess.run(program, env=environment, check=True, capture_output=True)
    return time.perf_counter() - begin


def test_whole_process_cold_and_warm(benchmark, tmp_path: Path) -> None:
    cold = process(tmp_path / "cold", tmp_path / "cache")
    benchmark.pedantic(process, args=(tmp_path / "warm", tmp_path / "cache"), rounds=5)
    benchmark.extra_info["cold, s"] = cold
    benchmark.extra_info["cold over warm"] = cold / benchmark.stats["median"]


def test_help(benchmark) -> None:
    program = [sys.executable, "-c", "from simcore.__main__ import main; main()", "--help"]
    environment = os.environ | {"PYTHONPATH": str(ROOT)}
    benchmark.pedantic(
        subprocess.run, args=(program,), kwargs={"env": environment, "capture_output": True}, rounds=7
    )


def test_the_shipped_sweep_after_start_up(benchmark) -> None:
    """Start-up is what a sweep of one run a worker takes; two workers against one beside it."""
    scenario = simcore.load_scenario(ROOT / "scenarios" / "overdrive_level.toml")
    path = next(iter(scenario.vary))
    assert len(scenario.vary[path]) == 41

    def seconds(values: object, workers: int) -> float:
        begin = time.perf_counter()
        sweep(with_axes(scenario, {path: values}), workers=workers)
        return time.perf_counter() - begin

    whole = "0:30:0.75"
    seconds([0], 1)
    alone = seconds(whole, 1)
    start_up = seconds([0, 30], 2)
    benchmark.pedantic(seconds, args=(whole, 2), rounds=3)
    after = benchmark.stats["median"] - start_up
    benchmark.extra_info["after start-up, s"] = after
    benchmark.extra_info["one worker over two"] = alone / after
