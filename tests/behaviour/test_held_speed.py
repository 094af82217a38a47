"""A held speed that the motor cannot give: the governor waits at the limit, and nothing chatters."""

from pathlib import Path

import numpy as np
import pytest

from simcore import load_scenario, simulate

SCENARIOS = Path(__file__).parents[2] / "scenarios"


@pytest.mark.parametrize("slope", [20, 23])
def test_a_held_speed_at_the_current_limit_is_smooth(slope: int) -> None:
    """A governor that stops counting at the limit and starts again below it chatters there: it took 433,000
    evaluations where this takes about 1,500.
    """
    case = load_scenario(SCENARIOS / "steep_creep.toml").changed(
        {"ground.slope": slope, "motor.current_limit": 3.5}
    )
    runs = [simulate(case.changed({"solver.method": method})) for method in ("LSODA", "BDF")]
    limit = np.isclose(runs[0].series["current_A"], 3.5)
    assert limit.mean() > 0.05  # else the limit has no part in it
    for run in runs:
        assert run.sound and run.trace.steps < 20_000
    one, other = (run.summary for run in runs)
    assert one["distance_mm"] == pytest.approx(other["distance_mm"], abs=0.05)
    assert one["pitch_end_deg"] == pytest.approx(other["pitch_end_deg"], abs=0.01)


def test_the_speed_is_reached_without_overshoot_once_the_motor_can() -> None:
    """What the limit refused is not made up for afterwards: a start against the limit ends at the speed asked
    for, not above it.
    """
    case = load_scenario(SCENARIOS / "steep_creep.toml").changed(
        {"ground.slope": 0, "motor.current_limit": 3.5, "driver.speed": [[0, 0], [0.01, 1.2]]}
    )
    run = simulate(case)
    limited = np.isclose(run.series["current_A"], 3.5)
    assert 0.05 < limited.mean() < 0.9
    tread = run.series["rear_wheel_speed_rpm"] * 2.0 * np.pi / 60.0 * 0.059  # free radius, as the file asks
    assert tread.iloc[-1] == pytest.approx(1.2, rel=0.01)
    assert tread.max() < 1.2 * 1.05
