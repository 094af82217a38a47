"""Every metric against a hand-made run whose answer is known; an entry without one fails here.

The run lasts 4 s in five rows; between the rows values run in straight lines. The answers are worked out by
hand from the columns below.
"""

import dataclasses
import math
from types import SimpleNamespace
from typing import Any

import numpy as np
import pandas as pd
import pytest

from simcore.accounts.audit import Audit
from simcore.accounts.job import Job, JobState, Tyres
from simcore.accounts.places import Feature
from simcore.accounts.reasons import Reason
from simcore.accounts.verdict import Cause, Failure, Verdict
from simcore.files.aim import Aim, Task
from simcore.files.goal import Goal
from simcore.files.scenario import Visible
from simcore.results.catalogue import CATALOGUE, NUMBERS, just_seen, of_group
from simcore.results.effect import EFFECTS, SupportPair
from simcore.results.finished import Finished, settled_value, swing, time_mean, time_while
from simcore.results.metrics import METRICS, Metrics, summarise
from simcore.results.quantities import Group
from simcore.rig.masses import SIDES
from simcore.solve.trace import Outcome

GRAVITY = 9.80665  # m/s2, the standard value (CGPM 1901)
COLUMNS: dict[str, list[Any]] = {
    "time_s": [0.0, 1.0, 2.0, 3.0, 4.0],
    "distance_mm": [0.0, 10.0, 40.0, 90.0, 80.0],
    "speed_m_per_s": [0.0, 0.3, 0.5, -0.7, -0.1],
    "height_gained_mm": [0.0, 2.0, 9.0, 20.0, 18.0],
    "wheelbase_mm": [300.0, 301.0, 304.0, 295.0, 302.0],
    "pitch_deg": [11.0, 13.0, 15.0, 8.0, 10.0],
    "pitch_to_ground_deg": [1.0, 3.0, 5.0, -2.0, 0.0],
    "skid_load_N": [0.0, 0.0, 4.0, 4.0, 0.0],
    "side_load_N": [0.0, 1.0, 1.0, 3.0, 1.0],
    "budget_cg_shift_N": [0.0, 0.02 * GRAVITY, 0.0, -0.04 * GRAVITY, 0.0],
    "current_A": [0.0, 5.0, 20.0, -30.0, 1.0],
    "electric_power_W": [0.0, 50.0, 70.0, -90.0, 0.0],
    "electric_energy_J": [0.0, 5.0, 20.0, 15.0, 12.5],
    "rear_travel_mm": [10.0, 12.0, 21.0, 18.0, 14.0],
    "rear_thrust_N": [0.0, 8.0, 8.0, 8.0, 0.0],
    "rear_load_N": [12.0, 16.0, 20.0, 20.0, 12.0],
    "rear_slip_pct": [0.0, 20.0, 40.0, 40.0, 0.0],
    "rear_demand_N": [0.0, 4.0, 8.0, 4.0, 0.0],
    "rear_support_N": [0.0, 1.0, 4.0, 3.0, 0.0],
    "rear_demand_on_shock_N": [0.0, 2.0, 2.0, 2.0, 0.0],
    "rear_usual_formula_pct": [math.nan, 80.0, 120.0, 100.0, math.nan],
    "rear_support_state": ["NO_THRUST", "HELD", "SEEN", "SPINNING", "ON_A_STOP"],
    "front_travel_mm": [10.0, 8.0, 2.0, 4.0, 11.0],
    "front_thrust_N": [0.0, -2.0, 4.0, 2.0, 4.0],
    "front_load_N": [10.0, 5.0, 0.0, 0.0, 10.0],
    "front_slip_pct": [0.0, -60.0, 0.0, 30.0, 0.0],
    "front_demand_N": [0.0, -4.0, -8.0, -8.0, 0.0],
    "front_support_N": [0.0, -1.0, -3.0, -1.0, 0.0],
    "front_demand_on_shock_N": [0.0, -4.0, -4.0, -2.0, 0.0],
    "front_usual_formula_pct": [math.nan] * 5,
    "front_support_state": ["TOO_SMALL"] * 3 + ["DRAGGED", "REVERSED"],
}
MASS = 3.0  # kg
RESIDUALS = np.array([0.0, 1.0, -2.0, 1.0, 0.0])
JOB = Job(
    Aim(Task.REACH, 0.5, math.nan, 0.2, 4.0, 0.0, True),
    JobState.NOT_DONE,
    Verdict(Failure.STANDS_STILL, Cause.MOTOR_TOO_WEAK),
    done=1.25,
    place=Feature.LEDGE,
    ahead=Feature.DROP,
    spinning=Tyres.REAR,
    torque_share=0.7,
    stopping=0.321,
)


