"""What holds a rig on a slope: the statics of the rig as one rigid piece on its two contacts."""

import dataclasses
import math
from collections.abc import Sequence
from itertools import product
from typing import Self

import numpy as np
import numpy.typing as npt

from simcore.compiled import FRONT, REAR, AxleRecord, LedgerRecord, StateRecord, TyreRecord
from simcore.laws.tyre import load_factor
from simcore.rig.linkage_range import moves_to_ends
from simcore.rig.model import Model

Vector = npt.NDArray[np.float64]
Pose = tuple[float, float, float]
SLACK = 0.02  # share of grip and brake that a slope must leave over to be called safe
LEAN = math.radians(2.5)  # further that a rig must be able to lean before it tips, likewise


@dataclasses.dataclass(frozen=True)
class LoadedGrip:
    """Grip of the tyres of one axle: `grip` at the `reference` load (N), falling with load by `exponent`."""

    grip: float
    reference: float
    exponent: float

    @classmethod
    def of(cls, tyre: TyreRecord, surface: float) -> Self:
        """Standing grip of tyres on a surface that gives this share of it."""
        return cls(surface * float(tyre.peak), float(tyre.reference_load), float(tyre.load_exponent))

    def under(self, load: float) -> float:
        """Grip under a load, N."""
        return self.grip * load_factor(load, self.reference, self.exponent)


@dataclasses.dataclass(frozen=True)
class Holding:
    """A rig that rests on both contacts, its shocks and links as they are.

    Attributes
    ----------
    weight : of the whole rig, N
    span : distance of the contacts, m
    along, height : of its centre of mass from the rear contact, along the line through both and across it, m
    grips : of the rear and front tyres on their ground, thrust per load
    levers : torque at the rotor per thrust of the rear and front tyres, m; 0: not driven, so not braked
    idle, brake_torque : torque that brushes and the full drag brake hold at the rotor, N*m
    applied : how far the brake is applied
    """

    weight: float
    span: float
    along: float
    height: float
    grips: tuple[LoadedGrip, LoadedGrip]
    levers: tuple[float, float]
    idle: float
    brake_torque: float
    applied: float

    @classmethod
    def of_poses(cls, model: Model, start: LedgerRecord, poses: Sequence[Pose]) -> Self:
        """The rig with its bodies at poses, its tyres as deep as on the level; grip and brake of its start.

        The ground is the line below that touches both wheels: ``(c_f - c_r) . n = R_f - R_r``.
        """
        rig, bench, bodies = model.rig, model.bench, (model.bench.chassis, *model.bench.axles)
        masses = np.array([body.mass for body in bodies])
        middle = masses @ np.array([pose[:2] for pose in poses]) / masses.sum()
        rear, front = (_centre(axle, pose) for axle, pose in zip(rig.axle, poses[1:], strict=True))
        between, radii = front - rear, [height for _, height in bench.centres]
        apart = math.hypot(*between)
        slope = math.atan2(between[1], between[0]) - math.asin((radii[FRONT] - radii[REAR]) / apart)
        along, across = _axes(slope)
        out = middle - (rear - radii[REAR] * across)
        return cls._of(model, start, float(between @ along), float(out @ along), float(out @ across))

    @classmethod
    def of_state(cls, model: Model, state: StateRecord, led: LedgerRecord, start: LedgerRecord) -> Self:
        """The rig as it stands, sunk into shocks and tyres; grip and brake from the ledger of its start."""
        masses = np.array([body.mass for body in (model.bench.chassis, *model.bench.axles)])
        middle = masses @ np.array([[pose.x, pose.z] for pose in state.pose]) / masses.sum()
        foot, (slope, span) = led.axle[REAR].tyre.contact.foot, line_of(led)
        along, across = _axes(slope)
        out = middle - np.array([foot.x, foot.z])
        return cls._of(model, start, span, float(out @ along), float(out @ across))

    @classmethod
    def _of(cls, model: Model, start: LedgerRecord, span: float, along: float, height: float) -> Self:
        rig, axles = model.rig, list(zip(start.axle, model.rig.axle, strict=True))
        rear, front = (LoadedGrip.of(axle.tyre, float(part.tyre.contact.grip)) for part, axle in axles)
        return cls(
            weight=model.bench.whole.mass * float(rig.gravity),
            span=span,
            along=along,
            height=height,
            grips=(rear, front),
            levers=(_lever(rig.axle[REAR]), _lever(rig.axle[FRONT])),
            idle=float(rig.motor.idle_torque),
            brake_torque=float(rig.motor.brake_torque),
            applied=float(start.motor.brake_share),
        )

    @property
    def brake(self) -> float:
        """Torque that drag brake and brushes hold at the rotor, N*m."""
        return self.idle + self.applied * self.brake_torque

    @property
    def braked(self) -> list[int]:
        """Axles that the brake holds."""
        return [i for i in (REAR, FRONT) if self.levers[i] > 0.0]

    def loads(self, slope: float) -> tuple[float, float]:
        """Of the rear and front tyres across the slope, N; negative: they would have to pull.

        Moments about the rear contact: ``N_f L = W (a cos th - h sin th)``, ``N_r + N_f = W cos th``.
        """
        front = self.weight * (self.along * math.cos(slope) - self.height * math.sin(slope)) / self.span
        return self.weight * math.cos(slope) - front, front

    def thrust(self, slope: float) -> float:
        """What the braked tyres must hold along the slope, N."""
        return self.weight * abs(math.sin(slope))

    def grip_needed(self, slope: float) -> tuple[float, float]:
        """Thrust per load that the braked tyres need together, and that they have; infinite without load."""
        loads = [max(load, 0.0) for load in self.loads(slope)]
        load = sum(loads[i] for i in self.braked)
        if load <= 0.0:
            return math.inf, 0.0
        return self.thrust(slope) / load, sum(
            loads[i] * self.grips[i].under(loads[i]) for i in self.braked
        ) / load

    def torque_needed(self, slope: float) -> tuple[float, float]:
        """Least and most torque that the brake must hold, by how the axles share the thrust, N*m."""
        levers = [self.levers[i] for i in self.braked] or [0.0]
        return self.thrust(slope) * min(levers), self.thrust(slope) * max(levers)

    def beyond(self, slope: float, over: int) -> float:
        """How far the centre of mass lies outside of the rear or front contact, along the level, m."""
        inside = self.along if over == REAR else self.span - self.along
        uphill = slope if over == REAR else -slope
        return self.height * math.sin(uphill) - inside * math.cos(uphill)

    def tips(self, slope: float) -> bool:
        """Whether the rig tips over, or all but does."""
        lean = math.copysign(LEAN, slope)
        return min(self.loads(slope + lean)) <= 0.0

    def slides(self, slope: float) -> bool:
        """Whether the braked tyres slide, or all but do."""
        need, have = self.grip_needed(slope)
        return need > (1.0 - SLACK) * have

    def brake_slips(self, slope: float) -> bool:
        """Whether the brake slips, or all but does."""
        return self.torque_needed(slope)[1] > (1.0 - SLACK) * self.brake

    def stands(self, slope: float) -> bool:
        """Whether all holds, with some to spare."""
        return not (self.tips(slope) or self.slides(slope) or self.brake_slips(slope))


