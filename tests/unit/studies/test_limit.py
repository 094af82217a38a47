"""The search for the steepest slope: brackets, reasons out of real runs, refusals, tables and files."""

import dataclasses
import math
import tomllib
from pathlib import Path
from typing import Any

import numpy as np
import pandas as pd
import pytest

from simcore import InputError, export, load_scenario
from simcore.accounts.verdict import Failure, Verdict, why_not
from simcore.files import Scenario, scenario_of
from simcore.solve.integrate import integrate
from simcore.solve.trace import Outcome, Trace
from simcore.studies import simulate
from simcore.studies.climb import Attempt, Climber
from simcore.studies.limit import MEANING, WORDS, Limit, Limits, find_limit
from simcore.units import column_unit

SHIPPED = load_scenario(Path(__file__).parents[3] / "scenarios" / "slow_creep.toml")
BASE = SHIPPED.changed({f"{end}.tyre.grip_load_exponent": 0 for end in ("rear", "front")})
STEEP = Verdict(Failure.SPINS)
HIGH_GRIP = {f"{end}.tyre.{key}": 3 for end in ("rear", "front") for key in ("peak_grip", "sliding_grip")} | {
    "motor.brake_torque": 5000
}


def varied(variants: dict[str, dict[str, Any]], **tables: Any) -> Scenario:
    raw = tomllib.loads(BASE.to_toml())
    return scenario_of(raw | {"variants": variants} | tables, "varied.toml")


def words(verdict: Verdict | None) -> str:
    """A verdict in words; nothing for a slope that is climbed."""
    return "" if verdict is None else str(verdict)


def climbing(settings: dict[str, Any], slope: float = 25.0, distance: float = 100.0) -> Trace:
    """A run of the slow creep towards a distance (mm)."""
    return integrate(BASE.changed({"ground.slope": slope, "end.distance": distance} | settings))


# --- brackets ---


@pytest.fixture
def pretend(monkeypatch: pytest.MonkeyPatch) -> Any:
    """Let every slope up to a threshold be climbed, without any run."""

    def below(threshold: float) -> Limit:
        monkeypatch.setattr(
            Climber, "_try", lambda self, slope: Attempt(None if slope <= threshold else STEEP)
        )
        (limit,) = find_limit(BASE).cases.values()
        return limit

    return below


@pytest.mark.parametrize("threshold", [0.0, 0.03, 4.99, 5.0, 31.4, 44.999, 45.0, 79.97])
def test_the_bracket_holds_the_threshold_and_is_a_tenth_of_a_degree_wide(pretend, threshold):
    limit = pretend(threshold)
    assert limit.climbs_deg <= threshold < limit.fails_deg
    assert limit.fails_deg - limit.climbs_deg <= 0.1
    assert limit.verdict is STEEP
    assert limit.runs <= 17 + 6


def test_failing_on_the_level_and_climbing_all_of_a_file_are_answers(pretend):
    nothing = pretend(-1.0)
    assert (nothing.climbs_deg, nothing.fails_deg, nothing.runs) == (None, 0.0, 1)
    assert nothing.verdict is STEEP
    all_of_it = pretend(90.0)
    assert (all_of_it.climbs_deg, all_of_it.fails_deg, all_of_it.runs) == (80.0, None, 17)
    assert all_of_it.verdict is None and "80 deg" in all_of_it.why


def test_progress_counts_cases_and_never_falls(monkeypatch):
    monkeypatch.setattr(Climber, "_try", lambda self, slope: Attempt(None if slope < 33.0 else STEEP))
    seen = []
    find_limit(varied({"other": {"ground.grip": 90}}), progress=lambda *step: seen.append(step))
    done = [step[0] for step in seen]
    assert done == sorted(done) and done[-1] == 2.0 and 1.0 in done
    assert {step[1] for step in seen} == {2}


@pytest.mark.parametrize(
    ("distance", "end", "way"),
    [(None, None, 0.315), (None, 200, 0.2), (0.15, 200, 0.15)],
    ids=["wheelbase", "scenario", "asked for"],
)
def test_the_way_to_cover(pretend, monkeypatch, distance, end, way):
    monkeypatch.setattr(Climber, "_try", lambda self, slope: Attempt(STEEP))
    scenario = BASE if end is None else BASE.changed({"end.distance": end})
    (limit,) = find_limit(scenario, distance).cases.values()
    assert limit.distance == pytest.approx(way)


