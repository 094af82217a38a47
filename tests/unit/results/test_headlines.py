"""Headlines: the job first, then what moved or differs; no pitch of a run that did not do its job."""

from pathlib import Path
from typing import Any

import pandas as pd
import pytest

import simcore
from simcore.results.conditions import Conditions
from simcore.results.headlines.cases import comparison_headline, front_load_headline
from simcore.results.headlines.loads import Shares, load_headline
from simcore.results.headlines.run import run_headline, support_headline
from simcore.results.headlines.tally import tally
from simcore.results.quantities import Label

SCENARIOS = Path(__file__).parents[3] / "scenarios"
CREEP = simcore.load_scenario(SCENARIOS / "slow_creep.toml")
HERE = Conditions.of(CREEP)
CALM: dict[str, Any] = {
    "job": "DONE",
    "job_task": "GO_ON",
    "job_failure": "",
    "job_cause": "",
    "job_place": "",
    "job_ahead": "",
    "job_spinning": "",
    "done_s": None,
    "stopping_mm": None,
    "torque_share_pct": None,
    "ended": "TIME",
    "audit": "SOUND",
    "time_s": 2.2,
    "distance_mm": 500.0,
    "speed_m_per_s": 0.25,
    "height_gained_mm": 210.0,
    "pitch_rise_deg": 0.1,
    "pitch_dive_deg": 0.0,
    "pitch_mean_deg": 0.0,
    "pitch_swing_deg": 0.0,
    "rear_squat_mm": 0.2,
    "rear_lift_mm": 0.0,
    "front_squat_mm": 0.0,
    "front_lift_mm": 0.3,
    "front_off_ground_s": 0.0,
    "front_load_mean_N": 9.80665,
    "front_load_low_N": 9.0,
}
LIFTED = CALM | {"pitch_rise_deg": 3.0}


def failed(failure: str, **more: Any) -> dict[str, Any]:
    return LIFTED | {"job": "NOT_DONE", "job_failure": failure} | more


@pytest.mark.parametrize(
    ("summary", "said"),
    [
        (CALM, "Climbs on, 500 mm in 2.0 s. Hardly anything moves: nose 0.1°, rear 0.2 mm, front 0.3 mm"),
        (
            LIFTED | {"front_lift_mm": 2.0},
            "Climbs on, 500 mm in 2.0 s. The nose rises 3.0°; the rear hardly moves, the front lifts 2.0 mm",
        ),
        (
            CALM | {"distance_mm": 1240.0, "height_gained_mm": 0.0, "pitch_dive_deg": 4.0},
            "Drives on, 1.24 m in 2.0 s. The nose dives 4.0°; the rear hardly moves, the front hardly moves",
        ),
        (
            CALM | {"height_gained_mm": -100.0, "job_spinning": "REAR", "front_off_ground_s": 0.4},
            "Comes on down, 500 mm in 2.0 s, rear tyres spinning. Hardly anything moves: nose 0.1°, rear 0.2 "
            "mm, front 0.3 mm; front tyres 0.40 s in the air",
        ),
        (
            LIFTED | {"pitch_swing_deg": 1.26},
            "Climbs on, 500 mm in 2.0 s. Still swinging or turning at the end: nose ±1.3°",
        ),
        (LIFTED | {"audit": "ENERGY"}, "AUDIT FAILED, do not use"),
        (
            failed("DOES_NOT_MOVE", job_cause="TOO_LITTLE_TORQUE", torque_share_pct=70.4),
            "Does not move: the torque asked for is 0.7 of what this slope takes",
        ),
        (
            failed("DOES_NOT_MOVE", job_cause="MOTOR_TOO_WEAK", torque_share_pct=99.0),
            "Does not move: motor too weak",
        ),
        (
            failed("SPINS", job_place="LEDGE", job_spinning="REAR"),
            "Stops at the ledge after 500 mm: rear tyres spin",
        ),
        (
            failed("STANDS_STILL", job_ahead="LEDGE", job_cause="BRAKE_IS_ON"),
            "Stops before the ledge after 500 mm: the drag brake is on",
        ),
        (failed("TIPS_BACKWARDS"), "Tips over backwards after 2.2 s"),
        (failed("HANGS_ON_SKIDS", job_place="CREST"), "Hangs on its skids on the crest after 2.2 s"),
        (
            failed("SLIDES_BACK_SPINNING", job_spinning="BOTH", job_place="SLIPPERY"),
            "Slides back on the slippery stretch, all tyres spinning",
        ),
        (failed("ROLLS_BACK", job_cause="TOO_LITTLE_TORQUE"), "Rolls back: too little torque asked for"),
        (
            CALM | {"job": "UNKNOWN", "job_failure": "BROKE_OFF", "ended": "NOT_SOLVED"},
            "No answer: the integration broke off after 2.2 s",
        ),
    ],
)
def test_a_run_says_first_whether_it_did_its_job(summary: dict[str, Any], said: str) -> None:
    assert run_headline(summary, HERE) == said


