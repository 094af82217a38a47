"""What comes of a change, in two answers: a first one while the hand still moves, then the whole run.

The first one integrates the same motion in the same way as the run, but not as finely, and takes from it only
what is shown at once: it is off by far less than a viewer sees. The second is the run itself. Whether the
motion keeps its audit is known with that one; should it not, it says so and is done again by the reference.
"""

import time
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path
from typing import Any

from simcore.accounts.audit import audit
from simcore.accounts.job import judge
from simcore.errors import InputError, InputIssue
from simcore.files.aim import aim_of
from simcore.files.keep.opened import Opened, opened
from simcore.files.scenario import Scenario
from simcore.files.words import nearest
from simcore.results.catalogue import CATALOGUE, NUMBERS
from simcore.results.conditions import Conditions
from simcore.results.finished import Finished
from simcore.results.headlines.run import run_headline
from simcore.results.metrics import BY_NAME, Metrics
from simcore.results.quantities import Group
from simcore.results.rows import Rows
from simcore.results.run import Run
from simcore.results.series import Columns
from simcore.results.stages import Stage, decisive, stages
from simcore.rig.model import Model, build
from simcore.solve.integrate import integrate
from simcore.solve.settle import settle
from simcore.solve.trace import Trace
from simcore.studies.coarser import UNDER_THE_HAND, coarser
from simcore.studies.goals import check_goal, goal_of_one_run
from simcore.studies.live.knobs import Knob, knobs
from simcore.studies.simulate import simulate

Settings = Mapping[str, Any]
Stop = Callable[[], bool]
MOST_METRICS = 6
USUAL_METRICS = (
    *("pitch_rise_deg", "rear_squat_mm", "front_lift_mm", "front_load_low_N", "distance_mm"),
    *("rear_travel_end_mm", "front_load_mean_N", "pitch_end_deg"),
)
"""Metrics that are shown of a scenario whose file names fewer than there is room for."""


class Stale(Exception):
    """The answer is not wanted any more: another change came meanwhile."""


@dataclass(frozen=True)
class First:
    """What is shown of a motion at once.

    Attributes
    ----------
    case : that was changed
    scenario : the case as changed
    trace : its motion
    seconds : what it took, by the name of the step: "build", "run"
    """

    case: str
    scenario: Scenario
    trace: Trace
    seconds: Mapping[str, float]

    @cached_property
    def watched(self) -> Trace:
        """The motion on the raster of the metrics."""
        return self.trace.rows(self.trace.watched)

    @cached_property
    def columns(self) -> Columns:
        """Columns on that raster, without those of the audit."""
        return Columns(Rows(self.watched, None, self.scenario.visible))

    @cached_property
    def metrics(self) -> Metrics:
        """Metrics of the run: those of the audit only where the goal bounds one of them."""
        goal = self.scenario.goal
        bounds = {CATALOGUE[name].group for name in (*goal.at_least, *goal.at_most)}
        whole = audit(self.trace) if Group.AUDIT in bounds else None
        residuals = None if whole is None else whole.rows(self.trace.watched)
        job = judge(self.trace, aim_of(self.scenario), whole is None or not whole.faults)
        return Metrics(Finished(self.watched, residuals, self.columns, job), goal_of_one_run(goal))

    @cached_property
    def conditions(self) -> Conditions:
        """What held in the run."""
        return Conditions.of(self.scenario)

    @cached_property
    def verdict(self) -> str:
        """Whether the job was done, and what moved, in a sentence."""
        return run_headline(self.metrics, self.conditions)

    @cached_property
    def stages(self) -> list[Stage]:
        """Start, decisive instant and end, edges of the course apart; rows are those of `watched`."""
        return stages(self.columns, self.trace.outcome, (), self.scenario.visible)

    @property
    def decisive(self) -> Stage:
        """The instant by which the run is decided."""
        return decisive(self.stages)


