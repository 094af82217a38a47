"""Overlap of a disc with the ground: area, push, energy and load against independent ways to get them."""

import math
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from simcore.compiled import CONTACT, blank
from simcore.laws.ground import deflection_of, normal_force, overlap_energy, pressure, touch
from simcore.rig.course import course

RADIUS, STIFFNESS = 0.06, 4000.0
ORIGIN = -0.2  # m, where every ground begins
QUARTER = math.pi / 2.0
GROUNDS = {
    "level": [(0.5, 0.0, 1.0)],
    "slope": [(0.6, 0.5, 1.0)],
    "ledge": [(0.2, 0.0, 1.0), (0.03, QUARTER, 0.5), (0.2, 0.0, 1.0)],
    "ledge down": [(0.2, 0.1, 1.0), (0.04, -QUARTER, 0.5), (0.2, 0.0, 1.0)],
    "crest": [(0.2, 0.6, 1.0), (0.2, -0.4, 1.0)],
    "valley": [(0.2, -0.5, 1.0), (0.2, 0.7, 1.0)],
    "wall": [(0.2, 0.0, 1.0), (0.15, QUARTER, 0.5), (0.2, 0.0, 1.0)],
    "rubble": [(0.19, 0.0, 1.0), (0.01, 0.9, 1.0), (0.015, -0.7, 1.0), (0.02, 0.4, 1.0), (0.2, 0.0, 1.0)],
}


def both(law):
    """The law compiled and as plain Python."""
    return [law, getattr(law, "py_func", law)]


def ground_of(pieces):
    return course(pieces, origin=ORIGIN)


def touched(ground, x, z, radius=RADIUS, law=touch):
    contact = blank(CONTACT, math.nan)[0]
    law(contact, ground, x, z, radius)
    return contact


def corners(pieces):
    """Corner points of the ground line."""
    points = [np.array([ORIGIN, 0.0])]
    for length, slope, _ in pieces:
        points.append(points[-1] + length * np.array([math.cos(slope), math.sin(slope)]))
    return np.array(points)


def area_by_strips(pieces, x, z, radius=RADIUS):
    """Area of the disc below the ground line, summed over upright strips (Gauss-Legendre between the
    corners).
    """
    points = corners(pieces)
    nodes, weights = np.polynomial.legendre.leggauss(100)
    total = 0.0
    # A strip that starts or ends at a rim of the disc has a root there; the angle as variable takes it away.
    edges = [p for p in points[:, 0] if abs(p - x) < radius]
    cuts = np.unique(np.array([-1.0, *[(p - x) / radius for p in edges], *np.linspace(-1.0, 1.0, 80)]))
    for low, high in zip(np.arcsin(cuts[:-1]), np.arcsin(cuts[1:]), strict=True):
        angle = 0.5 * (high - low) * nodes + 0.5 * (high + low)
        column, half = x + radius * np.sin(angle), radius * np.cos(angle)
        height = np.interp(column, *_single_valued(points, 0.5 * (column.min() + column.max())))
        depth = np.clip(height - (z - half), 0.0, 2.0 * half)
        total += 0.5 * (high - low) * (weights * depth * half).sum()
    return total


def _single_valued(points, middle):
    """The piece of ground around `middle`: an upright ledge has two heights at one place."""
    for start, end in pairwise(points):
        if start[0] - 1e-12 <= middle <= end[0] + 1e-12 and end[0] - start[0] > 1e-9:
            return np.array([start[0], end[0]]), np.array([start[1], end[1]])
    raise AssertionError(f"no ground at {middle}")


def height_of(pieces, x):
    start, z = _single_valued(corners(pieces), x)
    return float(np.interp(x, start, z))


