"""Headlines of runs that still swing, of odd goals and drivers, and of any rig at all."""

import math
from pathlib import Path
from runpy import run_path
from typing import Any

import pytest
from failing_jobs import both, ledge, scenario, slope, speed, torque
from headline_words import FAILS, PITCH, readable
from hypothesis import given, settings
from hypothesis import strategies as st
from tries import tries

import simcore
from simcore.files import Scenario, scenario_of

# --- still swinging ---

SOFT = both("shock.friction", {"breakaway": 0}) | both("shock.damper", {"compression": 0, "rebound": 0})
STOP = {
    "control": "speed",
    "speed": [[0, 0], [0.3, 0.8], [0.9, 0.8], [0.91, 0]],
    "brake": [[0, 100], [0.2, 100], [0.21, 0], [1.0, 0], [1.05, 100]],
}
PUNCH = {"control": "torque", "torque": [[0, 0], [0.03, 50], [0.1, 50], [0.13, 25]]}
SWINGING = {
    "after a punch": ("gully", slope(15), PUNCH, 1.2),
    "after a stop": ("gully", slope(0), STOP, 2.0),
    "after a stop, heavy": ("fell", slope(0), STOP, 2.0),
    "after a ledge": ("gully", ledge(40), speed(1), 1.3),
}


@pytest.mark.parametrize(("rig", "ground", "driver", "over"), SWINGING.values(), ids=SWINGING)
def test_a_run_that_still_swings_says_so_and_nothing_else_of_the_nose(
    rig: str, ground: dict[str, Any], driver: dict[str, Any], over: float
) -> None:
    """No friction and no oil: what moved it is not over. The rig as shipped, given time, has come to rest."""
    case = scenario(rig, ground, driver, SOFT | both("tyre.damping", 0), end={"duration": over})
    soft = simcore.simulate(case)
    late = soft.series[soft.series["time_s"] > over - 0.4]["pitch_to_ground_deg"]
    assert late.max() - late.min() > 0.5  # twice what a viewer sees
    assert soft.summary["job"] == "DONE" and ". Still swinging or turning at the end: nose ±" in soft.headline
    assert "rises" not in soft.headline and "dives" not in soft.headline
    readable(soft.headline)
    calm = simcore.simulate(scenario(rig, ground, driver, end={"duration": over + 1.5}))
    assert calm.summary["job"] == "DONE" and "swinging" not in calm.headline
    assert PITCH.search(calm.headline) or "Hardly anything moves" in calm.headline


def test_figures_at_the_end_are_no_samples_of_a_swing() -> None:
    """Ended 50 ms apart, a rig that pitches at some 6 Hz gives one figure, its last samples any."""
    loose = SOFT | both("tyre.damping", 0)
    runs = [
        simcore.simulate(scenario("gully", slope(15), PUNCH, loose, end={"duration": over}))
        for over in (1.0, 1.05, 1.1, 1.15, 1.2)
    ]
    samples = [float(run.series["pitch_to_ground_deg"].iloc[-1]) for run in runs]
    settled = [run.summary["pitch_end_deg"] for run in runs]
    assert max(samples) - min(samples) > 1.0
    assert max(settled) - min(settled) < 0.1
    for run in runs:
        assert run.summary["pitch_swing_deg"] > 0.5
        assert "Still swinging or turning at the end" in run.headline


# --- odd goals and drivers ---

