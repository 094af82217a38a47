"""One axle of a rig file: housing, links or arm, shock, tyres."""

from collections.abc import Iterator
from math import log, sqrt
from typing import Annotated, Literal, Self

from pydantic import model_validator

from simcore.files.fields import (
    Contradiction,
    Grip,
    LooseMass,
    Mass,
    PitchInertia,
    Position,
    Table,
    bench,
    refuse,
)
from simcore.files.shock import Shock
from simcore.units import Q

LoadExponent = Annotated[float, Q("1", ge=0, le=0.5)]
SlipStiffness = Annotated[float, Q("1", ge=2, le=100)]


class Housing(Table):
    """The axle housing with everything in it, without wheels, links and shocks."""

    mass: Mass
    """Mass of the housing, gears, knuckles and axle shafts."""
    cg: Position | None = None
    """Centre of gravity [x, z]; left out: the axle centre."""
    pitch_inertia: PitchInertia
    """Moment of inertia about that point in side view; a block: mass * (length^2 + height^2) / 12."""


class Link(Table):
    """A link in side view; the left and the right one of a pair count as one."""

    chassis: Position
    """Pin [x, z] at the chassis."""
    axle: Position
    """Pin [x, z] at the axle housing."""
    mass: LooseMass = 0
    """Mass of both links of the pair; half of it counts as sprung."""


class Arm(Table):
    """An arm fixed to the housing and pinned at the chassis only, instead of two links."""

    chassis: Position
    """Pin [x, z] at the chassis."""
    mass: LooseMass = 0
    """Mass of the arm; half of it counts as sprung."""


class Tyre(Table):
    """One of the two tyres of an axle, with its wheel."""

    radius: Annotated[float, Q("mm", ge=10, le=300)]
    """Free radius: half the diameter of the unloaded tyre."""
    stiffness: Annotated[float, Q("N/mm", gt=0, le=1000)]
    """Load per deflection of one tyre. Load the wheel with 1 kg: stiffness = 9.81 N / loss of height."""
    damping: Annotated[float, Q("N*s/m", ge=0, le=1000)] = 5
    """Load per speed of deflection of one tyre; foam gives 3 to 10."""
    wheel_mass: Mass
    """Mass of one wheel with tyre, foam and hub weights."""
    spin_inertia: Annotated[float, Q("kg*mm^2", ge=0.01, le=1e6)]
    """Moment of inertia of one wheel about its axle: half of mass * radius^2 to the whole of it, which a ring
    has. A wheel of 150 g and 59 mm radius has about 260."""
    peak_grip: Grip
    """Thrust per load up to which the standing tyre holds. Tilt a board until the locked rig slides:
    grip = tan(angle). A driven tyre shows a little less, as it slides a little where it pulls most."""
    sliding_grip: Grip
    """Thrust per load of the tyre that spins on the spot at `grip_speed`, not above `peak_grip`."""
    grip_load_exponent: LoadExponent = 0
    """How both grips fall with load, as (load / grip_load)^-exponent: 0 not at all, 1/9 to 1/3 by the elastic
    contact of rubber; tyres on clean dry roads were found near 0. With 0.15 a tenth more load costs 1.4 %."""
    grip_load: Annotated[float, Q("g", gt=0, le=20000)] | None = None
    """Load of one tyre at which the grips were measured. State it where weight is moved or changed; left out:
    what the tyre carries with the rig level, whatever that is."""
    slip_stiffness: SlipStiffness
    """Thrust per load and slip at small slip, at least twice `peak_grip`: 10 means full grip at 20 % slip."""
    relaxation_length: Annotated[float, Q("mm", ge=1, le=200)] = 20
    """Rolling distance over which thrust builds up."""
    grip_speed: Annotated[float, Q("m/s", gt=0, le=20)] = 0.3
    """Tread speed at which the sliding grip is stated."""
    stribeck_speed: Annotated[float, Q("m/s", gt=0, le=20)] = 0.15
    """Sliding speed over which grip falls from peak to sliding."""
    rolling_resistance: Annotated[float, Q("%", ge=0, le=30)] = 2
    """Drag of the rolling tyre in percent of its load."""

    @model_validator(mode="after")
    def _agree(self) -> Self:
        refuse(self._contradictions())
        return self

    def _contradictions(self) -> Iterator[Contradiction]:
        if self.sliding_grip > self.peak_grip:
            must_be = f"at most the peak grip of {self.peak_grip:g}"
            yield Contradiction(("sliding_grip",), f"{self.sliding_grip:g}", must_be)
        if self.slip_stiffness < 2.0 * self.peak_grip:
            must_be = f"at least twice the peak grip, that is {2.0 * self.peak_grip:g}"
            yield Contradiction(("slip_stiffness",), f"{self.slip_stiffness:g}", must_be)
        if self.sliding_grip < self.peak_grip and self.stribeck_speed > self._highest_stribeck_speed():
            most = f"at most {bench(self._highest_stribeck_speed(), 'm/s')}"
            must_be = f"{most}, so that grip falls to {self.sliding_grip:g} by grip_speed"
            yield Contradiction(("stribeck_speed",), bench(self.stribeck_speed, "m/s"), must_be)

    def _highest_stribeck_speed(self) -> float:
        """Speed above which grip would have to go on falling to less than half the sliding grip, m/s.

        ``G(v) = Fc + (Fs - Fc) exp(-(v/vs)^2)``, Fs the peak grip, ``G(grip_speed)`` the sliding grip, solved
        for vs with Fc half of the sliding grip.
        """
        floor = 0.5 * self.sliding_grip
        return self.grip_speed / sqrt(log((self.peak_grip - floor) / floor))