# --- reasons, from real runs ---

# 25 degrees; the gears' efficiency of 78 % holds a rig back, and holds it up
FREE = {"motor.no_load_current": 0}
TORQUE = {"driver.control": "torque", "driver.torque": [[0, 0], [0.02, 12]]}
IDLE = FREE | {"driver.control": "torque", "driver.torque": [[0, 0]]}
REASONS = {
    "does not move: motor too weak": {"motor.current_limit": 1.5, "end.duration": 2},
    "rolls back: motor too weak": FREE | {"motor.current_limit": 0.5, "end.duration": 2},
    "does not move: too little torque asked for": TORQUE,
    "rolls back: too little torque asked for": FREE | TORQUE | {"driver.torque": [[0, 3]]},
    "does not move: too little throttle": {"driver.control": "throttle", "driver.throttle": [[0, 3]]},
    "does not move: the drag brake is on": {"driver.brake": [[0, 100]], "end.duration": 1},
    "rolls back: the drag brake slips": IDLE
    | {"driver.brake": [[0, 100], [0.2, 100], [0.3, 51]], "motor.brake_torque": 15},
    "rolls back: the driver asks for nothing": IDLE,
    "not there in 1 s: asked speed too low": {"driver.speed": [[0, 0], [0.1, 0.02]], "end.duration": 1},
    "slides back, tyres spinning": {"ground.grip": 46, "driver.speed": [[0, 0], [0.1, 0.5]]},
    "": {},
}


@pytest.mark.parametrize(("reason", "settings"), REASONS.items(), ids=[name or "climbs" for name in REASONS])
def test_the_reason_is_what_happened(reason, settings):
    assert words(why_not(climbing({"end.duration": 4} | settings), 0.25)) == reason


def test_tyres_that_spin_on_the_spot_are_named():
    """Level ice and a heavy pull: the tyres turn, the rig hardly moves."""
    ice = {"ground.grip": 1, "driver.speed": [[0, 0], [0.1, 1.0]], "end.duration": 1}
    assert words(why_not(climbing(ice, slope=0.0, distance=2000), 0.25)) == "spins and hardly gets on"


def test_as_far_back_is_not_climbed():
    """A run may end at the distance on its way down."""
    trace = climbing(IDLE, distance=50)
    assert trace.outcome is Outcome.DISTANCE and trace.states["distance"][-1] < 0.0
    assert why_not(trace, 0.25).failure is Failure.ROLLS_BACK


@pytest.fixture(scope="module")
def climbed() -> Trace:
    trace = climbing({})
    assert words(why_not(trace, 0.25)) == ""
    return trace


@pytest.mark.parametrize(
    ("outcome", "reason"),
    [
        (Outcome.HIGH_CENTRED, "hangs on its skids"),
        (Outcome.NOT_SOLVED, "the integration broke off"),
    ],
)
def test_endings_of_a_kind(climbed, outcome, reason):
    assert words(why_not(dataclasses.replace(climbed, outcome=outcome), 0.25)) == reason


@pytest.mark.parametrize(("turn", "reason"), [(1.6, "tips over backwards"), (-1.6, "tips over forwards")])
def test_which_way_it_rolled(climbed, turn, reason):
    states = climbed.states.copy()
    states["pose"]["angle"][-1, 0] += turn
    assert (
        words(why_not(dataclasses.replace(climbed, states=states, outcome=Outcome.ROLLED_OVER), 0.25))
        == reason
    )


@pytest.mark.parametrize(
    ("spans", "reason"),
    [
        ([(0.3, 0.549)], ""),
        ([(0.3, 0.553)], "front in the air for over 0.25 s"),
        ([(0.0, 0.2), (0.3, 0.5), (0.6, 0.8)], ""),
        ([(0.9, 9.0)], "front in the air for over 0.25 s"),
    ],
    ids=["just not", "just", "in hops", "to the end"],
)
def test_the_front_may_be_up_for_so_long_without_a_break(climbed, spans, reason):
    ledgers = climbed.ledgers.copy()
    for first, last in spans:
        up = (climbed.times >= first) & (climbed.times <= last)
        ledgers["axle"]["tyre"]["load"][up, 1] = 0.0
    assert climbed.times[-1] > 1.15
    assert words(why_not(dataclasses.replace(climbed, ledgers=ledgers), 0.25)) == reason


