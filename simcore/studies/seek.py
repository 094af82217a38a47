"""Tries values of a sought number by whole runs, many searches side by side; a run is judged by its job."""

import dataclasses
import math
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from contextlib import closing
from pathlib import Path
from typing import Any

from simcore.accounts.job import AS_ASKED, JobState
from simcore.accounts.verdict import Failure
from simcore.errors import InputError
from simcore.files.aim import Task
from simcore.files.axes import settings_of
from simcore.files.scenario import Scenario
from simcore.results.effect import EFFECTS
from simcore.results.headlines.job import job_sentence
from simcore.results.store import FAILED, WHY, NoMetrics, Row, Rows, run_key
from simcore.solve.trace import Outcome
from simcore.studies.climb import PATIENCE, most
from simcore.studies.execute import run_here
from simcore.studies.plan import no_metrics
from simcore.studies.search import State, wanted
from simcore.studies.sought import FINE, Sought, paths_of

DURATION = "end.duration"
WAITED_FOR = (Task.REACH.name, Task.PASS.name)
GETS_ON = (Failure.NOT_THERE.name, Failure.SPINS_AND_CREEPS.name)
Tell = Callable[[float, float], None]


@dataclasses.dataclass(frozen=True)
class Try:
    """What came of one value.

    Attributes
    ----------
    state : what the search makes of it
    row : metrics of the run, or why there are none
    scenario : that was run; None where the value does not go together with the others
    """

    state: State
    row: Row
    scenario: Scenario | None = None

    @property
    def failure(self) -> str:
        """Code of what the run did instead."""
        code = self.row.get("job_failure") or self.row.get(FAILED, "")
        return str(code) if self.state in (State.FAILS, State.UNKNOWN) else ""

    @property
    def cause(self) -> str:
        """Code of why."""
        return str(self.row.get("job_cause", "")) if self.failure else ""

    @property
    def why(self) -> str:
        """What it did instead, in words."""
        if FAILED in self.row and "job" not in self.row:
            return str(self.row[WHY])
        if self.state is State.REFUSED or self.scenario is None:
            return f"there it is to {Task[self.row['job_task']].value}"
        share = {"torque_share_pct": None}  # it differs in every run
        return job_sentence({**self.row, **share}, self.scenario, brief=True)


@dataclasses.dataclass
class Quest:
    """The search of one case.

    Attributes
    ----------
    name : of the case
    scenario : of which it is a change
    settings : what makes the case of it
    own : the case's own value of the number; None if it has none
    task : what the case is to do at its own value
    tries : value to what came of it
    """

    name: str
    scenario: Scenario
    settings: Mapping[str, Any]
    own: float | None
    task: Task
    tries: dict[float, Try] = dataclasses.field(default_factory=dict)

    def states(self) -> dict[float, State]:
        """Value to what the search makes of it."""
        return {value: one.state for value, one in self.tries.items()}

    def grid(self, sought: Sought) -> list[float]:
        """Values of the coarse scan, the case's own one among them where it lies in the range."""
        own = [] if self.own is None else [self.own]
        inside = [value for value in own if sought.scan[0] <= value <= sought.scan[-1]]
        return sorted({*sought.scan, *inside})

    def at(self, sought: Sought, value: float) -> Scenario:
        """The case with a value of the number, without output or second run that nobody looks at.

        Raises
        ------
        InputError
            when the value does not go together with the others.
        """
        bounds, effects = self.scenario.goal, {effect.name for effect in EFFECTS}
        settings = {"output.rate": 10, **self.settings, **settings_of(sought.path, value)}
        if not effects & {*bounds.at_least, *bounds.at_most}:
            settings = {"without_support": False, **settings}
        return self.scenario.changed(settings)


Case = tuple[Quest, float, Scenario]


def seek(
    quests: Sequence[Quest], sought: Sought, folder: str | Path | None, workers: int, progress: Tell | None
) -> None:
    """Try values until every search is over: side by side all that any of them wants next.

    Parameters
    ----------
    quests : searches; their `tries` are filled
    sought : the number
    folder, workers : as for `sweep`
    progress : called with (runs done, runs expected)
    """
    expected = sum(len(quest.grid(sought)) + 2 * math.ceil(math.log2(FINE)) for quest in quests)
    with closing(Rows(folder)) as store:

        def run(cases: Sequence[Case]) -> None:
            tasks = {key: case for _, _, case in cases if (key := run_key(case)) not in store.found}

            def note(key: str, row: Row) -> None:
                store.keep(key, row)
                if progress is not None:
                    progress(min(len(store.found) - before, expected), expected)

            if tasks:
                run_here(tasks, note, min(workers, len(tasks)))
            for quest, value, case in cases:
                quest.tries[value] = _judged(quest, case, store.found[run_key(case)])

        before = len(store.found)
        while asked := [(quest, value) for quest in quests for value in _wanted(quest, sought)]:
            cases = list(_built(asked, sought))
            run(cases)
            slow = [one for one in cases if _lacks_time(one[0].tries[one[1]], sought)]
            run([(quest, value, _patient(case)) for quest, value, case in slow])
    if progress is not None:
        progress(expected, expected)


def _wanted(quest: Quest, sought: Sought) -> list[float]:
    return wanted(quest.states(), quest.grid(sought), quest.own, sought.within)


def _built(asked: Iterable[tuple[Quest, float]], sought: Sought) -> Iterator[Case]:
    """Cases of values; one that cannot be made is tried with that."""
    for quest, value in asked:
        try:
            yield quest, value, quest.at(sought, value)
        except InputError as error:
            quest.tries[value] = Try(State.REFUSED, no_metrics(error))


def _judged(quest: Quest, case: Scenario, row: Row) -> Try:
    """What a run tells of its value."""
    if row.get(FAILED) == NoMetrics.INPUT.name or row.get("job_task", quest.task.name) != quest.task.name:
        return Try(State.REFUSED, row, case)
    job = row.get("job", JobState.UNKNOWN.name)  # what broke down tells nothing
    if job == JobState.UNKNOWN.name:
        return Try(State.UNKNOWN, row, case)
    return Try(State.DONE if job in AS_ASKED else State.FAILS, row, case)


def _lacks_time(one: Try, sought: Sought) -> bool:
    """Whether a run ended while it still got on, where nobody says how long its way may take."""
    return (
        one.state is State.FAILS
        and one.row.get("ended") == Outcome.TIME.name
        and one.failure in GETS_ON
        and one.row["job_task"] in WAITED_FOR
        and one.scenario is not None
        and one.scenario.goal.within is None
        and DURATION not in paths_of(sought.path)
    )


def _patient(case: Scenario) -> Scenario:
    """The same with more time."""
    return case.changed({DURATION: min(PATIENCE * case.end.duration, most("end", "duration"))})
