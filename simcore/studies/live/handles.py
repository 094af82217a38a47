"""What of a rig may be taken hold of in its side view: pins of links, mounts of shocks, masses."""

import enum
from collections.abc import Iterator
from dataclasses import dataclass

from simcore.files.axle import Axle
from simcore.files.fields import Position
from simcore.files.scenario import Scenario
from simcore.files.steps import Steps
from simcore.rig.masses import SIDES, sides
from simcore.studies.key_names import path_of

MILLIMETRES = 1e3  # of a metre
LINKS = {"lower_link": "lower link", "upper_link": "upper link"}


class Hold(enum.Enum):
    """What a handle moves."""

    LINK = "link"
    SHOCK = "shock"
    MASS = "mass"


@dataclass(frozen=True)
class Handle:
    """A place of the rig that may be moved.

    Attributes
    ----------
    id : what it is known by
    label : what to call it
    hold : what it moves
    paths : settings of its x and its z
    at : where it is on the bench, mm
    body : that it belongs to: "chassis", "rear_axle" or "front_axle"
    """

    id: str
    label: str
    hold: Hold
    paths: tuple[str, str]
    at: tuple[float, float]
    body: str


def handles(scenario: Scenario) -> list[Handle]:
    """Every place of a case's rig that may be moved and is stated in its file."""
    return list(_handles(scenario))


def _handles(scenario: Scenario) -> Iterator[Handle]:
    rig = scenario.rig
    for name, axle in zip(SIDES, sides(rig), strict=True):
        yield from _of_axle(name, axle)
    yield _handle(("chassis", "cg"), "chassis without its parts", Hold.MASS, rig.chassis.cg, "chassis")
    for k, part in enumerate(rig.parts):
        body = "chassis" if part.on == "chassis" else f"{part.on}_axle"
        yield _handle(("parts", k, "at"), part.name, Hold.MASS, part.at, body)


def _of_axle(name: str, axle: Axle) -> Iterator[Handle]:
    own = f"{name}_axle"
    for key, words in LINKS.items():
        link = getattr(axle, key)
        if link is not None:
            yield _handle(
                (name, key, "chassis"), f"{name} {words}, chassis end", Hold.LINK, link.chassis, "chassis"
            )
            yield _handle((name, key, "axle"), f"{name} {words}, axle end", Hold.LINK, link.axle, own)
    if axle.arm is not None:
        yield _handle(
            (name, "arm", "chassis"), f"{name} arm, its pin", Hold.LINK, axle.arm.chassis, "chassis"
        )
    shock = axle.shock
    yield _handle(
        (name, "shock", "chassis"), f"{name} shocks, upper mount", Hold.SHOCK, shock.chassis, "chassis"
    )
    if shock.axle is not None:
        yield _handle((name, "shock", "axle"), f"{name} shocks, lower mount", Hold.SHOCK, shock.axle, own)


def _handle(key: Steps, label: str, hold: Hold, at: Position, body: str) -> Handle:
    path = path_of(("rig", *key))
    x, z = (round(value * MILLIMETRES, 6) for value in at)
    return Handle(path, label, hold, (f"{path}.0", f"{path}.1"), (x, z), body)
