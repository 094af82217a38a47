"""Fills the parameter records of compiled code from a checked file."""

import math
from collections.abc import Iterable
from typing import Any

from simcore.compiled import (
    CONTROL_SPEED,
    CONTROL_THROTTLE,
    CONTROL_TORQUE,
    MAX_SKIDS,
    RIG,
    AxleRecord,
    DriverRecord,
    FrictionRecord,
    MotorRecord,
    PlaceRecord,
    Records,
    RigRecord,
    ShockRecord,
    SkidRecord,
    SlideRecord,
    TableRecord,
    TyreRecord,
    blank,
)
from simcore.files.axle import Axle, Shaft, links_of, mount_of
from simcore.files.rig import Rig
from simcore.files.scenario import Scenario
from simcore.laws.tyre import sliding_level
from simcore.rig.masses import SIDES, Mass, StaticPose, sides
from simcore.units import GRAVITY

DRIFT_RATE = 100.0  # 1/s, links pull numerical drift back in about 20 ms
BRISTLE_SETTLING = 0.002  # s, damping time of presliding
ROTOR_PRESLIDING = 0.2  # rad of the rotor over which brake and brushes take hold
SKID_PRESLIDING, SKID_STRIBECK = 5e-4, 0.01  # m, m/s
SLIDE_FADE = 0.005  # m/s, over which the micro damping of a sliding shaft fades
BRAKE_RELEASE = 0.010  # s


def fill_rig(scenario: Scenario, bench: StaticPose) -> Records[RigRecord]:
    """RIG record of a scenario's rig and driver, as an array of length one; springs that hold the ride height
    still lack their preload.
    """
    rig = scenario.rig
    rigs = blank(RIG, math.nan)
    record = rigs[0]
    record.gravity, record.drift_rate, record.without_support, record.oil = GRAVITY, DRIFT_RATE, 0.0, 0.0
    record.chassis.mass, record.chassis.inertia = bench.chassis.mass, bench.chassis.inertia
    for i in range(2):
        _fill_axle(record.axle[i], rig, i, bench)
    for i in range(MAX_SKIDS):
        _fill_skid(record.skid[i], rig.skids[i] if i < len(rig.skids) else None, bench.chassis)
    _fill_motor(record.motor, rig)
    fill_driver(record.driver, scenario, bench)
    return rigs


def _place(record: PlaceRecord, point: Iterable[float], body: Mass) -> None:
    record.x, record.z = (value - origin for value, origin in zip(point, (body.x, body.z), strict=True))


def _fill_links(record: AxleRecord, axle: Axle, chassis: Mass, body: Mass) -> None:
    record.arm = float(axle.arm is not None)
    if axle.arm is not None:
        pins = [(axle.arm.chassis, axle.arm.chassis)] * 2
    else:
        pins = [(link.chassis, link.axle) for link in links_of(axle)]
    for link, (top, bottom) in zip(record.link, pins, strict=True):
        _place(link.chassis, top, chassis)
        _place(link.axle, bottom, body)
        link.length = math.dist(top, bottom)


def _fill_friction(
    record: FrictionRecord, breakaway: float, sliding: float, presliding: float, stribeck_speed: float
) -> None:
    record.breakaway, record.sliding = breakaway, sliding
    record.presliding, record.stribeck_speed = presliding, stribeck_speed
    # damping that outlasts the way to the Stribeck speed would give energy back while sliding
    record.settling_time = min(BRISTLE_SETTLING, presliding / stribeck_speed)


def _fill_shock(record: ShockRecord, axle: Axle, chassis: Mass, body: Mass) -> None:
    """Two shocks side by side: every force doubled."""
    shock, (pin, hub, record.fraction) = axle.shock, mount_of(axle)
    _place(record.chassis, shock.chassis, chassis)
    _place(record.link_pin, pin, chassis)
    _place(record.axle, hub, body)
    record.extended_length, record.stroke = shock.extended_length, shock.stroke
    for slot in record.spring:
        slot.push, slot.rate, slot.loose_at = 1.0, 0.0, 0.0
    for slot, spring in zip(record.spring, shock.springs, strict=False):
        slot.push, slot.rate = (1.0 if spring.push else -1.0), 2.0 * spring.rate
        slot.loose_at = spring.loose_at if spring.loose_at is not None else 0.0
        if spring.preload is not None:
            slot.loose_at = -slot.push * spring.preload / spring.rate
    _fill_damper(record, shock.damper)
    friction = shock.friction
    _fill_friction(
        record.friction,
        2.0 * friction.breakaway,
        2.0 * friction.sliding,
        friction.presliding,
        friction.stribeck_speed,
    )
    for stop, given in ((record.bump_stop, shock.bump_stop), (record.droop_stop, shock.droop_stop)):
        stop.length, stop.rate, stop.damping = given.length, 2.0 * given.rate, given.damping


def _fill_damper(record: ShockRecord, damper: Any) -> None:
    record.compression, record.rebound = 2.0 * damper.compression, 2.0 * damper.rebound
    record.damper_speed[:], record.damper_force[:] = 0.0, 0.0
    rows = sorted({0.0: 0.0, **dict(damper.table)}.items()) if damper.table else ()  # no force at rest
    record.damper_rows = len(rows)
    for i, (speed, force) in enumerate(rows):
        record.damper_speed[i], record.damper_force[i] = speed, 2.0 * force


