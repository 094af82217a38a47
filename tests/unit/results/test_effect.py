"""With less without: when support shows first, and the figures with their signs."""

import numpy as np
import pandas as pd
import pytest

from simcore.files.scenario import Visible
from simcore.results.effect import EFFECTS, support_effect

VISIBLE = Visible()  # 0.5 mm, 0.25 deg
TIMES = np.linspace(0.0, 1.0, 101)


def table(pitch: float = 0.0, rear: float = 0.0, front: float = 0.0, load: float = 0.0) -> pd.DataFrame:
    """Series in which each column grows in proportion to time, up to the given value."""
    grown = {"pitch_deg": pitch, "rear_travel_mm": rear, "front_travel_mm": front}
    columns = {name: value * TIMES for name, value in grown.items()}
    return pd.DataFrame({"time_s": TIMES, **columns, "front_load_N": np.full(len(TIMES), load)})


def test_the_first_threshold_that_is_passed_counts() -> None:
    effect = support_effect(table(pitch=-0.5, rear=-2.0), table(), VISIBLE)
    assert list(effect) == [metric.name for metric in EFFECTS]
    assert effect["support_shows_s"] == pytest.approx(0.25)  # 0.5 mm of 2 mm; the pitch only at 0.5 s
    assert effect["support_shows"] == "MOVING"
    assert (effect["support_pitch_deg"], effect["support_rear_travel_mm"]) == (-0.5, -2.0)
    assert support_effect(table(pitch=-0.5), table(), VISIBLE)["support_shows_s"] == pytest.approx(0.5)


def test_below_the_threshold_it_never_shows() -> None:
    effect = support_effect(table(pitch=0.24, front=0.49), table(), VISIBLE)
    assert effect["support_shows_s"] is None
    assert effect["support_shows"] == "NEVER"


def test_standing_difference_shows_before_anything_moves() -> None:
    high = table()
    high["pitch_deg"] += 1.0
    effect = support_effect(high, table(pitch=3.0), VISIBLE)
    assert effect["support_shows_s"] == 0.0
    assert effect["support_shows"] == "STANDING"
    assert effect["support_pitch_standing_deg"] == 1.0
    assert effect["support_pitch_deg"] == -2.0  # the largest, with its sign


def test_a_run_that_ends_early_is_compared_up_to_there() -> None:
    short = table(rear=2.0).iloc[:51]
    for one, other in ((table(rear=4.0), short), (short, table(rear=4.0))):
        effect = support_effect(one, other, VISIBLE)
        assert abs(effect["support_rear_travel_mm"]) == pytest.approx(1.0)


def test_front_load_is_told_in_grams() -> None:
    effect = support_effect(table(load=6.0), table(load=6.0 + 9.80665e-3), VISIBLE)
    assert effect["support_front_load_g"] == pytest.approx(-1.0)
