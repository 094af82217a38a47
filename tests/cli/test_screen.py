"""What the command prints, through a real pipe and on a real terminal of some width."""

import os
import re
import select
import subprocess
import sys
from collections.abc import Callable, Iterator
from concurrent.futures import Future, ThreadPoolExecutor
from pathlib import Path

import pytest
from forking import ordered
from results_to_show import result_of

from simcore.views.console.layout import Line
from simcore.views.console.report import report

ROOT = Path(__file__).parents[2]
KINDS = ("run", "nine cases", "two axes", "five limits", "inspection")
Begun = Callable[[str, Path, Path, int], Future[int]]
ANSI = re.compile(r"\x1b\[[0-9;?]*[A-Za-z]")


def command() -> list[str]:
    """The installed command, or where it is not installed what it calls."""
    installed = Path(sys.executable).with_name("simcore")
    return (
        [str(installed)]
        if installed.exists()
        else [sys.executable, "-c", "from simcore.__main__ import main; main()"]
    )


def environment(columns: int) -> dict[str, str]:
    return {"COLUMNS": str(columns), "TERM": "xterm"}


def around(columns: int) -> dict[str, str]:
    return os.environ | {"PYTHONPATH": str(ROOT)} | environment(columns)


def saved(kind: str, folder: Path) -> str:
    result_of(kind).save(folder)
    return str(folder)


def text_of(lines: list[Line]) -> list[str]:
    return [line.text.rstrip() for line in lines]


def wanted(kind: str, width: int | None) -> list[str]:
    result = result_of(kind)
    return [*map(str, result.concerns), *text_of(report(result, everything=False, width=width))]


def test_the_installed_command_shows_a_result(tmp_path: Path) -> None:
    words = [*command(), "show", saved("run", tmp_path)]
    done = subprocess.run(words, env=around(60), capture_output=True, text=True, check=False, timeout=60)
    assert (done.returncode, done.stderr) == (0, "")
    assert done.stdout.splitlines() == wanted("run", None)


@pytest.fixture
def begun(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[Begun]:
    """Have the server show a saved result on a pipe or a terminal; gives what becomes its exit code."""
    if os.name != "posix":
        pytest.skip("pipes and terminals of another system")
    server = request.getfixturevalue("server")
    with ThreadPoolExecutor(1) as beside:

        def begin(kind: str, out: Path, err: Path, columns: int) -> Future[int]:
            words = ("show", saved(kind, tmp_path / "result"))
            return beside.submit(ordered, server, words, tmp_path, out, err, **environment(columns))

        yield begin


@pytest.mark.parametrize("kind", KINDS)
def test_a_pipe_gets_whole_tables_whatever_columns_says(kind: str, begun: Begun, tmp_path: Path) -> None:
    pipe, err = tmp_path / "pipe", tmp_path / "err"
    os.mkfifo(pipe)
    code = begun(kind, pipe, err, 60)
    text = pipe.read_text(encoding="utf-8")
    assert (code.result(), err.read_text()) == (int(bool(result_of(kind).concerns)), "")
    assert "\x1b" not in text
    assert text.splitlines() == wanted(kind, None)


@pytest.mark.parametrize("width", [60, 120])
@pytest.mark.parametrize("kind", ["nine cases", "two axes"])
def test_a_terminal_gets_what_fits_its_width(kind: str, width: int, begun: Begun) -> None:
    screen = on_a_terminal(lambda place: begun(kind, place, place, width))
    assert all(len(line) <= width for line in screen)
    assert screen == wanted(kind, width)


@pytest.mark.parametrize("words", [("--help",), ("run", "--help"), ("sweep", "--help"), ("limit", "--help")])
def test_help_is_not_cut_on_a_narrow_screen(words: tuple[str, ...]) -> None:
    done = subprocess.run([*command(), *words], env=around(60), capture_output=True, text=True, check=True)
    assert (
        "..." not in done.stdout.replace("COMMAND [ARGS]...", "")
        and "\N{HORIZONTAL ELLIPSIS}" not in done.stdout
    )
    assert all(len(line) <= 60 for line in done.stdout.splitlines())


def on_a_terminal(begin: Callable[[Path], Future[int]]) -> list[str]:
    """Lines that a command prints on a terminal, without its colours."""
    ours, theirs = os.openpty()
    code, parts = begin(Path(os.ttyname(theirs))), list[bytes]()
    while not code.done() or select.select([ours], [], [], 0.0)[0]:
        if select.select([ours], [], [], 0.05)[0]:
            parts.append(os.read(ours, 65536))
    os.close(ours)
    os.close(theirs)
    assert code.result() == 0
    text = ANSI.sub("", b"".join(parts).decode()).replace("\r\n", "\n")
    return [line.rstrip() for line in text.splitlines()]
