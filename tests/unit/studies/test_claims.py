"""The conclusion of a file: what it claims, whether that holds, and what it says."""

from pathlib import Path
from typing import Any

import pytest

import simcore
from simcore.errors import InputError
from simcore.files import Scenario, scenario_of
from simcore.studies.claims import (
    broken_claims,
    conclude,
    conclusion_issues,
    warn_of_conclusion,
    why_not_conclude,
)

RAW = dict(simcore.load_scenario(Path(__file__).parents[3] / "scenarios" / "slow_creep.toml").raw)
CASES: dict[str, dict[str, Any]] = {
    "soft": {"pitch_rise_deg": 2.0, "rear_squat_mm": 4.0, "rear_support_pct": None, "ended": "TIME"},
    "more or less hard": {
        "pitch_rise_deg": 1.25,
        "rear_squat_mm": 4.1,
        "rear_support_pct": 50.0,
        "ended": "TIME",
    },
}


def with_conclusion(**conclusion: Any) -> Scenario:
    return scenario_of({**RAW, "conclusion": conclusion}, "told.toml")


@pytest.mark.parametrize(
    ("claim", "holds"),
    [
        (["soft", "pitch_rise_deg", "above", "more or less hard", 0.7], True),
        (["soft", "pitch_rise_deg", "above", "more or less hard", 0.8], False),
        (["more or less hard", "pitch_rise_deg", "below", "soft", 0.75], True),
        (["soft", "pitch_rise_deg", "below", "more or less hard", 0], False),
        (["soft", "rear_squat_mm", "near", "more or less hard", 0.2], True),
        (["soft", "rear_squat_mm", "near", "more or less hard", 0.05], False),
        (["soft", "rear_squat_mm", "above", 3.5, 0.4], True),
        (["soft", "rear_support_pct", "near", 0, 1e9], False),
    ],
)
def test_a_claim_holds_or_not(claim: list[Any], holds: bool) -> None:
    broken = broken_claims(with_conclusion(claims=[claim]), list(CASES), CASES)
    assert (broken == []) is holds


def test_a_broken_claim_says_what_was_found() -> None:
    claims = [["soft", "pitch_rise_deg", "above", "more or less hard", 2]]
    (said,) = broken_claims(with_conclusion(claims=claims), list(CASES), CASES)
    assert said == (
        "rise of the pitch of soft is 2.0 deg, claimed above that of more or less hard, 1.2 deg, by 2.0 deg"
    )


def test_blanks_are_filled_with_metrics_and_differences() -> None:
    says = """Soft rises {soft | pitch_rise_deg}, {soft less more or less hard|pitch_rise_deg}
    more; support {soft | rear_support_pct}."""
    assert conclude(with_conclusion(says=says), CASES) == "Soft rises 2.0 deg, 0.75 deg more; support none."


def test_cases_and_metrics_that_there_are_not() -> None:
    conclusion = with_conclusion(
        claims=[["sift", "pitch_rise_deg", "above", "hard", 1], ["soft", "pitch_rize_deg", "near", 1, 1]],
        shown=["ended", "rear_squat_mm"],
        says="{soft less hart | rear_squat_mm} and {soft | nothing}",
    )
    with pytest.warns() as caught:
        warn_of_conclusion(conclusion, ["soft", "hard"])
    said = [str(one.message) for one in caught]
    assert said == [
        f"{issue}; this of the conclusion is not checked"
        for issue in conclusion_issues(conclusion, ["soft", "hard"])
    ]
    assert len(said) == 5
    assert 'conclusion.claims[0]: got the case "sift"' in said[0]
    assert 'did you mean "pitch_rise_deg"' in said[1]
    assert 'got the case "hart"' in said[2]
    assert 'got the metric "nothing"' in said[3]
    assert 'conclusion.shown[0]: got the metric "ended"' in said[4]


def test_a_claim_of_what_is_not_there_is_not_broken_but_one_of_a_failed_run_is() -> None:
    claims = [["sift", "pitch_rise_deg", "above", 0, 1], ["hard", "pitch_rise_deg", "above", 0, 1]]
    told = with_conclusion(claims=claims, says="{hard | pitch_rise_deg}")
    (said,) = broken_claims(told, ["soft", "hard"], CASES)
    assert said.startswith("rise of the pitch of hard is none")
    assert said in why_not_conclude(told, ["soft", "hard"], CASES)
    copied = with_conclusion(claims=claims[:1], says="{soft | pitch_rise_deg}")
    assert "not here" in why_not_conclude(copied, list(CASES), CASES)
    sound = with_conclusion(claims=[["soft", "pitch_rise_deg", "above", 0, 1]], says="so")
    assert why_not_conclude(sound, list(CASES), CASES) == ""


def test_names_of_older_files_are_read() -> None:
    claim = ["as given", "pitch_rise_deg", "above", 1, 0]
    bare = {key: value for key, value in RAW.items() if key != "conclusion"}
    older = scenario_of({**bare, "finding": {"holds": [claim], "says": "so"}}, "older.toml")
    assert older == scenario_of({**RAW, "conclusion": {"claims": [claim], "says": "so"}}, "new.toml")
    with pytest.raises(InputError, match="finding: got an unknown key"):
        scenario_of({**RAW, "finding": {}, "conclusion": {}}, "both.toml")
