"""Does every run that fails at its job say so, and with the true cause?

The codes follow from the calculation beside each run, in `failing_to_go`, `failing_to_end` and
`failing_on_courses`; that a cause is the cause is shown by a run in which it alone is switched off, and which
does its job.
"""

import re
from functools import cache
from typing import Any

import pytest
from failing_jobs import Failing, scenario, slope, throttle, torque
from failing_on_courses import COURSES
from failing_to_end import BOUNDS, LATE, STOPS, TIPS
from failing_to_go import BACK, SPINS, STUCK
from headline_words import FAILS, PITCH, readable

import simcore
from simcore.accounts.verdict import Cause, Failure
from simcore.files import Scenario, scenario_of
from simcore.results.conditions import Conditions
from simcore.results.headlines.loads import load_headline
from simcore.results.headlines.run import support_headline

FAILING = [*STUCK, *BACK, *SPINS, *TIPS, *STOPS, *BOUNDS, *LATE, *COURSES]
CODES = ("failure", "cause", "place", "ahead", "spinning")
every_failing = pytest.mark.parametrize("case", FAILING, ids=lambda case: case.name)


@cache
def run_of(case: Failing) -> simcore.Run:
    return simcore.simulate(case.scenario)


def test_the_list_is_whole() -> None:
    """Every failure and cause that a run can have, but those of a standing start, of the search for the
    steepest slope and of runs that give no answer.
    """
    assert len({case.name for case in FAILING}) == len(FAILING) >= 60
    outside = {"CANNOT_STAND", "FRONT_IN_THE_AIR", "NO_START_FOUND", "BROKE_OFF", "AUDIT_FAILED"}
    assert {case.failure for case in FAILING} == {failure.name for failure in Failure} - outside
    standing = {"SLIDES", "TIPS_OVER"}
    assert {case.cause for case in FAILING} == {cause.name for cause in Cause} - standing | {""}


@every_failing
def test_the_headline_says_that_it_failed_and_why(case: Failing) -> None:
    run = run_of(case)
    found = {code: run.summary[f"job_{code}"] for code in CODES}
    assert run.summary["job"] == "NOT_DONE", f"{run.headline}; {case.why}"
    assert found == {code: getattr(case, code) for code in CODES}, f"{run.headline}; {case.why}"
    assert [words for words in case.says if words not in run.headline] == [], run.headline


@every_failing
def test_without_its_cause_it_does_its_job(case: Failing) -> None:
    cured = simcore.simulate(case.cured)
    assert cured.summary["job"] == "DONE", f"{cured.headline}; {case.why}"
    assert cured.summary["job_failure"] == cured.summary["job_cause"] == ""


@every_failing
def test_a_failed_run_says_so_first_and_nothing_of_the_nose(case: Failing) -> None:
    run = run_of(case)
    assert run.headline.lower().startswith(FAILS), run.headline
    readable(run.headline)
    titles = [run.headline, load_headline(run.summary, run.series, Conditions.of(run.scenario))]
    titles.append(support_headline(run.summary, Conditions.of(run.scenario)))
    for title in titles:
        assert title.startswith(run.headline)
        bound = "Misses its goal" in title and "pitch" in str(case.goal)
        assert bound or not PITCH.search(title), title


# --- the share of the torque ---


def just_climbs(base: Scenario, key: str, low: float, high: float, rows: bool) -> float:
    """Value from which a run does its job, between one that does not and one that does."""
    for _ in range(8):
        middle = 0.5 * (low + high)
        value: Any = [[0, 0], [0.1, middle]] if rows else middle
        done = simcore.simulate(base.changed({key: value})).summary["job"] == "DONE"
        low, high = (low, middle) if done else (middle, high)
    return 0.5 * (low + high)


