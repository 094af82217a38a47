"""Runs that are done once and kept by their keys, so that a study goes on where it was stopped."""

from collections.abc import Callable, Iterable, Mapping
from functools import partial
from typing import TypeVar

from simcore.files.scenario import Scenario
from simcore.results.store import Row, Rows, run_key
from simcore.studies import execute
from simcore.studies.drawn_runs import Some, do_each, run_parts
from simcore.studies.execute import Work, run_here

Name = TypeVar("Name")
Progress = Callable[[float, float], None]
Due = Scenario | Row
"""What is to be run, or the row that says why it cannot be."""


class KeptRuns:
    """Does runs, and keeps them.

    Parameters
    ----------
    store : where they are kept
    workers : processes
    progress : called with (runs done, runs known to be due)
    do : does one; None: an ordinary run
    kind : of these, where `do` is not an ordinary run
    """

    def __init__(
        self,
        store: Rows,
        workers: int,
        progress: Progress | None = None,
        do: Work | None = None,
        kind: str = "",
    ) -> None:
        self.store, self.workers, self.progress, self.do, self.kind = store, workers, progress, do, kind
        self._asked: dict[str, int] = {}

    @property
    def count(self) -> int:
        """How many different runs were asked for so far."""
        return sum(self._asked.values())

    def left(self, cases: Iterable[Due]) -> dict[str, Scenario]:
        """Those that are not done yet, by their keys; they count as asked for."""
        return self._left({self._key(case): case for case in cases if isinstance(case, Scenario)})

    def _left(self, cases: Mapping[str, Scenario]) -> dict[str, Scenario]:
        self._asked |= dict.fromkeys(cases, 1)
        return {key: case for key, case in cases.items() if key not in self.store.found}

    def rows(self, cases: Mapping[Name, Due]) -> dict[Name, Row]:
        """Rows of cases, by their names; equal cases are run once."""
        keys = {name: self._key(case) for name, case in cases.items() if isinstance(case, Scenario)}
        tasks = self._left({keys[name]: case for name, case in cases.items() if isinstance(case, Scenario)})
        left = len(tasks)

        def note(key: str, row: Row) -> None:
            nonlocal left
            self.store.keep(key, row)
            left -= 1
            self._report(left)

        if tasks:
            run_here(tasks, note, self.workers, self.do)
        return {
            name: self.store.found[keys[name]] if isinstance(case, Scenario) else case
            for name, case in cases.items()
        }

    def parts(self, parts: Mapping[str, Some], take: Callable[[str, Row], None]) -> None:
        """Do draws some in one go, and hand over the rows of each part with its key, as it comes.

        Parameters
        ----------
        parts : by their keys
        take : called with key and row; nothing of it stays in memory
        """
        self._asked |= {key: part.size for key, part in parts.items()}
        left = sum(part.size for part in parts.values())

        def noted(key: str, row: Row) -> None:
            nonlocal left
            take(key, row)
            left -= parts[key].size
            self._report(left)

        by = self.do or partial(execute.work, coarsely=True)
        run_parts(parts, noted, self.store, self.workers, partial(do_each, by))

    def _report(self, left: int) -> None:
        if self.progress is not None:
            self.progress(self.count - left, self.count)

    def _key(self, case: Scenario) -> str:
        return self.named(run_key(case))

    def named(self, key: str) -> str:
        """Key of a run of this kind."""
        return f"{self.kind}-{key}" if self.kind else key
