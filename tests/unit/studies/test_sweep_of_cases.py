"""Variants along an axis: what each changes at every value, as statics of the standing rig says it must.

The rigs stand on their brake. The front tyres carry W (b cos s - h sin s) / L on a slope s: a part of weight
w that sits lower by d adds w d sin s / L, whatever else is on the rig, as far as the rig is rigid.
"""

import math
from pathlib import Path
from typing import Any

import pandas as pd
import pytest

import simcore
from simcore.files import Scenario, scenario_of
from simcore.results.tried import Fault
from simcore.studies.sweep import Sweep, sweep
from simcore.studies.trials import try_conclusion

PATH = Path(__file__).parents[3] / "scenarios" / "made.toml"
FRONT = "front_load_mean_N"
LOWER, SLOPES = 50.0, [0, 20, 40]  # mm, deg
STANDS: dict[str, Any] = {
    "title": "What does a lower battery do for the front?",
    "rig": "rigs/gully.toml",
    "driver": {"control": "torque", "torque": [[0, 0]], "brake": [[0, 100]]},
    "end": {"duration": 0.05},
    "variants": {"lower": {"parts.battery.at.1 -=": LOWER}, "ice": {"ground.grip": 50}},
    "vary": {"ground.slope": SLOPES},
    "conclusion": {"shown": [FRONT]},
}


def made(**tables: Any) -> Scenario:
    return scenario_of({**STANDS, **tables}, PATH)


@pytest.fixture(scope="module")
def swept() -> Sweep:
    return sweep(made())


def test_every_case_is_run_at_every_value_with_its_own_settings_first(swept: Sweep) -> None:
    assert list(swept.table.columns[:2]) == ["case", "ground.slope"]
    assert list(swept.table["case"]) == ["as given"] * 3 + ["lower"] * 3 + ["ice"] * 3
    stiff = {f"{axle}.shock.springs.0.rate *=": 20 for axle in ("rear", "front")}
    rigid = sweep(swept.scenario.changed(stiff, keep_variants=True))
    table, rig = rigid.table, rigid.scenario.rig
    weight = rig.parts[0].mass * 9.80665
    for slope in SLOPES:
        more = table.loc[f"lower, {slope}", FRONT] - table.loc[f"as given, {slope}", FRONT]
        due = weight * 1e-3 * LOWER * math.sin(math.radians(slope)) / rig.wheelbase
        assert more == pytest.approx(due, rel=0.03, abs=1e-3), slope  # tyres give a little


def test_a_case_that_cannot_be_run_is_a_row_that_says_why(swept: Sweep) -> None:
    """Grip 0.55 holds up to 28 deg."""
    assert list(swept.failed) == ["ice, 40"]
    assert "slides" in swept.failed["ice, 40"]
    said = swept.headline
    assert said.startswith('Job done throughout ("as given" and "lower"), up to ground slope 20 deg ("ice")')
    assert "could not be done" not in said


def test_it_is_saved_and_read_with_its_cases(swept: Sweep, tmp_path: Path) -> None:
    swept.save(tmp_path)
    again: Any = simcore.load(tmp_path)
    assert (again.scenario, again.points, again.rows) == (swept.scenario, swept.points, swept.rows)
    assert again.headline == swept.headline
    pd.testing.assert_frame_equal(again.table, swept.table, check_exact=True)
    from_file = simcore.load_scenario(tmp_path / "inputs.toml")
    assert from_file.variants == swept.scenario.variants and from_file.vary == swept.scenario.vary


def test_its_conclusion_speaks_of_cases_at_values() -> None:
    """The height of a part matters on a slope alone."""
    claim, elsewhere = ["lower, 40", FRONT, "above", "as given, 40", 0.05], {"ground.slope": 0}
    effect = ["lower, 40", FRONT, "as given, 40"]
    scenario = made(
        conclusion={
            "claims": [claim],
            "because": [{"cause": "the slope", "settings": elsewhere, "effect": effect}],
            "holds_on": [{"on": "the level", "settings": elsewhere}],
        }
    )
    result = sweep(scenario)
    because, on = try_conclusion(scenario, result.cases_run, result.summaries)
    assert because.found == () and [one.fault for one in on.found] == [Fault.BROKEN]
    assert result.side_by_side[2].keys() == {"as given, 40", "lower, 40"}
    with pytest.warns(UserWarning, match='the case "lower", must be one of as given, 0'):
        sweep(made(vary={"ground.slope": [0]}, conclusion={"claims": [["lower", FRONT, "above", 1, 1]]}))


def test_compare_takes_the_cases_at_the_file_s_own_values() -> None:
    with pytest.warns(UserWarning, match="cases are compared at the file's own values"):
        result = simcore.compare(made(ground={"slope": 10}))
    assert list(result.runs) == ["as given", "lower", "ice"]
    assert result.scenario.vary == {} and "slope of 10° up" in result.asked
    assert result.runs["lower"].scenario.ground.slope == pytest.approx(math.radians(10.0))
