"""Plane geometry against closed forms: homography, lens, scale, turn, mirror; and a real pin-hole camera."""

import cv2
import numpy as np
import pytest
from filmed import Camera

from simcore.video.plane import Lens, by_sheet, homography, slope_of, square_on

SQUARE = np.array([[0.0, 1.0], [1.0, 1.0], [1.0, 0.0], [0.0, 0.0]])
PLAIN = Lens((960, 540))


def test_a_homography_is_the_one_its_points_came_from() -> None:
    true = np.array([[1.2, 0.1, 3.0], [-0.2, 0.9, 5.0], [0.02, -0.01, 1.0]])
    whole = np.column_stack([SQUARE, np.ones(4)]) @ true.T
    found = homography(SQUARE, whole[:, :2] / whole[:, 2:])
    assert found == pytest.approx(true, abs=1e-12)


def test_the_unit_square_to_a_trapezium_as_by_hand() -> None:
    """x = u / (1 + v), z = v / (1 + v): the far side at half its width and height."""
    trapezium = np.array([[0.0, 0.5], [0.5, 0.5], [1.0, 0.0], [0.0, 0.0]])
    assert homography(SQUARE, trapezium) == pytest.approx(
        np.array([[1, 0, 0], [0, 1, 0], [0, 1, 1.0]]), abs=1e-12
    )


@pytest.mark.parametrize("distortion", [-0.2, -0.05, 0.1])
def test_a_lens_is_undone(distortion: float) -> None:
    lens = Lens((960, 540), distortion)
    half, middle = 0.5 * np.hypot(960, 540), np.array([479.5, 269.5])
    true = middle + half * np.array([[0.0, 0.0], [0.3, 0.1], [-0.7, 0.4], [0.0, -0.5]])
    away = (true - middle) / half
    seen = middle + half * away * (1.0 + distortion * (away**2).sum(axis=1, keepdims=True))
    assert lens.straight(seen) == pytest.approx(true, abs=1e-9)


def test_a_sheet_undoes_the_tilt_of_a_pin_hole_camera() -> None:
    camera = Camera(turned=12, nodded=-7, rolled=4)
    corners = [(100.0, 310.0), (397.0, 310.0), (397.0, 100.0), (100.0, 100.0)]
    plane = by_sheet(PLAIN, camera.pixels(corners).tolist(), (0.297, 0.210))
    elsewhere = np.array([[-100.0, 0.0], [700.0, 300.0], [330.0, 20.0]])
    places = plane.places(camera.pixels(elsewhere))
    assert 1e3 * places == pytest.approx(elsewhere - [100.0, 100.0], abs=0.02)  # what pixels as floats leave


def test_opencv_finds_the_same_homography() -> None:
    pixels = np.array([[12.0, 30.0], [800.0, 55.0], [770.0, 500.0], [40.0, 470.0]])
    own = homography(pixels, SQUARE)
    assert own == pytest.approx(
        cv2.getPerspectiveTransform(pixels.astype(np.float32), SQUARE.astype(np.float32)), rel=1e-4
    )


def test_scale_turn_and_mirror() -> None:
    plane = square_on(PLAIN)
    right_and_up = np.array([[10.0, -20.0]])
    assert plane.scaled(0.5).places(right_and_up) == pytest.approx(np.array([[5.0, 10.0]]))
    assert plane.turned(np.pi / 2).places(right_and_up) == pytest.approx(np.array([[-20.0, 10.0]]))
    assert plane.mirrored().places(right_and_up) == pytest.approx(np.array([[-10.0, 20.0]]))
    assert np.isnan(plane.places(np.array([[np.nan, np.nan]]))).all()


def test_the_slope_of_a_line_does_not_ask_where_it_begins() -> None:
    line = np.array([[0.0, 0.0], [2.0, 1.0]])
    assert slope_of(line) == slope_of(line[::-1]) == pytest.approx(np.arctan(0.5))
