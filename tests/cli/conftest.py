"""A scratch folder with the shipped scenarios, and the command as a user types it."""

import os
import shutil
import subprocess
import sys
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from forking import ordered

ROOT = Path(__file__).parents[2]
Command = Callable[..., subprocess.CompletedProcess[str]]
WIDTH = "130"


@pytest.fixture
def desk(tmp_path: Path) -> Path:
    """Copy of scenarios/ to work on."""
    shutil.copytree(ROOT / "scenarios", tmp_path / "scenarios")
    return tmp_path


@pytest.fixture(scope="session")
def server() -> Iterator[subprocess.Popen[str]]:
    """A process that has loaded everything, and runs each command in a fork of itself."""
    program = [sys.executable, str(Path(__file__).with_name("forking.py"))]
    environment = os.environ | {"PYTHONPATH": str(ROOT)}
    with subprocess.Popen(
        program, env=environment, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True, bufsize=1
    ) as process:
        yield process
        process.stdin.close()


@pytest.fixture
def simcore(request: pytest.FixtureRequest, desk: Path, tmp_path_factory: pytest.TempPathFactory) -> Command:
    """Run `simcore ...` in the scratch folder, as a process of its own."""
    if not hasattr(os, "fork"):
        return lambda *words: _fresh(desk, words)
    process = request.getfixturevalue("server")
    said = tmp_path_factory.mktemp("said")

    def call(*words: str) -> subprocess.CompletedProcess[str]:
        out, err = said / "out", said / "err"
        code = ordered(process, words, desk, out, err, COLUMNS=WIDTH)
        texts = (file.read_text(encoding="utf-8") for file in (out, err))
        return subprocess.CompletedProcess(words, code, *texts)

    return call


def _fresh(desk: Path, words: tuple[str, ...]) -> subprocess.CompletedProcess[str]:
    """The command in a new interpreter."""
    environment = os.environ | {"PYTHONPATH": str(ROOT), "COLUMNS": WIDTH}
    program = [sys.executable, "-c", "from simcore.__main__ import main; main()", *words]
    return subprocess.run(
        program, cwd=desk, env=environment, capture_output=True, text=True, check=False, timeout=120
    )
