"""The tyre law term by term; what it does at standstill; that grip is bounded and energy is lost."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from simcore.compiled import TYRE, blank
from simcore.laws.tyre import inner_level, rolling_moment, sliding_level, tangential

SLIDING, PEAK, STIFFNESS, LENGTH, STRIBECK, SETTLING = 0.8, 1.05, 12.0, 0.02, 0.5, 0.002
SPEEDS = st.floats(-4.0, 4.0)
GRIPS = st.floats(0.05, 1.5)


def both(law):
    """The law compiled and as plain Python."""
    return [law, getattr(law, "py_func", law)]


def tyre_of():
    tyre = blank(TYRE, math.nan)[0]
    tyre.sliding, tyre.peak, tyre.stribeck_speed = SLIDING, PEAK, STRIBECK
    tyre.slip_stiffness, tyre.relaxation_length, tyre.settling_time = STIFFNESS, LENGTH, SETTLING
    tyre.radius, tyre.rolling_resistance = 0.06, 0.02
    return tyre


def steady_grip(tyre, slip, roll_speed, grip):
    """Thrust per load in steady driving slip ``s = 1 - v/(R_e w)``: ``F/N = C s G/(C s + G)``, dz/dt = 0."""
    level = inner_level(tyre, slip * roll_speed, roll_speed, grip)
    return tyre.slip_stiffness * slip * level / (tyre.slip_stiffness * slip + level)


def wanted_grip(slip_speed, grip):
    return grip * (SLIDING + (PEAK - SLIDING) * np.exp(-((slip_speed / STRIBECK) ** 2)))


@pytest.mark.parametrize("law", both(tangential), ids=["compiled", "plain"])
@settings(deadline=None)
@given(slip=SPEEDS, roll=SPEEDS, bend=st.floats(-1.0, 1.0), grip=GRIPS)
def test_thrust_is_the_law_as_written(law, slip, roll, bend, grip):
    """``dz/dt = v_r - sigma0 |v_r| z/G - |w R| z/l``; speeds far above the floor of the slip ratio."""
    slip = math.copysign(abs(slip) + 1e-3, slip)
    z = bend * LENGTH / STIFFNESS
    m = wanted_grip(slip, grip)
    share = min(m * abs(roll / slip) / STIFFNESS, 0.5)
    level = m / (1.0 - share)
    sigma0 = STIFFNESS / LENGTH
    rate = slip - sigma0 * abs(slip) * z / level - abs(roll) * z / LENGTH
    force = sigma0 * z + sigma0 * SETTLING * math.exp(-(((abs(slip) + abs(roll)) / STRIBECK) ** 2)) * rate
    assert law(tyre_of(), slip, roll, z, grip) == pytest.approx((force, rate), rel=1e-4, abs=1e-5)


@settings(deadline=None)
@given(slip=st.floats(0.0, 1.0), roll=st.floats(0.05, 4.0), grip=GRIPS)
def test_steady_curve_is_the_rest_point_of_the_law(slip, roll, grip):
    thrust = steady_grip(tyre_of(), slip, roll, grip)
    z = thrust * LENGTH / STIFFNESS
    assert tangential(tyre_of(), slip * roll, roll, z, grip)[1] == pytest.approx(0.0, abs=1e-12 + 1e-9 * roll)
    # From this slip on the curve lies on the wanted grip.
    reached = 2.0 * wanted_grip(slip * roll, grip) / STIFFNESS
    if slip > reached * (1.0 + 1e-6):
        assert thrust == pytest.approx(wanted_grip(slip * roll, grip), rel=1e-6)
    else:
        assert thrust <= wanted_grip(slip * roll, grip) * (1.0 + 1e-6)


@settings(deadline=None)
@given(grip=GRIPS, speed=st.floats(0.01, 4.0))
def test_level_of_a_locked_tyre_is_the_wanted_grip(grip, speed):
    for law in both(inner_level):
        assert law(tyre_of(), speed, 0.0, grip) == pytest.approx(wanted_grip(speed, grip), rel=1e-9)


@settings(deadline=None)
@given(slip=SPEEDS, roll=SPEEDS, sign=st.sampled_from([-1.0, 1.0]), grip=GRIPS)
def test_bristles_are_pulled_back_beyond_the_greatest_grip(slip, roll, sign, grip):
    """So whatever happened before, the bristles never carry more than the greatest inner level."""
    z = sign * 1.001 * grip * PEAK * LENGTH / STIFFNESS
    assert tangential(tyre_of(), slip, roll, z, grip)[1] * sign <= 1e-12


@settings(deadline=None)
@given(bend=st.floats(-1.0, 1.0), grip=GRIPS)
def test_standing_tyre_holds_what_its_bristles_hold(bend, grip):
    z = bend * grip * SLIDING * LENGTH / STIFFNESS
    force, rate = tangential(tyre_of(), 0.0, 0.0, z, grip)
    assert rate == 0.0
    assert force == pytest.approx(bend * grip * SLIDING, rel=1e-12, abs=1e-15)


@settings(deadline=None)
@given(slip=SPEEDS, roll=SPEEDS, bend=st.floats(-1.0, 1.0))
def test_slip_loses_energy(slip, roll, bend):
    """Thrust times slip speed covers what the bristles store, for all bends up to the sliding grip."""
    sigma0 = STIFFNESS / LENGTH
    z = bend * SLIDING / sigma0
    force, rate = tangential(tyre_of(), slip, roll, z, 1.0)
    assert force * slip - sigma0 * z * rate >= -1e-9


@settings(max_examples=60, deadline=None)
@given(
    peak=st.floats(0.3, 1.6),
    share=st.floats(0.6, 1.0),
    stiffness=st.floats(6.0, 60.0),
    speed=st.floats(0.3, 3.0),
    ratio=st.floats(0.05, 1.0),
)
def test_levels_show_the_stated_grips(peak, share, stiffness, speed, ratio):
    """The curve written out here: the stated sliding grip spinning on the spot, the stated peak standing, and
    nowhere more than that, however far the grip speed lies above the Stribeck speed.
    """
    tyre = tyre_of()
    tyre.slip_stiffness, tyre.stribeck_speed, tyre.peak = stiffness, ratio * speed, peak
    tyre.sliding = sliding_level(peak, share * peak, speed, ratio * speed)
    slips = np.linspace(0.0, 1.0, 4001)[1:]
    m = tyre.sliding + (tyre.peak - tyre.sliding) * np.exp(-((slips / ratio) ** 2))
    level = m / (1.0 - np.minimum(m / (slips * stiffness), 0.5))
    curve = stiffness * slips * level / (stiffness * slips + level)
    assert curve[-1] == pytest.approx(share * peak, rel=5e-3)
    assert curve.max() <= peak * (1.0 + 1e-12)
    assert inner_level(tyre, 1e-9, 0.0, 1.0) == pytest.approx(peak, rel=1e-9)


@settings(deadline=None)
@given(load=st.floats(0.0, 50.0), speed=SPEEDS)
def test_rolling_resistance_takes_power(load, speed):
    for law in both(rolling_moment):
        moment = law(tyre_of(), load, speed)
        assert moment * speed >= 0.0
        assert abs(moment) <= 0.02 * load * 0.06 * (1.0 + 1e-12)


def test_relaxation_of_the_force_is_a_matter_of_distance_with_damping_on():
    """A step of slip while rolling shows no jump from the micro damping, at any usual speed."""
    for roll in (0.5, 1.0, 3.0):
        force, _ = tangential(tyre_of(), 0.01 * roll, roll, 0.0, 1.0)
        steady = steady_grip(tyre_of(), 0.01, roll, 1.0)
        assert abs(force) < 0.02 * steady
