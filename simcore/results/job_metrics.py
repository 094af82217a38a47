"""Metrics that say whether a run did its job, and why not: one entry each."""

import enum
import math
from collections.abc import Mapping
from typing import Any

from simcore.accounts.job import AS_ASKED, JobState, Tyres
from simcore.accounts.places import Feature
from simcore.accounts.verdict import Cause, Failure
from simcore.files.aim import Task
from simcore.files.goal import Goal
from simcore.results.finished import Finished
from simcore.results.quantities import Better, Group, Kind, Quantity
from simcore.solve.refusal import NoStand
from simcore.units import column_factor

_JOB: dict[str, Any] = {"group": Group.JOB}


def _code(value: enum.Enum | None) -> str:
    return "" if value is None else value.name


def _known(value: float) -> float | None:
    return value if math.isfinite(value) else None


def _failure(run: Finished) -> Failure | None:
    return None if run.job.verdict is None else run.job.verdict.failure


def _cause(run: Finished) -> Cause | None:
    return None if run.job.verdict is None else run.job.verdict.cause


def _share(run: Finished) -> float | None:
    share = run.job.torque_share
    return None if share is None else 100.0 * share


JOB_METRICS = [
    Quantity("job", "whether the job is done", lambda run: run.job.state.name, codes=JobState, **_JOB),
    Quantity("job_task", "what was to be done", lambda run: run.job.aim.task.name, codes=Task, **_JOB),
    Quantity(
        "job_failure",
        "what it did instead, or why that is not known",
        lambda run: _code(_failure(run)),
        codes=Failure,
        **_JOB,
    ),
    Quantity("job_cause", "why, where that is known", lambda run: _code(_cause(run)), codes=Cause, **_JOB),
    Quantity("job_place", "what it stopped at", lambda run: _code(run.job.place), codes=Feature, **_JOB),
    Quantity(
        "job_ahead",
        "first place that it never came to",
        lambda run: _code(run.job.ahead),
        codes=Feature,
        **_JOB,
    ),
    Quantity(
        "job_spinning",
        "driven tyres that spin there, or for a quarter of a run that did its job",
        lambda run: _code(run.job.spinning),
        codes=Tyres,
        **_JOB,
    ),
    Quantity(
        "done_s",
        "time from the driver's release (stopping: from braking) until the job is done, or too late would "
        "have been; empty for one without such an instant",
        lambda run: _known(run.job.done),
        kind=Kind.TIME,
        better=Better.LESS,
        wording="time to do it",
        **_JOB,
    ),
    Quantity(
        "stopping_mm",
        "way from braking to standing; empty if it was not to stop, or did not",
        lambda run: _known(run.job.stopping * column_factor("stopping_mm")),
        kind=Kind.DISTANCE,
        better=Better.LESS,
        wording="stopping distance",
        **_JOB,
    ),
    Quantity(
        "torque_share_pct",
        "torque that the motor gives per torque that it takes to drive up steadily where it stands; empty "
        "for a run that does not lack torque",
        _share,
        kind=Kind.SHARE,
        wording="torque per torque needed",
        **_JOB,
    ),
]


def no_start(why: NoStand) -> dict[str, Any]:
    """What a summary says of the job of a rig that cannot stand where it starts."""
    unknown = why is NoStand.NOT_FOUND
    return {
        "job": (JobState.UNKNOWN if unknown else JobState.NOT_DONE).name,
        "job_failure": (Failure.NO_START_FOUND if unknown else Failure.CANNOT_STAND).name,
        "job_cause": "" if unknown else Cause.of(why).name,
        **dict.fromkeys(("job_place", "job_ahead", "job_spinning"), ""),
        "torque_share_pct": None,
    }


def missed_bounds(summary: Mapping[str, Any], goal: Goal) -> list[tuple[str, float, bool]]:
    """Bounds of a goal that a run does not keep: metric, bound, and whether it is a least one.

    A metric that a run does not have keeps no bound.
    """
    bounds = [(metric, bound, True) for metric, bound in goal.at_least.items()]
    bounds += [(metric, bound, False) for metric, bound in goal.at_most.items()]
    return [bound for bound in bounds if not _keeps(summary.get(bound[0]), *bound[1:])]


def _keeps(value: Any, bound: float, least: bool) -> bool:
    if not isinstance(value, int | float):
        return False
    return bool(value >= bound if least else value <= bound)


def judged(summary: dict[str, Any], goal: Goal) -> dict[str, Any]:
    """Summary of a run whose job also counts the bounds of its goal."""
    if summary["job"] not in AS_ASKED or not (goal.at_least or goal.at_most):
        return summary
    missed = missed_bounds(summary, goal)
    state = JobState.NOT_DONE if missed else JobState.DONE
    failure = Failure.MISSES_A_BOUND if missed else None
    return summary | {"job": state.name, "job_failure": _code(failure)}
