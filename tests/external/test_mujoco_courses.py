"""Runs over ledges, crests and drops in MuJoCo, as in `test_mujoco_runs`, and the overlap law beneath them.

The ground is written a second time in `mujoco_course`: the area of the tyre's disc in the ground in upright
columns. What is said of it here is checked without the program: against sums over a fine raster, against the
formula for a plane, and for being the gradient of its own area.
"""

import math

import numpy as np
import pytest
from mujoco_course import COURSE, contact, fill_course, overlap
from mujoco_laws import flat_load
from mujoco_witness import SAME, SCENARIOS, Case, largest, run_of, shares
from sparing import few

import simcore
from simcore.compiled import LEDGER, blank
from simcore.laws.ground import touch
from simcore.rig.course import course_of


def creep(speed, duration, *pieces):
    """A rig that drives at a held speed (m/s) over a course."""
    held = {"driver.speed": [[0, 0], [0.1, speed]], "skids": []}
    return {"end.duration": duration, "ground.slope": 0, "ground.pieces": list(pieces)} | held


END = {"length": 3000}
LEDGE = creep(0.3, 0.8, {"length": 400}, {"ledge": 30, "grip": 90}, END | {"grip": 80})
CREST = creep(0.3, 0.6, {"length": 350, "slope": 20}, END | {"slope": -5, "grip": 90})
TOP = creep(0.3, 0.6, {"length": 350, "slope": 20}, END)
DROP = creep(1.2, 0.8, {"length": 450}, {"ledge": -60}, END)
CASES = {
    "up a ledge": Case("slow_creep", LEDGE, (4e-5,)),
    "over a crest, downhill": Case("slow_creep", CREST, (2e-5,)),
    "over a crest, level": Case("slow_creep", TOP, (2e-5,)),
    "down a drop at speed": Case("slow_creep", DROP, (1e-5,)),
}
MOVED = [
    ("up a ledge", "ground.pieces.1.ledge", 31),
    ("up a ledge", "ground.pieces.0.grip", 99),
    ("up a ledge", "ground.pieces.1.grip", 89.1),
    ("up a ledge", "ground.pieces.2.grip", 79.2),
    ("up a ledge", "ground.pieces.0.length", 401),
    ("over a crest, downhill", "ground.pieces.1.grip", 89.1),
    ("over a crest, downhill", "ground.pieces.1.slope", -4.9),
    ("over a crest, level", "ground.pieces.1.slope", 0.1),
    ("down a drop at speed", "ground.pieces.1.ledge", -61),
    ("down a drop at speed", "driveline.drive", "rear"),
]
WEAKER = [("up a ledge", "deflection"), ("up a ledge", "thrust"), ("down a drop at speed", "deflection")]


@pytest.mark.parametrize("case", few(CASES))
def test_mujoco_sees_the_same_run(case):
    assert run_of(CASES[case]).sound
    witness, own = shares(CASES[case])
    np.testing.assert_allclose(witness, own, rtol=0.0, atol=SAME)


@pytest.mark.thorough
@pytest.mark.parametrize("case", CASES)
def test_the_tolerances_as_shipped_hold_within_a_hundredth(case):
    witness, own = shares(CASES[case], solver="as shipped")
    np.testing.assert_allclose(witness, own, rtol=0.0, atol=0.01)


def test_the_courses_are_what_they_are_called():
    series = {case: run_of(CASES[case]).series for case in CASES}
    for case in ("over a crest, downhill", "over a crest, level"):
        assert series[case]["ground_angle_deg"].iloc[0] > 19.9 > 15.0 > series[case]["ground_angle_deg"].min()
    assert series["up a ledge"]["pitch_deg"].max() > 5.0
    for side in ("rear", "front"):
        assert (
            series["down a drop at speed"][f"{side}_load_N"] == 0.0
        ).mean() > 0.1  # of the time, in the air


@pytest.mark.parametrize(("case", "key", "value"), few(MOVED))
def test_another_ground_is_noticed(case, key, value):
    """Grip a hundredth off on one piece, an edge a millimetre off, a slope a tenth of a degree off, one
    driven axle instead of two.
    """
    assert largest(CASES[case], moved=((key, value),)).max() > 2.0 * SAME


@pytest.mark.parametrize(("case", "force"), few(WEAKER))
def test_a_force_a_hundredth_too_small_is_noticed(case, force):
    assert largest(CASES[case], wrong=((force, 0.99),)).max() > 2.0 * SAME


# --- the overlap law ---