def shock(stroke: float, bump: float, droop: float) -> SimpleNamespace:
    """Lengths in m."""
    stops = {"bump_stop": SimpleNamespace(length=bump), "droop_stop": SimpleNamespace(length=droop)}
    return SimpleNamespace(stroke=stroke, **stops)


def finished(columns: dict[str, list[Any]] = COLUMNS) -> Finished:
    """The hand-made run; rear stops from 20 and below 11 mm, front ones from 25 and below 3 mm."""
    axles = [
        SimpleNamespace(shock=shock(0.030, 0.010, 0.011)),
        SimpleNamespace(shock=shock(0.03, 0.005, 0.003)),
    ]
    model = SimpleNamespace(
        rig=SimpleNamespace(axle=axles, gravity=GRAVITY),
        bench=SimpleNamespace(whole=SimpleNamespace(mass=MASS)),
    )
    table = pd.DataFrame(columns)
    trace: Any = SimpleNamespace(model=model, outcome=Outcome.DISTANCE, times=table["time_s"].to_numpy())
    stores = {"shocks": 1e-5 * RESIDUALS, "tyres": -3e-5 * RESIDUALS}
    size = np.abs(RESIDUALS)
    audit = Audit(1e-9 * size, 1e-4 * RESIDUALS, stores, 2e-9 * size, 1e-7 * size, 3e-9 * size)
    return Finished(trace, audit, table, JOB)


def over_axle(name: str, rear: float | None, front: float | None) -> dict[str, float | None]:
    return {f"rear_{name}": rear, f"front_{name}": front}


SHARES = {
    f"{axle}_support_{name}_pct": value
    for axle, shown in (
        ("rear", {"no_thrust": 25.0, "held": 25.0, "seen": 25.0, "spinning": 25.0}),
        ("front", {"too_small": 75.0, "dragged": 25.0}),
    )
    for name, value in (
        dict.fromkeys(
            (
                *("reversed", "dragged", "spinning", "no_thrust", "too_small"),
                *("on_a_stop", "held", "held_by_shaft", "carried", "seen"),
            ),
            0.0,
        )
        | shown
    ).items()
}
KNOWN: dict[str, Any] = {
    "job": "NOT_DONE",
    "job_task": "REACH",
    "job_failure": "STANDS_STILL",
    "job_cause": "MOTOR_TOO_WEAK",
    "job_place": "LEDGE",
    "job_ahead": "DROP",
    "job_spinning": "REAR",
    "done_s": 1.25,
    "stopping_mm": 321.0,
    "torque_share_pct": 70.0,
    "ended": "DISTANCE",
    "time_s": 4.0,
    "distance_mm": 80.0,  # the last, not the largest
    "height_gained_mm": 18.0,
    "speed_m_per_s": -0.1,
    "top_speed_m_per_s": 0.7,  # backwards
    "pitch_start_deg": 1.0,
    "pitch_end_deg": 0.0,  # the last half second has but one row
    "pitch_change_deg": -1.0,
    "pitch_swing_deg": 0.0,
    "pitch_to_level_start_deg": 11.0,
    "pitch_to_level_end_deg": 10.0,
    "pitch_to_level_peak_deg": 15.0,
    "pitch_mean_deg": (2.0 + 4.0 + 1.5 - 1.0) / 4.0,
    "pitch_peak_deg": 5.0,
    "pitch_low_deg": -2.0,
    "pitch_rise_deg": 4.0,
    "pitch_dive_deg": 3.0,
    **over_axle("squat_mm", 11.0, 1.0),
    **over_axle("lift_mm", 0.0, 8.0),
    **over_axle("travel_start_mm", 10.0, 10.0),
    **over_axle("travel_end_mm", 14.0, 11.0),
    **over_axle("travel_change_mm", 4.0, 1.0),
    **over_axle("travel_swing_mm", 0.0, 0.0),
    "wheelbase_change_mm": 2.0,
    "wheelbase_change_peak_mm": -5.0,
    **over_axle("thrust_mean_N", (4.0 + 8.0 + 8.0 + 4.0) / 4.0, (-1.0 + 1.0 + 3.0 + 3.0) / 4.0),
    **over_axle("load_mean_N", (14.0 + 18.0 + 20.0 + 16.0) / 4.0, (7.5 + 2.5 + 0.0 + 5.0) / 4.0),
    **over_axle("load_low_N", 12.0, 0.0),
    **over_axle("off_ground_s", 0.0, 1.0),  # between two rows without load
    **over_axle("slip_peak_pct", 40.0, 60.0),  # backwards
    # above 30 %: rear from 1.5 s to 3.25 s; front from 0.5 to 1.5 s, and 30 % itself does not count
    **over_axle("spinning_s", 1.75, 1.0),
    # rear above 20 mm: the last ninth of [1, 2] s and a third of [2, 3] s
    **over_axle("on_bump_stop_s", 1.0 / 9.0 + 1.0 / 3.0, 0.0),
    # below 11 mm at the rear: half of [0, 1] s; below 3 mm at the front: a sixth of [1, 2], half of [2, 3]
    **over_axle("on_droop_stop_s", 0.5, 1.0 / 6.0 + 0.5),
    "skid_time_s": 3.0,  # straight lines up and down
    # areas 16, 8 at the rear; 20, 5 at the front
    **over_axle("support_pct", 50.0, 25.0),
    # demand less what the shocks carry: area 10 at the rear, 10 at the front
    **over_axle("axle_mass_counted_pct", 100.0 * 10.0 / 16.0, 100.0 * 10.0 / 20.0),
    # weighted with 4, 8, 4: (320 + 960)/2 + (960 + 400)/2 over 6 + 6
    **over_axle("usual_formula_pct", 1320.0 / 12.0, None),
    **SHARES,
    "side_load_mean_N": (0.5 + 1.0 + 2.0 + 2.0) / 4.0,
    "front_load_cg_shift_g": (20.0 - 40.0) / 4.0,
    "front_load_cg_shift_peak_g": -40.0,
    "current_peak_A": 30.0,  # backwards
    "power_peak_W": 70.0,  # drawn, not given back
    "energy_used_J": 12.5,
    "momentum_residual_ratio": 2e-9,
    "energy_residual_pct": 2e-2,
    "store_residual_pct": 6e-3,
    "link_residual_ratio": 4e-9,
    "link_drift_mm": 2e-4,
    "account_residual_ratio": 6e-9,
    "audit": "SOUND",
}

