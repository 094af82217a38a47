"""Dots that move together, and things in the background that only look like one."""

import numpy as np
import pytest

from simcore.video.rivals import Rivals
from simcore.video.together import carried, odd_ones

THEN = {
    name: np.array(at, float)
    for name, at in {"a": (0, 0), "b": (100, 0), "c": (20, 60), "d": (90, 50)}.items()
}
BODIES = {"a": "rear", "b": "front", "c": "chassis", "d": "chassis"}
LEAVE = dict.fromkeys(THEN, 12.0)
WIDTH = 10.0


def moved(angle: float = 0.1, shift: tuple[float, float] = (30.0, -5.0)) -> dict[str, np.ndarray]:
    c, s = np.cos(angle), np.sin(angle)
    return {name: np.array([[c, -s], [s, c]]) @ at + shift for name, at in THEN.items()}


@pytest.mark.parametrize("mates", [("a", "b"), ("a", "c", "d")])
def test_a_lost_dot_goes_where_the_others_carry_it(mates: tuple[str, ...]) -> None:
    now = moved()
    gone = carried(THEN, THEN, {name: now[name] for name in mates})
    for name, place in now.items():
        assert gone[name] == pytest.approx(place)


def test_one_mate_carries_without_a_turn_and_none_not_at_all() -> None:
    assert carried(THEN, THEN, {"a": THEN["a"] + 7.0})["d"] == pytest.approx(THEN["d"] + 7.0)
    assert carried(THEN, THEN, {})["d"] == pytest.approx(THEN["d"])


def test_what_moves_together_is_kept_and_axles_may_travel() -> None:
    assert odd_ones(THEN, moved(), LEAVE, BODIES, WIDTH) == []
    travelled = {**moved(), "a": moved()["a"] + [0.0, -9.0]}
    assert odd_ones(THEN, travelled, LEAVE, BODIES, WIDTH) == []


@pytest.mark.parametrize("name", list(THEN))
def test_the_one_that_stays_behind_is_the_odd_one(name: str) -> None:
    assert odd_ones(THEN, {**moved(), name: THEN[name]}, LEAVE, BODIES, WIDTH) == [name]


def test_two_that_disagree_are_both_odd() -> None:
    now = {"c": THEN["c"], "d": THEN["d"] + [7.0, 0.0]}  # on one body
    assert sorted(odd_ones(THEN, now, LEAVE, BODIES, WIDTH)) == ["c", "d"]


def test_what_stands_still_is_a_rival_and_what_moves_is_none() -> None:
    rivals = Rivals()
    for k in range(5):
        rivals.note([np.array([50.0, 50.0]) + 0.3 * (-1) ** k, np.array([200.0 + 9.0 * k, 50.0])], WIDTH)
        assert rivals.is_one(np.array([52.0, 50.0]), WIDTH) == (k >= 2)
    assert not rivals.is_one(np.array([209.0, 50.0]), WIDTH)
    assert not rivals.is_one(np.array([60.0, 50.0]), WIDTH)
