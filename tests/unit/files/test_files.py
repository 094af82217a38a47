"""Rig and scenario files: what they say in SI, defaults, cross checks, settings, variants, repeating."""

import copy
import math
import pickle
import tomllib
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from pydantic import ValidationError

from simcore.errors import InputError
from simcore.files import Scenario, load_rig, load_scenario, parse_setting, scenario_of

RIG = """
name = "Pebble"
wheelbase = 320
[chassis]
mass = 870
cg = [170, 98]
pitch_inertia = 8600
[rear]
housing = { mass = 185, pitch_inertia = 85, cg = [4, 60] }
lower_link = { chassis = [130, 64], axle = [10, 44], mass = 26 }
upper_link = { chassis = [118, 92], axle = [16, 80] }
[rear.shock]
chassis = [60, 145]
link = "lower"
fraction = 0.5
extended_length = 101
stroke = 34
springs = [{ rate = "0.8 lb/in", preload = 1.5 }, { push = false, rate = 0.05, loose_at = 9 }]
damper = { table = [[-0.2, -3], [0, 0], [0.2, 4]] }
friction = { breakaway = 0.6 }
[rear.tyre]
radius = "2.3 in"
stiffness = 2.2
wheel_mass = 175
spin_inertia = 250
peak_grip = "110 %"
sliding_grip = 0.9
slip_stiffness = 14
[front]
housing = { mass = 225, pitch_inertia = 105 }
arm = { chassis = [160, 62], mass = 40 }
[front.shock]
chassis = [260, 142]
axle = [320, 62]
extended_length = 115
stroke = 34
springs = [{ rate = 0.14, hold_ride_height = true }]
friction = { breakaway = 0.8, sliding = 0.5 }
[front.tyre]
radius = 58.4
stiffness = 2.2
wheel_mass = 190
spin_inertia = 262
peak_grip = 1.1
sliding_grip = 0.9
slip_stiffness = 14
[driveline]
ratio = 41.5
overdrive = 6
[motor]
kv = 1800
voltage = 11.1
resistance = 55
no_load_current = 1.2
rotor_inertia = 17
[[parts]]
name = "brass"
mass = 60
at = [322, 52]
on = "front"
size = [20, 12]
[[skids]]
at = [160, 60]
"""
SCENARIO = """
title = "Does the soft rear hold the front down?"
rig = "rigs/pebble.toml"
[ground]
pieces = [{ length = 800 }, { ledge = 30, grip = 80 }, { length = 900, slope = 25 }]
[driver]
control = "torque"
torque = [[0, 0], [0.15, 30]]
[end]
distance = 700
when = ["front_lifts"]
[variants."soft rear"]
"rear.shock.springs.0.rate" = 0.08
"rear.upper_link.axle" = [16, 84]
[variants."mount on the axle"]
"rear.shock.link" = "none"
"rear.shock.fraction" = "none"
"rear.shock.axle" = [70, 52]
[variants.crawl]
driver = { control = "speed", speed = [[0, 0.2]] }
"""


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("files")
    (folder / "rigs").mkdir()
    (folder / "rigs" / "pebble.toml").write_text(RIG, encoding="utf-8")
    other = RIG.replace('"Pebble"', '"Gravel"').replace("stroke = 34", "stroke = 36")
    (folder / "rigs" / "gravel.toml").write_text(other, encoding="utf-8")
    (folder / "climb.toml").write_text(SCENARIO, encoding="utf-8")
    return folder


@pytest.fixture
def scenario(folder: Path) -> Scenario:
    return load_scenario(folder / "climb.toml")


def faults_of(scenario: Scenario, **settings: object) -> list[str]:
    changes = {path.replace("__", "."): value for path, value in settings.items()}
    with pytest.raises(InputError) as caught:
        scenario.changed(changes)
    return [f"{fault.key}: {fault.got}; {fault.must_be}" for fault in caught.value.issues]