TIMES = np.array([0.0, 1.0, 2.0, 3.0])
WITH = pd.DataFrame(
    {
        "time_s": TIMES,
        "pitch_deg": [1.0, 1.1, 3.0, 1.0],
        "rear_travel_mm": [10.0, 9.0, 5.0, 8.0],
        "front_travel_mm": [8.0, 8.0, 9.0, 12.0],
        "front_load_N": [10.0, 11.0, 10.0, 11.0],
    }
)
# ends a second earlier, and has other rows
WITHOUT = pd.DataFrame(
    {
        "time_s": [0.0, 0.5, 2.0],
        "pitch_deg": [1.2, 1.2, 4.5],
        "rear_travel_mm": [10.4, 10.4, 13.4],
        "front_travel_mm": [8.0, 8.0, 6.5],
        "front_load_N": [10.0, 10.0, 10.0],
    }
)
# at 0, 1, 2 s without: pitch 1.2, 2.3, 4.5; rear 10.4, 11.4, 13.4; front 8, 7.5, 6.5
KNOWN_EFFECTS = {
    "support_shows": "MOVING",
    "support_shows_s": 1.0,  # at the start 0.2 deg and 0.4 mm are too little
    "support_pitch_standing_deg": -0.2,
    "support_pitch_deg": -1.5,
    "support_rear_travel_standing_mm": -0.4,
    "support_rear_travel_mm": -8.4,
    "support_front_travel_mm": 2.5,
    "support_front_load_g": 1000.0 / 3.0 / GRAVITY,
}


def test_every_metric_has_its_known_answer() -> None:
    assert [metric.name for metric in METRICS if metric.name not in KNOWN] == []
    assert [metric.name for metric in EFFECTS if metric.name not in KNOWN_EFFECTS] == []
    assert set(KNOWN) | set(KNOWN_EFFECTS) == set(CATALOGUE)
    assert {name.removeprefix("rear_") for name in SHARES if name.startswith("rear_")} == {
        f"support_{reason.name.lower()}_pct" for reason in Reason
    }


