"""A solver that comes to a standstill is relieved, and the run goes on as if nothing had happened."""

from pathlib import Path

import numpy as np
import pytest

import simcore
from simcore.files import load_scenario  # a hard case need not be plausible
from simcore.solve import bulk, reference
from simcore.solve.trace import Outcome

ROOT = Path(__file__).parents[3]
HARD = ROOT / "tests" / "robustness" / "hard_cases"


def test_another_method_takes_over_from_a_stalled_one(monkeypatch: pytest.MonkeyPatch) -> None:
    scenario = simcore.load_scenario(ROOT / "scenarios" / "punchy_launch.toml").changed(
        {"end.duration": 0.6, "solver.method": "LSODA"}
    )
    asked: list[str] = []
    solve = reference.solve_ivp

    def noted(*words, method: str, **names):
        asked.append(method)
        return solve(*words, method=method, **names)

    monkeypatch.setattr(reference, "solve_ivp", noted)
    smooth = simcore.simulate(scenario)
    assert set(asked) == {"LSODA"}
    asked.clear()
    monkeypatch.setattr(reference, "STALLED", (10, 1e-3))
    relieved = simcore.simulate(scenario)
    assert "BDF" in asked
    assert relieved.sound and relieved.outcome is Outcome.TIME
    np.testing.assert_array_equal(relieved.trace.times, smooth.trace.times)
    np.testing.assert_allclose(relieved.series["pitch_deg"], smooth.series["pitch_deg"], atol=0.01)


def test_the_reference_takes_over_where_the_compiled_way_gets_nowhere(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """A standstill is so many steps within a time that none of them can fill."""
    scenario = simcore.load_scenario(ROOT / "scenarios" / "punchy_launch.toml").changed({"end.duration": 0.6})
    smooth = simcore.simulate(scenario)
    monkeypatch.setattr(bulk, "STEPS", 1)
    relieved, by_reference = simcore.simulate(scenario), scenario.changed({"solver.method": "LSODA"})
    assert relieved.sound and relieved.outcome is Outcome.TIME
    np.testing.assert_array_equal(relieved.trace.times, smooth.trace.times)
    np.testing.assert_array_equal(relieved.series, simcore.simulate(by_reference).series)


def test_pace_counts_only_steps_that_get_nowhere() -> None:
    pace = reference._Pace(patience=5)
    for k in range(100):
        pace.note(0.01 * k)
    for k in range(4):
        pace.note(0.99 + 1e-9 * k)
    with pytest.raises(reference._Stalled):
        pace.note(0.99 + 1e-8)


@pytest.mark.parametrize("path", sorted(HARD.glob("*.toml")), ids=lambda path: path.stem)
def test_runs_that_once_got_stuck_take_a_few_thousand_steps(path: Path) -> None:
    run = simcore.simulate(load_scenario(path))
    assert run.sound and run.outcome is Outcome.TIME
    assert run.trace.steps < 20_000
