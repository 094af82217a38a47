"""Points of a turning body against complex numbers and differences in time."""

import cmath

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from simcore.compiled import POSE, VECTOR, blank
from simcore.laws.frame import frame_of, lever, push_at, velocity_at

numbers = st.floats(-3.0, 3.0)


def both(law):
    """The law compiled and as plain Python."""
    return [law, getattr(law, "py_func", law)]


def pose_of(x, z, angle):
    pose = blank(POSE)[0]
    pose.x, pose.z, pose.angle = x, z, angle
    return pose


def place_of(x, z):
    place = blank(VECTOR)[0]
    place.x, place.z = x, z
    return place


@pytest.mark.parametrize("law", both(lever), ids=["compiled", "plain"])
@settings(deadline=None)
@given(angle=numbers, x=numbers, z=numbers)
def test_lever_turns_nose_up(law, angle, x, z):
    turned = complex(x, z) * cmath.exp(1j * angle)
    assert law(frame_of(pose_of(9.0, 9.0, angle)), place_of(x, z)) == pytest.approx(
        (turned.real, turned.imag), abs=1e-12
    )


def test_nose_up_lifts_the_nose():
    assert lever(frame_of(pose_of(0.0, 0.0, 0.1)), place_of(1.0, 0.0))[1] > 0.0


@settings(deadline=None)
@given(angle=numbers, x=numbers, z=numbers, v_x=numbers, v_z=numbers, spin=numbers)
def test_velocity_is_the_rate_of_the_place(angle, x, z, v_x, v_z, spin):
    place, h = place_of(x, z), 1e-6

    def at(t):
        pose = pose_of(v_x * t, v_z * t, angle + spin * t)
        arm = lever(frame_of(pose), place)
        return complex(pose.x + arm[0], pose.z + arm[1])

    moved = (at(h) - at(-h)) / (2.0 * h)
    rate, arm = pose_of(v_x, v_z, spin), lever(frame_of(pose_of(0.0, 0.0, angle)), place)
    for law in both(velocity_at):
        assert law(rate, *arm) == pytest.approx((moved.real, moved.imag), abs=1e-6)


@settings(deadline=None)
@given(angle=numbers, x=numbers, z=numbers, f_x=numbers, f_z=numbers, v_x=numbers, v_z=numbers, spin=numbers)
def test_power_of_a_push_is_force_times_velocity_of_its_point(angle, x, z, f_x, f_z, v_x, v_z, spin):
    arm = lever(frame_of(pose_of(0.0, 0.0, angle)), place_of(x, z))
    moved = velocity_at(pose_of(v_x, v_z, spin), *arm)
    for law in both(push_at):
        total = pose_of(1.0, 2.0, 3.0)
        law(total, *arm, f_x, f_z)
        power = (total.x - 1.0) * v_x + (total.z - 2.0) * v_z + (total.angle - 3.0) * spin
        assert power == pytest.approx(f_x * moved[0] + f_z * moved[1], abs=1e-9)
