"""Closed forms in the place of runs, so that a fit can be judged many times."""

from collections.abc import Callable, Mapping, Sequence

import numpy as np

from simcore.studies.fitting.freed import Freed, Sort
from simcore.studies.fitting.predict import Curves
from simcore.studies.fitting.problem import Problem, Vector

Law = Callable[..., Mapping[str, Vector]]


class Forms:
    """Predicts channels by a law of time and values; some values give nothing."""

    def __init__(self, times: Vector, law: Law, refused: Callable[..., bool] = lambda *values: False) -> None:
        self.times, self.law, self.refused = times, law, refused
        self.asked = 0

    def at(self, points: Sequence[Sequence[float]]) -> list[Curves | None]:
        self.asked += len(points)
        return [
            None if self.refused(*point) else Curves(self.times, self.law(self.times, *point))
            for point in points
        ]


def number(
    name: str, start: float, low: float = -np.inf, high: float = np.inf, stated: bool = False
) -> Freed:
    return Freed(name, Sort.SCENARIO, "mm", start, low, high, abs(start), stated)


def swing(times: Vector, size: float, damping: float, rate: float = 18.0) -> dict[str, Vector]:
    """A swing that dies away, in a channel or two."""
    wave = size * np.exp(-damping * times) * np.cos(rate * times)
    return {"pitch_deg": wave}


def problem(
    freed: Sequence[Freed], times: Vector, measured: Mapping[str, Vector], law: Law, sigma: float, **more
) -> Problem:
    forms = Forms(np.linspace(times[0], times[-1], 20 * len(times)), law, **more)
    return Problem(tuple(freed), times, measured, dict.fromkeys(measured, sigma), forms)