@pytest.mark.parametrize("law", both(touch), ids=["compiled", "plain"])
@pytest.mark.parametrize("deflection", [0.0005, 0.003, 0.010])
def test_level_ground_is_a_circle_segment(law, deflection):
    contact = touched(ground_of(GROUNDS["level"]), 0.03, RADIUS - deflection, law=law)
    half = math.acos(1.0 - deflection / RADIUS)
    assert contact.area == pytest.approx(RADIUS**2 * (half - math.sin(half) * math.cos(half)), rel=1e-9)
    assert (contact.push.x, contact.push.z) == pytest.approx((0.0, 2.0 * RADIUS * math.sin(half)), abs=1e-12)
    assert (contact.normal.x, contact.normal.z, contact.along.x, contact.along.z) == pytest.approx(
        (0, 1, 1, 0), abs=1e-12
    )
    assert (contact.foot.x, contact.foot.z) == pytest.approx((0.03, 0.0), abs=1e-12)


@pytest.mark.parametrize("name", GROUNDS)
@pytest.mark.parametrize("x", [-0.05, -0.02, 0.0, 0.01, 0.03])
def test_area_below_the_ground_line(name, x):
    pieces = GROUNDS[name]
    z = height_of(pieces, x) + 0.85 * RADIUS
    assert touched(ground_of(pieces), x, z).area == pytest.approx(area_by_strips(pieces, x, z), rel=2e-5)


slopes = st.floats(-1.2, 1.2)
lengths = st.floats(0.004, 0.05)


@settings(max_examples=40, deadline=None)
@given(
    st.lists(st.tuples(lengths, slopes), min_size=0, max_size=5), st.floats(-0.04, 0.04), st.floats(0.3, 0.95)
)
def test_random_ground(middle, x, share):
    pieces = [(0.2, 0.0, 1.0), *[(length, slope, 1.0) for length, slope in middle], (0.3, 0.2, 1.0)]
    z = height_of(pieces, x) + share * RADIUS
    contact, ground = touched(ground_of(pieces), x, z), ground_of(pieces)
    assert contact.area == pytest.approx(area_by_strips(pieces, x, z), rel=1e-4, abs=1e-9)
    step = 1e-7
    if contact.area > 1e-6:
        for push, d in ((contact.push.x, (step, 0.0)), (contact.push.z, (0.0, step))):
            ahead, behind = (touched(ground, x + way * d[0], z + way * d[1]).area for way in (1.0, -1.0))
            assert push == pytest.approx(-(ahead - behind) / (2.0 * step), rel=1e-4, abs=2e-5)


def ground_line(pieces):
    """Points along the ground, evenly dense (about one in 1.5 micrometres)."""
    points = corners(pieces)
    return np.concatenate(
        [np.linspace(a, b, int(math.dist(a, b) / 1.5e-6), endpoint=False) for a, b in pairwise(points)]
    )


@pytest.mark.parametrize("name", GROUNDS)
@pytest.mark.parametrize("x", [-0.03, 0.01])
def test_foot_is_the_mean_ground_point_in_the_disc(name, x):
    pieces, line = GROUNDS[name], ground_line(GROUNDS[name])
    z = height_of(pieces, x) + 0.9 * RADIUS
    contact = touched(ground_of(pieces), x, z)
    inside = line[np.hypot(line[:, 0] - x, line[:, 1] - z) < RADIUS]
    assert (contact.foot.x, contact.foot.z) == pytest.approx(tuple(inside.mean(axis=0)), abs=1e-5)


@pytest.mark.parametrize("name", GROUNDS)
@pytest.mark.parametrize("x", [-0.045, -0.011, 0.004, 0.027])
def test_push_is_the_slope_of_the_area(name, x):
    ground, z, step = ground_of(GROUNDS[name]), height_of(GROUNDS[name], x) + 0.9 * RADIUS, 1e-6
    contact = touched(ground, x, z)
    slope_x = (touched(ground, x + step, z).area - touched(ground, x - step, z).area) / (2.0 * step)
    slope_z = (touched(ground, x, z + step).area - touched(ground, x, z - step).area) / (2.0 * step)
    assert (contact.push.x, contact.push.z) == pytest.approx((-slope_x, -slope_z), rel=1e-4, abs=1e-6)