@pytest.mark.parametrize(
    ("settings", "summary", "said"),
    [
        ({"goal.reach": 800}, {"job_task": "REACH", "done_s": 3.14}, "Climbs 800 mm in 3.1 s"),
        (
            {"goal.reach": 1100},
            {
                "job_task": "REACH",
                "job": "NOT_DONE",
                "job_failure": "NOT_THERE",
                "job_cause": "ASKED_SPEED_TOO_LOW",
                "distance_mm": 99.0,
                "time_s": 4.0,
            },
            "Not there in 3.8 s, 99 mm of 1.10 m: asked speed too low",
        ),
        ({"goal.stop_within": 400}, {"job_task": "STOP", "stopping_mm": 123.0}, "Stops in 123 mm"),
        (
            {"goal.stop_within": 100},
            {"job_task": "STOP", "stopping_mm": 123.0, "job": "NOT_DONE", "job_failure": "STOPS_LATE"},
            "Stops too late: in 123 mm, 100 mm allowed",
        ),
        (
            {"goal.front_load": 1.4709975},
            {"job": "NOT_DONE", "job_failure": "FRONT_TOO_LIGHT", "front_load_low_N": 0.980665},
            "Front tyres too light: 100 g at the least, 150 g wanted",
        ),
        (
            {"goal.at_most": {"pitch_rise_deg": 2.0}},
            {"job": "NOT_DONE", "job_failure": "MISSES_A_BOUND"},
            "Misses its goal: rise of the pitch is 3.0°, at most 2.0° wanted",
        ),
        (
            {"driver.speed": [[0, -0.1]]},
            {"job_task": "BACK_UP", "distance_mm": -200.0},
            "Backs up 200 mm in 2.0 s",
        ),
    ],
)
def test_a_goal_is_spoken_of_in_its_own_terms(
    settings: dict[str, Any], summary: dict[str, Any], said: str
) -> None:
    here = Conditions.of(CREEP.changed(settings))
    assert run_headline(LIFTED | summary, here).split(". ")[0] == said


def test_what_is_visible_is_the_scenario_s_word() -> None:
    keen = Conditions.of(CREEP.changed({"visible.pitch": 0.05, "visible.travel": 0.1}))
    assert (keen.visible_deg, keen.visible_mm) == pytest.approx((0.05, 0.1))
    assert run_headline(CALM, keen).endswith(
        "The nose rises 0.1°; the rear squats 0.2 mm, the front lifts 0.3 mm"
    )


def of(cases: dict[str, dict[str, Any]]) -> str:
    return comparison_headline(cases, dict.fromkeys(cases, CREEP), HERE)


def test_cases_that_did_their_job_are_told_apart_by_what_differs_most_tellingly() -> None:
    far = CALM | {"distance_mm": 520.0}
    assert of({"calm": CALM, "punch": LIFTED | {"distance_mm": 520.0}}) == (
        'Both climb on, 500 to 520 mm. Rise of the pitch: 3.0° with "punch", 0.10° with "calm"'
    )
    assert of({"a": CALM, "b": CALM, "c": far}) == (
        'All 3 climb on, 500 to 520 mm. Distance: 520 mm with "c", 500 mm with "a"'
    )
    same = of({"a": CALM, "b": CALM})
    assert same == "Both climb on, 500 mm. No visible difference in pitch, travel or front load"


def test_cases_that_failed_come_first_with_their_cause_and_lend_no_pitch() -> None:
    spun = failed("SPINS", job_spinning="REAR", pitch_rise_deg=40.0)
    said = of({"as given": CALM, "rear drive": spun})
    assert said == '"rear drive": stops: rear tyres spin; "as given" climbs on, 500 mm'
    said = of({"a": spun, "b": CALM, "c": LIFTED, "d": spun, "e": spun})
    assert said.startswith("3 of 5 cases: stops: rear tyres spin; the other 2 climb on, 500 mm. ")
    assert "40" not in said and '3.0° with "c"' in said
    assert of({"a": spun, "b": spun}) == "Both cases: stops: rear tyres spin"
    swings = CALM | {"pitch_rise_deg": 50.0, "pitch_swing_deg": 2.0}
    assert "50.0" not in of({"a": CALM, "b": swings, "c": LIFTED})
    assert of({"a": swings, "b": swings}).endswith("All still swing at the end")


def test_grams_beside_degrees() -> None:
    cases = {"low": CALM | {"pitch_mean_deg": 4.0, "front_load_mean_N": 6.0}}
    cases["high"] = CALM | {"pitch_mean_deg": 2.0, "front_load_mean_N": 5.9}
    said = front_load_headline(cases, dict.fromkeys(cases, CREEP), HERE)
    assert said == (
        'Both climb on, 500 mm. Pitch differs by 2.0° (most with "low"), the front load differs by 10 g of '
        '612 g (most with "low")'
    )


