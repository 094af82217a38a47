"""Rule of thumb: a light sprung mass squats less. Does it, and by what?

Common practice, no source. The witness is the statics of the rear axle about the instant centre of its links
(distance d and height e from the contact, axle mass m at height r over it, whole mass M at height h):
the shocks of a rear-driven rig carry M a h/L - [M a e - m a (e - r)]/d. Mass that goes from the body into the
axle adds to it where the instant centre lies above the axle, and takes off it where it lies below.
"""

import functools
from itertools import pairwise
from pathlib import Path
from typing import Any

import numpy as np
import pytest

import simcore
from simcore.files import Scenario
from simcore.rig.masses import StaticPose
from simcore.rig.model import build
from simcore.studies.simulate import Run

LAUNCH = Path(__file__).parents[2] / "scenarios" / "punchy_launch.toml"
SHARES = (0.25, 0.40, 0.60)  # of the mass that the shocks carry
WHOLE, LENGTH = 2002.0, 315.0  # g, mm: the shipped rig
CENTRE = (178.3, 68.9)  # mm
CHASSIS_HEIGHT = 89.0  # mm, of all that is sprung
SOFT, FIRM = (0.07, 0.10), (5.0, 5.0)  # N/mm, rear and front; soft ones are those of the rig
RAMP = [[0, 0], [0.2, 26]]
# heights of the chassis pins, lower and upper, mm: the links meet 85 mm high and 600 mm ahead, or 28 and 200
HIGH, LOW = (53.0, 85.8), (35.9, 58.7)


def both(key: str, value: Any) -> dict[str, Any]:
    return {f"{end}.{key}": value for end in ("rear", "front")}


BASE = both("shock.friction", {"breakaway": 0}) | both("shock.damper", {"compression": 8, "rebound": 8})
BASE |= both("tyre.rolling_resistance", 0) | both("tyre.spin_inertia", 1) | both("shaft.friction", 0)
BASE |= {"ground.slope": 0, "driveline.drive": "rear", "driver.torque": RAMP, "end.duration": 0.7}
BASE |= {
    "rear.tyre.wheel_mass": 80,
    "front.tyre.wheel_mass": 80,
    "motor.voltage": 30,
    "motor.rotor_inertia": 1,
}
BASE |= {"parts": [{"name": "battery", "mass": 60, "at": [226, 84]}]}


def bench_of(scenario: Scenario) -> StaticPose:
    return build(scenario).bench


@functools.cache
def rig(
    share: float, pins: tuple[float, float], at_same_centre: bool = True, rates: tuple[float, float] = SOFT
) -> Scenario:
    """The rig with mass moved between chassis and housings. The whole mass stays, and either its centre or
    the height of the sprung mass.
    """
    links = {"rear.lower_link.chassis": [118, pins[0]], "rear.upper_link.chassis": [92, pins[1]]}
    stiff = both("tyre.stiffness", 20) if rates == FIRM else {}
    settings = BASE | links | stiff
    settings |= {"rear.shock.springs.0.rate": rates[0], "front.shock.springs.0.rate": rates[1]}
    masses = {"chassis.mass": 300.0, "rear.housing.mass": 300.0, "front.housing.mass": 300.0}
    cg = np.array([178.0, 88.0])
    launch = simcore.load_scenario(LAUNCH)
    for _ in range(8):
        scenario = launch.changed(settings | masses | {"chassis.cg": [float(x) for x in cg]})
        bench = bench_of(scenario)
        sprung, unsprung = 1e3 * bench.chassis.mass, 1e3 * (bench.axles[0].mass + bench.axles[1].mass)
        masses["chassis.mass"] += share * WHOLE - sprung
        for end, part in (("rear", 0.45), ("front", 0.55)):
            masses[f"{end}.housing.mass"] += part * ((1.0 - share) * WHOLE - unsprung)
        off = np.array([CENTRE[0] - 1e3 * bench.whole.x, CENTRE[1] - 1e3 * bench.whole.z]) * WHOLE / sprung
        if not at_same_centre:
            off[1] = CHASSIS_HEIGHT - 1e3 * bench.chassis.z
        cg += 0.9 * off
    return scenario


@functools.cache
def launch(
    share: float, pins: tuple[float, float], at_same_centre: bool = True, rates: tuple[float, float] = SOFT
) -> tuple[Run, float]:
    """The run, and by how much the rear squats in its steady part, mm."""
    run = simcore.simulate(rig(share, pins, at_same_centre, rates))
    assert run.sound, run.audit.faults
    travel = run.series["rear_travel_mm"]
    return run, float(travel[run.series["time_s"] > 0.6].mean() - travel[0])


