"""Records of what a rig, its ground and its driver are; kernels read them and change nothing in them.

New ones start as NaN so that a value nobody filled cannot pass as zero. Shocks and tyres are the pair of an
axle.
"""

from typing import Annotated

from simcore.compiled.declaration import (
    Kilogram,
    KilogramMetre2,
    Metre,
    MetrePerSecond,
    NamedRecord,
    Newton,
    NewtonMetre,
    NewtonPerMetre,
    NewtonSecondPerMetre,
    Numbers,
    One,
    Radian,
    Records,
    Second,
    record_dtype,
)
from simcore.compiled.plane import DirectionRecord, PlaceRecord

MAX_SPRINGS, MAX_SKIDS, MAX_DAMPER_ROWS, MAX_TABLE_ROWS = 4, 4, 17, 68
REAR, FRONT = 0, 1
CONTROL_TORQUE, CONTROL_THROTTLE, CONTROL_SPEED = 0.0, 1.0, 2.0


class TableRecord(NamedRecord):
    """A driver's table over run time."""

    time: Annotated[Numbers, "s", MAX_TABLE_ROWS]
    value: Numbers
    rows: One


class RequestRecord(TableRecord):
    """What the driver asks for, by CONTROL_*: torque of the motor, throttle, speed of the rotor."""

    value: Annotated[Numbers, ("N*m", "1", "rad/s"), MAX_TABLE_ROWS]


class BrakeRecord(TableRecord):
    """How far the driver applies the drag brake."""

    value: Annotated[Numbers, "1", MAX_TABLE_ROWS]


class BodyRecord(NamedRecord):
    """A rigid body."""

    mass: Kilogram
    inertia: KilogramMetre2


class LinkRecord(NamedRecord):
    """A link between its two pins, each in the axes of its body."""

    chassis: PlaceRecord
    axle: PlaceRecord
    length: Metre


class SpringRecord(NamedRecord):
    """A spring on a shock."""

    push: One  # +1 pushes out, -1 pulls in
    rate: NewtonPerMetre
    loose_at: Metre


class StopRecord(NamedRecord):
    """A rubber stop at one end of a shock."""

    length: Metre
    rate: NewtonPerMetre
    damping: Annotated[float, "s/m"]


class FrictionRecord(NamedRecord):
    """Friction of a pair that sticks and slides."""

    sliding: float
    breakaway: float
    presliding: Metre
    stribeck_speed: MetrePerSecond
    settling_time: Second


class SealRecord(FrictionRecord):
    """Friction of the shocks' seals."""

    sliding: Newton
    breakaway: Newton


class GripRecord(FrictionRecord):
    """Friction per load."""

    sliding: One
    breakaway: One


class ShockRecord(NamedRecord):
    """Both shocks of an axle."""

    chassis: PlaceRecord  # upper mount, on the chassis
    link_pin: PlaceRecord  # chassis pin of the link that carries the lower mount
    axle: PlaceRecord  # housing pin of that link, or the mount itself when it sits on the housing
    fraction: One  # way from link_pin to axle; 1 = on the housing
    extended_length: Metre
    stroke: Metre
    spring: Annotated[Records[SpringRecord], MAX_SPRINGS]
    compression: NewtonSecondPerMetre
    rebound: NewtonSecondPerMetre
    damper_speed: Annotated[Numbers, "m/s", MAX_DAMPER_ROWS]
    damper_force: Annotated[Numbers, "N", MAX_DAMPER_ROWS]
    damper_rows: One
    friction: SealRecord
    bump_stop: StopRecord
    droop_stop: StopRecord


class TyreRecord(NamedRecord):
    """Both tyres of an axle."""

    radius: Metre
    stiffness: NewtonPerMetre
    damping: NewtonSecondPerMetre
    peak: One  # level of the standing tyre: the stated peak grip
    sliding: One  # level at great sliding speed (see `tyre.sliding_level`)
    load_exponent: One  # by which grip falls with load
    reference_load: Newton  # of both tyres, at which the grips are stated
    slip_stiffness: One  # thrust per load and slip
    relaxation_length: Metre
    stribeck_speed: MetrePerSecond
    settling_time: Second
    rolling_resistance: One


