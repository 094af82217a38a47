"""A piece of a run by SciPy's solvers: the reference of the compiled way, the way out where that fails."""

import dataclasses
import math
import warnings
from typing import Any

import numpy as np
from scipy.integrate import solve_ivp

from simcore.dynamics.motion import derivative, jacobian
from simcore.solve.piece import Piece, Solved, Status, Vector
from simcore.solve.scales import moving_states, tolerance_scale

STALLED = 20_000, 1e-3  # steps within so short a time (s) are such a standstill
WAY_OUT = "BDF"  # method that takes over then, and where another fails
STATUS = {0: Status.REACHED, 1: Status.ENDED, -1: Status.BROKEN}  # as SciPy numbers them


class _Stalled(ArithmeticError):
    """A solver that goes on and gets nowhere."""


# Raised by SciPy and LAPACK on singular matrices (LinAlgError is a ValueError) and on numbers that are none.
FAILURES = (ValueError, ArithmeticError)


@dataclasses.dataclass
class _Pace:
    """Counts what a solver does and says when it has come to a standstill.

    LSODA judges the stiffness of a problem by the convergence of its steps; once a step is so short that
    only rounding is left to judge, it keeps that step.
    """

    patience: float = dataclasses.field(default_factory=lambda: STALLED[0])
    most_calls: float = math.inf
    since: float = -math.inf
    steps: int = 0
    calls: int = 0
    reached: float = -math.inf

    def count_call(self) -> None:
        """Note a call of the derivative."""
        self.calls += 1
        if self.calls > self.most_calls:
            raise _Stalled

    def note(self, time: float) -> None:
        """Note a step that has reached a time, s."""
        self.reached = time
        if time > self.since + STALLED[1]:
            self.since, self.steps = time, 0
        self.steps += 1
        if self.steps > self.patience:
            raise _Stalled


def solve(piece: Piece, method: str) -> Solved:
    """What SciPy's method of that name finds, or `WAY_OUT` where it does not get to the end.

    Where none does, what the last one has, which may be nothing.
    """
    calls = 0
    for name in dict.fromkeys((method, WAY_OUT)):
        pace = _Pace(math.inf if name == WAY_OUT else STALLED[0], piece.most_calls)
        solved = _attempt(piece, name, piece.last, pace)
        calls += pace.calls
        if solved is not None and solved.status is not Status.BROKEN:
            return dataclasses.replace(solved, calls=calls)
    if solved is None and pace.reached > piece.first:
        # SciPy drops what it had when an error passes through it
        pace = _Pace(math.inf, reached=pace.reached)
        solved = _attempt(piece, name, pace.reached, pace)
        calls += pace.calls
    if solved is None:
        return Solved.nothing(calls)
    return dataclasses.replace(solved, status=Status.BROKEN, calls=calls)


def _attempt(piece: Piece, method: str, until: float, pace: _Pace) -> Solved | None:
    """What a method finds up to a time, s; None where an error passes through the solver."""
    # SciPy warns of steps that fail, and its BDF subtracts memory it has not filled yet
    with np.errstate(all="ignore"), warnings.catch_warnings(action="ignore"):
        try:
            found = _solve_ivp(piece, method, until, pace)
        except FAILURES:
            return None
    times, rows, status = np.empty(0), np.empty((0, len(piece.start))), STATUS[found.status]
    if len(found.t):  # SciPy gives lists where it has no rows
        times, rows = found.t, np.ascontiguousarray(found.y.T)
    if status is Status.ENDED:
        times = np.append(times, found.t_events[0][-1])
        rows = np.vstack([rows, found.y_events[0][-1]])
    return Solved(times, rows, status, pace.calls)


def _solve_ivp(piece: Piece, method: str, until: float, pace: _Pace) -> Any:
    """SciPy's result up to a time, s."""
    solver, rigs, pieces, leds = piece.scenario.solver, piece.model.rigs, piece.model.pieces, piece.leds
    scale = tolerance_scale()
    moving = np.zeros_like(scale)
    which = moving_states(rigs[0])
    moving[which] = scale[which]

    def rate(time: float, y: Vector) -> Vector:
        pace.count_call()
        return derivative(time, y, rigs, pieces, leds)

    def watch(time: float, y: Vector) -> float:
        pace.note(time)
        piece.tell(time)
        nearest = piece.nearest(y)
        if math.isnan(nearest):
            raise FloatingPointError
        return nearest

    watch.terminal = True  # type: ignore[attr-defined]
    watch.direction = -1.0  # type: ignore[attr-defined]
    return solve_ivp(
        rate,
        (piece.first, until),
        piece.start,
        method=method,
        jac=lambda time, y: jacobian(time, y, rigs, pieces, leds, moving),
        t_eval=piece.times(until),
        events=watch,
        rtol=solver.relative,
        atol=solver.absolute * scale,
        first_step=min(piece.first_step, until - piece.first),
        max_step=solver.max_step,
    )
