"""One axle of a worksheet: tyres, housing, links, shock, drive shaft; each line says how it is measured."""

from typing import Annotated, Literal, Self

from pydantic import Field, model_validator

from simcore.files.fields import Contradiction, bench, refuse
from simcore.files.measured import Instrument, Lines, Reading

Ruler = Annotated[Reading, Instrument("mm", ge=-2000, le=2000, error=1)]
Span = Annotated[Reading, Instrument("mm", gt=0, le=5000, error=1)]
Calliper = Annotated[Reading, Instrument("mm", gt=0, le=500, error=0.3)]
Travel = Annotated[Reading, Instrument("mm", ge=0, le=400, error=0.3)]
Swing = Annotated[Reading, Instrument("mm", gt=0, le=400, error=0.3)]
Scale = Annotated[Reading, Instrument("g", ge=0, le=20000, error=1)]
Weight = Annotated[Reading, Instrument("g", gt=0, le=20000, error=1)]
Tilt = Annotated[Reading, Instrument("deg", gt=0, le=89, error=1)]
Watch = Annotated[Reading, Instrument("s", gt=0, le=1000, error=0.2)]
Count = Annotated[Reading, Instrument("1", gt=0, le=10000)]
Number = Annotated[Reading, Instrument("1", ge=0, le=1000)]
Rate = Annotated[Reading, Instrument("N/mm", gt=0, le=1000, share=0.1)]
Spot = tuple[Ruler, Ruler]
Rows = Annotated[tuple[tuple[Scale, Travel], ...], "rows [weight g, travel mm]"]


class RolledWay(Lines):
    """A wheel rolled along a tape without slipping."""

    turns: Count | None = None
    """Full turns of the tyre, counted by a chalk mark; five or more."""
    distance: Span | None = None
    """Way of the axle over these turns, the rig standing on its own weight."""


class RollDown(Lines):
    """One wheel let go on a tilted board and timed."""

    slope: Tilt | None = None
    """Tilt of the board, by a phone's level; 5 to 15 deg."""
    distance: Span | None = None
    """Way rolled from rest."""
    time: Watch | None = None
    """Time for it; a phone's slow motion is better than a stopwatch (0.2 s of error if none is stated)."""


class TyreLines(Lines):
    """The tyres of this axle, one of the two as an example."""

    diameter: Span | None = None
    """Free diameter of one tyre, wheel off the ground: a book on top, a ruler beside it."""
    hub_height: Ruler | None = None
    """Height of the axle centre above the table, the rig standing."""
    rolled: RolledWay = Field(default_factory=RolledWay)
    """Instead of the diameter, or to check it."""
    squash: Rows = Field(default=(), max_length=40)
    """One wheel pressed on a kitchen scale by its axle: what the scale shows, and how much lower the axle is
    than with the tyre just touching. Three rows or more around what the tyre carries."""
    wheel_mass: Weight | None = None
    """One wheel with tyre, foam and hub weights, on the scale."""
    roll: RollDown = Field(default_factory=RollDown)
    """For the inertia of a wheel: how it rolls down a board."""
    spin_inertia: Annotated[Reading, Instrument("kg*mm^2", ge=0.01, le=1e6, share=0.05)] | None = None
    """Or the inertia itself, where it is known."""
    slides_at: Tilt | None = None
    """Put the rig, wheels locked, on a board of the ground in question and tilt it slowly: the angle at which
    it begins to slide. All tyres slide together. Take five readings, as a list: [44, 46, 45, 47, 44]."""
    slides_on_at: Tilt | None = None
    """Likewise, but nudge it: the smallest angle at which it then goes on sliding."""
    rolls_at: Tilt | None = None
    """Pinion out, wheels free: the angle at which the rig just goes on rolling down the board (error 0.2 deg
    or better)."""


class HousingLines(Lines):
    """The bare axle: housing with gears, knuckles and shafts, without wheels, links and shocks."""

    mass: Weight | None = None
    """On the scale. A heavy axle is what lifts and drops the front; weigh it."""
    size: tuple[Span, Span] | None = None
    """Length and height of the box that it fills in side view, for its own inertia."""


class LinkLines(Lines):
    """One pair of links, in side view."""

    chassis: Spot | None = None
    """Pin at the chassis [x, z]: x forward of the rear axle centre, z above the table, at ride height."""
    axle: Spot | None = None
    """Pin at the axle [x, z], likewise."""
    mass: Scale | None = None
    """Both links of the pair with their ends and screws, on the scale."""