@pytest.mark.parametrize("name", KNOWN)
def test_metric_of_a_hand_made_run(name: str) -> None:
    metric, known = CATALOGUE[name], KNOWN[name]
    found = metric.compute(finished())
    if known is None or metric.text:
        assert found == known
    else:  # where times end at a touch, the least force that counts as one is left over
        touch = 1e-6 if metric.unit == "s" else 1e-12
        assert found == pytest.approx(known, rel=1e-9, abs=touch)


@pytest.mark.parametrize("name", KNOWN_EFFECTS)
def test_effect_of_a_hand_made_pair(name: str) -> None:
    found = CATALOGUE[name].compute(SupportPair(WITH, WITHOUT, Visible()))
    known: Any = KNOWN_EFFECTS[name]
    assert found == (known if CATALOGUE[name].text else pytest.approx(known, rel=1e-9))


def test_percentages_of_next_to_no_demand_are_empty() -> None:
    least = 0.01 * MASS * GRAVITY
    for size, empty in ((0.99, True), (1.01, False)):
        flat = {"rear_demand_N": [size * least] * 5, "rear_demand_on_shock_N": [0.0] * 5}
        numbers = summarise(finished(COLUMNS | flat), Goal())
        assert (numbers["rear_support_pct"] is None) is empty
        assert (numbers["rear_axle_mass_counted_pct"] is None) is empty


def test_load_from_side_to_side_is_empty_where_it_is_not_known() -> None:
    unknown = finished(COLUMNS | {"side_load_N": [math.nan] * 5})
    assert summarise(unknown, Goal())["side_load_mean_N"] is None


def test_a_run_that_broke_off_at_once_has_its_metrics_too() -> None:
    numbers = summarise(finished({name: values[:1] for name, values in COLUMNS.items()}), Goal())
    assert numbers["rear_load_mean_N"] == 12.0
    assert numbers["rear_spinning_s"] == 0.0
    assert numbers["rear_support_no_thrust_pct"] == 100.0
    assert numbers["rear_usual_formula_pct"] is None


def test_a_broken_bound_is_named() -> None:
    run = finished()
    broken = Finished(
        run.trace, Audit(1e-7 * abs(RESIDUALS), *list(vars(run.audit).values())[1:]), run.table, JOB
    )
    assert summarise(broken, Goal())["audit"] == "MOMENTUM"
    assert [str(fault) for fault in broken.audit.faults] == ["momentum is off by 2e-07, bound 1e-08"]


def test_groups_kinds_and_both_axles() -> None:
    assert of_group(Group.AUDIT) == {name for name in CATALOGUE if "residual" in name} | {
        "link_drift_mm",
        "audit",
    }
    assert set(CATALOGUE) - set(NUMBERS) == {
        "ended",
        "audit",
        "support_shows",
        *(name for name in KNOWN if name.startswith("job")),
    }
    visible = {"deg": 0.3, "mm": 0.7}
    seen = {"pitch_rise_deg": 0.3, "rear_squat_mm": 0.7, "distance_mm": 5.0, "front_load_mean_N": 0.05}
    assert {name: just_seen(name, visible) for name in seen} == seen
    for axle, other in (SIDES, SIDES[::-1]):
        for name in [name for name in CATALOGUE if name.startswith(f"{axle}_")]:
            opposite = CATALOGUE.get(name.replace(axle, other, 1))
            if opposite is None:
                assert name.startswith("front_load_cg_shift")
            else:
                assert (opposite.kind, opposite.group, opposite.better) == (
                    CATALOGUE[name].kind,
                    CATALOGUE[name].group,
                    CATALOGUE[name].better,
                )


def test_time_while_counts_straight_lines_between_samples() -> None:
    times = np.array([0.0, 1.0, 2.0, 3.0])
    assert time_while(times, np.array([-1.0, 1.0, 1.0, -3.0])) == pytest.approx(0.5 + 1.0 + 0.25)


def test_time_while_of_a_value_that_never_or_always_lies_above() -> None:
    times = np.linspace(0.0, 2.0, 7)
    assert time_while(times, np.zeros(7)) == 0.0
    assert time_while(times, np.ones(7)) == pytest.approx(2.0)
    assert time_while(times, np.ones(7), level=1.5) == 0.0


