"""Summary figures against hand-made series."""

import numpy as np
import pytest

from simcore.summary import time_while


def test_time_while_counts_straight_lines_between_samples() -> None:
    times = np.array([0.0, 1.0, 2.0, 3.0])
    assert time_while(times, np.array([-1.0, 1.0, 1.0, -3.0])) == pytest.approx(0.5 + 1.0 + 0.25)


def test_time_while_of_a_value_that_never_or_always_lies_above() -> None:
    times = np.linspace(0.0, 2.0, 7)
    assert time_while(times, np.zeros(7)) == 0.0
    assert time_while(times, np.ones(7)) == pytest.approx(2.0)
    assert time_while(times, np.ones(7), level=1.5) == 0.0
