"""From the driver's tables to wheel torque: motor, drag brake, rotor, two elastic branches with overdrive,
gears.
"""

import math

from simcore.compiled import (
    CONTROL_SPEED,
    CONTROL_THROTTLE,
    BranchRecord,
    DriveLedgerRecord,
    DriverRecord,
    MotorLedgerRecord,
    MotorRecord,
    TableRecord,
    kernel,
)
from simcore.laws.bristle import bristle_force, bristle_rate

GEAR_BLEND = 2e-4  # W, power over which the gear loss turns from one direction to the other
BRAKE_FADE = 20.0  # rad/s of the rotor, over which the micro damping of brake and brushes fades


@kernel
def table_value(table: TableRecord, time: float) -> float:
    """Straight-line value of a driver's table, held before its first and after its last row."""
    rows = int(table.rows)
    if time <= table.time[0]:
        return table.value[0]
    for i in range(1, rows):
        if time < table.time[i]:
            share = (time - table.time[i - 1]) / (table.time[i] - table.time[i - 1])
            return table.value[i - 1] + share * (table.value[i] - table.value[i - 1])
    return table.value[rows - 1]


@kernel
def motor_current(motor: MotorRecord, voltage: float, speed: float) -> float:
    """Steady current of a permanent-magnet DC motor, A: ``I = (V - Ke w)/R``, Ke = Kt in SI.

    Source: the straight line from stall to no-load speed, MIT course 2.007, motors 3 and 4 (public page),
    with ``V = I R + Ke w`` around the circuit.
    """
    return (voltage - motor.constant * speed) / motor.resistance


@kernel
def requested_current(
    motor: MotorRecord, driver: DriverRecord, time: float, speed: float, governor: float
) -> float:
    """Current that the driver's request asks for, before the limits of battery and controller, A.

    Torque: ``T/Kt``. Throttle: what the share of the supply voltage drives, never against the throttle (the
    controller lets the motor coast). Held speed: ``T = kp e + ki q``, e the rotor speed error, q its
    integral.
    """
    if time < driver.release:
        return 0.0
    wanted = table_value(driver.request, time)
    if driver.control == CONTROL_THROTTLE:
        if wanted == 0.0:
            return 0.0
        current = motor_current(motor, wanted * motor.voltage, speed)
        return max(current, 0.0) if wanted > 0.0 else min(current, 0.0)
    if driver.control == CONTROL_SPEED:
        torque = driver.proportional * (wanted - speed) + driver.integral * governor
        return torque / motor.constant
    return wanted / motor.constant


@kernel
def motor_forces(
    led: MotorLedgerRecord,
    motor: MotorRecord,
    driver: DriverRecord,
    time: float,
    speed: float,
    bristle: float,
    governor: float,
) -> None:
    """Torque, current and electric power of the motor; brake and no-load drag of the rotor; rate of the
    governor.

    The available current lies between what full supply voltage drives forward and backward at this speed and
    within the current limit. What is asked beyond that is taken back from the governor's integral,
    ``dq/dt = e - (T_asked - T)/kp`` (back-calculation), so that it does not wind up against a limit and the
    motion has no switch in it. Drag: ``L z/theta_s`` with ``L = Kt I0 + brake share * brake torque`` and a
    bristle that sticks, so that a braked rig stands on a slope without creeping.

    Source of the back-calculation: K. J. Astrom and L. Rundqwist, Integrator windup and how to avoid it,
    American Control Conference 1989 (from memory; a copy of the paper would settle the form of the gain).
    """
    led.brake_share = table_value(driver.brake, time)
    wanted = requested_current(motor, driver, time, speed, governor)
    if driver.control == CONTROL_SPEED:
        wanted *= 1.0 - led.brake_share  # a controller brakes or drives, not both
    high = min(motor_current(motor, motor.voltage, speed), motor.current_limit)
    low = max(motor_current(motor, -motor.voltage, speed), -motor.current_limit)
    led.current = min(max(wanted, low), high)
    led.torque = motor.constant * led.current
    led.electric_power = led.current * (led.current * motor.resistance + motor.constant * speed)
    level = motor.idle_torque + led.brake_share * motor.brake_torque
    led.bristle_rate = bristle_rate(speed, bristle, 1.0 / motor.presliding, 1.0, 0.0)
    stiffness = level / motor.presliding
    led.drag = bristle_force(
        speed, bristle, led.bristle_rate, stiffness, stiffness * motor.settling_time, BRAKE_FADE
    )
    led.lost = led.drag * speed
    led.governor_rate = 0.0
    if driver.control == CONTROL_SPEED and time >= driver.release:
        error = table_value(driver.request, time) - speed
        beyond = motor.constant * (wanted - led.current)
        led.governor_rate = (error - beyond / driver.proportional) * (1.0 - led.brake_share)


@kernel
def branch_forces(
    led: DriveLedgerRecord,
    branch: BranchRecord,
    efficiency: float,
    rotor_speed: float,
    relative_spin: float,
    wind_up: float,
) -> None:
    """Torque of one branch: elastic shaft, then the axle's gears, up to the wheels.

    ``dpsi/dt = w_motor - G (w_wheel + dphi/dt)``, shaft torque ``K psi + C dpsi/dt``, wheel torque ``G tau
    eta^tanh(P/P0)``: the
    gears lose power in whichever direction it flows.

    Parameters
    ----------
    led : DRIVE_LEDGER, filled
    branch : ratio G, stiffness K (N*m/rad) and damping C at the motor
    efficiency : eta of the gears
    rotor_speed : rad/s
    relative_spin : wheel spin against the housing, w + dphi/dt, rad/s
    wind_up : psi, rad at the motor
    """
    if branch.driven < 0.5:
        led.wind_up_rate, led.shaft_torque, led.wheel_torque = 0.0, 0.0, 0.0
        led.stored, led.lost_gears, led.lost_shaft, led.lost = 0.0, 0.0, 0.0, 0.0
        return
    led.wind_up_rate = rotor_speed - branch.ratio * relative_spin
    led.shaft_torque = branch.stiffness * wind_up + branch.damping * led.wind_up_rate
    ideal = branch.ratio * led.shaft_torque
    power = ideal * relative_spin
    led.wheel_torque = ideal * efficiency ** math.tanh(power / GEAR_BLEND)
    led.stored = 0.5 * branch.stiffness * wind_up * wind_up
    led.lost_gears = power - led.wheel_torque * relative_spin
    led.lost_shaft = branch.damping * led.wind_up_rate * led.wind_up_rate
    led.lost = led.lost_gears + led.lost_shaft
