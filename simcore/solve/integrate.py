"""Moves a settled rig through time with SciPy's solvers, corner by corner of the driver's tables."""

import dataclasses
import itertools
import math
import warnings
from collections.abc import Callable
from typing import Any

import numpy as np
import numpy.typing as npt
from scipy.integrate import solve_ivp

from simcore.compiled import LEDGER, STATE, STATES, STORES, LedgerRecord, Records, StateRecord, blank
from simcore.dynamics.motion import derivative, evaluate_all, jacobian
from simcore.files.scenario import Scenario
from simcore.rig.model import Model, build
from simcore.solve.events import WATCHED, cut_lasting, limits_of, margins
from simcore.solve.settle import settle
from simcore.solve.trace import Outcome, Trace

Vector = npt.NDArray[np.float64]
Progress = Callable[[float, float], None]
WATCH_RATE = 500.0  # 1/s, fixed raster of the metrics, so that they do not depend on the output asked for
SHORTEST = 1e-9  # s; corners nearer than this differ by rounding alone
FIRST_STEP = 1e-5  # s; left to itself LSODA may begin so finely that rounding keeps its step there for ever
STALLED = 20_000, 1e-3  # steps within so short a time (s) are such a standstill
WAY_OUT = "BDF"  # method that takes over then, and where another fails
MOST_CALLS = 1_000_000  # derivative calls per second of the run; shipped runs take some 1,500


def tolerance_scale() -> Vector:
    """Size below which each state counts only absolutely; multiplied by the scenario's absolute tolerance."""
    scale = blank(STATE, 1.0)[0]
    for rate in scale.rate:
        rate.angle = 10.0
    scale.spin[:], scale.motor, scale.wind_up[:], scale.governor = 10.0, 100.0, 1.0, 10.0
    scale.shock_bristle[:], scale.tyre_bristle[:], scale.skid_bristle[:] = 1e-3, 1e-2, 1e-3
    scale.slide_bristle[:] = 1e-3
    scale.rotor_bristle = 0.1
    return np.frombuffer(scale.tobytes()).copy()


def influential() -> npt.NDArray[np.bool_]:
    """Which states move others; the distance and the sums of energy only listen."""
    mark = blank(STATE, 1.0)[0]
    mark.distance, mark.work_in, mark.dissipated, mark.electric = 0.0, 0.0, 0.0, 0.0
    mark.gained = blank(STORES)[0]
    return np.frombuffer(mark.tobytes()) > 0.0


def corners(model: Model, duration: float) -> list[float]:
    """Instants at which the driver's tables bend, between 0 and the end, so that no step runs over one."""
    driver = model.rig.driver
    times = {float(driver.release)}
    for table in (driver.request, driver.brake):
        times.update(float(time) for time in table.time[: int(table.rows)])
    inner = sorted(time for time in times if SHORTEST < time < duration - SHORTEST)
    apart = [time for k, time in enumerate(inner) if k == 0 or time - inner[k - 1] > SHORTEST]
    return [0.0, *apart, duration]


@dataclasses.dataclass
class _Walk:
    """State of an integration in progress: where it is, and the rows kept so far."""

    y: Vector
    times: list[Vector]
    rows: list[Vector]
    steps: int = 0
    outcome: Outcome | None = None


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


def _raster(rate: float, first: float, last: float) -> Vector:
    """Regular instants in [first, last), numbered from 0 so that all pieces of a run share one raster."""
    numbers = np.arange(np.ceil(first * rate - 1e-9), np.ceil(last * rate - 1e-9))
    return np.clip(numbers / rate, first, None)


def _on_raster(times: Vector, rate: float) -> npt.NDArray[np.bool_]:
    """Which instants lie on a raster; the last instant of a run always does."""
    on = np.abs(times * rate - np.round(times * rate)) < 1e-6 * np.maximum(times * rate, 1.0)
    on[-1] = True
    return np.asarray(on)


