"""Whether the job was done, and if not, why: the first words of every headline."""

import math
from collections.abc import Callable, Mapping
from itertools import pairwise
from typing import Any

from simcore.accounts.job import AS_ASKED, JobState, Tyres
from simcore.accounts.places import SLIPPERY, Feature, slippery
from simcore.accounts.verdict import Cause, Failure
from simcore.files.aim import Task, aim_of, leads_over_all, request_of
from simcore.files.scenario import Scenario
from simcore.results.catalogue import label_of
from simcore.results.formatting import in_picture, three_digits
from simcore.results.job_metrics import missed_bounds
from simcore.results.metrics import SOUND
from simcore.results.reliability import ended_early
from simcore.units import GRAMS

Summary = Mapping[str, Any]
FLAT = 0.035  # of the way, rise up to which a rig drives along the level
AT_PLACE = {
    Feature.LEDGE: "at the ledge",
    Feature.DROP: "at the drop",
    Feature.ICE: "on the ice",
    Feature.SLIPPERY: "on the slippery stretch",
    Feature.STEEPER: "where it gets steeper",
    Feature.CREST: "on the crest",
}
PASSING = {
    Feature.LEDGE: "over the ledge",
    Feature.DROP: "down the drop",
    Feature.ICE: "across the ice",
    Feature.SLIPPERY: "across the slippery stretch",
    Feature.STEEPER: "onto the steeper ground",
    Feature.CREST: "over the crest",
}
GIVES = {
    Cause.TOO_LITTLE_TORQUE: "the torque asked for is",
    Cause.TOO_LITTLE_THROTTLE: "at this throttle the motor gives",
    Cause.MOTOR_TOO_WEAK: "the motor gives at most",
}
ONWARD = {"climbs": "climbs on", "drives": "drives on", "comes down": "comes on down"}
ROLLS, STAYS = 0.01, 5.0  # m/s, mm, below which a rig stands or has not moved
NEARLY = 97.0  # percent of the torque needed, from which the share says no more than the words


def is_done(summary: Summary) -> bool:
    """Whether a run did its job, or had none."""
    return summary.get("audit", SOUND) == SOUND and summary["job"] in AS_ASKED


def length(mm: float) -> str:
    """A way as people say it: "333 mm", "1.34 m"."""
    return f"{mm / 1000.0:.2f} m" if abs(mm) >= 1000.0 else f"{round(mm)} mm"


def seconds(time: float) -> str:
    """A time within a sentence."""
    return f"{three_digits(time) if time < 1.0 else f'{time:.1f}'} s"


def moves(summary: Summary) -> str:
    """How a rig moves over its ground: climbs, drives, comes down."""
    way, rise = summary["distance_mm"], summary["height_gained_mm"]
    if abs(rise) < FLAT * abs(way):
        return "drives"
    return "climbs" if rise > 0.0 else "comes down"


def job_sentence(summary: Summary, scenario: Scenario, brief: bool = False) -> str:
    """Whether the job of a run was done, and if not, why.

    Parameters
    ----------
    summary : of the run
    scenario : that was run
    brief : without numbers that several cases would repeat, and without a capital
    """
    text = _sentence(summary, scenario, brief)
    return text if brief else text[:1].upper() + text[1:]


def _sentence(summary: Summary, scenario: Scenario, brief: bool) -> str:
    if summary.get("audit", SOUND) != SOUND:
        return "AUDIT FAILED, do not use"
    state = JobState[summary["job"]]
    if state is JobState.UNKNOWN:
        after = f" after {seconds(summary['time_s'])}" if "time_s" in summary else ""
        return f"no answer: {Failure[summary['job_failure']].value}{after}"
    if state is JobState.NOT_DONE:
        return _not_done(summary, scenario, brief)
    early = "" if summary["job_task"] == Task.NONE.name else ended_early(summary)
    then = f", then {early[:1].lower()}{early[1:]} after {seconds(summary['time_s'])}" if early else ""
    return _done(summary, scenario, brief) + _spinning(summary) + then


def _spinning(summary: Summary) -> str:
    return f", {Tyres[summary['job_spinning']].value} spinning" if summary["job_spinning"] else ""


