"""Tries a conclusion: its causes switched off one by one, its claims on other rigs and settings."""

import dataclasses
import math
from collections.abc import Iterator, Mapping, Sequence
from functools import cached_property, partial
from typing import Any

from simcore.errors import InputError
from simcore.files.conclusion import Because, Claim, HoldsOn, cases_in
from simcore.files.scenario import Scenario
from simcore.files.settings import Edit
from simcore.files.trials import edits_tried, settings_issues
from simcore.results.catalogue import just_seen
from simcore.results.conditions import Conditions
from simcore.results.headlines.job import is_done
from simcore.results.metrics import SOUND
from simcore.results.store import FAILED, WHY, Row, run_key
from simcore.results.tried import Effect, Elsewhere, Fault, Found, Trial, Weighed, WithoutCause
from simcore.solve.trace import Outcome
from simcore.studies.claims import trial_issues, value_of, weigh
from simcore.studies.execute import run_here, work
from simcore.studies.plan import edits_at, named_inputs, no_metrics

SPARSE = Edit("output.rate", 25.0)
"""Metrics do not depend on the rows of a series that are kept, 1/s."""
Rows = Mapping[str, Row]
Key = tuple[str, bool]


def try_conclusion(scenario: Scenario, names: Sequence[str], given: Rows, workers: int = 1) -> list[Trial]:
    """Do what the `because` and `holds_on` of a scenario's conclusion ask for.

    Only the cases that they name are run. What speaks of cases, metrics or keys that there are not is left
    to `claims.conclusion_issues`.

    Parameters
    ----------
    scenario : with its conclusion
    names : of the cases that were run
    given : summaries of these runs, of those that have metrics
    workers : processes
    """
    known = list(names)
    attempts = [
        _cause_off(scenario, key, row, known) if isinstance(row, Because) else _other(scenario, key, row)
        for key, row in scenario.conclusion.tried.items()
        if not any(trial_issues(scenario, key, row, known)) and not any(settings_issues(scenario, key, row))
    ]
    done = _run([task for one in attempts for task in one.tasks.values()], workers)
    return [one.judged(given, done) for one in attempts]


@dataclasses.dataclass(frozen=True)
class _Task:
    """One run of a trial.

    Attributes
    ----------
    changed : what is run; None when the settings cannot be put over the case
    supported : whether with its squat support
    refused : row that says why there is no run
    """

    changed: Scenario | None
    supported: bool
    refused: Row | None = None

    @cached_property
    def key(self) -> Key:
        """What the run is known by."""
        return ("" if self.changed is None else run_key(self.changed)), self.supported


def _task(scenario: Scenario, name: str, settings: Sequence[Edit], supported: bool) -> _Task:
    """The run of one case with the settings of a trial put over it."""
    at = dict(named_inputs(scenario)) if scenario.vary else {}
    try:
        own = edits_at(scenario, at[name]) if scenario.vary else scenario.edits_of(name)
        return _Task(scenario.edited([*own, *settings, SPARSE]), supported)
    except InputError as error:
        return _Task(None, supported, no_metrics(error))


def _run(tasks: Sequence[_Task], workers: int) -> dict[Key, Row]:
    """Do every run once."""
    done: dict[Key, Row] = {}
    for supported in (True, False):
        wanted = {
            task.key[0]: task.changed
            for task in tasks
            if task.changed is not None and task.supported is supported
        }
        if wanted:
            found: dict[str, Row] = {}
            run_here(wanted, found.__setitem__, min(workers, len(wanted)), partial(work, supported=supported))
            done |= {(key, supported): row for key, row in found.items()}
    return done


@dataclasses.dataclass(frozen=True)
class _Attempt:
    """A trial before its runs are done.

    Attributes
    ----------
    key : where it stands in the file
    claims : of its runs
    tasks : case to its run, of every case that is named
    """

    key: str
    claims: Sequence[Claim]
    tasks: Mapping[str, _Task]

    def judged(self, given: Rows, done: Mapping[Key, Row]) -> Trial:
        """The trial, from the rows of the cases as given and of all runs."""
        rows = {name: task.refused or done[task.key] for name, task in self.tasks.items()}
        sound = {name: row for name, row in rows.items() if _sound(row)}
        unfit = [_unfit(name, row) for name, row in rows.items() if name not in sound]
        weighed = tuple(weigh(claim, sound) for claim in self.claims)
        return self.weighed(unfit, weighed, {name: row for name, row in given.items() if _sound(row)}, sound)

    def weighed(self, unfit: list[Found], claims: tuple[Weighed, ...], given: Rows, changed: Rows) -> Trial:
        """The trial, from what makes its runs unfit, its claims, and the rows that may be trusted."""
        raise NotImplementedError