def statics(scenario: Scenario, gain: float) -> float:
    """What the rear shocks carry of the load that moves back, N at the tyres."""
    bench = bench_of(scenario)
    rig_ = scenario.rig
    lines = []
    for link in (rig_.rear.lower_link, rig_.rear.upper_link):
        (x0, z0), (x1, z1) = link.axle, link.chassis
        lines.append((z0 - z1, x1 - x0, (z0 - z1) * x0 + (x1 - x0) * z0))
    a, b, c = (np.array(column) for column in zip(*lines, strict=True))
    d, e = np.linalg.solve(np.column_stack([a, b]), c)
    axle, whole = bench.axles[0], bench.whole
    moved = whole.mass * gain * whole.z * 1e3 / LENGTH
    return float(moved - (whole.mass * gain * e - axle.mass * gain * (e - axle.z)) / d)


@pytest.mark.parametrize("at_same_centre", [True, False])
def test_the_rigs_differ_in_nothing_else(at_same_centre: bool) -> None:
    """Rule (common practice, no source): compare like with like: same mass, same centre."""
    for share in SHARES:
        bench = bench_of(rig(share, HIGH, at_same_centre))
        assert bench.whole.mass == pytest.approx(WHOLE * 1e-3, rel=1e-3)
        assert bench.chassis.mass / bench.whole.mass == pytest.approx(share, abs=2e-3)
        assert bench.whole.x == pytest.approx(CENTRE[0] * 1e-3, abs=2e-4)
        if at_same_centre:
            assert bench.whole.z == pytest.approx(CENTRE[1] * 1e-3, abs=2e-4)
        else:
            assert bench.chassis.z == pytest.approx(CHASSIS_HEIGHT * 1e-3, abs=2e-4)


def test_at_the_same_centre_of_mass_the_height_of_the_instant_centre_decides() -> None:
    """Rule (common practice, no source): a light sprung mass squats less at the same acceleration.

    Conditional at the same mass, centre of mass, springs and links: the load that moves back is the same.
    Links that meet above the axle do not carry the inertia of a heavier one: the light body squats more.
    Links that meet below it carry more than that: it squats less.
    """
    for pins, sign in ((HIGH, 1.0), (LOW, -1.0)):
        runs = [launch(share, pins) for share in SHARES]
        squats = [squat for _, squat in runs]
        speeds = [float(run.series["speed_m_per_s"].iloc[-1]) for run, _ in runs]
        np.testing.assert_allclose(speeds, speeds[0], rtol=0.02)
        assert min(squats) > 0.5
        assert all(sign * (light - heavy) > 0.1 for light, heavy in pairwise(squats))


@pytest.mark.parametrize("at_same_centre", [True, False])
@pytest.mark.parametrize("pins", [HIGH, LOW])
def test_what_the_shocks_carry_is_as_the_statics_say(pins: tuple[float, float], at_same_centre: bool) -> None:
    """Rule (common practice, no source): axle mass takes no part in squat. Fails: it does, by m a (e - r)/d.

    On firm springs and tyres, which keep the stance of the bench, within 0.05 N of 0.6 to 1 N.
    """
    for share in SHARES:
        run, _ = launch(share, pins, at_same_centre, FIRM)
        late = run.series[run.series["time_s"] > 0.6]
        gain = np.polyfit(late["time_s"], late["speed_m_per_s"], 1)[0]
        assert gain > 2.0
        wanted = statics(rig(share, pins, at_same_centre, FIRM), gain)
        carried = float(late["rear_spring_share_N"].mean() - run.series["rear_spring_share_N"].iloc[0])
        assert carried == pytest.approx(wanted, abs=0.05)


def test_with_the_sprung_mass_at_the_same_height_light_squats_less() -> None:
    """Rule (common practice, no source): a light sprung mass squats less at the same acceleration.

    Holds when the mass goes down into the axles, as in practice: then the centre of mass of the whole rig is
    lower, and less load moves back.
    """
    for pins in (HIGH, LOW):
        squats = [launch(share, pins, at_same_centre=False)[1] for share in SHARES]
        assert all(light < heavy - 0.2 for light, heavy in pairwise(squats))


def test_springs_chosen_for_the_light_mass_take_the_gain_back() -> None:
    """Rule (common practice, no source): a light sprung mass squats less; fails with springs to match.

    Springs as soft as the sprung mass is light, for the same sag, squat more.
    """
    light, heavy = SHARES[0], SHARES[-1]
    softer = (SOFT[0] * light / heavy, SOFT[1] * light / heavy)
    assert launch(light, HIGH, False, softer)[1] > launch(heavy, HIGH, False)[1] + 1.0
