"""The shock of a rig file: mounts, springs, damper, seal friction, rubber stops."""

from collections.abc import Iterator
from typing import Annotated, Literal, Self

from pydantic import Field, StrictBool, model_validator

from simcore.files.fields import Contradiction, LooseMass, Position, Table, bench, refuse, rising
from simcore.units import Q

Fraction = Annotated[float, Q("1", ge=0, le=1)]
SpringRate = Annotated[float, Q("N/mm", gt=0, le=1000)]
Force = Annotated[float, Q("N", ge=0, le=2000)]
Damping = Annotated[float, Q("N*s/m", ge=0, le=5000)]
Speed = Annotated[float, Q("m/s", ge=-20, le=20)]
SignedForce = Annotated[float, Q("N", ge=-5000, le=5000)]

_STARTS = ("preload", "loose_at", "hold_ride_height")


class Spring(Table):
    """One coil spring of one shock.

    State at most one of `preload`, `loose_at` and `hold_ride_height`; with none of them a push spring goes
    loose exactly at full extension. A pull spring needs `preload` or `loose_at` above zero.
    """

    push: StrictBool = True
    """true: pushes the shock longer; false: pulls it shorter (a "negative" spring or a limit band)."""
    rate: SpringRate
    """Force per shortening of one shock. Press it 10 mm on a kitchen scale: rate = force / 10 mm."""
    preload: Force | None = None
    """Force of the spring at full extension of the shock (for a push and for a pull spring)."""
    loose_at: Annotated[float, Q("mm", ge=-500, le=500)] | None = None
    """Travel from full extension at which the spring goes loose; below zero a push spring is preloaded."""
    hold_ride_height: StrictBool = False
    """true: the preload is solved so that the rig stands at the ride height at which it was measured."""

    @model_validator(mode="after")
    def _agree(self) -> Self:
        refuse(self._contradictions())
        return self

    def _contradictions(self) -> Iterator[Contradiction]:
        stated = [self.preload is not None, self.loose_at is not None, self.hold_ride_height]
        if sum(stated) > 1:
            names = " and ".join(name for name, there in zip(_STARTS, stated, strict=True) if there)
            yield Contradiction((), names, "at most one of preload, loose_at and hold_ride_height")
        elif not self.push and not (self.preload or (self.loose_at or 0.0) > 0.0):
            yield Contradiction(
                (), "a pull spring that never pulls", "one with preload or loose_at greater than 0"
            )


class Damper(Table):
    """Oil damping of one shock: two rates, or a measured table."""

    compression: Damping = 0
    """Force per speed while the shock gets shorter."""
    rebound: Damping = 0
    """Force per speed while the shock gets longer."""
    table: tuple[tuple[Speed, SignedForce], ...] = Field(default=(), max_length=16)
    """Measured rows [speed m/s, force N], positive in compression, instead of the two rates; speed rises,
    force never falls and has the sign of the speed; 2 to 16 rows. A row [0, 0] is added if left out."""

    @model_validator(mode="after")
    def _agree(self) -> Self:
        if self.table:
            refuse(self._contradictions())
        return self

    def _contradictions(self) -> Iterator[Contradiction]:
        for key, rate in (("compression", self.compression), ("rebound", self.rebound)):
            if rate:
                yield Contradiction(
                    (key,), f"{bench(rate, 'N*s/m')} beside a table", "left out when there is a table"
                )
        if len(self.table) < 2:
            yield Contradiction(("table",), "1 row", "at least 2 rows")
        if not rising(self.table):
            yield Contradiction(("table",), "speeds that do not rise", "rows of strictly rising speed")
        forces = [force for _, force in self.table]
        if forces != sorted(forces):
            yield Contradiction(("table",), "forces that fall", "forces that never fall as speed rises")
        for i, (speed, force) in enumerate(self.table):
            if speed * force < 0 or (speed == 0 and force != 0):
                got = f"{bench(force, 'N')} at {bench(speed, 'm/s')}"
                yield Contradiction(("table", i), got, "a force with the sign of its speed, 0 N at 0 m/s")


