"""What a scenario's rig is to do: as its goal says, else as its manoeuvre asks for."""

import dataclasses
import enum
import math
from itertools import pairwise

from simcore.files.scenario import Driver, Scenario

BRAKING = 0.5  # share of the drag brake from which the driver counts as braking
LEAST_WAY = 0.005  # m; a rig that comes less far under some torque has not come on
HALF = 0.5  # of the way that a held speed leads to


class Task(enum.Enum):
    """What a rig is to do; the name stands in files."""

    REACH = "cover a way"
    PASS = "pass a place of the course"
    STOP = "come to a stand"
    GO_ON = "come on"
    BACK_UP = "go back"
    STAY = "stay where it is"
    NONE = "nothing is asked"


@dataclasses.dataclass(frozen=True)
class Aim:
    """What a rig is to do.

    Attributes
    ----------
    task : what
    way : along the ground, m: to cover, or on which to stop; the least that counts as coming on (backwards
        where that is the task); infinite where any will do
    place : x that the rear axle's centre must pass, m; NaN where there is none
    since, until : s from the start of the run: from when the task counts, and by when it must be done
    front_load : load that the front tyres must keep from release on, N; 0 where none is asked for
    stated : whether the file states the task
    """

    task: Task
    way: float
    place: float
    since: float
    until: float
    front_load: float
    stated: bool


def aim_of(scenario: Scenario) -> Aim:
    """What a scenario's rig is to do."""
    goal, end, driver = scenario.goal, scenario.end, scenario.driver
    start, over = driver.release, end.duration
    by = over if goal.within is None else min(goal.within + start, over)
    asked, brakes = asked_until(driver, over), brakes_at(driver, over)
    forward, backward = (any(way * value > 0.0 for _, value in request_of(driver)) for way in (1.0, -1.0))
    task, way, place, until, since = Task.GO_ON, least_way(driver, over), math.nan, by, start
    if goal.reach is not None or goal.past is not None:
        task = Task.REACH if goal.past is None else Task.PASS
        way = math.inf if goal.reach is None else goal.reach
        place = math.nan if goal.past is None else goal.past
    elif goal.stop_within is not None or brakes is not None:
        task, way = Task.STOP, math.inf if goal.stop_within is None else goal.stop_within
        since = asked if brakes is None else brakes
    elif not forward and backward:
        task, until = Task.BACK_UP, min(by, asked)
    elif not forward:
        task = Task.STAY if _brake(driver, over) >= BRAKING else Task.NONE
    elif backward:
        task = Task.NONE
    elif end.distance is not None:
        task, way = Task.REACH, end.distance
    elif (edge := last_edge(scenario)) is not None:
        task, way, place = Task.PASS, math.inf, edge
    else:
        until = min(by, asked)
    moves = (goal.reach, goal.past, goal.stop_within)
    stated = any(move is not None for move in moves)
    return Aim(task, way, place, since, until, goal.front_load or 0.0, stated)


def request_of(driver: Driver) -> tuple[tuple[float, float], ...]:
    """Rows of the table that drives: s from release, and what is asked for."""
    rows: tuple[tuple[float, float], ...] = getattr(driver, driver.control)
    return rows


def asked_until(driver: Driver, over: float) -> float:
    """When the driver stops asking for anything, s from the start; the end of the run if never."""
    rows = request_of(driver)
    asking = [k for k, (_, value) in enumerate(rows) if value != 0.0]
    last = max(asking, default=-1)
    return over if last + 1 >= len(rows) else min(over, rows[last + 1][0] + driver.release)


def brakes_at(driver: Driver, over: float) -> float | None:
    """When the driver, having let go, brakes until the end of the run, s; None if he does not."""
    if not driver.brake or _brake(driver, over) < BRAKING:
        return None
    for (before, low), (after, high) in reversed(list(pairwise(driver.brake))):
        if low < BRAKING <= high:
            at = before + (after - before) * (BRAKING - low) / (high - low)
            return at if driver.release <= at < over else None
    return None


def _brake(driver: Driver, time: float) -> float:
    """Share of the drag brake at a time."""
    if not driver.brake:
        return 1.0 if time < driver.release else 0.0
    return straight(driver.brake, time)


def straight(rows: tuple[tuple[float, float], ...], time: float) -> float:
    """Straight-line value of a table, held before its first and after its last row."""
    if time <= rows[0][0]:
        return rows[0][1]
    for (before, low), (after, high) in pairwise(rows):
        if time < after:
            return low + (high - low) * (time - before) / (after - before)
    return rows[-1][1]


def least_way(driver: Driver, over: float) -> float:
    """Way that counts as coming on, m: half of what the held speed leads to until the end, else any."""
    if driver.control != "speed":
        return LEAST_WAY
    times = [0.0, *(time for time, _ in driver.speed if 0.0 < time < over - driver.release)]
    times.append(max(over - driver.release, 0.0))
    asked = [abs(straight(driver.speed, time)) for time in times]
    way = sum(0.5 * (v + w) * (b - a) for (a, v), (b, w) in pairwise(zip(times, asked, strict=True)))
    return HALF * way


def last_edge(scenario: Scenario) -> float | None:
    """Place x of the last edge of the course, m, if the rear axle starts before it."""
    x = 0.0
    for piece in scenario.ground.pieces[:-1]:
        x += 0.0 if piece.length is None else piece.length * math.cos(piece.slope)
    ahead = len(scenario.ground.pieces) > 1 and scenario.start.rear_axle < x
    return x if ahead else None


def leads_over_all(scenario: Scenario) -> bool:
    """Whether the way to cover leads the rear axle onto the last piece of a course."""
    edge, way = last_edge(scenario), aim_of(scenario).way
    lengths = [abs(piece.length or piece.ledge or 0.0) for piece in scenario.ground.pieces[:-1]]
    return edge is not None and sum(lengths) - scenario.start.rear_axle <= way < math.inf
