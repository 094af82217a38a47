"""Every usual range can warn, at either end where it has two, and the words of the warning name it."""

from collections.abc import Callable
from typing import Any

import pytest

from simcore.files import Rig, scenario_of
from simcore.files.schema import hints, items, plain, submodel
from simcore.plausibility.check import check_rig
from simcore.plausibility.codes import Code
from simcore.plausibility.usual import USUAL, Per, Usual

Raw = dict[str, Any]
Change = dict[str, Any]

HEAVY = {"chassis.mass": 3500, "rear.shock.springs": [], "front.shock.springs": []}
STIFF = {"rear.tyre.stiffness": 5, "front.tyre.stiffness": 5}

OUT: dict[Code, tuple[Change, ...]] = {
    Code.WHEELBASE: ({"wheelbase": 750},),
    Code.TRACK: ({"track": 95}, {"track": 380}),
    Code.WHOLE_MASS: (
        {f"{end}.{key}": 50 for end in ("rear", "front") for key in ("tyre.wheel_mass", "housing.mass")},
        {"chassis.mass": 2700, "parts.0.mass": 700} | STIFF,
    ),
    Code.CHASSIS_MASS: ({"chassis.mass": 3.35}, HEAVY | STIFF),
    Code.WHEEL_MASS: ({"rear.tyre.wheel_mass": 15}, {"rear.tyre.wheel_mass": 400}),
    Code.AXLE_MASS: (
        {
            "rear.housing.mass": 2.65,
            "rear.shock.mass": 4,
            "rear.lower_link.mass": 2,
            "rear.upper_link.mass": 2,
        },
        {"front.housing.mass": 900},
    ),
    Code.LINK_MASS: ({"rear.lower_link.mass": 0.013}, {"front.upper_link.mass": 110}),
    Code.SHOCK_MASS: ({"rear.shock.mass": 0.017}, {"front.shock.mass": 170}),
    Code.SHAFT_MASS: ({"driveline.shaft_mass": 0.018}, {"driveline.shaft_mass": 180}),
    Code.PART_MASS: ({"parts.battery.mass": 0.128}, {"parts.battery.mass": 1280}),
    Code.CHASSIS_GYRATION: ({"chassis.pitch_inertia": 14}, {"chassis.pitch_inertia": 14000}),
    Code.HOUSING_GYRATION: ({"rear.housing.pitch_inertia": 0.95}, {"rear.housing.pitch_inertia": 950}),
    Code.WHEEL_INERTIA: ({"rear.tyre.spin_inertia": 2.6}, {"front.tyre.spin_inertia": 650}),
    Code.UNSPRUNG_SHARE: (
        {
            "rear.housing.mass": 700,
            "front.housing.mass": 690,
            "chassis.mass": 26,
            "chassis.pitch_inertia": 110,
        }
        | {"parts.0.mass": 40, "parts.1.mass": 40},
        {"chassis.mass": 2600, "chassis.pitch_inertia": 11000, "parts.0.mass": 700, "parts.1.mass": 700}
        | STIFF,
    ),
    Code.FRONT_SHARE: (
        {
            "parts.2.on": "rear",
            "parts.2.at.0": 0,
            "parts.2.mass": 500,
            "rear.housing.mass": 240,
            "chassis.cg.0": 80,
        },
        {
            "parts.2.mass": 500,
            "rear.housing.mass": 60,
            "rear.tyre.wheel_mass": 100,
            "front.tyre.wheel_mass": 300,
        },
    ),
    Code.CG_HEIGHT: (
        {"chassis.mass": 1200, "parts.0.mass": 700, "parts.1.mass": 700, "chassis.cg.1": 45}
        | {f"parts.{k}.at.1": 25 for k in range(3)},
        {
            "chassis.mass": 2600,
            "chassis.pitch_inertia": 11000,
            "chassis.cg.1": 160,
            "parts.0.at.1": 250,
            "parts.0.mass": 790,
        }
        | STIFF,
    ),
    Code.AXLE_LOAD: ({"weighed.rear": 800}, {"weighed.front": 1200}),
    Code.CHASSIS_PIN_X: ({"rear.lower_link.chassis.0": 30}, {"front.lower_link.chassis.0": 118}),
    Code.CHASSIS_PIN_Z: ({"rear.lower_link.chassis.1": 6.6}, {"rear.upper_link.chassis.1": 920}),
    Code.AXLE_PIN_X: ({"rear.lower_link.axle.0": -60}, {"rear.upper_link.axle.0": 311}),
    Code.AXLE_PIN_Z: ({"rear.lower_link.axle.1": -13}, {"rear.upper_link.axle.1": 145}),
    Code.UPPER_MOUNT_X: (
        {"rear.shock": {"chassis": [-55, 158], "axle": [-45, 70], "extended_length": 100, "stroke": 28}},
        {"rear.shock": {"chassis": [140, 158], "axle": [80, 90], "extended_length": 100, "stroke": 28}},
    ),
    Code.UPPER_MOUNT_Z: (
        {"rear.shock": {"chassis": [42, 70], "axle": [-35, 90], "extended_length": 90, "stroke": 28}},
        {"rear.shock": {"chassis": [42, 252], "axle": [3, 140], "extended_length": 125, "stroke": 28}},
    ),
    Code.LOWER_MOUNT_X: (
        {"rear.shock": {"chassis": [-40, 158], "axle": [-60, 70], "extended_length": 100, "stroke": 28}},
        {"rear.shock": {"chassis": [100, 158], "axle": [100, 68], "extended_length": 100, "stroke": 28}},
    ),
    Code.LOWER_MOUNT_Z: (
        {"rear.shock": {"chassis": [42, 100], "axle": [3, 20], "extended_length": 100, "stroke": 28}},
        {"rear.shock": {"chassis": [42, 240], "axle": [3, 155], "extended_length": 104, "stroke": 28}},
    ),
    Code.SHAFT_CHASSIS_X: ({"rear.shaft.chassis.0": 12.8}, {"rear.shaft.chassis.0": 187}),
    Code.SHAFT_CHASSIS_Z: ({"rear.shaft.chassis.1": 7.4}, {"rear.shaft.chassis.1": 740}),
    Code.SHAFT_AXLE_X: ({"rear.shaft.axle.0": -28}, {"rear.shaft.axle.0": 287}),
    Code.SHAFT_AXLE_Z: ({"rear.shaft.axle.1": 6}, {"rear.shaft.axle.1": 600}),
    Code.CHASSIS_CG_X: ({"chassis.cg.0": 17.8}, {"chassis.cg.0": 300}),
    Code.CHASSIS_CG_Z: ({"chassis.cg.1": 8.8}, {"chassis.cg.1": 178}),
    Code.HOUSING_CG_X: ({"rear.housing.cg": [-90, 55]}, {"front.housing.cg": [0, 55]}),
    Code.HOUSING_CG_Z: ({"rear.housing.cg": [0, 5.5]}, {"rear.housing.cg": [0, 118]}),
    Code.PART_X: ({"parts.battery.at.0": -226}, {"parts.battery.at.0": 450}),
    Code.PART_Z: ({"parts.battery.at.1": -84}, {"parts.battery.at.1": 840}),
    Code.AXLE_PART_X: ({"parts.2.at.0": 31.6}, {"parts.2.at.0": 390}),
    Code.AXLE_PART_Z: ({"parts.2.at.1": 9.2}, {"parts.2.at.1": 190}),
    Code.SKID_X: ({"skids.0.at": [12, 135]}, {"skids.1.at": [300, 135]}),
    Code.SKID_Z: ({"skids.0.at.1": 6.2}, {"skids.0.at.1": 620}),
    Code.LINK_RATIO: (
        {"rear.upper_link.chassis.0": 43},
        {"rear.lower_link.chassis.0": 50, "rear.upper_link.chassis.0": 110},
    ),
    Code.AXLE_PIN_GAP: (
        {"rear.lower_link.axle.1": 86, "rear.upper_link.axle.1": 46},
        {"rear.upper_link.axle.1": 130},
    ),
    Code.CHASSIS_PIN_GAP: (
        {"rear.lower_link.chassis.1": 120, "rear.upper_link.chassis.1": 60},
        {"rear.lower_link.chassis.1": 40, "rear.upper_link.chassis.1": 130},
    ),
    Code.ANTI_SQUAT: (
        {"rear.lower_link.chassis.1": 46, "rear.upper_link.chassis.1": 120},
        {"rear.upper_link.chassis.1": 40, "rear.upper_link.axle.1": 56},
    ),
    Code.ANTI_LIFT: (
        {"front.lower_link.chassis.1": 46, "front.upper_link.chassis.1": 120},
        {"front.upper_link.chassis.1": 40, "front.upper_link.axle.1": 56},
    ),
    Code.MOTION_RATIO: (
        {"rear.shock": {"chassis": [90, 85], "axle": [3, 70], "extended_length": 97, "stroke": 20}},
    ),
    Code.SHOCK_LENGTH: (
        {"rear.shock": {"chassis": [20, 115], "axle": [3, 70], "extended_length": 58, "stroke": 20}},
        {"rear.shock": {"chassis": [60, 210], "axle": [3, 70], "extended_length": 162, "stroke": 28}},
    ),
    Code.STROKE: ({"rear.shock.stroke": 10.1}, {"rear.shock.stroke": 60}),
    Code.SAG: ({"rear.shock.extended_length": 97}, {"rear.shock.extended_length": 122}),
    Code.RATE: ({"rear.shock.springs.0.rate": 0.007}, {"rear.shock.springs.0.rate": 7}),
    Code.PRELOAD: ({"rear.shock.springs.0.rate": 0.4}, {"rear.shock.springs.0.rate": 0.02}),
    Code.RIDE_HEIGHT: (
        {"rear.shock.springs": [{"rate": 0.07}]},
        {"rear.shock.springs": [{"rate": 0.07, "preload": 1.9}]},
    ),
    Code.FRICTION_BAND: ({"rear.shock.friction.breakaway": 16},),
    Code.SEAL_GIVE: ({"rear.shock.friction.presliding": 0.01}, {"rear.shock.friction.presliding": 1}),
    Code.DAMPING: (
        {"rear.shock.damper": {"compression": 0.003, "rebound": 0.004}},
        {"rear.shock.damper": {"compression": 30, "rebound": 40}},
    ),
    Code.RADIUS: ({"rear.tyre.radius": 36, "rear.tyre.stiffness": 2}, {"rear.tyre.radius": 118, "skids": []}),
    Code.TYRE_SQUASH: ({"rear.tyre.stiffness": 6.28}, {"rear.tyre.stiffness": 0.3}),
    Code.TYRE_DAMPING: ({"rear.tyre.damping": 0.03}, {"rear.tyre.damping": 300}),
    Code.GRIP: ({"rear.tyre.sliding_grip": 0.1, "rear.tyre.peak_grip": 0.11}, {"rear.tyre.peak_grip": 2.6}),
    Code.GRIP_LOAD: ({"rear.tyre.grip_load": 0.45}, {"rear.tyre.grip_load": 4500}),
    Code.SLIP_AT_FULL_GRIP: ({"rear.tyre.slip_stiffness": 90}, {"rear.tyre.slip_stiffness": 2.2}),
    Code.TYRE_GIVE: ({"rear.tyre.relaxation_length": 2}, {"rear.tyre.relaxation_length": 200}),
    Code.ROLLING_RESISTANCE: ({"rear.tyre.rolling_resistance": 0.03}, {"rear.tyre.rolling_resistance": 30}),
    Code.RATIO: ({"driveline.ratio": 4.2}, {"driveline.ratio": 290}),
    Code.OVERDRIVE: ({"driveline.overdrive": 1.08}, {"driveline.overdrive": 60}),
    Code.WIND_UP: ({"driveline.rear_stiffness": 700}, {"driveline.rear_stiffness": 0.12}),
    Code.SHAFT_RATIO: ({"rear.shaft.ratio": 0.33}, {"rear.shaft.ratio": 19}),
    Code.SPLINE_RADIUS: ({"rear.shaft.spline_radius": 0.6}, {"rear.shaft.spline_radius": 28}),
    Code.SPLINE_FRICTION: ({"rear.shaft.friction": 0.002}, {"rear.shaft.friction": 0.9}),
    Code.TOP_SPEED: ({"motor.kv": 310, "driveline.ratio": 100}, {"motor.kv": 5500, "driveline.ratio": 12}),
    Code.KV: ({"motor.kv": 13.5}, {"motor.kv": 15000}),
    Code.VOLTAGE: ({"motor.voltage": 3}, {"motor.voltage": 55}),
    Code.STALL_CURRENT: ({"motor.resistance": 14000}, {"motor.resistance": 0.14}),
    Code.NO_LOAD_CURRENT: ({"motor.no_load_current": 0.0013}, {"motor.no_load_current": 13}),
    Code.CURRENT_LIMIT: ({"motor.current_limit": 0.45}, {"motor.current_limit": 450}),
    Code.ROTOR_INERTIA: ({"motor.rotor_inertia": 2.2}, {"motor.rotor_inertia": 2200}),
    Code.BRAKE: ({"motor.brake_torque": 5}, {"motor.brake_torque": 500}),
}
"""Changes of a shipped rig that take a value out of its range, below it and above."""