def _fill_tyre(record: TyreRecord, axle: Axle, level_load: float) -> None:
    tyre = axle.tyre
    record.radius, record.stiffness, record.damping = tyre.radius, 2.0 * tyre.stiffness, 2.0 * tyre.damping
    record.slip_stiffness, record.relaxation_length = tyre.slip_stiffness, tyre.relaxation_length
    record.stribeck_speed = tyre.stribeck_speed
    presliding = tyre.sliding_grip * tyre.relaxation_length / tyre.slip_stiffness
    record.settling_time = min(BRISTLE_SETTLING, presliding / tyre.stribeck_speed)
    record.rolling_resistance = tyre.rolling_resistance
    record.peak = tyre.peak_grip
    record.load_exponent = tyre.grip_load_exponent
    record.reference_load = level_load if tyre.grip_load is None else 2.0 * tyre.grip_load * GRAVITY
    record.sliding = sliding_level(tyre.peak_grip, tyre.sliding_grip, tyre.grip_speed, tyre.stribeck_speed)


def _fill_axle(record: AxleRecord, rig: Rig, i: int, bench: StaticPose) -> None:
    axle, body = sides(rig)[i], bench.axles[i]
    record.body.mass, record.body.inertia = body.mass, body.inertia
    _place(record.centre, bench.centres[i], body)
    record.spin_inertia = 2.0 * axle.tyre.spin_inertia
    _fill_links(record, axle, bench.chassis, body)
    _fill_shock(record.shock, axle, bench.chassis, body)
    _fill_tyre(record.tyre, axle, bench.loads[i])
    line = rig.driveline
    branch = record.branch
    branch.driven = float(line.drive in ("all", SIDES[i]))
    branch.ratio = line.ratio if i == 0 else line.ratio / (1.0 + line.overdrive)
    branch.stiffness = (line.rear_stiffness, line.front_stiffness)[i] / branch.ratio**2
    branch.damping = line.damping / branch.ratio**2
    _fill_slide(record.slide, axle.shaft, bench.chassis, body)


def _fill_slide(record: SlideRecord, shaft: Shaft | None, chassis: Mass, body: Mass) -> None:
    record.present = float(shaft is not None)
    record.ratio, record.friction, record.radius, record.presliding = 1.0, 0.0, 1.0, 1.0
    record.fade_speed = SLIDE_FADE
    for place in (record.chassis, record.axle):
        place.x, place.z = 0.0, 0.0
    if shaft is not None:
        _place(record.chassis, shaft.chassis, chassis)
        _place(record.axle, shaft.axle, body)
        record.ratio, record.friction, record.radius = shaft.ratio, shaft.friction, shaft.spline_radius
        record.presliding = shaft.presliding
    record.settling_time = min(BRISTLE_SETTLING, record.presliding / SLIDE_FADE)


def _fill_motor(record: MotorRecord, rig: Rig) -> None:
    motor = rig.motor
    record.constant = 1.0 / motor.kv
    record.voltage, record.resistance, record.current_limit = (
        motor.voltage,
        motor.resistance,
        motor.current_limit,
    )
    record.inertia, record.brake_torque = motor.rotor_inertia, motor.brake_torque
    record.idle_torque = motor.no_load_current / motor.kv
    record.presliding, record.settling_time = ROTOR_PRESLIDING, BRISTLE_SETTLING
    record.efficiency = rig.driveline.efficiency


def _fill_table(
    record: TableRecord, rows: Iterable[tuple[float, float]], shift: float, factor: float
) -> None:
    rows = list(rows)
    record.time[:], record.value[:] = math.inf, 0.0
    record.rows = len(rows)
    for i, (time, value) in enumerate(rows):
        record.time[i], record.value[i] = time + shift, value * factor


def fill_driver(record: DriverRecord, scenario: Scenario, bench: StaticPose) -> None:
    """Fill in a scenario's driver, the tables in run time, for the rig that stands so on the bench.

    The held-speed control answers in `governor_time`, critically damped on the inertia of the whole rig at
    the rotor: ``kp = 2 J/T``, ``ki = J/T^2``.
    """
    driver, rig = scenario.driver, scenario.rig
    turn = rig.driveline.ratio / rig.rear.tyre.radius  # rotor rad per metre of rear tread
    control = {"torque": CONTROL_TORQUE, "throttle": CONTROL_THROTTLE, "speed": CONTROL_SPEED}[driver.control]
    record.control, record.release = control, driver.release
    rows = getattr(driver, driver.control)
    _fill_table(record.request, rows, driver.release, turn if driver.control == "speed" else 1.0)
    let_go = ((driver.release, 1.0), (driver.release + BRAKE_RELEASE, 0.0))
    _fill_table(record.brake, driver.brake or let_go, 0.0, 1.0)
    inertia = rig.motor.rotor_inertia + bench.whole.mass / turn**2
    record.proportional = 2.0 * inertia / driver.governor_time
    record.integral = inertia / driver.governor_time**2


def _fill_skid(record: SkidRecord, skid: Any, chassis: Mass) -> None:
    record.present = float(skid is not None)
    if skid is None:
        record.radius, record.stiffness, record.damping = 0.0, 0.0, 0.0
        record.place.x, record.place.z = 0.0, 0.0
        _fill_friction(record.friction, 0.0, 0.0, SKID_PRESLIDING, SKID_STRIBECK)
        return
    _place(record.place, skid.at, chassis)
    record.radius, record.stiffness, record.damping = skid.radius, skid.stiffness, skid.damping
    _fill_friction(record.friction, skid.grip, skid.grip, SKID_PRESLIDING, SKID_STRIBECK)