SCENARIO = simcore.load_scenario(SCENARIOS / "slow_creep.toml")
RADIUS, STIFFNESS = 0.059, 2200.0
GROUNDS = {
    "plane": [{"length": 300, "slope": 14}, {"length": 300, "slope": 14}],
    "ledge": [{"length": 300}, {"ledge": 30, "grip": 50}, {"length": 300, "slope": 10, "grip": 70}],
    "drop": [{"length": 300, "slope": 5, "grip": 80}, {"ledge": -40}, {"length": 300}],
    "crest": [{"length": 300, "slope": 35}, {"length": 30, "grip": 40}, {"length": 300, "slope": -50}],
    "gully": [{"length": 300, "slope": -40}, {"length": 20, "grip": 60}, {"length": 300, "slope": 30}],
}


def ground_of(name):
    """Scenario with a ground, and its course in our words."""
    path = SCENARIO.changed({"ground.pieces": GROUNDS[name], "ground.slope": 0})
    course = np.zeros(1, COURSE)
    fill_course(course[0], path.ground)
    return path, course[0]


def places(course, count=40):
    """Wheel centres about the first corner, over the ground but pressed into it, (n, 2)."""
    chance, found = np.random.default_rng(1), []
    corner = np.array([course["x"][1], course["z"][1]])
    while len(found) < count:
        x, z = corner + chance.uniform(-1.6, 1.6, 2) * RADIUS
        area = overlap(course, x, z, RADIUS)[0]
        if 1e-6 < area < 0.35 * math.pi * RADIUS**2 and height(course, x) < z:
            found.append((x, z))
    return np.array(found)


def height(course, x):
    """Height of the ground, the upper end of an upright face where there is one."""
    count = int(course["count"]) + 1
    return np.interp(x, course["x"][:count], course["z"][:count])


@pytest.mark.parametrize("name", GROUNDS)
def test_area_is_what_a_fine_raster_counts(name):
    """Columns of the disc below the ground, a hundred thousand of them."""
    _, course = ground_of(name)
    u = (np.arange(100_000) + 0.5) / 50_000 * RADIUS - RADIUS
    rim = np.sqrt(RADIUS**2 - u**2)
    for x, z in places(course):
        filled = np.clip(height(course, x + u) - (z - rim), 0.0, 2.0 * rim)
        np.testing.assert_allclose(
            overlap(course, x, z, RADIUS)[0], filled.sum() * RADIUS / 50_000, rtol=1e-4, atol=1e-9
        )


@pytest.mark.parametrize("name", GROUNDS)
def test_push_is_the_gradient_of_the_area(name):
    _, course = ground_of(name)
    step = 1e-7
    for x, z in places(course):
        push = overlap(course, x, z, RADIUS)[1:3]
        gradient = [
            (overlap(course, x - dx, z - dz, RADIUS)[0] - overlap(course, x + dx, z + dz, RADIUS)[0])
            / (2.0 * step)
            for dx, dz in ((step, 0.0), (0.0, step))
        ]
        np.testing.assert_allclose(push, gradient, rtol=0.0, atol=2e-6 * RADIUS)


def test_load_on_a_plane_is_that_of_the_formula():
    _, course = ground_of("plane")
    slope = math.radians(14)
    for high in np.linspace(0.5, 1.02, 14) * RADIUS:
        x, z = 0.2 - high * math.sin(slope), 0.2 * math.tan(slope) + high * math.cos(slope)
        load, n_x, n_z, deflection, _ = contact(course, x, z, RADIUS, STIFFNESS)
        np.testing.assert_allclose(
            [load, deflection], flat_load(RADIUS, STIFFNESS, high), rtol=1e-9, atol=1e-9
        )
        np.testing.assert_allclose([n_x, n_z], [-math.sin(slope), math.cos(slope)], rtol=0.0, atol=1e-9)


@pytest.mark.parametrize("name", GROUNDS)
def test_the_programs_overlap_is_the_same(name):
    scenario, course = ground_of(name)
    pieces, ledger = course_of(scenario), blank(LEDGER)
    for x, z in places(course):
        own = ledger[0].axle[0].tyre.contact
        touch(own, pieces, x, z, RADIUS)
        area, s_x, s_z, length, gripped = overlap(course, x, z, RADIUS)
        size = math.hypot(s_x, s_z)
        np.testing.assert_allclose(own.area, area, rtol=1e-8, atol=1e-12)
        found = [own.push.x, own.push.z, own.normal.x, own.normal.z, own.grip]
        wanted = [s_x, s_z, s_x / size, s_z / size, gripped / length]
        np.testing.assert_allclose(found, wanted, rtol=1e-8, atol=1e-10)
