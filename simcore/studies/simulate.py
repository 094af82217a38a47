"""One run from scenario to result: integrate, audit, tabulate, summarise."""

import dataclasses
from functools import cached_property

import numpy as np
import pandas as pd

from simcore.accounts.audit import Audit, audit
from simcore.accounts.job import judge
from simcore.errors import InputError
from simcore.files.aim import aim_of
from simcore.files.scenario import COMPILED, Scenario
from simcore.results.effect import support_effect
from simcore.results.finished import Finished
from simcore.results.job_metrics import judged
from simcore.results.metrics import Summary, summarise
from simcore.results.motion import motion, outline
from simcore.results.rows import Rows
from simcore.results.run import Run
from simcore.results.series import Columns, series
from simcore.rig.model import Model, build
from simcore.solve.integrate import REFERENCE, integrate
from simcore.solve.piece import Progress
from simcore.solve.settle import settle
from simcore.solve.trace import Trace
from simcore.studies.coarser import IN_A_DRAW, coarser
from simcore.studies.goals import check_goal, goal_of_one_run


def simulate(
    scenario: Scenario, progress: Progress | None = None, without_support: bool | None = None
) -> Run:
    """Run a scenario.

    Parameters
    ----------
    scenario : from `load_scenario`, or a variant of one
    progress : called with (time reached, duration) while the motion is integrated
    without_support : run it once more with the squat support cancelled, as `counterfactual`; None: as the
        scenario says

    Raises
    ------
    InputError
        when the goal speaks of no metric, the rig cannot be built, or cannot stand where it starts (with or
        without its support).
    """
    if without_support is not None and without_support != scenario.without_support:
        scenario = scenario.changed({"without_support": without_support}, keep_variants=True)
    check_goal(scenario)
    model = build(scenario)
    done = _Done(scenario, *sound(scenario, model, progress))
    if not scenario.without_support:
        return done.run
    other = _cancelled(scenario, model, progress)
    return dataclasses.replace(done.run, summary=_with_effect(done, other), counterfactual=other.run)


def summary_of(scenario: Scenario, supported: bool = True, coarsely: bool = False) -> Summary:
    """Metrics alone, the same as those of `simulate`, for bulk runs.

    Parameters
    ----------
    scenario : as for `simulate`, which says what is raised
    supported : False: those of the run with its squat support cancelled
    coarsely : integrate it as a draw, less finely, unless the audit finds fault with that
    """
    return summary_and_columns(scenario, supported, coarsely)[0]


def summary_and_columns(
    scenario: Scenario, supported: bool = True, coarsely: bool = False
) -> tuple[Summary, Columns]:
    """The same metrics, and the columns on the raster that they are taken from, worked out when asked for;
    parameters as for `summary_of`.
    """
    check_goal(scenario)
    model = build(scenario)
    if not supported:
        done = _cancelled(scenario, model, coarsely=coarsely)
        return done.summary, done.columns
    done = _Done(scenario, *sound(scenario, model, coarsely=coarsely))
    if not scenario.without_support:
        return done.summary, done.columns
    return _with_effect(done, _cancelled(scenario, model, coarsely=coarsely)), done.columns


def finished(scenario: Scenario, trace: Trace) -> Run:
    """The run of a trace."""
    return _Done(scenario, trace, audit(trace)).run


def sound(
    scenario: Scenario, model: Model, progress: Progress | None = None, coarsely: bool = False
) -> tuple[Trace, Audit]:
    """Motion of a scenario's rig and its audit; where the compiled way breaks that, by the reference.

    Raises
    ------
    InputError
        when the rig cannot stand where it starts.
    """
    start = settle(scenario, model)

    def by(way: Scenario) -> tuple[Trace, Audit]:
        trace = integrate(way, model, start, progress)
        return trace, audit(trace)

    if coarsely:
        rough = by(coarser(scenario, IN_A_DRAW))
        if not rough[1].faults:
            return rough
    done = by(scenario)
    if done[1].faults and scenario.solver.method == COMPILED:
        other = by(scenario.changed({"solver.method": REFERENCE}))
        return done if other[1].faults else other
    return done


@dataclasses.dataclass(frozen=True)
class _Done:
    """A motion and its audit, and what is made of them as far as it is asked for."""

    scenario: Scenario
    trace: Trace
    residuals: Audit

    @cached_property
    def watched(self) -> tuple[Trace, Audit]:
        """Both on the fixed raster from which metrics are taken."""
        return self.trace.rows(self.trace.watched), self.residuals.rows(self.trace.watched)

    @cached_property
    def columns(self) -> Columns:
        """Columns on that raster, each worked out when it is asked for."""
        return Columns(Rows(*self.watched, self.scenario.visible))

    @cached_property
    def summary(self) -> Summary:
        """Every metric."""
        job = judge(self.trace, aim_of(self.scenario), not self.residuals.faults)
        return summarise(Finished(*self.watched, self.columns, job), goal_of_one_run(self.scenario.goal))

    @property
    def run(self) -> Run:
        """The run, with its table on the raster asked for."""
        shown = self.trace.output
        if np.array_equal(self.trace.watched, shown):
            table = pd.DataFrame(dict(self.columns))
        else:
            table = series(self.trace.rows(shown), self.residuals.rows(shown), self.scenario.visible)
        return Run(
            self.scenario,
            self.trace.outcome,
            tuple(self.residuals.faults),
            summary=self.summary,
            series=table,
            motion=motion(self.trace, shown),
            outline=outline(self.trace, self.scenario.rig),
            trace=self.trace,
            audit=self.residuals,
        )


def _cancelled(
    scenario: Scenario, model: Model, progress: Progress | None = None, coarsely: bool = False
) -> _Done:
    """The same with the support cancelled; a rig that cannot stand without it is told apart."""
    try:
        return _Done(scenario, *sound(scenario, model.without_support(), progress, coarsely))
    except InputError as error:
        told = [
            dataclasses.replace(issue, got=f"without squat support {issue.got}") for issue in error.issues
        ]
        raise InputError(told) from None


def _with_effect(done: _Done, other: _Done) -> Summary:
    """Metrics of a run with what its support does, against the one without; the goal may bound that too."""
    effect = support_effect(done.columns, other.columns, done.scenario.visible)
    return judged(done.summary | effect, done.scenario.goal)