FORTH = {"control": "torque", "torque": [[0, 0], [0.1, -20], [0.5, -20], [0.6, 30]]}
TWICE = {
    "control": "torque",
    "torque": [[0, 0], [0.1, 25], [0.4, 25], [0.41, 0], [1, 0], [1.1, 25], [1.4, 25], [1.41, 0]],
    "brake": [
        [0, 100],
        [0.2, 100],
        [0.21, 0],
        [0.8, 0],
        [0.85, 100],
        [1.1, 100],
        [1.15, 0],
        [1.8, 0],
        [1.85, 100],
    ],
}
FADING = {
    "control": "torque",
    "torque": [[0, 0], [0.1, 25], [0.6, 25], [0.61, 0]],
    "brake": [[0, 100], [0.2, 100], [0.21, 0], [0.9, 0], [0.95, 100], [1.6, 30]],
}
STRANDED = {"end": {"duration": 1.5}, "start": {"rear_axle": 700}}
ODD: dict[str, tuple[Scenario, str, str]] = {
    "past just ahead of the start": (
        scenario("gully", slope(0), torque(25), goal={"past": 61}, start={"rear_axle": 60}),
        "DONE",
        "Gets past 61 mm",
    ),
    "reach further than the course": (
        scenario("gully", ledge(20, 500), speed(0.3), goal={"reach": 9000}),
        "NOT_DONE",
        "Not there in 1.8 s",
    ),
    "within less than the ramp": (
        scenario("gully", slope(0), speed(0.3), goal={"reach": 100, "within": 0.1}),
        "NOT_DONE",
        "Too late: 100 mm in 0.",
    ),
    "reverse, then forward": (scenario("gully", slope(0), FORTH), "NO_JOB", "Goes to and fro"),
    "braked twice": (scenario("gully", slope(0), TWICE, end={"duration": 2.6}), "DONE", "Stops in"),
    "brake that fades": (scenario("gully", slope(0), FADING), "DONE", "Drives on"),
    "rolling back at the end": (
        scenario(
            "gully",
            slope(25),
            {"control": "torque", "torque": [[0, 0], [0.05, 40], [0.4, 40], [0.42, 0]]},
            {"motor.no_load_current": 0.1},
            end={"duration": 1.4},
        ),
        "DONE",
        "rolling back at the end",
    ),
    "nothing asked downhill": (
        scenario("gully", slope(-20), torque(0), {"motor.no_load_current": 0.1}),
        "NO_JOB",
        "Rolls",
    ),
    "nothing asked": (
        scenario("gully", slope(0), torque(0)),
        "NO_JOB",
        "Nothing is asked of it, and it stays",
    ),
    "held": (scenario("gully", slope(20), torque(0) | {"brake": [[0, 100]]}), "DONE", "Stays where it is"),
    "a moment": (
        scenario("gully", slope(10), torque(25), end={"duration": 0.05}),
        "NOT_DONE",
        "Does not move",
    ),
    "a blink": (
        scenario("gully", slope(10), torque(25), end={"duration": 0.001}),
        "NOT_DONE",
        "Does not move",
    ),
    "past the last edge": (scenario("gully", ledge(40), speed(0.3), **STRANDED), "DONE", "Drives on"),
    "astride the edge": (
        scenario("gully", ledge(30, 400), speed(0.3), start={"rear_axle": 200}),
        "DONE",
        "Gets over the ledge",
    ),
    "down a course": (
        scenario(
            "gully", {"pieces": [{"length": 450, "slope": -10}, {"length": 2000, "slope": -25}]}, speed(0.4)
        ),
        "DONE",
        "Gets over the crest",
    ),
    "coming to a stand ends it": (
        scenario(
            "gully",
            slope(0),
            {"control": "torque", "torque": [[0, 0], [0.1, 20], [0.4, 20], [0.5, 0]]},
            end={"duration": 3, "when": ["stands_still"]},
        ),
        "DONE",
        "Drives on",
    ),
}


@pytest.mark.parametrize(("case", "job", "says"), ODD.values(), ids=ODD)
def test_odd_goals_and_drivers_have_a_headline(case: Scenario, job: str, says: str) -> None:
    run = simcore.simulate(case)
    assert run.summary["job"] == job and says in run.headline, run.headline
    readable(run.headline)


def test_a_course_is_not_passed_in_a_somersault() -> None:
    """The rear axle is past the edge when the rig falls on its nose, and has not got down."""
    falls = simcore.simulate(scenario("gully", ledge(-300, 450), speed(0.4), end={"duration": 3}))
    assert falls.outcome is simcore.Outcome.ROLLED_OVER and falls.summary["job"] == "NOT_DONE"
    assert falls.motion["rear_axle_x_mm"].max() > 450


# --- any rig at all ---

STRATEGIES = run_path(str(Path(__file__).parents[1] / "robustness" / "strategies.py"))
RIGS = {
    name: {key: value for key, value in scenario(name, slope(0), torque(1)).raw["rig"].items()}
    for name in ("gully", "fell", "gully_rear")
}


def numbers(low: float, high: float) -> st.SearchStrategy[float]:
    return st.floats(low, high, allow_subnormal=False).map(lambda x: round(x, 2))