@pytest.mark.parametrize(
    ("base", "key", "value", "enough"),
    [
        (scenario("gully", slope(20), torque(14)), "driver.torque", 14, 45),
        (scenario("gully", slope(35), torque(20)), "driver.torque", 20, 60),
        (scenario("gully", slope(20), torque(14), {"driveline.efficiency": 100}), "driver.torque", 14, 45),
        (scenario("gully_rear", slope(10), torque(9)), "driver.torque", 9, 40),
        (scenario("fell", slope(30), torque(30)), "driver.torque", 30, 80),
        (scenario("gully", slope(-20), torque(-14)), "driver.torque", -14, -45),
        (scenario("gully", slope(20), throttle(2)), "driver.throttle", 2, 20),
        (
            scenario("gully", slope(20), throttle(100), {"motor.current_limit": 2}),
            "motor.current_limit",
            2,
            20,
        ),
    ],
    ids=[
        "20 deg",
        "35 deg",
        "no gear loss",
        "rear drive",
        "heavy",
        "backing up",
        "throttle",
        "current limit",
    ],
)
def test_the_share_is_that_of_the_torque_with_which_it_just_climbs(
    base: Scenario, key: str, value: float, enough: float
) -> None:
    base = base.changed({"end.duration": 2.5})
    run = simcore.simulate(base)
    said = float(re.search(r"([\d.]+) of what this slope takes", run.headline)[1])
    found = value / just_climbs(base, key, value, enough, key.startswith("driver"))
    assert said == pytest.approx(found, rel=0.10)
    assert run.summary["torque_share_pct"] == pytest.approx(100.0 * found, rel=0.10)


# --- several runs ---

MIXED = scenario("gully", slope(20), torque(30))
RAW = {"title": "Which of them climb?", "rig": MIXED.raw["rig"]}


def study(**tables: Any) -> Scenario:
    return scenario_of(MIXED.raw | tables, "mixed.toml")


def test_a_comparison_names_the_cases_that_failed_with_their_cause() -> None:
    changes = {
        "weak": {"driver.torque": [[0, 0], [0.1, 14]]},
        "brake left on": {"driver.brake": [[0, 100]]},
        "ice": {"ground.grip": 36, "driver.torque": [[0, 0], [0.1, 60]]},  # sliding 0.34, tan 20 = 0.36
        "strong": {"driver.torque": [[0, 0], [0.1, 36]]},
    }
    both = simcore.compare(study(variants=changes))
    first = both.headline.split(". ")[0]
    readable(both.headline)
    assert {name: run.summary["job"] == "DONE" for name, run in both.runs.items()} == {
        "as given": True,
        "strong": True,
        "weak": False,
        "brake left on": False,
        "ice": False,
    }
    assert '"weak": does not move: the torque asked for is 0.63 of what this slope takes' in first
    assert '"brake left on": does not move: the drag brake is on' in first
    assert (
        re.search(r'"ice": (slides back|stops|does not get going|hardly)', first)
        and "all tyres spin" in first
    )
    assert "the other 2 climb" in first
    for name in ("weak", "brake left on", "ice"):
        assert f'"{name}"' not in both.headline.split(". ", 1)[1]


def test_cases_that_all_failed_have_no_difference() -> None:
    none = simcore.compare(study(driver=torque(14), variants={"less": {"driver.torque": [[0, 0], [0.1, 9]]}}))
    assert none.headline.startswith("None does its job. ") and not PITCH.search(none.headline)
    readable(none.headline)


def test_a_sweep_says_up_to_which_slope_it_climbs() -> None:
    """25 N mm climb 20 deg (22.3 needed), not 25 (25.6), nor 30 to 40, whose pitch does not count."""
    climbs = simcore.sweep(study(driver=torque(25), vary={"ground.slope": "10:40:5"}))
    first = climbs.headline.split(". ")[0]
    assert first == (
        "Does its job up to ground slope 20 deg; from 25 deg on it does not move: too little torque asked for"
    )
    readable(climbs.headline)
    said = climbs.headline.split(". ", 1)[1]
    assert "20 deg" in said and not re.search(r"\b(25|30|35|40) deg", said)


def test_a_sweep_in_which_all_failed_says_nothing_of_the_nose() -> None:
    stuck = simcore.sweep(
        study(
            driver=torque(14), vary={"ground.slope": [20, 25, 30]}, conclusion={"shown": ["pitch_rise_deg"]}
        )
    )
    assert not PITCH.search(stuck.headline) and "does not move" in stuck.headline.lower()
    readable(stuck.headline)


def test_a_map_in_which_many_failed_stays_readable() -> None:
    axes = {"ground.slope": [10, 20, 30, 40], "motor.current_limit": [1, 1.5, 2, 2.5, 5]}
    many = simcore.sweep(study(driver=throttle(100), vary=axes))
    readable(many.headline)
    assert len(many.headline) < 400 and " of 20 runs: " in many.headline
