"""The scale of a chart: round numbers on it, and where a value stands."""

import math
from typing import NamedTuple, TypeVar

import numpy as np
import numpy.typing as npt

from simcore.results.formatting import MINUS

TICKS = 5
Value = TypeVar("Value", float, npt.NDArray[np.float64])


class Tick(NamedTuple):
    """A number of a scale and its place, % from the lower or left end."""

    text: str
    place: float


def share(value: Value, limits: tuple[float, float]) -> Value:
    """Where a value, or each of an array, stands between two ends: 0 at the first, 1 at the last."""
    low, high = limits
    return (value - low) / (high - low)


def ticks(low: float, high: float) -> list[tuple[float, float]]:
    """Round numbers between two ends, about `TICKS` of them, each with their step."""
    rough = (high - low) / TICKS
    size = 10.0 ** math.floor(math.log10(rough))
    step = next(size * part for part in (1.0, 2.0, 5.0, 10.0) if size * part >= 0.999 * rough)
    first, last = math.ceil(low / step - 1e-9), math.floor(high / step + 1e-9)
    return [(k * step, step) for k in range(first, last + 1)]


def scale(limits: tuple[float, float]) -> list[Tick]:
    """The same as they are written, with their places."""
    return [Tick(_shown(value, step), 100.0 * share(value, limits)) for value, step in ticks(*limits)]


def _shown(value: float, step: float) -> str:
    digits = max(0, -math.floor(math.log10(step) + 1e-9))
    return f"{value + 0.0:.{digits}f}".replace("-", MINUS)
