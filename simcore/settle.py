"""The start: the rig standing still on its ground, friction at rest, all forces in balance."""

import math

import numpy as np
import numpy.typing as npt
from scipy.integrate import solve_ivp
from scipy.optimize import root

from simcore.compiled import CONTROL_SPEED, LEDGER, REAR, STATE, STATES, Record, blank, kernel
from simcore.faults import BadInput, Fault
from simcore.files.scenario import Scenario
from simcore.forces import fill_forces
from simcore.frame import lever
from simcore.motion import derivative, evaluate
from simcore.rig.masses import SIDES
from simcore.rig.model import Model
from simcore.rig.place import place_rig

Vector = npt.NDArray[np.float64]
UNKNOWNS = 16  # nine places, four link forces, turns of both wheels and of the rotor
LIGHT_OIL = 20.0  # N*s/m
STILL = 1e-6  # m/s^2 (rad/s^2), largest acceleration of a rig that stands


@kernel
def most_bent(tyre: Record, grip: float) -> float:
    """Bristle deflection at which a standing tyre begins to slide, m: level over stiffness."""
    return grip * tyre.peak * tyre.relaxation_length / tyre.slip_stiffness


@kernel
def saturated(value: float, most: float) -> float:
    """The value itself up to 90 % of the most, then smoothly towards 99.99 % of it."""
    share = abs(value) / most
    if share <= 0.9:
        return value
    return math.copysign(most * (0.9 + 0.0999 * math.tanh((share - 0.9) / 0.0999)), value)


