"""What the compiled integration gains, as ratios in one run: pytest -m bench. Nothing is asserted."""

import time
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest

import simcore
from simcore.compiled import LEDGER, blank
from simcore.dynamics.motion import derivative
from simcore.rig.model import build
from simcore.solve.integrate import integrate
from simcore.solve.settle import settle
from simcore.studies.execute import work

FOLDER = Path(__file__).parents[2] / "scenarios"
STEMS = sorted(path.stem for path in FOLDER.glob("*.toml"))


def quickest(do: Callable[[], object], rounds: int) -> float:
    """Least processor time of some rounds, s."""
    taken = []
    for _ in range(rounds):
        begin = time.process_time()
        do()
        taken.append(time.process_time() - begin)
    return min(taken)


@pytest.mark.parametrize("stem", STEMS)
def test_both_ways_over_real_time(benchmark, stem: str) -> None:
    scenario = simcore.load_scenario(FOLDER / f"{stem}.toml")
    model = build(scenario)
    start, other = settle(scenario, model), scenario.changed({"solver.method": "LSODA"})
    trace = integrate(scenario, model, start)
    reference = quickest(lambda: integrate(other, model, start), 3)
    benchmark.pedantic(integrate, args=(scenario, model, start), rounds=1)
    compiled = quickest(lambda: integrate(scenario, model, start), 20)
    benchmark.extra_info["times faster than real time"] = round(float(trace.times[-1]) / compiled)
    benchmark.extra_info["times faster than the reference"] = round(reference / compiled, 1)
    benchmark.extra_info["calls of the derivative a second"] = round(trace.steps / float(trace.times[-1]))


def test_derivative(benchmark) -> None:
    """Called from Python, where handing over the records takes its part."""
    scenario = simcore.load_scenario(FOLDER / "punchy_launch.toml")
    model = build(scenario)
    state = np.frombuffer(settle(scenario, model).tobytes()).copy()
    tools = (0.5, state, model.rigs, model.pieces, blank(LEDGER))
    benchmark.pedantic(derivative, args=tools, rounds=50, iterations=500, warmup_rounds=2)


@pytest.mark.parametrize("duration", [2.0, 10.0, 60.0])
def test_growth_with_duration(benchmark, duration: float) -> None:
    """A creep up a slope: time per simulated second."""
    scenario = simcore.load_scenario(FOLDER / "slow_creep.toml").changed({"end.duration": duration})
    model = build(scenario)
    start = settle(scenario, model)
    benchmark.pedantic(integrate, args=(scenario, model, start), rounds=3)
    benchmark.extra_info["ms a simulated second"] = round(1e3 * benchmark.stats["min"] / duration, 2)


def test_share_of_the_integration_in_a_bulk_run(benchmark) -> None:
    scenario = simcore.load_scenario(FOLDER / "punchy_launch.toml").changed({"without_support": False})
    model = build(scenario)
    start = settle(scenario, model)
    alone = quickest(lambda: integrate(scenario, model, start), 10)
    benchmark.pedantic(work, args=(scenario,), rounds=15, warmup_rounds=2)
    benchmark.extra_info["whole run over its integration"] = round(benchmark.stats["min"] / alone, 2)
