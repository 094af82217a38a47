"""States of squat support: why it is or is not to be seen, at every instant and for each axle.

Visible means: it would move the shock by more than the scenario's visible travel. Each instant gets the first
reason that holds, in the order of `Reason`.
"""

import enum

import numpy as np
import numpy.typing as npt

from simcore.accounts.support import Support
from simcore.files.scenario import Visible
from simcore.solve.trace import Trace

Series = npt.NDArray[np.float64]
LEAST_THRUST = 0.02  # of the weight; less counts as no thrust
SPINNING = 0.30  # slip beyond which a tyre counts as spinning
HELD_SPEED = 1e-3  # m/s; a shock that moves faster slides
MOVING = 1e-3  # m/s
TOUCH = 1e-6  # N, least force that counts as touching


class Reason(enum.Enum):
    """What becomes of squat support; the name stands in files, the value in pictures."""

    REVERSED = "reversed by wind-up"
    DRAGGED = "dragged along"
    SPINNING = "spinning"
    NO_THRUST = "no thrust"
    TOO_SMALL = "too small to see"
    ON_A_STOP = "bottomed/topped out"
    HELD = "friction holds it"
    HELD_BY_SHAFT = "the shaft holds it"
    CARRIED = "links hold it"
    SEEN = "moves the shock"


MEANING = {
    Reason.REVERSED: "the axle, wound up by overdrive, pulls against the rig's way: support works backwards",
    Reason.DRAGGED: "no drive pulls the axle back, only rolling and the inertia of its wheels: backwards too",
    Reason.SPINNING: "the tyres slip more than 30 %, and what thrust is left supports too little to see",
    Reason.NO_THRUST: "the axle's thrust is below 2 % of the weight, or its tyres are in the air",
    Reason.TOO_SMALL: "there is thrust, but with these links its support would not move the shock visibly",
    Reason.ON_A_STOP: "the shock is bottomed or topped out: support changes the stop's force, not the travel",
    Reason.HELD: "the shock sticks, and its friction would hold it without the support too",
    Reason.HELD_BY_SHAFT: "the shock sticks, and the drive shaft with its seals would hold it without it too",
    Reason.CARRIED: "the links take the change of load and the shock stays put: support at its best",
    Reason.SEEN: "none of these: support shows in the shock's travel",
}
REASONS = tuple(Reason)


def _direction(trace: Trace, least: float) -> Series:
    """Which way the rig is driven, +1 or -1: by the sum of thrusts, else by how it moves, else 0."""
    thrust = trace.part(0, "tyre", "thrust") + trace.part(1, "tyre", "thrust")
    speed = trace.part(0, "tyre", "ground_speed") + trace.part(1, "tyre", "ground_speed")
    moves = np.where(np.abs(speed) > 2.0 * MOVING, np.sign(speed), 0.0)
    return np.where(np.abs(thrust) > least, np.sign(thrust), moves)


def spring_rate(trace: Trace, i: int) -> Series:
    """Rate of the springs of axle i's shocks that are in touch, N/m at the shock."""
    travel, rate = trace.part(i, "shock", "travel"), np.zeros(len(trace.times))
    for spring in trace.model.rig.axle[i].shock.spring:
        rate = rate + np.where(spring.push * (travel - spring.loose_at) > 0.0, spring.rate, 0.0)
    return np.asarray(rate)


def reasons(trace: Trace, account: Support, i: int, visible: Visible) -> npt.NDArray[np.int8]:
    """What becomes of the squat support of axle i, (n,) as places in `REASONS`.

    Reversed by wind-up: the shaft of this axle is twisted against the other one's. Held by friction: the
    shock rests, and with the support taken away its seals would have to hold ``friction + support / motion
    ratio``, which is still within breakaway. Held by the shaft: the seals alone would not, but together with
    the splines of the drive shaft they would. Carried by the links: the change of load would move the springs
    visibly, but the shock's share of it would not.
    """
    rig, tyre, shock = trace.model.rig, trace.part(i, "tyre"), trace.part(i, "shock")
    thrust, force = tyre["thrust"], account.terms["support"]
    least = LEAST_THRUST * trace.model.bench.whole.mass * rig.gravity
    way = _direction(trace, least)
    to_see = np.abs(account.ratio) * spring_rate(trace, i) * visible.travel  # N at the tyre
    weak = ~(np.abs(force) >= to_see)
    with np.errstate(divide="ignore", invalid="ignore"):
        left = np.abs(shock["friction"] + force / account.ratio)
    backwards = (np.abs(thrust) >= least) & (way * thrust < 0.0)
    wound = trace.part(i, "drive", "shaft_torque") * trace.part(1 - i, "drive", "shaft_torque") < 0.0
    slide, seal = trace.part(i, "slide"), float(rig.axle[i].shock.friction.breakaway)
    both = np.abs(account.terms["friction"] + account.terms["shaft"] + force)
    splines = np.abs(account.lengthening) * slide["level"]
    rests = np.abs(shock["speed"]) < HELD_SPEED
    stops = np.abs(shock["bump_stop"]) + np.abs(shock["droop_stop"])
    holds = {
        Reason.REVERSED: backwards & wound,
        Reason.DRAGGED: backwards,
        Reason.SPINNING: weak & (np.abs(tyre["slip"]) > SPINNING) & (tyre["load"] > TOUCH),
        Reason.NO_THRUST: weak & (np.abs(thrust) < least),
        Reason.TOO_SMALL: weak,
        Reason.ON_A_STOP: stops > TOUCH,
        Reason.HELD: rests & (left <= seal),
        Reason.HELD_BY_SHAFT: rests & (splines > 0.0) & (both <= np.abs(account.ratio) * seal + splines),
        Reason.CARRIED: (np.abs(account.shock_change) < to_see) & (np.abs(account.demand) >= to_see),
    }
    found = np.full(len(trace.times), REASONS.index(Reason.SEEN), np.int8)
    for reason in reversed(holds):  # the first that holds is written last
        found[holds[reason]] = REASONS.index(reason)
    return found
