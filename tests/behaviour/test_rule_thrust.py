"""Rules of thumb about thrust: without it no support, overdrive pulls both ends down, braking turns it round.

Common practice, no source. The witnesses are balances written here: thrust of an axle that only drags another
one along is that one's rolling resistance; on a slope the tyres hold W sin th; the support of an axle is its
thrust times the slope of the contact's path, whatever the sign of the thrust.
"""

import math
from itertools import pairwise
from pathlib import Path
from typing import Any

import numpy as np
import pandas as pd
import pytest

import simcore
from simcore.standing.stand import stand
from simcore.standing.table import table_of
from simcore.studies.simulate import Run

SCENARIOS = Path(__file__).parents[2] / "scenarios"
RIGS = ("gully", "fell")
VISIBLE = 0.5  # mm, the default of a scenario
GRAVITY = 9.80665


def both(key: str, value: Any) -> dict[str, Any]:
    return {f"{end}.{key}": value for end in ("rear", "front")}


FREE = both("shock.friction", {"breakaway": 0})
EASY = both("tyre.rolling_resistance", 0)
FIRM = both("shock.springs", [{"rate": 5, "hold_ride_height": True}])
LIGHT = both("tyre.spin_inertia", 1) | {"motor.rotor_inertia": 0.01, "motor.voltage": 60}
ROLL = {"ground.slope": 0, "driver.speed": [[0, 0], [1.0, 0.15]], "driveline.overdrive": 0}


def scenario(rig: str, settings: dict[str, Any]) -> simcore.Scenario:
    base = simcore.load_scenario(SCENARIOS / "slow_creep.toml")
    return base.changed({"rig": str(SCENARIOS / "rigs" / f"{rig}.toml")} | settings)


def run(rig: str, settings: dict[str, Any], counterfactual: bool = False) -> Run:
    done = simcore.simulate(scenario(rig, settings), without_support=counterfactual)
    assert done.sound, done.audit.faults
    return done


def at_last(done: Run, column: str) -> float:
    return float(done.series[column].iloc[-1])


def gained(table: pd.DataFrame) -> np.ndarray:
    """Acceleration along the ground, m/s^2."""
    return np.gradient(table["speed_m_per_s"], table["time_s"])


def shown(done: Run) -> float:
    """Rear travel at the end with support less that without, mm."""
    assert done.counterfactual is not None
    return at_last(done, "rear_travel_mm") - at_last(done.counterfactual, "rear_travel_mm")


# --- no thrust, no support ---
@pytest.mark.parametrize("drive", ["rear", "front"])
@pytest.mark.parametrize("name", RIGS)
def test_no_thrust_no_support_when_one_axle_rolls_free(name: str, drive: str) -> None:
    """Rule (common practice, no source): at a steady speed on the level, one axle free, no support shows.

    Holds for tyres that roll without loss, even on shocks without friction.
    """
    done = run(name, ROLL | FREE | EASY | {"driveline.drive": drive}, counterfactual=True)
    for end in ("rear", "front"):
        assert abs(at_last(done, f"{end}_thrust_N")) < 0.005
        assert abs(at_last(done, f"{end}_support_N")) < 0.005
    assert abs(shown(done)) < 0.05 * VISIBLE


def test_rolling_resistance_alone_is_thrust_enough_on_soft_free_shocks() -> None:
    """Rule (common practice, no source): a rig that only rolls shows no support; fails where nothing sticks.

    The driven rear pulls what the front's rolling resistance takes, 3 % of its load. By the slope of its path
    that is a tenth of a newton, on springs of a tenth of a newton per mm: a visible lift. The seals of the
    shipped rig hold more than that, and so the rule comes true.
    """
    done = run("gully", ROLL | FREE | {"driveline.drive": "rear"}, counterfactual=True)
    dragged = 0.03 * at_last(done, "front_load_N")
    assert at_last(done, "rear_thrust_N") == pytest.approx(dragged, rel=0.05)
    assert -4.0 * VISIBLE < shown(done) < -VISIBLE
    band = table_of(stand(scenario("gully", {"ground.slope": 0})))["rear_friction_band_N"]
    assert 0.0 < at_last(done, "rear_support_N") < 0.5 * band


