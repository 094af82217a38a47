"""Whether a run did its job: what it was to do, whether it did it and when; if not, why, and where."""

import dataclasses
import enum
import math

import numpy as np
import numpy.typing as npt

from simcore.accounts.effort import torque_share
from simcore.accounts.places import Feature, at_last_piece, place_ahead, place_at
from simcore.accounts.reasons import SPINNING, TOUCH
from simcore.accounts.stance import wheel_centre
from simcore.accounts.verdict import (
    LATE,
    OFTEN,
    STUCK,
    Cause,
    Failure,
    Verdict,
    spinning_share,
    stuck,
    tips,
    turned,
    why_stuck,
)
from simcore.compiled import FRONT, REAR
from simcore.files.aim import BRAKING, Aim, Task
from simcore.solve.events import FALLS, STOOD_SPEED
from simcore.solve.trace import Outcome, Trace

Series = npt.NDArray[np.float64]
STANDING = 5.0 * STOOD_SPEED  # m/s; a braked rig still rocks on its tyres
ROCKS, ROCKS_FOR = 0.003, 0.25  # m, s; one that swings on its springs may rock so far, if it does so so long
SLOWED = 0.5  # of the speed at which it began to brake; a rig that has lost more only lacks time


class JobState(enum.Enum):
    """Whether the job is done; the name stands in files, the value in sentences."""

    DONE = "done"
    NOT_DONE = "not done"
    UNKNOWN = "not known"
    NO_JOB = "nothing was to be done"


AS_ASKED = frozenset({JobState.DONE.name, JobState.NO_JOB.name})
"""Names of the states in which a run did all that it was to do."""


class Tyres(enum.Enum):
    """Which tyres; likewise."""

    REAR = "rear tyres"
    FRONT = "front tyres"
    BOTH = "all tyres"


@dataclasses.dataclass(frozen=True)
class Job:
    """What became of the job of a run.

    Attributes
    ----------
    aim : what was to be done
    state : whether it is done
    verdict : why not, or why that is not known; None where it is done
    done : s from the driver's release (when stopping: from braking) until it is done, if too late or not as
        it should be; NaN if it never is
    place, ahead : what it stopped at, and what it never came to
    spinning : tyres that spin where it stopped, or for much of the run
    torque_share : of what the slope takes, see `effort.torque_share`
    stopping : way from braking to standing, m; NaN if it was not to stop, or did not
    """

    aim: Aim
    state: JobState
    verdict: Verdict | None = None
    done: float = math.nan
    place: Feature | None = None
    ahead: Feature | None = None
    spinning: Tyres | None = None
    torque_share: float | None = None
    stopping: float = math.nan


def judge(trace: Trace, aim: Aim, sound: bool = True) -> Job:
    """Whether a run did its job.

    Parameters
    ----------
    trace : of the whole run
    aim : what it was to do
    sound : whether it kept its audit
    """
    trace = trace.rows(trace.watched)
    if trace.outcome is Outcome.NOT_SOLVED or not sound:
        failure = Failure.BROKE_OFF if trace.outcome is Outcome.NOT_SOLVED else Failure.AUDIT_FAILED
        return Job(aim, JobState.UNKNOWN, Verdict(failure))
    done = _done_at(trace, aim)
    stopping = _stopping(trace, aim, done)
    by_then = aim.task in (Task.REACH, Task.PASS) and done + aim.since <= aim.until + 1e-9
    verdict = None if by_then else _lost(trace, aim)
    never = _never_went(trace, aim) if verdict is None else None
    if never is not None:
        return _failed(never, aim, why_stuck(never))
    if verdict is None and aim.task is not Task.NONE:
        verdict = _not_done(trace, aim, done, stopping)
    verdict = verdict or _too_light(trace, aim)
    if verdict is None:
        none = aim.task is Task.NONE and aim.front_load == 0.0
        state = JobState.NO_JOB if none else JobState.DONE
        return Job(aim, state, None, done, spinning=_spinning(trace), stopping=stopping)
    return _failed(trace, aim, verdict, done, stopping)


def _failed(
    trace: Trace, aim: Aim, verdict: Verdict, done: float = math.nan, stopping: float = math.nan
) -> Job:
    """A job that is not done, with what was to be seen where it stopped."""
    late = stuck(trace, _ahead(aim))
    at, ahead = place_at(late), place_ahead(trace)
    return Job(
        aim,
        JobState.NOT_DONE,
        verdict,
        done,
        None if at is None else at.feature,
        None if ahead is None or aim.task in (Task.STOP, Task.BACK_UP) else ahead.feature,
        _spinning(late),
        torque_share(late, _ahead(aim)) if verdict.cause in _SHORT_OF_TORQUE else None,
        stopping,
    )


