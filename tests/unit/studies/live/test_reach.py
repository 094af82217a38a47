"""Ends of sliders: the value and all named ones lie between them, and the file takes both."""

import math

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from simcore.studies.live.reach import STEPS, reach_of
from simcore.units import Q

UNITS = st.sampled_from(["mm", "deg", "%", "N", "N/mm", "g", "1", "s", "N*s/m", "kg*mm^2", "m/s"])
NUMBERS = st.floats(-1e4, 1e4).map(lambda value: float(f"{value:.6g}"))


RANGES = st.tuples(NUMBERS, st.floats(0.01, 1e4)).map(lambda ends: (ends[0], ends[0] + ends[1]))


@st.composite
def quantities(draw: st.DrawFn) -> tuple[Q, list[float]]:
    """A quantity with a range, and some values within it."""
    low, high = sorted(draw(st.tuples(NUMBERS, NUMBERS)))
    assume(high - low > 1e-3)
    values = draw(st.lists(st.floats(low, high), min_size=1, max_size=4))
    if draw(st.booleans()):
        return Q(draw(UNITS), ge=low, le=high), values
    assume(all(value > low + 1e-3 for value in values))
    return Q(draw(UNITS), gt=low), values


@given(quantities(), st.booleans(), st.none() | RANGES)
def test_ends_hold_all_values_and_are_allowed(
    made: tuple[Q, list[float]], place: bool, usual: tuple[float, float] | None
) -> None:
    quantity, (value, *named) = made
    reach = reach_of(value, quantity, place, usual, named)
    slack = 1e-9 * max(abs(reach.low), abs(reach.high), 1.0)
    assert all(reach.low - slack <= one <= reach.high + slack for one in (value, *named))
    assert reach.step > 0.0 and math.isfinite(reach.step)
    for end in (reach.low, reach.high):
        quantity.read(end)


@pytest.mark.parametrize(
    "value, quantity, more, low, high",
    [
        (92.0, Q("mm", ge=-2000, le=2000), {"place": True}, 62.0, 122.0),
        (15.0, Q("deg", ge=-80, le=80), {}, 0.0, 30.0),
        (6.0, Q("%", ge=-50, le=100), {"usual": (2.0, 40.0)}, 0.0, 18.0),
        (0.0, Q("%", ge=-50, le=100), {}, 0.0, 30.0),
        (0.3, Q("N/mm", gt=0, le=1000), {"usual": (0.2, 0.8)}, 0.2, 0.8),
        (12.0, Q("%", ge=1, le=300), {"named": [100.0]}, 1.0, 100.0),
        (-34.0, Q("N*mm", ge=-10000, le=10000), {}, -102.0, 0.0),
        (60.0, Q("s", ge=0.001, le=120), {}, 20.0, 120.0),
    ],
)
def test_a_slider_goes_as_far_as_a_builder_tries(
    value: float, quantity: Q, more: dict[str, object], low: float, high: float
) -> None:
    reach = reach_of(value, quantity, **more)
    assert reach.low == pytest.approx(low, abs=1.01 * reach.step)
    assert reach.high == pytest.approx(high, abs=1.01 * reach.step)
    assert reach.step == 0.5 or (high - low) / reach.step <= 1.01 * STEPS
