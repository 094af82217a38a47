"""Standing facts: masses by hand, rates against the moved axle, faults, and what does not exist."""

import copy
import dataclasses
import json
import math
import tomllib
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from scipy.optimize import root

from simcore.compiled import FRONT, LEDGER, REAR, blank
from simcore.errors import InputError
from simcore.files import scenario_of
from simcore.laws.frame import frame_of, lever
from simcore.rig.linkage_range import residual
from simcore.rig.model import build
from simcore.rig.preload import bench_state
from simcore.standing.at_rest import HELD, standing_scenario
from simcore.standing.axes import ground_axes
from simcore.standing.facts import Standing
from simcore.standing.kinematics import axle_kinematics
from simcore.standing.stand import stand
from simcore.standing.table import MEANING, table_of

RIGS = Path(__file__).parents[3] / "scenarios" / "rigs"
Raw = dict[str, Any]


def gully() -> Raw:
    return copy.deepcopy(tomllib.loads((RIGS / "gully.toml").read_text(encoding="utf-8")))


def facts_of(rig: Raw, slope: float = 0.0) -> Standing:
    table = {"title": "How?", "rig": rig, "driver": HELD, "ground": {"slope": slope}}
    return stand(scenario_of(table, "drawn.toml"))


@pytest.fixture(scope="module")
def level() -> Standing:
    return stand(standing_scenario(RIGS / "gully.toml"))


@pytest.fixture(scope="module")
def steep() -> Standing:
    return stand(standing_scenario(RIGS / "gully.toml", 25.0))


# --- masses, by hand from the rig file: (g, x mm) of what each body carries ---
CHASSIS = [(335, 178), (128, 226), (205, 150)]
CHASSIS += [(6.5, 118), (5.5, 92), (6.5, 197), (5.5, 223), (17, 42), (17, 273), (9, 128), (9, 176)]
REAR_AXLE = [(205, 0), (300, 0), (6.5, 12), (5.5, -4), (17, 3), (9, 28)]
FRONT_AXLE = [(245, 315), (370, 315), (6.5, 303), (5.5, 319), (17, 312), (9, 287), (62, 316)]


def test_masses_are_a_hand_sum(level: Standing) -> None:
    table = table_of(level)
    sums = [sum(mass for mass, _ in body) for body in (CHASSIS, REAR_AXLE, FRONT_AXLE)]
    every = CHASSIS + REAR_AXLE + FRONT_AXLE
    x = sum(mass * place for mass, place in every) / sum(sums)
    assert table["mass_g"] == pytest.approx(2002.0)
    assert sum(sums) == pytest.approx(2002.0)
    assert table["sprung_share_pct"] == pytest.approx(100.0 * sums[0] / 2002.0)
    assert [table[f"{end}_axle_mass_g"] for end in ("rear", "front")] == pytest.approx(sums[1:])
    assert table["cg_x_mm"] == pytest.approx(x)
    assert table["sprung_cg_x_mm"] == pytest.approx(sum(m * at for m, at in CHASSIS) / sums[0])
    weight = 2.002 * 9.80665
    assert table["front_level_load_N"] == pytest.approx(weight * x / 315.0, rel=1e-3)
    assert table["rear_load_N"] == pytest.approx(weight * (1.0 - x / 315.0), rel=1e-3)
    assert table["front_load_pct"] == pytest.approx(100.0 * x / 315.0, rel=1e-3)


def test_pitch_inertia_about_the_whole_centre_of_mass() -> None:
    """Two points of 1 kg at one place, or 100 mm from it to either side: 2 kg * (100 mm)^2 more."""

    def inertia(apart: float) -> float:
        rig = gully()
        rig["parts"] += [
            {"name": f"lead {side}", "mass": 1000, "at": [170 + side * apart, 80]} for side in (-1, 1)
        ]
        return float(str(table_of(facts_of(rig))["pitch_inertia_kgmm2"]))

    assert inertia(100.0) - inertia(0.0) == pytest.approx(2.0 * 100.0**2, rel=1e-6)


def test_table_has_exactly_the_meanings_and_is_json(level: Standing, steep: Standing) -> None:
    for standing in (level, steep):
        table = table_of(standing)
        assert list(table) == list(MEANING)
        assert json.loads(json.dumps(table, allow_nan=False)) == table
        assert table["remarks"] is None
    assert len(set(MEANING.values())) == len(MEANING), "every key means something of its own"


