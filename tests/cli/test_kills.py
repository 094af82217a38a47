"""A command that was killed and is given again ends as if it had never been killed."""

import os
import subprocess
import sys
from pathlib import Path

import pytest
from kills import COMMANDS

ROOT = Path(__file__).parents[2]
KILLS = 25  # of each command: 200 in all


@pytest.mark.thorough
@pytest.mark.skipif(not hasattr(os, "fork"), reason="no forks")
@pytest.mark.parametrize("command", COMMANDS)
def test_a_killed_command_is_as_if_it_never_was(command: str) -> None:
    program = [sys.executable, str(Path(__file__).with_name("kills.py")), command, str(KILLS)]
    done = subprocess.run(
        program, env=os.environ | {"PYTHONPATH": str(ROOT)}, capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, done.stderr
    print(done.stdout)
