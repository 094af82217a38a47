"""What editors mark in wrong files by their JSON Schema, why not the rest; a good file they never mark."""

import copy
import tomllib
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from jsonschema import Draft202012Validator
from strategies import SLOW, raw_scenarios
from test_wrong_files import CASES, EDITS, FOLDER, GOOD, put
from tries import tries

from simcore.errors import InputError
from simcore.files import load_rig, load_scenario, scenario_of
from simcore.files.check import key_path
from simcore.files.json_schema import KINDS, json_schema
from simcore.files.older import renewed

VALIDATORS = {kind: Draft202012Validator(json_schema(kind)) for kind in KINDS}
UNSEEN = {
    "it is no TOML": """
        rig_cells rig_decimal_comma rig_ratio_with_colon rig_unit_without_quotes scenario_binary
        scenario_control_characters scenario_decimal_comma scenario_duplicate_key scenario_syntax
        scenario_too_deep scenario_unclosed""",
    "values of which each is right do not go together": """
        rig_damper_table rig_link_without_length rig_links_and_arm rig_links_on_one_line rig_one_link_only
        rig_pull_spring_idle rig_shock_mount_without_fraction rig_shock_on_link_of_an_arm rig_shock_too_long
        rig_shock_too_short rig_skid_in_tyre rig_sliding_above_breakaway rig_slip_stiffness_low
        rig_spring_twice_preloaded rig_two_ride_heights rig_tyres_overlap scenario_empty_piece
        scenario_goal_behind_the_start scenario_goal_beyond_the_end scenario_goal_of_two_ways
        scenario_goal_time_alone scenario_ledge_last scenario_no_table scenario_slope_and_pieces
        scenario_times_fall scenario_trial_without_claims""",
    "text with a unit means a number only to who knows units": """
        rig_cells_in_text rig_force_for_a_mass rig_huge_text rig_percent_for_ratio_and_angle
        rig_spin_inertia_tiny rig_unknown_unit rig_wrong_dimension""",
    "settings are paths and their values, put over the file": """
        scenario_axis_changes_a_value scenario_variant_breaks_another_key
        scenario_variant_changed_out_of_range scenario_variant_changes_no_number
        scenario_variant_contradiction scenario_variant_decimal_comma
        scenario_variant_no_such_spring scenario_variant_out_of_range scenario_variant_typo
        scenario_variant_unknown_part scenario_variants_in_a_circle""",
    "it lies in another file": """
        scenario_names_a_scenario_as_rig scenario_no_rig_file scenario_wrong_rig_file""",
    "JSON has no such number, and no bound refuses it": "rig_nan",
    "the rig must be stood up to see it": """
        start_brake_too_weak start_in_a_wall start_link_too_short start_tips_over
        start_too_steep_for_its_grip""",
}
WHY = {case: reason for reason, cases in UNSEEN.items() for case in cases.split()}


def marks(case: str) -> list[str]:
    """Give the key paths that are marked in a wrong file; none in one that cannot be read."""
    try:
        table = tomllib.loads((FOLDER / f"{case}.toml").read_bytes().decode("utf-8-sig"))
    except (ValueError, RecursionError):
        return []
    errors = VALIDATORS["rig" if case.startswith("rig") else "scenario"].iter_errors(table)
    return [key_path(tuple(error.absolute_path)) for error in errors]


def test_every_reason_is_of_wrong_files_and_most_others_are_seen() -> None:
    assert set(WHY) <= set(CASES)
    unreadable = len(UNSEEN["it is no TOML"].split())
    assert len(CASES) - len(WHY) >= 0.4 * (len(CASES) - unreadable)


@pytest.mark.parametrize("case", CASES)
def test_a_wrong_file_is_marked_where_it_is_refused(case: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(FOLDER)
    found = marks(case)
    assert bool(found) == (case not in WHY), WHY.get(case, "a fault that a schema can see")
    if found:
        with pytest.raises(InputError) as caught:
            (load_rig if case.startswith("rig") else load_scenario)(f"{case}.toml")
        keys = [issue.key for issue in caught.value.issues]
        assert all(any(key.startswith(mark) or mark.startswith(key) for key in keys) for mark in found)


def test_an_unreadable_file_is_no_toml() -> None:
    for case in UNSEEN["it is no TOML"].split():
        with pytest.raises((ValueError, RecursionError)):
            tomllib.loads((FOLDER / f"{case}.toml").read_bytes().decode("utf-8-sig"))


@tries(15, 40)
def test_every_drawn_scenario_keeps_the_schema(count: int) -> None:
    @settings(max_examples=count, deadline=None, suppress_health_check=SLOW)
    @given(raw_scenarios())
    def look(raw: dict[str, Any]) -> None:
        assert list(VALIDATORS["scenario"].iter_errors(raw)) == []

    look()


@tries(80, 300)
def test_nothing_is_marked_that_is_taken(count: int) -> None:
    @settings(max_examples=count, deadline=None)
    @given(st.lists(EDITS, min_size=1, max_size=2))
    def look(edits: list[Any]) -> None:
        raw = copy.deepcopy(GOOD)
        for path, value, key in edits:
            put(raw, path, value, key)
        try:
            scenario_of(raw, "mutated.toml")
        except InputError:
            return
        assert list(VALIDATORS["scenario"].iter_errors(renewed(raw))) == []

    look()
