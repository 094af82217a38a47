"""The start: the rig standing still on its ground, friction at rest, all forces in balance."""

import math

import numpy as np
import numpy.typing as npt
from scipy.integrate import solve_ivp
from scipy.optimize import brentq, root

from simcore.compiled import CONTROL_SPEED, LEDGER, REAR, STATE, STATES, Record, blank, kernel
from simcore.faults import BadInput, Fault
from simcore.files.scenario import Scenario
from simcore.forces import fill_forces
from simcore.frame import lever
from simcore.ground import normal_force, touch
from simcore.motion import derivative, evaluate
from simcore.rig.model import Model

Vector = npt.NDArray[np.float64]
UNKNOWNS = 16  # nine places, four link forces, turns of both wheels and of the rotor
STILL = 1e-6  # m/s^2 (rad/s^2), largest acceleration of a rig that stands


@kernel
def set_standing(state: Record, unknown: Vector, placed: Record, rig: Record, led: Record) -> None:
    """State of a rig at rest from the unknowns.

    The tyres' bristles follow from how far the wheels turned against how far the axles moved, the wind-up
    from how far
    the rotor turned against the wheels, both counted from the relaxed rig as it was placed.
    """
    for body in range(3):
        state.pose[body].x = placed.pose[body].x + unknown[3 * body]
        state.pose[body].z = placed.pose[body].z + unknown[3 * body + 1]
        state.pose[body].angle = placed.pose[body].angle + unknown[3 * body + 2]
    for i in range(2):
        axle, along = rig.axle[i], led.axle[i].tyre.contact.along
        turn, moved = unknown[13 + i], state.pose[1 + i]
        before_x, before_z = lever(placed.pose[1 + i], axle.centre)
        after_x, after_z = lever(moved, axle.centre)
        d_x = unknown[3 + 3 * i] + after_x - before_x
        d_z = unknown[4 + 3 * i] + after_z - before_z
        state.tyre_bristle[i] = axle.tyre.radius * turn - d_x * along.x - d_z * along.z
        state.wind_up[i] = axle.branch.driven * (
            unknown[15] - axle.branch.ratio * (turn + unknown[5 + 3 * i])
        )
    state.rotor_bristle = unknown[15]


@kernel
def imbalance(
    unknown: Vector, placed: Record, rigs: Record, pieces: Record, leds: Record, start: Record
) -> Vector:
    """What keeps the rig from standing still: forces per weight, link errors and torques, all zero in
    equilibrium.

    Parameters
    ----------
    start : ledger of the placed rig, array of length one; gives the ground direction at each axle
    """
    state, rig, led = np.zeros(STATES).view(STATE)[0], rigs[0], leds[0]
    set_standing(state, unknown, placed[0], rig, start[0])
    fill_forces(led, 0.0, state, rig, pieces)
    out = np.empty(UNKNOWNS)
    for body in range(3):
        out[3 * body], out[3 * body + 1] = led.force[body].x, led.force[body].z
        out[3 * body + 2] = 10.0 * led.force[body].angle
    for i in range(2):
        part = led.axle[i]
        for r in range(2):
            row, push = part.row[r], unknown[9 + 2 * i + r]
            out[0] += push * row.u.x
            out[1] += push * row.u.z
            out[2] += 10.0 * push * row.chassis_lever
            out[3 + 3 * i] -= push * row.u.x
            out[4 + 3 * i] -= push * row.u.z
            out[5 + 3 * i] -= 10.0 * push * row.axle_lever
            out[9 + 2 * i + r] = 1000.0 * row.error
        out[13 + i] = 10.0 * part.spin_acceleration * rig.axle[i].spin_inertia
    out[15] = 100.0 * led.motor_acceleration * rig.motor.inertia
    return out


def _overlap(model: Model, i: int, x: float, z: float, led: Record) -> float:
    """Elastic tyre load of axle i with its wheel centre at a place, N."""
    tyre, contact = model.rig.axle[i].tyre, led.axle[i].tyre.contact
    touch(contact, model.pieces, x, z, tyre.radius)
    return normal_force(contact, tyre.radius, tyre.stiffness, 0.0, 0.0, 0.0)[0]


