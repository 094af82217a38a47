"""The start: the rig standing still on its ground, friction at rest, all forces in balance; or why it cannot.

A balance is looked for straight from the rig as it was placed. Where that finds none, the rig is put down and
left to sink to rest (`simcore.solve.fall`), and the balance is looked for there.
"""

import math

import numpy as np
import numpy.typing as npt
from scipy.optimize import root

from simcore.compiled import CONTROL_SPEED, LEDGER, STATE, STORES, LedgerRecord, StateRecord, blank
from simcore.dynamics.motion import evaluate
from simcore.files.scenario import Scenario
from simcore.rig.initial_pose import initial_pose
from simcore.rig.model import Model
from simcore.solve.balance import UNKNOWNS, imbalance
from simcore.solve.fall import Sight, fall
from simcore.solve.refusal import refusal

Vector = npt.NDArray[np.float64]
STILL = 1e-6  # m/s^2 (rad/s^2), largest acceleration of a rig that stands
SLOW = 1e-3  # m/s, speed of a sinking rig below which its balance is looked for
BRAKE_HOLDS = 0.999  # share of what the drag brake can hold, up to which it holds for good
SEAL_HOLDS = 1.0001  # likewise of a seal and a skid, which may rest where they have just slid
NEAR, TURNED = 5e-3, 0.01  # m, rad: how far the balance may be from there; bent tyres reach a few millimetres


def settle(scenario: Scenario, model: Model) -> StateRecord:
    """Settled equilibrium of the rig on its ground.

    Returns
    -------
    STATE with every acceleration below 1e-6 m/s^2, held by the drag brake through shafts and tyres. Shock
    friction is at rest, unless the rig hangs on it alone.

    Raises
    ------
    CannotStand
        when the rig cannot stand there: it slides, rolls back against the brake, tips over, or finds no
        balance.
    """
    placed = initial_pose(scenario, model)
    state = _balance(model, placed, np.zeros(UNKNOWNS), stuck=False)
    if state is None:
        state = _fallen(scenario, model, placed)
    if model.rig.driver.control == CONTROL_SPEED:
        # the governor takes over what the brake holds
        state.governor = -model.ledger(state).motor.drag / model.rig.driver.integral
    return state


def _fallen(scenario: Scenario, model: Model, placed: StateRecord) -> StateRecord:
    """Balance of the rig that was put down: its seals sliding freely, or else with their own friction."""
    for free_seals in (True, False):
        before = math.inf
        for sight in fall(model, placed, free_seals):
            if sight.speed < min(SLOW, before) and not sight.gone:
                state = _at_rest(model, sight, stuck=not free_seals)
                if state is not None:
                    return state
            before = sight.speed
        if sight.gone:
            break
    raise refusal(scenario, model, sight)


def _at_rest(model: Model, sight: Sight, stuck: bool) -> StateRecord | None:
    """Balance right where a sinking rig has all but come to rest; None if there is none."""
    guess = np.zeros(UNKNOWNS)
    for i in range(2):
        guess[9 + 2 * i : 11 + 2 * i] = sight.led.axle[i].link_force
    state = _balance(model, sight.state, guess, stuck)
    if state is None:
        return None
    for before, after in zip(sight.state.pose, state.pose, strict=True):
        way = math.hypot(after.x - before.x, after.z - before.z)
        if way > NEAR or abs(after.angle - before.angle) > TURNED:
            return None
    return state


def _balance(model: Model, origin: StateRecord, guess: Vector, stuck: bool) -> StateRecord | None:
    """Search for a balance from a guess of the unknowns of `solve.balance`, which count from an origin.

    Two of SciPy's root finders take turns: one is quick, the other finds out of the corners of a law.
    """
    still = blank(STATE)
    still[0] = origin
    for rate in still[0].rate:
        rate.x, rate.z, rate.angle = 0.0, 0.0, 0.0
    still[0].spin[:], still[0].motor = 0.0, 0.0
    start, led, state = blank(LEDGER), blank(LEDGER), still.copy()
    evaluate(start[0], 0.0, still[0], model.rig, model.pieces)
    tools = (still, model.rigs, model.pieces, led, start, float(stuck), state)
    for method in ("hybr", "lm"):
        found = root(imbalance, guess + 1.0, args=tools, method=method, tol=1e-13)
        imbalance(found.x, *tools)
        evaluate(led[0], 0.0, state[0], model.rig, model.pieces)
        if _unrest(led[0]) < STILL and _holds(model, state[0], led[0]):
            return rested(state[0])
    return None


def _holds(model: Model, state: StateRecord, led: LedgerRecord) -> bool:
    """Whether a balance is one of the rig: both axles stand, no friction holds more than it can."""
    rig, motor = model.rig, model.rig.motor
    shocks = [(part.shock.friction, axle.shock) for part, axle in zip(led.axle, rig.axle, strict=True)]
    return (
        all(part.tyre.load > 0.0 for part in led.axle)
        and abs(state.rotor_bristle) < BRAKE_HOLDS * motor.presliding
        and all(abs(held) <= SEAL_HOLDS * shock.friction.breakaway for held, shock in shocks)
        and all(
            abs(bristle) <= SEAL_HOLDS * skid.friction.presliding
            for bristle, skid in zip(state.skid_bristle, rig.skid, strict=True)
        )
        and all(
            abs(bristle) <= SEAL_HOLDS * axle.slide.presliding
            for bristle, axle in zip(state.slide_bristle, rig.axle, strict=True)
        )
    )


def rested(state: StateRecord) -> StateRecord:
    """The standing state with its sums of way and energy set back to the start."""
    state.distance, state.work_in, state.dissipated, state.electric = 0.0, 0.0, 0.0, 0.0
    state.gained = blank(STORES)[0]
    return state


def _unrest(led: LedgerRecord) -> float:
    """Largest acceleration of any body, m/s^2 or rad/s^2."""
    values = [getattr(body, k) for body in led.acceleration for k in ("x", "z", "angle")]
    worst = float(np.max(np.abs(values)))
    return worst if math.isfinite(worst) else math.inf
