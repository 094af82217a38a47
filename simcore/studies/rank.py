"""Tries changes under several conditions, with the bench errors drawn alike for all, and ranks them."""

import itertools
import statistics
from collections.abc import Callable, Mapping, Sequence
from contextlib import closing
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TypeVar

from simcore.accounts.job import JobState
from simcore.errors import InputError, InputIssue
from simcore.files.relative import parted
from simcore.files.scenario import Scenario
from simcore.files.settings import Edit
from simcore.results.catalogue import CATALOGUE, just_seen
from simcore.results.conditions import Conditions
from simcore.results.headlines.job import job_sentence
from simcore.results.quantities import Better
from simcore.results.ranked import (
    Change,
    Cost,
    Effect,
    Pair,
    Verdict,
    in_order,
    interval,
    level,
    verdict_of,
)
from simcore.results.reliability import job_of
from simcore.results.store import FAILED, WHY, NoMetrics, Row, Rows
from simcore.studies.drawn import Draws, inputs_of
from simcore.studies.drawn_changes import drawn_cases
from simcore.studies.goals import check_goal
from simcore.studies.kept_runs import Due, KeptRuns, Progress
from simcore.studies.plan import no_metrics
from simcore.studies.practical import Candidate
from simcore.studies.ranked_by import CLIMBED, By, Told, asked_metric, by_of, way_of, where_asked
from simcore.studies.ranking import Basis, Ranking
from simcore.studies.reached import what_would
from simcore.studies.to_rank import candidates_of, climbs, conditions_of, count_of, without_axes

NEARLY = 0.5  # of a visible change under some condition, from which a change is drawn
BEST, COSTS = 4, 3  # changes that are tried in pairs, costs that are told
UNCHANGED = ""  # name of the rig without any change
BOTH_SCATTER = 1.96  # standard deviations
Announce = Callable[[str], None]
Place = tuple[int, str]
"""Place of a condition, and name of a change."""
Name = TypeVar("Name")


def rank(
    scenario: Scenario,
    each: bool = False,
    by: str | None = None,
    better: str | None = None,
    draws: int | None = None,
    folder: str | Path | None = None,
    workers: int = 1,
    progress: Progress | None = None,
    announce: Announce | None = None,
) -> Ranking:
    """Find which change helps, whether by more than bench errors, and whether under other conditions too.

    Every change is run on the rig as given, under every condition. Changes that come near to a visible one
    are run with everything drawn that may be off, in the same draws for all.

    Parameters
    ----------
    scenario : with its variants, and what its [rank] says
    each : try a practical step of every number instead of the variants
    by : metric, or "slope"; None: as the file says, else what tells most of the job
    better : "more" or "less"; None: as the file or the metric says
    draws : how often; 0: none, then bench error is not reckoned with; None: as the file says, else 40
    folder : where finished runs are kept, so that it goes on where it was stopped; None: nowhere
    workers : processes on this machine
    progress : called with (runs done, runs known to be due)
    announce : called with how many runs there will be, in words

    Raises
    ------
    InputError
        when there is nothing to rank, no way of the metric is the better one, or the file is at fault.
    """
    alone = without_axes(scenario)
    check_goal(alone)
    metric = asked_metric(alone, by)
    if metric:
        way_of(alone, metric, better)
    candidates, conditions = candidates_of(alone, each), conditions_of(alone)
    count = count_of(alone, draws)
    with closing(Rows(folder)) as store:
        slopes = metric == CLIMBED
        runs = KeptRuns(store, workers, progress, climbs if slopes else None, "climbs" if slopes else "")
        study = _Study(alone, candidates, conditions, count, runs, announce or (lambda text: None))
        return study.done(each, metric, better)


# --- the study ---