def place_rig(scenario: Scenario, model: Model) -> Record:
    """Put the rig on its ground as one rigid piece, exactly as measured: links fit, both tyres touch.

    Returns
    -------
    STATE at rest.
    """
    bench, led = model.bench, blank(LEDGER)[0]
    foot, along = foot_at(model.pieces, scenario.start.rear_axle)
    radius = model.rig.axle[REAR].tyre.radius

    def rear_centre(height: float) -> tuple[float, float]:
        return foot[0] - height * along[1], foot[1] + height * along[0]

    def rear_excess(height: float) -> float:
        return _overlap(model, 0, *rear_centre(height), led) - bench.loads[0]

    x, z = rear_centre(brentq(rear_excess, 0.3 * radius, 2.0 * radius))
    span = math.dist(*bench.centres)

    def front_excess(angle: float) -> float:
        return (
            _overlap(model, 1, x + span * math.cos(angle), z + span * math.sin(angle), led) - bench.loads[1]
        )

    angles = np.linspace(math.radians(89.0), math.radians(-89.0), 357)
    touching = next((k for k, angle in enumerate(angles) if front_excess(angle) > 0.0), 0)
    if touching == 0:
        got = f"no ground under the front axle with the rear axle at {scenario.start.rear_axle * 1e3:g} mm"
        raise BadInput(
            [
                Fault(
                    str(scenario.path), "start.rear_axle", got, "a place where both axles stand on the ground"
                )
            ]
        )
    level = math.atan2(bench.centres[1][1] - bench.centres[0][1], bench.centres[1][0] - bench.centres[0][0])
    tilt = brentq(front_excess, angles[touching], angles[touching - 1]) - level
    return _tilted(model, x, z, tilt)


def _tilted(model: Model, x: float, z: float, tilt: float) -> Record:
    """Bench position turned by `tilt` about the rear axle centre, which comes to (x, z)."""
    state, bench = blank(STATE)[0], model.bench
    c, s = math.cos(tilt), math.sin(tilt)
    for pose, body in zip(state.pose, (bench.chassis, *bench.axles), strict=True):
        d_x, d_z = body.x - bench.centres[0][0], body.z - bench.centres[0][1]
        pose.x, pose.z, pose.angle = x + c * d_x - s * d_z, z + s * d_x + c * d_z, tilt
    return state


def foot_at(pieces: Record, distance: float) -> tuple[tuple[float, float], tuple[float, float]]:
    """Point of the course at a distance along it from its origin, and the direction of the ground there."""
    ends = np.cumsum(pieces["length"])
    along_all = distance + _origin(pieces)
    k = min(int(np.searchsorted(ends, along_all)), len(pieces) - 1)
    piece = pieces[k]
    t = (float(piece["along"]["x"]), float(piece["along"]["z"]))
    reach = along_all - (ends[k] - piece["length"])
    return (float(piece["start"]["x"]) + reach * t[0], float(piece["start"]["z"]) + reach * t[1]), t


def _origin(pieces: Record) -> float:
    """Length of the first piece that lies behind the origin (0, 0)."""
    first = pieces[0]
    return -float(first["start"]["x"] * first["along"]["x"] + first["start"]["z"] * first["along"]["z"])


def relax(model: Model, state: Record, seconds: float = 4.0) -> Record:
    """Let the rig fall into place with the driver's hands off: a start for the search when the straight way
    fails.
    """
    frozen = model.rigs.copy()
    frozen[0].driver.release = math.inf
    frozen[0].driver.brake.rows = 1.0
    y = np.frombuffer(state.tobytes()).copy()
    solved = solve_ivp(
        derivative,
        (0.0, seconds),
        y,
        method="LSODA",
        args=(frozen, model.pieces, blank(LEDGER)),
        rtol=1e-6,
        atol=1e-7,
    )
    return solved.y[:, -1].copy().view(STATE)[0]