@st.composite
def drawn(draw: st.DrawFn) -> dict[str, Any]:
    """A rig near a shipped one, a slope or a course, a driver, and perhaps a goal."""
    rig = draw(STRATEGIES["crawlers"](RIGS[draw(st.sampled_from(sorted(RIGS)))], spread=0.15, shift=2.0))
    pieces = [{"length": draw(numbers(350, 500)), "slope": draw(numbers(-20, 20))}]
    pieces += draw(st.sampled_from([[], [{"ledge": 30}], [{"ledge": -60}]]))
    pieces += [{"length": 800, "slope": draw(numbers(-20, 30)), "grip": draw(st.sampled_from([3, 30, 100]))}]
    ground = draw(
        st.sampled_from([slope(draw(numbers(-25, 35)), draw(numbers(20, 130))), {"pieces": pieces}])
    )
    control = draw(st.sampled_from(["torque", "throttle", "speed"]))
    most = {"torque": 60, "throttle": 100, "speed": 1.5}[control]
    values = numbers(0, most) if draw(st.booleans()) else numbers(-most, most)
    rows = [[0, 0], *([t, draw(values)] for t in (0.1, 0.3, 0.5)[: draw(st.integers(1, 3))])]
    driver = {"control": control, control: rows, "release": 0.05}
    if draw(st.booleans()):
        driver["brake"] = [[0, 100], [0.05, 100], [0.06, 0], [0.3, 0], [0.35, draw(numbers(0, 100))]]
    goals = [{}, {"reach": 80}, {"past": 100, "within": 0.2}, {"stop_within": 50}, {"front_load": 5}]
    goals += [{"at_most": {"pitch_rise_deg": 1, "stopping_mm": 40}}, {"at_least": {"distance_mm": 50}}]
    end = {
        "duration": draw(st.sampled_from([0.05, 0.4, 0.8])),
        "when": draw(st.sampled_from([[], ["rear_lifts"]])),
    }
    goal = draw(st.sampled_from(goals))
    if goal.get("within", 0.0) > end["duration"] - 0.05:
        goal = {"reach": 80}
    return {"title": "drawn", "rig": rig, "ground": ground, "driver": driver, "end": end, "goal": goal}


@tries(50, 120)
def test_any_crawler_has_a_headline(count: int) -> None:
    """And both kinds are among them: jobs done and not done."""
    seen: dict[str, int] = {"DONE": 0, "NOT_DONE": 0, "NO_JOB": 0, "UNKNOWN": 0, "refused": 0}

    @settings(
        max_examples=count,
        derandomize=True,
        database=None,
        suppress_health_check=STRATEGIES["SLOW"],
        deadline=None,
    )
    @given(drawn())
    def look(raw: dict[str, Any]) -> None:
        try:
            run = simcore.simulate(scenario_of(raw, "drawn.toml"))
        except simcore.InputError:
            seen["refused"] += 1
            return
        seen[run.summary["job"]] += 1
        readable(run.headline)
        if run.summary["job"] == "NOT_DONE":
            assert run.headline.lower().startswith(FAILS), run.headline
            bound = run.headline.startswith("Misses its goal")
            assert bound or not PITCH.search(run.headline), run.headline
        share = run.summary["torque_share_pct"]
        assert share is None or math.isfinite(share)

    look()
    assert min(seen["DONE"], seen["NOT_DONE"]) > count / 25 and seen["UNKNOWN"] == 0, seen


def test_a_rig_that_falls_on_its_back_has_not_slid() -> None:
    """A hard punch at a ledge higher than its wheels throws it over; its axles come back further than counts
    as slid before it lies on its back.
    """
    ground = {"pieces": [{"length": 600}, {"ledge": 150}, {"length": 2000}]}
    driver = {"control": "throttle", "throttle": [[0, 0], [0.5, 40]]}
    over = scenario("gully", ground, driver, end={"duration": 3})
    patient = scenario("gully", ground, driver, end={"duration": 3, "slid_back": 1000})
    ends = [simcore.simulate(one) for one in (over, patient)]
    assert ends[1].outcome is simcore.Outcome.ROLLED_OVER
    assert [run.summary["job_failure"] for run in ends] == ["TIPS_BACKWARDS"] * 2
