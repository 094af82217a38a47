"""Equations of motion: sums the ledger, solves for accelerations and link forces, returns the derivative."""

import numpy as np
import numpy.typing as npt

from simcore.compiled import (
    FRONT,
    MAX_SKIDS,
    REAR,
    STATE,
    STATES,
    LedgerRecord,
    PieceRecord,
    Records,
    RigRecord,
    StateRecord,
    kernel,
)
from simcore.dynamics.elimination import factorise, solve_factorised
from simcore.dynamics.forces import fill_forces

Vector = npt.NDArray[np.float64]
NUDGE = 1e-7  # relative step of the differences, about the root of the rounding error


@kernel
def _row_forcing(led: LedgerRecord, rig: RigRecord, a: int, r: int) -> float:
    """Right-hand side of one constraint row: what link force must add to the free accelerations.

    ``-J M^-1 F - J'v - 2 alpha J v - alpha^2 g``; alpha pulls numerical drift back (Baumgarte, Comput.
    Methods Appl. Mech. Eng. 1, 1972).
    """
    row, on_chassis, on_axle = led.axle[a].row[r], led.force[0], led.force[1 + a]
    chassis, axle = rig.chassis, rig.axle[a].body
    free = row.u.x * (on_chassis.x / chassis.mass - on_axle.x / axle.mass)
    free += row.u.z * (on_chassis.z / chassis.mass - on_axle.z / axle.mass)
    free += row.chassis_lever * on_chassis.angle / chassis.inertia
    free -= row.axle_lever * on_axle.angle / axle.inertia
    rate = rig.drift_rate
    return -free - row.bias - 2.0 * rate * row.error_rate - rate * rate * row.error


@kernel
def _row_coupling(led: LedgerRecord, rig: RigRecord, a: int, r: int, b: int, s: int) -> float:
    """Element of ``J M^-1 J^T``: rows of one axle meet in chassis and axle, rows of different axles in the
    chassis alone.
    """
    one, two, chassis = led.axle[a].row[r], led.axle[b].row[s], rig.chassis
    along = one.u.x * two.u.x + one.u.z * two.u.z
    value = along / chassis.mass + one.chassis_lever * two.chassis_lever / chassis.inertia
    if a == b:
        axle = rig.axle[a].body
        value += along / axle.mass + one.axle_lever * two.axle_lever / axle.inertia
    return value


