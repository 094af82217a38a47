"""What each command costs before and around its work, over `import numpy`: pytest -m bench."""

import os
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
LAUNCH, CREEP = "scenarios/punchy_launch.toml", "scenarios/slow_creep.toml"
BOTH = "scenarios/launch_vs_creep.toml"
COMMANDS = {
    "help": ["--help"],
    "run": ["run", LAUNCH, "--out", "{out}"],
    "run without pictures": ["run", LAUNCH, "--out", "{out}", "--no-pictures"],
    "compare": ["compare", BOTH, "--out", "{out}"],
    "compare without pictures": [
        "compare",
        "scenarios/launch_vs_creep.toml",
        "--out",
        "{out}",
        "--no-pictures",
    ],
    "inspect": ["inspect", LAUNCH, "--out", "{out}"],
    "check": ["check", LAUNCH],
    "limit": ["limit", CREEP, "--vary", "ground.slope", "--out", "{out}"],
}


def processor_time(program: list[str]) -> float:
    """Processor time of a process and its children, s."""
    before = os.times()
    subprocess.run(program, cwd=ROOT, check=True, capture_output=True)
    after = os.times()
    return after.children_user + after.children_system - before.children_user - before.children_system


@pytest.mark.parametrize("name", COMMANDS)
def test_processor_time_of(benchmark, name: str, tmp_path: Path) -> None:
    words = [word.format(out=tmp_path / "out") for word in COMMANDS[name]]
    program = [sys.executable, "-c", "from simcore.__main__ import main; main()", *words]
    processor_time(program)  # kept code and pages of files
    found = benchmark.pedantic(lambda: min(processor_time(program) for _ in range(3)), rounds=1)
    numpy = min(processor_time([sys.executable, "-c", "import numpy"]) for _ in range(5))
    benchmark.extra_info["over import numpy"] = found / numpy
    benchmark.extra_info["s"] = found