@dataclasses.dataclass(frozen=True)
class _CauseOff(_Attempt):
    row: Because
    seen: float
    names: Sequence[str]

    def weighed(self, unfit: list[Found], claims: tuple[Weighed, ...], given: Rows, changed: Rows) -> Trial:
        """See `_Attempt`."""
        effect = Effect(self.row.effect[1], self._size(given), self._size(changed), self.seen)
        found = unfit or [*self._doubts(effect, given, changed), *_broken(claims)]
        return WithoutCause(self.key, tuple(found), claims, self.row, effect)

    def _size(self, rows: Rows) -> float:
        """An effect in some runs: a metric less what it is compared with."""
        case, metric, other = self.row.effect
        if not isinstance(other, str):
            return value_of(rows, case, metric) - other
        less = value_of(rows, other, metric) if other in self.names else value_of(rows, case, other)
        return value_of(rows, case, metric) - less

    def _doubts(self, effect: Effect, given: Rows, changed: Rows) -> Iterator[Found]:
        """What speaks against the cause."""
        if not (math.isfinite(effect.before) and math.isfinite(effect.after)):
            yield Found(Fault.UNKNOWN)
        elif not effect.visible:
            yield Found(Fault.TOO_SMALL)
        elif abs(effect.left) > self.row.left:
            yield Found(Fault.STAYS)
        for name, row in changed.items():
            if name in given and is_done(given[name]) and not _does_the_same(row, given[name]):
                yield Found(Fault.JOB_LOST, name)


@dataclasses.dataclass(frozen=True)
class _Other(_Attempt):
    row: HoldsOn

    def weighed(self, unfit: list[Found], claims: tuple[Weighed, ...], given: Rows, changed: Rows) -> Trial:
        """See `_Attempt`."""
        found = unfit or [*self._doubts(claims, [weigh(claim, given) for claim in self.claims])]
        return Elsewhere(self.key, tuple(found), claims, self.row)

    def _doubts(self, claims: Sequence[Weighed], as_given: Sequence[Weighed]) -> Iterator[Found]:
        """Claims that do not come out as stated."""
        if all(one.same_as(other) for one, other in zip(claims, as_given, strict=True)):
            yield Found(Fault.CHANGES_NOTHING)
        elif not self.row.holds and all(claim.holds for claim in claims):
            yield Found(Fault.FLIPPED)
        yield from (one for one in _broken(claims) if self.row.holds or one.fault is Fault.UNKNOWN)


def _cause_off(scenario: Scenario, key: str, row: Because, names: Sequence[str]) -> _CauseOff:
    case, metric, other = row.effect
    named = [case, *([other] if isinstance(other, str) and other in names else ())]
    tasks = _tasks(scenario, key, row, named, row.claims)
    return _CauseOff(key, row.claims, tasks, row, _seen(scenario, metric), names)


def _other(scenario: Scenario, key: str, row: HoldsOn) -> _Other:
    claims = row.claims or [_by_what_is_seen(scenario, claim) for claim in scenario.conclusion.claims]
    return _Other(key, claims, _tasks(scenario, key, row, [], claims), row)


def _tasks(
    scenario: Scenario, key: str, row: Because | HoldsOn, named: Sequence[str], claims: Sequence[Claim]
) -> dict[str, _Task]:
    """Case to its run, of the cases that are named and those that claims are of."""
    supported = not (isinstance(row, Because) and row.without_support)
    every = dict.fromkeys([*named, *(case for claim in claims for case in cases_in(claim))])
    return {name: _task(scenario, name, edits_tried(key, row), supported) for name in every}


def _by_what_is_seen(scenario: Scenario, claim: Claim) -> Claim:
    """A claim made of the file's own rig, as another one must meet it: the same direction, visibly."""
    case, metric, relation, other, by = claim
    return (case, metric, relation, other, by if relation == "near" else min(by, _seen(scenario, metric)))


def _seen(scenario: Scenario, metric: str) -> float:
    return just_seen(metric, Conditions(scenario, (), "").visible)


def _broken(claims: Sequence[Weighed]) -> list[Found]:
    """Claims that do not hold; what is not known is told apart."""
    return [
        Found(Fault.BROKEN if claim.known else Fault.UNKNOWN, claim=claim)
        for claim in claims
        if not claim.holds
    ]


def _sound(row: Mapping[str, Any]) -> bool:
    """Whether the metrics of a run may be taken at their word."""
    return row.get("audit") == SOUND and row.get("ended") != Outcome.NOT_SOLVED.name


def _does_the_same(row: Row, given: Row) -> bool:
    """Whether a run did its job, and had the same one."""
    return is_done(row) and row["job_task"] == given["job_task"]


def _unfit(name: str, row: Row) -> Found:
    return Found(Fault.NOT_RUN, name, str(row[WHY])) if FAILED in row else Found(Fault.UNSOUND, name)
