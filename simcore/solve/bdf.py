"""Backward differentiation in compiled code: a whole piece of a run without Python in any step.

The method is that of SciPy's `BDF`: backward differences of a fixed leading coefficient, orders 1 to 5 with
the numerical differentiation correction, step and order chosen by the differences of neighbouring orders, a
Jacobian that is kept as long as Newton's iteration converges. What is its own: states that move nothing (way,
sums of energy) take no part in Newton's iteration, and `lu` skips the zeros that places and bristles leave.

Source: L. F. Shampine and M. W. Reichelt, SIAM J. Sci. Comput. 18(1), 1997 (from memory); SciPy's `BDF` is
the reference that tests hold it to.
"""

import math
from typing import NamedTuple

import numpy as np
import numpy.typing as npt

from simcore.compiled import (
    LedgerRecord,
    NamedRecord,
    PieceRecord,
    Records,
    RigRecord,
    kernel,
    record_dtype,
    within,
)
from simcore.compiled.declaration import One, Second
from simcore.dynamics.elimination import factorise, solve_factorised
from simcore.dynamics.motion import put_rate
from simcore.solve.events import margins

Vector = npt.NDArray[np.float64]
Matrix = npt.NDArray[np.float64]
MOST_ORDER = 5
MOST_ITERATIONS = 4  # of Newton
CLOSE = 0.03  # of the tolerance, what Newton's iteration may leave
FORGET = 0.2  # share of its slowest convergence that counts on
SHRINK, GROW = 0.2, 10.0  # bounds of a change of step
NUDGE = 1e-7  # relative step of the differences, about the root of the rounding error
KAPPA = np.array([0.0, -0.1850, -1.0 / 9.0, -0.0823, -0.0415, 0.0])
GAMMA = np.concatenate((np.zeros(1), np.cumsum(1.0 / np.arange(1.0, MOST_ORDER + 1.0))))
ALPHA = (1.0 - KAPPA) * GAMMA
ERROR = KAPPA * GAMMA + 1.0 / np.arange(1.0, MOST_ORDER + 2.0)
GOING, THERE, ENDED, BROKEN = 0, 1, 2, 3


class NowRecord(NamedRecord):
    """Where an integration is."""

    time: Second
    step: Second
    order: One
    equal: One  # steps of this size and order
    error: One  # of the last step, per tolerance
    iterations: One  # of the last step
    coefficient: Second  # c for which the factors hold; 0: for none
    margin: One  # the nearest ending
    written: One  # rows
    calls: One
    steps: One  # since the time below
    since: Second
    quotient: One  # of two neighbouring corrections of Newton's iteration with these factors


NOW = record_dtype(NowRecord)


class Problem(NamedTuple):
    """What is integrated, and how finely.

    Attributes
    ----------
    rigs, pieces, leds : as for `derivative`
    limits : as for `margins`
    moving : numbers of the n states that move others, those without equations of motion first
    scale : size below which a state counts as small, (STATES,)
    absolute : tolerance of each state, (STATES,)
    relative : tolerance
    longest : step, s
    """

    rigs: Records[RigRecord]
    pieces: Records[PieceRecord]
    leds: Records[LedgerRecord]
    limits: Vector
    moving: npt.NDArray[np.int64]
    scale: Vector
    absolute: Vector
    relative: float
    longest: float


class Memory(NamedTuple):
    """What an integration remembers of its last steps, and its working space; kernels fill it.

    Attributes
    ----------
    now : NOW, array of length one
    differences : backward differences of the states, (MOST_ORDER + 3, STATES)
    slopes : Jacobian of the moving states, columns side by side, (n, n)
    factors : ``1 - c J`` factorised, likewise
    state, predicted, fixed, correction, change, tolerance, rate : (STATES,)
    right : (n,)
    """

    now: Records[NowRecord]
    differences: Matrix
    slopes: Matrix
    factors: Matrix
    state: Vector
    predicted: Vector
    fixed: Vector
    correction: Vector
    change: Vector
    tolerance: Vector
    rate: Vector
    right: Vector


@kernel
def begin(problem: Problem, memory: Memory, time: float, state: Vector, step: float) -> None:
    """Set an integration on its start."""
    now, differences = memory.now[0], memory.differences
    now.time, now.step, now.order, now.equal = time, step, 1.0, 0.0
    now.error, now.iterations, now.coefficient, now.written = 1.0, 1.0, 0.0, 0.0
    now.calls, now.steps, now.since = 0.0, 0.0, -math.inf
    put_rate(memory.rate, time, state, problem.rigs, problem.pieces, problem.leds)
    differences[:] = 0.0
    for j in range(len(state)):
        differences[0, j], differences[1, j] = state[j], memory.rate[j] * step
    now.margin = margins(state, problem.rigs, problem.pieces, problem.leds, problem.limits).min()
    put_slopes(problem, memory, time, state)


