"""The statics that judges standing starts, itself held against closed forms: it must bracket them tightly.

Sources: published grades and the tip-back slope as in `test_standing_limits` (R. N. Jazar, Vehicle Dynamics,
Springer 2008, eq 2.68, 2.86, exercise 46; a worked problem with 10.18, 17.17 and 26.57 deg). The brake by
hand: a rig of 1.5 kg puts 14.71 N sin(slope) * 50 mm / 20 on the rotor, which is 10 N*mm at 15.78 deg.
"""

from typing import Any

import pytest
from rigs import textbook_rig
from standing_bound import bound

NEAR = 1.2  # deg, for 4 % of grip
NEAR_TIP = 2.5  # deg, for 1.5 deg and 2 mm of shock travel


def stiff_rig(span: float, cg: tuple[float, float], grip: float, drive: str = "all") -> dict[str, Any]:
    """Textbook vehicle whose shocks hardly move: they have rubber all the way and no spring."""
    rig = textbook_rig(span, cg, 1500.0, 5000.0, peak_grip=grip, sliding_grip=grip)
    rig["driveline"]["drive"] = drive
    for side in ("rear", "front"):
        rig[side]["shock"] |= {"stroke": 3.0, "extended_length": 201.5, "springs": []}
    return rig


@pytest.mark.parametrize(("drive", "published"), [("rear", 10.1755), ("front", 17.1718), ("all", 26.5651)])
def test_published_grades_lie_between_standing_and_sliding(drive: str, published: float) -> None:
    rig = stiff_rig(267.5, (180.0, 47.5), 0.5, drive)
    assert bound(rig, published - NEAR).stands
    assert bound(rig, published + NEAR).certain == {"slides"}
    assert not bound(rig, published).stands and not bound(rig, published).cannot


def test_ground_with_half_the_grip_slides_as_tyres_with_half() -> None:
    rig = stiff_rig(267.5, (180.0, 47.5), 1.0)
    assert bound(rig, 26.5651 - NEAR, grip=0.5).stands
    assert bound(rig, 26.5651 + NEAR, grip=0.5).certain == {"slides"}


def test_the_tip_back_slope_lies_between_standing_and_tipping() -> None:
    rig = stiff_rig(320.0, (172.308, 81.5385), 3.0)
    assert bound(rig, 64.68 - NEAR_TIP).stands
    assert bound(rig, 64.68).possible == {"tips over"} and not bound(rig, 64.68).cannot
    assert bound(rig, 64.68 + NEAR_TIP).certain == {"tips over"}


def test_the_brake_gives_way_where_the_hand_says_so() -> None:
    rig = stiff_rig(320.0, (172.308, 81.5385), 1.0, "rear")
    rig["motor"]["brake_torque"] = 10.0
    for way in (-1, 1):
        assert bound(rig, way * (15.78 - NEAR)).stands
        assert bound(rig, way * (15.78 + NEAR)).certain == {"brake slips"}