_SHORT_OF_TORQUE = (Cause.MOTOR_TOO_WEAK, Cause.TOO_LITTLE_THROTTLE, Cause.TOO_LITTLE_TORQUE)


def _ahead(aim: Aim) -> float:
    """Which way the task leads: 1 forward, -1 back."""
    return -1.0 if aim.task is Task.BACK_UP else 1.0


def _first(times: Series, true: npt.NDArray[np.bool_]) -> float:
    return float(times[int(np.argmax(true))]) if true.any() else math.nan


def _done_at(trace: Trace, aim: Aim) -> float:
    """When the way is covered, the place passed, or the rig stands.

    s from when the task counts, NaN if never.
    """
    way, times = trace.states["distance"], trace.times
    if aim.task is Task.REACH:
        return _first(times, way >= aim.way - 1e-9) - aim.since
    if aim.task is Task.PASS:
        past = wheel_centre(trace, REAR)[0] >= aim.place - 1e-9
        return _first(times, past if aim.stated else past & _lands(trace)) - aim.since
    if aim.task is Task.STOP:
        return _stands_from(trace, aim) - aim.since
    return math.nan


def _lands(trace: Trace) -> npt.NDArray[np.bool_]:
    """At which instants the rear tyres touch the last piece of the course, and the front ones any."""
    return at_last_piece(trace, REAR) & (trace.part(FRONT, "tyre", "load") > TOUCH)


def _stands_from(trace: Trace, aim: Aim) -> float:
    """When a braked rig has come to a stand in which it stays, s from the start; NaN if it does not."""
    moving = np.abs(trace.ground_speed) > STANDING
    stands = _after_last(trace.times, moving | (trace.times < aim.since), 0.5 * LATE)
    return stands if math.isfinite(stands) else _rocks_from(trace, aim)


def _rocks_from(trace: Trace, aim: Aim) -> float:
    """From when a braked rig rocks about a place without getting on, s from the start; NaN if it does not."""
    way = trace.states["distance"]
    away = (np.abs(way - way[-1]) > ROCKS) | (trace.times < aim.since)
    speed = trace.ground_speed[trace.times >= trace.times[-1] - ROCKS_FOR]
    there_and_back = abs(float(np.mean(speed))) < 0.5 * float(np.mean(np.abs(speed)))
    return _after_last(trace.times, away, ROCKS_FOR) if there_and_back else math.nan


def _after_last(times: Series, true: npt.NDArray[np.bool_], lasts: float) -> float:
    """When something holds no more for the rest of a run, if that lasts so long; else NaN."""
    after = int(np.flatnonzero(true)[-1]) + 1 if true.any() else 0
    ends = after < len(times) and times[-1] - times[after] >= lasts
    return float(times[after]) if ends else math.nan


def _stopping(trace: Trace, aim: Aim, done: float) -> float:
    """Way from braking to standing, either way, m; `done` as of `_done_at`."""
    if aim.task is not Task.STOP or math.isnan(done):
        return math.nan
    times = [aim.since, aim.since + done]
    began, ended = np.interp(times, trace.times, trace.states["distance"])
    return abs(float(ended - began))


def _lost(trace: Trace, aim: Aim) -> Verdict | None:
    """What ended a run early; None if nothing did."""
    outcome = trace.outcome
    ends = {
        Outcome.ROLLED_OVER: tips(trace),
        Outcome.HIGH_CENTRED: Failure.HANGS_ON_SKIDS,
        Outcome.FRONT_LIFTED: Failure.FRONT_LIFTS,
        Outcome.REAR_LIFTED: Failure.REAR_LIFTS,
    }
    if outcome is Outcome.SLID_AWAY and abs(turned(trace)) > FALLS:
        return Verdict(tips(trace))
    if outcome is Outcome.SLID_AWAY and aim.task not in (Task.BACK_UP, Task.NONE):
        verdict = why_stuck(trace)
        slides = verdict.failure in (Failure.SLIDES_BACK, Failure.SLIDES_BACK_SPINNING, Failure.ROLLS_BACK)
        return verdict if slides else Verdict(Failure.SLIDES_BACK)
    return Verdict(ends[outcome]) if outcome in ends else None