@pytest.mark.parametrize(
    ("drive", "spinning", "reason"),
    [
        ("all", (0, 1), "slides back"),
        ("all", (1,), "rolls back: motor too weak"),
        ("all", (0,), "rolls back: motor too weak"),
        ("rear", (0,), "slides back"),
        ("rear", (1,), "rolls back: motor too weak"),
    ],
)
def test_tyres_spin_when_all_that_are_driven_do(drive, spinning, reason):
    trace = climbing(REASONS["rolls back: motor too weak"] | {"driveline.drive": drive})
    for i in spinning:
        trace.ledgers["axle"]["tyre"]["slip"][:, i] = -0.5
    assert words(why_not(trace, 0.25)) == reason


STARTS = {
    "cannot stand there: it tips over": HIGH_GRIP | {"ground.slope": 72},
    "cannot stand there: it slides": {"ground.slope": 50, "motor.brake_torque": 5000},
    "cannot stand there: the drag brake slips": {"motor.brake_torque": 4, "motor.no_load_current": 0},
}


@pytest.mark.parametrize(("reason", "settings"), STARTS.items(), ids=STARTS)
def test_a_start_without_a_stand_is_watched_falling(reason, settings):
    case = BASE.changed(settings)
    attempt = Climber(case, 0.1, 0.25).on(math.degrees(case.ground.slope))
    assert attempt.fails and words(attempt.verdict) == reason


# --- whole searches ---


def test_a_slow_driver_gets_four_times_as_long():
    """100 mm at 0.1 m/s take 1.0 s and a bit; 0.4 s asked for give 1.6 s, 0.2 s give 0.8 s."""
    speed = {"driver.speed": [[0, 0], [0.01, 0.1]], "end.when": ["front_lifts", "stands_still"]}
    enough = BASE.changed(speed | {"end.duration": 0.4})
    (limit,) = find_limit(enough, distance=0.1).cases.values()
    assert limit.climbs_deg >= 30.0
    short = BASE.changed(speed | {"end.duration": 0.2})
    (limit,) = find_limit(short, distance=0.1).cases.values()
    assert (limit.climbs_deg, limit.fails_deg) == (None, 0.0)
    assert limit.why == "not there in 0.8 s: asked speed too low"


@pytest.mark.parametrize(
    "settings",
    [
        {
            "driver.speed": [[0, 0], [0.1, 0.1], [0.4, 0.1], [0.5, 0], [1.0, 0], [1.1, 0.1]],
            "end.when": ["stands_still"],
        },
        {"output.rate": 20000, "end.duration": 8},
    ],
    ids=["a pause that would end the run", "an output that would be too much over four times the time"],
)
def test_endings_and_output_of_the_scenario_do_not_count(settings):
    assert Climber(BASE.changed(settings), 0.1, 0.25).on(10.0).climbs


@pytest.fixture(scope="module")
def found() -> Limits:
    cases = {"ice": {"ground.grip": 10}, "never let go": {"driver.brake": [[0, 100]]}}
    return find_limit(varied(cases, ground={"grip": 30}))


def test_one_row_a_case_with_a_meaning_and_a_unit_for_every_column(found):
    table = found.table
    assert list(table.index) == ["as given", "ice", "never let go"] and table.index.name == "case"
    assert list(table.columns) == list(MEANING)
    for column in MEANING:
        if column not in WORDS:
            column_unit(column)
            assert table[column].dtype == float
    change = table["climbs_deg"] - table["climbs_deg"].iloc[0]
    pd.testing.assert_series_equal(table["climbs_change_deg"], change, check_names=False)
    assert table.loc["ice", "climbs_deg"] < math.degrees(math.atan(0.105)) + 0.1
    assert np.isnan(table.loc["never let go", "climbs_deg"]) and table.loc["never let go", "fails_deg"] == 0.0
    assert table.loc["never let go", "why"] == "does not move: the drag brake is on"
    assert list(table.loc["never let go", ["reason", "cause"]]) == ["DOES_NOT_MOVE", "BRAKE_IS_ON"]
    assert found.sound and (table["audit"] == "SOUND").all()