def test_ride_height_springs_hold_the_bench_stance(level: Standing) -> None:
    """Gully's shocks are 106 mm long extended; on the bench (42, 158)-(3, 70) and (273, 158)-(312, 70) mm."""
    length = math.dist((42, 158), (3, 70))
    table = table_of(level)
    for end in ("rear", "front"):
        assert table[f"{end}_sag_mm"] == pytest.approx(106.0 - length, abs=1e-3)
        assert table[f"{end}_sag_pct"] == pytest.approx((106.0 - length) / 0.28, abs=0.01)
        assert table[f"{end}_travel_change_mm"] == 0.0
        assert table[f"{end}_left_to_extended_end_mm"] == pytest.approx(106.0 - length, abs=1e-3)
        assert table[f"{end}_left_to_droop_stop_mm"] == pytest.approx(106.0 - length - 1.5, abs=1e-3)
        assert table[f"{end}_left_to_compressed_end_mm"] == pytest.approx(28 - 106 + length, abs=1e-3)
        assert table[f"{end}_left_to_bump_stop_mm"] == pytest.approx(28 - 106 + length - 1.5, abs=1e-3)
        assert table[f"{end}_shocks_stand"] == "FREE"


@pytest.mark.parametrize("name", ["gully.toml", "fell.toml"])
def test_rates_against_the_axle_moved_along_its_links(name: str) -> None:
    """Shock travel against wheel height, the links closed by root finding: l' and l'' of the polynomial."""
    scenario = standing_scenario(RIGS / name)
    here, model = stand(scenario), build(scenario)
    placed, leds = bench_state(model.bench).reshape(1), blank(LEDGER)
    for side in (REAR, FRONT):
        facts, axle = here.axles[side], model.rig.axle[side]
        heights, travels = [], facts.sag + np.linspace(-2e-3, 2e-3, 9)
        for travel in travels:
            args = (side, travel, placed, model.rigs, leds)
            moved = root(residual, np.ones(3), args=args, tol=1e-13).x - 1.0
            pose = placed[0].pose[1 + side].copy()
            pose.angle = moved[2]
            heights.append(pose.z + moved[1] + lever(frame_of(pose), axle.centre)[1])
        middle = heights[4]
        shape = np.polynomial.Polynomial.fit(np.array(heights) - middle, travels, 4).convert().coef
        assert facts.path is not None and facts.shocks.wheel_rate is not None
        assert facts.path.ratio == pytest.approx(shape[1], rel=1e-4)
        assert facts.path.ratio_change == pytest.approx(2.0 * shape[2], rel=1e-3)
        spring = axle.shock.spring[0]
        force = spring.rate * (facts.sag - spring.loose_at)
        rate = spring.rate * shape[1] ** 2 + force * 2.0 * shape[2]
        assert facts.shocks.wheel_rate == pytest.approx(rate, rel=1e-3)
        assert abs(force * 2.0 * shape[2]) > 0.01 * rate, "the second term counts"
        band = 2.0 * {"gully.toml": 0.16, "fell.toml": 0.75}[name] * abs(shape[1])
        assert facts.shocks.friction_band == pytest.approx(band, rel=1e-3)
        assert facts.shocks.friction_ride == pytest.approx(band / rate, rel=2e-3)


def test_what_is_told_of_the_level_does_not_know_the_slope(level: Standing, steep: Standing) -> None:
    here, there = table_of(level), table_of(steep)
    kept = (
        "level_load",
        "sag",
        "moves_from",
        "frequency",
        "swing",
        "damping",
        "share_pct",
        "tip_back",
        "slip_",
    )
    keys = [key for key in MEANING if any(word in key for word in kept) and "thrust" not in key]
    assert len(keys) > 20
    for key in keys:
        assert there[key] == pytest.approx(here[key], rel=1e-9), key
    assert there["rear_load_N"] != pytest.approx(here["rear_load_N"], rel=0.01)


def test_pitch_on_the_slope_is_the_turn_of_the_chassis_pins(level: Standing, steep: Standing) -> None:
    angles = []
    for standing in (level, steep):
        (x0, z0), (x1, z1) = (axle.pins[0][0] for axle in standing.axles)
        angles.append(math.degrees(math.atan2(z1 - z0, x1 - x0)))
    assert table_of(steep)["pitch_change_deg"] == pytest.approx(angles[1] - angles[0], abs=1e-9)
    assert angles[1] - angles[0] > 0.5


def test_modes_leave_out_what_has_no_linear_part() -> None:
    """Seal friction, rolling resistance and gear loss do not count in pitch and bounce, even where the rig
    sank in and its held wheels stem against each other.
    """
    rig = gully()
    for end in ("rear", "front"):
        rig[end]["shock"]["springs"] = [{"rate": 0.08, "preload": 0.3}]
    plain = facts_of(rig).modes
    rig["driveline"]["efficiency"] = 100
    for end in ("rear", "front"):
        rig[end]["shock"]["friction"] = {"breakaway": 0}
        rig[end]["tyre"]["rolling_resistance"] = 0
    bare = facts_of(rig).modes
    for one, two in ((plain.pitch, bare.pitch), (plain.bounce, bare.bounce)):
        assert one is not None and two is not None
        assert one.frequency == pytest.approx(two.frequency, rel=1e-5)
        assert one.damping == pytest.approx(two.damping, rel=1e-4)


