"""Files with names of yesterday are read as if they had been written today."""

from pathlib import Path
from typing import Any

import pytest

from simcore.files import scenario_of
from simcore.files.older import METRICS, renewed
from simcore.results.catalogue import NUMBERS
from simcore.results.series import COLUMNS
from simcore.standing.table import MEANING

BASE = {
    "title": "Does it hold?",
    "rig": "rigs/gully.toml",
    "driver": {"control": "torque", "torque": [[0, 20]]},
    "variants": {"soft": {"rear.shock.springs.0.rate": 0.05}},
}
PATH = Path(__file__).parents[3] / "scenarios" / "older.toml"
OLD = {
    "claims": [
        ["soft", "rear_textbook_pct", "above", "as given", 5],
        ["soft", "rear_linked_pct", "below", 60, 5],
        ["soft", "momentum_residual_1", "below", 0.1, 0],
        ["soft", "pitch_rise_deg", "above", "as given", 0.1],
    ],
    "shown": ["front_textbook_pct", "link_residual_1", "pitch_rise_deg"],
    "says": "From {as given | rear_textbook_pct} to {soft less as given|rear_linked_pct}, {soft | time_s}.",
}
NEW = {
    "claims": [
        ["soft", "rear_usual_formula_pct", "above", "as given", 5],
        ["soft", "rear_axle_mass_counted_pct", "below", 60, 5],
        ["soft", "momentum_residual_ratio", "below", 0.1, 0],
        ["soft", "pitch_rise_deg", "above", "as given", 0.1],
    ],
    "shown": ["front_usual_formula_pct", "link_residual_ratio", "pitch_rise_deg"],
    "says": "From {as given | rear_usual_formula_pct} to {soft less as given|rear_axle_mass_counted_pct}, "
    "{soft | time_s}.",
}


@pytest.mark.parametrize("names", [("conclusion", "claims"), ("finding", "holds")])
def test_old_names_are_read_as_the_new_ones(names: tuple[str, str]) -> None:
    table, claims = names
    old = {table: {claims if key == "claims" else key: value for key, value in OLD.items()}}
    assert scenario_of(BASE | old, PATH) == scenario_of(BASE | {"conclusion": NEW}, PATH)


def test_old_names_in_trials_of_a_conclusion() -> None:
    def trials(formula: str, counted: str) -> dict[str, Any]:
        claims = [["soft", formula, "above", "as given", 5]]
        cause = {"cause": "it", "settings": {"ground.slope": 0}, "effect": ["soft", formula, counted]}
        other = {"on": "ice", "settings": {"ground.grip": 20}, "claims": claims}
        return {"conclusion": {"because": [cause | {"claims": claims}], "holds_on": [other]}}

    old, new = (
        trials(f"rear_{formula}_pct", f"front_{counted}_pct")
        for formula, counted in (("textbook", "linked"), ("usual_formula", "axle_mass_counted"))
    )
    assert scenario_of(BASE | old, PATH) == scenario_of(BASE | new, PATH)


def test_today_has_the_new_names_and_none_of_the_old() -> None:
    today = {*NUMBERS, *COLUMNS, *MEANING}
    for old, new in METRICS.items():
        assert any(name.endswith(new) for name in today), new
        assert not any(name.endswith(old) for name in today), old
    for name in (row[1] for row in NEW["claims"]):
        assert name in NUMBERS


@pytest.mark.parametrize(
    "conclusion", [3, {"claims": 3, "shown": "x", "says": 5}, {"claims": [3, [], ["a"]], "shown": [3]}]
)
def test_what_has_another_form_is_left_to_be_refused(conclusion: Any) -> None:
    assert renewed({"conclusion": conclusion}) == {"conclusion": conclusion}


def test_a_case_may_bear_an_old_name() -> None:
    row = ["rear_linked_pct", "time_s", "above", "rear_linked_pct", 1]
    assert renewed({"conclusion": {"claims": [row]}}) == {"conclusion": {"claims": [row]}}
