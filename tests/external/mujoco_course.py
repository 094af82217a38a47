"""Ground of straight pieces and upright faces under a round tyre, a second time, from the definition.

`A` is the area of the tyre's disc that lies in the ground, added up here in upright columns between the
disc's lower rim and the ground, each stretch of them by the integral of a half circle. `S` adds up, over the
pieces, length inside the disc times normal. The load is `p(A) S`, in which `p` asks for `A` alone.
"""

import math

import numba
import numpy as np

PIECES = 8
ENDLESS = 100.0  # m, how far the first piece reaches back and the last one on
f8 = np.float64
COURSE = np.dtype(
    [("x", f8, (PIECES + 1,)), ("z", f8, (PIECES + 1,)), ("grip", f8, (PIECES,)), ("count", f8)]
)


def fill_course(course, ground):
    """Corners and grips of a scenario's ground; it begins at the origin and reaches on without end."""
    straight = [(1.0, ground.slope, ground.grip)] if not ground.pieces else []
    for piece in ground.pieces:
        up = None if piece.ledge is None else math.copysign(math.pi / 2.0, piece.ledge)
        straight.append(
            (piece.length, piece.slope, piece.grip) if up is None else (abs(piece.ledge), up, piece.grip)
        )
    ends = [(0.0, 0.0)]
    for length, slope, _ in straight:
        run = 0.0 if abs(slope) == math.pi / 2.0 else length * math.cos(slope)  # a face is upright, exactly
        ends.append((ends[-1][0] + run, ends[-1][1] + length * math.sin(slope)))
    grips = [grip for _, _, grip in straight]
    first, last = np.subtract(ends[1], ends[0]), np.subtract(ends[-1], ends[-2])
    ends[0] = tuple(ends[0] - ENDLESS * first / math.hypot(*first))
    ends[-1] = tuple(ends[-1] + ENDLESS * last / math.hypot(*last))
    course["count"] = len(grips)
    course["grip"][: len(grips)] = grips
    course["x"][: len(ends)], course["z"][: len(ends)] = np.transpose(ends)


@numba.njit
def half_circle(u, radius):
    """Integral of the height of a half circle from its middle to u."""
    u = min(max(u, -radius), radius)
    return 0.5 * (u * math.sqrt(radius * radius - u * u) + radius * radius * math.asin(u / radius))


@numba.njit
def crossings(x, z, d_x, d_z, radius):
    """Where a line meets a circle about the origin: ways from (x, z) in lengths of (d_x, d_z), ascending;
    twice the nearest place where it does not.
    """
    square = d_x * d_x + d_z * d_z
    middle = -(x * d_x + z * d_z) / square
    off = (x * d_z - z * d_x) / math.sqrt(square)
    half = math.sqrt(max(radius * radius - off * off, 0.0) / square)
    return middle - half, middle + half


@numba.njit
def columns(x, z, d_x, d_z, radius):
    """Area of the disc about the origin under the piece from (x, z) on by (d_x, d_z), d_x > 0."""
    first, last = max(x, -radius), min(x + d_x, radius)
    if last <= first:
        return 0.0
    low, high = crossings(x, z, d_x, d_z, radius)
    cuts = (first, min(max(x + low * d_x, first), last), min(max(x + high * d_x, first), last), last)
    area = 0.0
    for k in range(3):
        a, b = cuts[k], cuts[k + 1]
        u = 0.5 * (a + b)
        rim = math.sqrt(max(radius * radius - u * u, 0.0))
        ground = z + (u - x) * d_z / d_x
        circle = half_circle(b, radius) - half_circle(a, radius)
        if ground >= rim:
            area += 2.0 * circle
        elif ground > -rim:
            area += ground * (b - a) + circle
    return area


@numba.njit
def overlap(course, x, z, radius):
    """Area of the disc in the ground, and over the pieces inside it the sums of length times normal (x, z),
    of length, and of length times grip.
    """
    area, s_x, s_z, length, gripped = 0.0, 0.0, 0.0, 0.0, 0.0
    for k in range(int(course.count)):
        p_x, p_z = course.x[k] - x, course.z[k] - z
        d_x, d_z = course.x[k + 1] - course.x[k], course.z[k + 1] - course.z[k]
        if d_x > 0.0:
            area += columns(p_x, p_z, d_x, d_z, radius)
        low, high = crossings(p_x, p_z, d_x, d_z, radius)
        inside = min(high, 1.0) - max(low, 0.0)
        if inside > 0.0:
            s_x -= inside * d_z
            s_z += inside * d_x
            length += inside * math.hypot(d_x, d_z)
            gripped += inside * math.hypot(d_x, d_z) * course.grip[k]
    return area, s_x, s_z, length, gripped


@numba.njit
def nearest(course, x, z):
    """Direction from the nearest place of the ground to (x, z), and the grip there."""
    best, n_x, n_z, grip = math.inf, 0.0, 1.0, 1.0
    for k in range(int(course.count)):
        d_x, d_z = course.x[k + 1] - course.x[k], course.z[k + 1] - course.z[k]
        way = ((x - course.x[k]) * d_x + (z - course.z[k]) * d_z) / (d_x * d_x + d_z * d_z)
        way = min(max(way, 0.0), 1.0)
        f_x, f_z = x - course.x[k] - way * d_x, z - course.z[k] - way * d_z
        far = math.hypot(f_x, f_z)
        if far < best:
            best, n_x, n_z, grip = far, f_x / far, f_z / far, course.grip[k]
    return n_x, n_z, grip


@numba.njit
def pressed(radius, stiffness, area):
    """Pressure of an overlap and its equivalent deflection s, of a plane: `3 A = 4 sqrt(2 R) s^(3/2)`."""
    if area <= 0.0:
        return 0.0, 0.0
    deflection = (3.0 * area / (4.0 * math.sqrt(2.0 * radius))) ** (2.0 / 3.0)
    pressure = stiffness * deflection / (2.0 * math.sqrt(2.0 * radius * deflection - deflection**2))
    return pressure + 30.0 * stiffness * (deflection / radius) ** 9, deflection


@numba.njit
def contact(course, x, z, radius, stiffness):
    """Elastic load of a tyre with its centre at (x, z), its direction (x, z), equivalent deflection, grip."""
    area, s_x, s_z, length, gripped = overlap(course, x, z, radius)
    size = math.hypot(s_x, s_z)
    if size == 0.0 or area <= 0.0:
        n_x, n_z, grip = nearest(course, x, z)
        return 0.0, n_x, n_z, 0.0, grip
    pressure, deflection = pressed(radius, stiffness, area)
    return pressure * size, s_x / size, s_z / size, deflection, gripped / length