def at_ends(model: Model, start: LedgerRecord) -> list[Holding]:
    """The rig with the shocks of each axle fully extended or fully compressed; however it stands on them, it
    stands between these.
    """
    bench = model.bench
    chassis = (bench.chassis.x, bench.chassis.z, 0.0)
    rear, front = (
        [(body.x + x, body.z + z, turn) for x, z, turn in moves_to_ends(model.rigs, bench, side)]
        for side, body in enumerate(bench.axles)
    )
    return [Holding.of_poses(model, start, (chassis, *axles)) for axles in product(rear, front)]


def line_of(led: LedgerRecord) -> tuple[float, float]:
    """Slope of the line through both contacts, rad, and their distance, m."""
    rear, front = (part.tyre.contact.foot for part in led.axle)
    d_x, d_z = front.x - rear.x, front.z - rear.z
    return math.atan2(d_z, d_x), math.hypot(d_x, d_z)


def _lever(axle: AxleRecord) -> float:
    return float(axle.branch.driven * axle.tyre.radius / axle.branch.ratio)


def _centre(axle: AxleRecord, pose: Pose) -> Vector:
    """Wheel centre of an axle at a pose, m."""
    along, across = _axes(pose[2])
    return np.array(pose[:2]) + axle.centre.x * along + axle.centre.z * across


def _axes(angle: float) -> tuple[Vector, Vector]:
    """Directions along and across a line at an angle."""
    c, s = math.cos(angle), math.sin(angle)
    return np.array([c, s]), np.array([-s, c])
