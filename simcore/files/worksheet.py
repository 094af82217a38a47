"""The worksheet: what scales, ruler, weights, stopwatch and phone show of a rig; any line may stay empty."""

from pathlib import Path
from typing import Annotated, Any, Literal, Self

from pydantic import AfterValidator, Field, PrivateAttr, WithJsonSchema

from simcore.errors import RejectedValue
from simcore.files.check import check
from simcore.files.fields import Name, Schema
from simcore.files.kinds import expect_worksheet
from simcore.files.measured import Cells, Instrument, Lines, Reading
from simcore.files.source import read_toml
from simcore.files.words import nearest
from simcore.files.worksheet_axle import (
    AxleLines,
    Calliper,
    Count,
    Scale,
    Span,
    Spot,
    Tilt,
    Watch,
    Weight,
)

Ampere = Annotated[Reading, Instrument("A", ge=0, le=500, share=0.05)]
Volt = Annotated[Reading, Cells("V", gt=0, le=60, share=0.02)]
Pixel = Annotated[Reading, Instrument("1", ge=-1e5, le=1e5, error=2)]
Wheel = Annotated[int, Field(ge=1, le=1000), "a whole number of teeth, from 1 to 1000"]
Teeth = Annotated[tuple[tuple[Wheel, Wheel], ...], "pairs [driving teeth, driven teeth]"]

PLACES = tuple(
    f"{side}.{place}"
    for side in ("rear", "front")
    for place in (
        *("lower_link.chassis", "lower_link.axle", "upper_link.chassis", "upper_link.axle", "arm.chassis"),
        *("shock.chassis", "shock.axle", "shaft.chassis", "shaft.axle"),
    )
)
"""Lines whose place may be taken from a photograph."""


def _known_place(name: str) -> str:
    if name not in PLACES:
        raise RejectedValue("no place of the rig", f"one of {', '.join(PLACES)}", nearest(name, PLACES))
    return name


PlaceName = Annotated[
    str, AfterValidator(_known_place), WithJsonSchema({"type": "string", "enum": list(PLACES)})
]


class Raised(Lines):
    """One axle lifted on blocks, the other on the scale; suspension tied down so that it cannot move."""

    axle: Literal["rear", "front"] | None = None
    """Which axle is lifted."""
    height: Span | None = None
    """How much higher its axle centre is than before; a third of the wheelbase or more."""
    load: Weight | None = None
    """What the scale then shows under both tyres of the other axle."""


class Tipped(Lines):
    """The rig tilted sideways, suspension tied down, until it balances on the outer edges of two tyres."""

    angle: Tilt | None = None
    """Angle of its floor against the level, by a phone's level."""
    width: Span | None = None
    """Distance of the outer edges of left and right tyres, on which it tips."""


class Scales(Lines):
    """The whole rig, ready to run, on kitchen scales."""

    rear: Weight | None = None
    """Both rear tyres on the scale, front tyres on a block as high as the scale."""
    front: Weight | None = None
    """Likewise both front tyres."""
    whole: Weight | None = None
    """The whole rig; a check of the two above."""
    cg_height: Span | None = None
    """Height of the whole rig's centre of mass above the table, where it is known; else by `raised` or
    `tipped`. Decides where it tips back and how much load the front loses on a slope."""
    raised: Raised = Field(default_factory=Raised)
    """For the height of the centre of mass."""
    tipped: Tipped = Field(default_factory=Tipped)
    """Likewise, another way."""


class Cords(Lines):
    """The rig hung on its side from two cords, its centre midway between them, swinging about the upright.

    Suspension tied down, wheels held by the gears.
    """

    top: Span | None = None
    """Distance of the two cords at the top."""
    bottom: Span | None = None
    """Distance of the two cords at the rig."""
    length: Span | None = None
    """Height of the upper ends over the lower ends."""
    swings: Count | None = None
    """Full swings that were timed; twenty or more."""
    time: Watch | None = None
    """Time for all of them."""


