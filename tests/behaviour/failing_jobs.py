"""Runs that fail at their job: what each is, what its headline must say, and the one change that cures it."""

import dataclasses
from pathlib import Path
from typing import Any

from simcore.files import Scenario, scenario_of

SCENARIOS = Path(__file__).parents[2] / "scenarios"
Table = dict[str, Any]


@dataclasses.dataclass(frozen=True, eq=False)
class Failing:
    """A run that fails.

    Attributes
    ----------
    name : what it does, as a test's name
    why : the calculation that its codes come from
    cure : the one change that switches its cause off; with it the rig does its job
    says : words of the headline
    failure, cause, place, ahead, spinning : codes of the summary; empty for none
    rig, ground, driver, end, goal, start, settings : the scenario
    """

    name: str
    why: str
    cure: Table
    says: tuple[str, ...]
    failure: str
    cause: str = ""
    place: str = ""
    ahead: str = ""
    spinning: str = ""
    rig: str = "gully"
    ground: Table = dataclasses.field(default_factory=dict)
    driver: Table = dataclasses.field(default_factory=dict)
    end: Table = dataclasses.field(default_factory=lambda: {"duration": 2})
    goal: Table = dataclasses.field(default_factory=dict)
    start: Table = dataclasses.field(default_factory=dict)
    settings: Table = dataclasses.field(default_factory=dict)

    @property
    def scenario(self) -> Scenario:
        return scenario(
            self.rig,
            self.ground,
            self.driver,
            self.settings,
            end=self.end,
            goal=self.goal,
            start=self.start,
        )

    @property
    def cured(self) -> Scenario:
        return self.scenario.changed(self.cure)


def scenario(
    rig: str, ground: Table, driver: Table, settings: Table | None = None, **tables: Table
) -> Scenario:
    """One of the shipped rigs on a course, as the hand calculations want it: of one grip whatever the load,
    its shafts sliding freely.
    """
    raw: Table = {"title": "Does it do its job?", "rig": str(SCENARIOS / "rigs" / f"{rig}.toml")}
    raw |= {"ground": ground, "driver": driver} | {key: table for key, table in tables.items() if table}
    found = scenario_of(raw, "failing.toml")
    return found.changed(plain(found) | (settings or {}))


def plain(given: Scenario) -> Table:
    """Settings that take out what makes grip fall with load, and friction out of the drive shafts."""
    ends = {"rear": given.rig.rear, "front": given.rig.front}
    even = {f"{end}.tyre.grip_load_exponent": 0 for end in ends}
    return even | {f"{end}.shaft.friction": 0 for end, axle in ends.items() if axle.shaft}


# --- grounds ---


def slope(degrees: float, grip: float = 100) -> Table:
    return {"slope": degrees, "grip": grip}


def ledge(height: float, run_in: float = 560) -> Table:
    return {"pieces": [{"length": run_in}, {"ledge": height}, {"length": 3000}]}


def crest(degrees: float) -> Table:
    return {"pieces": [{"length": 450, "slope": degrees}, {"length": 2000, "slope": -degrees}]}


def patch(degrees: float, grip: float, run_in: float = 600, length: float = 400) -> Table:
    pieces = [{"length": run_in}, {"length": length, "grip": grip}, {"length": 3000}]
    return {"pieces": [piece | {"slope": degrees} for piece in pieces]}


# --- drivers ---


def torque(value: float, ramp: float = 0.1) -> Table:
    return {"control": "torque", "torque": [[0, 0], [ramp, value]]}


def throttle(percent: float, ramp: float = 0.1) -> Table:
    return {"control": "throttle", "throttle": [[0, 0], [ramp, percent]]}


def speed(value: float, ramp: float = 0.3) -> Table:
    return {"control": "speed", "speed": [[0, 0], [ramp, value]]}


def pulse(value: float, until: float, ramp: float = 0.05) -> Table:
    """Torque until a time from the release (0.2 s), then nothing."""
    return {"control": "torque", "torque": [[0, 0], [ramp, value], [until, value], [until + 0.02, 0]]}


def braked(at: float, share: float = 100, within: float = 0.02) -> Table:
    """Rows of the drag brake: off at the release, on again at a time of the run."""
    return {"brake": [[0, 100], [0.2, 100], [0.21, 0], [at, 0], [at + within, share]]}


def dash(value: float, until: float, at: float, share: float = 100) -> Table:
    """A held speed until a time from the release, then the brake at a time of the run."""
    rows = [[0, 0], [0.3, value], [until, value], [until + 0.01, 0]]
    return {"control": "speed", "speed": rows} | braked(at, share)


OFF = {"driver.brake": [[0, 100], [0.2, 100], [0.21, 0]]}
"""The drag brake let go at the release, as cure."""


def both(key: str, value: Any) -> Table:
    return {f"{end}.{key}": value for end in ("rear", "front")}


FREE = {"motor.no_load_current": 0.1}
"""A motor whose own drag, 0.7 N mm, holds nothing."""
