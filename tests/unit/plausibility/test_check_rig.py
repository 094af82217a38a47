"""A slip made in a shipped rig is named; undone there is nothing left to say; chance is not named."""

import math
from collections.abc import Callable
from typing import Any

import pytest

from simcore.files import Scenario, scenario_of
from simcore.plausibility.check import check_rig
from simcore.plausibility.codes import Code, SlipCode
from simcore.plausibility.explain import best_undo
from simcore.plausibility.look import look
from simcore.plausibility.slips import with_values

Raw = dict[str, Any]
Change = dict[str, Any]

POUND_PER_INCH = 4.4482216152605 / 25.4  # N/mm: pound-force by definition, inch by definition
OUNCE = 28.349523125  # g, avoirdupois, by definition

SLIPS: list[tuple[str, Change, str, SlipCode]] = [
    ("gully", {"rear.shock.springs.0.rate": 0.4}, "rear.shock.springs[0].rate", SlipCode.WRONG_UNIT),
    ("gully", {"front.shock.springs.0.rate": 0.571}, "front.shock.springs[0].rate", SlipCode.WRONG_UNIT),
    ("fell", {"rear.shock.springs.0.rate": 1.48}, "rear.shock.springs[0].rate", SlipCode.WRONG_UNIT),
    ("scree", {"rear.shock.springs.0.rate": 0.286}, "rear.shock.springs[0].rate", SlipCode.WRONG_UNIT),
    ("gully", {"skids": [], "rear.tyre.radius": 118}, "rear.tyre.radius", SlipCode.DIAMETER),
    ("fell", {"skids": [], "front.tyre.radius": 116}, "front.tyre.radius", SlipCode.DIAMETER),
    ("gully", {"rear.upper_link.chassis.0": 920}, "rear.upper_link.chassis[0]", SlipCode.TEN_TIMES),
    ("scree", {"rear.upper_link.axle.1": 830}, "rear.upper_link.axle[1]", SlipCode.TEN_TIMES),
    ("gully", {"front.lower_link.chassis.0": 118}, "front.lower_link.chassis[0]", SlipCode.OTHER_AXLE),
    ("fell", {"rear.lower_link.chassis.0": 192}, "rear.lower_link.chassis[0]", SlipCode.OTHER_AXLE),
    ("scree", {"parts.2.at.0": 1}, "parts[2].at[0]", SlipCode.OTHER_AXLE),
    ("gully", {"driveline.overdrive": 1.08}, "driveline.overdrive", SlipCode.FACTOR),
    ("gully", {"driveline.overdrive": 0.06}, "driveline.overdrive", SlipCode.FACTOR),
    ("gully", {"driveline.overdrive": -6}, "driveline.overdrive", SlipCode.WRONG_SIGN),
    ("gully", {"rear.tyre.rolling_resistance": 0.03}, "rear.tyre.rolling_resistance", SlipCode.FACTOR),
    ("gully", {"rear.tyre.spin_inertia": 2.6}, "rear.tyre.spin_inertia", SlipCode.WRONG_UNIT),
    ("gully", {"rear.tyre.spin_inertia": 2600}, "rear.tyre.spin_inertia", SlipCode.WRONG_UNIT),
    ("gully", {"rear.tyre.spin_inertia": 600}, "rear.tyre.spin_inertia", SlipCode.BOTH_FOR_ONE),
    ("gully", {"rear.lower_link.chassis.0": -118}, "rear.lower_link.chassis[0]", SlipCode.WRONG_SIGN),
    ("gully", {"rear.lower_link.chassis.1": -66}, "rear.lower_link.chassis[1]", SlipCode.WRONG_SIGN),
    ("gully", {"rear.upper_link.axle.1": 27}, "rear.upper_link.axle[1]", SlipCode.FROM_HUB),
    ("gully", {"chassis.cg": [88, 178]}, "chassis.cg[1]", SlipCode.SWAPPED),
    (
        "gully",
        {"rear.shock.friction.breakaway": 16, "rear.shock.friction.sliding": 12},
        "rear.shock.friction.breakaway",
        SlipCode.WRONG_UNIT,
    ),
    (
        "gully",
        {"rear.shock.damper.compression": 0.003, "rear.shock.damper.rebound": 0.004},
        "rear.shock.damper.compression",
        SlipCode.WRONG_UNIT,
    ),
    ("gully", {"chassis.pitch_inertia": 14}, "chassis.pitch_inertia", SlipCode.WRONG_UNIT),
    ("gully", {"parts.battery.mass": 0.128}, "parts[0].mass", SlipCode.WRONG_UNIT),
    ("gully", {"parts.motor.mass": 0.205}, "parts[1].mass", SlipCode.WRONG_UNIT),
    ("gully", {"motor.voltage": 3}, "motor.voltage", SlipCode.CELLS),
    ("gully", {"motor.kv": 15000}, "motor.kv", SlipCode.AT_VOLTAGE),
    ("gully", {"motor.resistance": 0.14}, "motor.resistance", SlipCode.WRONG_UNIT),
    ("gully", {"motor.brake_torque": 5}, "motor.brake_torque", SlipCode.WRONG_UNIT),
    ("gully", {"rear.tyre.stiffness": 6.28}, "rear.tyre.stiffness", SlipCode.WRONG_UNIT),
    ("gully", {"rear.tyre.grip_load": 0.45}, "rear.tyre.grip_load", SlipCode.WRONG_UNIT),
]


