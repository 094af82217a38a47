"""Loose parts become three bodies: hand sums, the half-sprung split, what counts as pitch inertia."""

import copy
import math
import tomllib
from pathlib import Path

import pytest

from simcore.files import Rig, scenario_of
from simcore.laws.shock import damper_force
from simcore.rig.masses import GRAVITY, Mass, join, lower_mount, static_pose
from simcore.rig.model import build

RAW = tomllib.loads(
    (Path(__file__).parents[3] / "scenarios" / "rigs" / "gully.toml").read_text(encoding="utf-8")
)


def bare() -> dict:
    """The rig without loose parts, links, shocks and shafts that weigh anything."""
    raw = copy.deepcopy(RAW) | {"parts": []}
    raw["driveline"]["shaft_mass"] = 0
    for end in ("rear", "front"):
        for name in ("lower_link", "upper_link", "shock"):
            raw[end][name]["mass"] = 0
    return raw


def bench(raw: dict):
    return static_pose(Rig.model_validate(raw), "x.toml")


def near(mass: Mass, *expected: float, tolerance: float = 1e-12) -> None:
    assert (mass.mass, mass.x, mass.z, mass.inertia) == pytest.approx(expected, abs=tolerance)


def test_join_adds_masses_centres_and_inertias():
    """1 kg at (0, 0) with 0.5 and 3 kg at (4, 2): centre (3, 1.5); 0.5 + 1 * 11.25 + 3 * 1.25 = 15.5 kg
    m^2.
    """
    near(join([Mass(1.0, 0.0, 0.0, 0.5), Mass(3.0, 4.0, 2.0), Mass(0.0, 99.0, 99.0)]), 4.0, 3.0, 1.5, 15.5)


def test_bare_bodies_are_as_stated():
    found = bench(bare())
    near(found.chassis, 0.335, 0.178, 0.088, 1400e-6)
    height = found.centres[0][1]
    near(found.axles[0], 0.205 + 2 * 0.150, 0.0, height, 95e-6)
    near(found.axles[1], 0.245 + 2 * 0.185, 0.315, found.centres[1][1], 110e-6)


def test_spin_inertia_counts_nowhere_in_pitch():
    heavy = bare()
    heavy["rear"]["tyre"]["spin_inertia"] *= 100
    heavy["motor"]["rotor_inertia"] *= 100
    for one, other in zip(
        (bench(heavy).chassis, *bench(heavy).axles),
        (bench(bare()).chassis, *bench(bare()).axles),
        strict=True,
    ):
        assert one == other


def test_wheels_add_mass_at_the_axle_centre_and_no_inertia_of_their_own():
    """A housing with its centre some 20 mm over and 10 mm before the wheels: parallel axes by hand."""
    raw = bare()
    raw["rear"]["housing"]["cg"] = [10, 78]
    found, housing, wheels = bench(raw), 0.205, 0.300
    height = found.centres[0][1]
    share, up = housing / (housing + wheels), 0.078 - height
    apart = housing * wheels / (housing + wheels) * (0.010**2 + up**2)
    near(found.axles[0], housing + wheels, 0.010 * share, height + up * share, 95e-6 + apart)


@pytest.mark.parametrize(
    ("key", "grams", "count", "top", "bottom"),
    [
        ("lower_link", 40, 1, (0.118, 0.066), (0.012, 0.046)),
        ("upper_link", 40, 1, (0.092, 0.092), (-0.004, 0.086)),
        ("shock", 40, 2, (0.042, 0.158), (0.003, 0.070)),
    ],
)
def test_links_and_shocks_are_half_sprung(key, grams, count, top, bottom):
    raw = bare()
    raw["rear"][key]["mass"] = grams
    half, plain, found = 0.0005 * grams * count, bench(bare()), bench(raw)
    assert found.axles[1].mass == plain.axles[1].mass
    # The heavier rig compresses its tyres more, so the axle itself is taken where it now stands.
    stood = (plain.chassis.z, found.centres[0][1])
    for body, before, z, end in zip(
        (found.chassis, found.axles[0]), (plain.chassis, plain.axles[0]), stood, (top, bottom), strict=True
    ):
        assert body.mass == pytest.approx(before.mass + half, abs=1e-15)
        assert body.x * body.mass == pytest.approx(before.x * before.mass + half * end[0], abs=1e-12)
        assert body.z * body.mass == pytest.approx(z * before.mass + half * end[1], abs=1e-12)
    x, z = top
    moved = [half * ((x - found.chassis.x) ** 2 + (z - found.chassis.z) ** 2)]
    moved.append(0.335 * ((0.178 - found.chassis.x) ** 2 + (0.088 - found.chassis.z) ** 2))
    assert found.chassis.inertia == pytest.approx(1400e-6 + sum(moved), abs=1e-12)


