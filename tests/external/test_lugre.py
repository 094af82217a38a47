"""The bristle law against the demonstrations of the 1995 LuGre paper.

Source: Canudas de Wit, Olsson, Astrom, Lischinsky, "A new model for control of systems with friction", IEEE
TAC 40(3), 1995. The parameters (its Table I) were seen in a public reproduction, not in
the paper itself. The expected numbers were recomputed once from the equations by a separate program (Radau,
tolerances 1e-7 to 1e-8), they are not the paper's printed figures; bound 0.5 %.
"""

import math

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from simcore.laws.bristle import bristle_force, bristle_rate, stribeck_level

STIFFNESS, VISCOUS = 1e5, 0.4  # N/m, N*s/m
MICRO_DAMPING = math.sqrt(1e5)  # N*s/m
SLIDING, BREAKAWAY, STRIBECK_SPEED = 1.0, 1.5, 1e-3  # N, N, m/s
BOUND = 5e-3


def friction(v, z):
    """Friction force along v, N, and bristle rate: our law with constant micro damping, plus the paper's
    viscous term.
    """
    level = stribeck_level(v, SLIDING, BREAKAWAY, STRIBECK_SPEED)
    rate = bristle_rate(v, z, STIFFNESS, level, 0.0)
    return bristle_force(v, z, rate, STIFFNESS, MICRO_DAMPING, math.inf) + VISCOUS * v, rate


def push_block(force, end, samples, start=(0.0, 0.0, 0.0), max_step=np.inf):
    """Unit mass on the rough floor under force(t, x): times, positions, speeds, friction forces."""

    def rate(t, y):
        x, v, z = y
        drag, z_rate = friction(v, z)
        return [v, force(t, x) - drag, z_rate]

    solution = solve_ivp(
        rate,
        (0.0, end),
        start,
        "LSODA",
        rtol=1e-9,
        atol=1e-14,
        t_eval=np.linspace(0.0, end, samples),
        max_step=max_step,
    )
    assert solution.success, solution.message
    x, v, z = solution.y
    return solution.t, x, v, np.array([friction(a, b)[0] for a, b in zip(v, z, strict=True)])


@pytest.mark.parametrize(
    ("v", "force"),
    [(0.0005, 1.38960), (0.001, 1.18434), (0.002, 1.009958), (0.005, 1.002000), (0.1, 1.040), (1.0, 1.400)],
)
@pytest.mark.parametrize("sign", [1.0, -1.0])
def test_steady_curve(v, force, sign):
    """``F = sgn(v) G(v) + sigma2 v``: bristles left alone at a speed end there."""
    settled = solve_ivp(
        lambda _t, y: [friction(sign * v, y[0])[1]], (0.0, 1.0), [0.0], "Radau", rtol=1e-10, atol=1e-15
    )
    assert friction(sign * v, settled.y[0, -1])[0] == pytest.approx(sign * force, rel=1e-5)


def test_presliding_is_springy_with_a_closed_hysteresis_loop():
    """Below breakaway the block moves like on springs, comes back along another path, and the second loop
    closes on the first.
    """
    top, ramp, hold = 1.425, 10.0, 10.0  # N, s, s; the full swing takes two ramps
    corners = np.cumsum([0.0, ramp, hold, 2 * ramp, hold, 2 * ramp, hold])
    loads = [0.0, top, top, -top, -top, top, top]
    t, x, _, _ = push_block(lambda t, _x: np.interp(t, corners, loads), corners[-1], 1201, max_step=0.5)
    measured = np.interp(corners[1:], t, x)
    expected = [4.4858e-5, 4.5312e-5, -9.564e-6, -1.0017e-5, 4.4858e-5, 4.5312e-5]
    assert measured == pytest.approx(expected, rel=BOUND)


