"""Pitch and bounce of a rig that stands on the level, held by its drag brake: frequency and damping.

The equations of motion themselves are linearised where the rig stands. Left out is what has no linear part:
friction of the shocks, rolling resistance, gear loss. A damper with different rates both ways counts with
their mean, which takes as much energy out of a swing.
"""

import dataclasses
import itertools

import numpy as np
import numpy.typing as npt
from scipy.linalg import eig

from simcore.compiled import (
    FRONT,
    LEDGER,
    REAR,
    STATE,
    STATES,
    PieceRecord,
    Records,
    RigRecord,
    StateRecord,
    blank,
)
from simcore.dynamics.motion import derivative
from simcore.laws.shock import damper_force
from simcore.rig.model import Model
from simcore.solve.scales import tolerance_scale
from simcore.standing.codes import Swing

Matrix = npt.NDArray[np.float64]
Shape = npt.NDArray[np.complex128]
NUDGE = 1e-6  # of each state's scale, for central differences
NO_SWING = 1e-3  # least share of swinging in an eigenvalue; less is rounding, or creeping back
SLOWEST = 0.1  # rad/s; slower is the drift of a state that nothing holds
SLOW = 1e-3  # m/s, at which a measured damper table is read
STEPS = 40  # from no damping to all of it
ALONE = 0.35  # shock travel of one end per the other's, below which one end swings alone


@dataclasses.dataclass(frozen=True)
class Mode:
    """One way in which the rig swings.

    Attributes
    ----------
    frequency : without any damping, Hz
    swing : with it, Hz; None when it does not swing but creeps back
    damping : share of critical damping, ``-Re(lambda)/|lambda|`` of the damped motion; 1 = it does not swing
    heave, pitch : share of the kinetic energy that rising and turning of the chassis have in it
    moves : which end moves
    """

    frequency: float
    swing: float | None
    damping: float
    heave: float
    pitch: float
    moves: Swing


@dataclasses.dataclass(frozen=True)
class Modes:
    """Pitch and bounce; None when the rig does not swing about where it stands."""

    pitch: Mode | None
    bounce: Mode | None


@dataclasses.dataclass(frozen=True)
class _Swing:
    """An undamped mode: angular frequency, left and right vector, shares of heave and pitch of the chassis in
    its kinetic energy.
    """

    omega: float
    left: Shape
    shape: Shape
    heave: float
    pitch: float


def _linear(model: Model) -> Records[RigRecord]:
    """The rig without friction, rolling resistance and gear loss, its dampers linear."""
    rigs = model.rigs.copy()
    rigs[0].motor.efficiency = 1.0
    for axle in rigs[0].axle:
        shock = axle.shock
        mean = (damper_force(shock, SLOW) - damper_force(shock, -SLOW)) / (2.0 * SLOW)
        shock.compression, shock.rebound, shock.damper_rows = mean, mean, 0.0
        shock.friction.breakaway, shock.friction.sliding, axle.slide.friction = 0.0, 0.0, 0.0
        axle.tyre.rolling_resistance = 0.0
    return rigs


def _undamped(rigs: Records[RigRecord]) -> Records[RigRecord]:
    """The same without anything that damps: shocks, stops, tyres, shafts, bristles."""
    rigs = rigs.copy()
    rigs[0].motor.settling_time = 0.0
    for axle in rigs[0].axle:
        shock = axle.shock
        shock.compression, shock.rebound = 0.0, 0.0
        shock.bump_stop.damping, shock.droop_stop.damping = 0.0, 0.0
        axle.tyre.damping, axle.tyre.settling_time, axle.branch.damping = 0.0, 0.0, 0.0
    for skid in rigs[0].skid:
        skid.damping, skid.friction.settling_time = 0.0, 0.0
    return rigs


def slopes_at(rigs: Records[RigRecord], pieces: Records[PieceRecord], y: Matrix) -> Matrix:
    """Jacobian of the derivative at a state, (STATES, STATES), by central differences: at a corner of a law
    they give the mean of both sides.
    """
    working, matrix = blank(LEDGER), np.empty((STATES, STATES))
    for k, step in enumerate(NUDGE * tolerance_scale()):
        ends = []
        for way in (step, -step):
            moved = y.copy()
            moved[k] += way
            ends.append(derivative(0.0, moved, rigs, pieces, working))
        matrix[:, k] = (ends[0] - ends[1]) / (2.0 * step)
    return matrix


