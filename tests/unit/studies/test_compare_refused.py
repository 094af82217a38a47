"""A variant that cannot stand where it starts is a case of its comparison that says why."""

from pathlib import Path

import numpy as np
import pytest

import simcore
from simcore.solve.refusal import NoStand

SCENARIOS = Path(__file__).parents[3] / "scenarios"
BASE = simcore.load_scenario(SCENARIOS / "slow_creep.toml").changed({"end.duration": 1.0})
ICE = {"ground.grip": 20}  # grip 0.21 holds up to 12 deg; the slope is 25 deg


def with_variants(variants: dict[str, dict[str, object]]) -> simcore.Scenario:
    return simcore.files.scenario_of(BASE.raw | {"variants": variants}, "made.toml")


def test_the_other_cases_are_run_and_the_headline_names_it(tmp_path: Path) -> None:
    result = simcore.compare(with_variants({"ice": ICE, "rock": {"ground.grip": 110}}))
    assert list(result.runs) == ["as given", "rock"] and result.refused["ice"].why is NoStand.SLIDES
    assert result.headline.startswith('"ice": cannot stand there: it slides; the other 2 climb on')
    row = result.table.loc["ice"]
    assert list(row[["job", "job_failure", "job_cause"]]) == ["NOT_DONE", "CANNOT_STAND", "SLIDES"]
    assert np.isnan(row["front_load_mean_N"]) and np.isnan(row["front_load_mean_N_change"])
    result.save(tmp_path)
    again = simcore.load(tmp_path)
    assert again.headline == result.headline and again.refused == result.refused
    assert simcore.draw(result) is not None


def test_without_a_base_there_is_nothing_to_compare() -> None:
    with pytest.raises(simcore.InputError, match="slides"):
        simcore.compare(with_variants({"rock": {"ground.grip": 100}}).changed(ICE, keep_variants=True))
