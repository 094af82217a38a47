"""Metrics where ground or thrust has an edge: they speak of the chassis, or say nothing."""

import math
from pathlib import Path
from typing import Any

import numpy as np
import pandas as pd
import pytest

from simcore import Run, load_scenario, simulate
from simcore.results.series import series
from simcore.standing.stand import stand
from simcore.standing.table import table_of

SCENARIOS = Path(__file__).parents[2] / "scenarios"
DROP = {"ground.pieces": [{"length": 900}, {"ledge": -60}, {"length": 2000}], "ground.slope": 0}
CREST = {
    "ground.pieces": [{"length": 900, "slope": 20}, {"length": 2000, "slope": -10}],
    "ground.slope": 0,
}
COURSES: dict[str, tuple[str, dict[str, Any]]] = {
    "a ledge": ("ledge", {}),
    "a drop": ("slow_creep", DROP | {"start.rear_axle": 400, "end.duration": 3}),
    "a crest": ("slow_creep", CREST | {"start.rear_axle": 300, "end.duration": 3}),
}


def watched(run: Run) -> pd.DataFrame:
    """Table of a run on the fixed raster from which metrics are taken."""
    assert run.trace is not None and run.audit is not None
    kept = run.trace.watched
    return series(run.trace.rows(kept), run.audit.rows(kept), run.scenario.visible)


@pytest.mark.parametrize(("file", "settings"), COURSES.values(), ids=COURSES)
def test_pitch_over_uneven_ground_is_that_of_the_chassis(file: str, settings: dict[str, Any]) -> None:
    """Pitch to the line under the tyres jumps where a tyre comes to an edge, 1.5 deg within 2 ms at a ledge
    and by 16.6 at a drop, while the chassis turns by what its rate gives.
    """
    case = load_scenario(SCENARIOS / f"{file}.toml")
    run = simulate(case.changed(settings) if settings else case)
    table, summary = watched(run), run.summary
    turned = table["pitch_deg"] - table["pitch_deg"].iloc[0]
    assert turned.max() - turned.min() > 2.0
    assert summary["pitch_rise_deg"] == pytest.approx(turned.max(), abs=1e-9)
    assert summary["pitch_dive_deg"] == pytest.approx(-turned.min(), abs=1e-9)
    last = turned[table["time_s"] >= table["time_s"].iloc[-1] - 0.5]
    assert last.min() < summary["pitch_end_deg"] - summary["pitch_start_deg"] < last.max()
    step, rate = np.diff(table["time_s"]), table["pitch_rate_deg_per_s"].to_numpy()
    jump = np.diff(table["pitch_to_ground_deg"]) - 0.5 * (rate[1:] + rate[:-1]) * step
    assert np.abs(jump).max() < 0.05


def test_on_a_plane_pitch_is_against_the_plane() -> None:
    case = load_scenario(SCENARIOS / "slow_creep.toml")
    run = simulate(case)
    against = watched(run)["pitch_deg"] - math.degrees(case.ground.slope)
    np.testing.assert_allclose(watched(run)["pitch_to_ground_deg"], against, atol=1e-9)


@pytest.mark.parametrize("file", ["punchy_launch", "trail_launch"])
def test_the_textbook_percentage_of_a_run_is_that_of_its_thrust(file: str) -> None:
    """Rear drive: the rear gives all of the thrust and more, the rolling front being dragged, so the figure
    of a run starts at that of the standing rig (`inspect`) and stays near it; the front has none.
    """
    case = load_scenario(SCENARIOS / f"{file}.toml").changed({"driveline.drive": "rear"})
    run, standing = simulate(case), table_of(stand(case))["rear_anti_squat_pct"]
    shown = watched(run)["rear_usual_formula_pct"].dropna()
    assert shown.iloc[0] == pytest.approx(standing, rel=1e-3)
    assert 0.9 * standing < run.summary["rear_usual_formula_pct"] < 1.25 * standing
    assert (
        run.summary["front_usual_formula_pct"] is None
        and watched(run)["front_usual_formula_pct"].isna().all()
    )


@pytest.mark.parametrize("overdrive", [0, 6, 20])
def test_no_textbook_percentage_where_the_axles_only_pull_against_each_other(overdrive: float) -> None:
    """On the level at steady speed the thrust is that of rolling alone, whatever is wound up: shares of it
    ran to thousands of percent.
    """
    case = load_scenario(SCENARIOS / "overdrive_level.toml").changed({"driveline.overdrive": overdrive})
    table = watched(simulate(case))
    for axle in ("rear", "front"):
        assert not np.abs(table[f"{axle}_usual_formula_pct"].dropna() > 400.0).any()
    steady = table[table["time_s"] > table["time_s"].iloc[-1] - 0.2]
    assert steady["rear_usual_formula_pct"].isna().all()
