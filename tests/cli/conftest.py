"""A scratch folder with the shipped scenarios, and the command as a user types it."""

import os
import shutil
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
Command = Callable[..., subprocess.CompletedProcess[str]]


@pytest.fixture
def desk(tmp_path: Path) -> Path:
    """Copy of scenarios/ to work on."""
    shutil.copytree(ROOT / "scenarios", tmp_path / "scenarios")
    return tmp_path


@pytest.fixture
def simcore(desk: Path) -> Command:
    """Run `simcore ...` in the scratch folder, as a process of its own."""

    def call(*words: str) -> subprocess.CompletedProcess[str]:
        environment = os.environ | {"PYTHONPATH": str(ROOT), "COLUMNS": "130"}
        program = [sys.executable, "-c", "from simcore.cli import main; main()", *words]
        return subprocess.run(
            program, cwd=desk, env=environment, capture_output=True, text=True, check=False, timeout=120
        )

    return call
