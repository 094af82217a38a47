"""Rules of thumb about grip and wheelies: what torque does to the front, and where tyres or ice end it.

Common practice, no source. The witness is the balance of moments about the rear contact, written here from
places and accelerations of the bodies: the front lifts where what thrust and spin-up of the wheels turn
nose-up has used up what the weight turns nose-down; for a rig that only moves along, at ax = g x/h.
"""

from itertools import pairwise
from pathlib import Path
from typing import Any

import numpy as np
import pytest

import simcore
from simcore.standing.at_rest import standing_scenario
from simcore.standing.stand import stand
from simcore.standing.table import table_of
from simcore.studies.simulate import Run

SCENARIOS = Path(__file__).parents[2] / "scenarios"
RIGS = ("gully", "fell")
GRAVITY = 9.80665


def both(key: str, value: Any) -> dict[str, Any]:
    return {f"{end}.{key}": value for end in ("rear", "front")}


def punch(torque: float, ramp: float, settings: dict[str, Any], rig: str = "gully") -> Run:
    """On the level, the torque rising straight over the ramp and staying."""
    base = {"rig": str(SCENARIOS / "rigs" / f"{rig}.toml"), "ground.slope": 0}
    base |= {"driver.torque": [[0, 0], [ramp, torque]]}
    scenario = simcore.load_scenario(SCENARIOS / "punchy_launch.toml").changed(base | settings)
    done = simcore.simulate(scenario)
    assert done.sound, done.audit.faults
    return done


STRONG = {"motor.voltage": 60, "motor.current_limit": 500, "motor.resistance": 20}
GRIPPY = both("tyre.peak_grip", 3) | both("tyre.sliding_grip", 3) | both("tyre.slip_stiffness", 12)
QUICK = {"motor.rotor_inertia": 1}  # the motor's own inertia keeps none of the torque


# --- spinning tyres and ice ---
@pytest.mark.parametrize("name", RIGS)
def test_spinning_tyres_cap_the_support(name: str) -> None:
    """Rule (common practice, no source): once the tyres spin, more torque brings no more support.

    Holds: thrust is at most peak grip times load, support at most that times the slope of the path.
    """
    grip, peak = 30.0, {"gully": 1.05, "fell": 1.0}[name]
    most, spun = [], []
    for torque in (150, 300):
        table = punch(torque, 0.06, {"ground.grip": grip, "end.duration": 0.6}, name).series
        cap = 1.06 * grip / 100 * peak * table["rear_load_N"]  # creeping tyres hold a little above the peak
        assert (table["rear_thrust_N"] <= cap).all()
        tangent = np.tan(np.radians(table["rear_path_slope_deg"]))
        assert (tangent > 0.1).all() and (table["rear_support_N"] <= cap * tangent).all()
        spun.append(table["rear_slip_pct"].max())
        most.append((table["rear_support_N"] / table["rear_load_N"]).max())
    assert min(spun) > 50.0
    assert most[1] == pytest.approx(most[0], rel=0.05)


@pytest.mark.parametrize("name", RIGS)
def test_on_ice_there_is_nearly_no_support(name: str) -> None:
    """Rule (common practice, no source): on ice nothing is supported. Holds: it falls with the grip."""
    found = {}
    for grip in (100, 10, 3):
        table = punch(150, 0.06, {"ground.grip": grip, "end.duration": 0.6}, name).series
        found[grip] = table["rear_support_N"].max() / table["rear_load_N"].iloc[0]
    assert found[3] < 0.03 < 0.1 < found[100]
    assert found[100] > 5.0 * found[10] > 10.0 * found[3]