@kernel
def put_slopes(problem: Problem, memory: Memory, time: float, state: Vector) -> None:
    """Partial derivatives of the moving states' rates, by forward differences."""
    moving, rate, moved = problem.moving, memory.change, memory.state
    put_rate(memory.rate, time, state, problem.rigs, problem.pieces, problem.leds)
    moved[:] = state
    for k in range(len(moving)):
        j = moving[k]
        moved[j] = state[j] + NUDGE * max(abs(state[j]), problem.scale[j])
        put_rate(rate, time, moved, problem.rigs, problem.pieces, problem.leds)
        step = moved[j] - state[j]
        for i in range(len(moving)):
            memory.slopes[k, i] = (rate[moving[i]] - memory.rate[moving[i]]) / step
        moved[j] = state[j]
    memory.now[0].calls += len(moving) + 1
    memory.now[0].coefficient = 0.0


@within
def factorise_for(memory: Memory, c: float) -> None:
    """Factors of ``1 - c J``, unless they are at hand."""
    if memory.now[0].coefficient == c:
        return
    slopes, factors = memory.slopes, memory.factors
    for k in range(len(slopes)):
        for i in range(len(slopes)):
            factors[k, i] = -c * slopes[k, i]
        factors[k, k] += 1.0
    factorise(factors)
    memory.now[0].coefficient, memory.now[0].quotient = c, 1.0


@kernel
def pascal(order: int, factor: float) -> Matrix:
    """R(factor) of the paper: backward differences at steps of that factor in terms of derivatives' ones."""
    out = np.zeros((MOST_ORDER + 1, MOST_ORDER + 1))
    out[0, : order + 1] = 1.0
    for i in range(1, order + 1):
        for j in range(1, order + 1):
            out[i, j] = out[i - 1, j] * (i - 1.0 - factor * j) / i
    return out


@kernel
def rescale(memory: Memory, factor: float) -> None:
    """Change the step: the same polynomial by differences at other points, ``D' = (R(factor) R(1))^T D``."""
    now, differences = memory.now[0], memory.differences
    order = int(now.order)
    turn, unit, old = pascal(order, factor), pascal(order, 1.0), differences[: order + 1].copy()
    for i in range(order + 1):
        differences[i] = 0.0
        for k in range(order + 1):
            weight = 0.0
            for m in range(order + 1):
                weight += turn[k, m] * unit[m, i]
            if weight != 0.0:
                for j in range(differences.shape[1]):
                    differences[i, j] += weight * old[k, j]
    now.step *= factor
    now.equal = 0.0


@within
def predict(problem: Problem, memory: Memory) -> None:
    """Continue the polynomial to the next instant, and what is known of the equation there."""
    order, differences = int(memory.now[0].order), memory.differences
    predicted, fixed = memory.predicted, memory.fixed
    for j in range(len(predicted)):
        value, part = differences[0, j], 0.0
        for k in range(1, order + 1):
            value += differences[k, j]
            part += GAMMA[k] * differences[k, j]
        predicted[j], fixed[j] = value, part / ALPHA[order]
        memory.tolerance[j] = problem.absolute[j] + problem.relative * abs(value)


@within
def converge(problem: Problem, memory: Memory, time: float, c: float) -> bool:
    """Newton's iteration for ``c f(y) = fixed + correction``, ``y = predicted + correction``.

    The states that move nothing follow from the others as they go; they say nothing about convergence.
    """
    now, state, correction, right = memory.now[0], memory.state, memory.correction, memory.right
    moving, change = problem.moving, memory.change
    state[:], correction[:] = memory.predicted, 0.0
    before = math.inf
    for k in range(MOST_ITERATIONS):
        put_rate(memory.rate, time, state, problem.rigs, problem.pieces, problem.leds)
        now.calls += 1.0
        now.iterations = k + 1.0
        for j in range(len(state)):
            change[j] = c * memory.rate[j] - memory.fixed[j] - correction[j]
        for i in range(len(moving)):
            right[i] = change[moving[i]]
        solve_factorised(memory.factors, right)
        size = 0.0
        for i in range(len(moving)):
            change[moving[i]] = right[i]
            size += (right[i] / memory.tolerance[moving[i]]) ** 2
        size = math.sqrt(size / len(state))
        if not size < math.inf:
            return False
        if k > 0:
            quotient = size / before
            if quotient >= 1.0 or quotient ** (MOST_ITERATIONS - k) / (1.0 - quotient) * size > CLOSE:
                return False
            now.quotient = max(FORGET * now.quotient, quotient)
        for j in range(len(state)):
            state[j] += change[j]
            correction[j] += change[j]
        if now.quotient * size < CLOSE * (1.0 - min(now.quotient, 0.5)):
            return True
        before = size
    return False


