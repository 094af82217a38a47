"""A mass on a spring with dry friction, and with oil: counted half cycles, resting places, no creep.

Laws: amplitude falls 2F/k per half cycle, the period stays 2 pi sqrt(m/k), and the mass stays at the first
turning point inside the band |x| <= F/k (Rao, Mechanical Vibrations, 5th ed., sec 2.9; Den Hartog, Mechanical
Vibrations, ch 8).
"""

import math

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from simcore.compiled import FRICTION, SHOCK, blank
from simcore.laws.shock import damper_force, seal_friction

G = 9.81  # m/s^2, as in the books


def dry(force, presliding, breakaway=None, stribeck_speed=1e-3, settling_time=2e-4):
    friction = blank(FRICTION, math.nan)[0]
    friction.sliding, friction.breakaway = force, force if breakaway is None else breakaway
    friction.presliding, friction.stribeck_speed = presliding, stribeck_speed
    friction.settling_time = settling_time
    return friction


def release(mass, k, friction, x0, end, load=0.0, ramp=1e-3):
    """Motion of the mass let go at x0 under a load that grows to its value over `ramp` seconds."""

    def rate(t, y):
        drag, bristle_rate = seal_friction(friction, y[1], y[2])
        return [y[1], (load * min(t / ramp, 1.0) - k * y[0] - drag) / mass, bristle_rate]

    # The mass is let go with its bristles already bent by the friction that holds the first turning point
    # back.
    bent = -math.copysign(friction.presliding, x0) if x0 else 0.0
    solution = solve_ivp(
        rate, (0.0, end), (x0, 0.0, bent), "LSODA", rtol=1e-11, atol=1e-14, dense_output=True
    )
    assert solution.success, solution.message
    return solution


# mass kg (or kg m^2), rate N/m (N m/rad), friction N (N m), start m (rad), half cycles, resting place m
# (rad), bound of the latter
CASES = {
    # Quinn, Mechanical Vibration, prob 77: 6 kg, spring 5k through a pulley, k = 128 N/m, grip 0.5, let go at
    # 0.30 m. Statement and sticking band seen in a public copy; count and resting place recomputed from the
    # law above.
    "pulley": (6.0, 5 * 128.0, 0.5 * 6.0 * G, 0.30, 3, -0.024094),
    # 12.74 kg, 20 N/mm, grip 0.32, let go at 39 mm: statement seen, answers recomputed. The tenth turn is the
    # first inside the band.
    "small mass": (12.74, 20e3, 0.32 * 12.74 * G, 0.039, 10, -0.9934e-3),
    # Rao, problem: 20 kg, 10 kN/m, 50 N, let go at 50 mm; 5 half cycles seen in a public copy, force and
    # start from memory. A corner case: it comes to rest where the spring is slack, in the middle of its band.
    "rests in the middle": (20.0, 10e3, 50.0, 0.05, 5, 0.0),
    # Rao example 2.15, torsion: 49087.5 N m/rad, 400 N m, 6 deg; answer from memory of the book and
    # recomputed. Its inertia plays no part.
    "pulley shaft": (100.0, 49087.5, 400.0, math.radians(6.0), 6, 0.006935),
}


@pytest.mark.parametrize("case", CASES)
def test_half_cycles_and_resting_place(case):
    mass, k, force, x0, half_cycles, rest = CASES[case]
    half = math.pi * math.sqrt(mass / k)
    presliding = 1e-7 * x0
    solution = release(mass, k, dry(force, presliding, settling_time=1e-5), x0, (half_cycles + 2.0) * half)
    for n in range(1, half_cycles + 1):  # the linear envelope, at the unchanged period
        turn = (-1.0) ** n * (x0 - 2.0 * n * force / k)
        assert solution.sol(n * half)[0] == pytest.approx(turn, abs=1e-5 * x0)
        before, after = solution.sol([0.995 * n * half, 1.005 * n * half])[1]
        assert (before > 0.0) == (n % 2 == 0)
        assert n == half_cycles or before * after < 0.0  # it turns here, and not before
    places = solution.sol(np.linspace((half_cycles + 0.5) * half, (half_cycles + 2.0) * half, 50))[0]
    assert places == pytest.approx(rest, abs=1e-5 * x0)
    assert abs(rest) < force / k


