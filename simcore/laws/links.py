"""Links and fixed arms: what holds an axle to the chassis, as constraints on the accelerations.

Each axle has two constraint rows. A link keeps the distance of its two pins; a fixed arm keeps a point of the
housing on a chassis pin, in x and in z.
"""

import math

from simcore.compiled import (
    AxleRecord,
    LinkRecord,
    RateRecord,
    Records,
    RowRecord,
    WayRecord,
    kernel,
)
from simcore.laws.frame import Frame, lever, velocity_at


@kernel
def _set_row(
    row: RowRecord,
    u_x: float,
    u_z: float,
    chassis_arm: tuple[float, float],
    axle_arm: tuple[float, float],
    chassis_spin: float,
    axle_spin: float,
) -> None:
    """Levers of a direction on both bodies, and the centripetal part of the relative acceleration of the
    pins.
    """
    row.u.x, row.u.z = u_x, u_z
    row.chassis_lever = chassis_arm[0] * u_z - chassis_arm[1] * u_x
    row.axle_lever = axle_arm[0] * u_z - axle_arm[1] * u_x
    chassis_part = chassis_spin * chassis_spin * (chassis_arm[0] * u_x + chassis_arm[1] * u_z)
    axle_part = axle_spin * axle_spin * (axle_arm[0] * u_x + axle_arm[1] * u_z)
    row.bias = axle_part - chassis_part


@kernel
def link_row(
    row: RowRecord,
    link: LinkRecord,
    chassis: Frame,
    chassis_rate: RateRecord,
    axle: Frame,
    axle_rate: RateRecord,
) -> None:
    """Constraint row of one link between its two pins.

    ``g = |d| - L``, ``dg/dt = u . d' = J v``, ``d2g/dt2 = J a + bias`` with ``d`` from the axle pin to the
    chassis pin,
    ``u = d/|d|`` and ``bias = (|d'|^2 - (u . d')^2)/|d| - wc^2 u . rc + wa^2 u . ra`` (the term J'v).

    Parameters
    ----------
    row : filled with u, levers, bias, error g (m), error rate (m/s)
    link : pins in body axes and length, m
    chassis, axle : axes of the bodies
    chassis_rate, axle_rate : their rates

    Notes
    -----
    The multiplier of this row is the axial force of the link, N, compression positive.

    Source: Haug, Computer-Aided Kinematics and Dynamics of Mechanical Systems, 1989, ch 3 and 6 (from
    memory).
    """
    c_x, c_z = lever(chassis, link.chassis)
    a_x, a_z = lever(axle, link.axle)
    d_x, d_z = chassis.x + c_x - axle.x - a_x, chassis.z + c_z - axle.z - a_z
    cv_x, cv_z = velocity_at(chassis_rate, c_x, c_z)
    av_x, av_z = velocity_at(axle_rate, a_x, a_z)
    v_x, v_z = cv_x - av_x, cv_z - av_z
    length = math.sqrt(d_x * d_x + d_z * d_z)
    u_x, u_z = d_x / length, d_z / length
    stretch = u_x * v_x + u_z * v_z
    _set_row(row, u_x, u_z, (c_x, c_z), (a_x, a_z), chassis_rate.angle, axle_rate.angle)
    row.bias += (v_x * v_x + v_z * v_z - stretch * stretch) / length
    row.error = length - link.length
    row.error_rate = stretch


@kernel
def arm_rows(
    rows: Records[RowRecord],
    link: LinkRecord,
    chassis: Frame,
    chassis_rate: RateRecord,
    axle: Frame,
    axle_rate: RateRecord,
) -> None:
    """Both constraint rows of an arm fixed to the housing: its pin stays on the chassis pin, in x and in z.

    ``g = d`` as seen in the turning axes of the housing, ``dg/dt = v``, the velocity of the chassis pin
    against the point of the axle body that lies on it, ``J'v = wa^2 u . ra - wc^2 u . rc - 2 u . (wa x v)``.
    Both levers therefore end at the chassis pin: the multipliers, the force of the arm on the chassis pin, N,
    along x and z, act on both bodies at one point. With an axle lever that ended at the axle's pin, the pair
    would make a moment out of the drift between the pins. Same source as `link_row`.
    """
    c_x, c_z = lever(chassis, link.chassis)
    a_x, a_z = lever(axle, link.axle)
    p_x, p_z = chassis.x + c_x - axle.x, chassis.z + c_z - axle.z
    cv_x, cv_z = velocity_at(chassis_rate, c_x, c_z)
    av_x, av_z = velocity_at(axle_rate, p_x, p_z)
    v_x, v_z = cv_x - av_x, cv_z - av_z
    _set_row(rows[0], 1.0, 0.0, (c_x, c_z), (p_x, p_z), chassis_rate.angle, axle_rate.angle)
    _set_row(rows[1], 0.0, 1.0, (c_x, c_z), (p_x, p_z), chassis_rate.angle, axle_rate.angle)
    rows[0].bias += 2.0 * axle_rate.angle * v_z
    rows[1].bias -= 2.0 * axle_rate.angle * v_x
    rows[0].error, rows[0].error_rate = p_x - a_x, v_x
    rows[1].error, rows[1].error_rate = p_z - a_z, v_z


@kernel
def axle_rows(
    rows: Records[RowRecord],
    axle: AxleRecord,
    chassis: Frame,
    chassis_rate: RateRecord,
    frame: Frame,
    rate: RateRecord,
) -> None:
    """Both constraint rows of an axle, whichever way it is located."""
    if axle.arm > 0.5:
        arm_rows(rows, axle.link[0], chassis, chassis_rate, frame, rate)
    else:
        link_row(rows[0], axle.link[0], chassis, chassis_rate, frame, rate)
        link_row(rows[1], axle.link[1], chassis, chassis_rate, frame, rate)


@kernel
def free_motion(way: WayRecord, rows: Records[RowRecord]) -> None:
    """The one motion of an axle that its links leave free with the chassis held still.

    ``u1 . v + l1 w = 0``, ``u2 . v + l2 w = 0``: the cross product of the two rows' axle parts, scaled to
    unit size with the turn counted at 0.1 m. It turns about the instant centre of the links.

    Parameters
    ----------
    way : POSE, filled: motion of the axle's centre of mass and turn of the housing
    rows : the axle's two constraint rows
    """
    one, two = rows[0], rows[1]
    x = one.u.z * two.axle_lever - one.axle_lever * two.u.z
    z = one.axle_lever * two.u.x - one.u.x * two.axle_lever
    turn = one.u.x * two.u.z - one.u.z * two.u.x
    size = math.sqrt(x * x + z * z + 0.01 * turn * turn)
    way.x, way.z, way.angle = x / size, z / size, turn / size
