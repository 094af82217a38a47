"""All forces of one instant: fills the ledger that the equations of motion sum and the series store.

Bodies are numbered 0 chassis, 1 rear axle, 2 front axle; axles 0 rear, 1 front.
"""

import math

from simcore.compiled import (
    MAX_SKIDS,
    AxleLedgerRecord,
    AxleRecord,
    ForceRecord,
    LedgerRecord,
    PathRecord,
    PieceRecord,
    Records,
    RigRecord,
    RowRecord,
    ShockLedgerRecord,
    ShockRecord,
    SkidLedgerRecord,
    SkidRecord,
    SlideRecord,
    StateRecord,
    TyreLedgerRecord,
    kernel,
)
from simcore.laws.driveline import branch_forces, motor_forces
from simcore.laws.frame import Frame, frame_of, lever, power_on, push_at, velocity_at
from simcore.laws.ground import normal_force, overlap_energy, touch
from simcore.laws.links import axle_rows, free_motion
from simcore.laws.shock import seal_friction, shock_forces
from simcore.laws.slide import no_slide, slide_forces
from simcore.laws.tyre import load_factor, rolling_moment, tangential

FORGET_TIME = 0.01  # s, a skid in the air forgets how its bristles were bent
SLIP_FLOOR = 0.02  # m/s, below this speed slip is stated against the floor
LEAST_SHORTENING = 1e-3  # of the axle's way; shocks that square to it hold nothing


@kernel
def tyre_forces(
    led: TyreLedgerRecord,
    axle: AxleRecord,
    frame: Frame,
    state: StateRecord,
    i: int,
    pieces: Records[PieceRecord],
    force: ForceRecord,
) -> None:
    """Contact, load and thrust of axle i's tyres; both act on the axle at the wheel centre.

    The moment arm of the thrust about the wheel is the rolling radius ``R_e = R - delta/3`` at which slip is
    taken; with any other arm the contact would create energy.
    """
    tyre, rate = axle.tyre, state.rate[1 + i]
    arm_x, arm_z = lever(frame, axle.centre)
    v_x, v_z = velocity_at(rate, arm_x, arm_z)
    contact = led.contact
    touch(contact, pieces, frame.x + arm_x, frame.z + arm_z, tyre.radius)
    led.load, led.deflection, led.lost_deflection = normal_force(
        contact, tyre.radius, tyre.stiffness, tyre.damping, v_x, v_z
    )
    led.rolling_radius = tyre.radius - led.deflection / 3.0
    roll = state.spin[i] * led.rolling_radius
    led.ground_speed = v_x * contact.along.x + v_z * contact.along.z
    led.slip_speed = roll - led.ground_speed
    led.slip = led.slip_speed / max(abs(roll), abs(led.ground_speed), SLIP_FLOOR)
    led.grip = contact.grip * load_factor(led.load, tyre.reference_load, tyre.load_exponent)
    share, led.bristle_rate = tangential(tyre, led.slip_speed, roll, state.tyre_bristle[i], led.grip)
    led.thrust = led.load * share
    led.rolling_moment = rolling_moment(tyre, led.load, roll)
    led.stored = overlap_energy(led.deflection, tyre.radius, tyre.stiffness)
    led.lost_slip = led.thrust * led.slip_speed
    led.lost_rolling = led.rolling_moment * state.spin[i]
    led.lost = led.lost_deflection + led.lost_slip + led.lost_rolling
    push_at(
        force,
        arm_x,
        arm_z,
        led.load * contact.normal.x + led.thrust * contact.along.x,
        led.load * contact.normal.z + led.thrust * contact.along.z,
    )


