"""The tyre law shows the grips that a user states, and builds thrust up over its relaxation length.

Sources: Canudas de Wit and Tsiotras, CDC 1999 (average lumped form); Canudas de Wit, Tsiotras, Velenis,
Basset, Gissinger, Vehicle System Dynamics 39(3), 2003 (distributed steady formula; its parameters from
memory, its values recomputed). Relaxation length: rolled distance to 63.2 % of a slip step (the definition
after Pacejka 2006 p 22, seen in public copies). Bound 0.5 % unless said otherwise.
"""

import math

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from simcore.compiled import TYRE, blank
from simcore.laws.tyre import rolling_moment, sliding_level, tangential

BOUND = 5e-3
SLIPS = np.concatenate([np.linspace(0.0, 0.5, 101), np.linspace(0.55, 1.0, 10)])

# peak grip, sliding grip, slip stiffness, relaxation length m, grip speed m/s, Stribeck speed m/s
TYRES = {
    "soft": (1.10, 0.85, 12.0, 0.020, 1.0, 0.5),
    "hard": (0.70, 0.60, 30.0, 0.010, 2.0, 1.0),
    "limp": (1.20, 1.00, 5.0, 0.060, 0.5, 0.4),
    "even": (0.90, 0.90, 10.0, 0.020, 1.0, 0.5),
}


def stated(peak, sliding, stiffness, length, grip_speed, stribeck_speed, settling_time=0.002):
    tyre = blank(TYRE, math.nan)[0]
    tyre.slip_stiffness, tyre.relaxation_length = stiffness, length
    tyre.stribeck_speed, tyre.settling_time = stribeck_speed, settling_time
    tyre.peak = peak
    tyre.sliding = sliding_level(peak, sliding, grip_speed, stribeck_speed)
    return tyre


def steady(tyre, slip_speeds, roll_speeds, grip=1.0):
    """Thrust per load once the bristles have come to rest, one value a pair of speeds: the law integrated
    from straight bristles.
    """
    pairs = list(zip(slip_speeds, roll_speeds, strict=True))

    def rate(_t, z):
        return [tangential(tyre, v, roll, b, grip)[1] for (v, roll), b in zip(pairs, z, strict=True)]

    fastest = max(max(abs(v), abs(roll)) for v, roll in pairs)
    solution = solve_ivp(
        rate,
        (0.0, 40.0 * tyre.relaxation_length / fastest),
        np.zeros(len(pairs)),
        "Radau",
        rtol=1e-7,
        atol=1e-11,
        jac_sparsity=np.eye(len(pairs)),  # the pairs do not know each other
    )
    bristles = solution.y[:, -1]
    assert np.abs(rate(0.0, bristles)).max() < 1e-4 * fastest
    return np.array(
        [tangential(tyre, v, roll, b, grip)[0] for (v, roll), b in zip(pairs, bristles, strict=True)]
    )


def driving_curve(tyre, speed, grip=1.0):
    return steady(tyre, SLIPS * speed, np.full(len(SLIPS), speed), grip)


@pytest.mark.parametrize("name", TYRES)
def test_curve_shows_the_stated_grips(name):
    peak, sliding, stiffness, _, speed, _ = TYRES[name]
    tyre = stated(*TYRES[name])
    curve = driving_curve(tyre, speed)
    assert curve[0] == pytest.approx(0.0, abs=1e-9)
    assert curve.max() <= peak * (1.0 + BOUND)
    assert curve[-1] == pytest.approx(sliding, rel=BOUND)  # spinning on the spot
    creep = 1e-3 * TYRES[name][5]
    assert driving_curve(tyre, creep).max() == pytest.approx(peak, rel=BOUND)
    assert steady(tyre, [-creep], [0.0])[0] == pytest.approx(-peak, rel=BOUND)  # on a tilted board
    small = 1e-4
    assert steady(tyre, [small * speed], [speed])[0] / small == pytest.approx(stiffness, rel=BOUND)
    assert steady(tyre, [-speed], [0.0])[0] == pytest.approx(-sliding, rel=BOUND)  # locked and dragged


@pytest.mark.parametrize("name", TYRES)
def test_braking_mirrors_driving(name):
    """At one tread speed a negative slip speed gives the opposite thrust, rolling either way."""
    speed, tyre = TYRES[name][4], stated(*TYRES[name])
    forward = steady(tyre, [0.1 * speed, 0.5 * speed], [speed, speed])
    assert steady(tyre, [-0.1 * speed, -0.5 * speed], [speed, speed]) == pytest.approx(-forward, rel=1e-9)
    assert steady(tyre, [0.1 * speed, 0.5 * speed], [-speed, -speed]) == pytest.approx(forward, rel=1e-9)


@pytest.mark.parametrize("grip", [0.05, 0.3, 1.0, 1.5])
def test_grip_scales_with_the_ground(grip):
    """Full spin and locked sliding scale exactly, the slip stiffness stays, and so does the shape of a curve
    without a fall.
    """
    tyre, even = stated(*TYRES["soft"]), stated(*TYRES["even"])
    assert steady(tyre, [1.0, -1.0], [1.0, 0.0], grip) == pytest.approx(
        [grip * 0.85, -grip * 0.85], rel=BOUND
    )
    small = 1e-3 * grip * 0.9 / 12.0
    assert steady(tyre, [small], [1.0], grip)[0] / small == pytest.approx(12.0, rel=BOUND)
    assert driving_curve(even, 1.0, grip).max() == pytest.approx(grip * 0.9, rel=BOUND)
    # On slippery ground the plateau comes at less slip, where less of the level has fallen (and the reverse).
    share = [driving_curve(tyre, 1.0, ground).max() / (ground * 1.10) for ground in (grip, 1.0)]
    assert share[0] <= 1.0 + BOUND and (grip - 1.0) * (share[0] - share[1]) <= BOUND