@kernel
def set_standing(state: Record, unknown: Vector, placed: Record, rig: Record, led: Record) -> None:
    """State of a rig at rest from the unknowns.

    The tyres' bristles follow from how far the wheels turned against how far the axles moved, up to what the
    grip can bend them, so that one tyre may slide while the other holds; the wind-up follows from how far the
    rotor turned against the wheels. Both count from the relaxed rig as it was placed.
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
        bent = axle.tyre.radius * turn - d_x * along.x - d_z * along.z
        state.tyre_bristle[i] = saturated(bent, most_bent(axle.tyre, led.axle[i].tyre.contact.grip))
        state.wind_up[i] = axle.branch.driven * (
            unknown[15] - axle.branch.ratio * (turn + unknown[5 + 3 * i])
        )
    state.rotor_bristle = unknown[15]


@kernel
def imbalance(
    shifted: Vector, placed: Record, rigs: Record, pieces: Record, leds: Record, start: Record
) -> Vector:
    """What keeps the rig from standing still: forces per weight, link errors and torques, all zero in
    equilibrium.

    Parameters
    ----------
    shifted : the unknowns plus 1: SciPy's root finders step by a share of the unknown when they difference,
        and would stand still at 0
    start : ledger of the placed rig, array of length one; gives the ground direction at each axle
    """
    state, rig, led = np.zeros(STATES).view(STATE)[0], rigs[0], leds[0]
    unknown = shifted - 1.0
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


def relax(model: Model, state: Record, seconds: float = 4.0) -> Record:
    """Let the rig fall into place with the driver's hands off: a start for the search when the straight way
    fails. Shocks slide freely in light oil meanwhile; where a rig stands at rest does not depend on them.
    """
    frozen = model.rigs.copy()
    for axle in frozen[0].axle:
        shock = axle.shock
        shock.friction.breakaway, shock.friction.sliding, shock.damper_rows = 0.0, 0.0, 0.0
        shock.compression, shock.rebound = LIGHT_OIL, LIGHT_OIL
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
    state, led = _search(model, place_rig(scenario, model))
    faults = _reasons(scenario, model, state, led)
    if faults:
        raise BadInput(faults)
    if model.rig.driver.control == CONTROL_SPEED:
        # the governor takes over what the brake holds
        state.governor = -led.motor.drag / model.rig.driver.integral
    return state


def _search(model: Model, placed: Record) -> tuple[Record, Record]:
    """Standing state and its ledger: found straight from the placed rig, else from one that fell into place.

    Two of SciPy's root finders take turns: one is quick, the other finds out of the corners of a law.
    """
    for fell in (False, True):
        guess = _fallen(model, placed) if fell else np.zeros(UNKNOWNS)
        for method in ("hybr", "lm"):
            state, led = _balance(model, placed, guess, method)
            if _unrest(led) < STILL:
                return state, led
    return state, led


def _balance(model: Model, placed: Record, guess: Vector, method: str) -> tuple[Record, Record]:
    """Search for the standing state from a guess; gives the best found and its ledger."""
    start, leds, state = blank(LEDGER), blank(LEDGER), blank(STATE)[0]
    evaluate(start[0], 0.0, placed, model.rig, model.pieces)
    tools = (placed.reshape(1), model.rigs, model.pieces, leds, start)
    found = root(imbalance, guess + 1.0, args=tools, method=method, tol=1e-13)
    set_standing(state, found.x - 1.0, placed, model.rig, start[0])
    evaluate(leds[0], 0.0, state, model.rig, model.pieces)
    return state, leds[0]


def _fallen(model: Model, placed: Record) -> Vector:
    """Guess for the search: moves, link forces and turns of the rig that fell into place."""
    fallen, leds, guess = relax(model, placed), blank(LEDGER), np.zeros(UNKNOWNS)
    evaluate(leds[0], 0.0, fallen, model.rig, model.pieces)
    for body in range(3):
        before, after = placed.pose[body], fallen.pose[body]
        guess[3 * body : 3 * body + 3] = after.x - before.x, after.z - before.z, after.angle - before.angle
    guess[15] = fallen.rotor_bristle
    for i in range(2):
        branch = model.rig.axle[i].branch
        guess[9 + 2 * i : 11 + 2 * i] = leds[0].axle[i].link_force
        guess[13 + i] = (guess[15] - fallen.wind_up[i]) / branch.ratio - guess[5 + 3 * i]
    return guess


def _unrest(led: Record) -> float:
    """Largest acceleration of any body, m/s^2 or rad/s^2."""
    values = [getattr(body, k) for body in led.acceleration for k in ("x", "z", "angle")]
    worst = float(np.max(np.abs(values)))
    return worst if math.isfinite(worst) else math.inf


def _reasons(scenario: Scenario, model: Model, state: Record, led: Record) -> list[Fault]:
    """Why the rig cannot stand where it was put; empty when it can."""
    restless, motor = _unrest(led) >= STILL, model.rig.motor
    parts = list(zip(SIDES, model.rig.axle, led.axle, strict=True))
    lifted = [name for name, _, part in parts if part.tyre.load <= 0.0]
    braked = [(axle, part.tyre) for _, axle, part in parts if axle.branch.driven]
    grip = max(tyre.contact.grip * axle.tyre.peak for axle, tyre in braked)
    rear, front = (part.tyre.contact.foot for _, _, part in parts)
    slope = math.atan2(front.z - rear.z, front.x - rear.x)
    pull = model.bench.whole.mass * model.rig.gravity * abs(math.sin(slope))
    hold = motor.idle_torque + led.motor.brake_share * motor.brake_torque
    need = hold * abs(state.rotor_bristle) / motor.presliding
    if restless:
        need = pull * model.rig.axle[REAR].tyre.radius / model.rig.axle[REAR].branch.ratio
    must_be = ""
    if lifted:
        got = f"a start with the {' and '.join(lifted)} tyres in the air"
        must_be = "ground on which the rig stands with both axles (here it tips over)"
    elif need > 0.999 * hold and (restless or need > 0.0):
        got = f"a start that the drag brake must hold with {need * 1e3:.1f} N*mm at the motor"
        must_be = f"at most {hold * 1e3:.1f} N*mm (rig motor.brake_torque and driver.brake)"
    elif restless and pull > 0.95 * grip * sum(tyre.load for _, tyre in braked):
        got = f"a start on ground of {math.degrees(slope):.1f} deg, where the braked rig slides"
        share = pull / sum(tyre.load for _, tyre in braked)
        must_be = f"less steep, or grippier: the braked tyres need {share:.2f} per load, they have {grip:.2f}"
    elif restless:
        travels = ", ".join(f"{name} shocks {part.shock.travel * 1e3:.1f} mm in" for name, _, part in parts)
        got = f"a rig that finds no balance where it starts (last tried: {travels})"
        must_be = "a rig that stands: check springs, masses and shock lengths"
    return [Fault(str(scenario.path), "ground", got, must_be)] if must_be else []
