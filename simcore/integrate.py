"""Moves a settled rig through time with SciPy's solvers, corner by corner of the driver's tables."""

import dataclasses
import itertools
import math
from collections.abc import Callable
from typing import Any

import numpy as np
import numpy.typing as npt
from scipy.integrate import solve_ivp

from simcore.compiled import LEDGER, STATE, STATES, Record, blank
from simcore.ending import WATCHED, cut_lasting, limits_of, margins
from simcore.files.scenario import Scenario
from simcore.motion import derivative, evaluate_all, jacobian
from simcore.rig.model import Model, build
from simcore.settle import settle
from simcore.trace import Outcome, Trace

Vector = npt.NDArray[np.float64]
Progress = Callable[[float, float], None]
WATCH_RATE = 500.0  # 1/s, fixed raster of the figures, so that they do not depend on the output asked for
SHORTEST = 1e-9  # s; corners nearer than this differ by rounding alone
FIRST_STEP = 1e-5  # s; left to itself LSODA may begin so finely that rounding keeps its step there for ever
STALLED = 20_000, 1e-3  # steps within so short a time (s) are such a standstill
WAY_OUT = "BDF"  # method that takes over then


def tolerance_scale() -> Vector:
    """Size below which each state counts only absolutely; multiplied by the scenario's absolute tolerance."""
    scale = blank(STATE, 1.0)[0]
    for rate in scale.rate:
        rate.angle = 10.0
    scale.spin[:], scale.motor, scale.wind_up[:], scale.governor = 10.0, 100.0, 1.0, 10.0
    scale.shock_bristle[:], scale.tyre_bristle[:], scale.skid_bristle[:] = 1e-3, 1e-2, 1e-3
    scale.rotor_bristle = 0.1
    return np.frombuffer(scale.tobytes()).copy()


def influential() -> npt.NDArray[np.bool_]:
    """Which states move others; the distance and the sums of energy only listen."""
    mark = blank(STATE, 1.0)[0]
    mark.distance, mark.work_in, mark.dissipated, mark.electric = 0.0, 0.0, 0.0, 0.0
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


class _Stalled(Exception):
    """A solver that goes on and gets nowhere."""


@dataclasses.dataclass
class _Pace:
    """Counts the steps of a solver and says when it has come to a standstill.

    LSODA judges the stiffness of a problem by the convergence of its steps; once a step is so short that
    only rounding is left to judge, it keeps that step.
    """

    patience: float = dataclasses.field(default_factory=lambda: STALLED[0])
    since: float = -math.inf
    steps: int = 0

    def note(self, time: float) -> None:
        """Note a step that has reached a time, s."""
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


def _step_to(
    walk: _Walk, scenario: Scenario, model: Model, first: float, last: float, tools: tuple[Any, ...]
) -> None:
    """Integrate from one corner to the next, keeping the output rows; notes an ending in `walk.outcome`."""
    scale, leds, limits, progress = tools
    solver, rigs, pieces = scenario.solver, model.rigs, model.pieces
    instants = np.union1d(*(_raster(rate, first, last) for rate in (scenario.output.rate, WATCH_RATE)))
    moving, pace = np.where(influential(), scale, 0.0), _Pace()

    def watch(time: float, y: Vector) -> float:
        pace.note(time)
        if progress is not None:
            progress(time, scenario.end.duration)
        return float(margins(y, rigs, pieces, leds, limits).min())

    watch.terminal = True  # type: ignore[attr-defined]
    watch.direction = -1.0  # type: ignore[attr-defined]

    def solve(method: str) -> Any:
        return solve_ivp(
            lambda time, y: derivative(time, y, rigs, pieces, leds),
            (first, last),
            walk.y,
            method=method,
            jac=lambda time, y: jacobian(time, y, rigs, pieces, leds, moving),
            t_eval=np.append(instants, last),
            events=watch,
            rtol=solver.relative,
            atol=solver.absolute * scale,
            first_step=min(FIRST_STEP, solver.max_step, last - first),
            max_step=solver.max_step,
        )

    with np.errstate(invalid="ignore", over="ignore"):  # SciPy's BDF subtracts memory it has not filled yet
        try:
            solved = solve(solver.method)
        except _Stalled:
            pace.patience = math.inf
            solved = solve(WAY_OUT)
    walk.steps += solved.nfev
    _keep(walk, solved)
    if solved.status == 1:
        walk.outcome = WATCHED[int(np.argmin(margins(walk.y, rigs, pieces, leds, limits)))]


def _keep(walk: _Walk, solved: Any) -> None:
    """Take over the rows of one piece; the end of a whole piece is the start of the next, kept once."""
    rows = np.ascontiguousarray(solved.y.T).reshape(-1, STATES)
    if solved.status == 0:
        walk.y = rows[-1].copy()
        walk.times.append(solved.t[:-1])
        walk.rows.append(rows[:-1])
        return
    walk.times.append(solved.t)
    walk.rows.append(rows)
    walk.outcome = Outcome.NOT_SOLVED
    if solved.status == 1:
        walk.y = solved.y_events[0][-1]
        walk.times.append(solved.t_events[0][-1:])
        walk.rows.append(walk.y[None, :])


def integrate(
    scenario: Scenario,
    model: Model | None = None,
    start: Record | None = None,
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
    BadInput
        when the rig cannot be built or cannot stand where it starts.
    """
    model = build(scenario) if model is None else model
    start = settle(scenario, model) if start is None else start
    tools = (tolerance_scale(), blank(LEDGER), limits_of(scenario), progress)
    walk = _Walk(np.frombuffer(start.tobytes()).copy(), [], [])
    stops = corners(model, scenario.end.duration)
    for first, last in itertools.pairwise(stops):
        _step_to(walk, scenario, model, first, last, tools)
        if walk.outcome is not None:
            break
    else:
        walk.times.append(np.array([stops[-1]]))
        walk.rows.append(walk.y[None, :])
    times, states = np.concatenate(walk.times), np.concatenate(walk.rows)
    ledgers = np.zeros(len(times), LEDGER)
    evaluate_all(ledgers, times, states, model.rigs, model.pieces)
    trace = Trace(
        model,
        times,
        states.view(STATE)[:, 0],
        ledgers,
        output=_on_raster(times, scenario.output.rate),
        watched=_on_raster(times, WATCH_RATE),
        outcome=walk.outcome or Outcome.TIME,
        steps=walk.steps,
    )
    return cut_lasting(trace, scenario)