def test_shafts_are_half_at_the_chassis_centre_and_half_at_each_axle():
    """Where their joints are not stated."""
    raw = bare()
    raw["driveline"]["shaft_mass"] = 60
    del raw["rear"]["shaft"], raw["front"]["shaft"]
    found, plain = bench(raw), bench(bare())
    near(found.chassis, 0.335 + 2 * 0.030, 0.178, 0.088, 1400e-6)
    for axle, before in zip(found.axles, plain.axles, strict=True):
        assert axle.mass == pytest.approx(before.mass + 0.030, abs=1e-15)
        assert axle.x == pytest.approx(before.x, abs=1e-15)
        assert axle.inertia == pytest.approx(before.inertia, abs=1e-15)


def test_an_arm_is_half_sprung_too():
    raw = bare()
    del raw["rear"]["lower_link"], raw["rear"]["upper_link"]
    raw["rear"]["arm"] = {"chassis": [118, 66], "mass": 50}
    found = bench(raw)
    assert found.chassis.mass == pytest.approx(0.335 + 0.025) and found.axles[0].mass == pytest.approx(
        0.505 + 0.025
    )
    assert found.chassis.x == pytest.approx((0.335 * 0.178 + 0.025 * 0.118) / 0.360)
    assert found.axles[0].x == pytest.approx(0.0, abs=1e-15)  # the lower half at the axle centre


@pytest.mark.parametrize(("body", "place"), [("chassis", 0), ("rear", 1), ("front", 2)])
def test_parts_ride_on_their_body(body, place):
    """A box of 100 g, 60 by 20 mm: m (l^2 + h^2)/12 = 33.33 kg mm^2 of its own, and a point none."""
    boxed, point, plain = bare(), bare(), bench(bare())
    point["parts"] = [{"name": "lump", "mass": 100, "at": [50, 70], "on": body}]
    boxed["parts"] = [point["parts"][0] | {"size": [60, 20]}]
    bodies = [(table.chassis, *table.axles) for table in (bench(boxed), bench(point), plain)]
    with_box, with_point, before = (table[place] for table in bodies)
    assert with_box.inertia - with_point.inertia == pytest.approx(0.1 * (0.06**2 + 0.02**2) / 12, abs=1e-15)
    assert with_point.mass == pytest.approx(before.mass + 0.1)
    assert with_point.x * with_point.mass == pytest.approx(before.x * before.mass + 0.1 * 0.050)
    for other in {0, 1, 2} - {place}:
        assert bodies[1][other].mass == bodies[2][other].mass


