"""How time and memory grow with the task, as ratios in one run: pytest -m bench."""

import json
import re
import resource
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path

import pytest

import simcore
from simcore.files import with_axes
from simcore.files.reading import scenario_of
from simcore.files.scenario import Scenario
from simcore.rig.model import build
from simcore.solve.integrate import integrate
from simcore.solve.settle import settle
from simcore.studies.execute import work
from simcore.studies.rank import rank
from simcore.studies.spread import spread
from simcore.studies.sweep import sweep

SCENARIOS = Path(__file__).parents[2] / "scenarios"


def peak() -> int:
    """Most memory this process has had, kB (Linux; `ru_maxrss` counts that of who started it, too)."""
    return int(re.findall(r"VmHWM:\s+(\d+)", Path("/proc/self/status").read_text())[0])


def seconds(do: Callable[[], object]) -> float:
    """Wall time of one call."""
    begin = time.perf_counter()
    do()
    return time.perf_counter() - begin


def hills(pieces: int) -> Scenario:
    """A creep up so many pieces of uneven ground, 100 mm a piece, on the first of which it stays."""
    course = [{"length": 100, "slope": 12 + 3 * (-1) ** k} for k in range(pieces)]
    return simcore.load_scenario(SCENARIOS / "slow_creep.toml").changed(
        {"ground": {"pieces": course}, "end.duration": 2.0}
    )


@pytest.mark.parametrize("pieces", [1, 10, 100, 200])
def test_growth_with_pieces_of_ground(benchmark, pieces: int) -> None:
    few, many = hills(1), hills(pieces)
    models = build(few), build(many)
    starts = [settle(scenario, model) for scenario, model in zip((few, many), models, strict=True)]
    alone = min(seconds(lambda: integrate(few, models[0], starts[0])) for _ in range(5))
    benchmark.pedantic(integrate, args=(many, models[1], starts[1]), rounds=5)
    benchmark.extra_info["integration, of that over one piece"] = benchmark.stats["min"] / alone


@pytest.mark.parametrize("variants", [1, 10, 100, 1000])
def test_growth_with_variants(benchmark, variants: int, tmp_path: Path) -> None:
    text = (SCENARIOS / "slow_creep.toml").read_text(encoding="utf-8").split("[[conclusion")[0]
    text += "".join(f'\n[variants."v{k}"]\n"ground.slope" = {1 + k % 40}\n' for k in range(variants))
    path = SCENARIOS / "slow_creep.toml"
    bare = seconds(lambda: simcore.load_scenario(path))
    written = tmp_path / "many.toml"
    written.write_text(text.replace('rig = "', f'rig = "{SCENARIOS}/'), encoding="utf-8")
    benchmark.pedantic(simcore.load_scenario, args=(written,), rounds=3)
    benchmark.extra_info["ms a variant"] = 1e3 * (benchmark.stats["min"] - bare) / variants


def drawn(study: str, draws: int, folder: str | None) -> int:
    """Draws of two cases by two workers; gives how many runs there are."""
    launch = simcore.load_scenario(SCENARIOS / "punchy_launch.toml")
    table = launch.raw | {"variants": {"raised": {"rear.upper_link.chassis.1 +=": 5}}}
    two = scenario_of(table, launch.path).changed({"without_support": False}, keep_variants=True)
    if study == "spread":
        return 2 * spread(two, draws, folder, 2).draws
    return rank(two, by="pitch", better="less", draws=draws, folder=folder, workers=2).basis.runs


def told_of_draws(study: str, draws: int, folder: Path) -> dict[str, float]:
    """Runs, their time, and by how much memory has grown, of a process that has drawn a little before."""
    code = f"""
import json, sys, time; sys.path.insert(0, {str(Path(__file__).parent)!r})
from test_growth_of_cost import drawn, peak
drawn({study!r}, 16, None)
before, begin = peak(), time.perf_counter()
runs = drawn({study!r}, {draws}, {str(folder)!r})
print(json.dumps({{"runs": runs, "s": time.perf_counter() - begin, "kB": peak() - before}}))
"""
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, check=True, text=True)
    return json.loads(done.stdout)


@pytest.mark.parametrize("draws", [64, 256])
@pytest.mark.parametrize("study", ["spread", "rank"])
def test_growth_with_draws(benchmark, study: str, draws: int, tmp_path: Path) -> None:
    """What a draw costs beside its run, how much memory it takes to keep it, and to find it kept."""
    launch = simcore.load_scenario(SCENARIOS / "punchy_launch.toml").changed({"without_support": False})
    alone = min(seconds(lambda: work(launch)) for _ in range(5))
    first = benchmark.pedantic(told_of_draws, args=(study, draws, tmp_path), rounds=1)
    again = told_of_draws(study, draws, tmp_path)
    assert first["runs"] == again["runs"] >= 2 * draws
    benchmark.extra_info["of the time of its runs one by one"] = first["s"] / (first["runs"] * alone)
    benchmark.extra_info["kB a run"] = first["kB"] / first["runs"]
    benchmark.extra_info["kB a run that was kept"] = again["kB"] / first["runs"]


@pytest.mark.parametrize("runs", [10, 100, 1000, 10_000])
def test_growth_with_runs(benchmark, runs: int) -> None:
    """Two workers; what a run costs, and how much more memory the process that collects them needs."""
    scenario = simcore.load_scenario(SCENARIOS / "punchy_launch.toml")
    scenario = scenario.changed({"without_support": False, "end.duration": 2.0})
    values = [20.0 + 10.0 * k / runs for k in range(runs)]
    alone = min(seconds(lambda: work(scenario)) for _ in range(5))
    before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    benchmark.pedantic(
        sweep, args=(with_axes(scenario, {"ground.slope": values}),), kwargs={"workers": 2}, rounds=1
    )
    grown = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss - before
    benchmark.extra_info["of the time of its runs one by one"] = benchmark.stats["min"] / (runs * alone)
    benchmark.extra_info["kB a run"] = grown / runs


@pytest.mark.parametrize("duration", [2, 60, 120])
def test_memory_of_a_long_run_over_many_pieces(benchmark, duration: int) -> None:
    """The whole command without pictures, in a process of its own."""
    code = f"""
import sys; sys.path.insert(0, {str(Path(__file__).parent)!r})
from test_growth_of_cost import hills, peak
from simcore.studies.simulate import summary_of
scenario = hills(200).changed({{"end.duration": {duration}, "without_support": False}})
summary_of(scenario)
print(peak())
"""
    begin = time.perf_counter()
    found = benchmark.pedantic(
        subprocess.run,
        args=([sys.executable, "-c", code],),
        kwargs={"capture_output": True, "check": True, "text": True},
        rounds=1,
    )
    benchmark.extra_info["peak memory, MB"] = int(found.stdout.split()[-1]) / 1024
    benchmark.extra_info["times faster than real time"] = duration / (time.perf_counter() - begin)
