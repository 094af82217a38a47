"""Springs, damper, stops and seal: forces against energies, and what each may never do."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from simcore.compiled import FRICTION, SHOCK, SHOCK_LEDGER, STOP, blank
from simcore.laws.shock import damper_force, seal_friction, shock_forces, spring_force, stop_force

TRAVELS = st.floats(-0.02, 0.06)
SPEEDS = st.floats(-3.0, 3.0)


def both(law):
    """The law compiled and as plain Python."""
    return [law, getattr(law, "py_func", law)]


def shock_of(springs=(), table=(), friction=(0.0, 0.0)):
    shock = blank(SHOCK)[0]
    shock.stroke, shock.compression, shock.rebound = 0.03, 4.0, 7.0
    for slot, (push, rate, loose_at) in zip(shock.spring, springs, strict=False):
        slot.push, slot.rate, slot.loose_at = push, rate, loose_at
    shock.damper_rows = len(table)
    for i, (speed, force) in enumerate(table):
        shock.damper_speed[i], shock.damper_force[i] = speed, force
    shock.friction.sliding, shock.friction.breakaway = friction
    shock.friction.presliding, shock.friction.stribeck_speed, shock.friction.settling_time = 1e-4, 0.01, 0.002
    for stop in (shock.bump_stop, shock.droop_stop):
        stop.length, stop.rate, stop.damping = 0.002, 20e3, 1.0
    return shock


def stop_of(length=0.002, rate=20e3, damping=1.0):
    stop = blank(STOP)[0]
    stop.length, stop.rate, stop.damping = length, rate, damping
    return stop


@pytest.mark.parametrize("law", both(spring_force), ids=["compiled", "plain"])
def test_push_and_pull_springs(law):
    push = shock_of([(1.0, 200.0, 0.01)]).spring
    assert law(push, 0.03) == pytest.approx((4.0, 0.04))  # 200 N/m over 20 mm
    assert law(push, 0.01) == law(push, 0.0) == (0.0, 0.0)
    pull = shock_of([(-1.0, 300.0, 0.02)]).spring
    assert law(pull, 0.0) == pytest.approx((-6.0, 0.06))  # it draws the shock together
    assert law(pull, 0.02) == law(pull, 0.03) == (0.0, 0.0)
    preloaded = shock_of([(1.0, 200.0, -0.015)]).spring
    assert law(preloaded, 0.0)[0] == pytest.approx(3.0)


SIDES = st.sampled_from([-1.0, 1.0])  # pull, push
SPRINGS = st.lists(st.tuples(SIDES, st.floats(1.0, 2000.0), st.floats(-0.05, 0.05)), max_size=4)


@pytest.mark.parametrize("law", both(spring_force), ids=["compiled", "plain"])
@settings(deadline=None)
@given(springs=SPRINGS, travel=TRAVELS)
def test_spring_force_is_the_slope_of_its_energy(law, springs, travel):
    """Compressing costs energy: force, extending positive, is dU/ds along compression, so -dU/d(length)."""
    record, h = shock_of(springs).spring, 1e-6
    slope = (law(record, travel + h)[1] - law(record, travel - h)[1]) / (2.0 * h)
    assert law(record, travel)[0] == pytest.approx(slope, rel=1e-6, abs=0.01)
    assert law(record, travel)[1] >= 0.0


@pytest.mark.parametrize("law", both(damper_force), ids=["compiled", "plain"])
def test_damper_rates_and_table(law):
    plain = shock_of()
    assert law(plain, 0.5) == pytest.approx(2.0)  # compression resists by pushing out
    assert law(plain, -0.5) == pytest.approx(-3.5)
    rows = [(-1.0, -9.0), (-0.2, -3.0), (0.0, 0.0), (0.3, 1.2), (0.8, 1.7)]
    table = shock_of(table=rows)
    speeds, forces = zip(*rows, strict=True)
    for speed in np.linspace(-1.0, 0.8, 37):
        assert law(table, speed) == pytest.approx(np.interp(speed, speeds, forces), abs=1e-12)
    # Beyond its ends the last straight goes on.
    assert law(table, 1.8) == pytest.approx(1.7 + 1.0 * (0.5 / 0.5))
    assert law(table, -2.0) == pytest.approx(-9.0 - 1.0 * (6.0 / 0.8))
    two = shock_of(table=[(-1.0, -2.0), (1.0, 2.0)])
    assert law(two, 0.25) == pytest.approx(0.5)


@pytest.mark.parametrize("law", both(stop_force), ids=["compiled", "plain"])
@settings(deadline=None)
@given(depth=st.floats(-0.005, 0.01), speed=SPEEDS, damping=st.floats(0.0, 50.0))
def test_stop_never_pulls_and_only_loses(law, depth, speed, damping):
    force, elastic, stored = law(stop_of(damping=damping), depth, speed)
    assert force >= 0.0 and elastic >= 0.0 and stored >= 0.0
    assert (force - elastic) * speed >= 0.0  # more on the way in, less on the way out
    if depth <= 0.0:
        assert force == 0.0


@settings(deadline=None)
@given(depth=st.floats(1e-4, 0.01))
def test_stop_stiffens_and_its_force_is_the_slope_of_its_energy(depth):
    stop, h = stop_of(), 1e-7
    slope = (stop_force(stop, depth + h, 0.0)[2] - stop_force(stop, depth - h, 0.0)[2]) / (2.0 * h)
    assert stop_force(stop, depth, 0.0)[0] == pytest.approx(slope, rel=1e-5)
    assert stop_force(stop, 2.0 * depth, 0.0)[0] > 2.0 * stop_force(stop, depth, 0.0)[0]
    full_squeeze = stop_force(stop, 0.002, 0.0)[0]
    assert full_squeeze == pytest.approx(2.0 * 20e3 * 0.002)  # twice the first rate


def test_blow_on_a_stop_comes_back_slower():
    """Mass of 0.5 kg at 1 m/s into the rubber, by small steps: it leaves slower, and the damping took the
    difference.
    """
    stop, mass, step = stop_of(), 0.5, 1e-6
    x, v, lost = 0.0, 1.0, 0.0
    while x >= 0.0:
        force, elastic, _ = stop_force(stop, x + 0.5 * step * v, v)
        lost += (force - elastic) * v * step
        v -= force / mass * step
        x += v * step
    assert -0.9 < v < -0.3
    assert lost == pytest.approx(0.5 * mass * (1.0 - v * v), rel=2e-3)


@pytest.mark.parametrize("law", both(seal_friction), ids=["compiled", "plain"])
def test_seal_without_friction_gives_none_and_its_bristle_stays_bounded(law):
    friction = blank(FRICTION)[0]
    friction.presliding, friction.stribeck_speed, friction.settling_time = 1e-4, 0.01, 0.002
    assert law(friction, 0.3, 5e-5)[0] == 0.0
    assert law(friction, 0.3, 1e-4)[1] == pytest.approx(0.0, abs=1e-12)
    assert law(friction, 0.3, 2e-4)[1] < 0.0 < law(friction, 0.3, 5e-5)[1]


@settings(deadline=None)
@given(speed=SPEEDS)
def test_seal_passes_from_breakaway_to_sliding(speed):
    """Steady sliding shows the level of that speed: 5 N breakaway, 3 N sliding, against the motion."""
    friction = shock_of(friction=(3.0, 5.0)).friction
    if abs(speed) < 1e-4:
        speed = 1e-4
    level = 3.0 + 2.0 * math.exp(-((speed / 0.01) ** 2))
    force, rate = seal_friction(friction, speed, math.copysign(level * 1e-4 / 5.0, speed))
    assert rate == pytest.approx(0.0, abs=1e-12)
    assert force == pytest.approx(math.copysign(level, speed), rel=1e-9)


def test_seal_gives_springily_up_to_its_breakaway_force():
    """Drawn very slowly, it is a spring of breakaway/presliding at first and lets go at breakaway."""
    friction, z, speed, step = shock_of(friction=(3.0, 5.0)).friction, 0.0, 1e-5, 1e-3
    forces = []
    for _ in range(100_000):
        force, rate = seal_friction(friction, speed, z)
        forces.append(force)
        z += rate * step
    moved = speed * step * np.arange(100_000)
    assert forces[50] == pytest.approx(5.0 * (1.0 - math.exp(-moved[50] / 1e-4)), rel=0.05)
    assert max(forces) == pytest.approx(5.0, rel=1e-3)


@pytest.mark.parametrize("law", both(shock_forces), ids=["compiled", "plain"])
@settings(deadline=None)
@given(travel=TRAVELS, speed=SPEEDS, bend=st.floats(-1.0, 1.0))
def test_ledger_sums_and_its_energy_closes(law, travel, speed, bend):
    """Power put into the shock = growth of what is stored + what is lost."""
    shock = shock_of([(1.0, 200.0, 0.0), (-1.0, 100.0, 0.01)], friction=(3.0, 4.0))
    led = blank(SHOCK_LEDGER, math.nan)[0]
    law(led, shock, travel, speed, bend * 1e-4)
    parts = led.spring + led.damper + led.friction + led.bump_stop + led.droop_stop
    assert led.force == pytest.approx(parts, rel=1e-12, abs=1e-12)
    assert led.bump_stop >= 0.0 >= led.droop_stop
    if abs(speed) < 1.0:  # the rubber is slack when it recoils faster
        assert (travel > 0.028) == (led.bump_stop > 0.0)
        assert (travel < 0.002) == (led.droop_stop < 0.0)
    h = 1e-7
    ahead, behind = blank(SHOCK_LEDGER)[0], blank(SHOCK_LEDGER)[0]
    shock_forces(ahead, shock, travel + h, speed, bend * 1e-4)
    shock_forces(behind, shock, travel - h, speed, bend * 1e-4)
    growth = (ahead.stored - behind.stored) / (2.0 * h) * speed
    lost = led.lost_damper + led.lost_friction + led.lost_stops
    assert led.force * speed == pytest.approx(growth + lost, rel=1e-4, abs=0.01)
    assert led.lost_damper >= 0.0 and led.lost_stops >= 0.0
