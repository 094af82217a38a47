"""What happens in a run and when: known answers from made-up series, and geometry of real runs."""

import math
from pathlib import Path
from typing import Any

import numpy as np
import pandas as pd
import pytest

import simcore
from simcore.files import Scenario
from simcore.results.moments import Differing, Happening, Moment, compared, moments
from simcore.results.stages import Why, stages
from simcore.solve.trace import Outcome

SCENARIOS = Path(__file__).parents[3] / "scenarios"
CREEP = simcore.load_scenario(SCENARIOS / "slow_creep.toml")
LEVEL = {"ground.slope": 0, "ground.grip": 100}
RADIUS, BASE = 50.0, 300.0  # mm
OUTLINE = {f"{axle}_axle": {"wheel_centre": [3.0, -4.0], "tyre_radius": RADIUS} for axle in ("rear", "front")}
STEP = 0.002
TIMES = np.arange(0.0, 8.0 + STEP / 2, STEP)


def rolling(speed: float = 100.0, height: float = RADIUS, **columns: Any) -> dict[str, Any]:
    """Series and motion of a rig whose wheel centres glide along the level, mm/s; the axles are turned by a
    right angle, so that the centre, at (3, -4) on them, lies at (+4, +3) from their middle.
    """
    n = len(TIMES)
    series = pd.DataFrame({"time_s": TIMES, "brake_pct": 0.0, "speed_m_per_s": speed / 1e3})
    motion = pd.DataFrame(index=series.index)
    for axle, ahead in (("rear", 0.0), ("front", BASE)):
        series[f"{axle}_load_N"], series[f"{axle}_slip_speed_m_per_s"] = 5.0, 0.0
        motion[f"{axle}_axle_x_mm"] = ahead + speed * TIMES - 4.0
        motion[f"{axle}_axle_z_mm"] = height - 3.0
        motion[f"{axle}_axle_turn_deg"] = 90.0
    for name, values in columns.items():
        series[name] = np.broadcast_to(values, n)
    return {"series": series, "motion": motion, "outline": OUTLINE}


def on(pieces: list[dict[str, Any]], **driver: Any) -> Scenario:
    asked = {"driver.control": "torque", "driver.torque": [[0, 0]]} | driver
    return CREEP.changed(LEVEL | {"ground.pieces": pieces} | asked)


def said(run: dict[str, Any], scenario: Scenario) -> dict[str, float]:
    found = moments(**run, scenario=scenario)
    assert [one.time_s for one in found] == sorted(one.time_s for one in found)
    assert len({one.words for one in found}) == len(found)
    return {one.words: one.time_s for one in found}


def test_a_tyre_is_at_a_ledge_when_its_round_outline_touches_the_edge() -> None:
    found = said(rolling(), on([{"length": 500}, {"ledge": 30}, {"length": 3000}]))
    ahead = math.sqrt(RADIUS**2 - (RADIUS - 30.0) ** 2)  # of the wheel's centre, when it touches
    assert found == pytest.approx(
        {"front at the ledge": (500 - BASE - ahead) / 100, "rear at the ledge": (500 - ahead) / 100}, abs=STEP
    )


def test_a_squashed_tyre_is_on_ice_as_far_as_it_is_flat() -> None:
    half = math.sqrt(RADIUS**2 - 48.0**2)  # of the flat of a tyre that is 2 mm down
    ice = [{"length": 500}, {"length": 100, "grip": 12}, {"length": 3000}]
    assert said(rolling(height=48.0), on(ice)) == pytest.approx(
        {
            "front on ice": (200 - half) / 100,
            "front off the ice": (300 + half) / 100,
            "rear on ice": (500 - half) / 100,
            "rear off the ice": (600 + half) / 100,
        },
        abs=2 * STEP,
    )
    wet = [{"length": 500, "grip": 60}, {"length": 3000}]
    assert set(said(rolling(height=48.0), on(wet))) == {"front now on full grip", "rear now on full grip"}
    codes = [(one.code, one.axle) for one in moments(**rolling(height=48.0), scenario=on(ice))]
    assert codes == [(code, axle) for axle in ("front", "rear") for code in (Moment.SLIPPERY, Moment.GRIPPY)]


@pytest.mark.parametrize(
    ("slope", "words", "ahead"),
    [(20.0, "steeper ground", RADIUS * math.tan(math.radians(10.0))), (-20.0, "crest", 0.0), (1.0, "", 0.0)],
)
def test_edges_have_names_and_slight_ones_none(slope: float, words: str, ahead: float) -> None:
    """A circle that stands on the level touches a ramp R tan(angle / 2) before its foot."""
    found = said(rolling(), on([{"length": 500}, {"length": 3000, "slope": slope}]))
    wanted = {f"{axle} at the {words}": (way - ahead) / 100 for axle, way in (("front", 200), ("rear", 500))}
    assert found == pytest.approx(wanted if words else {}, abs=2 * STEP)


