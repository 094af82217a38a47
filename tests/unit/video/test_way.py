"""The way along the ground against lengths that are known."""

import numpy as np
import pytest

from simcore.video.way import main_slope, way

RNG = np.random.default_rng(5)


def test_a_known_slope_is_what_the_way_goes_along() -> None:
    path = np.array([[0.0, 0.0], [0.3, 0.4]])
    along, straight = way(path, np.arctan2(0.4, 0.3))
    assert straight and np.diff(along) == pytest.approx([0.5])
    assert np.diff(way(path, 0.0)[0]) == pytest.approx([0.3])


@pytest.mark.parametrize("slope", [-70.0, -10.0, 0.0, 25.0, 80.0])
def test_a_straight_path_gives_its_own_slope_whichever_way_it_is_driven(slope: float) -> None:
    angle = np.radians(slope)
    there = np.linspace(0.0, 0.6, 60)[:, None] * [np.cos(angle), np.sin(angle)]
    back = np.concatenate([there, there[::-1], [[np.nan, np.nan]]])
    assert main_slope(back) == pytest.approx(angle)
    along, straight = way(back + 1e-4 * RNG.standard_normal(back.shape), None)
    assert straight
    assert along[59] - along[0] == pytest.approx(0.6, abs=1e-3) and along[119] == pytest.approx(
        along[0], abs=1e-3
    )
    assert np.isnan(along[120])


def test_a_bent_path_is_as_long_as_its_legs() -> None:
    """400 mm on the level, then 400 mm up 30 deg, there and half the way back; straight it were 773 mm."""
    legs = np.linspace(0.0, 0.8, 300)
    up = np.maximum(legs - 0.4, 0.0)
    path = np.column_stack([np.minimum(legs, 0.4) + up * np.cos(np.pi / 6), up * np.sin(np.pi / 6)])
    path = np.concatenate([path, path[:149:-1]]) + 2e-4 * RNG.standard_normal((450, 2))
    along, straight = way(path, None)
    assert not straight
    assert along[299] - along[0] == pytest.approx(0.8, abs=2e-3)
    assert along[449] - along[0] == pytest.approx(legs[150], abs=2e-3)


def test_what_stands_still_has_no_way() -> None:
    along, straight = way(1e-4 * RNG.standard_normal((50, 2)), None)
    assert straight and np.ptp(along) < 1e-3