@pytest.mark.parametrize("grip", [10, 3])
@pytest.mark.parametrize("name", RIGS)
def test_the_shipped_motor_cannot_lift_the_front_on_ice(name: str, grip: float) -> None:
    """Rule (common practice, no source): a rig cannot wheelie on ice, whatever the torque.

    Holds for the motor that it has, at all the torque it gives. Spinning steadily the front keeps all but
    grip * h/L of the weight; while the wheels spin up, their moment takes more than the ice does.
    """
    done = punch(1000, 0.001, {"ground.grip": grip, "end.duration": 1.0}, name)
    table, bench = done.series, done.trace.model.bench
    assert table["rear_slip_pct"].max() > 90.0
    assert table["front_load_N"].min() > 0.15 * table["front_load_N"].iloc[0]
    weight, wheelbase = bench.whole.mass * GRAVITY, bench.centres[1][0] - bench.centres[0][0]
    steady = bench.loads[1] - 1.06 * 1.05 * grip / 100 * weight * bench.whole.z / wheelbase
    calm = table.loc[table["time_s"] > 0.8, "front_load_N"]
    assert calm.min() > steady - 0.02 * weight
    assert table["front_load_N"].min() < steady - 0.05 * weight


def test_wheels_that_spin_up_fast_enough_lift_the_front_even_on_ice() -> None:
    """Rule (common practice, no source): no wheelie on ice whatever the torque; fails for a monstrous motor.

    Grip is not needed: the torque that spins the wheels up turns the rig nose-up. It must be worth the
    front's load times the wheelbase, and lasts only until the wheels have their speed.
    """
    done = punch(1000, 0.06, STRONG | {"ground.grip": 3, "end.duration": 1.0})
    trace, bench = done.trace, done.trace.model.bench
    up = np.flatnonzero(done.series["front_load_N"] < 1e-9)
    assert len(up) > 0 and done.summary["front_off_ground_s"] < 0.3
    spin_up = sum(
        trace.model.rig.axle[i].spin_inertia * trace.rows(trace.output).part(i, "spin_acceleration")
        for i in range(2)
    )
    holds = bench.loads[1] * (bench.centres[1][0] - bench.centres[0][0])
    assert np.max(spin_up[: up[0] + 1]) > holds
    assert np.max(np.abs(done.series["rear_thrust_N"])) * bench.whole.z < 0.1 * holds
    assert done.series["front_load_N"].iloc[-1] > 0.8 * bench.loads[1]


# --- wheelie and flip ---
@pytest.mark.parametrize("overdrive", [0, 25])
def test_lasting_torque_only_unloads_the_front(overdrive: float) -> None:
    """Rule (common practice, no source): drive torque can only take load off the front, the more the more.

    Holds while the torque does not fall, also with an overdriven front. (When it falls, the nose comes down
    and presses for a moment.)
    """
    low = []
    for torque in (20, 40, 60, 80):
        settings = STRONG | QUICK | GRIPPY | {"driveline.overdrive": overdrive, "end.duration": 0.9}
        table = punch(torque, 0.6, settings).series
        asked = table["time_s"] > 0.2
        assert table.loc[asked, "front_load_N"].max() < 1.01 * table["front_load_N"].iloc[0]
        low.append(table["front_load_N"].iloc[-1])
    assert all(more < less - 1.0 for less, more in pairwise(low))


def balance_at_the_end(done: Run) -> tuple[float, float, float]:
    """About the point where the rear thrust acts: moment of the weight nose-down, moment of everything that
    speeds up nose-up (N*m), and what wheels that spin up have in it.
    """
    state, led, rig = done.trace.states[-1], done.trace.ledgers[-1], done.trace.model.rig
    foot = led.axle[0].tyre.contact.foot
    bodies = [rig.chassis, *(axle.body for axle in rig.axle)]
    hub_x = foot.x  # level ground: the foot lies below the wheel centre
    hub_z = foot.z + rig.axle[0].tyre.radius - led.axle[0].tyre.deflection
    x0, z0 = hub_x, hub_z - float(led.axle[0].tyre.rolling_radius)
    weight = effort = 0.0
    for body, pose, pushed in zip(bodies, state.pose, led.acceleration, strict=True):
        x, z = pose.x - x0, pose.z - z0
        weight += body.mass * GRAVITY * x
        effort += body.mass * (z * pushed.x - x * pushed.z) - body.inertia * pushed.angle
    spin = sum(
        axle.spin_inertia * part.spin_acceleration for axle, part in zip(rig.axle, led.axle, strict=True)
    )
    return float(weight), float(effort + spin), float(spin)


