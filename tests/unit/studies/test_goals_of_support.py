"""Goals that bound what squat support does, which two runs together tell."""

import re
from pathlib import Path

import pytest

import simcore
from simcore.studies.simulate import summary_of

SCENARIOS = Path(__file__).parents[3] / "scenarios"


@pytest.mark.parametrize("spare", [0.5, -0.5], ids=["kept", "missed"])
def test_a_goal_may_bound_what_support_does(spare: float) -> None:
    """Support holds the rear of a punch up; by how much is asked, then a little less or more."""
    punch = simcore.load_scenario(SCENARIOS / "punchy_launch.toml")
    case = punch.changed({"end.duration": 0.5, "without_support": True})
    moved = simcore.simulate(case).summary["support_rear_travel_mm"]
    assert moved < -1.0
    bounded = case.changed({"goal.at_most.support_rear_travel_mm": moved + spare})
    run = simcore.simulate(bounded)
    assert run.summary["job"] == ("DONE" if spare > 0.0 else "NOT_DONE")
    assert run.summary == summary_of(bounded)
    missed = re.search(r"[Mm]isses its goal: (.*)", run.headline)
    assert (missed is None) is (spare > 0.0)
    assert missed is None or "wanted" in missed[1]
    assert run.counterfactual is not None and run.counterfactual.summary["job"] == "DONE"