@kernel
def size_of(values: Vector, tolerance: Vector, factor: float) -> float:
    """Root mean square of values per tolerance, times a factor."""
    total = 0.0
    for j in range(len(values)):
        total += (values[j] / tolerance[j]) ** 2
    return factor * math.sqrt(total / len(values))


@within
def choose(memory: Memory) -> None:
    """Order and step that the next steps want, once enough of the same size lie behind."""
    now, differences, tolerance = memory.now[0], memory.differences, memory.tolerance
    order = int(now.order)
    if now.equal < order + 1:
        return
    best, chosen = now.error ** (-1.0 / (order + 1)) if now.error > 0.0 else math.inf, order
    if order > 1:
        lower = size_of(differences[order], tolerance, ERROR[order - 1]) ** (-1.0 / order)
        if lower >= best:
            best, chosen = lower, order - 1
    if order < MOST_ORDER:
        higher = size_of(differences[order + 2], tolerance, ERROR[order + 1]) ** (-1.0 / (order + 2))
        if higher > best:
            best, chosen = higher, order + 1
    now.order = chosen
    rescale(memory, min(GROW, safety(now.iterations) * best))


@kernel
def safety(iterations: float) -> float:
    """Share of the step that the error allows, less where Newton's iteration was slow."""
    return 0.9 * (2.0 * MOST_ITERATIONS + 1.0) / (2.0 * MOST_ITERATIONS + iterations)


@within
def step_on(problem: Problem, memory: Memory, last: float) -> bool:
    """One step, as long as the tolerances allow but not beyond an instant; whether there is one."""
    now, fresh = memory.now[0], False
    choose(memory)
    if now.step > problem.longest:
        rescale(memory, problem.longest / now.step)
    while now.step >= 10.0 * np.spacing(now.time):
        time = now.time + now.step
        if time > last:
            time = last
            rescale(memory, (last - now.time) / now.step)
        order = int(now.order)
        predict(problem, memory)
        c = now.step / ALPHA[order]
        factorise_for(memory, c)
        converged = converge(problem, memory, time, c)
        if not converged and not fresh:
            put_slopes(problem, memory, time, memory.predicted)
            fresh = True
            continue
        if not converged:
            rescale(memory, 0.5)
            continue
        for j in range(len(memory.state)):
            memory.tolerance[j] = problem.absolute[j] + problem.relative * abs(memory.state[j])
        now.error = size_of(memory.correction, memory.tolerance, ERROR[order])
        if now.error <= 1.0:
            take(memory, time)
            return True
        rescale(memory, max(SHRINK, safety(now.iterations) * now.error ** (-1.0 / (order + 1))))
    return False


@within
def take(memory: Memory, time: float) -> None:
    """Accept a step: its correction is the newest difference."""
    now, differences, order = memory.now[0], memory.differences, int(memory.now[0].order)
    for j in range(differences.shape[1]):
        differences[order + 2, j] = memory.correction[j] - differences[order + 1, j]
        differences[order + 1, j] = memory.correction[j]
    for k in range(order, -1, -1):
        for j in range(differences.shape[1]):
            differences[k, j] += differences[k + 1, j]
    now.time = time
    now.equal += 1.0


@kernel
def put_state(memory: Memory, time: float, out: Vector) -> None:
    """State at an instant of the last step, by the polynomial of that step."""
    now, differences = memory.now[0], memory.differences
    weight = 1.0
    out[:] = differences[0]
    for k in range(1, int(now.order) + 1):
        weight *= (time - now.time + (k - 1.0) * now.step) / (k * now.step)
        for j in range(len(out)):
            out[j] += weight * differences[k, j]


@kernel
def advance(
    problem: Problem, memory: Memory, times: Vector, rows: Matrix, last: float, most_steps: int
) -> int:
    """Go on for some steps, or to the last instant, or until an ending falls into the last step.

    Parameters
    ----------
    times : at which states are wanted, (n,), rising
    rows : those states, (n, STATES), filled up to ``memory.now.written``, but not in the step of an ending

    Returns
    -------
    GOING, THERE, ENDED or BROKEN.
    """
    now = memory.now[0]
    for _ in range(most_steps):
        if not step_on(problem, memory, last):
            return BROKEN
        nearest = margins(
            memory.differences[0], problem.rigs, problem.pieces, problem.leds, problem.limits
        ).min()
        if math.isnan(nearest):
            return BROKEN
        if now.margin >= 0.0 and nearest <= 0.0:
            return ENDED
        now.margin = nearest
        while now.written < len(times) and times[int(now.written)] <= now.time:
            put_state(memory, times[int(now.written)], rows[int(now.written)])
            now.written += 1.0
        if now.time >= last:
            return THERE
    return GOING