def test_the_table_tells_how_much_of_its_name_is_in_a_mode(level: Standing) -> None:
    table, modes = table_of(level), level.modes
    assert modes.pitch is not None and modes.bounce is not None
    assert table["pitch_share_pct"] == pytest.approx(100.0 * modes.pitch.pitch)
    assert table["bounce_share_pct"] == pytest.approx(100.0 * modes.bounce.heave)
    assert modes.pitch.pitch > 0.5 > modes.pitch.heave


def test_loads_on_the_slope(steep: Standing) -> None:
    """Moments with the centre of mass where it stands, about where the soft tyres take their thrust:
    the rolling radius below their centres.
    """
    weight, (x, z) = 2.002 * 9.80665, steep.cg
    z -= 0.5 * (steep.axles[0].contact[1] + steep.axles[1].contact[1])
    c, s = math.cos(math.radians(25.0)), math.sin(math.radians(25.0))
    front = weight * (x * c - z * s) / steep.wheelbase
    table = table_of(steep)
    assert table["front_load_N"] == pytest.approx(front, rel=2e-3)
    assert table["rear_load_N"] == pytest.approx(weight * c - front, rel=2e-3)
    assert table["slope_deg"] == pytest.approx(25.0)
    rear, ahead = (float(str(table[f"{end}_travel_change_mm"])) for end in ("rear", "front"))
    assert rear > 1.0 and ahead < -1.0
    assert float(str(table["pitch_change_deg"])) > 0.5
    assert table["rear_level_load_N"] == pytest.approx(weight * (1 - steep.whole.x / 0.315), rel=1e-3)


def test_rolling_overdrive_counts_the_loaded_tyres() -> None:
    """Deflection of round tyres by a cut area: delta about N/k; rolling radius R - delta/3."""
    rig = gully()
    rig["front"]["tyre"]["radius"] = 58.0
    table = table_of(facts_of(rig))
    rear, front = (float(str(table[f"{end}_load_N"])) / (2 * 1.1) for end in ("rear", "front"))
    expected = 1.06 * (58.0 - front / 3.0) / (59.0 - rear / 3.0) - 1.0
    assert table["rolling_overdrive_pct"] == pytest.approx(100.0 * expected, abs=0.03)
    rig["driveline"]["drive"] = "rear"
    assert table_of(facts_of(rig))["rolling_overdrive_pct"] is None


def test_an_arm_turns_about_its_pin() -> None:
    rig = gully()
    for end, x in (("rear", 150), ("front", 170)):
        del rig[end]["lower_link"], rig[end]["upper_link"]
        rig[end]["arm"] = {"chassis": [x, 70]}
    here = facts_of(rig)
    for axle, x in zip(here.axles, (0.150, 0.170), strict=True):
        assert axle.centre == pytest.approx((x, 0.070), abs=2e-4)
        assert len(axle.pins) == 1


def test_springless_rig_stands_on_its_stops() -> None:
    rig = gully()
    del rig["rear"]["shock"]["springs"]
    table = table_of(facts_of(rig))
    assert table["rear_shocks_stand"] == "ON_BUMP_STOP"
    assert float(str(table["rear_left_to_bump_stop_mm"])) < 0.0
    assert float(str(table["rear_wheel_rate_N_per_mm"])) > 10.0
    assert "REAR_ON_BUMP_STOP" in str(table["remarks"])


def test_a_front_that_hangs_on_its_droop_stop() -> None:
    table = table_of(stand(standing_scenario(RIGS / "gully.toml", 44.0)))
    assert table["front_shocks_stand"] == "ON_DROOP_STOP"
    assert "FRONT_ON_DROOP_STOP" in str(table["remarks"])


def test_wheels_that_can_only_move_along_the_ground() -> None:
    """Two upright parallel links, made exactly upright where the rig stands by lifting the chassis pins."""
    rig = gully()
    for name, x in (("lower_link", 20), ("upper_link", -20)):
        rig["rear"][name] = {"chassis": [x, 100], "axle": [x, 60]}
    springs = [{"rate": 0.07, "preload": 0.01}]
    rig["rear"]["shock"] |= {"chassis": [100, 60], "axle": [3, 60], "springs": springs}
    table = {"title": "How?", "rig": rig, "driver": HELD}
    model = build(scenario_of(table, "drawn.toml"))
    state = bench_state(model.bench)
    assert axle_kinematics(model, state, ground_axes(model.ledger(state)), REAR) is None