def test_time_mean_leaves_gaps_out_and_counts_uneven_steps() -> None:
    assert time_mean(np.array([0.0, 1.0, 4.0]), np.array([0.0, 2.0, 2.0])) == pytest.approx(7.0 / 4.0)
    assert time_mean(np.array([0.0, 1.0, 2.0]), np.array([math.nan, 3.0, 5.0])) == pytest.approx(4.0)
    assert math.isnan(time_mean(np.array([0.0, 1.0]), np.array([math.nan, math.nan])))


@pytest.mark.parametrize("frequency", [2.0, 2.7, 4.0, 6.3, 8.0, 12.0])
@pytest.mark.parametrize("phase", [0.0, 1.0, 2.5, 4.0])
def test_the_value_at_the_end_is_what_a_swing_goes_about(frequency: float, phase: float) -> None:
    """Of a swing of two periods or more in the last part of a run a thirty-fifth is left at most.

    The side lobes of Hann's window lie 31 dB down (Harris 1978, from memory); a sample keeps all of it.
    """
    times = np.linspace(0.0, 3.0, 1501)
    value = 5.0 + 2.0 * np.sin(2.0 * np.pi * frequency * times + phase)
    assert settled_value(times, value) == pytest.approx(5.0, abs=2.0 * 10.0 ** (-31.0 / 20.0))
    assert swing(times, value) == pytest.approx(2.0, rel=1e-2)


def test_what_has_come_to_rest_by_the_end_does_not_swing() -> None:
    """A landing that is over a quarter of a second before the end."""
    times = np.linspace(0.0, 3.0, 1501)
    value = 2.0 + np.where(times < 2.7, 3.0 * np.sin(2.0 * np.pi * 5.0 * times), 0.0)
    assert settled_value(times, value) == pytest.approx(2.0, abs=1e-9)
    assert swing(times, value) == 0.0


def test_the_end_of_a_short_run_is_its_last_half() -> None:
    times = np.linspace(0.0, 0.4, 201)
    value = np.where(times < 0.2, 100.0, 7.0)
    assert settled_value(times, value) == pytest.approx(7.0, abs=0.05)
    assert swing(np.linspace(0.0, 0.4, 5), np.array([9.0, 9.0, 1.0, 2.0, 4.0])) == 1.5


def test_bounds_of_a_goal_count_for_the_job() -> None:
    """The hand-made run as if its task were done: nose 4 deg up, front load down to nothing."""
    done = dataclasses.replace(finished(), job=dataclasses.replace(JOB, state=JobState.DONE, verdict=None))
    kept = Goal(at_most={"pitch_rise_deg": 4.0}, at_least={"pitch_rise_deg": 4.0})
    missed = Goal(at_least={"front_load_low_N": 0.1})
    assert [summarise(done, goal)["job"] for goal in (kept, missed)] == ["DONE", "NOT_DONE"]
    assert summarise(done, missed)["job_failure"] == "MISSES_A_BOUND"
    without = Goal(at_least={"front_usual_formula_pct": 0.0})  # which this run does not have
    assert summarise(done, without)["job"] == "NOT_DONE"
    failed = summarise(finished(), missed)
    assert failed["job_failure"] == "STANDS_STILL"


def test_metrics_are_worked_out_when_asked_for() -> None:
    done = finished()
    whole, few = summarise(done, Goal()), Metrics(dataclasses.replace(done, audit=None), Goal())
    of_audit = set(whole) - set(few)
    assert of_audit == {metric.name for metric in METRICS if metric.group is Group.AUDIT}
    assert len(few) == len(whole) - len(of_audit) and list(few) == [name for name in whole if name in few]
    assert dict(few) == {name: whole[name] for name in few}
    for name in (*of_audit, "no_such_metric"):
        assert name not in few
        with pytest.raises(KeyError, match=name):
            few[name]


def test_bounds_of_a_goal_have_their_say_without_an_audit() -> None:
    job = dataclasses.replace(JOB, state=JobState.DONE, verdict=None)
    bare = dataclasses.replace(finished(), audit=None, job=job)
    highest = summarise(finished(), Goal())["pitch_peak_deg"]
    for most, job, failure in ((highest, "DONE", ""), (highest - 0.1, "NOT_DONE", "MISSES_A_BOUND")):
        few = Metrics(bare, Goal(at_most={"pitch_peak_deg": most}))
        assert (few["job_failure"], few["job"]) == (failure, job)
