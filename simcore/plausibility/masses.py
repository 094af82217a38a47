"""Readings of masses and inertias, from the file alone."""

from collections.abc import Iterator
from math import sqrt

from simcore.files.axle import Axle, links_of
from simcore.files.rig import Rig
from simcore.files.steps import Steps
from simcore.plausibility.codes import Code
from simcore.plausibility.reading import Reading, reading
from simcore.rig.masses import SIDES, sides

LINKS = ("lower_link", "upper_link")


def mass_keys(rig: Rig) -> Iterator[tuple[Steps, float]]:
    """Every key of a mass, and how many pieces of what it states there are."""
    yield ("chassis", "mass"), 1.0
    for name, axle in zip(SIDES, sides(rig), strict=True):
        yield (name, "housing", "mass"), 1.0
        yield (name, "tyre", "wheel_mass"), 2.0
        if axle.arm is not None:
            yield (name, "arm", "mass"), 1.0
        else:
            yield from (((name, link, "mass"), 1.0) for link in LINKS)
        yield (name, "shock", "mass"), 2.0
    yield ("driveline", "shaft_mass"), 2.0
    yield from ((("parts", k, "mass"), 1.0) for k in range(len(rig.parts)))


def whole_mass(rig: Rig) -> float:
    """Mass of everything in the file, kg."""
    axles = sum(_axle_mass(axle) + 2.0 * axle.tyre.wheel_mass for axle in sides(rig))
    return rig.chassis.mass + axles + sum(part.mass for part in rig.parts) + 2.0 * rig.driveline.shaft_mass


def _axle_mass(axle: Axle) -> float:
    """Housing, links or arm, shocks, all of them."""
    held = axle.arm.mass if axle.arm is not None else sum(link.mass for link in links_of(axle))
    return axle.housing.mass + held + 2.0 * axle.shock.mass


def mass_readings(rig: Rig) -> Iterator[Reading]:
    """Masses of the whole rig and of its pieces; inertias for their sizes."""
    every = [key for key, _ in mass_keys(rig)]
    yield reading(rig, Code.WHOLE_MASS, (), whole_mass(rig), *every)
    chassis = rig.chassis
    yield reading(rig, Code.CHASSIS_MASS, ("chassis", "mass"), chassis.mass)
    yield reading(
        rig,
        Code.CHASSIS_GYRATION,
        ("chassis", "pitch_inertia"),
        sqrt(chassis.pitch_inertia / chassis.mass),
        ("chassis", "pitch_inertia"),
        ("chassis", "mass"),
        size=rig.wheelbase,
    )
    for name, axle in zip(SIDES, sides(rig), strict=True):
        yield from _axle_readings(rig, name, axle)
    if rig.driveline.shaft_mass:
        yield reading(rig, Code.SHAFT_MASS, ("driveline", "shaft_mass"), rig.driveline.shaft_mass)
    for k, part in enumerate(rig.parts):
        yield reading(rig, Code.PART_MASS, ("parts", k, "mass"), part.mass)


def _axle_readings(rig: Rig, name: str, axle: Axle) -> Iterator[Reading]:
    own, tyre = [(k, part) for k, part in enumerate(rig.parts) if part.on == name], axle.tyre
    yield reading(rig, Code.WHEEL_MASS, (name, "tyre", "wheel_mass"), tyre.wheel_mass)
    key = (name, "housing", "mass")
    halves = 0.5 * (_axle_mass(axle) - axle.housing.mass + rig.driveline.shaft_mass)
    mass = axle.housing.mass + halves + sum(part.mass for _, part in own)
    yield reading(rig, Code.AXLE_MASS, key, mass, key, *(("parts", k, "mass") for k, _ in own))
    yield reading(
        rig,
        Code.HOUSING_GYRATION,
        (name, "housing", "pitch_inertia"),
        sqrt(axle.housing.pitch_inertia / mass),
        (name, "housing", "pitch_inertia"),
        key,
        size=tyre.radius,
    )
    inertia = (name, "tyre", "spin_inertia")
    yield reading(
        rig,
        Code.WHEEL_INERTIA,
        inertia,
        tyre.spin_inertia,
        inertia,
        (name, "tyre", "wheel_mass"),
        (name, "tyre", "radius"),
        size=tyre.wheel_mass * tyre.radius**2,
    )
    if axle.shock.mass:
        yield reading(rig, Code.SHOCK_MASS, (name, "shock", "mass"), axle.shock.mass)
    for link, held in zip(LINKS, links_of(axle), strict=False):
        if held.mass:
            yield reading(rig, Code.LINK_MASS, (name, link, "mass"), held.mass)