LIFT = STRONG | GRIPPY | both("tyre.rolling_resistance", 0) | {"end.when": ["front_lifts"]}


@pytest.mark.parametrize("ramp", [0.06, 0.6])
def test_the_front_lifts_where_the_moments_balance(ramp: float) -> None:
    """Rule (common practice, no source): torque lifts the front where moments about the rear contact balance.

    Holds in full: mass times acceleration of every body at its lever, turning bodies, wheels that spin up.
    """
    done = punch(160, ramp, LIFT | QUICK | {"end.duration": 1.0})
    assert done.summary["ended"] == "FRONT_LIFTED"
    weight, effort, spin = balance_at_the_end(done)
    assert effort == pytest.approx(weight, rel=0.02)
    assert spin > 0.05 * weight


def test_the_bare_balance_is_that_of_a_slow_rise_without_spin() -> None:
    """Rule (common practice, no source): the front lifts at ax = g x/h.

    Conditional: with light wheels, hard tyres, well damped shocks and a torque that rises slowly, at x and h
    of the moment: the centre of mass has by then moved, and the figure of the standing rig is too high by
    8 %. Badly damped, the unloaded front hops off the ground before. As the rig is, in a punch, its wheels
    and its pitching take a fifth of the moment and the front lifts earlier, too.
    """

    def lift(settings: dict[str, Any], ramp: float, torque: float) -> tuple[float, float]:
        done = punch(torque, ramp, LIFT | settings | {"end.duration": 2.5})
        assert done.summary["ended"] == "FRONT_LIFTED"
        state, led, rig = done.trace.states[-1], done.trace.ledgers[-1], done.trace.model.rig
        masses = np.array([rig.chassis.mass, *(axle.body.mass for axle in rig.axle)])
        foot = led.axle[0].tyre.contact.foot
        x = masses @ (state.pose["x"] - foot.x) / masses.sum()
        height = masses @ (state.pose["z"] - foot.z) / masses.sum()
        return float(masses @ led.acceleration["x"] / masses.sum()), float(GRAVITY * x / height)

    light = both("tyre.spin_inertia", 1) | both("tyre.stiffness", 20) | both("tyre.damping", 20)
    light |= {"motor.rotor_inertia": 0.01, "driveline.ratio": 10, "driveline.efficiency": 100}
    damped = both("shock.damper", {"compression": 20, "rebound": 20})
    found, bare = lift(light | damped, 2.0, 400)
    assert found == pytest.approx(bare, rel=0.02)
    standing = table_of(stand(standing_scenario(SCENARIOS / "rigs" / "gully.toml")))["wheelie_m_per_s2"]
    assert bare < 0.95 * standing
    for settings, ramp, torque in ((light, 2.0, 400), (QUICK, 0.06, 160)):
        found, bare = lift(settings, ramp, torque)
        assert found < 0.9 * bare


def test_more_torque_than_lifts_the_front_flips_the_rig() -> None:
    """Rule (common practice, no source): past the wheelie comes the flip.

    Holds when the driver stays on it; letting go in time brings the front down again.
    """
    lasting = punch(160, 0.6, STRONG | QUICK | GRIPPY | {"end.duration": 1.5})
    assert lasting.summary["ended"] == "ROLLED_OVER"
    lets_go = {"driver.torque": [[0, 0], [0.35, 110], [0.4, 0]], "end.duration": 1.5}
    short = punch(0, 0.1, STRONG | QUICK | GRIPPY | lets_go)
    assert short.summary["ended"] == "TIME"