def _not_done(trace: Trace, aim: Aim, done: float, stopping: float) -> Verdict | None:
    """Why a run that went to its end did not do its task; None if it did."""
    if aim.task is Task.STOP:
        return _no_stop(trace, aim) if math.isnan(done) else _late(aim, done, stopping)
    if aim.task is Task.STAY:
        return _no_stay(trace)
    if aim.task in (Task.REACH, Task.PASS):
        in_time = done + aim.since <= aim.until + 1e-9
        if in_time:
            return None
        if not math.isnan(done):
            return Verdict(Failure.NOT_THERE, seconds=aim.until - aim.since)
        verdict = why_stuck(trace)
        if verdict.cause is Cause.RUN_TOO_SHORT and trace.times[-1] > aim.until:
            return dataclasses.replace(verdict, cause=None)  # a longer run would not do
        return verdict
    return _no_way(trace, aim)


def _no_way(trace: Trace, aim: Aim) -> Verdict | None:
    """Why a rig that was to come on, or back, did not."""
    sign = _ahead(aim)
    until = trace.rows(trace.times <= max(aim.until, trace.times[0] + LATE))
    late = until.times >= until.times[-1] - LATE
    goes = sign * float(np.mean(until.ground_speed[late])) > STOOD_SPEED
    came = sign * float(until.states["distance"][-1]) >= aim.way
    verdict = None if goes and came else why_stuck(until, sign)
    if (
        verdict is not None and verdict.cause is Cause.ASKED_SPEED_TOO_LOW
    ):  # the way is that of the speed asked
        return dataclasses.replace(verdict, cause=Cause.RUN_TOO_SHORT)
    return verdict


def _never_went(trace: Trace, aim: Aim) -> Trace | None:
    """Of a rig that had not moved when it was to stop, the part in which it was asked to go; else None."""
    before = trace.rows(trace.times <= max(aim.since, trace.times[0] + LATE))
    if aim.task is not Task.STOP or np.abs(before.states["distance"]).max() >= STUCK:
        return None
    asks = np.flatnonzero(before.ledgers["motor"]["current"])
    return before.rows(before.times <= before.times[asks[-1]]) if len(asks) else before


def _late(aim: Aim, done: float, stopping: float) -> Verdict | None:
    """Whether a rig stopped too far on, or not in time."""
    late = stopping > aim.way or done + aim.since > aim.until + 1e-9
    return Verdict(Failure.STOPS_LATE) if late else None


def _no_stop(trace: Trace, aim: Aim) -> Verdict:
    """Why a rig that was to stop still goes at the end."""
    braked = trace.rows(trace.times >= min(aim.since, trace.times[-1] - LATE))
    late = trace.rows(trace.times >= trace.times[-1] - LATE)
    began, ends = abs(float(braked.ground_speed[0])), abs(float(late.ground_speed[-1]))
    if np.median(late.ledgers["motor"]["brake_share"]) < BRAKING and ends > SLOWED * began:
        cause = Cause.NOT_BRAKED
    elif ends < SLOWED * began:
        cause = Cause.RUN_TOO_SHORT
    else:
        cause = _let_go(late)
    return Verdict(Failure.DOES_NOT_STOP, cause)


def _no_stay(trace: Trace) -> Verdict | None:
    """Why a rig that was to stay did not; None if it did."""
    if np.abs(trace.states["distance"]).max() < STUCK:
        return None
    return Verdict(Failure.DOES_NOT_STAY, _let_go(trace.rows(trace.times >= trace.times[-1] - LATE)))


def _let_go(late: Trace) -> Cause:
    """Whether the tyres of a braked rig slide over the ground, or roll because the brake slips."""
    slips = [
        float(np.median(np.abs(late.part(i, "tyre", "slip"))))
        for i in (REAR, FRONT)
        if late.model.rig.axle[i].branch.driven
    ]
    return Cause.TYRES_SLIDE if min(slips, default=0.0) > SPINNING else Cause.BRAKE_SLIPS


def _too_light(trace: Trace, aim: Aim) -> Verdict | None:
    """Whether the front tyres carried less than they should from release on."""
    counted = trace.part(FRONT, "tyre", "load")[trace.times >= float(trace.model.rig.driver.release)]
    light = aim.front_load > 0.0 and len(counted) and float(counted.min()) < aim.front_load
    return Verdict(Failure.FRONT_TOO_LIGHT) if light else None


def _spinning(trace: Trace) -> Tyres | None:
    """Driven tyres that spin for a good part of a run."""
    spin = [
        bool(trace.model.rig.axle[i].branch.driven) and spinning_share(trace, i) > OFTEN
        for i in (REAR, FRONT)
    ]
    return Tyres.BOTH if all(spin) else Tyres.REAR if spin[REAR] else Tyres.FRONT if spin[FRONT] else None
