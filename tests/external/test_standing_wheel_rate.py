"""Motion ratio and wheel rate of a standing rig.

Sources: Barton and Fieldhouse, Automotive Chassis Engineering (2018), eq (3.29)-(3.33), k_w = k_s (c/b)^2,
seen in a stored copy; 0.10 N/mm at 0.8 gives 0.064 N/mm (recomputed). Exact form by virtual work: F_w = F_s
dl/dz, k_w = k_s (dl/dz)^2 + F_s d2l/dz2; a spring leaned by phi over a straight vertical path has dl/dz =
cos phi and d2l/dz2 = -sin^2 phi/length, so the square of the cosine counts, and a little less.
"""

import math
from typing import Any

import pytest
from rigs import AT_REST, GRAVITY, scenario, textbook_rig

from simcore.standing.facts import Standing
from simcore.standing.stand import stand
from simcore.standing.table import table_of

SPAN, HUB = 300.0, 50.0


def soft_rig(**axle: Any) -> Standing:
    """Springs of 0.10 N/mm an axle; both axles carry half of 1 kg, and the same keys but mirrored."""
    rig = textbook_rig(SPAN, (SPAN / 2, 60.0), 1000.0, 3000.0, rates=(0.1, 0.1))
    for end, turned in (("rear", 1.0), ("front", -1.0)):
        shock = rig[end]["shock"]
        for key, (x, z) in axle.items():
            place = [SPAN / 2 + turned * (x - SPAN / 2), z]
            if key == "arm":
                del rig[end]["lower_link"], rig[end]["upper_link"]
                rig[end]["arm"] = {"chassis": place}
            else:
                shock[key] = place
        ends = math.dist(shock["axle"], shock["chassis"])
        shock |= {"extended_length": ends + 40.0, "stroke": 80.0}
    return stand(scenario(rig, AT_REST))


def test_motion_ratio_counts_squared() -> None:
    """Level arm of 140 mm, shock upright at 0.8 of it from the pin: 0.064 N/mm at the wheel."""
    here = soft_rig(arm=(140.0, HUB), axle=(28.0, HUB), chassis=(28.0, HUB + 200.0))
    for name in ("rear", "front"):
        table = table_of(here)
        assert table[f"{name}_motion_ratio"] == pytest.approx(0.8, rel=1e-3)
        assert table[f"{name}_wheel_rate_N_per_mm"] == pytest.approx(0.064, rel=2e-3)


@pytest.mark.parametrize("lean_deg", [-35.0, 20.0, 50.0])
def test_a_leaned_spring(lean_deg: float) -> None:
    """The level links of 1000 mm bend the path towards the middle of the rig by z^2/2000 mm, which presses a
    spring that leans inward.
    """
    lean, length = math.radians(lean_deg), 200.0
    top = length * math.sin(lean), HUB + length * math.cos(lean)
    here = soft_rig(axle=(0.0, HUB), chassis=top)
    sprung = 1e-3 * (1000.0 - 80.0) / 2 * GRAVITY  # each axle, N
    curve = math.sin(lean) / 1000.0 - math.sin(lean) ** 2 / length
    rate = 0.1 * math.cos(lean) ** 2 + sprung / math.cos(lean) * curve
    for axle in here.axles:
        assert axle.path is not None and axle.shocks.wheel_rate is not None
        assert axle.path.ratio == pytest.approx(math.cos(lean), rel=1e-3)
        assert 1e-3 * axle.shocks.wheel_rate == pytest.approx(rate, rel=5e-3)
        assert abs(rate - 0.1 * math.cos(lean) ** 2) > 0.01 * rate, "the second term counts"
