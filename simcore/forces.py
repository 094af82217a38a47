"""All forces of one instant: fills the ledger that the equations of motion sum and the series store.

Bodies are numbered 0 chassis, 1 rear axle, 2 front axle; axles 0 rear, 1 front.
"""

import math

from simcore.compiled import MAX_SKIDS, Record, kernel
from simcore.driveline import branch_forces, motor_forces
from simcore.frame import lever, push_at, velocity_at
from simcore.ground import normal_force, overlap_energy, touch
from simcore.links import axle_rows
from simcore.shock import seal_friction, shock_forces
from simcore.tyre import rolling_moment, tangential

FORGET_TIME = 0.01  # s, a skid in the air forgets how its bristles were bent
SLIP_FLOOR = 0.02  # m/s, below this speed slip is stated against the floor


@kernel
def tyre_forces(led: Record, axle: Record, state: Record, i: int, pieces: Record, force: Record) -> None:
    """Contact, load and thrust of axle i's tyres; both act on the axle at the wheel centre.

    The moment arm of the thrust about the wheel is the rolling radius ``R_e = R - delta/3`` at which slip is
    taken; with any other arm the contact would create energy.
    """
    tyre, pose, rate = axle.tyre, state.pose[1 + i], state.rate[1 + i]
    arm_x, arm_z = lever(pose, axle.centre)
    v_x, v_z = velocity_at(rate, arm_x, arm_z)
    contact = led.contact
    touch(contact, pieces, pose.x + arm_x, pose.z + arm_z, tyre.radius)
    led.load, led.squash, led.lost_squash = normal_force(
        contact, tyre.radius, tyre.stiffness, tyre.damping, v_x, v_z
    )
    led.rolling_radius = tyre.radius - led.squash / 3.0
    roll = state.spin[i] * led.rolling_radius
    led.ground_speed = v_x * contact.along.x + v_z * contact.along.z
    led.slip_speed = roll - led.ground_speed
    led.slip = led.slip_speed / max(abs(roll), abs(led.ground_speed), SLIP_FLOOR)
    share, led.bristle_rate = tangential(tyre, led.slip_speed, roll, state.tyre_bristle[i], contact.grip)
    led.thrust = led.load * share
    led.rolling_moment = rolling_moment(tyre, led.load, roll)
    led.stored = overlap_energy(led.squash, tyre.radius, tyre.stiffness)
    led.lost_slip = led.thrust * led.slip_speed
    led.lost_rolling = led.rolling_moment * state.spin[i]
    push_at(
        force,
        arm_x,
        arm_z,
        led.load * contact.normal.x + led.thrust * contact.along.x,
        led.load * contact.normal.z + led.thrust * contact.along.z,
    )


@kernel
def mount_shock(
    led: Record, shock: Record, state: Record, i: int, chassis_force: Record, axle_force: Record
) -> None:
    """Length and speed of axle i's shocks, their forces, and what these do to chassis and axle.

    A mount on a link is a fixed mix of the link's two pins, ``r = (1-f) chassis pin + f axle pin``; the same
    mix shares its force out.
    """
    chassis, axle = state.pose[0], state.pose[1 + i]
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
    push_at(chassis_force, top_x, top_z, led.force * u_x, led.force * u_z)
    push_at(chassis_force, pin_x, pin_z, -(1.0 - f) * led.force * u_x, -(1.0 - f) * led.force * u_z)
    push_at(axle_force, hub_x, hub_z, -f * led.force * u_x, -f * led.force * u_z)


@kernel
def skid_forces(led: Record, skid: Record, state: Record, i: int, pieces: Record, force: Record) -> None:
    """A small disc on the chassis that drags over the ground: normal force as for a tyre, friction that
    sticks and slides.
    """
    led.load, led.drag, led.stored, led.lost = 0.0, 0.0, 0.0, 0.0
    led.bristle_rate = -state.skid_bristle[i] / FORGET_TIME
    if skid.present < 0.5:
        return
    contact = led.contact
    arm_x, arm_z = lever(state.pose[0], skid.place)
    touch(contact, pieces, state.pose[0].x + arm_x, state.pose[0].z + arm_z, skid.radius)
    if contact.area <= 0.0:
        return
    low_x, low_z = arm_x - skid.radius * contact.normal.x, arm_z - skid.radius * contact.normal.z
    v_x, v_z = velocity_at(state.rate[0], low_x, low_z)
    led.load, squash, lost = normal_force(contact, skid.radius, skid.stiffness, skid.damping, v_x, v_z)
    sliding = v_x * contact.along.x + v_z * contact.along.z
    share, led.bristle_rate = seal_friction(skid.friction, sliding, state.skid_bristle[i])
    led.drag = led.load * contact.grip * share
    led.stored = overlap_energy(squash, skid.radius, skid.stiffness)
    led.lost = lost + led.drag * sliding
    push_at(
        force,
        low_x,
        low_z,
        led.load * contact.normal.x - led.drag * contact.along.x,
        led.load * contact.normal.z - led.drag * contact.along.z,
    )


@kernel
def axle_forces(led: Record, rig: Record, state: Record, i: int, pieces: Record) -> None:
    """Everything that acts on axle i: tyres, shocks, wheel torque (it reacts on the housing), constraint rows
    of its links.
    """
    axle, part, force = rig.axle[i], led.axle[i], led.force[1 + i]
    tyre_forces(part.tyre, axle, state, i, pieces, force)
    mount_shock(part.shock, axle.shock, state, i, led.force[0], force)
    relative_spin = state.spin[i] + state.rate[1 + i].angle
    branch_forces(part.drive, axle.branch, rig.motor.efficiency, state.motor, relative_spin, state.wind_up[i])
    force.angle += part.drive.wheel_torque
    tyre = part.tyre
    part.spin_acceleration = (
        part.drive.wheel_torque - tyre.thrust * tyre.rolling_radius - tyre.rolling_moment
    ) / axle.spin_inertia
    axle_rows(part.row, axle, state.pose[0], state.rate[0], state.pose[1 + i], state.rate[1 + i])


@kernel
def fill_forces(led: Record, time: float, state: Record, rig: Record, pieces: Record) -> None:
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
    for i in range(2):
        axle_forces(led, rig, state, i, pieces)
    for i in range(MAX_SKIDS):
        skid_forces(led.skid[i], rig.skid[i], state, i, pieces, led.force[0])
    drag = led.motor.drag + led.axle[0].drive.shaft_torque + led.axle[1].drive.shaft_torque
    led.motor_acceleration = (led.motor.torque - drag) / rig.motor.inertia
    _sum_energy(led, state)


@kernel
def _sum_energy(led: Record, state: Record) -> None:
    """Stored elastic energy, work put in and power lost, from the same forces."""
    led.power_in = led.motor.torque * state.motor
    led.power_lost = led.motor.drag * state.motor
    led.stored = 0.0
    for i in range(2):
        tyre, shock, drive = led.axle[i].tyre, led.axle[i].shock, led.axle[i].drive
        led.stored += tyre.stored + shock.stored + drive.stored
        led.power_lost += tyre.lost_slip + tyre.lost_rolling + tyre.lost_squash
        led.power_lost += shock.lost_damper + shock.lost_friction + shock.lost_stops
        led.power_lost += drive.lost_gears + drive.lost_shaft
    for i in range(MAX_SKIDS):
        led.stored += led.skid[i].stored
        led.power_lost += led.skid[i].lost
