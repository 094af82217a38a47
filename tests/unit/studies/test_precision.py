"""Metrics at half the tolerances."""

from pathlib import Path

import simcore
from simcore.studies.precision import Precision, precision

SCENARIO = Path(__file__).parents[3] / "scenarios" / "slow_creep.toml"


def test_metrics_move_little_and_come_back_from_a_folder(tmp_path: Path) -> None:
    result = precision(simcore.load_scenario(SCENARIO).changed({"end.duration": 0.5}))
    assert 0.0 < result.table.loc["pitch_mean_deg", "change"] < 1e-4 or result.table["change"].abs().max() > 0
    result.save(tmp_path)
    again = simcore.load(tmp_path)
    assert isinstance(again, Precision) and again.table.equals(result.table)
    assert "Half the tolerances" in again.headline
