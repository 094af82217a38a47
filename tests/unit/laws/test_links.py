"""Constraint rows against differences of the distances they keep, and a link against the textbook double
pendulum.
"""

import math

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from simcore.compiled import AXLE, LINK, POSE, ROW, blank
from simcore.laws.frame import frame_of
from simcore.laws.links import arm_rows, axle_rows, link_row

RANDOM = np.random.default_rng(20240611)
# Pose, rate and acceleration of both bodies.
MOTIONS = [tuple(RANDOM.uniform(-size, size, (2, 3)) for size in (1, 4, 9)) for _ in range(6)]
PINS = [((0.11, -0.03), (0.02, 0.05)), ((-0.4, 0.2), (0.3, -0.1))]


def both(law):
    """The law compiled and as plain Python."""
    return [law, getattr(law, "py_func", law)]


def bodies(poses, rates):
    """Axes and rates of both bodies, one after the other."""
    for pose, rate in zip(poses, rates, strict=True):
        yield from (frame_of(pose_of(pose)), pose_of(rate))


def pose_of(numbers):
    pose = blank(POSE)[0]
    pose.x, pose.z, pose.angle = numbers
    return pose


def link_of(chassis, axle, length):
    link = blank(LINK, math.nan)[0]
    (link.chassis.x, link.chassis.z), (link.axle.x, link.axle.z), link.length = chassis, axle, length
    return link


def pin(pose, place):
    c, s = math.cos(pose[2]), math.sin(pose[2])
    return np.array([pose[0] + c * place[0] - s * place[1], pose[1] + s * place[0] + c * place[1]])


def jacobian(row):
    """Row over the six coordinates: chassis, then axle."""
    u = (row.u.x, row.u.z)
    return np.array([*u, row.chassis_lever, -u[0], -u[1], -row.axle_lever])


def differences(kept, pose, rate, acceleration):
    """Value, first and second rate of a kept quantity along a motion with that rate and acceleration."""
    h = 2e-4
    values = [kept(pose + rate * t + 0.5 * acceleration * t * t) for t in (-2 * h, -h, 0.0, h, 2 * h)]
    first = (values[0] - 8 * values[1] + 8 * values[3] - values[4]) / (12 * h)
    second = (-values[0] + 16 * values[1] - 30 * values[2] + 16 * values[3] - values[4]) / (12 * h * h)
    return values[2], first, second


def check_row(row, kept, pose, rate, acceleration):
    value, first, second = differences(kept, pose, rate, acceleration)
    assert row.error == pytest.approx(value, abs=1e-12)
    assert row.error_rate == pytest.approx(first, rel=1e-6, abs=1e-7)
    assert jacobian(row) @ rate.ravel() == pytest.approx(first, rel=1e-6, abs=1e-7)
    assert jacobian(row) @ acceleration.ravel() + row.bias == pytest.approx(second, rel=1e-5, abs=1e-5)


@pytest.mark.parametrize("law", both(link_row), ids=["compiled", "plain"])
@pytest.mark.parametrize("motion", MOTIONS)
@pytest.mark.parametrize("pins", PINS)
def test_link_row_against_differences(law, motion, pins):
    pose, rate, acceleration = motion
    length, row = 0.37, blank(ROW, math.nan)[0]
    law(
        row,
        link_of(*pins, length),
        frame_of(pose_of(pose[0])),
        pose_of(rate[0]),
        frame_of(pose_of(pose[1])),
        pose_of(rate[1]),
    )
    check_row(
        row,
        lambda p: np.linalg.norm(pin(p[0], pins[0]) - pin(p[1], pins[1])) - length,
        pose,
        rate,
        acceleration,
    )