def test_whole_rig_by_hand():
    """Every lump of the shipped rig summed again from its file."""
    found, axles, lumps = bench(RAW), {}, []
    for end, (x, z) in zip(("rear", "front"), found.centres, strict=True):
        part = RAW[end]
        axles[end] = (x, z)
        lumps += [(part["housing"]["mass"], x, z), (2 * part["tyre"]["wheel_mass"], x, z)]
        for link in (part["lower_link"], part["upper_link"]):
            lumps += [(link["mass"] / 2, *(1e-3 * v for v in link[pin])) for pin in ("chassis", "axle")]
        lumps += [
            (part["shock"]["mass"], *(1e-3 * v for v in part["shock"][pin])) for pin in ("chassis", "axle")
        ]
        # half a shaft of 18 g at each of its joints
        lumps += [(9, *(1e-3 * v for v in part["shaft"][pin])) for pin in ("chassis", "axle")]
    lumps += [(335, 0.178, 0.088)] + [(p["mass"], *(1e-3 * v for v in p["at"])) for p in RAW["parts"]]
    total = sum(m for m, _, _ in lumps)
    assert found.whole.mass == pytest.approx(1e-3 * total, rel=1e-12)
    assert found.whole.x == pytest.approx(sum(m * x for m, x, _ in lumps) / total, rel=1e-12)
    assert found.whole.z == pytest.approx(sum(m * z for m, _, z in lumps) / total, rel=1e-12)
    weight, share = found.whole.mass * GRAVITY, found.whole.x / 0.315
    assert found.loads == pytest.approx((weight * (1 - share), weight * share), rel=1e-12)


def test_axles_stand_lower_by_the_deflection_of_two_tyres():
    """N = k deflection, within the 2 % of the contact law."""
    found = bench(RAW)
    for (_, z), load, end in zip(found.centres, found.loads, ("rear", "front"), strict=True):
        assert 0.059 - z == pytest.approx(load / (2 * 1e3 * RAW[end]["tyre"]["stiffness"]), rel=0.02)


def test_lower_mount_on_a_link():
    """82 % of the way from (132, 70) to (6, 44)."""
    fell = tomllib.loads(
        (Path(__file__).parents[3] / "scenarios" / "rigs" / "fell.toml").read_text(encoding="utf-8")
    )
    assert lower_mount(Rig.model_validate(fell).rear) == pytest.approx(
        (0.132 - 0.82 * 0.126, 0.070 - 0.82 * 0.026)
    )


def test_records_count_both_shocks_and_both_tyres_of_an_axle():
    """Stated for one shock or tyre; compiled code sees the pair. Levers are counted from the centres of
    mass.
    """
    model = build(
        scenario_of({"title": "t", "rig": RAW, "driver": {"control": "torque", "torque": [[0, 0]]}}, "x.toml")
    )
    rear, front = model.rig.axle
    assert rear.tyre.stiffness == pytest.approx(2 * 1100) and rear.tyre.damping == pytest.approx(2 * 3)
    assert front.spin_inertia == pytest.approx(2 * 320e-6)
    assert rear.shock.spring[0].rate == pytest.approx(2 * 70)
    assert (rear.shock.compression, rear.shock.rebound) == pytest.approx((2 * 3, 2 * 4))
    assert (rear.shock.friction.breakaway, rear.shock.friction.sliding) == pytest.approx((2 * 0.16, 2 * 0.12))
    assert rear.shock.bump_stop.rate == pytest.approx(2 * 20e3)
    chassis = model.bench.chassis
    assert rear.link[0].chassis.x == pytest.approx(0.118 - chassis.x)
    assert rear.link[0].chassis.z == pytest.approx(0.066 - chassis.z)
    assert rear.link[0].length == pytest.approx(math.hypot(0.106, 0.020))
    assert rear.branch.ratio == pytest.approx(42) and front.branch.ratio == pytest.approx(42 / 1.06)
    assert rear.branch.stiffness == pytest.approx(7 / 42**2)
    assert front.branch.stiffness == pytest.approx(7 / (42 / 1.06) ** 2)


@pytest.mark.parametrize("rows", [[[-0.1, -1], [0.2, 0.5]], [[0.1, 1], [0.3, 2]], [[-0.3, -2], [-0.1, -1]]])
def test_a_damper_table_without_a_row_at_rest_gives_no_force_at_rest(rows):
    raw = copy.deepcopy(RAW)
    raw["rear"]["shock"]["damper"] = {"table": rows}
    model = build(
        scenario_of({"title": "t", "rig": raw, "driver": {"control": "torque", "torque": [[0, 0]]}}, "x.toml")
    )
    shock = model.rig.axle[0].shock
    assert damper_force(shock, 0.0) == 0.0
    for speed, force in rows:
        assert damper_force(shock, speed) == pytest.approx(2 * force)