def test_standing_limits_count_the_ground_s_grip(found):
    """One grip whatever the load: tan th = mu, as the tyre states it times the ground's share."""
    table = found.table
    for case, share in (("as given", 0.3), ("ice", 0.1)):
        assert table.loc[case, "grip_deg"] == pytest.approx(math.degrees(math.atan(1.05 * share)), abs=1e-9)


def test_files_say_what_the_table_says(found, tmp_path):
    files = export(found, tmp_path / "out")
    assert [path.name for path in files[:3]] == ["limits.json", "limits.csv", "limits.toml"]
    back = pd.read_csv(tmp_path / "out" / "limits.csv", index_col="case")
    back = back.astype(dict.fromkeys(WORDS, object)).fillna(dict.fromkeys(WORDS, ""))
    pd.testing.assert_frame_equal(back, found.table, rtol=1e-8, check_dtype=False)
    again = load_scenario(tmp_path / "out" / "limits.toml")
    assert again.model_dump() == found.scenario.model_dump()
    assert (tmp_path / "out" / "limits.png").read_bytes().startswith(b"\x89PNG")


def test_a_run_that_breaks_its_audit_is_told(monkeypatch):
    """Every run, with its slope; and the answer is no longer sound."""

    class Broken:
        faults = ("energy is off by 1 %, bound 0.1 %",)

    monkeypatch.setattr(simulate, "audit", lambda trace: Broken())
    limits = find_limit(BASE.changed({"ground.grip": 10}))
    assert not limits.sound and not limits.decided
    (limit,) = limits.cases.values()
    assert {verdict.failure for _, verdict in limit.open_slopes} == {Failure.AUDIT_FAILED}
    assert limit.climbs_deg is None  # no run counts; what cannot even stand does
    assert limit.verdict is not None and limit.verdict.failure is Failure.CANNOT_STAND
    assert "at 5 deg energy is off" in str(limits.concerns[0])


# --- refusals ---

REFUSED = {
    "pieces": (
        varied({}, ground={"pieces": [{"length": 1000}, {"length": 500, "slope": 20}]}),
        "ground.pieces",
        "a course of 2 pieces",
        "ground.slope",
    ),
    "reverse": (
        BASE.changed({"driver.speed": [[0, 0], [1, -0.1]]}),
        "driver.speed",
        "reverses",
        "climbed forward",
    ),
    "reverse in a variant": (
        varied({"way back": {"driver.control": "torque", "driver.torque": [[0, -5]]}}),
        'variants."way back": driver.torque',
        "reverses",
        "climbed forward",
    ),
    "a case named like a variant": (
        varied({"as given": {"ground.grip": 50}}),
        "case",
        "also the name of a variant",
        "of its own",
    ),
}


@pytest.mark.parametrize(("scenario", "key", "got", "must_be"), REFUSED.values(), ids=REFUSED)
def test_what_has_no_steepest_slope_is_refused(scenario, key, got, must_be):
    with pytest.raises(InputError) as refusal:
        find_limit(scenario)
    (fault,) = refusal.value.issues
    assert fault.key == key and got in fault.got and must_be in fault.must_be


@pytest.mark.parametrize("front_up", [-0.1, math.nan])
def test_a_time_below_zero_is_refused(front_up):
    with pytest.raises(InputError, match=r"front_up: got .* 0 s or longer"):
        find_limit(BASE, front_up=front_up)


@pytest.mark.parametrize("distance", [0.0, -1.0, math.inf, math.nan])
def test_a_distance_that_is_none_is_refused(distance):
    with pytest.raises(InputError, match=r"end\.distance: got"):
        find_limit(BASE, distance)


def test_a_rig_that_cannot_be_built_is_no_slope_that_is_not_climbed():
    """The fault of the rig comes through: here, a centre of mass ahead of the front axle."""
    with pytest.raises(InputError, match=r"chassis\.cg"):
        find_limit(BASE.changed({"chassis.cg": [1500, 88]}))