class Pendulum(Lines):
    """The rig swinging in its own plane about a rod, suspension tied down, wheels held by the gears."""

    at: Spot | None = None
    """Where the rod passes [x, z], as any other place on the rig."""
    swings: Count | None = None
    """Full swings that were timed; twenty or more."""
    time: Watch | None = None
    """Time for all of them."""


class Swing(Lines):
    """The pitch inertia of the whole rig: how hard it is to turn nose-up, in a punch or a drop."""

    cords: Cords = Field(default_factory=Cords)
    """Hung from two cords."""
    pendulum: Pendulum = Field(default_factory=Pendulum)
    """Swinging about a rod."""


class ChassisLines(Lines):
    """The bare chassis; its mass and centre follow from the whole rig less all weighed parts."""

    mass: Weight | None = None
    """Bare, on the scale: a check."""
    size: tuple[Span, Span] | None = None
    """Length and height of the box that it fills in side view, for its inertia if the rig was not swung."""


class Gears(Lines):
    """Gears and shafts. Pinion off or rig held clear before anything is powered."""

    drive: Literal["all", "rear", "front"] | None = None
    """Which axles are driven; left out: all."""
    ratio: Count | None = None
    """Motor turns per turn of the rear wheels, where it is known."""
    rear_teeth: Teeth = Field(default=(), max_length=12)
    """Every pair of meshing gears from the motor to the rear wheels: [[12, 54], [8, 30]]."""
    front_teeth: Teeth = Field(default=(), max_length=12)
    """Likewise to the front wheels."""
    rear_turns: Count | None = None
    """Rig lifted, spur gear turned by hand: turns of the rear wheels ..."""
    front_turns: Count | None = None
    """... and of the front wheels meanwhile (overdrive). Ten turns or more."""
    motor_turns: Count | None = None
    """... and of the motor pinion meanwhile (ratio)."""
    efficiency: Annotated[Reading, Instrument("%", ge=20, le=100, error=10)] | None = None
    """Share of the motor's power that arrives at the wheels, where it is known."""
    shaft_mass: Scale | None = None
    """One drive shaft, on the scale."""


class Stall(Lines):
    """Motor held still for a moment at a low voltage: it heats up fast, so be quick; wear eye protection."""

    voltage: Volt | None = None
    """Voltage at the supply."""
    current: Annotated[Reading, Instrument("A", gt=0, le=500, share=0.05)] | None = None
    """Current meanwhile."""


class NoLoad(Lines):
    """Motor running free, pinion off."""

    voltage: Volt | None = None
    """Voltage at the supply."""
    speed: Annotated[Reading, Instrument("rpm", gt=0, le=200000, share=0.02)] | None = None
    """Speed, by a phone's strobe or sound (error 2 % if none is stated)."""


class MotorLines(Lines):
    """Motor, controller and battery. Treat LiPo packs as their maker says."""

    kv: Annotated[Reading, Instrument("rpm/V", gt=0, le=20000, share=0.05)] | None = None
    """Speed per volt from the label (error 5 % if none is stated)."""
    voltage: Volt | None = None
    """Supply at full throttle, in V, or cells as "3S" (3.7 V a cell: common practice, no source)."""
    resistance: Annotated[Reading, Instrument("mohm", gt=0, le=20000, share=0.2)] | None = None
    """Of motor, controller, leads and battery together, where it is known; else by `stall`."""
    no_load_current: Ampere | None = None
    """Current running free at that voltage."""
    stall: Stall = Field(default_factory=Stall)
    """For the resistance."""
    no_load: NoLoad = Field(default_factory=NoLoad)
    """For the speed per volt."""
    current_limit: Ampere | None = None
    """Largest current of the controller."""
    rotor_mass: Weight | None = None
    """Mass of the rotor, or of the bell of an outrunner."""
    rotor_diameter: Calliper | None = None
    """Its diameter; it is taken as a drum."""
    rotor_inertia: Annotated[Reading, Instrument("g*cm^2", ge=0.001, le=10000, share=0.1)] | None = None
    """Or its inertia itself, where it is known."""
    brake_torque: Annotated[Reading, Instrument("N*mm", ge=0, le=10000, share=0.2)] | None = None
    """Holding torque of the full drag brake at the motor shaft: weight on a lever, times its length."""