def test_a_sweep_says_up_to_where_the_job_is_done() -> None:
    rows = [
        CALM,
        LIFTED,
        failed("SPINS", job_spinning="BOTH"),
        failed("ROLLS_BACK", job_cause="MOTOR_TOO_WEAK"),
    ]
    names = ["30", "35", "40", "45"]
    slopes = (Label("ground slope", "deg"), [30.0, 35.0, 40.0, 45.0])
    assert tally(names, rows, [CREEP] * 4, slopes) == (
        "Does its job up to ground slope 35 deg; from 40 deg on it stops: all tyres spin or rolls back: "
        "motor too weak"
    )
    assert tally(names[::-1], rows, [CREEP] * 4, (slopes[0], slopes[1][::-1])).startswith(
        "Does its job from ground slope 40 deg on; up to 35 deg it "
    )
    assert tally(names[:2], rows[:2], [CREEP] * 2, slopes) == "Both climb on, 500 mm"
    gaps = [CALM, rows[2], CALM, CALM]
    assert (
        tally(names, gaps, [CREEP] * 4, slopes) == '"35": stops: all tyres spin; the other 3 climb on, 500 mm'
    )


def loads(rear: tuple[float, float, float], front: tuple[float, float, float]) -> pd.DataFrame:
    """Series of two rows, with change of load, support and what is on the shocks of each axle, g."""
    columns = {"time_s": [0.0, 1.0]}
    for axle, parts in (("rear", rear), ("front", front)):
        for name, grams in zip(("demand", "support", "demand_on_shock"), parts, strict=True):
            columns[f"{axle}_{name}_N"] = [grams * 9.80665e-3] * 2
    return pd.DataFrame(columns)


def test_who_carries_the_load_is_said_in_grams() -> None:
    said = load_headline(CALM, loads((185.0, 86.0, 115.0), (-185.0, -150.0, -40.0)), HERE)
    assert said == (
        "Climbs on, 500 mm in 2.0 s. Load: rear 185 g more, the links hold 86 g of it, 115 g moves the "
        "shock; front 185 g less, the links hold 150 g of it, 40 g moves the shock"
    )
    still = load_headline(CALM, loads((2.0, 1.0, 1.0), (-2.0, 0.0, 0.0)), HERE)
    assert still.endswith("Load: rear load hardly changes; front load hardly changes")
    over = Shares(100.0, 131.0, -25.0)
    assert "links hold 131 g (more than all), moves the shock \N{MINUS SIGN}25 g" in over.words
    assert over.clause("rear") == (
        "rear 100 g more (links +131 g, shocks \N{MINUS SIGN}25 g, axle mass the rest)"
    )
    against = Shares(-100.0, 20.0, -125.0)
    assert "links hold 20 g (backwards)" in against.words


EFFECT = CALM | {
    "support_shows": "MOVING",
    "support_shows_s": 0.31,
    "support_pitch_deg": -1.24,
    "support_pitch_standing_deg": -0.84,
    "support_rear_travel_mm": -2.5,
    "support_rear_travel_standing_mm": -1.2,
    "support_front_travel_mm": 0.2,
}


def test_support_is_said_with_its_direction_and_what_stood_before() -> None:
    held = (
        "Climbs on, 500 mm in 2.0 s. Squat support holds, at most, the nose 1.2° lower, the rear 2.5 mm "
        "higher"
    )
    assert support_headline(EFFECT, HERE) == f"{held}. It shows from 0.31 s on"
    standing = support_headline(EFFECT | {"support_shows": "STANDING", "support_shows_s": 0.0}, HERE)
    assert standing == f"{held}; 0.8° and 1.2 mm of it already standing on the brake"
    never = EFFECT | {"support_shows": "NEVER", "support_pitch_deg": 0.1, "support_rear_travel_mm": -0.2}
    assert "Squat support never shows: at most 0.10° of pitch" in support_headline(never, HERE)
    assert support_headline(EFFECT | {"pitch_swing_deg": 2.0}, HERE).endswith(
        "Still swinging or turning at the end: nose ±2.0°"
    )


def test_conditions_say_what_holds_in_every_case_and_name_what_differs() -> None:
    text = HERE.text
    for words in (
        "Rig: Gully",
        "slope of 25° up",
        "held 0.15 m/s within 500 ms",
        "tyre grip 1.05",
        "all-wheel drive",
    ):
        assert words in text
    both = Conditions.of(simcore.load_scenario(SCENARIOS / "launch_vs_creep.toml"))
    assert "driver differs" in both.text and "slope of 15° up" in both.text
    over = Conditions.of(simcore.load_scenario(SCENARIOS / "overdrive_slope.toml"))
    assert "ground differs" in over.text and "drive differs" in over.text
