"""The same file gives the same bits: compiled anew or kept, with any number of threads, from its inputs."""

import os
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
NAMES = ("series.csv", "summary.json", "run.parquet")
SHORT = ("--set", "end.duration=0.5", "--without-support")


def files(desk: Path, scenario: str, out: str, **environment: str) -> dict[str, bytes]:
    words = ("run", scenario, "--quiet", "--out", out, *(SHORT if scenario.startswith("scenarios") else ()))
    program = [sys.executable, "-c", "from simcore.__main__ import main; main()", *words]
    known = os.environ | {"PYTHONPATH": str(ROOT), "XDG_CACHE_HOME": str(desk / "cache")} | environment
    subprocess.run(program, cwd=desk, env=known, check=True)
    return {name: (desk / out / name).read_bytes() for name in NAMES}


@pytest.mark.thorough
def test_a_run_comes_out_the_same_to_the_last_bit(desk: Path) -> None:
    first = files(desk, "scenarios/punchy_launch.toml", "cold")
    assert any((desk / "cache").rglob("*.nbc"))
    for count in ("1", "7"):
        threads = dict.fromkeys(("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "NUMBA_NUM_THREADS"), count)
        assert files(desk, "scenarios/punchy_launch.toml", f"warm{count}", **threads) == first
    assert files(desk, "cold/inputs.toml", "again") == first
