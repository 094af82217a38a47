"""Is the steepest slope that the search finds the one that the books give?

Closed forms for a rigid rig at constant speed: R. N. Jazar, Vehicle Dynamics: Theory and Application
(Springer 2008). All-wheel drive slips at tan th = mu, rear drive at tan th = mu a1/(L - mu h), front drive at
tan th = mu a2/(L + mu h) (eq 2.68, 2.86); the front lifts where ax + g sin th = g cos th a2/h (exercises 46
and 48, and his loads on a grade, eq 2.121-2.130). A motor at the end of its torque holds
M g sin th = torque * ratio * efficiency / R.
"""

import math
import tomllib
from itertools import pairwise
from pathlib import Path
from runpy import run_path
from typing import Any

import pytest

import simcore
from simcore.accounts.verdict import Cause, Failure
from simcore.files import Scenario, scenario_of
from simcore.studies.limit import Limit, find_limit

RIGS = run_path(str(Path(__file__).parents[1] / "external" / "rigs.py"))
GRAVITY = RIGS["GRAVITY"]
BASE = simcore.load_scenario(Path(__file__).parents[2] / "scenarios" / "slow_creep.toml")
CREEP = [[0, 0], [1, 0.05]]  # rows [s, m/s]
# 1.5 m/s^2, coming on over half a second: a jerk would throw the nose up by itself
BRISK = [[t / 20, 1.5 * (t / 20) ** 2] for t in range(11)] + [[1.3, 1.575]]
BACK = {"wheelbase": 225, "cg": (100.5, 173)}  # mm
LOW = {"wheelbase": 267.5, "cg": (180, 47.5)}
WITHIN = 0.1  # deg beyond the bracket, which is 0.1 deg wide itself: springs and tyres give a little


def firm_rig(wheelbase: float, cg: tuple[float, float], **tyre: float) -> dict[str, Any]:
    """2 kg on hard damped springs and tyres; the shocks are almost extended, so the rig tips as one piece."""
    rig = RIGS["textbook_rig"](
        wheelbase,
        cg,
        2000,
        16000,
        rates=(50.0, 50.0),
        unsprung=200.0,
        link=300.0,
        stiffness=50.0,
        damping=100.0,
        **tyre,
    )
    for end in ("rear", "front"):
        rig[end]["shock"] |= {"extended_length": 200.2, "damper": {"compression": 100, "rebound": 100}}
    return rig


def varied(variants: dict[str, dict[str, Any]]) -> Scenario:
    """The slow creep with variants."""
    return scenario_of(tomllib.loads(BASE.to_toml()) | {"variants": variants}, "varied.toml")


def limit_of(rig: dict[str, Any], speed: list[list[float]] = CREEP, distance: float = 60.0) -> Limit:
    driver = {"control": "speed", "speed": speed}
    scenario = RIGS["scenario"](rig, driver, end={"duration": 5, "distance": distance})
    (limit,) = find_limit(scenario).cases.values()
    assert limit.unsound == ()
    assert 0.0 < limit.fails_deg - limit.climbs_deg <= 0.1
    return limit


def agrees(limit: Limit, slope: float) -> bool:
    """Whether the bracket holds the slope (rad), or misses it by little."""
    return limit.climbs_deg - WITHIN <= math.degrees(slope) <= limit.fails_deg + WITHIN


@pytest.mark.parametrize(
    ("speed", "gain", "distance"),
    [(CREEP, 0.05, 60), (BRISK, 1.5, 600)],
    ids=["creeping", "brisk"],
)
def test_on_high_grip_it_ends_where_the_front_lifts(speed, gain, distance):
    """With ax + g sin th = g cos th a2/h and tan tip = a2/h: sin(tip - th) = ax/g cos tip."""
    limit = limit_of(firm_rig(**BACK), speed, distance)
    tip = math.atan(100.5 / 173)
    assert limit.standing["tip_back_deg"] == pytest.approx(math.degrees(tip), abs=0.01)
    assert agrees(limit, tip - math.asin(gain / GRAVITY * math.cos(tip)))
    assert limit.verdict.failure is Failure.FRONT_IN_THE_AIR


@pytest.mark.parametrize(
    ("drive", "tangent"),
    [("all", 0.5), ("rear", 7 / 39), ("front", 72 / 233)],
)
def test_on_low_grip_it_ends_where_the_driven_tyres_slip(drive, tangent):
    """Published: grip 0.5, 0.875 m + 1.8 m, 0.475 m high gives 26.57, 10.18 and 17.17 deg; scaled by 1/10."""
    rig = firm_rig(**LOW, peak_grip=0.5, sliding_grip=0.5)
    rig["driveline"]["drive"] = drive
    limit = limit_of(rig)
    assert agrees(limit, math.atan(tangent))
    assert limit.standing["grip_deg"] == pytest.approx(math.degrees(math.atan(tangent)), abs=0.02)
    slips = {Failure.SLIDES_BACK, Failure.SLIDES_BACK_SPINNING, Failure.SPINS, Failure.SPINS_AND_CREEPS}
    assert limit.verdict.failure in slips or limit.verdict.cause is Cause.SLIDES


def test_a_weak_motor_ends_where_its_torque_is_used_up():
    rig = firm_rig(**LOW)
    rig["driveline"]["efficiency"] = 80
    rig["motor"]["current_limit"] = 2.0
    torque = 60 / (2 * math.pi * 1000) * 2.0  # N*m: 1000 rpm/V, 2 A
    limit = limit_of(rig)
    assert agrees(limit, math.asin(torque * 20 * 0.8 / 0.05 / (2.0 * GRAVITY)))
    assert limit.verdict.cause is Cause.MOTOR_TOO_WEAK


@pytest.fixture(scope="module")
def on_less_and_less_grip() -> dict[str, Limit]:
    return find_limit(varied({f"grip {share} %": {"ground.grip": share} for share in (45, 8)})).cases


def test_less_grip_never_climbs_steeper(on_less_and_less_grip):
    limits = on_less_and_less_grip
    assert list(limits) == ["as given", "grip 45 %", "grip 8 %"]
    for more, less in pairwise(limits.values()):
        assert less.climbs_deg < more.climbs_deg  # so much less that it must show


def test_the_answer_really_lies_between_a_run_that_climbs_and_one_that_does_not(on_less_and_less_grip):
    """Both ends run once more, from the front door."""
    limit = on_less_and_less_grip["as given"]
    assert 0.0 < limit.fails_deg - limit.climbs_deg <= 0.1
    ends = {"end.distance": BASE.rig.wheelbase * 1e3, "end.duration": 16}
    up = simcore.simulate(BASE.changed(ends | {"ground.slope": limit.climbs_deg}))
    assert up.summary["ended"] == "DISTANCE"
    assert up.summary["distance_mm"] == pytest.approx(BASE.rig.wheelbase * 1e3, rel=1e-6)
    assert up.summary["front_off_ground_s"] == 0.0
    down = simcore.simulate(BASE.changed(ends | {"ground.slope": limit.fails_deg}))
    assert down.summary["ended"] == "SLID_AWAY"
    assert limit.verdict.failure in (Failure.SLIDES_BACK, Failure.SLIDES_BACK_SPINNING)
