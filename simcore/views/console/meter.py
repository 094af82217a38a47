"""How far the work is."""

import sys
import time
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from rich.progress import Progress

SHOW_AFTER = 1.0  # s; anything shorter needs no progress bar


class Meter:
    """Progress with time left, on stderr, silent when piped and for the first second."""

    def __init__(self, what: str, quiet: bool) -> None:
        self.what, self.silent = what, quiet or not sys.stderr.isatty()
        self.begun = time.monotonic()
        self.bar: Progress | None = None

    def __call__(self, done: float, total: float) -> None:
        """Note how far the work is."""
        if self.silent or (self.bar is None and time.monotonic() - self.begun < SHOW_AFTER):
            return
        if self.bar is None:
            from rich.console import Console
            from rich.progress import BarColumn, Progress, TextColumn, TimeRemainingColumn

            columns = (TextColumn("{task.description}"), BarColumn(), TimeRemainingColumn())
            self.bar = Progress(*columns, console=Console(stderr=True), transient=True)
            self.bar.add_task(self.what, total=total, completed=int(done))
            self.bar.start()
        self.bar.update(self.bar.task_ids[0], completed=done)

    def close(self) -> None:
        """Take the bar away."""
        if self.bar is not None:
            self.bar.stop()