ONE_ENDED = {Code.WHEELBASE, Code.MOTION_RATIO, Code.FRICTION_BAND}
"""Ranges of which one end alone is tried: the other would take a rig that is refused, or is nought."""


def test_every_range_has_a_change_that_takes_a_value_out_of_it() -> None:
    assert set(OUT) == set(USUAL) == set(Code)
    assert {code for code, changes in OUT.items() if len(changes) < 2} == ONE_ENDED


@pytest.mark.parametrize(
    ("code", "change"), [(code, change) for code, changes in OUT.items() for change in changes], ids=str
)
def test_a_value_out_of_its_range_is_warned_of(
    code: Code, change: Change, shipped: Callable[[str], Raw]
) -> None:
    scenario = scenario_of(shipped("gully"), "gully.toml")
    assert check_rig(scenario) == []
    assert code in {one.code for one in check_rig(scenario.changed(change))}


def test_ends_are_in_si_and_grow_with_the_rig() -> None:
    grams = Usual(1000, 2000, "g", "", growth=2.0)
    assert grams.ends(0.315) == pytest.approx((1.0, 2.0))
    assert grams.ends(0.63) == pytest.approx((4.0, 8.0))  # twice the wheelbase, to the power 2
    shares = Usual(0.1, 0.5, "mm", "", Per.WHEELBASE)
    assert shares.ends(0.3, 0.3) == pytest.approx((0.03, 0.15))