@kernel
def measure_shock(
    led: ShockLedgerRecord, shock: ShockRecord, chassis: Frame, axle: Frame, state: StateRecord, i: int
) -> None:
    """Length and speed of axle i's shocks, and what springs, damper, friction and stops make of them.

    A mount on a link is a fixed mix of the link's two pins, ``r = (1-f) chassis pin + f axle pin``.
    """
    top_x, top_z = lever(chassis, shock.chassis)
    pin_x, pin_z = lever(chassis, shock.link_pin)
    hub_x, hub_z = lever(axle, shock.axle)
    f = shock.fraction
    d_x = chassis.x + top_x - (1.0 - f) * (chassis.x + pin_x) - f * (axle.x + hub_x)
    d_z = chassis.z + top_z - (1.0 - f) * (chassis.z + pin_z) - f * (axle.z + hub_z)
    top_v_x, top_v_z = velocity_at(state.rate[0], top_x, top_z)
    pin_v_x, pin_v_z = velocity_at(state.rate[0], pin_x, pin_z)
    hub_v_x, hub_v_z = velocity_at(state.rate[1 + i], hub_x, hub_z)
    v_x = top_v_x - (1.0 - f) * pin_v_x - f * hub_v_x
    v_z = top_v_z - (1.0 - f) * pin_v_z - f * hub_v_z
    length = math.sqrt(d_x * d_x + d_z * d_z)
    u_x, u_z = d_x / length, d_z / length
    led.along.x, led.along.z = u_x, u_z
    shock_forces(led, shock, shock.extended_length - length, -(u_x * v_x + u_z * v_z), state.shock_bristle[i])


@kernel
def push_shock(
    led: ShockLedgerRecord,
    shock: ShockRecord,
    chassis: Frame,
    axle: Frame,
    chassis_force: ForceRecord,
    axle_force: ForceRecord,
) -> None:
    """What the shocks' force does to chassis and axle; the mix that places a mount on a link shares its force
    out.
    """
    top_x, top_z = lever(chassis, shock.chassis)
    pin_x, pin_z = lever(chassis, shock.link_pin)
    hub_x, hub_z = lever(axle, shock.axle)
    f, push_x, push_z = shock.fraction, led.force * led.along.x, led.force * led.along.z
    push_at(chassis_force, top_x, top_z, push_x, push_z)
    push_at(chassis_force, pin_x, pin_z, -(1.0 - f) * push_x, -(1.0 - f) * push_z)
    push_at(axle_force, hub_x, hub_z, -f * push_x, -f * push_z)


@kernel
def follow_path(
    path: PathRecord,
    axle: AxleRecord,
    frame: Frame,
    rows: Records[RowRecord],
    tyre: TyreLedgerRecord,
    shock: ShockLedgerRecord,
) -> None:
    """The way that the links leave to an axle, and what contact and shocks do on it.

    The thrust acts at the rolling radius below the wheel centre, and as the wheel torque reacts on the
    housing, that point moves as part of the housing.
    """
    free_motion(path.way, rows)
    normal, along = tyre.contact.normal, tyre.contact.along
    arm_x, arm_z = lever(frame, axle.centre)
    depth = tyre.rolling_radius
    v_x, v_z = velocity_at(path.way, arm_x - depth * normal.x, arm_z - depth * normal.z)
    path.contact_along = v_x * along.x + v_z * along.z
    path.contact_rise = v_x * normal.x + v_z * normal.z
    hub_x, hub_z = lever(frame, axle.shock.axle)
    v_x, v_z = velocity_at(path.way, hub_x, hub_z)
    path.shortening = axle.shock.fraction * (shock.along.x * v_x + shock.along.z * v_z)