@pytest.mark.parametrize("deflection", [1e-5, 1e-3, 5e-3, 0.17 * RADIUS])
def test_load_on_the_flat_is_stiffness_times_deflection(deflection):
    """Within 2 % up to a deflection of 0.17 R."""
    contact = touched(ground_of(GROUNDS["level"]), 0.0, RADIUS - deflection)
    load, equivalent, lost = normal_force(contact, RADIUS, STIFFNESS, 30.0, 0.0, 0.0)
    assert load == pytest.approx(STIFFNESS * deflection, rel=0.02)
    assert equivalent == pytest.approx(deflection, rel=0.02)
    assert lost == 0.0


@pytest.mark.parametrize("depth", [1e-4, 2e-3, 8e-3])
def test_stored_energy_is_the_integral_of_pressure_over_area(depth):
    """Pressure summed over the area from first touch, by Gauss-Legendre in the deflection; dA = 2 sqrt(2 R d)
    dd from the deflection law.
    """
    nodes, weights = np.polynomial.legendre.leggauss(60)
    deflection = 0.5 * depth * (nodes + 1.0)
    areas = 4.0 * math.sqrt(2.0 * RADIUS) / 3.0 * deflection**1.5
    assert [deflection_of(a, RADIUS) for a in areas] == pytest.approx(list(deflection), rel=1e-12)
    pressures = [pressure(deflection_of(a, RADIUS), RADIUS, STIFFNESS) for a in areas]
    work = (weights * pressures * 2.0 * np.sqrt(2.0 * RADIUS * deflection)).sum() * 0.5 * depth
    for law in both(overlap_energy):
        assert law(depth, RADIUS, STIFFNESS) == pytest.approx(work, rel=1e-6)
    assert overlap_energy(0.0, RADIUS, STIFFNESS) == 0.0


def elastic_force(ground, x, z):
    contact = touched(ground, x, z)
    load, deflection, _ = normal_force(contact, RADIUS, STIFFNESS, 0.0, 0.0, 0.0)
    return load * contact.normal.x, load * contact.normal.z, overlap_energy(deflection, RADIUS, STIFFNESS)


@pytest.mark.parametrize("name", ["ledge", "crest", "valley", "rubble"])
def test_a_loop_over_the_ground_gives_no_work(name):
    """Around a closed path, partly in the air, the work of the ground is nil, and everywhere it is the loss
    of stored energy.
    """
    ground = ground_of(GROUNDS[name])
    angle = np.linspace(0.0, 2.0 * math.pi, 4001)
    path_x = -0.02 + 0.035 * np.cos(angle)
    path_z = height_of(GROUNDS[name], -0.02) + 0.075 + 0.025 * np.sin(angle)
    forces = np.array([elastic_force(ground, x, z) for x, z in zip(path_x, path_z, strict=True)])
    steps = np.stack([np.diff(path_x), np.diff(path_z)], axis=1)
    work = (0.5 * (forces[1:, :2] + forces[:-1, :2]) * steps).sum(axis=1)
    turned_over = np.abs(work).sum()
    assert turned_over > 0.01
    assert abs(work.sum()) < 1e-5 * turned_over
    assert np.cumsum(work) == pytest.approx(forces[0, 2] - forces[1:, 2], abs=1e-4 * turned_over)


def test_force_is_continuous_over_a_corner():
    ground = ground_of(GROUNDS["ledge"])
    xs = np.linspace(-0.07, 0.02, 3001)
    forces = np.array([elastic_force(ground, x, 0.03 + 0.9 * RADIUS)[:2] for x in xs])
    assert np.abs(np.diff(forces, axis=0)).max() < 0.01 * np.abs(forces).max()


@pytest.mark.parametrize("law", both(normal_force), ids=["compiled", "plain"])
@settings(max_examples=50, deadline=None)
@given(deflection=st.floats(1e-6, 0.01), rise=st.floats(-20.0, 20.0), along=st.floats(-20.0, 20.0))
def test_ground_never_pulls_and_damping_never_gives(law, deflection, rise, along):
    contact = touched(ground_of(GROUNDS["level"]), 0.0, RADIUS - deflection)
    load, depth, lost = law(contact, RADIUS, STIFFNESS, 30.0, along, rise)
    elastic = STIFFNESS * deflection
    assert load >= 0.0 and lost >= 0.0
    free = elastic - 30.0 * min(depth / 0.001, 1.0) * rise  # damping fades in over the first millimetre
    assert load == pytest.approx(max(free, 0.0), abs=0.02 * elastic)


