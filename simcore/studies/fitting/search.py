"""Finds the freed values with which runs are nearest to a log: a coarse look, then least squares."""

import dataclasses
from collections.abc import Collection, Sequence

import numpy as np
import numpy.typing as npt
from scipy.optimize import least_squares
from scipy.stats import qmc

from simcore.logs import CHANNELS
from simcore.studies.fitting.freed import Sort
from simcore.studies.fitting.noise import deviation
from simcore.studies.fitting.problem import Problem

Vector = npt.NDArray[np.float64]
TRIES = 6  # points of the coarse look for each number
MOST_STEPS = 40  # of one descent
SEED = 20  # the same look every time
FINE = {"ftol": 1e-6, "xtol": 3e-5, "gtol": 1e-10}  # finer than a run is known
MOST_VALLEYS = 2  # of the look, that are gone down beside the own one
SAME_WEIGHTS = 0.1  # change of a channel's noise against another one's that calls for another descent
ALIKE = 9.0  # sum of squares, three standard deviations: two answers no further apart fit alike
APART = 0.02  # of the sizes, from which two answers are two


@dataclasses.dataclass(frozen=True)
class Found:
    """What a search came to.

    Attributes
    ----------
    z : the point, in sizes
    cost : sum of squares there
    jacobian : of the residuals there, per size
    settled : whether the descent ended by itself
    rivals : other points that explain the log as well
    blind : places of values beside which there is no run, so that nothing is known of how they move the log
    """

    z: Vector
    cost: float
    jacobian: npt.NDArray[np.float64]
    settled: bool
    rivals: tuple[Vector, ...] = ()
    blind: frozenset[int] = frozenset()


def search(problem: Problem, tries: int = TRIES) -> Found | None:
    """Least squares from the scenario's own values and from the lowest points of a coarse look.

    Runs of a rig with friction and stops may have more than one valley. The look spreads `tries` points for
    each freed number (Latin hypercube) over stated ranges, else from half to twice the own value.

    Returns
    -------
    The best point; None where no run at all could be done.
    """
    starts = _starts(problem, tries)
    ends = [descend(problem, start) for start in starts]
    if not ends:
        return None
    best = min(ends, key=lambda one: one.cost)
    rivals = tuple(
        one.z
        for one in ends
        if one is not best and one.cost - best.cost < ALIKE and np.abs(one.z - best.z).max() > APART
    )
    return dataclasses.replace(best, rivals=rivals)


def weighed_search(problem: Problem, stated: Collection[str], tries: int) -> tuple[Problem, Found | None]:
    """Search, with the noise of every channel that is not stated taken from what the fit leaves over.

    Returns
    -------
    The problem with that noise, and the answer.
    """
    found = search(problem, tries)
    if found is None:
        return problem, None
    weighed = dataclasses.replace(problem, noise=_noise(problem, stated, found.z))
    ratios = np.array([weighed.noise[name] / problem.noise[name] for name in problem.noise])
    if np.ptp(np.log(ratios)) > SAME_WEIGHTS:
        again = descend(weighed, found.z)
        weighed = dataclasses.replace(weighed, noise=_noise(weighed, stated, again.z))
        found = dataclasses.replace(again, rivals=found.rivals)
    found = dataclasses.replace(found, jacobian=weighed.jacobian(found.z), blind=weighed.blind(found.z))
    return weighed, dataclasses.replace(found, cost=weighed.cost(found.z))


def _noise(problem: Problem, stated: Collection[str], z: Vector) -> dict[str, float]:
    """Noise of each channel: as stated, else by what is left over."""
    (curves,) = problem.curves([z])
    found = dict(problem.noise)
    if curves is not None:
        predicted, share = problem.predicted(curves, z), len(problem.freed) / len(found)
        for name in set(found) - set(stated):
            gap = problem.measured[name] - predicted[name]
            found[name] = max(deviation(gap[np.isfinite(gap)], share), CHANNELS[name].finest)
    return found


def descend(problem: Problem, start: Vector) -> Found:
    """Least squares from a point at which there is a run.

    A trial step without a run is shortened (SciPy does so where residuals are no numbers).
    """
    low, high = problem.bounds
    start = np.clip(start, low, high)
    found = least_squares(
        problem.residuals, start, problem.jacobian, (low, high), "trf", max_nfev=MOST_STEPS, **FINE
    )
    return Found(np.asarray(found.x), 2.0 * float(found.cost), np.asarray(found.jac), bool(found.status > 0))


def _starts(problem: Problem, tries: int) -> list[Vector]:
    """The own values, and the lowest points of a coarse look, which may lie in other valleys."""
    own = problem.start
    points = [own, *_look(problem, tries)]
    curves = problem.curves(points)
    known = [
        problem.with_instrument(point, found)
        for point, found in zip(points, curves, strict=True)
        if found is not None
    ]
    if not known:
        return []
    return [known[0], *_bottoms(known[1:], [problem.cost(point) for point in known[1:]])]


def _bottoms(points: Sequence[Vector], costs: Sequence[float]) -> list[Vector]:
    """Points that are better than their nearest ones, so may lie in valleys of their own; the best few."""
    if not points:
        return []
    places = np.array(points)
    apart = np.linalg.norm((places[:, None] - places) / np.maximum(np.ptp(places, axis=0), 1e-12), axis=2)
    near = np.argsort(apart, axis=1)[:, : 1 + 2 * places.shape[1]]  # the point itself first
    cost = np.array(costs)
    low = [k for k in range(len(points)) if cost[k] <= cost[near[k]].min()]
    return [points[k] for k in sorted(low, key=lambda k: costs[k])[:MOST_VALLEYS]]


def _look(problem: Problem, tries: int) -> Sequence[Vector]:
    """Points spread over the box of the scenario's numbers."""
    numbers = [k for k, one in enumerate(problem.freed) if one.sort is Sort.SCENARIO]
    if not numbers or tries < 1:
        return []
    shares = qmc.LatinHypercube(len(numbers), rng=np.random.default_rng(SEED)).random(tries * len(numbers))
    points = []
    for row in shares:
        point = problem.start.copy()
        for k, share in zip(numbers, row, strict=True):
            low, high = problem.freed[k].box
            point[k] = (low + share * (high - low)) / problem.freed[k].size
        points.append(point)
    return points
