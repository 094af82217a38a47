"""Size of pages that can be sent, and what writing them costs after the runs: pytest -m bench."""

import time
from pathlib import Path

import pytest

import simcore
from simcore.files import scenario_of

SCENARIOS = Path(__file__).parents[2] / "scenarios"
CASES = {"two variants of 2 s": ("launch_vs_creep", 2), "four variants of up to 7 s": ("ledge", 4)}


@pytest.mark.parametrize("what", CASES)
def test_page_of(benchmark, what: str, tmp_path: Path) -> None:
    stem, count = CASES[what]
    path = SCENARIOS / f"{stem}.toml"
    raw = dict(simcore.load_scenario(path).raw)
    del raw["conclusion"]
    scenario = scenario_of(raw | {"variants": dict(list(raw["variants"].items())[: count - 1])}, path)
    begin = time.process_time()
    result = simcore.compare(scenario)
    runs, file = time.process_time() - begin, tmp_path / "report.html"

    def write() -> None:
        simcore.page(result).save(file)

    write()
    benchmark.pedantic(write, rounds=5)
    benchmark.extra_info["kB"] = file.stat().st_size / 1000.0
    benchmark.extra_info["s to write"] = benchmark.stats["min"]
    benchmark.extra_info["of the time of its runs"] = benchmark.stats["min"] / runs
