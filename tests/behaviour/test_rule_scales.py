"""Rule of thumb: weigh the level rig on two scales, and it reads between 60/40 and 63/37, front to rear.

Common practice, no source: which shares are usual is a habit and no mechanics, so it is not asserted. What
mechanics says is that both readings are the shares that `inspect` states, and those of the moments of all
parts about the other axle, whatever the springs.
"""

from pathlib import Path
from typing import Any

import pytest

import simcore
from simcore.standing.at_rest import standing_scenario
from simcore.studies.inspect import inspect

SCENARIOS = Path(__file__).parents[2] / "scenarios"
LENGTH = {"gully": 315.0, "fell": 324.0}  # mm
TOTAL = {"gully": 2002.0, "fell": 2999.0}  # g
SPRINGS = {
    "as shipped": {},
    "soft front, hard rear": {"front.shock.springs.0.rate": 0.08, "rear.shock.springs.0.rate": 0.5},
}


def readings(name: str, settings: dict[str, Any]) -> tuple[float, float]:
    """Two scales under the rig after it has stood on them for a second, N."""
    case = {"rig": str(SCENARIOS / "rigs" / f"{name}.toml"), "ground.slope": 0, "end.duration": 1.0}
    case |= {"driver.control": "torque", "driver.torque": [[0, 0]], "driver.brake": [[0, 100]]}
    run = simcore.simulate(simcore.load_scenario(SCENARIOS / "slow_creep.toml").changed(case | settings))
    assert run.sound, run.audit.faults
    last = run.series.iloc[-1]
    return float(last["rear_load_N"]), float(last["front_load_N"])


@pytest.mark.parametrize("springs", SPRINGS)
@pytest.mark.parametrize("name", ["gully", "fell"])
def test_two_scales_read_the_shares_that_inspect_states(name: str, springs: str) -> None:
    """Rule (common practice, no source): two scales show the rig's shares. Holds, whatever the springs."""
    rear, front = readings(name, SPRINGS[springs])
    rig = standing_scenario(SCENARIOS / "rigs" / f"{name}.toml").changed(SPRINGS[springs])
    facts = inspect(rig).facts
    assert rear + front == pytest.approx(TOTAL[name] * 9.80665e-3, rel=1e-6)
    for end, read in (("rear", rear), ("front", front)):
        assert facts[f"{end}_level_load_N"] == pytest.approx(read, abs=1e-3)
        assert facts[f"{end}_level_load_pct"] == pytest.approx(100.0 * read / (rear + front), abs=5e-3)
    assert facts["front_level_load_pct"] == pytest.approx(100.0 * facts["cg_x_mm"] / LENGTH[name], abs=0.05)


@pytest.mark.parametrize("name", ["gully", "fell"])
def test_a_part_moved_forward_moves_its_moment_onto_the_front_scale(name: str) -> None:
    """Rule (common practice, no source): shares are set by moving weight.

    Holds: mass times way over wheelbase.
    """
    way = 60.0  # mm
    battery = {"gully": (128.0, 226.0, 84.0), "fell": (240.0, 196.0, 96.0)}[name]
    moved = readings(name, {"parts.0.at": [battery[1] + way, battery[2]]})
    was = readings(name, {})
    wanted = battery[0] * way / LENGTH[name] * 9.80665e-3
    assert wanted > 0.2
    assert moved[1] - was[1] == pytest.approx(wanted, rel=0.01)
    assert moved[0] - was[0] == pytest.approx(-wanted, rel=0.01)


def test_softer_springs_that_let_one_end_down_hardly_change_the_readings() -> None:
    """Rule (common practice, no source): a rig that sits low in front is heavy in front. Fails.

    The front 10 mm lower and more turns the body, and its centre of mass by its height times that angle: less
    than half a per cent of the weight.
    """
    was, low = readings("gully", {}), readings("gully", {"front.shock.springs": [{"rate": 0.05}]})
    change = 100.0 * (low[1] - was[1]) / sum(was)
    assert 0.0 < change < 0.5
