"""The goal of a scenario: what a rig must do for its job to count as done."""

from collections.abc import Iterator
from typing import Annotated, Self

from pydantic import BeforeValidator, Field, model_validator

from simcore.errors import RejectedValue
from simcore.files.fields import Contradiction, Name, Table, refuse
from simcore.units import Q, column_unit

Bound = Annotated[float, Q("1", ge=-1e9, le=1e9)]


def _in_units_of_names(bounds: object) -> object:
    """Bounds, each in the unit that its metric's name ends in; what is wrong is said at its own key."""
    if not isinstance(bounds, dict):
        return bounds
    found, wrong = dict(bounds), []
    for name, bound in bounds.items():
        try:
            found[name] = Q(column_unit(str(name))).bench(bound)
        except KeyError:  # no metric; said where metrics are known
            continue
        except RejectedValue as why:
            wrong.append(Contradiction((name,), why.got, why.must_be))
    refuse(wrong)
    return found


Bounds = Annotated[dict[Name, Bound], BeforeValidator(_in_units_of_names)]
MOVES = ("reach", "past", "stop_within")


class Goal(Table):
    """What counts as the job done; everything that is stated must hold.

    Left out, it follows from the manoeuvre: to come to a stand where the driver brakes at the end; else to
    cover `end.distance`; else to get the rear axle onto the last piece of the course; else to come on, at
    least half as far as the held speed would lead, and still to come on when the driver's request ends.
    """

    reach: Annotated[float, Q("mm", gt=0, le=100000)] | None = None
    """Way to cover forward along the ground."""
    past: Annotated[float, Q("mm", ge=-100000, le=100000)] | None = None
    """Place of the course that the rear axle's centre must pass, along x, level, from the course's origin."""
    within: Annotated[float, Q("s", gt=0, le=120)] | None = None
    """Time for it, from the driver's `release`; left out: all of the run."""
    stop_within: Annotated[float, Q("mm", gt=0, le=100000)] | None = None
    """Way on which the rig must come to a stand, from where the driver brakes."""
    front_load: Annotated[float, Q("N", gt=0, le=100)] | None = None
    """Load that the front tyres must keep from `release` on, both together; "150 g" is what scales show."""
    at_least: Bounds = Field(default_factory=dict)
    """[goal.at_least] metric = number: metrics that must not fall below it, in the unit that their name
    ends in, or as text with their own ("600 g")."""
    at_most: Bounds = Field(default_factory=dict)
    """[goal.at_most] metric = number: metrics that must not rise above it, likewise."""

    @model_validator(mode="after")
    def _agree(self) -> Self:
        refuse(self._contradictions())
        return self

    def _contradictions(self) -> Iterator[Contradiction]:
        moves = [name for name in MOVES if getattr(self, name) is not None]
        if len(moves) > 1:
            yield Contradiction((moves[1],), f"{moves[1]} beside {moves[0]}", f"one of {', '.join(MOVES)}")
        if self.within is not None and not moves:
            must_be = f"beside one of {', '.join(MOVES)}, or left out"
            yield Contradiction(("within",), "a time with nothing to do in it", must_be)
        for metric in self.at_least:
            most = self.at_most.get(metric)
            if most is not None and self.at_least[metric] > most:
                got = f"{self.at_least[metric]:g}, above at_most's {most:g}"
                yield Contradiction(("at_least", metric), got, f"at most {most:g}")
