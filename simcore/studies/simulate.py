"""One run from scenario to result: integrate, audit, tabulate, summarise."""

import dataclasses

import numpy as np
import pandas as pd

from simcore.accounts.audit import audit
from simcore.accounts.job import judge
from simcore.errors import InputError
from simcore.files.aim import aim_of
from simcore.files.scenario import Scenario
from simcore.results.effect import support_effect
from simcore.results.finished import Finished
from simcore.results.metrics import summarise
from simcore.results.motion import motion, outline
from simcore.results.run import Run
from simcore.results.series import series
from simcore.rig.model import Model, build
from simcore.solve.integrate import Progress, integrate
from simcore.solve.trace import Trace
from simcore.studies.goals import check_goal


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
    run, watched = finished(scenario, integrate(scenario, model, progress=progress))
    if not scenario.without_support:
        return run
    other, other_watched = finished(scenario, _cancelled(scenario, model, progress))
    effect = support_effect(watched, other_watched, scenario.visible)
    return dataclasses.replace(run, summary=run.summary | effect, counterfactual=other)


def simulate_without_support(scenario: Scenario) -> Run:
    """Run a scenario once, with its squat support cancelled; raises as `simulate`."""
    check_goal(scenario)
    return finished(scenario, _cancelled(scenario, build(scenario), None))[0]


def finished(scenario: Scenario, trace: Trace) -> tuple[Run, pd.DataFrame]:
    """The run of a trace, and its table on the fixed raster from which metrics are taken."""
    residuals, visible = audit(trace), scenario.visible
    kept, shown = trace.watched, trace.output
    rows, checked = trace.rows(kept), residuals.rows(kept)
    table = watched = series(rows, checked, visible)
    if not np.array_equal(kept, shown):
        table = series(trace.rows(shown), residuals.rows(shown), visible)
    job = judge(trace, aim_of(scenario), not residuals.faults)
    whole = Finished(rows, checked, watched, job)
    run = Run(
        scenario,
        trace.outcome,
        tuple(residuals.faults),
        summary=summarise(whole, scenario.goal),
        series=table,
        motion=motion(trace, shown),
        outline=outline(trace, scenario.rig),
        trace=trace,
        audit=residuals,
    )
    return run, watched


def _cancelled(scenario: Scenario, model: Model, progress: Progress | None) -> Trace:
    """The same run with the support cancelled; a rig that cannot stand without it is told apart."""
    try:
        return integrate(scenario, model.without_support(), progress=progress)
    except InputError as error:
        told = [
            dataclasses.replace(issue, got=f"without squat support {issue.got}") for issue in error.issues
        ]
        raise InputError(told) from None