@pytest.fixture
def rig(shipped: Callable[[str], Raw]) -> Callable[[str, Change], Scenario]:
    def changed(name: str, change: Change) -> Scenario:
        return scenario_of(shipped(name), f"{name}.toml").changed(change)

    return changed


@pytest.mark.parametrize(("name", "change", "key", "code"), SLIPS, ids=str)
def test_a_slip_is_named_and_undone_there_is_nothing_left(
    name: str, change: Change, key: str, code: SlipCode, rig: Callable[[str, Change], Scenario]
) -> None:
    scenario = rig(name, change)
    (found,) = check_rig(scenario)
    assert found.slip is not None
    assert (found.slip.key, found.slip.code) == (key, code)
    assert str(found).startswith(f"{name}.toml: {found.key}: ")
    assert found.got in str(found) and found.usual in str(found) and str(found.slip) in str(found)
    looked = look(scenario)
    undo = best_undo(looked, looked.out[0])
    assert undo is not None
    mended = with_values(looked.raw, undo.values)
    assert check_rig(scenario.model_copy(update={"rig": mended})) == []


def test_the_number_that_was_meant_is_given(rig: Callable[[str, Change], Scenario]) -> None:
    cases: list[tuple[Change, float]] = [
        ({"rear.shock.springs.0.rate": 0.4}, 0.4 * POUND_PER_INCH),
        ({"parts.battery.mass": 0.128}, 128.0),
        ({"driveline.overdrive": 1.08}, 8.0),
        ({"front.lower_link.chassis.0": 118}, 315.0 - 118.0),
        ({"motor.kv": 15000}, 15000.0 / 11.1),
        ({"parts.battery.mass": 1.2}, 1.2 * OUNCE),
    ]
    for change, meant in cases:
        looked = look(rig("gully", change))
        undo = best_undo(looked, looked.out[0])
        assert undo is not None
        assert undo.values[undo.key] == pytest.approx(meant, rel=1e-9)


def test_the_preload_is_that_of_the_force_that_the_spring_has_to_bear(
    rig: Callable[[str, Change], Scenario],
) -> None:
    """Stiffer by a factor, the same force is less compression: c = F/k - travel, F = k (c + travel)."""
    soft = look(rig("gully", {})).readings[Code.PRELOAD, ("rear", "shock", "springs", 0)].value
    stiff = look(rig("gully", {"rear.shock.springs.0.rate": 0.4}))
    travel = 0.106 - math.dist((0.042, 0.158), (0.003, 0.070))  # extended length less mounts apart
    meant = (soft + travel) * 0.07 / 0.4 - travel
    assert stiff.readings[Code.PRELOAD, ("rear", "shock", "springs", 0)].value == pytest.approx(
        meant, abs=1e-6
    )


def test_a_slip_that_puts_nothing_right_is_not_named(rig: Callable[[str, Change], Scenario]) -> None:
    """All masses a third short: no one key is to blame, and none that might fit by chance is named."""
    gully = rig("gully", {})
    keys = ["chassis.mass", *(f"parts.{k}.mass" for k in range(3))]
    keys += [f"{end}.{key}" for end in ("rear", "front") for key in ("housing.mass", "tyre.wheel_mass")]
    short = gully.changed([(f"{key} *=", 2.0 / 3.0) for key in keys])
    found = {one.code: one for one in check_rig(short)}
    assert found[Code.WHOLE_MASS].slip is None
    assert found[Code.WHOLE_MASS].key == ""


def test_what_follows_from_a_slip_is_not_said_beside_it(rig: Callable[[str, Change], Scenario]) -> None:
    scenario = rig("gully", {"rear.upper_link.chassis.0": 920})
    assert len(look(scenario).out) > 1  # a link seven times as long, too
    assert [one.key for one in check_rig(scenario)] == ["rear.upper_link.chassis[0]"]


def test_a_rig_that_cannot_stand_gets_what_its_file_shows(rig: Callable[[str, Change], Scenario]) -> None:
    nose_heavy = rig("gully", {"chassis.cg.0": 1780, "driveline.overdrive": 1.08})
    assert look(nose_heavy).bench is None
    keys = [one.key for one in check_rig(nose_heavy)]
    assert "driveline.overdrive" in keys and "chassis.cg[0]" in keys


def test_stated_springs_that_do_not_hold_the_ride_height_are_seen(
    rig: Callable[[str, Change], Scenario],
) -> None:
    """A chassis of half its mass rides high on springs whose preload was measured."""
    held = look(rig("fell", {"rear.shock.friction": {}, "front.shock.friction": {}}))
    assert held.bench is not None
    force = held.bench.borne[0].force / 2.0
    stated: Change = {"rear.shock.friction": {}, "front.shock.friction": {}}
    stated["rear.shock.springs"] = [{"rate": 0.26, "preload": force - 0.26e3 * held.bench.borne[0].travel}]
    assert check_rig(rig("fell", stated)) == []
    short = check_rig(rig("fell", stated | {"chassis.mass": 510}))
    assert Code.RIDE_HEIGHT in {one.code for one in short}
