"""Finds between which values of one number a rig still does its job, by case or along other numbers."""

import math
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from simcore.accounts.verdict import Failure
from simcore.errors import InputError, InputIssue
from simcore.files import case_alone, with_axes
from simcore.files.aim import Task, aim_of
from simcore.files.axes import MOST_RUNS, settings_of
from simcore.files.scenario import Scenario
from simcore.results.headlines.ranges import Ending
from simcore.results.store import FAILED
from simcore.studies.goals import check_goal
from simcore.studies.plan import Point, plan
from simcore.studies.ranges import End, Range, Ranges
from simcore.studies.search import Edge, State, region
from simcore.studies.seek import Quest, Tell, Try, seek
from simcore.studies.sought import Sought, own_value, sought

UNSOUND = (Failure.AUDIT_FAILED.name, Failure.BROKE_OFF.name)


def find_range(
    scenario: Scenario,
    find: str,
    axes: Mapping[str, Any] | None = None,
    folder: str | Path | None = None,
    workers: int = 1,
    progress: Tell | None = None,
) -> Ranges:
    """Search for the values of a number with which a scenario, and each of its variants, does its job.

    All of the range is tried in its steps, and the case's own value. Of the intervals in which the job is
    done the one counts that holds the own value, else the one nearest to it; each of its edges, below and
    above, is closed in on by halving until done and not done lie within a fiftieth of a step. So neither
    direction is taken for the harder one: grip has a least, a ledge a highest value. Further intervals that
    are done are told; what turns and turns back within a step is not seen. A value that files or the rig's
    geometry refuse, or with which the manoeuvre asks for another job, is an edge of its own kind. A run
    without an answer counts neither as done nor as not: both edges of such a gap are looked for.

    Done is what the scenario's own goal says (`[goal]`, else what its manoeuvre is for), as for `run`. Where
    that is a way to cover or a place to pass and no `goal.within` says how long it may take, a run whose time
    is over while it still gets on is done once more with four times the duration.

    Parameters
    ----------
    scenario : with its variants; its own axes do not count
    find : ``path`` or ``path=low:high:step``, see `sought`
    axes : path to values, along which it is sought; the variants are then left out
    folder, workers : as for `sweep`
    progress : called with (runs done, runs expected)

    Raises
    ------
    InputError
        when the number, its range or the axes are none, there is no job to do, or the folder cannot be used.
    """
    number, scenario = sought(scenario, find, axes or ()), along(scenario, axes or {})
    searches = math.prod(map(len, scenario.vary.values())) if scenario.vary else 1 + len(scenario.variants)
    runs = searches * len(number.scan)
    if runs > MOST_RUNS:
        got = f"{searches} searches of {len(number.scan)} values, {runs} runs"
        raise InputError([InputIssue(str(scenario.path), number.path, got, f"at most {MOST_RUNS} runs")])
    quests = _quests(scenario, number)
    seek(quests, number, folder, workers, progress)
    return Ranges(scenario, number, {quest.name: _found(quest, number) for quest in quests})


def along(scenario: Scenario, axes: Mapping[str, Any]) -> Scenario:
    """The scenario with these axes alone.

    Raises
    ------
    InputError
        when they are none.
    """
    if axes:
        return with_axes(case_alone(scenario, scenario.case), axes)
    return scenario.changed({"vary": {}}, keep_variants=True) if scenario.vary else scenario


def _quests(scenario: Scenario, number: Sought) -> list[Quest]:
    """One search for each combination of the axes, else for each case; refuses a scenario without a job."""
    check_goal(scenario)
    quests, issues = [], []
    for point in plan(scenario) if scenario.vary else _points(scenario):
        case = scenario if point.scenario is None else point.scenario
        settings: dict[str, Any] = {}
        for path, value in point.inputs.items():
            settings |= settings_of(path, value)
        aim, goal = aim_of(case), case.goal
        if aim.task is Task.NONE and not (aim.front_load or goal.at_least or goal.at_most):
            got = f"nothing to be done ({point.name})"
            issues.append(InputIssue(str(scenario.path), "goal", got, "a job to do, as reach = 1000"))
        base = scenario if point.inputs else case
        quests.append(Quest(point.name, base, settings, own_value(case, number.path), aim.task))
    if issues:
        raise InputError(issues)
    return quests


def _points(scenario: Scenario) -> list[Point]:
    """The cases of a scenario without axes."""
    return [Point(name, {}, case) for name, case in scenario.cases().items()]


def _found(quest: Quest, number: Sought) -> Range:
    """What the tries of a search tell."""
    states = quest.states()
    unknown = tuple((v, quest.tries[v].failure) for v in sorted(states) if states[v] is State.UNKNOWN)
    found = region(states, quest.own)
    low = high = _nowhere(quest, bool(unknown))
    if found is not None:
        low, high = (_end(quest.tries, one, number.within) for one in (found.low, found.high))
    return Range(
        quest.own,
        low,
        high,
        others=() if found is None else found.others,
        unknown=unknown,
        unsound=tuple((value, Failure[code].value) for value, code in unknown if code in UNSOUND),
        hidden=any(_inside(value, low, high) for value, _ in unknown),
        runs=len(states),
    )


def _inside(value: float, low: End, high: End) -> bool:
    """Whether a value lies where the range is, or could be."""
    return (low.beyond is None or value > low.beyond) and (high.beyond is None or value < high.beyond)


def _nowhere(quest: Quest, unknown: bool) -> End:
    """Edge of a range that there is not; with what the try nearest to the case's own value did."""
    if unknown:
        return End(None, None, Ending.NOT_KNOWN, "", "", Ending.NOT_KNOWN.value)
    own = quest.own or 0.0
    near = quest.tries[min(quest.tries, key=lambda value: abs(value - own))]
    return End(None, None, Ending.NEVER_DONE, near.failure, near.cause, near.why)


def _end(tries: Mapping[float, Try], found: Edge, within: float) -> End:
    """One edge, with what lies beyond."""
    apart = abs((found.beyond or 0.0) - (found.done or 0.0))
    if found.beyond is None or (found.gap and apart > 1.001 * within):
        ends = Ending.NOT_KNOWN if found.gap else Ending.RANGE_ENDS
        return End(found.done, found.beyond, ends, "", "", ends.value)
    stop = tries[found.beyond]
    ends = Ending.FAILS if stop.state is State.FAILS else Ending.OTHER_JOB
    ends = Ending.CANNOT_BE_BUILT if FAILED in stop.row and stop.state is State.REFUSED else ends
    return End(found.done, found.beyond, ends, stop.failure, stop.cause, stop.why)
