"""Checks over everything that is shipped: same bounds for every scenario and every variant."""

from functools import cache
from pathlib import Path

import numpy as np
import pytest
from shipped import CASES

import simcore
from simcore.results.catalogue import SWINGS
from simcore.results.metrics import METRICS, STATE_SHARES
from simcore.results.series import ACCOUNT_COLUMNS, COLUMNS

FOLDER = Path(__file__).parents[2] / "scenarios"
# the wheelbase swings with the shocks, whose axles swing on their links
SWING_OF = SWINGS | {"wheelbase_change_mm": "front_travel_swing_mm"}


def case(stem: str, name: str | None) -> simcore.Scenario:
    scenario = simcore.load_scenario(FOLDER / f"{stem}.toml")
    alone = {"without_support": False}  # the counterfactual is the business of other tests
    return (scenario if name is None else scenario.variant(name)).changed(alone)


RESIDUALS = ("_residual_ratio", "_residual_pct", "drift_mm")


@cache
def run_of(stem: str, name: str | None) -> simcore.Run:
    """A case as it is, once for all tests."""
    return simcore.simulate(case(stem, name))


@pytest.mark.parametrize(("stem", "name"), CASES)
def test_audit_closes(stem: str, name: str | None) -> None:
    run = run_of(stem, name)
    assert run.sound, run.audit.faults
    assert run.audit.momentum.max() < 1e-8
    assert np.abs(run.audit.energy).max() < 1e-3
    assert run.audit.drift.max() < 1e-6
    assert list(run.series.columns) == COLUMNS
    empty = [f"{axle}_{column.name}" for axle in ("rear", "front") for column in ACCOUNT_COLUMNS]
    assert np.isfinite(run.series.drop(columns=empty).to_numpy()).all()
    assert list(run.summary) == [metric.name for metric in METRICS]


@pytest.mark.parametrize(
    ("stem", "name"),
    [pytest.param(stem, name, marks=() if name is None else pytest.mark.thorough) for stem, name in CASES],
)
def test_halved_tolerances_change_no_metric_by_half_a_percent(stem: str, name: str | None) -> None:
    run, scenario = run_of(stem, name), case(stem, name)
    half = {
        "solver.relative": 0.5 * scenario.solver.relative,
        "solver.absolute": 0.5 * scenario.solver.absolute,
    }
    finer = simcore.simulate(scenario.changed(half)).summary
    for key, value in run.summary.items():
        if value is None or isinstance(value, str):
            assert finer[key] == value
        elif not key.endswith(RESIDUALS):
            # a metric that is nothing (a lift of 1e-7 mm) has no digits to keep; shares of the run in a state
            # count whole samples of 2 ms
            digits = 0.3 if key in STATE_SHARES else 5e-4
            # what something swings about that has not settled is as uncertain as its swing
            digits += 0.5 * run.summary.get(SWING_OF.get(key, ""), 0.0)
            assert finer[key] == pytest.approx(value, rel=5e-3, abs=digits), key


def test_rigs_are_named_by_some_scenario() -> None:
    used = "".join(path.read_text() for path in FOLDER.glob("*.toml"))
    for rig in FOLDER.glob("rigs/*.toml"):
        simcore.load_rig(rig)
        assert f"rigs/{rig.name}" in used


@pytest.mark.parametrize("rig", ["gully", "fell"])
@pytest.mark.parametrize("ledge", [-150, -100, 50, 200])
def test_ledges_close_their_audit(rig: str, ledge: float) -> None:
    pieces = [{"length": 500}, {"ledge": ledge}, {"length": 1000}]
    changes = {"rig": f"rigs/{rig}.toml", "ground": {"pieces": pieces}, "driver.speed": [[0, 0], [0.5, 0.2]]}
    run = simcore.simulate(case("slow_creep", None).changed(changes))
    assert run.sound, run.audit.faults


def test_figures_do_not_depend_on_the_output_rate() -> None:
    scenario, usual = case("punchy_launch", None), run_of("punchy_launch", None)
    for rate in (10, 70, 2000):
        other = simcore.simulate(scenario.changed({"output.rate": rate}))
        assert len(other.series) == 2 * rate + 1
        for key, value in usual.summary.items():
            if not key.endswith(RESIDUALS):  # the largest of all rows there are
                same = value is None or isinstance(value, str)
                expected = value if same else pytest.approx(value, rel=1e-9)
                assert other.summary[key] == expected, key


def test_driving_back_is_measured_like_driving_forward() -> None:
    level = {"ground.slope": 0, "driver.torque": [[0, 0], [0.06, -34]], "end.distance": 300}
    run = simcore.simulate(case("punchy_launch", None).changed(level))
    assert run.outcome.name == "DISTANCE"
    assert run.summary["distance_mm"] == pytest.approx(-300, abs=0.1)
    assert run.summary["top_speed_m_per_s"] > 1.0
    assert run.summary["current_peak_A"] > 1.0
    assert run.summary["pitch_dive_deg"] > 1.0