def test_grip_from_decay():
    """Rao example 2.14: 10 cm become 1 cm in 5 cycles of 2 s in all; grip 0.1132 (book from memory; 0.11318
    recomputed).
    """
    mass, half = 1.0, 0.2
    k = mass * (math.pi / half) ** 2
    grip = 0.11318
    solution = release(mass, k, dry(grip * mass * G, 1e-7), 0.10, 10.0 * half)
    assert solution.sol(10.0 * half)[0] == pytest.approx(0.01, abs=2e-5)


@pytest.mark.parametrize("share", [0.70, 0.76, 0.81])
def test_dry_friction_does_not_bound_resonance(share):
    """A harmonic force F0 at resonance puts pi F0 X into a cycle of amplitude X, and friction F takes 4 F X
    out: the amplitude changes by (pi F0 - 4 F)/k a cycle, for ever, and grows if F/F0 < pi/4 (Den Hartog,
    1931, from memory; the balance is written here).
    """
    mass, k, pushing, start = 2.0, 800.0, 5.0, 0.2
    wn, friction = math.sqrt(k / mass), dry(share * 5.0, 2e-6, settling_time=1e-5)

    def rate(t, y):
        drag, bristle_rate = seal_friction(friction, y[1], y[2])
        # let go at the turning point, the force a quarter of a cycle behind, so in step with the speed
        return [y[1], (-pushing * math.sin(wn * t) - k * y[0] - drag) / mass, bristle_rate]

    cycle = 2.0 * math.pi / wn
    solution = solve_ivp(
        rate, (0.0, 6.0 * cycle), (start, 0.0, -2e-6), "LSODA", rtol=1e-10, atol=1e-13, dense_output=True
    )
    found = np.polyfit(range(1, 7), solution.sol(cycle * np.arange(1, 7))[0], 1)[0]
    assert found == pytest.approx((math.pi * pushing - 4.0 * share * pushing) / k, rel=0.01)
    assert (found > 0.0) == (share < math.pi / 4.0)


@pytest.mark.parametrize("share", [0.3, 0.7, 0.98, -0.98])
def test_loaded_inside_its_band_it_does_not_creep(share):
    """A shock seal (4 N, presliding 0.1 mm) between a mass and a spring of 0.1 N/mm, loaded over 5 s, then
    left for a minute.
    """
    friction = dry(3.0, 1e-4, breakaway=4.0, stribeck_speed=0.01, settling_time=2e-3)
    solution = release(0.5, 100.0, friction, 0.0, 70.0, load=share * 4.0, ramp=5.0)
    settled, later = solution.sol([10.0, 70.0])[0]
    seal, spring = 4.0 / 1e-4, 100.0
    assert 0.99 * abs(share) * 4.0 / (seal + spring) < abs(settled) < 1e-3  # springy, and did not slip far
    assert abs(later - settled) < 1e-6


def test_beyond_its_band_it_lets_go():
    friction = dry(3.0, 1e-4, breakaway=4.0, stribeck_speed=0.01, settling_time=2e-3)
    solution = release(0.5, 1.0, friction, 0.0, 8.0, load=4.4, ramp=5.0)
    assert solution.y[0, -1] > 0.1  # m


def test_oil_damped_motorcycle_shock():
    """Rao, example "shock absorber for a motorcycle" (5th ed., 2.11): 200 kg, damped period 2 s, amplitude to
    a quarter in half a cycle. Another published answer, c = 1109 N s/m, is wrong because it is twice what the
    damping ratio asks for. Book: c = 554.4981 N s/m, k = 2358.2652 N/m (seen in a public copy; recomputed
    554.518 and 2358.283), kick for 250 mm 1.4294 m/s (from memory). Bound 1e-4, the book's rounding of the
    damping ratio.
    """
    shock = blank(SHOCK)[0]
    shock.compression = shock.rebound = 554.4981

    def rate(_t, y):
        return [y[1], -(2358.2652 * y[0] + damper_force(shock, y[1])) / 200.0]

    def turns(_t, y):
        return y[1]

    solution = solve_ivp(rate, (0.0, 2.2), (0.0, 1.4294), "DOP853", rtol=1e-10, atol=1e-12, events=turns)
    peaks, times = solution.y_events[0][:, 0], solution.t_events[0]
    assert peaks[0] == pytest.approx(0.250, rel=2e-4)
    assert peaks[1] == pytest.approx(-peaks[0] / 4.0, rel=1e-4)
    assert times[1] - times[0] == pytest.approx(1.0, rel=1e-4)
