"""A rig in the air, in closed form.

With no tyre on the ground nothing but its weight acts on a rig: its whole centre of mass goes along a
parabola (g = 9.80665 m/s^2, ISO 80000-3) and its angular momentum about that centre stays what it was,
whatever springs, motor and brake do inside. Wheels roll forward with a nose-down spin, so the throttle raises
the nose and the brake makes it dive; the rotor turns about the long axis and takes no part. Masses and
inertias are added up here from the rig file, places are taken from the columns of the run.
"""

from functools import cache
from pathlib import Path
from typing import NamedTuple

import numpy as np
import pytest
from bodies import GRAVITY, SIDES, motions, per_second
from scipy.integrate import cumulative_trapezoid

import simcore

SCENARIO = simcore.load_scenario(Path(__file__).parents[2] / "scenarios" / "slow_creep.toml")
ACT = 0.55  # s, when the driver does something, in the air
JUMP = {
    "ground.slope": 0,
    "ground.pieces": [{"length": 900}, {"ledge": -500}, {"length": 4000}],
    "skids": [],
    "driveline.ratio": 20,
    "driver.control": "throttle",
    "driver.release": 0.0,
    "driver.brake": [[0, 0]],
    "end.duration": 0.75,
    "output.rate": 4000,
    "solver.relative": 1e-9,
    "solver.absolute": 1e-9,
}
STEADY = [[0, 0], [0.1, 70]]
DRIVERS = {
    "throttle held": {"driver.throttle": STEADY},
    "throttle hit": {"driver.throttle": [*STEADY, [ACT, 70], [ACT + 0.01, 100]]},
    "brake put on": {
        "driver.throttle": [*STEADY, [ACT, 70], [ACT + 0.01, 0]],
        "driver.brake": [[ACT, 0], [ACT + 0.01, 100]],
    },
}


class Flight(NamedTuple):
    """Rows with no tyre on the ground; (n,) and SI unless said.

    centre (n, 2) : of the whole rig
    turning, wheels : angular momentum of the bodies about it, and of the wheels' spin, nose-up
    inertia : pitch inertia of the whole about it
    rotor : what its spin would be, if it counted
    """

    time: np.ndarray
    centre: np.ndarray
    turning: np.ndarray
    wheels: np.ndarray
    inertia: np.ndarray
    pitch: np.ndarray
    rotor: np.ndarray


@cache
def flight(driver):
    """Rows of a run in which no tyre carries anything, and what moves in them.

    Returns
    -------
    Flight
    """
    run = simcore.simulate(SCENARIO.changed(JUMP | DRIVERS[driver]))
    assert run.sound
    loads = run.series[[f"{side}_load_N" for side in SIDES]].sum(axis=1).to_numpy()
    after = np.flatnonzero(loads > 0.0)
    first = after[np.argmax(np.diff(after))] + 1  # the longest gap between two loaded rows
    last = first + np.diff(after).max() - 1
    series = run.series.iloc[first:last].reset_index(drop=True)
    assert (loads[first:last] == 0.0).all()
    return _momentum(run.scenario.rig, series)


def _momentum(rig, series):
    found, _ = motions(rig, series)
    masses = np.array([motion.body.mass for motion in found])
    centre, drift = (
        sum(mass * values for mass, values in zip(masses, part, strict=True)) / masses.sum()
        for part in ([m.place for m in found], [m.velocity for m in found])
    )
    turning, inertia = 0.0, 0.0
    for motion in found:
        arm, rate = motion.place - centre, motion.velocity - drift
        own = motion.body.inertia
        turning = turning + motion.body.mass * (arm[:, 0] * rate[:, 1] - arm[:, 1] * rate[:, 0])
        turning = turning + own * motion.spin
        inertia = inertia + own + motion.body.mass * np.sum(arm**2, axis=1)
    wheels = sum(
        -2.0 * getattr(rig, side).tyre.spin_inertia * per_second(series, f"{side}_wheel_speed_rpm")
        for side in SIDES
    )
    rotor = rig.motor.rotor_inertia * per_second(series, "motor_speed_rpm")
    time, pitch = series["time_s"].to_numpy(), found[0].turn
    return Flight(time, centre, turning, wheels, inertia, pitch, rotor)


@pytest.mark.parametrize("driver", DRIVERS)
def test_the_whole_centre_of_mass_follows_a_parabola(driver):
    """Start and speed are fitted, the fall is not; nothing slows it down."""
    seen = flight(driver)
    time = seen.time - seen.time[0]
    assert time[-1] > 0.2
    line = np.stack([np.ones_like(time), time], axis=1)
    level, free = seen.centre[:, 0], seen.centre[:, 1] + 0.5 * GRAVITY * time**2
    for values in (level, free):
        fitted = line @ np.linalg.lstsq(line, values, rcond=None)[0]
        np.testing.assert_allclose(values, fitted, rtol=0.0, atol=1e-9)
    np.testing.assert_allclose(-2.0 * np.polyfit(time, seen.centre[:, 1], 2)[0], GRAVITY, rtol=1e-7)


@pytest.mark.parametrize("driver", DRIVERS)
def test_angular_momentum_stays_whatever_the_driver_does(driver):
    """Bound: a two-thousandth of what the wheels exchange with the bodies; rates are differences."""
    seen = flight(driver)
    exchanged = np.ptp(seen.wheels)
    total = (seen.turning + seen.wheels)[2:-2]
    np.testing.assert_allclose(total, total.mean(), rtol=0.0, atol=5e-4 * exchanged)


@pytest.mark.parametrize("driver", DRIVERS)
@pytest.mark.parametrize("sense", [1.0, -1.0])
def test_with_the_rotor_counted_in_it_would_not_stay(driver, sense):
    """So that the test above can tell: the rotor turns about the long axis, in no sense nose-up."""
    seen = flight(driver)
    assert np.ptp((seen.turning + seen.wheels + sense * seen.rotor)[2:-2]) > 1e-2 * np.ptp(seen.wheels)


@pytest.mark.parametrize("driver", DRIVERS)
def test_the_rig_turns_by_what_momentum_and_inertia_say(driver):
    """A rig as rigid as it is at every instant; what bodies move against one another makes 0.02 degrees."""
    seen = flight(driver)
    rate = (seen.turning[0] + seen.wheels[0] - seen.wheels) / seen.inertia
    turned = np.degrees(cumulative_trapezoid(rate, seen.time, initial=0.0))
    assert abs(turned[-1]) > 30.0
    np.testing.assert_allclose(np.degrees(seen.pitch - seen.pitch[0]), turned, rtol=0.0, atol=0.1)


@pytest.mark.parametrize(("driver", "sense"), [("throttle hit", 1.0), ("brake put on", -1.0)])
def test_the_nose_turns_by_what_the_wheels_take(driver, sense):
    """Against the flight with the throttle held: what their spin takes, over the rig's inertia."""
    seen, held = flight(driver), flight("throttle held")
    both = min(len(seen.time), len(held.time))
    np.testing.assert_array_equal(seen.time[:both], held.time[:both])
    taken = held.wheels[:both] - seen.wheels[:both]
    wanted = np.degrees(cumulative_trapezoid(taken / held.inertia[0], held.time[:both], initial=0.0))
    gained = np.degrees(seen.pitch[:both] - held.pitch[:both])
    assert sense * wanted[-1] > 5.0
    np.testing.assert_allclose(gained, wanted, rtol=0.0, atol=0.05)
    before = held.time[:both] < ACT
    np.testing.assert_allclose(gained[before], 0.0, rtol=0.0, atol=1e-6)
