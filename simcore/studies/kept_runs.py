"""Runs that are done once and kept by their keys, so that a study goes on where it was stopped."""

from collections.abc import Callable, Mapping
from typing import TypeVar

from simcore.files.scenario import Scenario
from simcore.results.store import Row, Rows, run_key
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
        self.done, self.due = 0, 0

    def rows(self, cases: Mapping[Name, Due]) -> dict[Name, Row]:
        """Rows of cases, by their names; equal cases are run once."""
        keys = {name: self._key(case) for name, case in cases.items() if isinstance(case, Scenario)}
        tasks = {
            key: case
            for name, key in keys.items()
            if key not in self.store.found and isinstance(case := cases[name], Scenario)
        }
        kept = len(set(keys.values())) - len(tasks)
        self.due += kept + len(tasks)
        self.done += kept

        def note(key: str, row: Row) -> None:
            self.store.keep(key, row)
            self.done += 1
            if self.progress is not None:
                self.progress(self.done, self.due)

        if tasks:
            run_here(tasks, note, self.workers, self.do)
        return {
            name: case if not isinstance(case, Scenario) else self.store.found[keys[name]]
            for name, case in cases.items()
        }

    def _key(self, case: Scenario) -> str:
        key = run_key(case)
        return f"{self.kind}-{key}" if self.kind else key
