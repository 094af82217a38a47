"""What the installed command prints, through a real pipe and on a real terminal of some width."""

import os
import re
import subprocess
import sys
from pathlib import Path

import pytest
from results_to_show import result_of

from simcore.views.console.layout import Line
from simcore.views.console.report import report

ROOT = Path(__file__).parents[2]
KINDS = ("run", "nine cases", "two axes", "five limits", "inspection")
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
    return os.environ | {"PYTHONPATH": str(ROOT), "COLUMNS": str(columns), "TERM": "xterm"}


def saved(kind: str, folder: Path) -> str:
    result_of(kind).save(folder)
    return str(folder)


def text_of(lines: list[Line]) -> list[str]:
    return [line.text.rstrip() for line in lines]


@pytest.mark.parametrize("kind", KINDS)
def test_a_pipe_gets_whole_tables_whatever_columns_says(kind: str, tmp_path: Path) -> None:
    words = [*command(), "show", saved(kind, tmp_path)]
    done = subprocess.run(words, env=environment(60), capture_output=True, text=True, check=False, timeout=60)
    assert done.stderr == "" and "\x1b" not in done.stdout
    result = result_of(kind)
    concerns = [str(concern) for concern in result.concerns]
    assert done.stdout.splitlines() == [*concerns, *text_of(report(result, everything=False, width=None))]


@pytest.mark.skipif(os.name != "posix", reason="terminals of another system")
@pytest.mark.parametrize("width", [60, 120])
@pytest.mark.parametrize("kind", ["nine cases", "two axes"])
def test_a_terminal_gets_what_fits_its_width(kind: str, width: int, tmp_path: Path) -> None:
    screen = on_a_terminal([*command(), "show", saved(kind, tmp_path)], width)
    assert all(len(line) <= width for line in screen)
    assert screen == text_of(report(result_of(kind), everything=False, width=width))


@pytest.mark.parametrize("words", [("--help",), ("run", "--help"), ("sweep", "--help"), ("limit", "--help")])
def test_help_is_not_cut_on_a_narrow_screen(words: tuple[str, ...]) -> None:
    done = subprocess.run(
        [*command(), *words], env=environment(60), capture_output=True, text=True, check=True
    )
    assert (
        "..." not in done.stdout.replace("COMMAND [ARGS]...", "")
        and "\N{HORIZONTAL ELLIPSIS}" not in done.stdout
    )
    assert all(len(line) <= 60 for line in done.stdout.splitlines())


def on_a_terminal(words: list[str], width: int) -> list[str]:
    """Lines that a command prints on a terminal of so many columns, without its colours."""
    import pty

    ours, theirs = pty.openpty()
    process = subprocess.Popen(words, env=environment(width), stdout=theirs, stderr=theirs, stdin=theirs)
    os.close(theirs)
    parts = []
    while True:
        try:
            part = os.read(ours, 65536)
        except OSError:  # the other end is gone
            break
        if not part:
            break
        parts.append(part)
    os.close(ours)
    assert process.wait(timeout=60) == 0
    text = ANSI.sub("", b"".join(parts).decode()).replace("\r\n", "\n")
    return [line.rstrip() for line in text.splitlines()]