def test_a_drop_and_the_bottom_of_a_descent() -> None:
    drop = said(rolling(), on([{"length": 500}, {"ledge": -30}, {"length": 3000}]))
    assert drop == pytest.approx({"front at the drop": 2.0, "rear at the drop": 5.0}, abs=2 * STEP)
    steep = math.radians(20.0)
    run = rolling()
    for axle in ("rear", "front"):  # down the slope, then along the level at its foot
        x = run["motion"][f"{axle}_axle_x_mm"] + 4.0
        height = np.maximum(-math.tan(steep) * x + RADIUS / math.cos(steep), RADIUS - 300.0 * math.sin(steep))
        run["motion"][f"{axle}_axle_z_mm"] = height - 3.001  # hardly squashed
    found = said(run, on([{"length": 300, "slope": -20}, {"length": 9000}]))
    touches = 300.0 * math.cos(steep) + RADIUS * math.tan(0.5 * steep)  # both pieces at once
    assert found["rear at the bottom"] == pytest.approx(touches / 100, abs=2 * STEP)


def test_brake_speed_and_flights() -> None:
    brake = np.where(TIMES < 1.0, 100.0, np.where(TIMES < 7.0, 0.0, 100.0))
    flies = (TIMES > 2.0) & (TIMES < 2.5)
    hop = (TIMES > 4.0) & (TIMES < 4.02)  # too short to be told
    bounce = (TIMES > 2.2) & (TIMES < 2.22)
    load = np.where((flies & ~bounce) | hop, 0.0, 5.0)
    speed = np.minimum(0.1 * TIMES, 0.5)
    run = rolling(brake_pct=brake, front_load_N=load, speed_m_per_s=speed)
    level = CREEP.changed(LEVEL | {"driver.control": "torque", "driver.torque": [[0, 0]]})
    found = {one.words: (one.code, one.axle, one.time_s) for one in moments(**run, scenario=level)}
    assert {words: time for words, (_, _, time) in found.items()} == pytest.approx(
        {
            "brake off": 1.0,
            "front in the air": 2.0,
            "front down again": 2.5,
            "top speed, 0.5 m/s": 4.9,
            "brake on": 7.0,
        },
        abs=2 * STEP,
    )
    assert found["front in the air"][:2] == (Moment.AIR, "front")
    rising = rolling(speed_m_per_s=0.1 * TIMES)
    assert said(rising, level) == {} and moments(**rising, scenario=level) == []


def test_a_held_speed_is_reached_by_the_rear_tread() -> None:
    held = CREEP.changed(LEVEL | {"driver.speed": [[0, 0], [1, 0.5]]})
    run = rolling(speed_m_per_s=np.minimum(0.1 * TIMES, 0.4), rear_slip_speed_m_per_s=0.1)
    (one,) = moments(**run, scenario=held)
    assert (one.code, one.words) == (Moment.SPEED_REACHED, "0.5 m/s reached")
    assert one.time_s == pytest.approx(3.9, abs=2 * STEP)  # 98 % of it
    slow = rolling(speed_m_per_s=0.4)
    assert moments(**slow, scenario=held) == []


@pytest.fixture(scope="module")
def over_the_ledge() -> simcore.Run:
    return simcore.simulate(simcore.load_scenario(SCENARIOS / "ledge.toml").changed({"end.distance": 650}))


def test_a_real_front_tyre_is_at_the_ledge_where_geometry_says(over_the_ledge: simcore.Run) -> None:
    run = over_the_ledge
    found = moments(run.series, run.motion, run.outline, run.scenario)
    at = {(one.code, one.axle): one.time_s for one in found}
    row = run.series[run.series["time_s"] == at[(Moment.LEDGE, "front")]].iloc[0]
    height = 59.0 - row["front_deflection_mm"]  # of its wheel's centre
    touches = 560.0 - math.sqrt(59.0**2 - (40.0 - height) ** 2)
    assert 315.0 + row["distance_mm"] == pytest.approx(touches, abs=1.0)
    assert at[(Moment.BRAKE_OFF, "")] < at[(Moment.LEDGE, "front")] < at[(Moment.LEDGE, "rear")]