def test_a_rig_is_kept_in_si(folder: Path) -> None:
    rig = load_rig(str(folder / "rigs" / "pebble.toml"))
    close = pytest.approx
    assert rig.name == "Pebble"
    assert rig.wheelbase == close(0.320, rel=1e-12)
    assert rig.chassis.mass == close(0.870, rel=1e-12)
    assert rig.chassis.pitch_inertia == close(8.6e-3, rel=1e-12)
    assert rig.rear.housing.cg == close((0.004, 0.060), rel=1e-12)
    assert rig.rear.tyre.radius == close(2.3 * 0.0254, rel=1e-12)
    assert rig.rear.tyre.peak_grip == close(1.1, rel=1e-12)
    assert rig.rear.shock.springs[0].rate == close(0.8 * 0.45359237 * 9.80665 / 0.0254, rel=1e-12)
    assert rig.rear.shock.springs[1].loose_at == close(0.009, rel=1e-12)
    assert rig.rear.shock.damper.table == ((-0.2, -3.0), (0.0, 0.0), (0.2, 4.0))
    assert rig.driveline.overdrive == close(0.06, rel=1e-12)
    assert rig.motor.kv == close(1800 * 2 * math.pi / 60, rel=1e-12)
    assert rig.motor.resistance == close(0.055, rel=1e-12)
    assert rig.motor.rotor_inertia == close(1.7e-6, rel=1e-12)
    assert rig.parts[0].size == close((0.020, 0.012), rel=1e-12)


def test_defaults_of_a_rig_are_those_promised(folder: Path) -> None:
    rig = load_rig(folder / "rigs" / "pebble.toml")
    rear, front = rig.rear.shock, rig.front.shock
    assert (rear.friction.sliding, front.friction.sliding) == (0.6, 0.5)
    assert (rear.friction.presliding, rear.friction.stribeck_speed) == pytest.approx((1e-4, 0.01), rel=1e-12)
    assert (rear.damper.compression, rear.damper.rebound, front.damper.table) == (0, 0, ())
    for stop in (rear.bump_stop, rear.droop_stop):
        assert (stop.length, stop.rate, stop.damping) == pytest.approx((1.5e-3, 2e4, 1.0), rel=1e-12)
    tyre = rig.rear.tyre
    assert (tyre.damping, tyre.relaxation_length, tyre.grip_speed, tyre.stribeck_speed) == pytest.approx(
        (5, 0.02, 0.3, 0.15), rel=1e-12
    )
    assert tyre.rolling_resistance == pytest.approx(0.02, rel=1e-12)
    line = rig.driveline
    assert line.drive == "all"
    assert (line.efficiency, line.rear_stiffness, line.front_stiffness) == pytest.approx(
        (0.8, 8, 8), rel=1e-12
    )
    assert (line.damping, line.shaft_mass) == (0.02, 0)
    assert (rig.motor.current_limit, rig.motor.brake_torque) == pytest.approx((60, 0.060), rel=1e-12)
    skid = rig.skids[0]
    assert (skid.radius, skid.stiffness, skid.damping, skid.grip) == pytest.approx(
        (5e-3, 2e4, 20, 0.3), rel=1e-12
    )
    assert (rig.note, rig.schema_version, rig.front.housing.cg, rig.parts[0].on) == ("", 1, None, "front")


def test_a_scenario_is_kept_in_si_with_its_defaults(scenario: Scenario, folder: Path) -> None:
    assert (scenario.name, scenario.path) == ("climb", folder / "climb.toml")
    assert scenario.driver.torque == pytest.approx(np.array([(0.0, 0.0), (0.15, 0.030)]), rel=1e-12)
    assert [piece.ledge for piece in scenario.ground.pieces] == [None, pytest.approx(0.030), None]
    assert [piece.grip for piece in scenario.ground.pieces] == pytest.approx([1.0, 0.8, 1.0])
    assert scenario.ground.pieces[2].slope == pytest.approx(math.radians(25), rel=1e-12)
    assert scenario.end.distance == pytest.approx(0.7, rel=1e-12)
    assert scenario.end.when == ("front_lifts",)
    assert (scenario.end.duration, scenario.end.slid_back) == pytest.approx((2, 0.1), rel=1e-12)
    assert (scenario.driver.release, scenario.driver.governor_time, scenario.driver.brake) == (0.2, 0.03, ())
    assert (scenario.output.rate, scenario.start.rear_axle) == (500, 0)
    solver = scenario.solver
    assert (solver.method, solver.relative, solver.absolute, solver.max_step) == (
        "compiled",
        1e-7,
        1e-7,
        0.02,
    )
    assert scenario.visible.travel == pytest.approx(5e-4, rel=1e-12)
    assert scenario.visible.pitch == pytest.approx(math.radians(0.25), rel=1e-12)
    assert list(scenario.variants) == ["soft rear", "mount on the axle", "crawl"]


