"""Load from side to side, by free bodies worked out by hand; which keys of a rig file give it."""

import copy
import tomllib
from pathlib import Path
from typing import Any

import pytest

from simcore.files import Rig
from simcore.rig.torque_twist import TorqueTwist, missing_keys, torque_twist

GOOD = tomllib.loads(
    (Path(__file__).parents[2] / "robustness" / "wrong_files" / "good_rig.toml").read_text(encoding="utf-8")
)
SHAFTS: dict[str, dict[str, Any]] = {
    "rear": {"chassis": [130, 85], "axle": [15, 60], "ratio": 3},
    "front": {"chassis": [180, 85], "axle": [295, 60], "ratio": 2.5},
}
SAME, OPPOSED = (1.0, 1.0), (1.0, -1.0)


def rig(*shafts: str, drive: str = "all", turns: dict[str, str] | None = None, **keys: Any) -> Rig:
    raw = copy.deepcopy(GOOD) | keys
    raw["driveline"]["drive"] = drive
    for end in shafts:
        raw[end]["shaft"] = SHAFTS[end] | ({"turns": turns[end]} if turns and end in turns else {})
    return Rig.model_validate(raw)


def test_two_shafts_turned_by_hand() -> None:
    """Track 200 mm; the rear shaft turns its axle clockwise with 0.12 N m, the front one with 0.05 N m.

    The chassis takes 0.17 N m back. Its rear shocks carry 30 % of that, 0.051 N m, to the rear axle,
    anticlockwise: 0.069 N m are left to its tyres, 0.345 N more on the right one and as much less on the left
    one. The front shocks carry 0.119 N m: 0.069 N m more than the front shaft, so that the left one gains.
    """
    assert TorqueTwist(0.2, SAME).side_load(0.12, 0.05, 0.3) == pytest.approx(0.345)


def test_shafts_against_each_other_add() -> None:
    """The chassis takes 0.12 - 0.05 N m; 0.021 N m of it stay at the rear: 0.099 N m on 200 mm."""
    assert TorqueTwist(0.2, OPPOSED).side_load(0.12, 0.05, 0.3) == pytest.approx(0.495)
    assert TorqueTwist(0.2, (-1.0, 1.0)).side_load(0.12, 0.05, 0.3) == pytest.approx(-0.495)
    assert TorqueTwist(0.2, OPPOSED).side_load(0.1, 0.1, 0.5) == pytest.approx(0.5)


@pytest.mark.parametrize("share", [0.2, 0.5, 0.8])
def test_nothing_moves_where_torques_are_shared_like_the_roll_stiffness(share: float) -> None:
    assert TorqueTwist(0.2, SAME).side_load(0.1 * share, 0.1 * (1.0 - share), share) == pytest.approx(0.0)
    assert TorqueTwist(0.2, SAME).most(0.1 * share, 0.1 * (1.0 - share)) > 0.2


@pytest.mark.parametrize("share", [0.0, 0.35, 1.0])
def test_one_driven_axle_is_the_formula_of_the_textbook(share: float) -> None:
    """Gillespie (1992), ch 2 (from memory): shaft torque / track, times the other end's roll stiffness."""
    twist = TorqueTwist(0.18, SAME)
    assert twist.side_load(0.09, 0.0, share) == pytest.approx(0.5 * (1.0 - share))
    assert twist.side_load(0.0, 0.09, share) == pytest.approx(-0.5 * share)


@pytest.mark.parametrize("turns", [SAME, OPPOSED])
@pytest.mark.parametrize(("rear", "front"), [(0.12, 0.05), (0.04, 0.09), (-0.12, 0.05), (0.07, 0.0)])
def test_the_bound_is_reached_and_kept_over_all_shares(
    turns: tuple[float, float], rear: float, front: float
) -> None:
    twist = TorqueTwist(0.2, turns)
    sizes = [abs(twist.side_load(rear, front, k / 100.0)) for k in range(101)]
    assert max(sizes) == pytest.approx(5.0 * max(abs(rear), abs(front)))
    assert twist.most(rear, front) == pytest.approx(max(sizes))


def test_what_a_rig_file_states() -> None:
    stated = torque_twist(rig("rear", "front", track=210, turns={"front": "anticlockwise"}))
    assert stated == TorqueTwist(0.21, OPPOSED)
    assert torque_twist(rig("rear", "front", track="8 in")) == TorqueTwist(pytest.approx(0.2032), SAME)
    assert torque_twist(rig("front", drive="front", track=210)) == TorqueTwist(0.21, SAME)


@pytest.mark.parametrize(
    ("one", "missing"),
    [
        (rig(), ["track", "rear.shaft", "front.shaft"]),
        (rig(track=200), ["rear.shaft", "front.shaft"]),
        (rig("rear", track=200), ["front.shaft"]),
        (rig("rear", "front"), ["track"]),
        (rig("front", drive="rear", track=200), ["rear.shaft"]),
        (rig(drive="front"), ["track", "front.shaft"]),
        (rig("rear", drive="rear", track=200), []),
    ],
)
def test_keys_that_are_missing_leave_it_unknown(one: Rig, missing: list[str]) -> None:
    assert missing_keys(one) == missing
    assert (torque_twist(one) is None) is bool(missing)