class Live:
    """A scenario as it lies on disk, that answers changes of it.

    Parameters
    ----------
    path : of its file
    settings : changes to begin with; they hold in every case

    Raises
    ------
    InputError
        As for `load_scenario`, or if a setting is refused.
    """

    def __init__(self, path: Path, settings: Settings | None = None) -> None:
        self.file: Opened = opened(path)
        self.scenario = self.file.scenario
        self.typed: Settings = dict(settings or {})
        self.cases = self.scenario.case_names()
        self._scenarios: dict[str, Scenario] = {}
        self._knobs: dict[str, list[Knob]] = {}
        self._bases: dict[str, First] = {}
        self._runs: dict[str, Run] = {}
        self._built: Model | None = None
        for case in self.cases:
            self.case(case)

    def case(self, name: str) -> Scenario:
        """A case to begin with; raises as `Scenario.variant`."""
        if name not in self._scenarios:
            case = self.scenario.variant(name)
            self._scenarios[name] = case.changed(self.typed) if self.typed else case
        return self._scenarios[name]

    def changed(self, case: str, settings: Settings) -> Scenario:
        """A case with its knobs turned; raises as `Scenario.changed`, and of what is no knob."""
        if not settings:
            return self.case(case)
        paths = {knob.path for knob in self.knobs(case)}
        unknown = [path for path in settings if path not in paths]
        if unknown:
            file, must_be = str(self.scenario.path), "a number, choice or switch that the scenario has"
            raise InputError(
                InputIssue(file, path, "an unknown path", must_be, nearest(path, paths)) for path in unknown
            )
        return self.case(case).changed(settings)

    def knobs(self, case: str) -> list[Knob]:
        """What may be turned of a case; raises as `case`."""
        if case not in self._knobs:
            self._knobs[case] = knobs(self.case(case), self.scenario)
        return self._knobs[case]

    def all_settings(self, settings: Settings) -> dict[str, Any]:
        """Settings with those to begin with before them, which together make the case of its file's."""
        return {**self.typed, **settings}

    def base(self, case: str, stop: Stop = lambda: False) -> First:
        """The first answer of a case to begin with, kept; raises as `first`."""
        if case not in self._bases:
            self._bases[case] = self._moved(case, {}, stop)
        return self._bases[case]

    def base_run(self, case: str, stop: Stop = lambda: False) -> Run:
        """The whole run of a case to begin with, kept without its trace; raises as `second`."""
        if case not in self._runs:
            self._runs[case] = simulate(self.case(case), _asking(stop)).without_trace()
        return self._runs[case]

    def first(self, case: str, settings: Settings, stop: Stop = lambda: False) -> First:
        """The first answer to a change; that of none is `base`.

        Parameters
        ----------
        case : that is changed
        settings : dotted path to value, as it would stand in the file
        stop : is asked now and then whether the answer is not wanted any more

        Raises
        ------
        InputError
            When a value is refused, or the rig cannot be built or stand.
        Stale
            When `stop` says so.
        """
        return self._moved(case, settings, stop) if settings else self.base(case, stop)

    def of_run(self, case: str, run: Run) -> First:
        """What a first answer holds, of the whole run of a change; of a run without a trace that of the case
        to begin with.
        """
        return self.base(case) if run.trace is None else First(case, run.scenario, run.trace, {})

    def second(self, case: str, settings: Settings, stop: Stop = lambda: False) -> Run:
        """The whole run of a change, as `simulate` gives it; parameters and errors as of `first`."""
        if not settings:
            return self.base_run(case, stop)
        return simulate(self.changed(case, settings), _asking(stop))

    def _moved(self, case: str, settings: Settings, stop: Stop) -> First:
        begin = time.perf_counter()
        scenario = self.changed(case, settings)
        check_goal(scenario)
        self._built = model = build(scenario, self._built)
        built = time.perf_counter()
        trace = _motion(coarser(scenario, UNDER_THE_HAND) if settings else scenario, model, stop)
        return First(case, scenario, trace, {"build": built - begin, "run": time.perf_counter() - built})

    @cached_property
    def told(self) -> tuple[str, ...]:
        """Metrics that are shown: those that the file draws, then the usual ones, at most six."""
        wanted = (*self.scenario.conclusion.shown, *USUAL_METRICS)
        own = (name for name in wanted if name in NUMBERS and name in BY_NAME)
        kept = [name for name in dict.fromkeys(own) if CATALOGUE[name].group is not Group.AUDIT]
        return tuple(kept[:MOST_METRICS])


def _asking(stop: Stop) -> Callable[[float, float], None]:
    """Progress of an integration that ends a stale one."""

    def ask(reached: float, duration: float) -> None:
        if stop():
            raise Stale

    return ask


def _motion(scenario: Scenario, model: Model, stop: Stop) -> Trace:
    """Motion of a scenario's rig, unless it is not wanted any more."""
    ask = _asking(stop)
    ask(0.0, 0.0)
    start = settle(scenario, model)
    ask(0.0, 0.0)
    return integrate(scenario, model, start, ask)
