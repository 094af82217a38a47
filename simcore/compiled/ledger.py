"""Records of every force, named, at one instant; kernels fill them."""

from typing import Annotated

from simcore.compiled.declaration import (
    Joule,
    Metre,
    MetrePerSecond,
    NamedRecord,
    Newton,
    NewtonMetre,
    Numbers,
    One,
    RadianPerSecond,
    RadianPerSecond2,
    Records,
    Watt,
    record_dtype,
)
from simcore.compiled.parameters import MAX_SKIDS
from simcore.compiled.plane import (
    AccelerationRecord,
    DirectionRecord,
    ForceRecord,
    OverlapRecord,
    PlaceRecord,
    WayRecord,
)
from simcore.compiled.state import GainRecord


class ContactRecord(NamedRecord):
    """Where a disc and the ground overlap, see `ground.touch`."""

    area: Annotated[float, "m^2"]
    push: OverlapRecord
    normal: DirectionRecord
    along: DirectionRecord
    foot: PlaceRecord
    grip: One


class TyreLedgerRecord(NamedRecord):
    """Both tyres of an axle."""

    contact: ContactRecord
    deflection: Metre
    load: Newton
    thrust: Newton
    slip_speed: MetrePerSecond
    slip: One
    rolling_radius: Metre
    rolling_moment: NewtonMetre
    grip: One  # of the tyre under its load on its ground, per stated grip
    bristle_rate: MetrePerSecond
    ground_speed: MetrePerSecond
    stored: Joule
    lost_slip: Watt
    lost_rolling: Watt
    lost_deflection: Watt
    lost: Watt  # all of these; likewise below


class ShockLedgerRecord(NamedRecord):
    """Both shocks of an axle."""

    travel: Metre
    speed: MetrePerSecond
    along: DirectionRecord  # from lower to upper mount
    spring: Newton
    damper: Newton
    friction: Newton
    bump_stop: Newton
    droop_stop: Newton
    cancelling: Newton  # in a run without support: takes the support off again
    force: Newton
    bristle_rate: MetrePerSecond
    stored: Joule
    lost_damper: Watt
    lost_friction: Watt
    lost_stops: Watt
    lost: Watt


class DriveLedgerRecord(NamedRecord):
    """One branch of the driveline."""

    shaft_torque: NewtonMetre
    wheel_torque: NewtonMetre
    wind_up_rate: RadianPerSecond
    stored: Joule
    lost_gears: Watt
    lost_shaft: Watt
    lost: Watt


class SlideLedgerRecord(NamedRecord):
    """The telescoping drive shaft of an axle."""

    length: Metre  # between its joints
    speed: MetrePerSecond  # of getting longer
    along: DirectionRecord  # from the gearbox to the pinion
    torque: NewtonMetre
    level: Newton  # friction at which it slides
    friction: Newton  # pulls the joints together when positive
    bristle_rate: MetrePerSecond
    lost: Watt


class MotorLedgerRecord(NamedRecord):
    """Motor and rotor."""

    torque: NewtonMetre
    current: Annotated[float, "A"]
    electric_power: Watt
    drag: NewtonMetre
    brake_share: One
    lost: Watt
    bristle_rate: RadianPerSecond
    governor_rate: RadianPerSecond


class SkidLedgerRecord(NamedRecord):
    """One skid."""

    contact: ContactRecord
    load: Newton
    drag: Newton
    bristle_rate: MetrePerSecond
    stored: Joule
    lost: Watt


class RowRecord(NamedRecord):
    """One constraint equation: direction, levers on chassis and axle, what the motion adds, error and its
    rate.
    """

    u: DirectionRecord
    chassis_lever: Metre
    axle_lever: Metre
    bias: Annotated[float, "m/s^2"]
    error: Metre
    error_rate: MetrePerSecond


class PathRecord(NamedRecord):
    """How the axle would move against a chassis held still, as its links allow; of any size."""

    way: WayRecord  # of the axle's centre of mass, and turn of the housing
    contact_along: One  # of the point where the thrust acts, moving as part of the housing
    contact_rise: One  # of the same point, across the ground
    shortening: One  # of the shocks
    lengthening: One  # of the drive shaft


class AxleLedgerRecord(NamedRecord):
    """One axle."""

    tyre: TyreLedgerRecord
    shock: ShockLedgerRecord
    drive: DriveLedgerRecord
    slide: SlideLedgerRecord
    row: Annotated[Records[RowRecord], 2]
    path: PathRecord
    link_force: Annotated[Numbers, "N", 2]  # compression positive; arm: pin force x, z on the chassis
    spin_acceleration: RadianPerSecond2


class LedgerRecord(NamedRecord):
    """Every force of a rig."""

    axle: Annotated[Records[AxleLedgerRecord], 2]
    skid: Annotated[Records[SkidLedgerRecord], MAX_SKIDS]
    motor: MotorLedgerRecord
    motor_acceleration: RadianPerSecond2
    force: Annotated[Records[ForceRecord], 3]  # on each body, links left out
    acceleration: Annotated[Records[AccelerationRecord], 3]
    stored: Joule  # in springs, stops, tyres and shafts
    power_in: Watt
    power_lost: Watt
    gain: GainRecord  # taken by each store from bodies, wheels and rotor, less what it loses


CONTACT = record_dtype(ContactRecord)
TYRE_LEDGER = record_dtype(TyreLedgerRecord)
SHOCK_LEDGER = record_dtype(ShockLedgerRecord)
DRIVE_LEDGER = record_dtype(DriveLedgerRecord)
MOTOR_LEDGER = record_dtype(MotorLedgerRecord)
SKID_LEDGER = record_dtype(SkidLedgerRecord)
ROW = record_dtype(RowRecord)
PATH = record_dtype(PathRecord)
AXLE_LEDGER = record_dtype(AxleLedgerRecord)
LEDGER = record_dtype(LedgerRecord)