def test_models_are_frozen(scenario: Scenario) -> None:
    with pytest.raises(ValidationError, match="frozen"):
        scenario.rig.wheelbase = 1.0


def test_a_scenario_travels_between_processes(scenario: Scenario) -> None:
    again = pickle.loads(pickle.dumps(scenario))
    assert again == scenario
    assert (again.path, again.to_toml()) == (scenario.path, scenario.to_toml())


def test_equal_means_saying_the_same(scenario: Scenario) -> None:
    assert scenario.changed({}) == scenario.changed({"wheelbase": "32 cm", "end.duration": 2.0})
    assert scenario.changed({}) != scenario.changed({"wheelbase": 321})


def test_a_variant_changes_what_it_names_and_nothing_else(scenario: Scenario) -> None:
    soft = scenario.variant("soft rear")
    assert soft.rig.rear.shock.springs[0].rate == pytest.approx(80.0, rel=1e-12)
    assert soft.rig.rear.upper_link.axle == pytest.approx((0.016, 0.084), rel=1e-12)
    assert soft.changed({"rear.shock.springs.0.rate": "0.8 lb/in", "rear.upper_link.axle": [16, 80]}) == (
        scenario.changed({})
    )
    assert soft.variants == {}
    assert scenario.rig.rear.shock.springs[0].rate > 100


def test_none_takes_out_a_key_that_may_be_left_out(scenario: Scenario) -> None:
    shock = scenario.variant("mount on the axle").rig.rear.shock
    assert (shock.link, shock.fraction) == (None, None)
    assert shock.axle == pytest.approx((0.070, 0.052), rel=1e-12)
    assert faults_of(scenario, wheelbase="none") == ['wheelbase: "none"; a number in mm']


def test_a_whole_table_can_be_set(scenario: Scenario) -> None:
    crawl = scenario.variant("crawl")
    assert (crawl.driver.control, crawl.driver.speed, crawl.driver.torque) == ("speed", ((0.0, 0.2),), ())


def test_an_unknown_variant_names_the_nearest(scenario: Scenario) -> None:
    with pytest.raises(InputError) as caught:
        scenario.variant("soft raer")
    (fault,) = caught.value.issues
    assert (fault.key, fault.got, fault.hint) == ("variants", '"soft raer"', "soft rear")
    assert fault.must_be == "one of soft rear, mount on the axle, crawl"
    with pytest.raises(InputError, match="there are no variants"):
        scenario.changed({}).variant("crawl")


def test_settings_reach_everywhere(scenario: Scenario) -> None:
    changed = scenario.changed(
        {
            "rear.shock.damper.table.2.1": 6,
            "rear.upper_link.chassis.1": "95 mm",
            "driver.torque.1.1": np.float64(45),
            "front.shock.bump_stop.rate": np.int64(30),
            "chassis.cg": np.array([171.0, 99.0]),
            "visible": {"pitch": 1},
            "skids": (),
            "note": "tried",
        }
    )
    assert changed.rig.rear.shock.damper.table[2] == (0.2, 6.0)
    assert changed.rig.rear.upper_link.chassis == pytest.approx((0.118, 0.095), rel=1e-12)
    assert changed.driver.torque[1] == pytest.approx((0.15, 0.045), rel=1e-12)
    assert changed.rig.front.shock.bump_stop.rate == pytest.approx(3e4, rel=1e-12)
    assert changed.rig.front.shock.bump_stop.length == pytest.approx(1.5e-3, rel=1e-12)
    assert changed.rig.chassis.cg == pytest.approx((0.171, 0.099), rel=1e-12)
    assert (changed.visible.travel, changed.rig.skids, changed.note) == (5e-4, (), "tried")
    assert scenario_of(tomllib.loads(changed.to_toml()), "again.toml") == changed