class Friction(Table):
    """Friction of the seal and the guide of one shock; it sticks."""

    breakaway: Annotated[float, Q("N", ge=0, le=200)] = 0
    """Force that sets the resting shock moving. Take the spring out and hang weights on until it moves."""
    sliding: Annotated[float, Q("N", ge=0, le=200)] = Field(default_factory=lambda above: above["breakaway"])
    """Force that keeps it moving slowly, not above `breakaway`; left out: as large as `breakaway`."""
    presliding: Annotated[float, Q("mm", ge=0.01, le=2)] = 0.1
    """How far the shock gives, springily, before it breaks away."""
    stribeck_speed: Annotated[float, Q("mm/s", gt=0, le=1000)] = 10
    """Speed over which friction falls from breakaway to sliding."""

    @model_validator(mode="after")
    def _agree(self) -> Self:
        if self.sliding > self.breakaway:
            must_be = f"at most the breakaway force of {bench(self.breakaway, 'N')}"
            refuse([Contradiction(("sliding",), bench(self.sliding, "N"), must_be)])
        return self


class Stop(Table):
    """Rubber at one end of the stroke."""

    length: Annotated[float, Q("mm", gt=0, le=50)] = 1.5
    """How far before the end of the stroke the rubber starts to be squeezed."""
    rate: Annotated[float, Q("N/mm", gt=0, le=1000)] = 20
    """Stiffness of the rubber."""
    damping: Annotated[float, Q("s/m", ge=0, le=50)] = 1.0
    """Share of the rubber's force added per speed (Hunt-Crossley factor): 1 adds 100 % at 1 m/s."""


class Shock(Table):
    """The shocks of one axle: two alike, side by side, each as stated here.

    The lower mount sits on the axle housing (`axle`) or on a link (`link` with `fraction`).
    """

    chassis: Position
    """Upper mount [x, z] on the chassis."""
    axle: Position | None = None
    """Lower mount [x, z] on the axle housing."""
    link: Literal["lower", "upper"] | None = None
    """The link that carries the lower mount; not with an arm."""
    fraction: Fraction | None = None
    """Where on that link: 0 = at its chassis pin, 1 = at its axle pin."""
    extended_length: Annotated[float, Q("mm", gt=0, le=500)]
    """Length between the mounts at full extension."""
    stroke: Annotated[float, Q("mm", gt=0, le=400)]
    """How much shorter it gets until fully compressed."""
    mass: LooseMass = 0
    """Mass of one shock; half of it counts as sprung."""
    springs: tuple[Spring, ...] = Field(default=(), max_length=4)
    """Up to four springs of one shock; none is allowed."""
    damper: Damper = Field(default_factory=Damper)
    """Oil damping."""
    friction: Friction = Field(default_factory=Friction)
    """Seal and guide."""
    bump_stop: Stop = Field(default_factory=Stop)
    """Rubber at the compressed end."""
    droop_stop: Stop = Field(default_factory=Stop)
    """Rubber at the extended end."""

    @model_validator(mode="after")
    def _agree(self) -> Self:
        refuse(self._contradictions())
        return self

    def _contradictions(self) -> Iterator[Contradiction]:
        on_link = (self.link is not None, self.fraction is not None)
        if (self.axle is not None) == any(on_link):
            got = "both a mount on the axle and one on a link" if self.axle else "no lower mount"
            yield Contradiction((), got, "either axle = [x, z] or link with fraction")
        elif any(on_link) and not all(on_link):
            missing = "fraction" if on_link[0] else "link"
            yield Contradiction(
                (missing,), "nothing", "given: a mount on a link needs both link and fraction"
            )
        if sum(spring.hold_ride_height for spring in self.springs) > 1:
            yield Contradiction(
                ("springs",), "several with hold_ride_height", "a list with at most one of them"
            )
        if self.stroke >= self.extended_length:
            must_be = f"less than the extended length of {bench(self.extended_length, 'mm')}"
            yield Contradiction(("stroke",), bench(self.stroke, "mm"), must_be)