def _done(summary: Summary, scenario: Scenario, brief: bool) -> str:
    task, way = Task[summary["job_task"]], summary["distance_mm"]
    ran = seconds(summary["time_s"] - scenario.driver.release)
    if task is Task.STOP:
        return f"stops in {length(summary['stopping_mm'])}"
    if task is Task.STAY:
        return "stays where it is"
    if task is Task.PASS:
        return f"gets {passing(scenario)} in {seconds(summary['done_s'])}"
    if task is Task.REACH:
        aim = length(aim_of(scenario).way * 1000.0)
        if leads_over_all(scenario):
            return f"gets {passing(scenario)}, {aim} in {seconds(summary['done_s'])}"
        return f"{moves(summary)} {aim} in {seconds(summary['done_s'])}"
    if task is Task.BACK_UP:
        return f"backs up {length(-way)} in {ran}"
    if task is Task.NONE:
        return _comes_to(summary, scenario, ran)
    if way < 0.0:
        return f"goes on while asked to, then rolls {length(-way)} behind its start"
    on = f"{ONWARD[moves(summary)]}, {length(way)}" + ("" if brief else f" in {ran}")
    return on if summary["speed_m_per_s"] > -ROLLS else f"{on}, rolling back at the end"


def _comes_to(summary: Summary, scenario: Scenario, ran: str) -> str:
    """Where a rig ends up that was not to go anywhere in particular."""
    way = summary["distance_mm"]
    asked = any(value != 0.0 for _, value in request_of(scenario.driver))
    there = f"{length(abs(way))} {'on' if way > 0.0 else 'back'} in {ran}"
    if asked:
        return f"goes to and fro, {there} all in all"
    if abs(way) < STAYS:
        return "nothing is asked of it, and it stays"
    return f"rolls {there}, nothing being asked of it"


def passing(scenario: Scenario) -> str:
    """What a rig must get past, in words."""
    if scenario.goal.past is not None:
        return f"past {length(scenario.goal.past * 1000.0)}"
    found = _features(scenario)
    return PASSING[found[0]] if len(found) == 1 else "over the whole course"


def _features(scenario: Scenario) -> list[Feature]:
    """What gives work on a course ahead of the rear axle, as its file says, in order."""
    pieces, found, x = scenario.ground.pieces, [], 0.0
    for before, piece in pairwise(pieces):
        x += 0.0 if before.length is None else before.length * math.cos(before.slope)
        if x <= scenario.start.rear_axle:
            continue
        if piece.ledge is not None:
            found.append(Feature.LEDGE if piece.ledge > 0.0 else Feature.DROP)
        elif piece.grip < SLIPPERY:
            found.append(slippery(piece.grip))
        elif before.ledge is None and abs(piece.slope - before.slope) > FLAT:
            found.append(Feature.STEEPER if piece.slope > before.slope else Feature.CREST)
    return found


def _not_done(summary: Summary, scenario: Scenario, brief: bool) -> str:
    failure = Failure[summary["job_failure"]]
    return _FAILURES.get(failure, _plainly)(summary, scenario, brief)


def _where(summary: Summary, brief: bool) -> str:
    """Place and way at which it ended: " at the ledge after 310 mm"."""
    place, ahead = summary["job_place"], summary["job_ahead"]
    text = f" {AT_PLACE[Feature[place]]}" if place else f" before {Feature[ahead].value}" if ahead else ""
    return text if brief else f"{text} after {length(_onward(summary))}"


def _backs(summary: Summary) -> bool:
    """Whether the rig was to go back, so that what it loses is way forward."""
    return Task[summary["job_task"]] is Task.BACK_UP


def _onward(summary: Summary) -> float:
    """Way covered towards where the task leads, mm."""
    return -float(summary["distance_mm"]) if _backs(summary) else float(summary["distance_mm"])


def _other_way(summary: Summary) -> str:
    return "forward" if _backs(summary) else "back"


def why(summary: Summary) -> str:
    """Cause in words, with the share of the torque that is needed where that is known; empty if unknown."""
    if summary["job_spinning"] and summary["job_cause"] in ("", Cause.TYRES_SPIN.name):
        return f"{Tyres[summary['job_spinning']].value} spin"
    if not summary["job_cause"]:
        return ""
    cause, share = Cause[summary["job_cause"]], summary["torque_share_pct"]
    if cause in GIVES and share is not None and 0.0 < share < NEARLY:
        return f"{GIVES[cause]} {share / 100.0:.2g} of what this slope takes"
    return cause.value


def _because(text: str, summary: Summary) -> str:
    cause = why(summary)
    return f"{text}: {cause}" if cause else text


def _plainly(summary: Summary, scenario: Scenario, brief: bool) -> str:
    """A failure in the words of its code, with its cause."""
    failure = Failure[summary["job_failure"]]
    return _because(failure.value, summary)


