"""Is the steepest slope still the same when the rig does not start settled, but dropped onto it?

The rig is put down in its bench stance on ground that holds it, braked, and comes to rest by its own shocks
and tyres; then it is driven up as the search for the limit does. Between its two axles the thrust that holds
it is shared in another way then, which near the grip of its tyres counts for up to three tenths of a degree.
"""

import tomllib
from pathlib import Path
from typing import Any

import pytest
from sparing import few

import simcore
from simcore.accounts.verdict import why_not
from simcore.compiled import STATE, StateRecord, blank
from simcore.files import scenario_of
from simcore.rig.initial_pose import initial_pose
from simcore.rig.model import build
from simcore.solve.integrate import integrate
from simcore.solve.settle import rested
from simcore.studies.climb import Climber
from simcore.studies.limit import find_limit

SCENARIOS = Path(__file__).parents[2] / "scenarios"
WITHIN = 0.3  # deg
CASES = [
    ("rear_compressed", "no springs"),
    ("rear_compressed", "soft springs"),
    ("front_springs", "no springs"),  # on the rig of the others
    ("steep_creep", "axle end 10 mm lower"),
    ("braking", "rear axle alone"),
]


def held(scenario: simcore.Scenario) -> simcore.Scenario:
    """The rig on the same slope for 2 s, on tyres and a brake that let nothing slip."""
    raw: dict[str, Any] = tomllib.loads(scenario.to_toml())
    raw |= {"driver": {"control": "torque", "torque": [[0, 0]], "brake": [[0, 100]]}, "end": {"duration": 2}}
    for end in ("rear", "front"):
        raw["rig"][end]["tyre"] |= {"peak_grip": 3, "sliding_grip": 3}
    raw["rig"]["motor"]["brake_torque"] = 500
    return scenario_of(raw, "held.toml")


def dropped(scenario: simcore.Scenario) -> StateRecord:
    """State of the rig come to rest after a drop, all sums set back to nothing."""
    waiting = held(scenario)
    model = build(waiting)
    state = blank(STATE)
    state[0] = integrate(waiting, model, initial_pose(waiting, model)).states[-1]
    return rested(state[0])


@pytest.mark.parametrize(("stem", "name"), few(CASES, 4))
def test_a_dropped_rig_climbs_to_the_same_limit(stem: str, name: str) -> None:
    asked = simcore.load_scenario(SCENARIOS / f"{stem}.toml")
    case = asked.changed({"rig": "rigs/gully.toml"}, keep_variants=True).variant(name)
    (limit,) = find_limit(case).cases.values()
    assert limit.unsound == () and not limit.unknown
    assert limit.climbs_deg is not None and limit.fails_deg is not None
    climber = Climber(case, limit.distance, limit.front_up)
    for slope, climbs in ((limit.climbs_deg - WITHIN, True), (limit.fails_deg + WITHIN, False)):
        scenario = climber.scenario(slope)
        trace = integrate(scenario, build(scenario), dropped(scenario))
        assert (why_not(trace, limit.front_up) is None) is climbs, f"{slope:.2f} deg"