TILT = {
    "grip speed far above the Stribeck speed": (1.05, 0.95, 9.0, 2.0, 0.15),
    "a soft carcass": (1.0, 0.8, 4.0, 0.3, 0.15),
    "as shipped": (1.05, 0.95, 9.0, 0.3, 0.15),
}


@pytest.mark.parametrize("numbers", TILT.values(), ids=TILT)
def test_a_tilted_board_reads_the_stated_peak(numbers):
    """A locked wheel under a pull that grows slowly along the board, as a block on an incline: it holds to
    ``tan(angle) = peak`` and slides beyond (block on an incline, any statics text).
    """
    peak, sliding, stiffness, grip_speed, stribeck_speed = numbers
    tyre = stated(peak, sliding, stiffness, 0.020, grip_speed, stribeck_speed)

    def moved(share):
        """Way of a block of 1 kg whose pull grows to a share of the peak times its weight within 20 s, after
        25 s. Bristles give way by a few millimetres before they hold.
        """

        def rate(time, y):
            force, bristle_rate = tangential(tyre, -y[1], 0.0, y[2], 1.0)
            return [y[1], 9.80665 * (share * peak * min(time / 20.0, 1.0) + force), bristle_rate]

        return solve_ivp(rate, (0.0, 25.0), [0.0, 0.0, 0.0], "LSODA", rtol=1e-8, atol=1e-12).y[0, -1]

    assert moved(0.98) < 0.03 and moved(1.02) > 1.0


@pytest.mark.parametrize("speed", [0.02, 0.5, 8.0])
@pytest.mark.parametrize("length", [0.005, 0.05])
def test_relaxation_length(speed, length):
    """After a small slip step the thrust is ``C s (1 - exp(-x/l))`` after x of tread, whatever the speed."""
    slip, tyre = 1e-5, stated(1.0, 0.9, 10.0, length, 1.0, 0.5, settling_time=0.0)
    rolled = np.array([0.5, 1.0, 2.0, 4.0]) * length
    solution = solve_ivp(
        lambda _t, z: [tangential(tyre, slip * speed, speed, z[0], 1.0)[1]],
        (0.0, rolled[-1] / speed),
        [0.0],
        rtol=1e-9,
        atol=1e-16,
        t_eval=rolled / speed,
    )
    thrust = [tangential(tyre, slip * speed, speed, z, 1.0)[0] for z in solution.y[0]]
    assert thrust == pytest.approx(10.0 * slip * (1.0 - np.exp(-rolled / length)), rel=1e-3)


def distributed(eta, level, stiffness, contact_length):
    """Steady thrust per load of bristles spread evenly over a contact length, the 2003 formula without
    viscous term.
    """
    q = level / (stiffness * contact_length * eta)
    return level * (1.0 + q * (math.exp(-1.0 / q) - 1.0))


def test_distributed_formula_is_typed_right():
    """Braking at 8 m/s with sigma0 = 181.54/m, mu_k = 0.8, mu_s = 1.55, vs = 6.57 m/s, L = 0.2 m, sigma2 =
    0.0018 s/m.
    """
    for slip, expected in ((0.05, 0.6347), (0.1, 0.9137), (0.2, 1.0866), (0.3, 1.1201)):
        sliding_speed = 8.0 * slip
        level = 0.8 + 0.75 * math.exp(-math.sqrt(sliding_speed / 6.57))
        value = distributed(slip / (1.0 - slip), level, 181.54, 0.2) + 0.0018 * sliding_speed
        assert value == pytest.approx(expected, rel=1e-4)


def test_lumped_and_distributed_agree_at_both_ends():
    """Bristles of stiffness C/l over a contact 2 l long: the same slope ``sigma0 L/2`` at no slip, the same
    level when locked.

    In between the two shapes differ by nature (one mean bristle against many), so nothing is compared there.
    """
    tyre, length, stiffness = stated(*TYRES["even"]), 0.020, 10.0
    small = 1e-4
    spread = distributed(small, 0.9, stiffness / length, 2.0 * length)
    assert steady(tyre, [small], [1.0])[0] == pytest.approx(spread, rel=BOUND)
    assert steady(tyre, [1.0], [0.0])[0] == pytest.approx(
        distributed(1e6, 0.9, stiffness / length, 2.0 * length), rel=BOUND
    )


def test_rolling_resistance_opposes_rolling_and_vanishes_at_rest():
    tyre = blank(TYRE, math.nan)[0]
    tyre.rolling_resistance, tyre.radius = 0.03, 0.06
    assert rolling_moment(tyre, 12.0, 0.0) == 0.0
    for speed in (0.1, 3.0):
        assert rolling_moment(tyre, 12.0, speed) == pytest.approx(0.03 * 12.0 * 0.06, rel=1e-6)
        assert rolling_moment(tyre, 12.0, -speed) == pytest.approx(-0.03 * 12.0 * 0.06, rel=1e-6)