class BranchRecord(NamedRecord):
    """The elastic way from the motor to an axle, as the motor feels it."""

    driven: One
    ratio: One
    stiffness: Annotated[float, "N*m/rad"]
    damping: Annotated[float, "N*m*s/rad"]


class SlideRecord(NamedRecord):
    """The telescoping drive shaft of an axle."""

    present: One
    chassis: PlaceRecord  # joint at the gearbox
    axle: PlaceRecord  # joint at the pinion
    ratio: One  # turns of the shaft per turn of the wheels
    friction: One
    radius: Metre  # mean radius of the splines
    presliding: Metre
    settling_time: Second
    fade_speed: MetrePerSecond


class AxleRecord(NamedRecord):
    """An axle with its wheels, and all that holds and drives it."""

    body: BodyRecord
    centre: PlaceRecord  # of the wheels, in the axes of the axle body
    spin_inertia: KilogramMetre2
    arm: One  # 1: one arm fixed to the housing; 0: two links
    link: Annotated[Records[LinkRecord], 2]
    shock: ShockRecord
    tyre: TyreRecord
    branch: BranchRecord
    slide: SlideRecord


class SkidRecord(NamedRecord):
    """A small disc on the chassis that may drag over the ground."""

    present: One
    place: PlaceRecord
    radius: Metre
    stiffness: NewtonPerMetre
    damping: NewtonSecondPerMetre
    friction: GripRecord


class MotorRecord(NamedRecord):
    """Motor, its controller, the drag on its rotor, and the loss of the gears behind it."""

    constant: Annotated[float, "V*s/rad"]
    voltage: Annotated[float, "V"]
    resistance: Annotated[float, "ohm"]
    current_limit: Annotated[float, "A"]
    inertia: KilogramMetre2
    idle_torque: NewtonMetre
    brake_torque: NewtonMetre
    presliding: Radian
    settling_time: Second
    efficiency: One


class DriverRecord(NamedRecord):
    """What the driver does, and how the held-speed control answers an error of the rotor's speed."""

    control: One  # CONTROL_*
    request: RequestRecord
    brake: BrakeRecord
    release: Second
    proportional: Annotated[float, "N*m*s/rad"]
    integral: Annotated[float, "N*m/rad"]


class RigRecord(NamedRecord):
    """A rig and its driver."""

    gravity: Annotated[float, "m/s^2"]
    chassis: BodyRecord
    axle: Annotated[Records[AxleRecord], 2]
    skid: Annotated[Records[SkidRecord], MAX_SKIDS]
    motor: MotorRecord
    driver: DriverRecord
    drift_rate: Annotated[float, "1/s"]  # how fast the links pull numerical drift back
    without_support: One  # 1: squat support is cancelled on the shock line; 0: as built
    oil: Annotated[float, "1/s"]  # drag per mass of every body; only where a rig is put down to sink to rest


class PieceRecord(NamedRecord):
    """A straight piece of ground."""

    start: PlaceRecord
    along: DirectionRecord
    length: Metre
    behind: Metre  # how far it reaches back behind its start: far places would drown what a stiff tyre feels
    grip: One


TABLE = record_dtype(RequestRecord)
BODY = record_dtype(BodyRecord)
LINK = record_dtype(LinkRecord)
SPRING = record_dtype(SpringRecord)
STOP = record_dtype(StopRecord)
FRICTION = record_dtype(SealRecord)
SHOCK = record_dtype(ShockRecord)
TYRE = record_dtype(TyreRecord)
BRANCH = record_dtype(BranchRecord)
AXLE = record_dtype(AxleRecord)
SKID = record_dtype(SkidRecord)
MOTOR = record_dtype(MotorRecord)
DRIVER = record_dtype(DriverRecord)
RIG = record_dtype(RigRecord)
PIECE = record_dtype(PieceRecord)
