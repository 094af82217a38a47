"""The straight line of a permanent-magnet DC motor, between stall and no-load speed, and the limits that cut
it.

Sources: the motor lesson of MIT course 2.007 (stall torque, no-load speed, half values; seen on its public
page); the motor torque constant of a public calculator (5700 rpm/V at 11.1 V; seen); torque constants of
three windings recomputed from Kt = 60/(2 pi Kv).
"""

import math

import pytest

from simcore.compiled import (
    CONTROL_SPEED,
    CONTROL_THROTTLE,
    CONTROL_TORQUE,
    DRIVER,
    MOTOR,
    MOTOR_LEDGER,
    blank,
)
from simcore.laws.driveline import motor_current, motor_forces
from simcore.units import factor

RPM = math.pi / 30.0


def motor_of(voltage, stall_torque, no_load_speed, limit=1e9, idle=0.0, brake=0.0):
    """A motor from its line: Ke w0 = V, Kt V/R = stall torque."""
    motor = blank(MOTOR, math.nan)[0]
    motor.constant, motor.voltage = voltage / no_load_speed, voltage
    motor.resistance = motor.constant * voltage / stall_torque
    motor.current_limit, motor.idle_torque, motor.brake_torque = limit, idle, brake
    motor.presliding, motor.settling_time = 0.2, 0.002
    return motor


def driver_of(control, request, brake=0.0):
    driver = blank(DRIVER, math.nan)[0]
    driver.control, driver.release = control, 0.0
    for table, value in ((driver.request, request), (driver.brake, brake)):
        table.rows, table.time[0], table.value[0] = 1, 0.0, value
    driver.proportional, driver.integral = 0.01, 0.1
    return driver


def drive(motor, driver, speed, bristle=0.0, governor=0.0):
    led = blank(MOTOR_LEDGER, math.nan)[0]
    motor_forces(led, motor, driver, 1.0, speed, bristle, governor)
    return led


@pytest.mark.parametrize(
    ("no_load_rpm", "stall", "half_torque", "power"),
    [(600.0, 0.325, 0.163, 5.105), (3750.0, 0.0722, 0.0361, 7.088), (92.0, 1.6, 0.80, 3.854)],
)
def test_motor_line(no_load_rpm, stall, half_torque, power):
    """Half values as printed (three digits); greatest power, stall torque times no-load speed over four,
    recomputed.
    """
    motor, full = motor_of(12.0, stall, no_load_rpm * RPM), driver_of(CONTROL_THROTTLE, 1.0)
    at_rest, at_half, running = (drive(motor, full, share * no_load_rpm * RPM) for share in (0.0, 0.5, 1.0))
    assert at_rest.torque == pytest.approx(stall, rel=1e-12)
    assert at_half.torque == pytest.approx(half_torque, rel=4e-3)
    assert running.torque == pytest.approx(0.0, abs=1e-12)
    assert at_half.torque * 0.5 * no_load_rpm * RPM == pytest.approx(power, rel=2e-4)
    for share in (0.45, 0.55):
        assert drive(motor, full, share * no_load_rpm * RPM).torque * share * no_load_rpm * RPM < power


def test_speed_per_volt():
    """5700 rpm/V at 11.1 V turn 63270 rpm; the current vanishes there."""
    motor = blank(MOTOR)[0]
    motor.constant, motor.resistance = 1.0 / (5700.0 * factor("rpm/V")), 0.05
    assert motor_current(motor, 11.1, 63270.0 * RPM) == pytest.approx(0.0, abs=1e-9)
    assert motor_current(motor, 11.1, 0.0) == pytest.approx(222.0)


@pytest.mark.parametrize(("kv", "constant"), [(1000.0, 9.5493e-3), (2000.0, 4.7746e-3), (3300.0, 2.8937e-3)])
def test_torque_constant_from_speed_per_volt(kv, constant):
    assert 1.0 / (kv * factor("rpm/V")) == pytest.approx(constant, abs=5e-8)  # half the last printed digit


@pytest.mark.parametrize("way", [1.0, -1.0])
def test_current_limit_cuts_the_line(way):
    motor = motor_of(10.0, 1.0, 500.0, limit=12.0)  # 50 A at stall
    throttle = driver_of(CONTROL_THROTTLE, way)
    assert drive(motor, throttle, 0.0).current == pytest.approx(way * 12.0)
    assert drive(motor, throttle, way * 400.0).current == pytest.approx(way * 10.0)  # (10 V - 0.02*400)/0.2
    torque = driver_of(CONTROL_TORQUE, way * 99.0)
    assert drive(motor, torque, 0.0).torque == pytest.approx(way * 12.0 * 0.02)