def test_what_several_runs_share_and_where_they_differ() -> None:
    def brake(time: float) -> Happening:
        return Happening(time, Moment.BRAKE_OFF, "brake off")

    def top(time: float, speed: float) -> Happening:
        return Happening(time, Moment.TOP_SPEED, f"top speed, {speed} m/s")

    def ledge(time: float) -> Happening:
        return Happening(time, Moment.LEDGE, "front at the ledge", "front")

    runs = {"a": [brake(0.2), top(1.0, 2.0), ledge(2.0)], "b": [brake(0.21), top(1.5, 2.1)]}
    common, differing = compared(runs, apart=0.05)
    assert common == [brake(0.2)]
    assert differing == [
        Differing(Moment.LEDGE, "front", "front at the ledge", {"a": [2.0], "b": []}),
        Differing(Moment.TOP_SPEED, "", "top speed", {"a": [1.0], "b": [1.5]}),
    ]
    assert compared(runs, apart=0.005)[0] == []
    assert compared({"a": runs["a"]}, apart=0.0)[0] == runs["a"]


# --- the instants that tell a run ---


def series(pitch: Any, **columns: Any) -> pd.DataFrame:
    table = pd.DataFrame({"time_s": TIMES, "pitch_to_ground_deg": pitch})
    still = {
        "front_load_N": 5.0,
        "rear_load_N": 5.0,
        "distance_mm": 0.0,
        "skid_load_N": 0.0,
        "speed_m_per_s": 0.0,
    }
    return table.assign(**(still | columns))


def told(table: pd.DataFrame, outcome: Outcome = Outcome.TIME, happened: Any = ()) -> list[tuple[Any, ...]]:
    found = stages(table, outcome, happened, CREEP.visible)
    assert all(table["time_s"].iloc[one.row] == one.time_s for one in found)
    return [(one.why, pytest.approx(one.time_s, abs=0.05), one.words) for one in found]


def test_a_run_is_told_by_its_farthest_pitch() -> None:
    nose = 3.0 + 2.0 * np.exp(-(((TIMES - 3.0) / 0.5) ** 2)) - 4.0 * np.exp(-(((TIMES - 6.0) / 0.2) ** 2))
    low = (Why.PITCH, 6.0, "nose lowest")
    assert told(series(nose)) == [(Why.START, 0.0, "start"), low, (Why.END, 8.0, "end")]
    assert told(series(0.2 * np.sin(TIMES))) == [(Why.START, 0.0, "start"), (Why.END, 8.0, "end")]
    assert len(told(series(np.linspace(0.0, 5.0, len(TIMES))))) == 2  # farthest at the end itself


def test_a_run_on_a_course_is_told_by_its_first_edge_and_what_comes_of_it() -> None:
    nose = 2.0 * np.exp(-(((TIMES - 1.0) / 0.2) ** 2)) + np.exp(-(((TIMES - 6.0) / 0.2) ** 2))
    happened = [
        Happening(0.2, Moment.BRAKE_OFF, "brake off"),
        Happening(4.0, Moment.LEDGE, "front at the ledge", "front"),
        Happening(5.0, Moment.LEDGE, "rear at the ledge", "rear"),
    ]
    assert told(series(nose), happened=happened)[1:3] == [
        (Why.COURSE, 4.0, "front at the ledge"),
        (Why.PITCH, 6.0, "then nose highest"),  # it was higher on the way there
    ]
    later = [Happening(0.5, Moment.LEDGE, "front at the ledge", "front")]
    assert told(series(nose), happened=later)[2] == (Why.PITCH, 1.0, "nose highest")


def test_a_lost_run_is_told_by_where_it_was_lost() -> None:
    tips = series(np.linspace(0.0, 90.0, len(TIMES)), front_load_N=np.where(TIMES < 3.0, 5.0, 0.0))
    assert told(tips, Outcome.ROLLED_OVER)[1:] == [
        (Why.LOST, 3.0, "front lifts for good"),
        (Why.END, 8.0, "rolled over"),
    ]
    over = series(np.linspace(0.0, -90.0, len(TIMES)), rear_load_N=np.where(TIMES < 5.0, 5.0, 0.0))
    assert told(over, Outcome.ROLLED_OVER)[1] == (Why.LOST, 5.0, "rear lifts for good")
    slides = series(0.0 * TIMES, distance_mm=100.0 - (TIMES - 4.0) ** 2)
    assert told(slides, Outcome.SLID_AWAY)[1:] == [
        (Why.LOST, 4.0, "furthest point"),
        (Why.END, 8.0, "slid back"),
    ]
    hangs = series(
        0.0 * TIMES,
        skid_load_N=np.where(TIMES > 2.0, 3.0, 0.0),
        speed_m_per_s=np.where(TIMES < 7.0, 0.1, 0.001),
    )
    assert told(hangs, Outcome.HIGH_CENTRED)[1] == (Why.LOST, 7.0, "stuck on its skids")
