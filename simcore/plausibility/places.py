"""Readings of where things are: inside the rig, between its wheels, above the table; from the file alone."""

from collections.abc import Iterator
from math import dist

from simcore.files.axle import Axle
from simcore.files.fields import Position
from simcore.files.rig import Rig
from simcore.files.steps import Steps
from simcore.plausibility.codes import Code
from simcore.plausibility.masses import LINKS
from simcore.plausibility.reading import Reading, place, reading
from simcore.rig.masses import SIDES, sides

Codes = tuple[Code, Code]
CHASSIS_PIN = (Code.CHASSIS_PIN_X, Code.CHASSIS_PIN_Z)
AXLE_PIN = (Code.AXLE_PIN_X, Code.AXLE_PIN_Z)
UPPER_MOUNT = (Code.UPPER_MOUNT_X, Code.UPPER_MOUNT_Z)
LOWER_MOUNT = (Code.LOWER_MOUNT_X, Code.LOWER_MOUNT_Z)
SHAFT_CHASSIS = (Code.SHAFT_CHASSIS_X, Code.SHAFT_CHASSIS_Z)
SHAFT_AXLE = (Code.SHAFT_AXLE_X, Code.SHAFT_AXLE_Z)
CHASSIS_CG = (Code.CHASSIS_CG_X, Code.CHASSIS_CG_Z)
HOUSING_CG = (Code.HOUSING_CG_X, Code.HOUSING_CG_Z)
PART = (Code.PART_X, Code.PART_Z)
AXLE_PART = (Code.AXLE_PART_X, Code.AXLE_PART_Z)
SKID = (Code.SKID_X, Code.SKID_Z)


def place_readings(rig: Rig) -> Iterator[Reading]:
    """Both coordinates of every place; pins of an axle's links against one another; the track."""
    yield reading(rig, Code.WHEELBASE, ("wheelbase",), rig.wheelbase)
    if rig.track is not None:
        yield reading(rig, Code.TRACK, ("track",), rig.track, size=rig.wheelbase)
    yield from _at(rig, CHASSIS_CG, ("chassis", "cg"), rig.chassis.cg)
    for name, axle in zip(SIDES, sides(rig), strict=True):
        yield from _axle_places(rig, name, axle)
    for k, part in enumerate(rig.parts):
        codes, side = (PART, "") if part.on == "chassis" else (AXLE_PART, part.on)
        yield from _at(rig, codes, ("parts", k, "at"), part.at, side)
    for k, skid in enumerate(rig.skids):
        yield from _at(rig, SKID, ("skids", k, "at"), skid.at)


def _at(rig: Rig, codes: Codes, key: Steps, at: Position, side: str = "") -> Iterator[Reading]:
    """Readings of a place; `side` is the axle it belongs to, whose tyre gives the scale of heights."""
    radius = rig.front.tyre.radius if side == "front" else rig.rear.tyre.radius
    yield place(rig, codes[0], (*key, 0), at[0], side == "front")
    yield reading(rig, codes[1], (*key, 1), at[1], size=radius)


def _axle_places(rig: Rig, name: str, axle: Axle) -> Iterator[Reading]:
    places: list[tuple[Codes, Steps, Position | None]] = [
        (HOUSING_CG, (name, "housing", "cg"), axle.housing.cg),
        (UPPER_MOUNT, (name, "shock", "chassis"), axle.shock.chassis),
        (LOWER_MOUNT, (name, "shock", "axle"), axle.shock.axle),
    ]
    if axle.arm is not None:
        places.append((CHASSIS_PIN, (name, "arm", "chassis"), axle.arm.chassis))
    for link in LINKS:
        held = getattr(axle, link)
        if held is not None:
            places.append((CHASSIS_PIN, (name, link, "chassis"), held.chassis))
            places.append((AXLE_PIN, (name, link, "axle"), held.axle))
    if axle.shaft is not None:
        places.append((SHAFT_CHASSIS, (name, "shaft", "chassis"), axle.shaft.chassis))
        places.append((SHAFT_AXLE, (name, "shaft", "axle"), axle.shaft.axle))
    for codes, key, at in places:
        if at is not None:
            yield from _at(rig, codes, key, at, name)
    yield from _link_pair(rig, name, axle)


def _link_pair(rig: Rig, name: str, axle: Axle) -> Iterator[Reading]:
    """Upper link against lower link: length, and the heights of the pins at either end."""
    lower, upper = axle.lower_link, axle.upper_link
    if lower is None or upper is None:
        return
    pins = [(name, link, end, k) for link in reversed(LINKS) for end in ("chassis", "axle") for k in (0, 1)]
    lengths = [dist(link.chassis, link.axle) for link in (lower, upper)]
    key = (name, "upper_link")
    yield reading(rig, Code.LINK_RATIO, key, lengths[1] / lengths[0], *pins)
    for code, end in ((Code.AXLE_PIN_GAP, "axle"), (Code.CHASSIS_PIN_GAP, "chassis")):
        gap = getattr(upper, end)[1] - getattr(lower, end)[1]
        heights = [pin for pin in pins if pin[2] == end and pin[3] == 1]
        yield reading(rig, code, (*key, end), gap, *heights, size=axle.tyre.radius)
