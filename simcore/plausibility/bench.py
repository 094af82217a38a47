"""The rig on the bench: loads, forces in its shocks, the path of its axles; without a run or a fall."""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property

from simcore.compiled import FRONT, REAR, LedgerRecord, StateRecord
from simcore.files.rig import Rig
from simcore.files.scenario import Scenario
from simcore.rig.course import flat_ground
from simcore.rig.masses import StaticPose, static_pose
from simcore.rig.model import Model
from simcore.rig.preload import Borne, bench_state, hold_ride_height
from simcore.rig.records import fill_rig
from simcore.standing.axes import ground_axes
from simcore.standing.kinematics import AxleKinematics, axle_kinematics
from simcore.units import GRAVITY


@dataclass(frozen=True)
class Bench:
    """A rig exactly as it was measured, on the level.

    Attributes
    ----------
    rig : its file
    model : records, the springs that hold the ride height with their preload
    borne : what the rear and the front shocks have to bear
    """

    rig: Rig
    model: Model
    borne: tuple[Borne, Borne]

    @property
    def pose(self) -> StaticPose:
        """Masses, loads and centres."""
        return self.model.bench

    @cached_property
    def state(self) -> StateRecord:
        """At rest."""
        return bench_state(self.pose)

    @cached_property
    def ledger(self) -> LedgerRecord:
        """Forces there."""
        return self.model.ledger(self.state)

    @cached_property
    def paths(self) -> Mapping[int, AxleKinematics | None]:
        """Path of each axle, None where its wheels can only move along the ground."""
        axes = ground_axes(self.ledger)
        return {i: axle_kinematics(self.model, self.state, axes, i) for i in (REAR, FRONT)}

    def sprung_load(self, i: int) -> float:
        """Load of the tyres of axle i that is not the axle's own weight, N."""
        return self.pose.loads[i] - self.pose.axles[i].mass * GRAVITY


def on_bench(scenario: Scenario) -> Bench:
    """Put a scenario's rig on the bench.

    Raises
    ------
    InputError
        when it cannot stand there: its centre of mass is not between the axles, a tyre is too soft, a
        spring that is to hold the ride height cannot.
    """
    rig, source = scenario.rig, str(scenario.path)
    pose = static_pose(rig, source)
    rigs = fill_rig(scenario, pose)
    borne = hold_ride_height(rigs, rig, pose, source)
    return Bench(rig, Model(rigs, flat_ground(), pose, None, rig), borne)