def test_micro_motion_is_a_damped_spring():
    """About rest the block rings with wn = 316.23 rad/s and damping ratio 0.5006 (from sigma0, sigma1, sigma2
    and the mass).
    """
    step = 1e-3  # N, far below breakaway
    t, x, _, _ = push_block(lambda _t, _x: step, 0.06, 6001)
    wn, zeta = 316.23, 0.5006
    damped = wn * math.sqrt(1.0 - zeta * zeta)
    free = np.exp(-zeta * wn * t) * (np.cos(damped * t) + zeta * wn / damped * np.sin(damped * t))
    assert x == pytest.approx(step / STIFFNESS * (1.0 - free), abs=BOUND * step / STIFFNESS)


@pytest.mark.parametrize(
    ("rate", "peak"), [(1, 1.4324), (2, 1.3944), (5, 1.3132), (10, 1.2199), (20, 1.0986), (50, 1.0075)]
)
def test_breakaway_falls_with_force_rate(rate, peak):
    """Highest friction force on the way to slip, while the applied force rises at N/s."""
    _, _, v, drag = push_block(lambda t, _x: rate * t, 1.7 / rate, 4001)
    before_slip = v < 0.02  # m/s; afterwards the viscous term takes over
    assert drag[before_slip].max() == pytest.approx(peak, rel=BOUND)


def forces_at_one_speed(frequency):
    """Speed swings as 1e-3 (1.5 + cos wt) m/s: force at 1e-3 m/s while speeding up and while slowing down."""

    def speed(t):
        return 1e-3 * (1.5 + math.cos(frequency * t))

    down = (math.acos(-0.5) + 4.0 * math.pi) / frequency  # in the third cycle
    up = (6.0 * math.pi - math.acos(-0.5)) / frequency
    solution = solve_ivp(
        lambda t, y: [friction(speed(t), y[0])[1]],
        (0.0, up),
        [1e-5],
        "Radau",
        rtol=1e-8,
        atol=1e-14,
        t_eval=[down, up],
    )
    falling, rising = (friction(speed(t), z)[0] for t, z in zip(solution.t, solution.y[0], strict=True))
    return rising, falling


def test_hysteresis_widens_with_frequency():
    expected = {1: (1.1869, 1.1801), 10: (1.2153, 1.1593), 25: (1.2439, 1.1361)}
    measured = {frequency: forces_at_one_speed(frequency) for frequency in expected}
    for frequency, pair in expected.items():
        assert measured[frequency] == pytest.approx(pair, rel=BOUND)
    widths = [rising - falling for rising, falling in measured.values()]
    assert 0.0 < widths[0] < widths[1] < widths[2]


def test_stick_slip_limit_cycle():
    """Block on a spring of 2 N/m whose far end is pulled at 0.1 m/s.

    The record does not say at which speed a slip begins; 0.02 m/s gives its time and both its forces, and the
    period, the jump and the highest speed do not depend on it.
    """
    k, pull, slipping = 2.0, 0.1, 0.02

    def rate(t, y):
        x, v, z = y
        drag, z_rate = friction(v, z)
        return [v, k * (pull * t - x) - drag, z_rate]

    def turns(_t, y):
        return y[1] - slipping

    solution = solve_ivp(
        rate, (0.0, 23.0), (0.0, 0.0, 0.0), "LSODA", rtol=1e-8, atol=1e-12, events=turns, max_step=0.01
    )
    times, states = solution.t_events[0], solution.y_events[0]
    spring = k * (pull * times - states[:, 0])
    assert len(times) == 6  # three slips, each with begin and end
    assert times[0] == pytest.approx(7.481, rel=BOUND)
    assert spring[0::2] == pytest.approx([1.4951, 1.4952, 1.4952], rel=BOUND)
    assert spring[1::2] == pytest.approx([0.7655] * 3, rel=BOUND)
    assert np.diff(times[0::2]) == pytest.approx([6.3628, 6.3628], rel=BOUND)
    assert np.diff(states[0::2, 0]) == pytest.approx([0.6363, 0.6363], rel=BOUND)
    assert solution.y[1].max() == pytest.approx(0.3698, rel=BOUND)
