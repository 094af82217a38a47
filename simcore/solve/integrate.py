"""Moves a settled rig through time, corner by corner of the driver's tables."""

import dataclasses
import itertools
from typing import Any

import numpy as np
import numpy.typing as npt

from simcore.compiled import LEDGER, STATE, StateRecord
from simcore.dynamics.motion import evaluate_all
from simcore.files.scenario import COMPILED, Scenario
from simcore.rig.model import Model, build
from simcore.solve import bulk, reference
from simcore.solve.events import WATCHED, cut_lasting, limits_of
from simcore.solve.piece import WATCH_RATE, Piece, Progress, Solved, Status, Vector
from simcore.solve.settle import settle
from simcore.solve.trace import Outcome, Trace

SHORTEST = 1e-9  # s; corners nearer than this differ by rounding alone
REFERENCE = "LSODA"  # SciPy's method that takes over from the compiled one


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


def _on_raster(times: Vector, rate: float) -> npt.NDArray[np.bool_]:
    """Which instants lie on a raster; the last instant of a run always does."""
    on = np.abs(times * rate - np.round(times * rate)) < 1e-6 * np.maximum(times * rate, 1.0)
    on[-1] = True
    return np.asarray(on)


def _solved(piece: Piece) -> Solved:
    """What comes of a piece: by the method asked for, or else by the next one that gets to the end."""
    method = piece.scenario.solver.method
    if method != COMPILED:
        return reference.solve(piece, method).finite
    solved = bulk.solve(piece).finite
    if solved.status is not Status.BROKEN:
        return solved
    other = reference.solve(piece, REFERENCE).finite
    return dataclasses.replace(other, calls=solved.calls + other.calls)


def _step_to(walk: _Walk, piece: Piece) -> None:
    """Integrate from one corner to the next, keeping the output rows; notes an ending in `walk.outcome`.

    The end of a whole piece is the start of the next, kept once; of a piece that came to nothing its start
    is kept.
    """
    solved = _solved(piece)
    times, rows = solved.times, solved.rows
    if not len(times):
        times, rows = np.array([piece.first]), walk.y[None, :]
    walk.y, walk.steps = rows[-1].copy(), walk.steps + solved.calls
    end = -1 if solved.status is Status.REACHED else None
    walk.times.append(times[:end])
    walk.rows.append(rows[:end])
    if solved.status is Status.ENDED:
        walk.outcome = WATCHED[int(np.argmin(piece.margins(walk.y)))]
    elif solved.status is Status.BROKEN:
        walk.outcome = Outcome.NOT_SOLVED


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
        _step_to(walk, Piece(scenario, model, first, last, walk.y, limits, progress))
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