def _stands(summary: Summary, scenario: Scenario, brief: bool) -> str:
    way, spins = _onward(summary), summary["job_failure"] == Failure.SPINS.name
    if way < STAYS and (spins or way > -STAYS):
        return _because("does not get going", summary)
    if way < STAYS:
        back = f"rolls {_other_way(summary)}"
        return _because(back if brief else f"{back} {length(-way)} and stops", summary)
    return _because(f"stops{_where(summary, brief)}", summary)


def _creeps(summary: Summary, scenario: Scenario, brief: bool) -> str:
    return _because(f"hardly gets further{_where(summary, brief)}", summary)


def _late(summary: Summary, scenario: Scenario, brief: bool) -> str:
    aim, ahead = aim_of(scenario), summary["job_ahead"]
    time = seconds(summary["time_s"] - aim.since)
    way, whole = _onward(summary), 1000.0 * aim.way
    if summary["done_s"] is not None:
        what = passing(scenario) if aim.task is Task.PASS else length(whole)
        return f"too late: {what} in {seconds(summary['done_s'])}, {seconds(aim.until - aim.since)} allowed"
    if aim.task is Task.PASS:
        goal = f"does not reach {Feature[ahead].value}" if ahead else f"does not get {passing(scenario)}"
        return _because(f"{goal} in {time}", summary)
    text = f"not there in {time}"
    return _because(text if brief else f"{text}, {length(max(way, 0.0))} of {length(whole)}", summary)


def _tips(summary: Summary, scenario: Scenario, brief: bool) -> str:
    place, failure = summary["job_place"], Failure[summary["job_failure"]]
    text = failure.value + (f" {AT_PLACE[Feature[place]]}" if place else "")
    return text if brief else f"{text} after {seconds(summary['time_s'])}"


def _slides(summary: Summary, scenario: Scenario, brief: bool) -> str:
    spins = Failure[summary["job_failure"]] is Failure.SLIDES_BACK_SPINNING
    place, tyres = summary["job_place"], summary["job_spinning"]
    text = f"slides {_other_way(summary)}" + (f" {AT_PLACE[Feature[place]]}" if place else "")
    if spins:
        return f"{text}, {Tyres[tyres].value if tyres else 'tyres'} spinning"
    return _because(text, {**summary, "job_spinning": ""})


def _rolls(summary: Summary, scenario: Scenario, brief: bool) -> str:
    place = summary["job_place"]
    text = f"rolls {_other_way(summary)}" + (f" {AT_PLACE[Feature[place]]}" if place else "")
    return _because(text, summary)


def _light(summary: Summary, scenario: Scenario, brief: bool) -> str:
    least, wanted = (
        value * GRAMS for value in (summary["front_load_low_N"], scenario.goal.front_load or 0.0)
    )
    return f"front tyres too light: {least:.0f} g at the least, {wanted:.0f} g wanted"


def _overruns(summary: Summary, scenario: Scenario, brief: bool) -> str:
    aim, way = aim_of(scenario), summary["stopping_mm"]
    if way > 1000.0 * aim.way:
        return f"stops too late: in {length(way)}, {length(1000.0 * aim.way)} allowed"
    start = scenario.driver.release
    stood, allowed = summary["done_s"] + aim.since - start, aim.until - start
    return f"stops too late: after {seconds(stood)}, {seconds(allowed)} allowed"


def _misses(summary: Summary, scenario: Scenario, brief: bool) -> str:
    said = []
    for metric, bound, least in missed_bounds(summary, scenario.goal):
        if metric not in summary:  # an effect of support, in one of its two runs alone
            continue
        value = summary[metric]
        got = "is not known" if value is None else f"is {in_picture(metric, value)}"
        wanted = f"at {'least' if least else 'most'} {in_picture(metric, bound)}"
        said.append(f"{label_of(metric)} {got}, {wanted} wanted")
    return f"misses its goal: {'; '.join(said)}"


_FAILURES: dict[Failure, Callable[[Summary, Scenario, bool], str]] = {
    Failure.STANDS_STILL: _stands,
    Failure.SPINS: _stands,
    Failure.SPINS_AND_CREEPS: _creeps,
    Failure.NOT_THERE: _late,
    Failure.TIPS_BACKWARDS: _tips,
    Failure.TIPS_FORWARDS: _tips,
    Failure.HANGS_ON_SKIDS: _tips,
    Failure.FRONT_LIFTS: _tips,
    Failure.REAR_LIFTS: _tips,
    Failure.SLIDES_BACK: _slides,
    Failure.SLIDES_BACK_SPINNING: _slides,
    Failure.ROLLS_BACK: _rolls,
    Failure.FRONT_TOO_LIGHT: _light,
    Failure.STOPS_LATE: _overruns,
    Failure.MISSES_A_BOUND: _misses,
}