@pytest.mark.parametrize("law", both(arm_rows), ids=["compiled", "plain"])
@pytest.mark.parametrize("motion", MOTIONS)
def test_arm_rows_against_differences(law, motion):
    pose, rate, acceleration = motion
    led = np.full(2 * ROW.itemsize // 8, math.nan).view(ROW)
    law(
        led,
        link_of(*PINS[0], 1.0),
        frame_of(pose_of(pose[0])),
        pose_of(rate[0]),
        frame_of(pose_of(pose[1])),
        pose_of(rate[1]),
    )

    def gap(p):
        """Between the pins, in axes that turn with the housing and now lie along x and z."""
        c, s = math.cos(p[1][2] - pose[1][2]), math.sin(p[1][2] - pose[1][2])
        return np.array([[c, s], [-s, c]]) @ (pin(p[0], PINS[0][0]) - pin(p[1], PINS[0][1]))

    for i in (0, 1):
        check_row(led[i], lambda p, i=i: gap(p)[i], pose, rate, acceleration)
    # both levers end at the chassis pin, so that the pair of forces has no moment about it
    arms = pin(pose[0], PINS[0][0]) - pose[:, :2]
    assert [row.chassis_lever for row in led] == pytest.approx([-arms[0][1], arms[0][0]])
    assert [row.axle_lever for row in led] == pytest.approx([-arms[1][1], arms[1][0]])


@pytest.mark.parametrize("arm", [0.0, 1.0])
def test_axle_chooses_its_rows(arm):
    pose, rate, _ = MOTIONS[0]
    axle, rows = blank(AXLE, math.nan)[0], np.full(2 * ROW.itemsize // 8, math.nan).view(ROW)
    axle.arm = arm
    for link, pins, length in zip(axle.link, PINS, (0.3, 0.5), strict=True):
        (link.chassis.x, link.chassis.z), (link.axle.x, link.axle.z), link.length = *pins, length
    axle_rows(rows, axle, *bodies(pose, rate))
    if arm:
        assert [(row.u.x, row.u.z) for row in rows] == [(1.0, 0.0), (0.0, 1.0)]
        assert [row.error for row in rows] == pytest.approx(
            list(pin(pose[0], PINS[0][0]) - pin(pose[1], PINS[0][1]))
        )
    else:
        for row, pins, length in zip(rows, PINS, (0.3, 0.5), strict=True):
            distance = np.linalg.norm(pin(pose[0], pins[0]) - pin(pose[1], pins[1]))
            assert row.error == pytest.approx(distance - length)


def test_body_hung_on_a_link_is_the_double_pendulum():
    """A link without mass from a fixed pin, a bar on its end: one second of motion against the equations in
    two angles.

    The angles are measured from the downward vertical, l the link, d from its end to the bar's centre, m and
    I the bar (Lagrange): ``[[l, d cos q], [l cos q, d + I/(m d)]] [a'', b''] = [-g sin a + d b'^2 sin(b - a),
    -g sin b - l a'^2 sin(b - a)]``, q = b - a.
    """
    m, inertia, l, d, g = 0.4, 0.0012, 0.12, 0.05, 9.81
    start = np.array([0.9, -0.5, 2.0, -6.0])  # angles, rates

    def textbook(_t, y):
        a, b, a_rate, b_rate = y
        q = b - a
        matrix = [[l, d * math.cos(q)], [l * math.cos(q), d + inertia / (m * d)]]
        right = [
            -g * math.sin(a) + d * b_rate**2 * math.sin(q),
            -g * math.sin(b) - l * a_rate**2 * math.sin(q),
        ]
        return [a_rate, b_rate, *np.linalg.solve(matrix, right)]

    def place(a, b):
        return np.array([l * math.sin(a) + d * math.sin(b), -l * math.cos(a) - d * math.cos(b), b])

    link, fixed = link_of((0.0, 0.0), (0.0, d), l), pose_of((0.0, 0.0, 0.0))
    weights = np.array([m, m, inertia])

    def constrained(_t, y):
        row = blank(ROW)[0]
        link_row(row, link, frame_of(fixed), fixed, frame_of(pose_of(y[:3])), pose_of(y[3:]))
        on_body, free = jacobian(row)[3:], np.array([0.0, -g, 0.0])
        push = -(on_body @ free + row.bias) / (on_body @ (on_body / weights))
        return [*y[3:], *(free + push * on_body / weights)]

    a, b, a_rate, b_rate = start
    rate = [
        l * a_rate * math.cos(a) + d * b_rate * math.cos(b),
        l * a_rate * math.sin(a) + d * b_rate * math.sin(b),
        b_rate,
    ]
    ours = solve_ivp(constrained, (0.0, 1.0), [*place(a, b), *rate], "DOP853", rtol=1e-10, atol=1e-12).y[
        :3, -1
    ]
    angles = solve_ivp(textbook, (0.0, 1.0), start, "DOP853", rtol=1e-10, atol=1e-12).y[:2, -1]
    assert ours == pytest.approx(place(*angles), abs=1e-6)


def test_hanging_weight_puts_the_link_in_tension():
    """At rest below the pin: the multiplier, compression positive, is minus the weight."""
    row, fixed = blank(ROW)[0], pose_of((0.0, 0.0, 0.0))
    hung = frame_of(pose_of((0.0, -0.15, 0.0)))
    link_row(row, link_of((0.0, 0.0), (0.0, 0.05), 0.1), frame_of(fixed), fixed, hung, fixed)
    on_body = jacobian(row)[3:]
    push = -(on_body @ np.array([0.0, -9.81, 0.0]) + row.bias) / (
        on_body @ (on_body / np.array([2.0, 2.0, 0.01]))
    )
    assert push == pytest.approx(-2.0 * 9.81)
