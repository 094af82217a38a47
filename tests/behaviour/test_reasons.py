"""What becomes of squat support: each state in a run where mechanics leaves no other."""

from pathlib import Path

import numpy as np
import pytest

import simcore
from simcore.accounts.reasons import Reason
from simcore.studies.simulate import Run

SCENARIOS = Path(__file__).parents[2] / "scenarios"
LEVEL = {"ground.slope": 0, "end.duration": 1.2}


def run(name: str, settings: dict, counterfactual: bool = False) -> Run:
    scenario = simcore.load_scenario(SCENARIOS / f"{name}.toml")
    return simcore.simulate(scenario.changed(settings), without_support=counterfactual)


def share(done: Run, axle: str, reason: Reason, since: float = 0.0) -> float:
    """Share of the rows after a time in which an axle's support has a state."""
    table = done.series[done.series["time_s"] >= since]
    return float((table[f"{axle}_support_state"] == reason.name).mean())


def test_sticky_shocks_hold_and_the_run_without_support_agrees() -> None:
    """Shocks that no force of the launch can move: support is there, and taking it away changes nothing."""
    stuck = {f"{end}.shock.friction": {"breakaway": 8} for end in ("rear", "front")}
    done = run("punchy_launch", LEVEL | stuck | {"end.duration": 0.75}, counterfactual=True)
    assert share(done, "rear", Reason.HELD, 0.3) == 1.0
    assert done.summary["support_shows_s"] is None
    assert done.summary["support_shows"] == "NEVER"
    assert done.series["rear_support_N"].max() > 1.0
    free = {f"{end}.shock.friction": {"breakaway": 0} for end in ("rear", "front")}
    loose = run("punchy_launch", LEVEL | free | {"end.duration": 0.75}, counterfactual=True)
    assert share(loose, "rear", Reason.HELD) == 0.0
    assert 0.2 < loose.summary["support_shows_s"] < 0.5
    assert abs(loose.summary["support_rear_travel_mm"]) > 2.0


def test_an_undriven_axle_has_no_thrust_or_is_dragged_along() -> None:
    """In the launch it must spin up its wheels; in a steady creep nothing but rolling is left."""
    launch = run("punchy_launch", LEVEL | {"driveline.drive": "front", "end.duration": 0.6})
    spun_up = launch.series["rear_wheel_speed_rpm"].diff() > 0.5
    dragged = launch.series["rear_support_state"] == Reason.DRAGGED.name
    assert dragged[spun_up & (launch.series["time_s"] > 0.3)].all()
    firm = {"rear.shock.springs.0.rate": 0.5}
    creep = run("slow_creep", {"ground.slope": 0, "driveline.drive": "front"} | firm)
    assert share(creep, "rear", Reason.NO_THRUST, 1.0) == 1.0
    for done in (launch, creep):
        assert share(done, "rear", Reason.REVERSED) == 0.0


def test_ice_spins_the_tyres_and_leaves_nothing_to_support() -> None:
    done = run("punchy_launch", LEVEL | {"ground.grip": 3, "rear.shock.springs.0.rate": 0.2})
    after = done.series[done.series["time_s"] > 0.4]
    assert after["rear_slip_pct"].min() > 30.0
    assert share(done, "rear", Reason.SPINNING, 0.4) > 0.9


def test_level_links_have_thrust_but_nothing_to_see() -> None:
    """Level links: the contact moves straight up, tan(a) is nearly zero."""
    flat = {"rear.lower_link.chassis": [118, 46], "rear.upper_link.chassis": [92, 86]}
    flat["rear.shock.springs.0.rate"] = 0.8
    done = run("punchy_launch", LEVEL | flat | {"end.duration": 0.75})
    late = done.series[done.series["time_s"].between(0.35, 0.75)]
    assert np.abs(late["rear_path_slope_deg"]).max() < 6.0
    assert late["rear_thrust_N"].mean() > 1.0
    assert share(done, "rear", Reason.TOO_SMALL, 0.35) > 0.5


def test_strong_overdrive_reverses_an_axle_on_the_level() -> None:
    """In a creep on the level the overdriven front pulls, and the rear is dragged along: it brakes."""
    creep = {"ground.slope": 0, "driveline.overdrive": 25, "end.duration": 2}
    done = run("slow_creep", creep)
    late = done.series[done.series["time_s"] > 1.5]
    assert late["rear_thrust_N"].max() < -0.5 and late["front_thrust_N"].min() > 0.5
    assert share(done, "rear", Reason.REVERSED, 1.5) == 1.0
    assert share(done, "front", Reason.REVERSED, 1.5) == 0.0
    assert share(run("slow_creep", creep | {"driveline.overdrive": 0}), "rear", Reason.REVERSED, 1.5) == 0.0


def test_a_stop_takes_the_support_over() -> None:
    """On 35 degrees the front shocks of the light rig hang on their stops."""
    done = run("steep_creep", {"end.duration": 0.5})
    assert (done.series["front_droop_stop_N"] < 0.0).all()
    assert share(done, "front", Reason.ON_A_STOP) == 1.0


@pytest.mark.parametrize("name", ["punchy_launch", "slow_creep", "trail_launch"])
def test_states_add_up_to_the_whole_run(name: str) -> None:
    summary = run(name, {"end.duration": 1}).summary
    for axle in ("rear", "front"):
        shares = [summary[f"{axle}_support_{reason.name.lower()}_pct"] for reason in Reason]
        assert sum(shares) == pytest.approx(100.0)
