"""Free body of an axle with its wheels: every force on it, from what a saved run holds."""

import enum
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
import numpy.typing as npt
import pandas as pd

from simcore.files.scenario import Scenario
from simcore.results.finished import last_part, swing, windowed_mean
from simcore.results.moments import moments
from simcore.results.motion import places
from simcore.results.stages import decisive, stages
from simcore.rig.masses import SIDES, static_pose
from simcore.solve.trace import Outcome
from simcore.units import GRAVITY, column_factor

Points = npt.NDArray[np.float64]
LASTING = (Outcome.TIME, Outcome.DISTANCE, Outcome.STOOD_STILL, Outcome.HIGH_CENTRED)
"""Endings up to which a motion may have become steady."""
STEADY = 0.1  # of an axle's tyre load, by which forces may swing in a motion that is called steady
LINKS = ("lower", "upper")


class Part(enum.Enum):
    """What acts on an axle, in words."""

    LOWER = "lower link"
    UPPER = "upper link"
    ARM = "pin of the arm"
    SHOCK = "shocks"
    SHAFT = "shaft friction"
    LOAD = "tyre load"
    THRUST = "thrust"
    WEIGHT = "axle weight"


@dataclass(frozen=True)
class When:
    """The part of a run that forces are taken from.

    Attributes
    ----------
    rows : (n,) of the series, which of them
    settled : whether the motion is steady there, and the forces are means
    words : when that is
    """

    rows: npt.NDArray[np.bool_]
    settled: bool
    words: str


@dataclass(frozen=True)
class Force:
    """A force on an axle with its wheels.

    Attributes
    ----------
    part : what exerts it
    at : where, mm from the wheel centre, forward and up
    vector : N, likewise
    toward : unit vector from there along the part to the chassis; nought where no part joins them
    """

    part: Part
    at: Points
    vector: Points
    toward: Points

    @property
    def push(self) -> float:
        """Force along the part, N: pushing on the axle positive, pulling at it negative."""
        return -float(self.vector @ self.toward)

    @property
    def size(self) -> float:
        """Of the force, N."""
        return float(np.hypot(*self.vector))


@dataclass(frozen=True)
class FreeBody:
    """An axle with its wheels, cut free; places in mm from the wheel centre, forward and up.

    Attributes
    ----------
    axle : "rear" or "front"
    when : which part of the run
    forces : all that act on it
    radius : of the tyres, unloaded
    members : chassis end and axle end of links (an arm: its pin and the wheel centre), shocks and shaft
    ground : corners of the surface below
    """

    axle: str
    when: When
    forces: Sequence[Force]
    radius: float
    members: Sequence[tuple[Part, Points]]
    ground: Points

    def of(self, part: Part) -> Force | None:
        """The force of a part, if it has one."""
        return next((force for force in self.forces if force.part is part), None)

    @property
    def left(self) -> Points:
        """Sum of all forces, N: mass times acceleration."""
        return np.asarray(np.sum([force.vector for force in self.forces], axis=0))


def when_of(
    series: pd.DataFrame,
    motion: pd.DataFrame,
    outline: Mapping[str, Any],
    scenario: Scenario,
    outcome: Outcome,
) -> When:
    """The end of a run over which its motion is steady, else its decisive instant.

    Steady is a motion in which the pitch no longer swings visibly, nor the force of any link, shock or tyre
    by more than a tenth of the load on its axle's tyres.
    """
    times, pitch = (series[name].to_numpy(float) for name in ("time_s", "pitch_to_ground_deg"))
    visible = scenario.visible.pitch * column_factor("pitch_deg")
    if outcome in LASTING and swing(times, pitch) <= visible and _forces_steady(series, times):
        rows = last_part(times, pitch)
        return When(rows, True, f"mean of the last {np.ptp(times[rows]):.2g} s")
    told = stages(series, outcome, moments(series, motion, outline, scenario), scenario.visible)
    stage = decisive(told)
    return When(np.arange(len(times)) == stage.row, False, f"{stage.words}, {stage.time_s:.2f} s")


def _forces_steady(series: pd.DataFrame, times: Points) -> bool:
    for axle in SIDES:
        load = series[f"{axle}_load_N"].to_numpy(float)
        most = STEADY * float(load[last_part(times, load)].mean())
        for name in ("lower_link", "upper_link", "shock_force", "load"):
            if swing(times, series[f"{axle}_{name}_N"].to_numpy(float)) > most:
                return False
    return True


def is_known(outline: Mapping[str, Any]) -> bool:
    """Whether an outline has all that forces act at; older ones lack the joints of the shafts."""
    return all("shaft_joints" in outline[f"{axle}_axle"] for axle in SIDES)


def free_bodies(
    series: pd.DataFrame, motion: pd.DataFrame, outline: Mapping[str, Any], scenario: Scenario, when: When
) -> dict[str, FreeBody]:
    """Both axles, cut free.

    Parameters
    ----------
    series, motion, outline, scenario : of the run, fresh or saved
    when : see `when_of`

    Raises
    ------
    ValueError
        When the run was saved without all places that forces act at.

    Notes
    -----
    Links are taken as massless between their pins, as everywhere. Where shocks stand on a link, its pin hands
    their share on to the axle, so that the force there is not along the link.
    """
    if not is_known(outline):
        raise ValueError("saved without the joints of its drive shafts: run it anew to see its forces")
    weights = (GRAVITY * body.mass for body in static_pose(scenario.rig, scenario.rig.name).axles)
    return {
        axle: _free(_Axle(series, motion, outline, axle, when), weight)
        for axle, weight in zip(SIDES, weights, strict=True)
    }