@pytest.mark.parametrize("way", [1.0, -1.0])
def test_voltage_limits_torque_in_both_directions(way):
    """A torque that the supply cannot drive at this speed is cut; against the turning there is enough."""
    motor = motor_of(10.0, 1.0, 500.0)
    wanted = driver_of(CONTROL_TORQUE, way * 0.5)
    assert drive(motor, wanted, 0.0).torque == pytest.approx(way * 0.5)
    assert drive(motor, wanted, way * 400.0).torque == pytest.approx(way * 0.2)
    assert drive(motor, wanted, -way * 400.0).torque == pytest.approx(way * 0.5)
    overrun = drive(motor, wanted, way * 600.0)  # beyond no-load speed
    assert overrun.torque == pytest.approx(-way * 0.2)


def test_throttle_coasts_and_never_drives_backward():
    """Half throttle beyond its no-load speed, and no throttle at all, leave the motor without current."""
    motor = motor_of(10.0, 1.0, 500.0)
    assert drive(motor, driver_of(CONTROL_THROTTLE, 0.5), 200.0).current == pytest.approx(5.0)  # (5 - 4)/0.2
    assert drive(motor, driver_of(CONTROL_THROTTLE, 0.5), 300.0).current == 0.0
    assert drive(motor, driver_of(CONTROL_THROTTLE, -0.5), -300.0).current == 0.0
    assert drive(motor, driver_of(CONTROL_THROTTLE, 0.0), 300.0).current == 0.0
    assert drive(motor, driver_of(CONTROL_THROTTLE, 0.0), -300.0).current == 0.0


@pytest.mark.parametrize("speed", [-300.0, 0.0, 300.0])
@pytest.mark.parametrize("request_torque", [-0.3, 0.3])
def test_electric_power_is_shaft_power_and_heat(speed, request_torque):
    motor = motor_of(10.0, 1.0, 500.0)
    led = drive(motor, driver_of(CONTROL_TORQUE, request_torque), speed)
    volts = led.current * motor.resistance + motor.constant * speed
    assert led.electric_power == pytest.approx(volts * led.current, rel=1e-12)
    assert led.electric_power == pytest.approx(
        led.torque * speed + led.current**2 * motor.resistance, rel=1e-12
    )
    assert abs(volts) <= 10.0 * (1.0 + 1e-12)


def test_held_speed_pushes_towards_the_wanted_speed_and_takes_back_what_a_limit_refuses():
    motor, wanted = motor_of(10.0, 1.0, 500.0, limit=12.0), driver_of(CONTROL_SPEED, 100.0)
    slow, fast = drive(motor, wanted, 90.0), drive(motor, wanted, 105.0)
    assert slow.torque == pytest.approx(0.01 * 10.0) and slow.governor_rate == pytest.approx(10.0)
    assert fast.torque == pytest.approx(-0.05) and fast.governor_rate == pytest.approx(-5.0)
    assert drive(motor, wanted, 90.0, governor=1.0).torque == pytest.approx(0.01 * 10.0 + 0.1 * 1.0)
    saturated = drive(motor, wanted, 0.0)  # asks for 1.0 N m and gets 12 A, that is 0.24 N m
    assert saturated.current == pytest.approx(12.0) and saturated.governor_rate == pytest.approx(24.0)


@pytest.mark.parametrize("speed", [0.0, 60.0, 99.0])
def test_at_a_limit_the_governor_comes_to_rest_at_what_the_limit_gives(speed):
    """Back-calculation: the integral alone then asks for the 0.24 N m of 12 A, whatever the error, so that
    the current leaves the limit as soon as the speed asked for is reached.
    """
    motor, wanted = motor_of(10.0, 1.0, 500.0, limit=12.0), driver_of(CONTROL_SPEED, 100.0)
    held = 12.0 * 0.02 / 0.1
    at_rest = drive(motor, wanted, speed, governor=held)
    assert at_rest.current == pytest.approx(12.0) and at_rest.governor_rate == pytest.approx(0.0, abs=1e-9)
    assert drive(motor, wanted, speed, governor=2.0 * held).governor_rate < 0.0
    assert drive(motor, wanted, 101.0, governor=held).current < 12.0


def test_drag_brake_sticks_and_gives_its_stated_torque():
    """Slipping it gives idle drag plus its share of the brake torque; at rest it holds what the bristles
    hold.
    """
    motor = motor_of(10.0, 1.0, 500.0, idle=0.004, brake=0.06)
    for share in (0.0, 0.5, 1.0):
        full = 0.004 + share * 0.06
        braked = driver_of(CONTROL_TORQUE, 0.0, brake=share)
        for speed in (200.0, -200.0):
            steady = math.copysign(motor.presliding, speed)
            led = drive(motor, braked, speed, bristle=steady)
            assert led.bristle_rate == pytest.approx(0.0, abs=1e-9)
            assert led.drag == pytest.approx(math.copysign(full, speed), rel=1e-12)
        held = drive(motor, braked, 0.0, bristle=0.3 * motor.presliding)
        assert held.drag == pytest.approx(0.3 * full, rel=1e-12) and held.bristle_rate == 0.0
