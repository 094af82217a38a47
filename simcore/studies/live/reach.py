"""How far the slider of a number goes: about its value, as far as custom and the range of its key let it."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from simcore.units import Q

PLACE, TURN = 30.0, 15.0  # mm, deg either way
TIMES = 3.0  # of a number that has one sign
FROM_NOUGHT = {"%": 30.0, "N": 1.0, "N*s/m": 20.0, "g": 50.0, "mm": 20.0, "N*mm": 50.0, "m/s": 1.0, "s": 1.0}
"""How far a number may go from nought, by its unit; one without a place here up to 1."""
STEPS, STEP_OF_PLACE = 400, 0.5


@dataclass(frozen=True)
class Reach:
    """Ends of a slider, both allowed, and the step between its marks; the value may lie between two marks."""

    low: float
    high: float
    step: float


def reach_of(
    value: float,
    quantity: Q,
    place: bool = False,
    usual: tuple[float, float] | None = None,
    named: Sequence[float] = (),
) -> Reach:
    """Ends and step of a slider, in the bench unit.

    Parameters
    ----------
    value : that it begins with
    quantity : what the number stands for, with its range
    place : whether it is a coordinate
    usual : ends of the usual range
    named : values that other cases have; all are within reach
    """
    low, high = _about(value, quantity, place, usual)
    if usual is not None and usual[0] <= value <= usual[1]:
        low, high = low if low == 0.0 else max(low, usual[0]), min(high, usual[1])  # without it is a question
    low, high = min(low, value, *named), max(high, value, *named)
    step = STEP_OF_PLACE if place else _nice((high - low) / STEPS)
    return _within(low, high, step, min(value, *named, value), quantity)


def _about(value: float, quantity: Q, place: bool, usual: tuple[float, float] | None) -> tuple[float, float]:
    if place:
        return value - PLACE, value + PLACE
    if quantity.unit == "deg":
        return value - TURN, value + TURN
    if value == 0.0:
        far = usual[1] if usual is not None else FROM_NOUGHT.get(quantity.unit, 1.0)
        return -far if quantity.unit == "mm" else 0.0, far
    to_nought = quantity.unit == "%" or (quantity.ge is not None and quantity.ge <= 0.0)
    near = 0.0 if to_nought else value / TIMES
    return min(near, TIMES * value), max(near, TIMES * value)


def _nice(step: float) -> float:
    """The next larger of 1, 2, 5 times a power of ten."""
    if step <= 0.0:
        return 1.0
    power = 10.0 ** math.floor(math.log10(step))
    return next(float(f"{k * power:.3g}") for k in (1, 2, 5, 10) if k * power >= step * (1.0 - 1e-9))


def _within(low: float, high: float, step: float, least: float, quantity: Q) -> Reach:
    """Ends on whole steps, within the range of the file; `least` is the least value there is."""
    low, high = (
        float(f"{way * step:.12g}") for way in (math.floor(low / step + 1e-9), math.ceil(high / step - 1e-9))
    )
    if quantity.ge is not None:
        low = max(low, quantity.ge)
    if quantity.gt is not None and low <= quantity.gt:
        low = min(quantity.gt + step, least)
    if quantity.le is not None:
        high = min(high, quantity.le)
    return Reach(low, high, step)