def test_grip_is_weighted_by_contact_length():
    pieces = [(0.2, 0.0, 1.0), (0.2, 0.0, 0.1)]
    deflection = 0.004
    half = math.sqrt(2.0 * RADIUS * deflection - deflection**2)
    for x in (-2.0 * half, -0.5 * half, 0.0, 0.3 * half, 2.0 * half):
        on_ice = min(max(half + x, 0.0), 2.0 * half) / (2.0 * half)
        contact = touched(ground_of(pieces), x, RADIUS - deflection)
        assert contact.grip == pytest.approx(1.0 - 0.9 * on_ice, rel=1e-9)
        whole = touched(ground_of([(0.4, 0.0, 1.0)]), x, RADIUS - deflection)
        assert contact.area == pytest.approx(whole.area, rel=1e-9)  # a joint in the flat changes nothing


@pytest.mark.parametrize("law", both(touch), ids=["compiled", "plain"])
@pytest.mark.parametrize("name", GROUNDS)
@pytest.mark.parametrize("x", [-0.1, -0.01, 0.02, 0.08])
def test_in_the_air_the_foot_is_the_nearest_point(law, name, x):
    pieces, z = GROUNDS[name], height_of(GROUNDS[name], x) + 0.3
    contact = touched(ground_of(pieces), x, z, law=law)
    points = corners(pieces)
    dense = np.concatenate([np.linspace(a, b, 20001) for a, b in pairwise(points)])
    distance = np.hypot(dense[:, 0] - x, dense[:, 1] - z)
    foot = np.array([contact.foot.x, contact.foot.z])
    assert contact.area == 0.0 and (contact.push.x, contact.push.z) == (0.0, 0.0)
    assert math.dist(foot, (x, z)) == pytest.approx(distance.min(), rel=1e-6)
    outward = (np.array([x, z]) - foot) / distance.min()
    assert (contact.normal.x, contact.normal.z) == pytest.approx(tuple(outward), abs=1e-6)
    assert (contact.along.x, contact.along.z) == pytest.approx((outward[1], -outward[0]), abs=1e-6)
    assert normal_force(contact, RADIUS, STIFFNESS, 30.0, 0.0, -1.0) == (0.0, 0.0, 0.0)


@pytest.mark.parametrize("law", both(touch), ids=["compiled", "plain"])
def test_in_the_air_over_a_corner_rounding_does_not_choose_the_grip(law):
    """Both pieces are equally near there; grips that took turns would make the motion rough."""
    pieces = [(0.3512, 0.17, 1.0), (0.2, -0.38, 0.5)]
    x, z = corners(pieces)[1]
    angles, far = math.pi / 2.0 + np.linspace(-0.37, 0.16, 200), 0.07
    places = [(x + far * math.cos(angle), z + far * math.sin(angle)) for angle in angles]
    found = [touched(ground_of(pieces), *place, law=law) for place in places]
    assert {contact.grip for contact in found} == {1.0}
    for contact in found:
        assert math.dist((contact.foot.x, contact.foot.z), (x, z)) < 1e-12


def test_a_disc_pressed_in_beyond_its_centre_is_held_ever_harder():
    """Area and force go on growing while the centre passes below the ground: nothing falls through."""
    contact, flat, radius = blank(CONTACT)[0], course([(2.0, 0.0, 1.0)], origin=-1.0), 0.005
    depths = np.linspace(0.1, 1.6, 61) * radius
    areas, loads = [], []
    for depth in depths:
        touch(contact, flat, 0.0, radius - depth, radius)
        areas.append(contact.area)
        loads.append(normal_force(contact, radius, 2e4, 0.0, 0.0, 0.0)[0])
    cut = radius**2 * np.arccos(1.0 - depths / radius)
    cut -= (radius - depths) * np.sqrt(radius**2 - (radius - depths) ** 2)
    np.testing.assert_allclose(areas, cut, rtol=1e-9)
    assert (np.diff(loads) > 0.0).all()