@kernel
def push_slide(
    part: AxleLedgerRecord,
    slide: SlideRecord,
    chassis: Frame,
    axle: Frame,
    state: StateRecord,
    i: int,
    chassis_force: ForceRecord,
    axle_force: ForceRecord,
) -> None:
    """Friction of axle i's drive shaft along the line of its joints, on chassis and axle."""
    led, bristle = part.slide, state.slide_bristle[i]
    if slide.present < 0.5:
        no_slide(led)
        part.path.lengthening = 0.0
        return
    top_x, top_z = lever(chassis, slide.chassis)
    hub_x, hub_z = lever(axle, slide.axle)
    d_x, d_z = axle.x + hub_x - chassis.x - top_x, axle.z + hub_z - chassis.z - top_z
    led.length = math.sqrt(d_x * d_x + d_z * d_z)
    led.along.x, led.along.z = d_x / led.length, d_z / led.length
    top_v_x, top_v_z = velocity_at(state.rate[0], top_x, top_z)
    hub_v_x, hub_v_z = velocity_at(state.rate[1 + i], hub_x, hub_z)
    speed = led.along.x * (hub_v_x - top_v_x) + led.along.z * (hub_v_z - top_v_z)
    slide_forces(led, slide, part.drive.wheel_torque, speed, bristle)
    way_x, way_z = velocity_at(part.path.way, hub_x, hub_z)
    part.path.lengthening = led.along.x * way_x + led.along.z * way_z
    push_x, push_z = led.friction * led.along.x, led.friction * led.along.z
    push_at(chassis_force, top_x, top_z, push_x, push_z)
    push_at(axle_force, hub_x, hub_z, -push_x, -push_z)


@kernel
def support_on_shock(path: PathRecord, thrust: float) -> float:
    """Squat support seen as a force on the shock line, N, extending positive: what the thrust alone holds
    there.

    Virtual work of the thrust on the axle's path: ``support * shortening = -thrust * way of the contact
    along the ground``. Shocks that stand square to the path hold nothing, hence the small number.
    """
    square = path.shortening * path.shortening + LEAST_SHORTENING * LEAST_SHORTENING
    return -thrust * path.contact_along * path.shortening / square


@kernel
def skid_forces(
    led: SkidLedgerRecord,
    skid: SkidRecord,
    frame: Frame,
    state: StateRecord,
    i: int,
    pieces: Records[PieceRecord],
    force: ForceRecord,
) -> None:
    """A small disc on the chassis that drags over the ground: normal force as for a tyre, friction that
    sticks and slides.
    """
    led.load, led.drag, led.stored, led.lost = 0.0, 0.0, 0.0, 0.0
    led.bristle_rate = -state.skid_bristle[i] / FORGET_TIME
    if skid.present < 0.5:
        return
    contact = led.contact
    arm_x, arm_z = lever(frame, skid.place)
    touch(contact, pieces, frame.x + arm_x, frame.z + arm_z, skid.radius)
    if contact.area <= 0.0:
        return
    low_x, low_z = arm_x - skid.radius * contact.normal.x, arm_z - skid.radius * contact.normal.z
    v_x, v_z = velocity_at(state.rate[0], low_x, low_z)
    led.load, deflection, lost = normal_force(contact, skid.radius, skid.stiffness, skid.damping, v_x, v_z)
    sliding = v_x * contact.along.x + v_z * contact.along.z
    share, led.bristle_rate = seal_friction(skid.friction, sliding, state.skid_bristle[i])
    led.drag = led.load * contact.grip * share
    led.stored = overlap_energy(deflection, skid.radius, skid.stiffness)
    led.lost = lost + led.drag * sliding
    push_at(
        force,
        low_x,
        low_z,
        led.load * contact.normal.x - led.drag * contact.along.x,
        led.load * contact.normal.z - led.drag * contact.along.z,
    )


