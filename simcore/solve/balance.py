"""The balance of a standing rig: its state from a few unknowns, and what keeps that state from resting."""

import math

import numpy as np
import numpy.typing as npt

from simcore.compiled import (
    MAX_SKIDS,
    AxleRecord,
    ContactRecord,
    DirectionRecord,
    LedgerRecord,
    PieceRecord,
    PlaceRecord,
    PoseRecord,
    Records,
    RigRecord,
    StateRecord,
    TyreRecord,
    kernel,
)
from simcore.dynamics.forces import fill_forces
from simcore.laws.frame import frame_of, lever
from simcore.laws.ground import normal_force, touch
from simcore.laws.tyre import load_factor

Vector = npt.NDArray[np.float64]
UNKNOWNS = 16  # nine places, four link forces, turns of both wheels and of the rotor


@kernel
def most_bent(tyre: TyreRecord, grip: float) -> float:
    """Bristle deflection at which a standing tyre begins to slide, m: level over stiffness.

    Parameters
    ----------
    tyre : TYRE record
    grip : factor of ground and load, as `TyreLedgerRecord.grip`
    """
    return grip * tyre.peak * tyre.relaxation_length / tyre.slip_stiffness


@kernel
def saturated(value: float, most: float, before: float) -> float:
    """The value itself up to 90 % of the most, or to what it was before, then smoothly towards 99.99 % of the
    most.
    """
    share, knee = abs(value) / most, min(max(abs(before) / most, 0.9), 0.9995)
    if share <= knee:
        return value
    rest = 0.9999 - knee
    return math.copysign(most * (knee + rest * math.tanh((share - knee) / rest)), value)


@kernel
def moved_along(
    unknown: Vector,
    body: int,
    before: PoseRecord,
    after: PoseRecord,
    place: PlaceRecord,
    along: DirectionRecord,
) -> float:
    """How far a point of a body has moved along a direction, m."""
    before_x, before_z = lever(frame_of(before), place)
    after_x, after_z = lever(frame_of(after), place)
    d_x = unknown[3 * body] + after_x - before_x
    d_z = unknown[3 * body + 1] + after_z - before_z
    return d_x * along.x + d_z * along.z


@kernel
def resting_load(
    axle: AxleRecord, pose: PoseRecord, pieces: Records[PieceRecord], contact: ContactRecord
) -> float:
    """Load of an axle's tyres at rest, N; `contact` is filled."""
    arm_x, arm_z = lever(frame_of(pose), axle.centre)
    touch(contact, pieces, pose.x + arm_x, pose.z + arm_z, axle.tyre.radius)
    load, _, _ = normal_force(contact, axle.tyre.radius, axle.tyre.stiffness, 0.0, 0.0, 0.0)
    return load


@kernel
def set_standing(
    state: StateRecord,
    unknown: Vector,
    origin: StateRecord,
    rig: RigRecord,
    start: LedgerRecord,
    pieces: Records[PieceRecord],
    led: LedgerRecord,
) -> None:
    """State of a rig at rest from the unknowns.

    The tyres' bristles follow from how far the wheels turned against how far the axles moved, up to what the
    grip can bend them, so that one tyre may slide while the other holds; the wind-up follows from how far the
    rotor turned against the wheels. All count from the origin, a placed or a sunken rig, bent as that is.

    Parameters
    ----------
    state : STATE, filled; bristles of shocks and shafts are left alone
    origin : STATE from which the unknowns count
    start : LEDGER of the origin; gives direction and grip of the ground at each axle
    led : LEDGER whose contacts of the tyres are filled
    """
    for body in range(3):
        state.pose[body].x = origin.pose[body].x + unknown[3 * body]
        state.pose[body].z = origin.pose[body].z + unknown[3 * body + 1]
        state.pose[body].angle = origin.pose[body].angle + unknown[3 * body + 2]
    for i in range(2):
        axle, contact, turn = rig.axle[i], start.axle[i].tyre.contact, unknown[13 + i]
        way = moved_along(unknown, 1 + i, origin.pose[1 + i], state.pose[1 + i], axle.centre, contact.along)
        bent = origin.tyre_bristle[i] + axle.tyre.radius * turn - way
        load = resting_load(axle, state.pose[1 + i], pieces, led.axle[i].tyre.contact)
        factor = load_factor(load, axle.tyre.reference_load, axle.tyre.load_exponent)
        most = most_bent(axle.tyre, contact.grip * factor)
        state.tyre_bristle[i] = saturated(bent, most, origin.tyre_bristle[i])
        twist = unknown[15] - axle.branch.ratio * (turn + unknown[5 + 3 * i])
        state.wind_up[i] = origin.wind_up[i] + axle.branch.driven * twist
    for i in range(MAX_SKIDS):
        if start.skid[i].load > 0.0:
            along = start.skid[i].contact.along
            way = moved_along(unknown, 0, origin.pose[0], state.pose[0], rig.skid[i].place, along)
            state.skid_bristle[i] = origin.skid_bristle[i] + way
    state.rotor_bristle = origin.rotor_bristle + unknown[15]


@kernel
def imbalance(
    shifted: Vector,
    origins: Records[StateRecord],
    rigs: Records[RigRecord],
    pieces: Records[PieceRecord],
    leds: Records[LedgerRecord],
    starts: Records[LedgerRecord],
    stuck: float,
    states: Records[StateRecord],
) -> Vector:
    """What keeps the rig from standing still: forces per weight, link errors and torques, all zero in
    equilibrium.

    Parameters
    ----------
    shifted : the unknowns plus 1: SciPy's root finders step by a share of the unknown when they difference,
        and would stand still at 0
    origins, rigs, leds, starts, states : arrays of length one; `leds` and `states` are filled
    starts : ledger of the origin
    stuck : 1: the shocks' seals and the drive shafts' splines stick where they are at the origin and bend
        from there; 0: they are at rest and hold nothing
    """
    state, rig, led, origin, start = states[0], rigs[0], leds[0], origins[0], starts[0]
    unknown = shifted - 1.0
    set_standing(state, unknown, origin, rig, start, pieces, led)
    state.shock_bristle[:], state.slide_bristle[:] = 0.0, 0.0
    fill_forces(led, 0.0, state, rig, pieces)
    if stuck > 0.5:
        for i in range(2):
            moved = led.axle[i].shock.travel - start.axle[i].shock.travel
            state.shock_bristle[i] = origin.shock_bristle[i] + moved
            longer = led.axle[i].slide.length - start.axle[i].slide.length
            state.slide_bristle[i] = origin.slide_bristle[i] + longer
        fill_forces(led, 0.0, state, rig, pieces)
    return residual(unknown, led, rig)


@kernel
def residual(unknown: Vector, led: LedgerRecord, rig: RigRecord) -> Vector:
    """Forces left over on each body with the unknown link forces put on, link errors, torques left over."""
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
