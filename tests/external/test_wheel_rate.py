"""How stiff a spring looks at the wheel: motion ratio squared, cosine squared, and the exact form.

Sources: Barton and Fieldhouse, Automotive Chassis Engineering (2018), eq (3.29)-(3.33), k_w = k_s (c/b)^2 for
a spring at c on an arm whose wheel is at b, seen in a stored copy; the number 0.10 N/mm at 0.8 gives 0.064
N/mm recomputed. The exact form from virtual work, F_w = F_s dl/dz and k_w = k_s (dl/dz)^2 + F_s d2l/dz2, is
derived here from the same arm.
"""

import math

import numpy as np
import pytest

from simcore.compiled import POSE, SHOCK, SHOCK_LEDGER, STATE, blank
from simcore.dynamics.forces import measure_shock, push_shock
from simcore.laws.frame import frame_of

RATE = 100.0  # N/m, 0.10 N/mm


CENTRE = np.array([-0.07, 0.04])  # m, centre of mass of the chassis seen from the pin of the arm


def spring_between(mount_at, top, fraction=1.0):
    """A shock with nothing but a spring that is loose where it starts and pushes or pulls from there."""
    shock = blank(SHOCK)[0]
    shock.chassis.x, shock.chassis.z = np.array(top) - CENTRE
    shock.link_pin.x, shock.link_pin.z = -CENTRE
    shock.axle.x, shock.axle.z = mount_at
    shock.fraction = fraction
    free = math.dist(top, (fraction * mount_at[0], fraction * mount_at[1]))
    shock.extended_length, shock.stroke = free + 0.05, 0.2  # loose at 50 mm of travel
    for spring, push in zip(shock.spring, (1.0, -1.0), strict=False):
        spring.push, spring.rate, spring.loose_at = push, RATE, 0.05
    shock.friction.presliding = shock.friction.stribeck_speed = 1.0
    shock.bump_stop.length = shock.droop_stop.length = 0.001
    return shock


def wheel_force(turn, wheel_at, mount_at, top, fraction=1.0):
    """Vertical force at the wheel that balances the spring, and the wheel's height, of an arm pinned at the
    origin and turned.

    The chassis is held; the arm lies along +x at turn 0, carries the mount, and the spring is loose there.
    """
    shock, state, led = spring_between(mount_at, top, fraction), blank(STATE)[0], blank(SHOCK_LEDGER)[0]
    state.pose[0].x, state.pose[0].z = CENTRE
    state.pose[1].angle = turn
    on_chassis, on_arm = blank(POSE)[0], blank(POSE)[0]
    measure_shock(led, shock, *map(frame_of, state.pose[:2]), state, 0)
    push_shock(led, shock, *map(frame_of, state.pose[:2]), on_chassis, on_arm)
    about_pin = on_chassis.angle + CENTRE[0] * on_chassis.z - CENTRE[1] * on_chassis.x
    assert on_chassis.x == pytest.approx(-on_arm.x) and on_chassis.z == pytest.approx(-on_arm.z)
    assert about_pin == pytest.approx(-on_arm.angle, abs=1e-12)  # one line of action
    return -on_arm.angle / (wheel_at * math.cos(turn)), wheel_at * math.sin(turn)


def wheel_rate(turn, *arm, **mount):
    (low, z_low), (high, z_high) = (wheel_force(turn + step, *arm, **mount) for step in (-1e-5, 1e-5))
    return (high - low) / (z_high - z_low)


def test_motion_ratio_counts_squared():
    """Upright spring at 0.8 of the arm: 0.064 N/mm at the wheel."""
    assert wheel_rate(0.0, 0.10, (0.08, 0.0), (0.08, 0.10)) == pytest.approx(64.0, rel=1e-4)


@pytest.mark.parametrize("fraction", [0.3, 0.8, 1.0])
def test_spring_on_a_link(fraction):
    """The lower mount at a fraction of a link gives that fraction as the motion ratio of the link's end."""
    rate = wheel_rate(0.0, 0.10, (0.10, 0.0), (fraction * 0.10, 0.10), fraction=fraction)
    assert rate == pytest.approx(RATE * fraction**2, rel=1e-4)


@pytest.mark.parametrize("lean_deg", [-40.0, 20.0, 60.0])
def test_lean_counts_as_cosine_squared(lean_deg):
    lean = math.radians(lean_deg)
    top = (0.10 + 0.12 * math.sin(lean), 0.12 * math.cos(lean))
    assert wheel_rate(0.0, 0.10, (0.10, 0.0), top) == pytest.approx(RATE * math.cos(lean) ** 2, rel=1e-4)


@pytest.mark.parametrize("turn", [-0.4, 0.3, 0.5])
def test_exact_form_away_from_the_middle(turn):
    """Force and rate from the shortening l(z) alone: dl/dz and d2l/dz2 by differences of the geometry."""
    wheel, mount, top = 0.12, (0.09, 0.01), (0.06, 0.11)

    def shortening(z):
        angle = math.asin(z / wheel)
        c, s = math.cos(angle), math.sin(angle)
        place = (c * mount[0] - s * mount[1], s * mount[0] + c * mount[1])
        return math.dist(top, mount) - math.dist(top, place)

    z, h = wheel * math.sin(turn), 1e-4
    behind, here, ahead = (shortening(z + step) for step in (-h, 0.0, h))
    slope, curve = (ahead - behind) / (2.0 * h), (ahead - 2.0 * here + behind) / (h * h)
    force, _ = wheel_force(turn, wheel, mount, top)
    assert force == pytest.approx(RATE * here * slope, rel=1e-5)
    assert wheel_rate(turn, wheel, mount, top) == pytest.approx(RATE * (slope**2 + here * curve), rel=1e-4)
    assert np.sign(force) == np.sign(turn)


@pytest.mark.parametrize("fraction", [0.4, 1.0])
@pytest.mark.parametrize("seed", range(4))
def test_power_of_the_shock_is_force_times_its_speed(fraction, seed):
    """What the moving bodies get is ``-F ds/dt``, s the shortening, and ds/dt is the rate of the travel."""
    random = np.random.default_rng(seed)
    shock = spring_between((0.09, 0.01), (0.06, 0.11), fraction)
    shock.compression = shock.rebound = 3.0
    pose, rate = random.uniform(-0.1, 0.1, (2, 3)), random.uniform(-1.0, 1.0, (2, 3))
    pose[0, :2] += CENTRE

    def at(time):
        state, led = blank(STATE)[0], blank(SHOCK_LEDGER)[0]
        forces = [blank(POSE)[0], blank(POSE)[0]]
        for body in (0, 1):
            place, speed = state.pose[body], state.rate[body]
            place.x, place.z, place.angle = pose[body] + time * rate[body]
            speed.x, speed.z, speed.angle = rate[body]
        measure_shock(led, shock, *map(frame_of, state.pose[:2]), state, 0)
        push_shock(led, shock, *map(frame_of, state.pose[:2]), *forces)
        return led, np.array([[force.x, force.z, force.angle] for force in forces])

    led, forces = at(0.0)
    h = 1e-6
    assert led.speed == pytest.approx((at(h)[0].travel - at(-h)[0].travel) / (2.0 * h), rel=1e-6)
    assert (forces * rate).sum() == pytest.approx(-led.force * led.speed, rel=1e-9)
    assert abs(led.force) > 0.1
