"""Runs that are done once and kept by their keys, so that a study goes on where it was stopped."""

from collections.abc import Callable, Iterable, Mapping
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
        self._asked: set[str] = set()

    @property
    def count(self) -> int:
        """How many different runs were asked for so far."""
        return len(self._asked)

    def left(self, cases: Iterable[Due]) -> dict[str, Scenario]:
        """Those that are not done yet, by their keys; they count as asked for."""
        return self._left({self._key(case): case for case in cases if isinstance(case, Scenario)})

    def _left(self, cases: Mapping[str, Scenario]) -> dict[str, Scenario]:
        self._asked |= cases.keys()
        return {key: case for key, case in cases.items() if key not in self.store.found}

    def rows(self, cases: Mapping[Name, Due]) -> dict[Name, Row]:
        """Rows of cases, by their names; equal cases are run once."""
        keys = {name: self._key(case) for name, case in cases.items() if isinstance(case, Scenario)}
        tasks = self._left({keys[name]: case for name, case in cases.items() if isinstance(case, Scenario)})
        left = set(tasks)

        def note(key: str, row: Row) -> None:
            self.store.keep(key, row)
            left.discard(key)
            if self.progress is not None:
                self.progress(self.count - len(left), self.count)

        if tasks:
            run_here(tasks, note, self.workers, self.do)
        return {
            name: self.store.found[keys[name]] if isinstance(case, Scenario) else case
            for name, case in cases.items()
        }

    def _key(self, case: Scenario) -> str:
        key = run_key(case)
        return f"{self.kind}-{key}" if self.kind else key