def test_every_range_says_where_it_is_from_and_is_a_range() -> None:
    for usual in USUAL.values():
        assert usual.low < usual.high
        assert usual.source


GROWTH = {"mm": 1, "g": 2.5, "kg*mm^2": 4.5, "g*cm^2": 3, "N/mm": 1.5, "N": 2.5, "N*s/m": 2, "N*mm": 3.5}
GROWTH |= {"N*m/rad": 3.5, "N*m*s/rad": 3.5, "rpm/V": -1, "mohm": -1.5, "A": 1.5}
"""Power of its size with which a number of a rig grows, by its unit, where masses grow with 2.5."""


def scaled(hint: Any, raw: Any, size: float) -> Any:
    table, kinds, quantity = submodel(hint), items(hint), plain(hint)[1]
    if table is not None:
        return {key: scaled(hints(table)[key], value, size) for key, value in raw.items()}
    if kinds is not None:
        inner = [kinds[0] if kinds[-1] is Ellipsis else kinds[k] for k in range(len(raw))]
        return [scaled(kind, value, size) for kind, value in zip(inner, raw, strict=True)]
    if quantity is None or isinstance(raw, str):
        return raw
    return raw * size ** GROWTH.get(quantity.unit, 0)


@pytest.mark.parametrize("name", ["gully", "fell", "scree"])
@pytest.mark.parametrize("size", [0.42, 0.7, 1.5, 2.1])  # from 130 to 680 mm of wheelbase
def test_smaller_and_larger_rigs_of_the_same_make_are_usual_too(
    name: str, size: float, shipped: Callable[[str], Raw]
) -> None:
    raw = shipped(name)
    raw["rig"] = scaled(Rig, raw["rig"], size)
    assert check_rig(scenario_of(raw, "scaled.toml")) == []