@dataclasses.dataclass
class _Piece:
    """The motion between two corners, as SciPy's solvers take it."""

    scenario: Scenario
    model: Model
    first: float
    last: float
    start: Vector
    limits: Vector
    progress: Progress | None
    leds: Records[LedgerRecord] = dataclasses.field(default_factory=lambda: blank(LEDGER))
    calls: int = 0

    def margins(self, y: Vector) -> Vector:
        """Margins of the watched endings."""
        return margins(y, self.model.rigs, self.model.pieces, self.leds, self.limits)

    def solve(self, method: str, until: float, pace: _Pace) -> Any:
        """SciPy's result up to a time, s."""
        solver, rigs, pieces, leds = self.scenario.solver, self.model.rigs, self.model.pieces, self.leds
        scale, duration = tolerance_scale(), self.scenario.end.duration
        moving = np.where(influential(), scale, 0.0)
        rasters = (_raster(rate, self.first, until) for rate in (self.scenario.output.rate, WATCH_RATE))

        def rate(time: float, y: Vector) -> Vector:
            pace.count_call()
            return derivative(time, y, rigs, pieces, leds)

        def watch(time: float, y: Vector) -> float:
            pace.note(time)
            if self.progress is not None:
                self.progress(time, duration)
            nearest = float(self.margins(y).min())
            if math.isnan(nearest):
                raise FloatingPointError
            return nearest

        watch.terminal = True  # type: ignore[attr-defined]
        watch.direction = -1.0  # type: ignore[attr-defined]
        try:
            return solve_ivp(
                rate,
                (self.first, until),
                self.start,
                method=method,
                jac=lambda time, y: jacobian(time, y, rigs, pieces, leds, moving),
                t_eval=np.append(np.union1d(*rasters), until),
                events=watch,
                rtol=solver.relative,
                atol=solver.absolute * scale,
                first_step=min(FIRST_STEP, solver.max_step, until - self.first),
                max_step=solver.max_step,
            )
        finally:
            self.calls += pace.calls

    def attempt(self, method: str, until: float, pace: _Pace) -> Any:
        """SciPy's result up to a time, or None where an error passes through the solver."""
        # SciPy warns of steps that fail, and its BDF subtracts memory it has not filled yet
        with np.errstate(all="ignore"), warnings.catch_warnings(action="ignore"):
            try:
                return self.solve(method, until, pace)
            except FAILURES:
                return None

    def as_far_as_it_goes(self) -> Any:
        """What the first method that gets to the end finds, else what the last one has (status -1), which may
        be nothing (None).
        """
        most_calls = MOST_CALLS * max(self.scenario.end.duration, 1.0)
        for method in dict.fromkeys((self.scenario.solver.method, WAY_OUT)):
            pace = _Pace(math.inf if method == WAY_OUT else STALLED[0], most_calls)
            solved = self.attempt(method, self.last, pace)
            if solved is not None and solved.status >= 0:
                return solved
        if solved is None and pace.reached > self.first:
            # SciPy drops what it had when an error passes through it
            solved = self.attempt(method, pace.reached, _Pace(math.inf))
            if solved is not None:
                solved.status = -1
        return solved


def _step_to(walk: _Walk, piece: _Piece) -> None:
    """Integrate from one corner to the next, keeping the output rows; notes an ending in `walk.outcome`."""
    solved = piece.as_far_as_it_goes()
    walk.steps += piece.calls
    status = _keep(walk, piece.first, solved)
    if status == 1:
        walk.outcome = WATCHED[int(np.argmin(piece.margins(walk.y)))]
    elif status < 0:
        walk.outcome = Outcome.NOT_SOLVED


def _keep(walk: _Walk, first: float, solved: Any) -> int:
    """Take over the rows of one piece; the end of a whole piece is the start of the next, kept once.

    Returns
    -------
    SciPy's status: 0 solved to the end, 1 to an ending, -1 broken off (its start is kept at least).
    """
    times, rows, status = np.empty(0), np.empty((0, STATES)), -1 if solved is None else int(solved.status)
    if solved is not None and len(solved.t):  # SciPy gives lists where it has no rows
        times, rows = solved.t, np.ascontiguousarray(solved.y.T)
    if status == 1:
        times = np.append(times, solved.t_events[0][-1])
        rows = np.vstack([rows, solved.y_events[0][-1]])
    finite = np.logical_and.accumulate(np.isfinite(rows).all(axis=1))
    if not finite.all():
        times, rows, status = times[finite], rows[finite], -1
    if not len(times):
        times, rows = np.array([first]), walk.y[None, :]
    walk.y = rows[-1].copy()
    end = -1 if status == 0 else None
    walk.times.append(times[:end])
    walk.rows.append(rows[:end])
    return status


def integrate(
    scenario: Scenario,
    model: Model | None = None,
    start: StateRecord | None = None,
    progress: Progress | None = None,
) -> Trace:
    """Integrate the motion of a scenario's rig from its settled start to the end.

    Parameters
    ----------
    scenario : what to run
    model : records built before, to save building them again
    start : settled STATE found before, likewise
    progress : called with (time reached, duration) as the integration goes on

    Returns
    -------
    Trace; rolling over, sliding away and high-centring end it early and are outcomes.

    Raises
    ------
    InputError
        when the rig cannot be built or cannot stand where it starts.
    """
    model = build(scenario) if model is None else model
    start = settle(scenario, model) if start is None else start
    walk = _Walk(np.frombuffer(start.tobytes()).copy(), [], [])
    limits, stops = limits_of(scenario), corners(model, scenario.end.duration)
    for first, last in itertools.pairwise(stops):
        _step_to(walk, _Piece(scenario, model, first, last, walk.y, limits, progress))
        if walk.outcome is not None:
            break
    else:
        walk.times.append(np.array([stops[-1]]))
        walk.rows.append(walk.y[None, :])
    times, states = np.concatenate(walk.times), np.concatenate(walk.rows)
    moved: Any = states.view(STATE)[:, 0]
    ledgers: Any = np.zeros(len(times), LEDGER)
    evaluate_all(ledgers, times, states, model.rigs, model.pieces)
    trace = Trace(
        model,
        times,
        moved,
        ledgers,
        output=_on_raster(times, scenario.output.rate),
        watched=_on_raster(times, WATCH_RATE),
        outcome=walk.outcome or Outcome.TIME,
        steps=walk.steps,
    )
    return cut_lasting(trace, scenario)