def test_a_default_that_follows_another_key_follows_a_setting(scenario: Scenario) -> None:
    assert scenario.changed({"rear.shock.friction.breakaway": 2}).rig.rear.shock.friction.sliding == 2


def test_another_rig_can_be_set(scenario: Scenario) -> None:
    other = scenario.changed({"rear.shock.mass": 30, "rig": "rigs/gravel.toml"})
    assert (other.rig.name, other.rig.rear.shock.mass) == ("Gravel", pytest.approx(0.030))
    with pytest.raises(InputError, match=r"rigs/sand\.toml: got no such file"):
        scenario.changed({"rig": "rigs/sand.toml"})


@pytest.mark.parametrize(
    ("path", "nearest"),
    [
        ("rear.shok.stroke", "rear.shock.stroke"),
        ("rear.shock.springs.2.rate", "rear.shock.springs.0.rate"),
        ("rear.shock.springs.0.rte", "rear.shock.springs.0.rate"),
        ("ground.pieces.3.slope", "ground.pieces.0.slope"),
        ("rig.rear.shock.stroke", "rear.shock.stroke"),
        ("driver.contrl", "driver.control"),
        ("chassis.cg.2", "chassis.cg.0"),
        ("variants.crawl", ""),
        ("", ""),
    ],
)
def test_an_unknown_path_names_the_nearest(scenario: Scenario, path: str, nearest: str) -> None:
    with pytest.raises(InputError) as caught:
        scenario.changed({path: 1})
    (fault,) = caught.value.issues
    assert (fault.key, fault.got) == (path, "an unknown path")
    same_but_for_digits = [("0" if c.isdigit() else c) for c in fault.hint]
    assert "".join(same_but_for_digits) == nearest or not nearest


def test_changed_values_are_checked_like_a_file(scenario: Scenario) -> None:
    assert faults_of(scenario, rear__shock__stroke=-3, driver__control="fast") == [
        "rear.shock.stroke: -3 mm; greater than 0 mm",
        'driver.control: "fast"; one of "torque", "throttle" or "speed"',
    ]


def test_the_shock_must_reach_its_mount_on_a_link(scenario: Scenario) -> None:
    # Lower mount: half way from (130, 64) to (10, 44), that is (70, 54); upper mount (70, 144): 90 mm apart.
    assert scenario.changed({"rear.shock.chassis": [70, 144], "rear.shock.extended_length": 90}).rig
    (fault,) = faults_of(scenario, rear__shock__chassis=[70, 144], rear__shock__extended_length=88)
    assert fault == (
        "rear.shock: mounts 90 mm apart at ride height, 2 mm too long; "
        "from 54 mm to 88 mm apart (extended_length less stroke to extended_length)"
    )


def test_cross_checks_of_both_axles_come_together(scenario: Scenario) -> None:
    found = faults_of(scenario, rear__shock__extended_length=85, front__shock__extended_length=90)
    assert [line.split(":")[0] for line in found] == ["rear.shock", "front.shock"]


def test_an_inline_rig_is_named_with_its_table() -> None:
    rig = tomllib.loads(RIG)
    rig["wheelbase"] = "flat"
    table = tomllib.loads(SCENARIO) | {"rig": rig}
    with pytest.raises(InputError) as caught:
        scenario_of(table, "inline.toml")
    assert str(caught.value) == 'inline.toml: rig.wheelbase: got "flat", must be a number in mm'


def test_a_named_rig_is_told_what_is_wanted_as_any_other() -> None:
    rig = tomllib.loads(RIG)
    del rig["wheelbase"]
    table = tomllib.loads(SCENARIO) | {"rig": tomllib.loads(RIG), "rigs": {"x": rig | {"weelbase": 320}}}
    with pytest.raises(InputError) as caught:
        scenario_of(table, "inline.toml")
    found = str(caught.value)
    assert "inline.toml: rigs.x.wheelbase: got nothing, must be a number in mm" in found
    assert 'rigs.x.weelbase: got an unknown key, must be a known key (did you mean "wheelbase"?)' in found


