"""Does a rear-driven rig with the right links stay level at the rear when it accelerates, however hard?

The trade draws a line from the rear contact to the height of the centre of mass over the front contact;
where the links' instant centre lies on it ("100 % anti-squat") the rear is said to stay level. That leaves
the mass of the axle out. Planar statics of the axle about the instant centre (distance d, height e, spring
upright over the axle centre, axle mass m at the height of the wheel centre r, whole mass M, its centre at
height h):

    dS d = M a h d/L - [M a e - m a (e - r)],

dS the change of the spring's force. The same condition dS = 0 is known as the line which begins m r/(M - m)
below the contact and ends over the front contact at the height of the centre of mass of all but the axle.
"""

import functools
from typing import Any

import numpy as np
import pytest
from scipy.optimize import brentq

from simcore import simulate
from simcore.files import scenario_of

SPAN, RADIUS = 320.0, 60.0  # mm
BODY, AXLE = 1.6, 0.5  # kg, sprung and each axle with its wheels
WHOLE = BODY + 2 * AXLE
BODY_PLACE = 180.0, 95.0  # mm
CG_HEIGHT = (BODY * BODY_PLACE[1] + 2 * AXLE * RADIUS) / WHOLE
LOWER, TOP = ((10.0, 50.0), (125.0, 70.0)), (95.0, 92.0)  # mm: lower link, chassis pin of the upper one
AXLE_PIN_X = -5.0
PULLS = (1.0, 2.0, 3.0)  # m/s^2
RATES = (1.0, 4.0)  # N/mm for both shocks of an axle


def instant_centre(mount: float) -> np.ndarray:
    """Where the lines of both rear links meet, mm from the contact, by the height of the upper axle pin."""
    lines = []
    for (x0, z0), (x1, z1) in (LOWER, ((AXLE_PIN_X, mount), TOP)):
        lines.append((z0 - z1, x1 - x0, (z0 - z1) * x0 + (x1 - x0) * z0))
    a, b, c = (np.array(column) for column in zip(*lines, strict=True))
    return np.linalg.solve(np.column_stack([a, b]), c)


def spring_change(mount: float, a: float) -> float:
    """By how much the rear springs push harder at an acceleration, N."""
    d, e = instant_centre(mount)
    return a * (WHOLE * CG_HEIGHT / SPAN - (WHOLE * e - AXLE * (e - RADIUS)) / d)


def textbook(mount: float) -> float:
    """Anti-squat as a share of 1, axle mass left out."""
    d, e = instant_centre(mount)
    return (e / d) / (CG_HEIGHT / SPAN)


LEVEL = brentq(lambda mount: spring_change(mount, 1.0), 76.0, 90.0, xtol=1e-9)
HUNDRED = brentq(lambda mount: textbook(mount) - 1.0, 76.0, 90.0, xtol=1e-9)


def axle(turned: float, mount: float, rate: float) -> dict[str, Any]:
    """Rear axle, or its mirror image about the middle of the rig."""

    def at(x: float, z: float) -> list[float]:
        return [SPAN / 2 + turned * (x - SPAN / 2), z]

    return {
        "housing": {"mass": 500 * AXLE, "pitch_inertia": 100},
        "lower_link": {"axle": at(*LOWER[0]), "chassis": at(*LOWER[1])},
        "upper_link": {"axle": at(AXLE_PIN_X, mount), "chassis": at(*TOP)},
        "shock": {
            "chassis": at(0, RADIUS + 110),
            "axle": at(0, RADIUS),
            "extended_length": 125,
            "stroke": 30,
            "springs": [{"rate": rate / 2, "hold_ride_height": True}],
            "damper": {"compression": 15, "rebound": 15},
            "friction": {"breakaway": 0.001},
        },
        "tyre": {
            "radius": RADIUS,
            "stiffness": 1000,
            "damping": 100,
            "wheel_mass": 250 * AXLE,
            "spin_inertia": 0.01,
            "peak_grip": 1.5,
            "sliding_grip": 1.5,
            "slip_stiffness": 20,
            "rolling_resistance": 0,
        },
    }