def settle(scenario: Scenario, model: Model) -> Record:
    """Settled equilibrium of the rig on its ground.

    Returns
    -------
    STATE with every acceleration below 1e-6 m/s^2, shock friction at rest, held by the drag brake through
    shafts and tyres.

    Raises
    ------
    BadInput
        when the rig cannot stand there: it slides, rolls back against the brake, tips over, or finds no
        balance.
    """
    placed = place_rig(scenario, model)
    state, led = _balance(model, placed, np.zeros(UNKNOWNS))
    if _unrest(led) > STILL:
        state, led = _balance(model, placed, _fallen(model, placed))
    faults = _reasons(scenario, model, state, led)
    if faults:
        raise BadInput(faults)
    if model.rig.driver.control == CONTROL_SPEED:
        state.governor = (
            -led.motor.drag / model.rig.driver.integral
        )  # the governor takes over what the brake holds
    return state


def _balance(model: Model, placed: Record, guess: Vector) -> tuple[Record, Record]:
    """Search for the standing state from a guess; gives the best found and its ledger."""
    start, leds, state = blank(LEDGER), blank(LEDGER), blank(STATE)[0]
    evaluate(start[0], 0.0, placed, model.rig, model.pieces)
    found = root(
        imbalance,
        guess,
        args=(placed.reshape(1), model.rigs, model.pieces, leds, start),
        method="hybr",
        tol=1e-13,
    )
    set_standing(state, found.x, placed, model.rig, start[0])
    evaluate(leds[0], 0.0, state, model.rig, model.pieces)
    return state, leds[0]


def _fallen(model: Model, placed: Record) -> Vector:
    """Guess for the search: how far each body moved while the rig fell into place."""
    fallen, guess = relax(model, placed), np.zeros(UNKNOWNS)
    for body in range(3):
        before, after = placed.pose[body], fallen.pose[body]
        guess[3 * body : 3 * body + 3] = after.x - before.x, after.z - before.z, after.angle - before.angle
    return guess


def _unrest(led: Record) -> float:
    """Largest acceleration of any body, m/s^2 or rad/s^2."""
    values = [getattr(body, k) for body in led.acceleration for k in ("x", "z", "angle")]
    worst = float(np.max(np.abs(values)))
    return worst if math.isfinite(worst) else math.inf


def _reasons(scenario: Scenario, model: Model, state: Record, led: Record) -> list[Fault]:
    """Why the rig cannot stand where it was put; empty when it can."""
    file, faults = str(scenario.path), []
    for name, axle, part in zip(("rear", "front"), model.rig.axle, led.axle, strict=True):
        tyre = part.tyre
        if tyre.load <= 0.0:
            got = f"the {name} tyres in the air"
            faults.append(
                Fault(
                    file,
                    "ground",
                    got,
                    "ground that the rig can stand on with both axles (it tips over here)",
                )
            )
        elif abs(tyre.thrust) > 0.999 * tyre.contact.grip * axle.tyre.peak * tyre.load:
            need, have = abs(tyre.thrust) / tyre.load, tyre.contact.grip * axle.tyre.peak
            faults.append(
                Fault(
                    file,
                    "ground",
                    f"a start where the {name} tyres need a grip of {need:.2f} to stand",
                    f"at most {have:.2f}, what they have there",
                )
            )
    hold = model.rig.motor.idle_torque + led.motor.brake_share * model.rig.motor.brake_torque
    if not faults and abs(state.rotor_bristle) > 0.999 * model.rig.motor.presliding:
        need = hold * abs(state.rotor_bristle) / model.rig.motor.presliding
        got = f"a start that the drag brake must hold with {need * 1e3:.1f} N*mm at the motor"
        faults.append(
            Fault(
                file,
                "ground",
                got,
                f"at most {hold * 1e3:.1f} N*mm (rig motor.brake_torque and driver.brake)",
            )
        )
    if not faults and _unrest(led) >= STILL:
        states = ", ".join(
            f"{name} shocks {part.shock.travel * 1e3:.1f} mm in"
            for name, part in zip(("rear", "front"), led.axle, strict=True)
        )
        faults.append(
            Fault(
                file,
                "ground",
                f"a rig that finds no balance where it starts (last tried: {states})",
                "a rig that stands: check springs, masses and shock lengths",
            )
        )
    return faults
