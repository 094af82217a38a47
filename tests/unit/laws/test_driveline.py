"""Driver's tables, gears that only lose, shafts that store, and a branch that is not driven."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from simcore.compiled import (
    BRANCH,
    CONTROL_SPEED,
    CONTROL_THROTTLE,
    CONTROL_TORQUE,
    DRIVE_LEDGER,
    DRIVER,
    MOTOR,
    MOTOR_LEDGER,
    TABLE,
    blank,
)
from simcore.laws.driveline import GEAR_BLEND, branch_forces, motor_forces, requested_current, table_value

SPINS = st.floats(-60.0, 60.0)
ROTORS = st.floats(-2000.0, 2000.0)
WIND_UPS = st.floats(-3.0, 3.0)


def both(law):
    """The law compiled and as plain Python."""
    return [law, getattr(law, "py_func", law)]


def fill(table, rows):
    table.time[:], table.value[:], table.rows = math.inf, 0.0, len(rows)
    for i, (time, value) in enumerate(rows):
        table.time[i], table.value[i] = time, value


def branch_of(driven=1.0, ratio=35.0, stiffness=0.2, damping=1e-4):
    branch = blank(BRANCH)[0]
    branch.driven, branch.ratio, branch.stiffness, branch.damping = driven, ratio, stiffness, damping
    return branch


def turned(branch, rotor, spin, wind_up, efficiency=0.8, law=branch_forces):
    led = blank(DRIVE_LEDGER, math.nan)[0]
    law(led, branch, efficiency, rotor, spin, wind_up)
    return led


@pytest.mark.parametrize("law", both(table_value), ids=["compiled", "plain"])
def test_table_is_straight_between_rows_and_held_outside(law):
    table, rows = blank(TABLE)[0], [(0.5, 1.0), (1.0, 3.0), (1.0 + 1e-9, 5.0), (4.0, -1.0)]
    fill(table, rows)
    times, values = zip(*rows, strict=True)
    for time in np.linspace(-1.0, 6.0, 141):
        assert law(table, time) == pytest.approx(np.interp(time, times, values), abs=1e-12)
    fill(table, [(2.0, 7.0)])
    assert [law(table, time) for time in (0.0, 2.0, 9.0)] == [7.0, 7.0, 7.0]


@pytest.mark.parametrize("law", both(table_value), ids=["compiled", "plain"])
def test_table_may_step(law):
    table = blank(TABLE)[0]
    fill(table, [(0.0, 1.0), (1.0, 1.0), (1.0, 2.0), (3.0, 2.0)])
    assert law(table, 0.999) == 1.0 and law(table, 1.0) == 2.0


@pytest.mark.parametrize("law", both(branch_forces), ids=["compiled", "plain"])
@settings(deadline=None)
@given(rotor=ROTORS, spin=SPINS, wind_up=WIND_UPS, efficiency=st.floats(0.3, 1.0))
def test_branch_never_creates_power_and_its_energy_closes(law, rotor, spin, wind_up, efficiency):
    """Power from the rotor = power to the wheels + growth of the shaft's energy + losses, whatever turns
    which way.
    """
    branch = branch_of()
    led = turned(branch, rotor, spin, wind_up, efficiency, law)
    assert led.wind_up_rate == pytest.approx(rotor - 35.0 * spin, abs=1e-9)
    assert led.shaft_torque == pytest.approx(0.2 * wind_up + 1e-4 * led.wind_up_rate, abs=1e-12)
    assert led.stored == pytest.approx(0.1 * wind_up**2)
    assert led.lost_gears >= 0.0 and led.lost_shaft >= 0.0
    growth = 0.2 * wind_up * led.wind_up_rate
    told = led.wheel_torque * spin + growth + led.lost_gears + led.lost_shaft
    assert led.shaft_torque * rotor == pytest.approx(told, rel=1e-9, abs=1e-9)


@pytest.mark.parametrize("torque", [-0.01, 0.01])
@pytest.mark.parametrize("spin", [-20.0, 20.0])
def test_gears_lose_in_both_directions(torque, spin):
    """Driving gives the wheels eta of the ideal torque; driven by the wheels they must bring 1/eta of it."""
    branch = branch_of(damping=0.0)
    led = turned(branch, 35.0 * spin, spin, torque / 0.2)
    ideal, driving = 35.0 * torque, torque * spin > 0.0
    assert abs(ideal * spin) > 50.0 * GEAR_BLEND
    assert led.wheel_torque == pytest.approx(ideal * 0.8 if driving else ideal / 0.8, rel=1e-9)


def test_standing_gears_pass_the_torque_whole():
    assert turned(branch_of(), 0.0, 0.0, 0.5).wheel_torque == pytest.approx(35.0 * 0.1)


@settings(deadline=None)
@given(rotor=ROTORS, spin=SPINS, wind_up=WIND_UPS)
def test_branch_that_is_not_driven_neither_winds_up_nor_turns_a_wheel(rotor, spin, wind_up):
    for law in both(branch_forces):
        led = turned(branch_of(driven=0.0), rotor, spin, wind_up, law=law)
        assert all(led[name] == 0.0 for name in DRIVE_LEDGER.names)


def test_overdriven_front_winds_up_while_both_axles_roll_alike():
    """Overdrive of 10 %: rolling 1 rad at both axles winds the front branch by G (1 - 1/1.1) against the
    locked rotor.
    """
    rear, front = branch_of(ratio=35.0), branch_of(ratio=35.0 / 1.1)
    rotor = 35.0 * 10.0
    assert turned(rear, rotor, 10.0, 0.0).wind_up_rate == pytest.approx(0.0, abs=1e-9)
    assert turned(front, rotor, 10.0, 0.0).wind_up_rate == pytest.approx(350.0 * (1.0 - 1.0 / 1.1))
    wants = 11.0  # rad/s
    assert turned(front, rotor, wants, 0.0).wind_up_rate == pytest.approx(0.0, abs=1e-9)


def motor_of():
    motor = blank(MOTOR, math.nan)[0]
    motor.constant, motor.voltage, motor.resistance, motor.current_limit = 0.004, 12.0, 0.08, 60.0
    motor.idle_torque, motor.brake_torque, motor.presliding, motor.settling_time = 0.005, 0.06, 0.2, 0.002
    return motor


def driver_of(control, request, brake=((0.0, 0.0),), release=0.0):
    driver = blank(DRIVER, math.nan)[0]
    driver.control, driver.release, driver.proportional, driver.integral = control, release, 1e-4, 1e-3
    fill(driver.request, request)
    fill(driver.brake, list(brake))
    return driver


@pytest.mark.parametrize("law", both(requested_current), ids=["compiled", "plain"])
@pytest.mark.parametrize("control", [CONTROL_TORQUE, CONTROL_THROTTLE, CONTROL_SPEED])
def test_nothing_is_asked_for_before_the_release(law, control):
    driver = driver_of(control, [(0.0, 0.5)], release=1.0)
    assert law(motor_of(), driver, 0.999, 0.0, 0.3) == 0.0
    assert law(motor_of(), driver, 1.0, 0.0, 0.3) > 0.0


@pytest.mark.parametrize("law", both(motor_forces), ids=["compiled", "plain"])
@settings(deadline=None)
@given(speed=ROTORS, asked=st.floats(-1.0, 1.0), bend=st.floats(-1.0, 1.0), share=st.floats(0.0, 1.0))
def test_motor_stays_within_battery_and_controller(law, speed, asked, bend, share):
    motor, led = motor_of(), blank(MOTOR_LEDGER, math.nan)[0]
    law(led, motor, driver_of(CONTROL_TORQUE, [(0.0, asked)], [(0.0, share)]), 0.5, speed, bend * 0.2, 0.0)
    forward, backward = (12.0 - 0.004 * speed) / 0.08, (-12.0 - 0.004 * speed) / 0.08
    assert max(backward, -60.0) - 1e-9 <= led.current <= min(forward, 60.0) + 1e-9
    assert led.torque == pytest.approx(0.004 * led.current)
    assert led.brake_share == share
    level = 0.005 + share * 0.06
    rate = speed - abs(speed) * bend
    assert led.bristle_rate == pytest.approx(rate, abs=1e-9)
    micro = level / 0.2 * 0.002 * math.exp(-((speed / 20.0) ** 2))
    assert led.drag == pytest.approx(level * bend + micro * rate, abs=1e-12)
    lost = led.drag * speed - level * bend * led.bristle_rate  # what is not stored
    assert lost >= -1e-12


def test_controller_brakes_or_drives():
    """Held speed: with the brake on, the asked current fades and the governor stops counting."""
    motor, led = motor_of(), blank(MOTOR_LEDGER, math.nan)[0]
    for share in (0.0, 0.4, 1.0):
        motor_forces(
            led, motor, driver_of(CONTROL_SPEED, [(0.0, 100.0)], [(0.0, share)]), 0.5, 60.0, 0.0, 2.0
        )
        assert led.torque == pytest.approx((1.0 - share) * (1e-4 * 40.0 + 1e-3 * 2.0))
        assert led.governor_rate == pytest.approx((1.0 - share) * 40.0)
