"""The command line: parse, call, print; nothing else. Heavy imports wait until a command needs them."""

import io
import sys
import warnings

from simcore.cli import bench, drawn, live, logged, moving, paged, ranked, rigs, runs, shown, tracked, trials
from simcore.cli.shared import app

__all__ = [
    "app",
    "bench",
    "drawn",
    "live",
    "logged",
    "main",
    "moving",
    "paged",
    "ranked",
    "rigs",
    "runs",
    "shown",
    "tracked",
    "trials",
]


def main() -> None:
    """Read the words that were typed, and do the command."""
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(errors="replace")  # a terminal without the degree sign still gets its table
    warnings.formatwarning = lambda message, *_, **__: f"warning: {message}\n"
    app()
