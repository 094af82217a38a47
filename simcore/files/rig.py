"""The rig file: the whole vehicle as measured on a bench, standing at ride height on the flat."""

from collections.abc import Iterator
from itertools import product
from math import hypot
from typing import Annotated, Literal, Self

from pydantic import Field, ValidationInfo, model_validator

from simcore.files.axle import Axle, Link, lower_mount
from simcore.files.fields import (
    Contradiction,
    LooseMass,
    Mass,
    Name,
    PitchInertia,
    Position,
    Schema,
    Table,
    bench,
    refuse,
)
from simcore.files.spread import Spread, contradictions
from simcore.units import Q

ShaftStiffness = Annotated[float, Q("N*m/rad", gt=0, le=1000)]
Length = Annotated[float, Q("mm", gt=0, le=2000)]

_ROUNDING = 1e-9  # m; far below anything a ruler can show
_SAME_LINE = 1e-4  # m; links nearer to one line than this leave the axle free to swing


class Chassis(Table):
    """The sprung mass, without the loose parts and without the halves of links, shocks and shafts."""

    mass: Mass
    """Mass of the chassis as described."""
    cg: Position
    """Its centre of gravity [x, z]. Balance it over an edge, level and standing on its nose."""
    pitch_inertia: PitchInertia
    """Moment of inertia about that point in side view; a block: mass * (length^2 + height^2) / 12."""


class Driveline(Table):
    """Gears and shafts between the motor and the wheels; front and rear are locked together."""

    drive: Literal["all", "rear", "front"] = "all"
    """Which axles are driven."""
    ratio: Annotated[float, Q("1", ge=1, le=300)]
    """Motor turns per turn of the rear wheels."""
    overdrive: Annotated[float, Q("%", ge=-50, le=100)] = 0
    """How much faster the front wheels are driven than the rear ones."""
    efficiency: Annotated[float, Q("%", ge=20, le=100)] = 80
    """Share of the motor's power that arrives at the wheels; the same the other way."""
    rear_stiffness: ShaftStiffness = 8
    """Wind-up of the rear branch, at the wheels: torque on both wheels per turn, motor held."""
    front_stiffness: ShaftStiffness = 8
    """Wind-up of the front branch, at the wheels."""
    damping: Annotated[float, Q("N*m*s/rad", ge=0, le=10)] = 0.02
    """Damping of that wind-up, for each branch, at the wheels."""
    shaft_mass: LooseMass = 0
    """Mass of one prop shaft; half of it counts as sprung."""


class Motor(Table):
    """Motor, speed controller and battery as one direct-current source."""

    kv: Annotated[float, Q("rpm/V", gt=0, le=20000)]
    """Speed per volt without load."""
    voltage: Annotated[float, Q("V", gt=0, le=60)]
    """Supply voltage at full throttle."""
    resistance: Annotated[float, Q("mohm", gt=0, le=20000)]
    """Resistance of motor, controller, leads and battery together."""
    no_load_current: Annotated[float, Q("A", ge=0, le=50)]
    """Current of the motor running free."""
    current_limit: Annotated[float, Q("A", gt=0, le=500)] = 60
    """Largest current that the controller lets through."""
    rotor_inertia: Annotated[float, Q("g*cm^2", ge=0.001, le=10000)]
    """Moment of inertia of the rotor; a drum: mass * radius^2 / 2. A drum of 40 g and 10 mm radius has 20."""
    brake_torque: Annotated[float, Q("N*mm", ge=0, le=10000)] = 60
    """Holding torque of the full drag brake, at the motor shaft."""


class Part(Table):
    """A loose part with a place of its own: battery, servo, brass."""

    name: Name
    """What it is."""
    mass: Annotated[float, Q("g", ge=0.1, le=20000)]
    """Its mass."""
    at: Position
    """Its centre [x, z]."""
    on: Literal["chassis", "rear", "front"] = "chassis"
    """The body that carries it; "rear" and "front" are the axle housings."""
    size: tuple[Length, Length] | None = None
    """Length and height of a box, which gives it a pitch inertia of its own; left out: a point."""


class Skid(Table):
    """A small disc on the chassis that may touch the ground, such as a corner of the skid plate."""

    at: Position
    """Its centre [x, z]."""
    radius: Annotated[float, Q("mm", gt=0, le=100)] = 5
    """Its radius."""
    stiffness: Annotated[float, Q("N/mm", gt=0, le=1000)] = 20
    """Force per depth pressed into the ground."""
    damping: Annotated[float, Q("N*s/m", ge=0, le=1000)] = 20
    """Force per speed of being pressed in."""
    grip: Annotated[float, Q("1", ge=0, le=3)] = 0.3
    """Sliding force per load."""


class Weighed(Table):
    """What scales show under the axles, the rig level and ready to drive: to compare, not part of the motion.

    One axle at a time, the other as high on blocks; or each tyre by itself, added up.
    """

    rear: Annotated[float, Q("g", ge=1, le=20000)] | None = None
    """Load of both rear tyres."""
    front: Annotated[float, Q("g", ge=1, le=20000)] | None = None
    """Load of both front tyres."""


