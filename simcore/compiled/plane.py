"""Records of the plane that kernels share: x forward, z up, rotations nose-up positive."""

from typing import Annotated

from simcore.compiled.declaration import (
    Metre,
    MetrePerSecond,
    NamedRecord,
    Newton,
    NewtonMetre,
    One,
    Radian,
    RadianPerSecond,
    RadianPerSecond2,
    record_dtype,
)


class VectorRecord(NamedRecord):
    """A vector of any kind."""

    x: float
    z: float


class PlaceRecord(VectorRecord):
    """A place, in world axes or in those of a body."""

    x: Metre
    z: Metre


class DirectionRecord(VectorRecord):
    """A unit vector."""

    x: One
    z: One


class OverlapRecord(VectorRecord):
    """Length of an overlap with the ground times its normal, see `ground.touch`."""

    x: Metre
    z: Metre


class BodyVectorRecord(NamedRecord):
    """A vector at a body's centre of mass together with a rotation."""

    x: float
    z: float
    angle: float


class PoseRecord(BodyVectorRecord):
    """Where a body is: its centre of mass, and its turn."""

    x: Metre
    z: Metre
    angle: Radian


class RateRecord(BodyVectorRecord):
    """How fast a body moves and turns."""

    x: MetrePerSecond
    z: MetrePerSecond
    angle: RadianPerSecond


class AccelerationRecord(BodyVectorRecord):
    """Rate of a `RateRecord`."""

    x: Annotated[float, "m/s^2"]
    z: Annotated[float, "m/s^2"]
    angle: RadianPerSecond2


class ForceRecord(BodyVectorRecord):
    """Sum of forces on a body, and of their moments about its centre of mass."""

    x: Newton
    z: Newton
    angle: NewtonMetre


class WayRecord(BodyVectorRecord):
    """Motion of a body per size of that motion, see `links.free_motion`."""

    x: One
    z: One
    angle: Annotated[float, "rad/m"]


VECTOR = record_dtype(PlaceRecord)
POSE = record_dtype(PoseRecord)
