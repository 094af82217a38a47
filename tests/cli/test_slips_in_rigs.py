"""Slips in a rig file, as a builder makes them: the work is done, and said where and what the slip is."""

import json
from pathlib import Path

import pytest

NO_SKIDS = ("skids=[]",)
WEIGHED = ("weighed.rear=870", "weighed.front=1132")

SLIPS = {
    "a spring in lb/in": (
        "gully",
        ("rear.shock.springs.0.rate=0.4",),
        "rear.shock.springs[0]",
        "rear.shock.springs[0].rate typed in lb/in? 0.4 lb/in is 0.07005 N/mm",
    ),
    "a stiffer spring in lb/in": (
        "fell",
        ("rear.shock.springs.0.rate=1.48",),
        "rear.shock.springs[0].rate",
        "typed in lb/in? 1.48 lb/in is 0.2592 N/mm",
    ),
    "a diameter for a radius": (
        "gully",
        (*NO_SKIDS, "rear.tyre.radius=118"),
        "rear.tyre.radius",
        "a diameter? The radius is then 59 mm",
    ),
    "a pin ten times too far": (
        "gully",
        ("rear.upper_link.chassis.0=920",),
        "rear.upper_link.chassis[0]",
        "ten times too large? A decimal place less is 92 mm",
    ),
    "a link measured from the other axle": (
        "gully",
        ("front.lower_link.chassis.0=118",),
        "front.lower_link.chassis[0]",
        "measured from the other axle? From the rear one x is 197 mm",
    ),
    "a factor for a percentage": (
        "gully",
        ("driveline.overdrive=1.08",),
        "driveline.overdrive",
        "a factor? 1.08 is 8 %",
    ),
    "a mass short by a third": (
        "gully",
        (*WEIGHED, "chassis.mass=223"),
        "weighed.rear",
        "112 g missing in the file: chassis.mass of 335 g",
    ),
    "a wheel of half its mass": (
        "gully",
        (*WEIGHED, "rear.tyre.wheel_mass=75"),
        "weighed.rear",
        "rear.tyre.wheel_mass half of one? One has then 150 g",
    ),
    "a wheel's inertia in kg*cm^2": (
        "gully",
        ("rear.tyre.spin_inertia=2.6",),
        "rear.tyre.spin_inertia",
        "typed in kg*cm^2? 2.6 kg*cm^2 is 260 kg*mm^2",
    ),
    "a wheel's inertia beyond a ring": (
        "scree",
        ("rear.tyre.spin_inertia=600",),
        "rear.tyre.spin_inertia",
        "of both together? One has then 300 kg*mm^2",
    ),
    "a sign": (
        "gully",
        ("rear.lower_link.chassis.0=-118",),
        "rear.lower_link.chassis[0]",
        "wrong sign? Without it 118 mm",
    ),
    "friction in grams": (
        "gully",
        ("rear.shock.friction.breakaway=16", "rear.shock.friction.sliding=12"),
        "rear.shock.friction.breakaway",
        "typed in g? 16 g is 0.1569 N",
    ),
}


@pytest.mark.parametrize("slip", SLIPS)
def test_a_slip_is_warned_of_and_the_work_done(slip: str, simcore) -> None:
    rig, changes, key, words = SLIPS[slip]
    settings = [word for change in changes for word in ("--set", change)]
    done = simcore("inspect", f"scenarios/rigs/{rig}.toml", "--json", *settings)
    assert done.returncode == 0, done.stderr
    (warning,) = (line for line in done.stderr.splitlines() if line.startswith("warning: "))
    assert warning.startswith(f"warning: scenarios/rigs/{rig}.toml: {key}: ")
    assert words in warning
    assert json.loads(done.stdout)["rig"]


def test_a_command_warns_once_and_names_the_variant(simcore, desk: Path) -> None:
    path = desk / "scenarios" / "quick.toml"
    path.write_text(
        'title = "t"\nrig = "rigs/gully.toml"\n[driver]\ncontrol = "torque"\ntorque = [[0, 0]]\n'
        "[end]\nduration = 0.1\n"
        '[variants."faster front"]\n"driveline.overdrive" = 1.08\n',
        encoding="utf-8",
    )
    one = simcore("run", "scenarios/quick.toml", "--set", "motor.voltage=3", "--out", "one", "--no-pictures")
    assert one.returncode == 0, one.stderr
    (warning,) = (line for line in one.stderr.splitlines() if line.startswith("warning: "))
    assert warning.startswith("warning: scenarios/rigs/gully.toml: motor.voltage: ") and "11.1 V" in warning
    both = simcore("compare", "scenarios/quick.toml", "--out", "both", "--no-pictures")
    assert both.returncode == 0, both.stderr
    (warning,) = (line for line in both.stderr.splitlines() if line.startswith("warning: "))
    assert "driveline.overdrive" in warning and warning.endswith('(variant "faster front")')


def test_measured_loads_and_preload_stand_beside_the_computed_ones(simcore) -> None:
    plain = simcore("inspect", "scenarios/rigs/gully.toml")
    assert "preload, as travel of its spring" in plain.stdout
    assert "preload, of one shock at full extension" in plain.stdout
    assert "as weighed" not in plain.stdout
    weighed = simcore("inspect", "scenarios/rigs/gully.toml", "--set", "weighed.rear=860", "--out", "w")
    assert "tyre load as weighed" in weighed.stdout
    assert "860 g" in weighed.stdout
    assert weighed.returncode == 0
