"""Squat and pitch of an accelerating rig with rear drive: where each of them is zero.

D. C. Barton and J. D. Fieldhouse, Automotive Chassis Engineering (Springer 2018), sec 3.11, p. 197, eq
(3.63)-(3.69) (seen in a damaged stored copy, re-derived): with rear and front wheel rates k_r and k_f, the
instant centre of the rear links e high and d ahead of the contact, the springs take up

    k_r delta_r = m a (h/l - e/d),    k_f delta_f = -m a h/l,    pitch = (delta_r - delta_f)/l,

so e/d = h/l lets nothing squat and e/d = (h/l)(1 + k_r/k_f) lets nothing pitch: the rear has to rise as far
as the front, which no links hold.

The book's axles have no mass and its springs give little. Here they weigh 10 g of 3 kg, travel stays below
0.5 mm, and wheels and tyres are light and hard: 2 % of what an axle takes up with level links is the bound.
"""

import functools
import math
from typing import Any

import pandas as pd
import pytest
from rigs import scenario, textbook_rig

import simcore

SPAN, HEIGHT, MASS, HUB = 300.0, 80.0, 3000.0, 50.0  # mm, g
REAR, FRONT = 8.0, 10.0  # N/mm
AHEAD, PULL = 250.0, 2.0  # d, mm; about how fast it gains speed, m/s^2
LEAN = HEIGHT / SPAN
CASES = {
    "half of no squat": 0.5 * LEAN,
    "no squat": LEAN,
    "between": LEAN * (1.0 + 0.5 * REAR / FRONT),
    "no pitch": LEAN * (1.0 + REAR / FRONT),
    "beyond": LEAN * (1.0 + 1.5 * REAR / FRONT),
}


def link(axle_height: float, centre: float) -> dict[str, Any]:
    """A link that points at the instant centre."""
    reach = 0.4
    return {
        "axle": [0.0, axle_height],
        "chassis": [reach * AHEAD, axle_height + reach * (centre - axle_height)],
    }


@functools.cache
def accelerated(share: float, supported: bool = True) -> tuple[float, pd.Series]:
    """Steady acceleration, m/s^2, and how every column then differs from the standing rig's; with the squat
    support of the links or with what it pushes on the shocks taken off again.
    """
    rig = textbook_rig(SPAN, (140.0, HEIGHT), MASS, 15000.0, (REAR, FRONT), unsprung=10.0, spin_inertia=0.5)
    rig["rear"] |= {"lower_link": link(25.0, share * AHEAD), "upper_link": link(80.0, share * AHEAD)}
    rig["driveline"]["drive"] = "rear"
    for end in ("rear", "front"):
        rig[end]["tyre"] |= {"damping": 300.0}
        rig[end]["shock"]["damper"] = {"compression": 60, "rebound": 60}
    torque = 1e3 * PULL * (1e-3 * MASS) * (1e-3 * HUB) / 20.0  # N mm at the motor
    driver = {"control": "torque", "torque": [[0, 0], [0.2, torque]], "release": 0.0}
    what = scenario(rig, driver, end={"duration": 1.2})
    run = simcore.simulate(what) if supported else simcore.simulate(what, without_support=True).counterfactual
    assert run is not None
    assert run.sound, run.audit.faults
    table = run.series.select_dtypes("number")
    late, standing = table[table["time_s"] > 1.0], table.iloc[0]
    speed = late["speed_m_per_s"]
    return float((speed.iloc[-1] - speed.iloc[0]) / (late["time_s"].iloc[-1] - late["time_s"].iloc[0])), (
        late.mean() - standing
    )


@pytest.mark.parametrize("case", CASES)
def test_squat_and_pitch_as_in_the_book(case: str) -> None:
    share = CASES[case]
    pull, changed = accelerated(share)
    assert pull == pytest.approx(PULL, rel=0.1)
    moved = 1e-3 * MASS * pull * LEAN  # m a h/l, N
    rear, front = (moved - 1e-3 * MASS * pull * share) / REAR, -moved / FRONT
    assert changed["rear_travel_mm"] == pytest.approx(rear, abs=0.02 * moved / REAR)
    assert changed["front_travel_mm"] == pytest.approx(front, abs=0.02 * moved / FRONT)
    widest = moved * (1.0 / REAR + 1.0 / FRONT) / SPAN
    assert changed["pitch_deg"] == pytest.approx(
        math.degrees((rear - front) / SPAN), abs=0.02 * math.degrees(widest)
    )


@pytest.mark.parametrize("case", CASES)
def test_without_support_springs_take_all_of_the_moved_load(case: str) -> None:
    """The book's line with e = 0, wherever the links point: k_r delta_r = m a h/l."""
    share = CASES[case]
    pull, changed = accelerated(share, supported=False)
    moved = 1e-3 * MASS * pull * LEAN
    assert changed["rear_travel_mm"] == pytest.approx(moved / REAR, rel=0.03)
    assert changed["front_travel_mm"] == pytest.approx(-moved / FRONT, rel=0.03)
