"""Points of a rigid body in the plane: where they are, how they move, what a force there does.

World frame x forward, z up, rotation positive nose-up (counter-clockwise seen with x to the right and z up).
"""

import math
from typing import NamedTuple

from simcore.compiled import ForceRecord, PlaceRecord, PoseRecord, RateRecord, WayRecord, kernel


class Frame(NamedTuple):
    """The axes of a body: where its centre of mass is, m, and cosine and sine of its turn.

    They are worked out once an instant, because every mount and pin of the body asks for them.
    """

    x: float
    z: float
    cos: float
    sin: float


@kernel
def frame_of(pose: PoseRecord) -> Frame:
    """Axes of a body in a pose."""
    return Frame(pose.x, pose.z, math.cos(pose.angle), math.sin(pose.angle))


@kernel
def lever(frame: Frame, place: PlaceRecord) -> tuple[float, float]:
    """Vector from the centre of mass to a body-fixed place, in world axes, m."""
    return frame.cos * place.x - frame.sin * place.z, frame.sin * place.x + frame.cos * place.z


@kernel
def velocity_at(rate: RateRecord | WayRecord, arm_x: float, arm_z: float) -> tuple[float, float]:
    """Velocity of the body point at a lever (world axes), m/s."""
    return rate.x - rate.angle * arm_z, rate.z + rate.angle * arm_x


def point_of(pose: PoseRecord, place: PlaceRecord) -> tuple[float, float]:
    """Where a point fixed to a body is, world axes, m."""
    x, z = lever(frame_of(pose), place)
    return float(pose.x + x), float(pose.z + z)


@kernel
def push_at(force: ForceRecord, arm_x: float, arm_z: float, force_x: float, force_z: float) -> None:
    """Add a force that acts at a lever to the sum of forces and moment of a body."""
    force.x += force_x
    force.z += force_z
    force.angle += arm_x * force_z - arm_z * force_x


@kernel
def power_on(force: ForceRecord, rate: RateRecord) -> float:
    """Power that the summed forces and moment give to a body, W."""
    return force.x * rate.x + force.z * rate.z + force.angle * rate.angle
