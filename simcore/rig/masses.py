"""Mass properties: loose parts become three bodies; the rig as it stands on the bench."""

import dataclasses
from collections.abc import Iterable

from scipy.optimize import brentq

from simcore.compiled import LEDGER, blank
from simcore.errors import InputError, InputIssue
from simcore.files.axle import Axle, links_of, lower_mount
from simcore.files.fields import Position
from simcore.files.rig import Rig
from simcore.laws.ground import normal_force, touch
from simcore.rig.course import flat_ground
from simcore.units import GRAMS, GRAVITY

SIDES = ("rear", "front")


@dataclasses.dataclass(frozen=True)
class Mass:
    """A lump of mass: where it is on the bench (m), and its own pitch inertia (kg*m^2)."""

    mass: float
    x: float
    z: float
    inertia: float = 0.0


def join(lumps: Iterable[Mass]) -> Mass:
    """One mass from many: total, common centre, pitch inertia about it (parallel-axis theorem)."""
    lumps = list(lumps)
    total = sum(lump.mass for lump in lumps)
    x = sum(lump.mass * lump.x for lump in lumps) / total
    z = sum(lump.mass * lump.z for lump in lumps) / total
    inertia = sum(lump.inertia + lump.mass * ((lump.x - x) ** 2 + (lump.z - z) ** 2) for lump in lumps)
    return Mass(total, x, z, inertia)


@dataclasses.dataclass(frozen=True)
class StaticPose:
    """A rig as it stands on the bench: masses, axle centres and the level loads of the axles.

    Attributes
    ----------
    chassis, axles : masses of the three bodies (axles with their wheels), rear axle first
    whole : all of it
    loads : tyre loads standing on the level, N
    centres : axle centres (x, z), m
    """

    chassis: Mass
    axles: tuple[Mass, Mass]
    whole: Mass
    loads: tuple[float, float]
    centres: tuple[Position, Position]


def sides(rig: Rig) -> tuple[Axle, Axle]:
    """Rear and front axle, in the order of every array of axles."""
    return rig.rear, rig.front


def _masses_between(axle: Axle, centre: Position) -> list[tuple[float, Position, Position]]:
    """Mass, sprung end and unsprung end of links or arm, and of both shocks."""
    shocks = (2.0 * axle.shock.mass, axle.shock.chassis, lower_mount(axle))
    if axle.arm is not None:
        return [(axle.arm.mass, axle.arm.chassis, centre), shocks]
    return [*((link.mass, link.chassis, link.axle) for link in links_of(axle)), shocks]


def lumps_of(rig: Rig, centres: tuple[Position, Position]) -> list[list[Mass]]:
    """Lumps of chassis, rear and front axle, the chassis itself the very first.

    Links, shocks and shafts count half as sprung, half as unsprung (common practice, no source).
    """
    chassis = [Mass(rig.chassis.mass, *rig.chassis.cg, rig.chassis.pitch_inertia)]
    lumps: list[list[Mass]] = [chassis, [], []]
    for i, axle in enumerate(sides(rig)):
        centre, own = centres[i], lumps[1 + i]
        own.append(Mass(axle.housing.mass, *(axle.housing.cg or centre), axle.housing.pitch_inertia))
        own.append(Mass(2.0 * axle.tyre.wheel_mass, *centre))
        joints = (axle.shaft.chassis, axle.shaft.axle) if axle.shaft else (rig.chassis.cg, centre)
        shaft = (rig.driveline.shaft_mass, *joints)
        for mass, top, bottom in (*_masses_between(axle, centre), shaft):
            chassis.append(Mass(0.5 * mass, *top))
            own.append(Mass(0.5 * mass, *bottom))
    for part in rig.parts:
        length, height = part.size or (0.0, 0.0)
        box = part.mass * (length**2 + height**2) / 12.0
        lumps[("chassis", *SIDES).index(part.on)].append(Mass(part.mass, *part.at, box))
    return lumps


def loaded_height(radius: float, stiffness: float, load: float) -> float:
    """Height of an axle's wheel centres over level ground under a load, from the contact law itself, m.

    Parameters
    ----------
    radius : free radius of its tyres, m
    stiffness : of both tyres together, N/m
    load : on both, N
    """
    contact, flat = blank(LEDGER)[0].axle[0].tyre.contact, flat_ground()

    def excess(deflection: float) -> float:
        touch(contact, flat, 0.0, radius - deflection, radius)
        return normal_force(contact, radius, stiffness, 0.0, 0.0, 0.0)[0] - load

    return radius - float(brentq(excess, 0.0, 0.9 * radius, xtol=1e-13))


def static_pose(rig: Rig, source: str) -> StaticPose:
    """Mass properties, axle loads and axle heights of a rig standing at its measured ride height.

    Raises
    ------
    InputError
        when the centre of mass lies outside the wheelbase or a tyre is too soft for its load.
    """
    guess = ((0.0, rig.rear.tyre.radius), (rig.wheelbase, rig.front.tyre.radius))
    whole = join(lump for body in lumps_of(rig, guess) for lump in body)
    weight, share = whole.mass * GRAVITY, whole.x / rig.wheelbase
    if not 0.0 < share < 1.0:
        must = (
            f"from 0 to {rig.wheelbase * 1e3:g} mm, between the axles, or the rig tips over where it stands"
        )
        raise InputError(
            [
                InputIssue(
                    source,
                    "rig.chassis.cg",
                    f"a centre of mass of the whole rig at x = {whole.x * 1e3:.1f} mm",
                    must,
                )
            ]
        )
    loads = (weight * (1.0 - share), weight * share)
    issues = []
    for name, axle, load in zip(SIDES, sides(rig), loads, strict=True):
        least = load / (2.0 * 0.3 * axle.tyre.radius)
        if axle.tyre.stiffness < least:
            squeezed = f"{load * GRAMS:.0f} g compress it by over 30 % of its radius"
            must = f"at least {least * 1e-3:.3g} N/mm, or {squeezed}"
            issues.append(
                InputIssue(source, f"rig.{name}.tyre.stiffness", f"{axle.tyre.stiffness * 1e-3:g} N/mm", must)
            )
    if issues:
        raise InputError(issues)
    heights = [
        loaded_height(axle.tyre.radius, 2.0 * axle.tyre.stiffness, load)
        for axle, load in zip(sides(rig), loads, strict=True)
    ]
    centres = ((0.0, heights[0]), (rig.wheelbase, heights[1]))
    lumps = lumps_of(rig, centres)
    chassis, rear, front = (join(body) for body in lumps)
    return StaticPose(chassis, (rear, front), join([chassis, rear, front]), loads, centres)