def rig(mount: float, rate: float) -> dict[str, Any]:
    return {
        "name": "level",
        "wheelbase": SPAN,
        "chassis": {"mass": 1000 * BODY, "cg": BODY_PLACE, "pitch_inertia": 6000},
        "rear": axle(1.0, mount, rate),
        "front": axle(-1.0, 86.0, rate),
        "driveline": {"drive": "rear", "ratio": 1, "efficiency": 100, "rear_stiffness": 50, "damping": 0.1},
        "motor": {
            "kv": 100,
            "voltage": 60,
            "resistance": 1,
            "no_load_current": 0,
            "current_limit": 500,
            "rotor_inertia": 0.1,
            "brake_torque": 1000,
        },
    }


@functools.cache
def squat(mount: float, a: float, rate: float) -> np.ndarray:
    """How far the rear compresses against the standing rig over the steady part of a run, mm."""
    torque = 1000 * WHOLE * a * RADIUS * 1e-3  # N*mm at the wheels
    raw = {
        "title": "Does the rear stay level?",
        "rig": rig(mount, rate),
        "driver": {"control": "torque", "torque": [[0, 0], [0.2, torque]], "release": 0.02},
        "end": {"duration": 0.9},
        "output": {"rate": 100},
    }
    run = simulate(scenario_of(raw, "level.toml"))
    assert run.sound, run.audit.faults
    series = run.series
    late = series["time_s"] > 0.7
    speed = series.loc[late, "speed_m_per_s"]
    gained = np.polyfit(series.loc[late, "time_s"], speed, 1)[0]
    assert gained == pytest.approx(a, rel=0.005)
    assert series.loc[late, "front_travel_mm"].max() < series["front_travel_mm"].iloc[0] - 0.1 * a
    return (series.loc[late, "rear_travel_mm"] - series["rear_travel_mm"].iloc[0]).to_numpy()


def test_both_forms_of_the_condition_agree() -> None:
    """On the line of all but the axle: e = d (h' + x)/L - x with x = m r/(M - m)."""
    d, e = instant_centre(LEVEL)
    rest = WHOLE - AXLE
    height, below = (WHOLE * CG_HEIGHT - AXLE * RADIUS) / rest, AXLE * RADIUS / rest
    assert e == pytest.approx(d * (height + below) / SPAN - below, rel=1e-9)


def slack(rate: float) -> float:
    """By which share a prediction on paper may be off: it takes no account of what changes as the rig moves.
    A spring that carries 8 N on links of 0.1 m counts as 0.08 N/mm more of its rate, and the front rises by
    1/rate; both fade as 1/rate. A per cent is left for what tyres and seals take.
    """
    return 0.15 / rate + 0.01


@pytest.mark.parametrize("a", PULLS)
def test_at_the_level_condition_the_rear_stays_level(a: float) -> None:
    """What is left is the change of geometry while the front rises, 4 mm at the most: far below 0.1 mm, and
    sixteen times less with springs four times as hard.
    """
    assert np.max(np.abs(squat(LEVEL, a, 1.0))) < 0.04
    assert np.max(np.abs(squat(LEVEL, a, 4.0))) < 0.04 / 16


@pytest.mark.parametrize("rate", RATES)
@pytest.mark.parametrize(("lower", "sign"), [(5.0, 1.0), (-5.0, -1.0)])
def test_a_mount_below_squats_and_one_above_jacks(lower: float, sign: float, rate: float) -> None:
    """In proportion to the acceleration, by what the statics say: the spring's force over its rate."""
    mount = LEVEL - lower
    moved = [sign * float(np.mean(squat(mount, a, rate))) for a in PULLS]
    predicted = [sign * spring_change(mount, a) / rate for a in PULLS]
    assert 0.1 / rate < moved[0] < moved[1] < moved[2]
    np.testing.assert_allclose(moved, predicted, rtol=slack(rate))


@pytest.mark.parametrize("rate", RATES)
@pytest.mark.parametrize("a", PULLS)
def test_at_textbook_hundred_percent_it_does_not_stay_level(a: float, rate: float) -> None:
    """The links do not carry the axle's own inertia, m a (e - r) about an instant centre above the hub: it
    squats, and the level condition lies above the textbook's hundred per cent.
    """
    d, e = instant_centre(HUNDRED)
    moved = float(np.mean(squat(HUNDRED, a, rate)))
    assert moved == pytest.approx(AXLE * a * (e - RADIUS) / d / rate, rel=slack(rate))
    assert textbook(LEVEL) - 1.0 == pytest.approx(
        AXLE * (1.0 - RADIUS / instant_centre(LEVEL)[1]) / WHOLE * textbook(LEVEL), rel=1e-9
    )