@pytest.mark.parametrize("name", RIGS)
def test_no_overdrive_in_the_gears_is_not_none_at_the_tread(name: str) -> None:
    """Rule (common practice, no source): locked axles without overdrive do not work against one another.

    Fails a little: the tyres that carry less are compressed less and roll on a larger radius, so that the
    lighter,
    rear end pulls and the front is dragged. Gears that make up for the radii end it.
    """
    settings = ROLL | FREE | EASY
    tread = table_of(stand(scenario(name, settings)))["rolling_overdrive_pct"]
    assert -1.0 < tread < -0.1
    plain = run(name, settings)
    assert at_last(plain, "rear_thrust_N") > 0.1
    assert at_last(plain, "front_thrust_N") == pytest.approx(-at_last(plain, "rear_thrust_N"), abs=0.01)
    made_up = run(name, settings | {"driveline.overdrive": 100 / (1 + tread / 100) - 100})
    assert abs(at_last(made_up, "rear_thrust_N")) < 0.1 * at_last(plain, "rear_thrust_N")


@pytest.mark.parametrize("name", RIGS)
def test_holding_thrust_on_a_slope_loads_the_links_like_acceleration(name: str) -> None:
    """Rule (common practice, no source): on a slope the links feel what g sin th of acceleration gives.

    Holds to 3 %, standing on the drag brake or creeping, force for force and per gain (the slipping tyres
    speed up a little less than their treads): the tyres of the climb carry cos th of the weight, and the firm
    springs lean a little.
    """
    slope = math.radians(12.0)
    gain = GRAVITY * math.sin(slope)
    rig = FIRM | FREE | EASY | LIGHT | {"driveline.drive": "rear", "driveline.overdrive": 0}
    rig |= both("shock.damper", {"compression": 20, "rebound": 20})
    speed_up = {"ground.slope": 0, "driver.speed": [[0, 0], [0.7, 0.7 * gain]], "end.duration": 0.85}
    level = run(name, rig | speed_up)
    rest, late = level.series.iloc[0], level.series[level.series["time_s"] > 0.7].mean(numeric_only=True)
    scale = gain / gained(level.series)[level.series["time_s"] > 0.7].mean()
    assert 1.0 < scale < 1.1
    climb = run(name, rig | {"ground.slope": 12, "end.duration": 1.5})
    weight = level.trace.model.bench.whole.mass * GRAVITY
    for row in (climb.series.iloc[0], climb.series.iloc[-1]):  # held by the brake, then creeping
        assert row["rear_thrust_N"] == pytest.approx(weight * math.sin(slope), rel=0.01)
        assert row["rear_support_N"] > 0.3
        for column in ("rear_thrust_N", "rear_support_N"):
            assert row[column] == pytest.approx(scale * late[column], rel=0.03)
        for column in ("rear_lower_link_N", "rear_upper_link_N"):
            moved = late[column] - rest[column]
            assert abs(moved) > 3.0
            assert row[column] - rest[column] * math.cos(slope) == pytest.approx(scale * moved, rel=0.03)


# --- overdrive ---
def compressed(name: str, overdrive: float, grip: float) -> tuple[float, float, float]:
    """Change of rear and front travel at a steady 0.6 m/s on the level, mm, and rear thrust per load."""
    settings = {
        "ground.slope": 0,
        "ground.grip": grip,
        "driver.speed": [[0, 0], [0.5, 0.6]],
        "end.duration": 2.5,
        "driveline.overdrive": overdrive,
    }
    done = run(name, settings)
    rear, front = (
        at_last(done, f"{end}_travel_mm") - done.series[f"{end}_travel_mm"].iloc[0]
        for end in ("rear", "front")
    )
    return rear, front, at_last(done, "rear_thrust_N") / at_last(done, "rear_load_N")


@pytest.mark.parametrize("name", RIGS)
def test_front_overdrive_compresses_the_rear_shocks_on_grip(name: str) -> None:
    """Rule (common practice, no source): a rig with front overdrive squats at speed, the more the more of it.

    Holds on high grip: the front pulls, the rear is dragged and brakes, and its support works backwards. Not
    said by the rule: the front's does so too, it pulls its own end down.
    """
    found = [compressed(name, overdrive, 100) for overdrive in (0, 6, 12, 25)]
    rear, front, thrust = zip(*found, strict=True)
    assert all(more > less + VISIBLE for less, more in pairwise(rear))
    assert all(more > less + VISIBLE for less, more in pairwise(front))
    assert thrust[0] > 0.0 > thrust[1] > thrust[2] > thrust[3]


