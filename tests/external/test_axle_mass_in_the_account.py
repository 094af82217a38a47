"""What the axle itself takes of its tyres' load: spin-up of its wheels, its housing's turn, rolling.

Moments of axle and wheels about the instant centre of the links, e high and d ahead of the contact (by
d'Alembert, derived here). The links' forces pass through that point, the gears' torque is inside:

    N d = F e + (what the shocks push, and the axle's weight) - m a (e - r) + J w' - I phi'' + c N R,

N load and F thrust of the tyres, m and r mass and height of the axle, a its acceleration, J w' the spin-up of
both wheels (forward is nose-down, like the moment of N), phi the nose-up turn of the housing, c N R the load
that acts ahead of the wheel centre. So N has the shares (J w' - I phi'' - m a (e - r))/d and c N R/d.
"""

import functools
import math
from typing import Any

import numpy as np
import pandas as pd
import pytest
from rigs import GRAVITY, scenario, textbook_rig

import simcore

SPAN, HUB, AHEAD, UP = 300.0, 50.0, 180.0, 90.0  # mm; d and e
AXLE, SPIN, ROLLING = 40.0, 120.0, 0.08  # g; kg mm^2, one wheel; share of the load
HOUSING = 3000.0  # kg mm^2


def link(axle_height: float) -> dict[str, Any]:
    """A link that points at the instant centre."""
    reach = 0.5
    return {"axle": [0.0, axle_height], "chassis": [reach * AHEAD, axle_height + reach * (UP - axle_height)]}


@functools.cache
def launched(
    rate: float, oil: float, housing: float, torque: float, within: float, tyre: float
) -> pd.DataFrame:
    """A rig with rear drive that is pushed off, springs of `rate` N/mm an end."""
    rig = textbook_rig(
        SPAN,
        (140.0, 80.0),
        3000.0,
        15000.0,
        (rate, rate),
        unsprung=AXLE,
        spin_inertia=SPIN,
        rolling_resistance=100.0 * ROLLING,
        damping=300.0,
        stiffness=tyre,
    )
    rig["rear"] |= {"lower_link": link(25.0), "upper_link": link(80.0)}
    rig["rear"]["housing"]["pitch_inertia"] = housing
    rig["driveline"]["drive"] = "rear"
    for end in ("rear", "front"):
        rig[end]["shock"]["damper"] = {"compression": oil, "rebound": oil}
    driver = {"control": "torque", "torque": [[0, 0], [within, torque]], "release": 0.0}
    run = simcore.simulate(scenario(rig, driver, end={"duration": 0.8}, output={"rate": 5000}))
    assert run.sound, run.audit.faults
    return run.series


def second(table: pd.DataFrame, values: Any) -> Any:
    """Second derivative by time."""
    times = table["time_s"].to_numpy()
    return np.gradient(np.gradient(values, times), times)


def test_wheels_that_spin_up_and_the_mass_of_the_axle() -> None:
    """Steady acceleration on hard springs; both wheels gain a/R_e."""
    table = launched(rate=400.0, oil=400.0, housing=10.0, torque=40.0, within=0.1, tyre=1000.0)
    late = table[table["time_s"] > 0.6].mean(numeric_only=True)
    pull = np.polyfit(table["time_s"][3500:], table["speed_m_per_s"][3500:], 1)[0]
    spun = np.polyfit(table["time_s"][3500:], table["rear_wheel_speed_rpm"][3500:] * math.pi / 30.0, 1)[0]
    assert spun == pytest.approx(
        pull / (1e-3 * HUB), rel=0.05
    )  # slip and deflection leave little between them
    spin_up = 2e-6 * SPIN * spun / (1e-3 * AHEAD)
    lag = 1e-3 * AXLE * pull * (UP - HUB) / AHEAD
    assert spin_up > 2.0 * lag > 0.02
    assert late["rear_unsprung_inertia_N"] == pytest.approx(spin_up - lag, rel=0.02)


def test_rolling_resistance_adds_to_the_load_as_far_as_it_lies_ahead() -> None:
    table = launched(rate=400.0, oil=400.0, housing=10.0, torque=40.0, within=0.1, tyre=1000.0)
    late = table[table["time_s"] > 0.6]
    expected = ROLLING * late["rear_load_N"] * HUB / AHEAD
    assert expected.mean() > 0.02 * 3.0 * GRAVITY * 0.5
    np.testing.assert_allclose(late["rear_rolling_share_N"], expected, rtol=0.01)


def test_a_housing_that_turns() -> None:
    """A heavy housing on bouncing springs; its turn differenced twice over the series."""
    table = launched(rate=6.0, oil=2.0, housing=HOUSING, torque=40.0, within=0.01, tyre=30.0)
    turn = np.radians(table["pitch_deg"] + table["rear_housing_deg"]).to_numpy()
    spun = np.gradient(table["rear_wheel_speed_rpm"].to_numpy() * math.pi / 30.0, table["time_s"].to_numpy())
    shares = 2e-6 * SPIN * spun, -1e-6 * HOUSING * second(table, turn)
    kept = (table["time_s"] > 0.02) & (table["time_s"] < 0.79)
    pull = np.gradient(table["speed_m_per_s"].to_numpy(), table["time_s"].to_numpy())
    expected = (sum(shares) / (1e-3 * AHEAD) - 1e-3 * AXLE * pull * (UP - HUB) / AHEAD)[kept]
    found = table["rear_unsprung_inertia_N"].to_numpy()[kept]
    turning = shares[1][kept] / (1e-3 * AHEAD)
    assert np.ptp(turning) > 0.25
    off = np.abs(found - expected)  # the instant centre moves a little; some instants have a kink
    assert np.quantile(off, 0.99) == pytest.approx(0.0, abs=0.05 * np.ptp(turning))
