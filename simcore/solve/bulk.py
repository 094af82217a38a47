"""A piece of a run in compiled code: a few calls, between which it may be stopped and tells how far it is."""

import numpy as np
from scipy.optimize import brentq

from simcore.compiled import STATES, blank
from simcore.solve.bdf import (
    BROKEN,
    ENDED,
    GOING,
    MOST_ORDER,
    NOW,
    THERE,
    Memory,
    Problem,
    advance,
    begin,
    put_state,
)
from simcore.solve.piece import Piece, Solved, Status, Vector
from simcore.solve.scales import moving_states, tolerance_scale

STEPS = 5_000  # of a call, some 30 ms
LEAST = 1e-3  # s that so many steps get on, or it is a standstill
STATUS = {THERE: Status.REACHED, ENDED: Status.ENDED, GOING: Status.BROKEN, BROKEN: Status.BROKEN}
SHARP = 4.0 * np.finfo(float).eps  # share of the time to which an ending is found, as SciPy finds events


def solve(piece: Piece) -> Solved:
    """What the compiled backward differentiation finds."""
    problem, times = _problem(piece), piece.times(piece.last)
    memory, rows = memory_of(len(problem.moving)), np.empty((len(times), STATES))
    begin(problem, memory, piece.first, piece.start, piece.first_step)
    now, code = memory.now[0], GOING
    if times[0] <= piece.first:
        rows[0], now.written = piece.start, 1.0
    while code == GOING and now.calls < piece.most_calls:
        code = go_on(problem, memory, times, rows, piece.last)
        piece.tell(float(now.time))
    if code == ENDED:
        times, rows = _to_the_ending(piece, memory, times, rows)
    written = int(now.written)
    return Solved(times[:written], rows[:written], STATUS[code], int(now.calls))


def go_on(problem: Problem, memory: Memory, times: Vector, rows: Vector, last: float) -> int:
    """Some steps, as `advance`; a standstill breaks the integration off."""
    before = memory.now[0].time
    code = advance(problem, memory, times, rows, last, STEPS)
    return BROKEN if code == GOING and memory.now[0].time < before + LEAST else code


def _to_the_ending(piece: Piece, memory: Memory, times: Vector, rows: Vector) -> tuple[Vector, Vector]:
    """Rows up to the ending in the last step, and that of the ending."""
    now, state = memory.now[0], np.empty(STATES)

    def nearest(time: float) -> float:
        put_state(memory, time, state)
        return piece.nearest(state)

    first, last = float(now.time - now.step), float(now.time)
    end = brentq(nearest, first, last, xtol=SHARP, rtol=SHARP) if nearest(first) > 0.0 else first
    written = int(now.written)
    kept = int(np.searchsorted(times, end, side="right"))
    for k in range(written, kept):
        put_state(memory, times[k], rows[k])
    nearest(end)
    now.written = kept + 1.0
    return np.append(times[:kept], end), np.vstack([rows[:kept], state])


def _problem(piece: Piece) -> Problem:
    solver, model, scale = piece.scenario.solver, piece.model, tolerance_scale()
    return Problem(
        model.rigs,
        model.pieces,
        piece.leds,
        piece.limits,
        moving_states(model.rigs[0]),
        scale,
        solver.absolute * scale,
        solver.relative,
        solver.max_step,
    )


def memory_of(n: int) -> Memory:
    """Working space for n moving states."""
    state, predicted, fixed, correction, change, tolerance, rate = np.zeros((7, STATES))
    return Memory(
        now=blank(NOW),
        differences=np.zeros((MOST_ORDER + 3, STATES)),
        slopes=np.zeros((n, n)),
        factors=np.zeros((n, n)),
        state=state,
        predicted=predicted,
        fixed=fixed,
        correction=correction,
        change=change,
        tolerance=tolerance,
        rate=rate,
        right=np.zeros(n),
    )
