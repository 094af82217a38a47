"""Residuals of a log against runs, and how they move with the freed values."""

import dataclasses
from collections.abc import Mapping, Sequence
from typing import Protocol

import numpy as np
import numpy.typing as npt

from simcore.studies.fitting.freed import Freed, Sort
from simcore.studies.fitting.predict import Curves

Vector = npt.NDArray[np.float64]
Matrix = npt.NDArray[np.float64]
STEP = 1e-2  # of a value's size; finer ones drown in the run's own tolerance, see tests
TICK = 1e-3  # s, step by which a prediction is moved in time
CLOCK_STEPS = 81  # instants of the log's clock that a first look tries


class Predictor(Protocol):
    """Whatever predicts channels from values of the scenario's numbers."""

    def at(self, points: Sequence[Sequence[float]]) -> list[Curves | None]:
        """Curves of each point; None where there are none."""


@dataclasses.dataclass(frozen=True)
class Problem:
    """What is to be made small.

    The search works in units of each value's size: z = value / size.

    Attributes
    ----------
    freed : values that may move, in the order of a point
    times : of the log's rows that count, s by the log's clock
    measured : channel to readings, NaN where there is none
    noise : channel to standard deviation of one reading
    runs : predicts channels from the freed numbers of the scenario
    """

    freed: tuple[Freed, ...]
    times: Vector
    measured: Mapping[str, Vector]
    noise: Mapping[str, float]
    runs: Predictor

    @property
    def sizes(self) -> Vector:
        """Size of each value."""
        return np.array([one.size for one in self.freed])

    @property
    def bounds(self) -> tuple[Vector, Vector]:
        """Lower and upper bounds, in sizes."""
        low, high = ([getattr(one, end) for one in self.freed] for end in ("low", "high"))
        return np.array(low) / self.sizes, np.array(high) / self.sizes

    @property
    def start(self) -> Vector:
        """Where the search begins, in sizes."""
        return np.array([one.start for one in self.freed]) / self.sizes

    def numbers(self, z: Vector) -> tuple[float, ...]:
        """Values of the scenario's numbers at a point."""
        own = zip(self.freed, z * self.sizes, strict=True)
        return tuple(float(value) for one, value in own if one.sort is Sort.SCENARIO)

    def curves(self, points: Sequence[Vector]) -> list[Curves | None]:
        """What is predicted at some points."""
        return self.runs.at([self.numbers(z) for z in points])

    def predicted(self, curves: Curves, z: Vector) -> dict[str, Vector]:
        """What the log should read, by channel, with clock and offsets of a point."""
        values = {one.name: value for one, value in zip(self.freed, z * self.sizes, strict=True)}
        clock = next((values[one.name] for one in self.freed if one.sort is Sort.CLOCK), 0.0)
        offsets = {one.channel: values[one.name] for one in self.freed if one.sort is Sort.OFFSET}
        return {name: curves.at(name, self.times - clock) + offsets.get(name, 0.0) for name in self.measured}

    def flat(self, predicted: Mapping[str, Vector]) -> Vector:
        """Predictions of all readings, one after the other, in standard deviations of their noise."""
        parts = [
            predicted[name][np.isfinite(values)] / self.noise[name] for name, values in self.measured.items()
        ]
        return np.concatenate(parts)

    def residuals(self, z: Vector, curves: Curves | None = None) -> Vector:
        """Log less prediction of every reading, in standard deviations; NaN where there is no run."""
        readings = self.flat(self.measured)
        curves = self.curves([z])[0] if curves is None else curves
        return (
            np.full(len(readings), np.nan)
            if curves is None
            else readings - self.flat(self.predicted(curves, z))
        )

    def cost(self, z: Vector, curves: Curves | None = None) -> float:
        """Sum of squares of the residuals; infinite where there is no run."""
        found = float(np.sum(self.residuals(z, curves) ** 2))
        return found if np.isfinite(found) else np.inf

    def jacobian(self, z: Vector) -> Matrix:
        """Derivative of the residuals, (readings, values), per size: by runs on either side of the point.

        A side without a run is left out; a value without a run on either side has a column of zeros.
        """
        steps = self._beside(z)
        sides = [point for pair in steps for point in pair]
        curves = self.curves([z, *sides])
        here, around = curves[0], curves[1:]
        columns = np.zeros((len(self.flat(self.measured)), len(self.freed)))
        for k, pair in enumerate(steps):
            both = zip(pair, around[2 * k : 2 * k + 2], strict=True)
            known = [(point, found) for point, found in both if found is not None]
            if len(known) == 1 and here is not None:
                known.append((z, here))
            if len(known) == 2 and (apart := known[0][0][k] - known[1][0][k]):
                one, other = (self.flat(self.predicted(found, point)) for point, found in known)
                columns[:, k] = -(one - other) / apart
        return columns

    def blind(self, z: Vector) -> frozenset[int]:
        """Places of values beside which, on either side of a point, there is no run."""
        found = [self.curves(pair) for pair in self._beside(z)]
        return frozenset(k for k, pair in enumerate(found) if all(curves is None for curves in pair))

    def _beside(self, z: Vector) -> list[tuple[Vector, Vector]]:
        """Points a step above and below in each value."""
        low, high = self.bounds
        return [(np.clip(z + h, low, high), np.clip(z - h, low, high)) for h in np.diag(self._steps())]

    def _steps(self) -> Vector:
        """Step of each value, in sizes; those of the clock a tick."""
        return np.array([TICK / one.size if one.sort is Sort.CLOCK else STEP for one in self.freed])

    def with_instrument(self, z: Vector, curves: Curves) -> Vector:
        """The point with the clock and the offsets that suit its run best, the clock on a raster."""
        places = [k for k, one in enumerate(self.freed) if one.sort is Sort.CLOCK]
        if not places:
            return self._with_offsets(z, curves)
        tried = []
        for clock in np.linspace(self.freed[places[0]].low, self.freed[places[0]].high, CLOCK_STEPS):
            point = z.copy()
            point[places[0]] = clock / self.freed[places[0]].size
            tried.append(self._with_offsets(point, curves))
        return min(tried, key=lambda point: self.cost(point, curves))

    def _with_offsets(self, z: Vector, curves: Curves) -> Vector:
        low, high = self.bounds
        point, predicted = z.copy(), self.predicted(curves, z)
        for k, one in enumerate(self.freed):
            if one.sort is Sort.OFFSET:
                point[k] += float(np.nanmean(self.measured[one.channel] - predicted[one.channel])) / one.size
        return np.asarray(np.clip(point, low, high))