@pytest.mark.parametrize("name", RIGS)
def test_the_squat_by_overdrive_fades_on_low_grip(name: str) -> None:
    """Rule (common practice, no source): overdrive stops squatting the rig where the ground is slippery.

    Holds: the tyres work against one another with at most their grip, and slipping ones do not tell 12 % of
    overdrive from 25 %.
    """
    by_grip = {}
    for grip in (100, 10, 3):
        none, some, strong = (compressed(name, overdrive, grip) for overdrive in (0, 12, 25))
        by_grip[grip] = some[0] - none[0]
        if grip < 100:
            assert abs(strong[0] - some[0]) < 0.1
            assert -1.15 * grip / 100 < strong[2] < 0.0  # the stated peak grip is 1.05 and 1.0
    assert by_grip[100] > 3.0 * by_grip[10] > 3.0 * by_grip[3] > 0.0
    assert by_grip[3] < 0.2 * VISIBLE


# --- braking ---
SPEED_UP, SLOW_DOWN = (0.55, 0.75), (1.55, 1.75)  # s, steady parts of the run


def there_and_back(name: str, drive: str) -> tuple[pd.Series, pd.Series, pd.Series]:
    """Standing, and the means while the treads speed up with 2 m/s^2 and slow down with as much."""
    rig = FIRM | FREE | EASY | LIGHT | {"driveline.drive": drive, "driveline.overdrive": 0, "ground.slope": 0}
    rig |= both("shock.damper", {"compression": 20, "rebound": 20}) | {"motor.no_load_current": 0}
    speed = [[0, 0], [0.6, 1.2], [1.0, 1.2], [1.6, 0]]
    table = run(name, rig | {"driver.speed": speed, "end.duration": 1.75}).series
    table["gained"] = gained(table)
    numbers = table.select_dtypes("number")
    up, down = (numbers[table["time_s"].between(*window)].mean() for window in (SPEED_UP, SLOW_DOWN))
    assert up["gained"] > 1.8 and down["gained"] < -1.8
    return numbers.iloc[0], up, down


@pytest.mark.parametrize("drive", ["rear", "front"])
@pytest.mark.parametrize("name", RIGS)
def test_anti_dive_mirrors_anti_squat_with_one_axle_on_the_shaft(name: str, drive: str) -> None:
    """Rule (common practice, no source): braked through the driveline, links work the other way by as much.

    Holds with one axle on the shaft: same percentages, forces and travel with their signs turned.
    """
    rest, up, down = there_and_back(name, drive)
    scale = down["gained"] / up["gained"]
    assert abs(up[f"{drive}_support_N"]) > 0.5
    for column in (f"{drive}_thrust_N", f"{drive}_support_N", "rear_demand_N", "front_demand_N"):
        assert down[column] == pytest.approx(scale * up[column], rel=0.04)
    for kind in ("usual_formula", "axle_mass_counted"):
        assert down[f"{drive}_{kind}_pct"] == pytest.approx(up[f"{drive}_{kind}_pct"], rel=0.06)
    assert abs(up["pitch_deg"]) > 0.1
    assert down["pitch_deg"] == pytest.approx(scale * up["pitch_deg"], rel=0.1)
    other = "front" if drive == "rear" else "rear"
    moved = up[f"{other}_travel_mm"] - rest[f"{other}_travel_mm"]
    assert abs(moved) > 0.1
    assert down[f"{other}_travel_mm"] - rest[f"{other}_travel_mm"] == pytest.approx(scale * moved, rel=0.1)


@pytest.mark.parametrize("name", RIGS)
def test_locked_axles_share_the_braking_otherwise_than_the_pulling(name: str) -> None:
    """Rule (common practice, no source): anti-dive mirrors anti-squat; with all wheels locked it does not.

    The rear tyres, less compressed, roll on a larger radius: they take more than their part of the pull and
    less than their part of the braking. Per share of the thrust the percentages are still the same.
    """
    _, up, down = there_and_back(name, "all")
    share, per_share = {}, {}
    for key, row in (("up", up), ("down", down)):
        share[key] = row["rear_thrust_N"] / (row["rear_thrust_N"] + row["front_thrust_N"])
        rear, front = (
            row["rear_usual_formula_pct"] / share[key],
            row["front_usual_formula_pct"] / (1.0 - share[key]),
        )
        per_share[key] = np.array([rear, front])
    assert share["up"] > share["down"] + 0.1
    assert up["rear_usual_formula_pct"] > 1.2 * down["rear_usual_formula_pct"]
    assert down["front_usual_formula_pct"] > 1.2 * up["front_usual_formula_pct"]
    np.testing.assert_allclose(per_share["down"], per_share["up"], rtol=0.04)