class Shaft(Table):
    """The telescoping drive shaft from the gearbox to this axle, in side view.

    Its splines resist sliding with friction * torque / spline_radius, along the line of its joints.
    """

    chassis: Position
    """Joint [x, z] at the gearbox."""
    axle: Position
    """Joint [x, z] at the axle's pinion."""
    ratio: Annotated[float, Q("1", ge=0.2, le=20)]
    """Turns of the shaft per turn of the wheels: ring and pinion, and portal gears if there are any."""
    friction: Annotated[float, Q("1", ge=0, le=1)] = 0
    """Friction of the splines: dry plastic or steel about 0.1 to 0.3 (common practice, no source)."""
    spline_radius: Annotated[float, Q("mm", ge=0.5, le=50)] = 3
    """Mean radius of the splines, or of whatever carries the torque and slides."""
    presliding: Annotated[float, Q("mm", ge=0.001, le=1)] = 0.02
    """How far the shaft gives, springily, before it slides."""
    turns: Literal["clockwise", "anticlockwise"] = "clockwise"
    """Which way it turns as the rig drives forward, seen from behind: lift the rig, roll its wheels forward
    and look. A gearbox whose output goes straight through turns both shafts the same way. Only for the load
    from side to side, see `track`."""

    @model_validator(mode="after")
    def _agree(self) -> Self:
        if self.chassis == self.axle:
            x, z = (bench(value, "mm") for value in self.axle)
            refuse([Contradiction(("axle",), f"[{x}, {z}]", "away from its joint at the gearbox")])
        return self


class Axle(Table):
    """One axle.

    It is located either by `lower_link` and `upper_link` or by one `arm`.
    """

    housing: Housing
    """The axle housing."""
    lower_link: Link | None = None
    """The lower pair of links."""
    upper_link: Link | None = None
    """The upper pair of links."""
    arm: Arm | None = None
    """An arm instead of the links."""
    shock: Shock
    """The two shocks, each as stated."""
    tyre: Tyre
    """The two tyres, each as stated."""
    shaft: Shaft | None = None
    """The drive shaft; left out: it slides freely."""

    @model_validator(mode="after")
    def _agree(self) -> Self:
        refuse(self._contradictions())
        return self

    def _contradictions(self) -> Iterator[Contradiction]:
        there = [name for name in ("lower_link", "upper_link", "arm") if getattr(self, name) is not None]
        if there not in (["lower_link", "upper_link"], ["arm"]):
            yield Contradiction(
                (), _listed(there), "located either by lower_link and upper_link or by arm alone"
            )
        elif self.arm is not None and self.shock.link is not None:
            must_be = "left out: an arm is part of the axle, so give shock.axle = [x, z]"
            yield Contradiction(("shock", "link"), f'"{self.shock.link}" with an arm', must_be)
        for name in ("lower_link", "upper_link"):
            link = getattr(self, name)
            if link is not None and link.chassis == link.axle:
                x, z = (bench(value, "mm") for value in link.axle)
                yield Contradiction(
                    (name, "axle"), f"[{x}, {z}]", "away from its chassis pin (a link has a length)"
                )


def links_of(axle: Axle) -> tuple[Link, ...]:
    """Lower and upper link of an axle; none when an arm locates it."""
    return tuple(link for link in (axle.lower_link, axle.upper_link) if link is not None)


def mount_of(axle: Axle) -> tuple[Position, Position, float]:
    """Lower shock mount on the bench as a mix of two places, m: chassis pin and axle pin of its link, and the
    way from the one to the other; a mount on the housing is all axle pin.
    """
    shock = axle.shock
    if shock.axle is not None:
        return shock.chassis, shock.axle, 1.0
    link = dict(zip(("lower", "upper"), links_of(axle), strict=True))[shock.link or "lower"]
    return link.chassis, link.axle, shock.fraction or 0.0


def lower_mount(axle: Axle) -> Position:
    """Lower shock mount on the bench, m."""
    (x0, z0), (x1, z1), f = mount_of(axle)
    return x0 + f * (x1 - x0), z0 + f * (z1 - z0)


def _listed(names: list[str]) -> str:
    return " and ".join(names) if names else "neither links nor arm"