class ArmLines(Lines):
    """An arm fixed to the axle and pinned at the chassis, instead of links."""

    chassis: Spot | None = None
    """Pin at the chassis [x, z]."""
    mass: Scale | None = None
    """On the scale."""


class TimedMove(Lines):
    """A shock without its spring, filled with oil, moved slowly by a weight."""

    weight: Weight | None = None
    """The weight that moves it."""
    distance: Swing | None = None
    """Part of the stroke over which it is timed, after the first few millimetres."""
    time: Watch | None = None
    """Time for it."""


class Decay(Lines):
    """A weight swinging on one shock with its spring, from a phone's slow motion."""

    weight: Weight | None = None
    """The weight on the shock."""
    first: Swing | None = None
    """How far it swings out to one side of where it comes to rest."""
    last: Swing | None = None
    """How far it swings out to the same side after some swings."""
    swings: Count | None = None
    """Full swings in between: 1, or 0.5 if `last` is on the other side."""
    time: Watch | None = None
    """Time for these swings."""

    @model_validator(mode="after")
    def _agree(self) -> Self:
        if self.first is not None and self.last is not None and self.last.value >= self.first.value:
            must_be = f"less than `first`, {bench(self.first.value, 'mm')}"
            refuse([Contradiction(("last",), bench(self.last.value, "mm"), must_be)])
        return self


class ShockLines(Lines):
    """The shocks of this axle, one of the two as an example."""

    chassis: Spot | None = None
    """Upper mount [x, z], the rig at ride height."""
    axle: Spot | None = None
    """Lower mount [x, z] if it sits on the axle."""
    link: Literal["lower", "upper"] | None = None
    """The link that carries the lower mount, if one does."""
    fraction: Annotated[Reading, Instrument("1", ge=0, le=1, error=0.01)] | None = None
    """Where on that link: 0 = at its chassis pin, 1 = at its axle pin."""
    extended_length: Calliper | None = None
    """Eye to eye, pulled out fully."""
    stroke: Calliper | None = None
    """How much shorter it gets, pushed in fully, spring out."""
    mass: Scale | None = None
    """One shock with its spring, on the scale."""
    sag: Travel | None = None
    """How far it is pushed in from full length, the rig standing: bounce the rig first."""
    loading: Rows = Field(default=(), max_length=40)
    """One shock upright with its spring, weights put on one after the other: weight (with what carries it)
    and how far it is pushed in from full length. Do not touch it: friction is what is measured."""
    unloading: Rows = Field(default=(), max_length=40)
    """Likewise, while the same weights are taken off again. The gap to `loading` is twice the friction."""
    rate: Rate | None = None
    """Rate of one spring as its maker states it, 10 % of error if none is stated."""
    breakaway: Scale | None = None
    """Spring out, shock at rest for a minute: the weight that just sets it moving."""
    sink: TimedMove = Field(default_factory=TimedMove)
    """Spring out: how fast a weight pushes the shock in (compression damping)."""
    pull: TimedMove = Field(default_factory=TimedMove)
    """Spring out, hung up: how fast a weight pulls it out (rebound damping)."""
    decay: Decay = Field(default_factory=Decay)
    """Instead of both: how fast a weight on the shock stops swinging."""


class ShaftLines(Lines):
    """The drive shaft from the gearbox to this axle; leave all empty and it slides freely."""

    chassis: Spot | None = None
    """Joint at the gearbox [x, z]."""
    axle: Spot | None = None
    """Joint at the axle's pinion [x, z]."""
    ratio: Count | None = None
    """Turns of the shaft per turn of the wheels."""
    friction: Number | None = None
    """Friction of the splines, where it is known."""
    turns: Literal["clockwise", "anticlockwise"] | None = None
    """Which way it turns as the rig drives forward, seen from behind."""


class AxleLines(Lines):
    """One axle."""

    tyre: TyreLines = Field(default_factory=TyreLines)
    """Tyres and wheels."""
    housing: HousingLines = Field(default_factory=HousingLines)
    """The bare axle."""
    lower_link: LinkLines = Field(default_factory=LinkLines)
    """The lower pair of links."""
    upper_link: LinkLines = Field(default_factory=LinkLines)
    """The upper pair of links."""
    arm: ArmLines | None = None
    """Instead of links: [rear.arm] or [front.arm]."""
    shock: ShockLines = Field(default_factory=ShockLines)
    """Shocks and springs."""
    shaft: ShaftLines = Field(default_factory=ShaftLines)
    """The drive shaft."""