@dataclass
class _Study:
    """Changes, conditions, and the runs of both."""

    scenario: Scenario
    candidates: Sequence[Candidate]
    conditions: Mapping[str, list[Edit]]
    count: int
    runs: KeptRuns
    announce: Announce

    def __post_init__(self) -> None:
        self.inputs = tuple(inputs_of(self.scenario)) if self.count else ()
        self.edits = {UNCHANGED: (), **{one.name: one.edits for one in self.candidates}}
        self.visible = Conditions.of(self.scenario).visible
        self.drawn: dict[Place, list[Told]] = {}

    def done(self, each: bool, metric: str, better: str | None) -> Ranking:
        """Do all runs."""
        every = [(k, name) for k in range(len(self.conditions)) for name in self.edits]
        cases = {place: self.case(*place) for place in every}
        self.announce(self._ahead(len(cases)))
        rows = self.runs.rows(cases)
        self._refuse(rows[0, UNCHANGED])
        by = by_of(self.scenario, metric, better, rows[0, UNCHANGED], self.visible)
        self._refuse_nowhere(metric, rows)
        plain = {name: self.effects(name, rows, by) for name in self.edits if name}
        near = [name for name, effects in plain.items() if self._is_near(effects, by)]
        if self.count:
            self.draw(cases, [UNCHANGED], by)
            near = list(plain) if self._torn() else near
            self.announce(f"{len(near)} of {len(plain)} changes are drawn, {self.count} times")
            self.draw(cases, near, by)
        changes = []
        for name, effects in plain.items():
            told = [self.with_draws(k, name, one, by) for k, one in enumerate(effects)]
            found = told if self.count and name in near else effects
            verdict = verdict_of(found, by.better, by.seen)
            changes.append(Change(name, verdict, tuple(found), self.costs(name, rows, by)))
        ordered = in_order(changes, by.better)
        pairs = self.pairs(ordered, rows, by)
        stuck = job_of(rows[0, UNCHANGED]) is JobState.NOT_DONE and not by.climbs
        tried = stuck and all(change.effects[0].after is not JobState.DONE for change in changes)
        would = tuple(what_would(self.scenario, self.job)) if tried else ()
        basis = self.basis(each, by, rows)
        return Ranking(self.scenario, basis, tuple(ordered), pairs, would, tried)

    def _ahead(self, runs: int) -> str:
        """How many runs there will be."""
        many = f"condition{'s' * (len(self.conditions) > 1)}"
        then = f"then {self.count} draws of what comes near to a visible change" if self.count else "no draws"
        return f"{runs} runs: {len(self.candidates)} changes, {len(self.conditions)} {many}; {then}"

    def case(self, place: int, *names: str) -> Due:
        """Changes under a condition, or the row that says why they do not go together."""
        under = list(self.conditions.values())[place]
        own = [edit for name in names for edit in self.edits[name]]
        try:
            return self.scenario.edited([*under, *own])
        except InputError as error:
            return no_metrics(error)

    def job(self, case: Scenario) -> JobState:
        """Whether a case does its job."""
        return job_of(self.runs.rows({UNCHANGED: case})[UNCHANGED])

    def effects(self, name: str, rows: Mapping[Place, Row], by: By) -> list[Effect]:
        """What a change does to the rig as given, by condition."""
        found = []
        for k, condition in enumerate(self.conditions):
            before, after = rows[k, UNCHANGED], rows[k, name]
            states = job_of(before), job_of(after)
            why = self.why(k, name, after) if states[1] is not JobState.DONE else ""
            change = by.difference(by.told(before), by.told(after))
            found.append(Effect(condition, *states, change, why=why))
        return found

    def why(self, place: int, name: str, row: Row) -> str:
        """Why a run has no answer or did not do its job."""
        if FAILED in row or "job_task" not in row:
            return str(row.get(WHY, ""))
        case = self.case(place, name)
        return job_sentence(row, case, brief=True) if isinstance(case, Scenario) else ""

    def _is_near(self, effects: Sequence[Effect], by: By) -> bool:
        """Whether a change may be visible somewhere, or turn the job, so that drawing is worth its while."""
        known = [one for one in effects if JobState.UNKNOWN not in (one.before, one.after)]
        return any(one.change is None or abs(one.change) >= NEARLY * by.seen for one in known)

    # --- draws ---

    def draw(self, cases: Mapping[Place, Due], names: Sequence[str], by: By) -> None:
        """Run every draw of some changes under all conditions."""
        wanted = [(k, name) for k in range(len(self.conditions)) for name in names]
        due = {place: case for place in wanted if isinstance(case := cases[place], Scenario)}
        self.drawn |= self.draws_of(due, by)

    def _torn(self) -> bool:
        """Whether the rig without any change does its job in some draws and fails in others, somewhere: any
        change may tip it then.
        """
        jobs = [{one.job for one in own} for own in self.drawn.values()]
        return any({JobState.DONE, JobState.NOT_DONE} <= own for own in jobs)

    def draws_of(self, cases: Mapping[Name, Scenario], by: By) -> dict[Name, list[Told]]:
        """What every draw of cases says, by their names; a guess is drawn about the file's own value."""
        return drawn_cases(self.runs, cases, Draws({"": self.scenario}, self.inputs, self.count), by.told)

    def with_draws(self, place: int, name: str, effect: Effect, by: By) -> Effect:
        """An effect with what the draws say of it."""
        both = [self.drawn.get((place, one), []) for one in (UNCHANGED, name)]
        if not all(both):
            return effect
        pairs = list(zip(*both, strict=True))
        states = [(before.job, after.job) for before, after in pairs]
        like = [pair for pair, own in zip(pairs, states, strict=True) if own == (effect.before, effect.after)]
        known = [one for pair in like if (one := by.difference(*pair)) is not None]
        ends = interval(known, level(len(self.conditions)))
        return replace(
            effect,
            low=None if ends is None else ends[0],
            high=None if ends is None else ends[1],
            helped=states.count((JobState.NOT_DONE, JobState.DONE)),
            hurt=states.count((JobState.DONE, JobState.NOT_DONE)),
            pairs=len(known),
            drawn=self.count,
        )

    # --- what else is said ---

    def costs(self, name: str, rows: Mapping[Place, Row], by: By) -> tuple[Cost, ...]:
        """What a change makes visibly worse on the rig as given, the worst first."""
        before, after = rows[0, UNCHANGED], rows[0, name]
        if by.climbs or {job_of(before), job_of(after)} != {JobState.DONE}:
            return ()
        found: list[tuple[float, Cost]] = []
        for metric, entry in CATALOGUE.items():
            seen = just_seen(metric, self.visible) if not entry.text else 0.0
            values = before.get(metric), after.get(metric)
            if entry.better is Better.NEITHER or metric == by.metric or not seen:
                continue
            if not all(isinstance(value, int | float) for value in values):
                continue
            change = float(values[1]) - float(values[0])  # type: ignore[arg-type]
            if (change if entry.better is Better.LESS else -change) >= seen:
                found.append((abs(change) / seen, Cost(metric, change)))
        return tuple(cost for _, cost in sorted(found, key=lambda one: -one[0])[:COSTS])

    def pairs(self, ordered: Sequence[Change], rows: Mapping[Place, Row], by: By) -> tuple[Pair, ...]:
        """Pairs of the best changes whose effects do not add up on the rig as it stands."""
        best = [change for change in ordered if change.verdict is Verdict.CLEAR_GAIN][:BEST]
        names = [
            (one.name, other.name)
            for one, other in itertools.combinations(best, 2)
            if not self._paths(one.name) & self._paths(other.name)
        ]
        cases = {pair: self.case(0, *pair) for pair in names}
        both = self.runs.rows(cases)
        own = {pair: case for pair, case in cases.items() if isinstance(case, Scenario)}
        drawn = self.draws_of(own, by) if self.count else {}
        found = [self._pair(pair, rows, by.told(both[pair]), drawn.get(pair, []), by) for pair in names]
        return tuple(pair for pair in found if pair is not None)

    def _paths(self, name: str) -> set[str]:
        return {parted(edit.key)[0].removeprefix("rig.") for edit in self.edits[name]}

    def _pair(
        self,
        names: tuple[str, str],
        rows: Mapping[Place, Row],
        both: Told,
        drawn: Sequence[Told],
        by: By,
    ) -> Pair | None:
        """What two changes do together; None where it is what both do alone."""
        base, *alone = [by.told(rows[0, name]) for name in (UNCHANGED, *names)]
        change, extra = by.difference(base, both), _extra(by, base, alone, both)
        single = [self.drawn.get((0, name), []) for name in (UNCHANGED, *names)]
        every = zip(*single, drawn, strict=True) if drawn and all(single) else ()
        more = [_extra(by, at[0], at[1:-1], at[-1]) for at in every]
        ends = interval([one for one in more if one is not None], level(1))
        jobs = [one.job for one in alone]
        turns = JobState.UNKNOWN not in (both.job, *jobs) and both.job not in jobs
        beyond = extra is not None and abs(extra) >= by.seen
        if ends is not None and beyond:
            beyond = not ends[0] <= 0.0 <= ends[1]
        if not (turns or beyond):
            return None
        return Pair(names, both.job, change, extra, *(ends or (None, None)))

    def basis(self, each: bool, by: By, rows: Mapping[Place, Row]) -> Basis:
        """What the ranking rests on."""
        own = [by.told(rows[k, UNCHANGED]) for k in range(len(self.conditions))]
        stated = sum(one.stated for one in self.inputs)
        return Basis(
            by.metric,
            by.better,
            by.seen,
            by.chosen,
            each,
            tuple(self.conditions),
            tuple(one.job for one in own),
            tuple(one.value for one in own),
            tuple(self.scatter(k) for k in range(len(self.conditions))),
            self.count,
            stated,
            len(self.inputs) - stated,
            self.runs.count,
            tuple(self.base_done(k, one.job) for k, one in enumerate(own)),
        )

    def base_done(self, place: int, job: JobState) -> int | None:
        """Draws in which the rig without any change does its job."""
        own = self.drawn.get((place, UNCHANGED), [])
        return [one.job for one in own].count(JobState.DONE) if own and job is not JobState.NO_JOB else None

    def scatter(self, place: int) -> float | None:
        """How far the metric of the rig without any change scatters over the draws."""
        own = self.drawn.get((place, UNCHANGED), [])
        known = [one.value for one in own if one.value is not None]
        if len(known) < 2:
            return None
        return BOTH_SCATTER * statistics.stdev(known)

    def _refuse_nowhere(self, metric: str, rows: Mapping[Place, Row]) -> None:
        """Refuse a metric that no run has."""
        if metric and metric != CLIMBED and all(row.get(metric) is None for row in rows.values()):
            where = where_asked(self.scenario, metric)
            raise InputError([InputIssue(*where, metric, "a metric that some of these runs have")])

    def _refuse(self, row: Row) -> None:
        """Refuse a rig that cannot be run as it stands."""
        if row.get(FAILED) == NoMetrics.INPUT.name:
            raise InputError(
                [InputIssue(str(self.scenario.path), "", str(row[WHY]), "a rig that can be run")]
            )


def _extra(by: By, base: Told, alone: Sequence[Told], both: Told) -> float | None:
    """What two changes do together beyond the sum of what each does alone."""
    parts = [by.difference(base, one) for one in alone]
    whole = by.difference(base, both)
    if whole is None or None in parts:
        return None
    return whole - sum(part for part in parts if part is not None)
