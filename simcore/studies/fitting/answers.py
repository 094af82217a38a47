"""From the end of a search to what is reported: values, errors, what is not told, what is left over."""

import math
from collections.abc import Mapping

import numpy as np
import numpy.typing as npt

from simcore.studies.fitting.estimate import TOO_MUCH, Estimate, Left
from simcore.studies.fitting.noise import hangs_together, neighbours, runs_score, widening
from simcore.studies.fitting.problem import Problem, Vector
from simcore.studies.fitting.search import Found
from simcore.studies.fitting.telling import Told, telling

EDGE = 1e-3  # of a value's size, nearer than which it stands at the end of its range
SHOWN = 0.1  # of its size, by which the value that moves most is moved where a direction is told
Correlations = tuple[tuple[float, ...], ...]


def left_over(
    problem: Problem,
    predicted: Mapping[str, Vector],
    before: Mapping[str, Vector] | None,
    noise_from: Mapping[str, str],
) -> tuple[Left, ...]:
    """What is left over of each channel.

    Parameters
    ----------
    predicted, before : channel to what is predicted by the fitted and by the scenario's own values
    noise_from : channel to where its noise comes from
    """
    found = []
    for name, values in problem.measured.items():
        known = np.isfinite(values)
        gap = (values - predicted[name])[known]
        together, size = hangs_together(gap), _rms(gap) / problem.noise[name]
        wide = (widening(gap) if together else 1.0) * (size if size >= TOO_MUCH else 1.0)
        found.append(
            Left(
                name,
                int(known.sum()),
                _rms(gap),
                None if before is None else _rms((values - before[name])[known]),
                problem.noise[name],
                noise_from[name],
                neighbours(gap),
                runs_score(gap),
                wide,
                together,
            )
        )
    return tuple(found)


def _rms(gap: Vector) -> float:
    return float(np.sqrt(np.mean(gap**2)))


def estimates(
    problem: Problem, found: Found | None, left: tuple[Left, ...], misread: bool
) -> tuple[tuple[Estimate, ...], Correlations]:
    """Value and error of everything that was freed, and correlations; none of what the log does not tell."""
    count = len(problem.freed)
    if found is None:
        unknown = tuple(Estimate(one, None, None, None, Told.NOT_SETTLED) for one in problem.freed)
        return unknown, ((math.nan,) * count,) * count
    low, high = problem.bounds
    at_edge = (found.z - low < EDGE) | (high - found.z < EDGE)
    known = telling(found.jacobian / _widened(problem, left)[:, None], at_edge)
    plain = telling(found.jacobian, at_edge)
    answers, kept = [], []
    for k, one in enumerate(problem.freed):
        rival = next((other for other in found.rivals if _other(other[k], found.z[k], known.errors[k])), None)
        told = _judged(known.told[k], misread, found.settled, rival is not None, k in found.blind)
        kept.append(told is Told.TOLD)
        numbers = (found.z[k], known.errors[k], plain.errors[k])
        value, error, independent = (float(x * one.size) if kept[k] else None for x in numbers)
        both = None if rival is None else (float(found.z[k] * one.size), float(rival[k] * one.size))
        others = _together(problem, known.directions[k]) if told is Told.NOT_APART else {}
        answers.append(Estimate(one, value, error, independent, told, others, both))
    sure = np.array(kept, bool)
    correlations = np.where(np.outer(sure, sure), known.correlations, np.nan)
    return tuple(answers), tuple(tuple(float(value) for value in row) for row in correlations)


def _widened(problem: Problem, left: tuple[Left, ...]) -> Vector:
    """By how much the noise of every reading counts for more, because its neighbours are alike."""
    return np.concatenate([np.full(one.readings, one.widening) for one in left])


def _other(value: float, best: float, error: float) -> bool:
    """Whether a value is another answer than the best one."""
    return abs(value - best) > 3.0 * error if math.isfinite(error) else False


def _judged(told: Told, misread: bool, settled: bool, rival: bool, blind: bool) -> Told:
    """What is told of a value once the whole fit is looked at."""
    if misread:
        return Told.MISREAD
    if blind:
        return Told.NO_RUNS
    if told is Told.TOLD and not settled:
        return Told.NOT_SETTLED
    return Told.TWO_ANSWERS if told is Told.TOLD and rival else told


def _together(problem: Problem, direction: npt.NDArray[np.float64]) -> dict[str, float]:
    """How values move together and leave the log the same: the one that moves most by a tenth of its size."""
    scale = SHOWN / np.abs(direction).max()
    first = next(value for value in direction if value)
    moves = scale * math.copysign(1.0, first) * direction * problem.sizes
    return {one.name: float(move) for one, move in zip(problem.freed, moves, strict=True) if move}
