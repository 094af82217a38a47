"""Bodies from dots against turns that are known, with dots lost and places measured badly."""

import numpy as np
import pytest

from simcore.video.body import Body, fit

SHAPE = np.array([[0.0, 0.0], [0.2, 0.0], [0.1, 0.08]])


def turned(points: np.ndarray, angle: float) -> np.ndarray:
    return points @ np.array([[np.cos(angle), np.sin(angle)], [-np.sin(angle), np.cos(angle)]])


@pytest.mark.parametrize("angle", [-2.0, -0.1, 0.0, 0.3, 3.0])
def test_a_turn_and_a_scale_are_found(angle: float) -> None:
    found, scale, left = fit(SHAPE, 2.5 * turned(SHAPE, angle) + [3.0, -1.0])
    assert (found, scale, left) == pytest.approx((angle, 2.5, 0.0), abs=1e-12)


def test_what_does_not_fit_is_left() -> None:
    bent = SHAPE + np.array([[0.0, 0.0], [0.0, 0.0], [0.0, 0.01]])
    assert 0.001 < fit(SHAPE, bent)[2] < 0.01


def test_a_body_keeps_turning_while_one_of_three_dots_is_lost() -> None:
    angles = np.linspace(0.0, 0.4, 9)
    stuck = np.array([[0.003, -0.002], [0.0, 0.002], [-0.001, 0.0]])  # a little off what the file says
    off = SHAPE + stuck
    places = np.stack(
        [turned(off, angle) + np.array([0.1 * k, 0.0]) for k, angle in enumerate(angles)], axis=1
    )
    places[1, 4:6] = np.nan
    body = Body.of(list(places), SHAPE)
    assert body is not None
    steps = np.diff(body.angle)
    assert steps == pytest.approx(np.full(8, 0.05), abs=1e-9)  # no jump where a dot goes or comes back
    assert body.angle[0] == pytest.approx(fit(SHAPE, off)[0], abs=1e-9)


def test_fewer_than_two_dots_are_no_angle() -> None:
    places = np.stack([SHAPE[:2], SHAPE[:2]], axis=1)
    places[0, 1] = np.nan
    body = Body.of(list(places), None)
    assert body is not None and np.isnan(body.angle[1]) and body.angle[0] == pytest.approx(0.0)
    assert Body.of([SHAPE[:2]], None) is None


def test_a_point_as_seen_from_the_body() -> None:
    angles = np.array([0.0, 0.5, -0.3])
    places = np.stack(
        [turned(SHAPE, angle) + np.array([k, 2.0 * k]) for k, angle in enumerate(angles)], axis=1
    )
    point = np.stack(
        [turned(np.array([[0.05, -0.1]]), angle)[0] + [k, 2.0 * k] for k, angle in enumerate(angles)]
    )
    body = Body.of(list(places), SHAPE)
    assert body is not None
    assert body.from_it(point) == pytest.approx(np.tile([0.05, -0.1] - SHAPE.mean(axis=0), (3, 1)), abs=1e-12)


def test_angles_go_on_past_half_a_turn() -> None:
    angles = np.linspace(3.0, 3.4, 5)
    body = Body.of([np.array([turned(SHAPE[k : k + 1], a)[0] for a in angles]) for k in range(3)], SHAPE)
    assert body is not None and np.ptp(body.angle) == pytest.approx(0.4)