class PartLines(Lines):
    """A loose part."""

    name: Name
    """What it is."""
    mass: Weight
    """On the scale."""
    at: Spot
    """Its centre [x, z]."""
    on: Literal["chassis", "rear", "front"] = "chassis"
    """The body that carries it; "rear" and "front" are the axles."""
    size: tuple[Span, Span] | None = None
    """Length and height of its box."""


class SkidLines(Lines):
    """A corner of the chassis that may touch the ground."""

    at: Spot
    """Centre of the rounding [x, z]."""
    radius: Calliper | None = None
    """Its radius."""


class Known(Lines):
    """A point of the photograph whose place is known."""

    pixel: tuple[Pixel, Pixel]
    """Its pixel [right, down]."""
    at: Spot
    """Its place [x, z] on the rig."""


class Photo(Lines):
    """A photograph square from the side, from 3 m or more and zoomed in, instead of the ruler."""

    known: tuple[Known, ...] = Field(default=(), max_length=12)
    """Points of known place in the plane of the links: two correct scale and a crooked camera, four also a
    camera that does not look square at the rig. Both axle centres are the usual two."""
    points: dict[PlaceName, tuple[Pixel, Pixel]] = Field(default_factory=dict)
    """Pixel of each place wanted, by the name of its line: "rear.lower_link.chassis" = [812, 640]."""


class Worksheet(Lines):
    """What was measured of a rig.

    A bare number is in the unit given here; text may carry its own, and an error: "862 +- 2 g". The error is
    what 19 of 20 readings keep within. A list of readings stands for their mean, its error by how they
    scatter. A line left empty is not known: a stated guess of the trade stands in.

    Places are [x, z]: x forward of the rear axle centre, z above the table, the rig standing at ride height.
    """

    worksheet: Schema
    """Version of this file format: 1."""
    name: Name
    """Name of the rig."""
    note: str = ""
    """Free text."""
    wheelbase: Span | None = None
    """Distance of the axle centres, the rig standing."""
    track: Span | None = None
    """Distance of the middles of left and right tyre."""
    scales: Scales = Field(default_factory=Scales)
    """The whole rig on the scales."""
    swing: Swing = Field(default_factory=Swing)
    """The whole rig swinging."""
    chassis: ChassisLines = Field(default_factory=ChassisLines)
    """The bare chassis."""
    rear: AxleLines = Field(default_factory=AxleLines)
    """The rear axle."""
    front: AxleLines = Field(default_factory=AxleLines)
    """The front axle."""
    gears: Gears = Field(default_factory=Gears)
    """Gears."""
    motor: MotorLines = Field(default_factory=MotorLines)
    """Motor."""
    parts: tuple[PartLines, ...] = Field(default=(), max_length=100)
    """Loose parts: battery, servo, motor, brass; each weighed part makes the chassis surer."""
    skids: tuple[SkidLines, ...] = Field(default=(), max_length=4)
    """Where the chassis may touch the ground."""
    photo: Photo = Field(default_factory=Photo)
    """Places from a side photograph."""

    _path: Path = PrivateAttr(default=Path("worksheet"))

    @property
    def path(self) -> Path:
        """The file it came from."""
        return self._path

    def from_file(self, path: Path) -> Self:
        """Remember the file."""
        self._path = path
        return self


def load_worksheet(path: str | Path) -> Worksheet:
    """Read a worksheet.

    Raises
    ------
    InputError
        With every issue found.
    """
    path = Path(path)
    table = read_toml(path)
    return worksheet_of(table, path)


def worksheet_of(table: dict[str, Any], path: Path) -> Worksheet:
    """Give the worksheet that a table says; raises as `load_worksheet`."""
    expect_worksheet(table, path)
    return check(Worksheet, table, str(path)).from_file(path)