@dataclass(frozen=True)
class _Axle:
    """Places and columns of one axle of a run."""

    series: pd.DataFrame
    motion: pd.DataFrame
    outline: Mapping[str, Any]
    axle: str
    when: When

    @property
    def own(self) -> Mapping[str, Any]:
        """Shape of the axle."""
        return self.outline[f"{self.axle}_axle"]

    def on(self, body: str, at: Sequence[float]) -> Points:
        """Way of a point, (n, 2), mm from the wheel centre."""
        hub = places(self.series, self.motion, f"{self.axle}_axle", self.own["wheel_centre"])
        return np.stack(places(self.series, self.motion, body, at), axis=1) - np.stack(hub, axis=1)

    def on_axle(self, at: Sequence[float]) -> Points:
        """Likewise, of a point of this axle."""
        return self.on(f"{self.axle}_axle", at)

    def column(self, name: str) -> Points:
        """A column of the series, (n, 1)."""
        return self.series[[f"{self.axle}_{name}"]].to_numpy(float)

    def way(self, name: str) -> Points:
        """A direction of the motion table as unit vectors, (n, 2)."""
        angle = np.radians(self.motion[f"{self.axle}_{name}_direction_deg"].to_numpy(float))
        return np.stack([np.cos(angle), np.sin(angle)], axis=1)

    def mean(self, values: Points) -> Points:
        """Mean of vectors over the part of the run, (2,)."""
        times = self.series["time_s"].to_numpy(float)
        return np.array([windowed_mean(times, values[:, k], self.when.rows) for k in (0, 1)])

    def force(self, part: Part, at: Points, vector: Points, chassis: Points | None = None) -> Force:
        """Mean force at a mean place."""
        place, toward = self.mean(at), np.zeros(2)
        if chassis is not None:
            toward = self.mean(chassis) - place
            toward = toward / np.hypot(*toward)
        return Force(part, place, self.mean(vector), toward)


def _free(axle: _Axle, weight: float) -> FreeBody:
    own, still = axle.own, np.ones((len(axle.series), 1))
    foot = np.stack([axle.motion[f"{axle.axle}_foot_{k}_mm"] for k in "xz"], axis=1)
    hub = np.stack(places(axle.series, axle.motion, f"{axle.axle}_axle", own["wheel_centre"]), axis=1)
    forces = [
        *_located(axle),
        axle.force(Part.LOAD, foot - hub, axle.column("load_N") * axle.way("load")),
        axle.force(Part.THRUST, foot - hub, axle.column("thrust_N") * axle.way("thrust")),
        axle.force(Part.WEIGHT, axle.on_axle([0.0, 0.0]), still * [0.0, -weight]),
    ]
    along = axle.mean(axle.way("thrust"))
    ground = axle.mean(foot - hub) + np.outer([-1e4, 1e4], along)
    if not axle.when.settled:
        ground = np.array(axle.outline["ground"]) - axle.mean(hub)
    members = [(part, np.array([axle.mean(end) for end in ends])) for part, ends in _members(axle)]
    return FreeBody(axle.axle, axle.when, forces, float(own["tyre_radius"]), members, ground)


def _members(axle: _Axle) -> Iterator[tuple[Part, tuple[Points, Points]]]:
    """Chassis end and axle end of what joins an axle to the chassis, over time."""
    own, chassis = axle.own, axle.outline["chassis"]
    pins = zip(chassis["link_pins"][axle.axle], own["link_pins"], strict=True)
    ends = [(axle.on("chassis", up), axle.on_axle(down)) for up, down in pins]
    if own["arm"]:
        yield Part.ARM, (ends[0][0], axle.on_axle(own["wheel_centre"]))
    else:
        yield from zip((Part.LOWER, Part.UPPER), ends, strict=True)
    share, (pin, end) = own["shock_fraction"], own["shock_link_pins"]
    foot = (1.0 - share) * axle.on("chassis", pin) + share * axle.on_axle(end)
    yield Part.SHOCK, (axle.on("chassis", chassis["shock_mounts"][axle.axle]), foot)
    joints = own["shaft_joints"]
    if joints:
        yield Part.SHAFT, (axle.on("chassis", joints[0]), axle.on_axle(joints[1]))


def _located(axle: _Axle) -> Iterator[Force]:
    """Forces of links, shocks and shaft."""
    ends = dict(_members(axle))
    lower, upper = (axle.column(f"{link}_link_N") for link in LINKS)
    share = axle.own["shock_fraction"]
    on_link = axle.on_axle(axle.own["shock_link_pins"][1])
    shock = -share * axle.column("shock_force_N") * axle.way("shock")
    if Part.ARM in ends:
        yield axle.force(Part.ARM, ends[Part.ARM][0], -np.concatenate([lower, upper], axis=1))
    for part, push in ((Part.LOWER, lower), (Part.UPPER, upper)):
        if part in ends:
            chassis, pin = ends[part]
            vector = -push * _unit(chassis - pin)
            if share < 1.0 and np.allclose(pin, on_link, atol=1e-6):
                vector = vector + shock
            yield axle.force(part, pin, vector, chassis)
    if share == 1.0:
        yield axle.force(Part.SHOCK, ends[Part.SHOCK][1], shock, ends[Part.SHOCK][0])
    if Part.SHAFT in ends:
        chassis, joint = ends[Part.SHAFT]
        pull = axle.column("shaft_friction_N") * _unit(chassis - joint)
        yield axle.force(Part.SHAFT, joint, pull, chassis)


def _unit(ways: Points) -> Points:
    return np.asarray(ways / np.linalg.norm(ways, axis=1, keepdims=True))
