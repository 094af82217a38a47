"""Results on the terminal: concerns, what a result says, where its files are, and how far the work is."""

import itertools
import shutil
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

import typer

from simcore.views.console.meter import Meter

if TYPE_CHECKING:
    from simcore.results.result import Result
    from simcore.video.tracked import Track

__all__ = ["Meter", "say_concerns", "say_files", "screen_width", "show_result"]


def screen_width() -> int | None:
    """Columns of the terminal; None through a pipe or into a file, where nothing is broken."""
    return shutil.get_terminal_size().columns if sys.stdout.isatty() else None


def say_concerns(result: "Result | Track") -> None:
    """The first words about a result: what must be known before anything else."""
    for concern in result.concerns:
        typer.echo(str(concern))


def say_files(files: Sequence[Path]) -> None:
    """Where the files are, each folder once."""
    from simcore.views.console.layout import wrapped

    for folder, inside in itertools.groupby(files, key=lambda path: path.parent):
        names = ", ".join(path.name for path in inside)
        typer.echo("\n".join(wrapped(f"wrote to {folder.as_posix()}: {names}", screen_width())))


def show_result(result: "Result", everything: bool = False) -> None:
    """Question, headline, metrics and conclusion of a result, as wide as the screen.

    Parameters
    ----------
    result : of any study
    everything : every metric there is; else the few that are most telling
    """
    from rich.console import Console
    from rich.text import Text

    from simcore.views.console.report import report

    console = Console(markup=False, highlight=False)
    for line in report(result, everything, screen_width()):
        console.print(Text(line.text, line.style), soft_wrap=True)