def _halves(shape: Shape) -> list[StateRecord]:
    """Real and imaginary part of a mode as states."""
    return [np.ascontiguousarray(part).view(STATE)[0] for part in (shape.real, shape.imag)]


def _energies(rig: RigRecord, shape: Shape) -> Matrix:
    """Twice the kinetic energy of a mode: all of it, of rising and of turning of the chassis, (3,)."""
    sums = np.zeros(3)
    for part in _halves(shape):
        for k, rate in enumerate(part.rate):
            body = rig.chassis if k == 0 else rig.axle[k - 1].body
            rising, turning = body.mass * rate.z**2, body.inertia * rate.angle**2
            sums += rising + body.mass * rate.x**2 + turning, rising * (k == 0), turning * (k == 0)
        spins = sum(axle.spin_inertia * spin**2 for axle, spin in zip(rig.axle, part.spin, strict=True))
        sums[0] += spins + rig.motor.inertia * part.motor**2
    return sums


def _shock_speeds(model: Model, state: StateRecord, shape: Shape) -> tuple[complex, complex]:
    """Speeds of both axles' shocks in a mode."""
    speeds = []
    for part in _halves(shape):
        moving = state.copy()
        moving.rate = part.rate
        speeds.append([float(axle.shock.speed) for axle in model.ledger(moving).axle])
    (rear, front), (rear_late, front_late) = speeds
    return complex(rear, rear_late), complex(front, front_late)


def _swings(rig: RigRecord, free: Matrix) -> list[_Swing]:
    """Every undamped mode."""
    rates, left, right = eig(free, left=True)
    found = []
    for k in range(len(rates)):
        w = float(rates[k].imag)
        if w >= SLOWEST and abs(rates[k].real) <= NO_SWING * w:
            whole, heave, pitch = _energies(rig, right[:, k])
            found.append(_Swing(w, left[:, k], right[:, k], float(heave / whole), float(pitch / whole)))
    return found


def _damped(free: Matrix, damping: Matrix, mode: _Swing) -> complex:
    """What becomes of a mode's eigenvalue as damping grows from nothing to all of it.

    At each step the new mode is the one least square to the last one's left vector, which is square to every
    other mode.
    """
    left, rate = mode.left, complex(0.0, mode.omega)
    for share in np.linspace(0.0, 1.0, STEPS + 1)[1:]:
        rates, lefts, rights = eig(free + share * damping, left=True)
        k = int(np.argmax(np.abs(left.conj() @ rights)))
        left, rate = lefts[:, k], complex(rates[k])
        if rate.imag <= NO_SWING * abs(rate):
            return complex(rate.real, 0.0)
    return rate


def _moves(speeds: tuple[complex, complex]) -> Swing:
    """Which end of the rig moves in a mode, by its shocks."""
    rear, front = abs(speeds[REAR]), abs(speeds[FRONT])
    if min(rear, front) < ALONE * max(rear, front):
        return Swing.REAR_END if rear > front else Swing.FRONT_END
    together = (speeds[REAR] * speeds[FRONT].conjugate()).real > 0.0
    return Swing.ENDS_TOGETHER if together else Swing.ENDS_OPPOSED


def modes_of(model: Model, state: StateRecord) -> Modes:
    """Pitch and bounce: of all pairs of modes the one with most of its kinetic energy in pitch and in heave
    of the chassis.

    There are more modes: with its wheels held the rig also sways fore and aft on its shafts, and that sway
    takes a part of pitch or heave with it. The shares say how much of the name is in each.
    """
    y, rigs = np.frombuffer(state.tobytes()).copy(), _linear(model)
    free = slopes_at(_undamped(rigs), model.pieces, y)
    damping = slopes_at(rigs, model.pieces, y) - free
    pairs = list(itertools.permutations(_swings(model.rig, free), 2))
    if not pairs:
        return Modes(None, None)
    modes = []
    for found in max(pairs, key=lambda pair: pair[0].pitch + pair[1].heave):
        rate = _damped(free, damping, found)
        swings = rate.imag > 0.0
        modes.append(
            Mode(
                frequency=found.omega / (2.0 * np.pi),
                swing=rate.imag / (2.0 * np.pi) if swings else None,
                damping=-rate.real / abs(rate) if swings else 1.0,
                heave=found.heave,
                pitch=found.pitch,
                moves=_moves(_shock_speeds(model, state, found.shape)),
            )
        )
    return Modes(*modes)