def test_faults_name_the_rig_file_and_its_keys(tmp_path: Path) -> None:
    text = (RIGS / "gully.toml").read_text(encoding="utf-8")
    path = tmp_path / "mine.toml"
    path.write_text(text.replace("wheelbase = 315", "wheelbase = -315"), encoding="utf-8")
    with pytest.raises(InputError) as refused:
        standing_scenario(path)
    assert str(refused.value).startswith(f"{path}: wheelbase: got -315 mm, must be")
    path.write_text(text.replace("cg = [178, 88]", "cg = [-1900, 88]"), encoding="utf-8")
    with pytest.raises(InputError) as refused:
        stand(standing_scenario(path))
    assert str(refused.value).startswith(f"{path}: chassis.cg: got a centre of mass")
    with pytest.raises(InputError) as refused:
        standing_scenario(tmp_path / "missing.toml")
    assert str(refused.value) == f"{tmp_path / 'missing.toml'}: got no such file, must be an existing file"


def test_faults_of_the_slope() -> None:
    with pytest.raises(InputError) as refused:
        standing_scenario(RIGS / "gully.toml", 85.0)
    assert str(refused.value) == "slope: got 85.0 deg, must be from -80 to 80 deg"
    with pytest.raises(InputError) as refused:
        stand(standing_scenario(RIGS / "gully.toml", 60.0))
    assert str(refused.value).startswith(f"{RIGS / 'gully.toml'}: got a start on ground of 60.0 deg, where")
    course = standing_scenario(RIGS / "gully.toml").changed({"ground.pieces": [{"length": 100}]})
    with pytest.raises(InputError, match=r"ground\.pieces: got a course of 1 pieces, must be left out"):
        stand(course)


def test_settings_change_the_rig() -> None:
    changed = standing_scenario(RIGS / "gully.toml").changed({"rear.shock.friction.breakaway": 0.32})
    table, base = table_of(stand(changed)), table_of(stand(standing_scenario(RIGS / "gully.toml")))
    for key in ("friction_band_N", "friction_ride_mm"):
        ratio = float(str(table[f"rear_{key}"])) / float(str(base[f"rear_{key}"]))
        assert ratio == pytest.approx(2.0, rel=1e-6)
    with pytest.raises(InputError) as refused:
        standing_scenario(RIGS / "gully.toml").changed({"rear.shock.strok": 30})
    assert "rear.shock.strok: got an unknown path" in str(refused.value)


def test_first_limit() -> None:
    rig = gully()
    assert table_of(facts_of(rig))["first_limit"] == "SLIPS"
    rig["parts"].append({"name": "roof load", "mass": 2000, "at": [100, 320]})
    assert table_of(facts_of(rig))["first_limit"] == "TIPS_BACK"


@pytest.mark.parametrize("slope", [0.0, 25.0])
@pytest.mark.parametrize("rig", ["gully", "fell"])
def test_mounts_are_as_far_apart_as_the_shocks_are_long(rig: str, slope: float) -> None:
    """On the housing (Gully) as on a link (Fell): extended length less travel."""
    scenario = standing_scenario(RIGS / f"{rig}.toml", slope)
    for axle, end in zip(stand(scenario).axles, (scenario.rig.rear, scenario.rig.front), strict=True):
        length = end.shock.extended_length - axle.shocks.travel
        assert math.dist(*axle.shock_mounts) == pytest.approx(length, rel=1e-9)


def test_level_line_counts_the_axle_from_its_contact(level: Standing) -> None:
    """Its foot: ``-(m/M) z/(s - m/M)``, z from where the thrust acts, a deflection below the ground line."""
    for axle in level.axles:
        share, above = axle.mass / level.whole.mass, axle.mass_centre[1] - axle.contact[1]
        assert axle.contact[1] < -0.002
        assert axle.level_line is not None
        foot = -share * above / (axle.thrust_share - share)
        assert axle.level_line.foot == pytest.approx(foot, rel=1e-9)


def test_springs_that_do_not_centre_are_remarked_on(level: Standing) -> None:
    for rate, remarked in ((-1.0, True), (0.0, True), (1.0, False)):
        rear = dataclasses.replace(
            level.axles[0], shocks=dataclasses.replace(level.axles[0].shocks, wheel_rate=rate)
        )
        table = table_of(dataclasses.replace(level, axles=(rear, level.axles[1])))
        assert ("REAR_NOT_CENTRED" in str(table["remarks"])) is remarked