class Rig(Table):
    """A vehicle, measured while it stands at its ride height on a level table.

    Positions are [x, z]: x forward of the rear axle centre, z above the table. A bare number is in the unit
    given here; text carries its own unit, as in "2.2 in" or "1.4 lb/in".
    """

    schema_version: Schema = Field(1, alias="schema")
    """Version of this file format."""
    name: Name
    """Name of the rig in results and pictures."""
    note: str = ""
    """Free text."""
    wheelbase: Annotated[float, Q("mm", ge=100, le=1000)]
    """Distance of the axle centres at ride height."""
    track: Annotated[float, Q("mm", ge=50, le=600)] | None = None
    """Distance of the middles of the two tyres of an axle, across the rig. With the shafts of the driven
    axles it gives the load that shaft torque moves from side to side: a number, not part of the motion."""
    chassis: Chassis
    """The sprung mass."""
    rear: Axle
    """The rear axle; its centre lies at x = 0."""
    front: Axle
    """The front axle; its centre lies at x = wheelbase."""
    driveline: Driveline
    """Gears and shafts."""
    motor: Motor
    """The motor and its supply."""
    parts: tuple[Part, ...] = Field(default=(), max_length=100)
    """Loose parts."""
    skids: tuple[Skid, ...] = Field(default=(), max_length=4)
    """Up to four places where the chassis may touch the ground."""
    weighed: Weighed = Field(default_factory=Weighed)
    """Axle loads as measured. They are set beside those of the masses in this file."""
    spread: Spread = Field(default_factory=dict)
    """How far numbers of this file may be off: "dotted.path" = an error that 19 of 20 readings keep within,
    as "0.5 mm" or "3 %" of the value (of a number whose unit is %: 3 of its own), or a guess as
    { from = 0.9, to = 1.1 }. Not part of the motion."""

    @model_validator(mode="after")
    def _agree(self, info: ValidationInfo) -> Self:
        refuse(self._contradictions())
        refuse(contradictions(self, self.spread, info))
        return self

    def _contradictions(self) -> Iterator[Contradiction]:
        reach = self.rear.tyre.radius + self.front.tyre.radius
        if reach >= self.wheelbase:
            must_be = f"greater than the two tyre radii together, {bench(reach, 'mm')}"
            yield Contradiction(("wheelbase",), bench(self.wheelbase, "mm"), must_be)
        yield from self._skids_in_tyres()
        for i, skid in enumerate(self.skids):
            if skid.at[1] < skid.radius:
                got = f"a disc that reaches {bench(skid.radius - skid.at[1], 'mm')} below the table"
                yield Contradiction(("skids", i, "at"), got, "above the table that the rig stands on")
        for name, axle in (("rear", self.rear), ("front", self.front)):
            yield from _shock_out_of_reach(name, axle)
            if axle.lower_link and axle.upper_link and _on_one_line(axle.lower_link, axle.upper_link):
                yield Contradiction(
                    (name, "upper_link"), "a link on one line with the lower link", "off that line"
                )

    def _skids_in_tyres(self) -> Iterator[Contradiction]:
        centres = (("rear", 0.0, self.rear.tyre.radius), ("front", self.wheelbase, self.front.tyre.radius))
        for (i, skid), (name, x, radius) in product(enumerate(self.skids), centres):
            # Tyres taken round: their deflection, a millimetre or two, is not known yet.
            gap = hypot(skid.at[0] - x, skid.at[1] - radius) - radius - skid.radius
            if gap < 0:
                got = f"a disc that reaches {bench(-gap, 'mm')} into the {name} tyre"
                yield Contradiction(("skids", i, "at"), got, "clear of the tyres")


def _shock_out_of_reach(name: str, axle: Axle) -> Iterator[Contradiction]:
    shock, lower = axle.shock, lower_mount(axle)
    length = hypot(shock.chassis[0] - lower[0], shock.chassis[1] - lower[1])
    shortest = shock.extended_length - shock.stroke
    for excess, side in ((length - shock.extended_length, "long"), (shortest - length, "short")):
        if excess > _ROUNDING:
            got = f"mounts {bench(length, 'mm')} apart at ride height, {bench(excess, 'mm')} too {side}"
            ends = f"from {bench(shortest, 'mm')} to {bench(shock.extended_length, 'mm')}"
            yield Contradiction(
                (name, "shock"), got, f"{ends} apart (extended_length less stroke to extended_length)"
            )


def _on_one_line(lower: Link, upper: Link) -> bool:
    (x0, z0), (x1, z1) = lower.chassis, lower.axle
    length = hypot(x1 - x0, z1 - z0)
    distances = [
        abs((x1 - x0) * (z - z0) - (z1 - z0) * (x - x0)) / length for x, z in (upper.chassis, upper.axle)
    ]
    return max(distances) < _SAME_LINE
