"""Rules of thumb about what hides support: sticky seals, and shocks that lie on their stops.

Common practice, no source. The witness of the first is the same rig without seals; of the second the force of
the stop: support can only take off the shock what the stop presses.
"""

from pathlib import Path
from typing import Any

import numpy as np

import simcore
from simcore.standing.at_rest import standing_scenario
from simcore.standing.stand import stand
from simcore.standing.table import table_of
from simcore.studies.simulate import Run

SCENARIOS = Path(__file__).parents[2] / "scenarios"
FELL = str(SCENARIOS / "rigs" / "fell.toml")
VISIBLE, PRESLIDING = 0.5, 0.1  # mm, defaults of a scenario and of a shock
FREE = {f"{end}.shock.friction": {"breakaway": 0} for end in ("rear", "front")}


def run(name: str, settings: dict[str, Any], counterfactual: bool = False) -> Run:
    scenario = simcore.load_scenario(SCENARIOS / f"{name}.toml")
    done = simcore.simulate(scenario.changed({"ground.slope": 0} | settings), without_support=counterfactual)
    assert done.sound, done.audit.faults
    return done


# --- friction ---
def speed_up(gain: float, settings: dict[str, Any]) -> tuple[np.ndarray, float]:
    """How far both ends of the sticky rig move while it speeds up, mm, and its peak acceleration."""
    speed = [[t / 20, gain * t / 20] for t in range(21)]
    done = run("slow_creep", {"rig": FELL, "driver.speed": speed, "end.duration": 1.0} | settings)
    travel = done.series[["rear_travel_mm", "front_travel_mm"]].to_numpy()
    peak = np.gradient(done.series["speed_m_per_s"], done.series["time_s"]).max()
    return np.abs(travel - travel[0]).max(axis=0), float(peak)


def test_too_little_acceleration_moves_no_sticky_shock() -> None:
    """Rule (common practice, no source): too little to overcome the seals moves nothing.

    Holds: below the stated acceleration the shocks only give by their presliding; the same pull moves shocks
    without seals by more than a viewer sees.
    """
    facts = table_of(stand(standing_scenario(FELL)))
    stated = [facts[f"{end}_moves_from_m_per_s2"] for end in ("rear", "front")]
    gentle, low = speed_up(0.5, {})
    brisk, high = speed_up(4.0, {})
    assert low < min(stated) and max(stated) < high
    assert (gentle < PRESLIDING).all()
    assert (brisk > 20.0 * PRESLIDING).all()
    assert (speed_up(0.5, FREE)[0] > 2.0 * VISIBLE).all()


# --- stops ---
LOW = {"rate": 0.03}  # a spring too soft to hold the rear up: it lies on its bump stop
HELD = {"rate": 0.07, "hold_ride_height": True}


def launch(spring: dict[str, Any], torque: float) -> Run:
    """Rear drive: what the front links do is left out."""
    settings = {
        "driveline.drive": "rear",
        "rear.shock.springs": [spring],
        "driver.torque": [[0, 0], [0.06, torque]],
        "end.duration": 0.7,
    }
    return run("punchy_launch", settings, counterfactual=True)


def test_support_has_no_travel_to_work_on_while_the_bump_stop_presses() -> None:
    """Rule (common practice, no source): with the rear fully compressed, support has nothing to work on.

    Holds as long as the stop presses harder than the support relieves: the force of the stop changes, the
    travel does not. The same launch on springs that hold the rear up shows it plainly.
    """
    low, held = launch(LOW, 20), launch(HELD, 20)
    assert (low.series["rear_bump_stop_N"] > 0.5).all()
    assert low.series["rear_support_N"].max() > 1.0
    assert abs(low.summary["support_rear_travel_mm"]) < 0.5 * VISIBLE
    assert held.summary["support_rear_travel_mm"] < -10.0 * VISIBLE
    after = low.series["time_s"] > 0.4
    stop = (run_.series.loc[after, "rear_bump_stop_N"].mean() for run_ in (low, low.counterfactual))
    relieved, pressed = stop
    assert relieved < pressed - 1.0


def test_support_that_beats_the_stop_lifts_the_rear_off_it() -> None:
    """Rule (common practice, no source): compressed shocks hide support; fails for a hard enough punch.

    A spring that almost holds the rear leaves the stop little to press: the same links, pulling harder, take
    it off the stop and support shows again.
    """
    done = launch({"rate": 0.05}, 34)
    assert 0.0 < done.series["rear_bump_stop_N"].iloc[0] < 1.5
    assert done.series["rear_support_N"].max() > 2.0
    assert done.series["rear_bump_stop_N"].min() == 0.0
    assert done.summary["support_rear_travel_mm"] < -2.0 * VISIBLE


NO_HELP = {
    "rear.upper_link.chassis": [92, 102],
    "rear.lower_link.chassis": [118, 56],
    "rear.shock.springs.0.rate": 0.04,
}


def test_a_steep_slope_alone_may_put_the_rear_on_its_stop() -> None:
    """Rule (common practice, no source): a steep slope alone compresses the rear fully and ends the support.

    Conditional: it does with links that carry next to nothing, on soft springs. Links that carry most of the
    load keep the rear off its stop on any slope that it can stand on, the steeper the more.
    """
    rig = SCENARIOS / "rigs" / "gully.toml"

    def stands(slope: float, settings: dict[str, Any]) -> dict[str, Any]:
        return table_of(stand(standing_scenario(rig, slope).changed(settings)))

    assert abs(stands(0, NO_HELP)["rear_anti_squat_pct"]) < 10.0
    assert stands(0, NO_HELP)["rear_shocks_stand"] == "FREE"
    assert stands(35, NO_HELP)["rear_shocks_stand"] == "ON_BUMP_STOP"
    assert stands(0, {})["rear_anti_squat_pct"] > 50.0
    left = [stands(slope, {})["rear_left_to_bump_stop_mm"] for slope in (0, 30, 35, 40, 45)]
    assert min(left) > 10.0
    assert left[0] > left[1] < left[2] < left[3] < left[4]


def test_on_the_stop_of_a_steep_slope_support_shows_in_no_travel() -> None:
    """Rule (common practice, no source): the steep creep of a rig on its bump stop shows no support.

    Holds: with and without, both lie on the stop.
    """
    done = run("steep_creep", NO_HELP | {"ground.slope": 35, "end.duration": 1.0}, counterfactual=True)
    assert (done.series["rear_bump_stop_N"] > 0.0).all()
    assert abs(done.summary["support_rear_travel_mm"]) < 0.5 * VISIBLE
    shipped = run("steep_creep", {"ground.slope": 35, "end.duration": 1.0}, counterfactual=True)
    assert shipped.summary["support_rear_travel_mm"] < -10.0 * VISIBLE