@kernel
def solve_accelerations(led: LedgerRecord, rig: RigRecord) -> None:
    """Accelerations of the bodies and forces of the links.

    ``M a = F + J^T lambda``, ``J a = -J'v - 2 alpha J v - alpha^2 g``, solved as ``(J M^-1 J^T) lambda =
    ...``.

    Parameters
    ----------
    led : LEDGER with forces and rows filled; link forces and accelerations are added
    rig : RIG
    """
    matrix, multiplier = np.empty((4, 4)), np.empty(4)
    for i in range(4):
        multiplier[i] = _row_forcing(led, rig, i // 2, i % 2)
        for j in range(i + 1):
            matrix[i, j] = matrix[j, i] = _row_coupling(led, rig, i // 2, i % 2, j // 2, j % 2)
    factorise(matrix)  # symmetric and positive: nothing need be exchanged
    solve_factorised(matrix, multiplier)
    acceleration = led.acceleration
    for body in range(3):
        acceleration[body].x = led.force[body].x
        acceleration[body].z = led.force[body].z
        acceleration[body].angle = led.force[body].angle
    for i in range(4):
        a, r = i // 2, i % 2
        push, row = multiplier[i], led.axle[a].row[r]
        led.axle[a].link_force[r] = push
        acceleration[0].x += push * row.u.x
        acceleration[0].z += push * row.u.z
        acceleration[0].angle += push * row.chassis_lever
        acceleration[1 + a].x -= push * row.u.x
        acceleration[1 + a].z -= push * row.u.z
        acceleration[1 + a].angle -= push * row.axle_lever
    for body in range(3):
        mass = rig.chassis if body == 0 else rig.axle[body - 1].body
        acceleration[body].x /= mass.mass
        acceleration[body].z /= mass.mass
        acceleration[body].angle /= mass.inertia


@kernel
def evaluate(
    led: LedgerRecord, time: float, state: StateRecord, rig: RigRecord, pieces: Records[PieceRecord]
) -> None:
    """Fill the whole ledger of one instant: forces, then accelerations and link forces."""
    fill_forces(led, time, state, rig, pieces)
    solve_accelerations(led, rig)


@kernel
def put_rate(
    dy: Vector,
    time: float,
    y: Vector,
    rigs: Records[RigRecord],
    pieces: Records[PieceRecord],
    leds: Records[LedgerRecord],
) -> None:
    """Rate of the whole state, written into `dy`; parameters as for `derivative`."""
    state: StateRecord
    rate: StateRecord  # every number of the state per second
    state, rate, led, oil = y.view(STATE)[0], dy.view(STATE)[0], leds[0], rigs[0].oil
    evaluate(led, time, state, rigs[0], pieces)
    for body in range(3):
        moving, pushed = state.rate[body], led.acceleration[body]
        rate.pose[body].x, rate.pose[body].z, rate.pose[body].angle = moving.x, moving.z, moving.angle
        rate.rate[body].x = pushed.x - oil * moving.x  # links hold as they do without oil
        rate.rate[body].z = pushed.z - oil * moving.z
        rate.rate[body].angle = pushed.angle - oil * moving.angle
    for i in range(2):
        part = led.axle[i]
        rate.spin[i] = part.spin_acceleration
        rate.wind_up[i] = part.drive.wind_up_rate
        rate.shock_bristle[i], rate.slide_bristle[i] = part.shock.bristle_rate, part.slide.bristle_rate
        rate.tyre_bristle[i] = part.tyre.bristle_rate
    for i in range(MAX_SKIDS):
        rate.skid_bristle[i] = led.skid[i].bristle_rate
    rate.motor, rate.rotor_bristle, rate.governor = (
        led.motor_acceleration,
        led.motor.bristle_rate,
        led.motor.governor_rate,
    )
    rate.distance = 0.5 * (led.axle[REAR].tyre.ground_speed + led.axle[FRONT].tyre.ground_speed)
    rate.work_in, rate.dissipated, rate.electric = led.power_in, led.power_lost, led.motor.electric_power
    for i in range(2):
        rate.gained.shock[i], rate.gained.tyre[i] = led.gain.shock[i], led.gain.tyre[i]
        rate.gained.branch[i], rate.gained.slide[i] = led.gain.branch[i], led.gain.slide[i]
    rate.gained.skids, rate.gained.rotor = led.gain.skids, led.gain.rotor


@kernel
def derivative(
    time: float,
    y: Vector,
    rigs: Records[RigRecord],
    pieces: Records[PieceRecord],
    leds: Records[LedgerRecord],
) -> Vector:
    """Rate of the whole state.

    Parameters
    ----------
    time : s
    y : state as a flat array of STATES numbers
    rigs : RIG, array of length one
    pieces : array of PIECE
    leds : LEDGER used as working space, array of length one

    Returns
    -------
    dy/dt as a flat array.
    """
    dy = np.empty(STATES)
    # implicit solvers hand over columns of a matrix, which cannot be read as a record
    put_rate(dy, time, np.ascontiguousarray(y), rigs, pieces, leds)
    return dy


@kernel
def jacobian(
    time: float,
    y: Vector,
    rigs: Records[RigRecord],
    pieces: Records[PieceRecord],
    leds: Records[LedgerRecord],
    scale: Vector,
) -> npt.NDArray[np.float64]:
    """Partial derivatives of `derivative` for an implicit solver, by forward differences.

    In one compiled call they cost a third of what the solver spends when it differences from outside.

    Parameters
    ----------
    time, y, rigs, pieces, leds : as for `derivative`
    scale : size below which each state counts as small; a state with scale 0 moves nothing

    Returns
    -------
    (STATES, STATES) array, row = rate, column = state.
    """
    matrix, moved = np.zeros((STATES, STATES)), y.copy()
    base = derivative(time, y, rigs, pieces, leds)
    for j in range(STATES):
        if scale[j] > 0.0:
            moved[j] = y[j] + NUDGE * max(abs(y[j]), scale[j])
            matrix[:, j] = (derivative(time, moved, rigs, pieces, leds) - base) / (moved[j] - y[j])
            moved[j] = y[j]
    return matrix


@kernel
def evaluate_all(
    ledgers: Records[LedgerRecord],
    times: Vector,
    states: Vector,
    rigs: Records[RigRecord],
    pieces: Records[PieceRecord],
) -> None:
    """Fill one ledger for every instant; `states` has one row an instant."""
    for i in range(len(times)):
        evaluate(ledgers[i], times[i], states[i].view(STATE)[0], rigs[0], pieces)