def test_no_setting_reaches_into_a_named_rig() -> None:
    table = tomllib.loads(SCENARIO) | {"rig": tomllib.loads(RIG), "rigs": {"x": tomllib.loads(RIG)}}
    scenario = scenario_of(table, "inline.toml")
    with pytest.raises(InputError, match=r"rigs\.x\.wheelbase"):
        scenario.changed({"rigs.x.wheelbase": 300})


def test_the_text_of_a_scenario_repeats_it_bit_for_bit(scenario: Scenario, tmp_path: Path) -> None:
    text = scenario.to_toml()
    assert text.startswith("# simcore ")
    (tmp_path / "inputs.toml").write_text(text, encoding="utf-8")
    again = load_scenario(tmp_path / "inputs.toml")
    assert again == scenario
    assert again.to_toml() == text


def test_the_text_of_a_scenario_has_every_default(scenario: Scenario) -> None:
    """But for sliding friction, which goes on following the breakaway friction."""
    table = tomllib.loads(scenario.to_toml())
    assert table["rig"]["rear"]["tyre"]["radius"] == pytest.approx(2.3 * 25.4, rel=1e-15)
    assert table["rig"]["rear"]["shock"]["friction"] == {
        "breakaway": 0.6,
        "presliding": 0.1,
        "stribeck_speed": 10,
    }
    assert table["solver"] == {"method": "compiled", "relative": 1e-7, "absolute": 1e-7, "max_step": 0.02}
    assert table["rig"]["motor"]["brake_torque"] == 60
    assert "arm" not in table["rig"]["rear"]


def test_reading_leaves_the_given_table_alone() -> None:
    table = tomllib.loads(SCENARIO) | {"rig": tomllib.loads(RIG)}
    before = copy.deepcopy(table)
    scenario_of(table, "kept.toml").changed({"rear.shock.springs.0.rate": 3})
    assert table == before


@pytest.mark.parametrize(
    ("text", "path", "value"),
    [
        ("rear.shock.stroke=30", "rear.shock.stroke", 30),
        ("rear.shock.stroke = 30.5 ", "rear.shock.stroke", 30.5),
        ("rear.upper_link.axle=[16, 84]", "rear.upper_link.axle", [16, 84]),
        ("rear.tyre.radius=2.2 in", "rear.tyre.radius", "2.2 in"),
        ('rear.tyre.radius="2.2 in"', "rear.tyre.radius", "2.2 in"),
        ("driver.control=speed", "driver.control", "speed"),
        ("rear.shock.springs.0.push=false", "rear.shock.springs.0.push", False),
        ("driver={control = 'speed', speed = [[0, 1]]}", "driver", {"control": "speed", "speed": [[0, 1]]}),
        ("note=a=b", "note", "a=b"),
        ("note=", "note", ""),
        ("note=1\nother=2", "note", "1\nother=2"),
    ],
)
def test_parse_setting(text: str, path: str, value: Any) -> None:
    parsed = parse_setting(text)
    assert parsed == (path, value)
    assert type(parsed[1]) is type(value)


@pytest.mark.parametrize("text", ["rear.shock.stroke", "=3", ""])
def test_parse_setting_needs_path_and_value(text: str) -> None:
    with pytest.raises(InputError, match="must be path=value"):
        parse_setting(text)


def test_bounds_of_a_goal_are_set_by_their_names() -> None:
    creep = load_scenario(Path(__file__).parents[3] / "scenarios" / "slow_creep.toml")
    bound = creep.changed({"goal.at_most.pitch_rise_deg": 3}).changed({"goal.at_most.pitch_rise_deg +=": 1.5})
    assert bound.goal.at_most == {"pitch_rise_deg": 4.5}
    with pytest.raises(InputError, match="none to change"):
        creep.changed({"goal.at_least.pitch_rise_deg +=": 1})