@kernel
def axle_forces(
    led: LedgerRecord,
    rig: RigRecord,
    chassis: Frame,
    frame: Frame,
    state: StateRecord,
    i: int,
    pieces: Records[PieceRecord],
) -> None:
    """Everything that acts on axle i: tyres, shocks, wheel torque (it reacts on the housing), the drive
    shaft; the constraint rows of its links and the path they leave it.

    What each store gains is the power that the bodies' sums of forces lose by it, whatever law made the
    force, less the losses that the law states.
    """
    axle, part, force = rig.axle[i], led.axle[i], led.force[1 + i]
    tyre, shock, drive, rate, spin = part.tyre, part.shock, part.drive, state.rate[1 + i], state.spin[i]
    free = power_on(force, rate)
    tyre_forces(tyre, axle, frame, state, i, pieces, force)
    with_tyre, free_chassis = power_on(force, rate), power_on(led.force[0], state.rate[0])
    measure_shock(shock, axle.shock, chassis, frame, state, i)
    axle_rows(part.row, axle, chassis, state.rate[0], frame, rate)
    follow_path(part.path, axle, frame, part.row, tyre, shock)
    shock.cancelling = -rig.without_support * support_on_shock(part.path, tyre.thrust)
    shock.force += shock.cancelling
    push_shock(shock, axle.shock, chassis, frame, led.force[0], force)
    with_shock = power_on(force, rate)
    on_bodies = with_shock - with_tyre + power_on(led.force[0], state.rate[0]) - free_chassis
    branch_forces(drive, axle.branch, rig.motor.efficiency, state.motor, spin + rate.angle, state.wind_up[i])
    force.angle += drive.wheel_torque
    on_wheel = drive.wheel_torque - tyre.thrust * tyre.rolling_radius - tyre.rolling_moment
    part.spin_acceleration = on_wheel / axle.spin_inertia
    led.gain.tyre[i] = free - with_tyre + (drive.wheel_torque - on_wheel) * spin - tyre.lost
    led.gain.shock[i] = -on_bodies - shock.cancelling * shock.speed - shock.lost
    turned, free_chassis = power_on(force, rate), power_on(led.force[0], state.rate[0])
    push_slide(part, axle.slide, chassis, frame, state, i, led.force[0], force)
    slid = power_on(force, rate) - turned + power_on(led.force[0], state.rate[0]) - free_chassis
    led.gain.slide[i] = -slid - part.slide.lost
    on_housing = turned - with_shock
    led.gain.branch[i] = (
        drive.shaft_torque * state.motor - drive.wheel_torque * spin - on_housing - drive.lost
    )


@kernel
def fill_forces(
    led: LedgerRecord, time: float, state: StateRecord, rig: RigRecord, pieces: Records[PieceRecord]
) -> None:
    """Fill the ledger with every force at one instant, and sum them on each body.

    Parameters
    ----------
    led : LEDGER, overwritten
    time : s
    state : STATE
    rig : RIG
    pieces : array of PIECE
    """
    for body in range(3):
        mass = rig.chassis.mass if body == 0 else rig.axle[body - 1].body.mass
        led.force[body].x, led.force[body].z, led.force[body].angle = 0.0, -mass * rig.gravity, 0.0
    motor_forces(led.motor, rig.motor, rig.driver, time, state.motor, state.rotor_bristle, state.governor)
    chassis = frame_of(state.pose[0])
    for i in range(2):
        axle_forces(led, rig, chassis, frame_of(state.pose[1 + i]), state, i, pieces)
    led.gain.skids = power_on(led.force[0], state.rate[0])
    for i in range(MAX_SKIDS):
        skid_forces(led.skid[i], rig.skid[i], chassis, state, i, pieces, led.force[0])
        led.gain.skids -= led.skid[i].lost
    led.gain.skids -= power_on(led.force[0], state.rate[0])
    shafts = led.axle[0].drive.shaft_torque + led.axle[1].drive.shaft_torque
    led.motor_acceleration = (led.motor.torque - led.motor.drag - shafts) / rig.motor.inertia
    led.gain.rotor = (led.motor.torque - shafts) * state.motor - led.motor.lost
    _sum_energy(led, state)


@kernel
def _sum_energy(led: LedgerRecord, state: StateRecord) -> None:
    """Stored elastic energy, work put in and power lost, from the same forces and losses."""
    led.power_in, led.power_lost, led.stored = led.motor.torque * state.motor, led.motor.lost, 0.0
    for i in range(2):
        tyre, shock, drive = led.axle[i].tyre, led.axle[i].shock, led.axle[i].drive
        led.stored += tyre.stored + shock.stored + drive.stored
        led.power_in -= shock.cancelling * shock.speed
        led.power_lost += tyre.lost + shock.lost + drive.lost + led.axle[i].slide.lost
    for i in range(MAX_SKIDS):
        led.stored += led.skid[i].stored
        led.power_lost += led.skid[i].lost
