"""Where two lines over an axis change their order: on straight pieces, places follow by similar triangles."""

import math
from typing import Any

import numpy as np
import pytest

from simcore.results.headlines.crossings import Crossing, crossings

SLOPES = np.array([0.0, 10.0, 20.0, 30.0, 40.0])


def found(first: list[float], second: list[float], seen: float = 1.0) -> list[tuple[Any, ...]]:
    return [tuple(one) for one in crossings(SLOPES, np.array(first), np.array(second), seen)]


def test_a_crossing_lies_where_straight_lines_meet() -> None:
    """Apart by -3 at 20 and by 1 at 30: three quarters of the way."""
    assert found([0, 0, 0, 5, 5], [9, 6, 3, 4, 0]) == [(27.5, 10.0, True)]
    assert found([9, 6, 3, 4, 0], [0, 0, 0, 5, 5]) == [(27.5, 10.0, False)]


def test_every_change_of_order_is_told_in_its_direction() -> None:
    assert found([2, -2, 2, 2, -2], [0] * 5) == [(5.0, 10.0, False), (15.0, 10.0, True), (35.0, 10.0, False)]


def test_what_nobody_sees_is_no_change_of_order() -> None:
    assert found([0.9, -0.9, 0.9, -0.9, 0.9], [0] * 5) == []
    assert found([5, -0.9, 5, 5, -0.9], [0] * 5) == []  # touches, never visibly below
    assert found([0] * 5, [0] * 5, seen=0.0) == []


def test_a_slow_change_of_order_lies_where_its_sign_changes() -> None:
    """Visibly above at 0, visibly below at 40; through nought between -0.5 and 0.5, or at a run itself."""
    assert found([2, 0.5, 0.5, -0.5, -2], [0] * 5) == [(25.0, 10.0, False)]
    assert found([2, 0.5, 0.0, -0.5, -2], [0] * 5) == [(20.0, 10.0, False)]


def test_nothing_is_told_across_a_missing_run() -> None:
    assert found([2, 2, math.nan, -2, -2], [0] * 5) == []
    assert found([2, 2, -2, math.nan, 2], [0] * 5) == [(15.0, 10.0, False)]
    assert found([2, 2, -2, 2, 2], [0, 0, 0, math.nan, 0]) == [(15.0, 10.0, False)]


@pytest.mark.parametrize(
    ("place", "within", "said"),
    [(37.6231, 5.0, 38.0), (37.6231, 0.5, 37.6), (37.6231, 100.0, 40.0), (0.0123456, 0.005, 0.012)],
)
def test_a_place_is_said_no_finer_than_its_step_allows(place: float, within: float, said: float) -> None:
    assert Crossing(place, within, True).said == pytest.approx(said, abs=1e-12)
