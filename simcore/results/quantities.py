"""What a result is: one entry for a column of a series or a metric of a run, with all that belongs to it."""

import dataclasses
import enum
from collections.abc import Callable
from functools import partial
from typing import Any, NamedTuple

from simcore.results.formatting import said_unit
from simcore.rig.masses import SIDES
from simcore.units import COLUMN_UNITS, column_unit

SHARES = ("anti-squat", "anti-lift")  # what the trade calls the links' share at the rear and at the front


class Group(enum.Enum):
    """What a quantity is about."""

    JOB = "the job"
    END = "how it ended"
    MOTION = "motion"
    PITCH = "pitch"
    SHOCKS = "shocks"
    TYRES = "tyres"
    SUPPORT = "squat support"
    FRONT_LOAD = "front load"
    MOTOR = "motor"
    AUDIT = "audit"


class Kind(enum.Enum):
    """Quantities that share an axis of a picture: its noun, and the difference too small to be looked for.

    Attributes
    ----------
    noun : of the axis, without the unit; empty: the quantity's own name
    noise : difference that nobody looks for, in the unit of the quantity
    seen : difference that counts as visible, in that unit; "deg" and "mm": as the scenario's `[visible]` says
        of pitch and of travel
    """

    PITCH = ("pitch", 0.05, "deg")
    TRAVEL = ("shock travel", 0.1, "mm")
    DISTANCE = ("", 0.1, 5.0)
    FORCE = ("load", 0.05, None)
    GRAMS = ("load", 1.0, None)
    THRUST = ("thrust", 0.05, None)
    TIME = ("time", 0.02, None)
    INSTANT = ("", 0.02, None)
    SHARE = ("share", 1.0, None)
    OTHER = ("", 0.0, None)

    def __init__(self, noun: str, noise: float, seen: str | float | None) -> None:
        self.noun, self.noise = noun, noise
        self.seen = noise if seen is None else seen


class Label(NamedTuple):
    """What to call an axis of a picture.

    Attributes
    ----------
    name : in words
    unit : of its values; empty for none
    """

    name: str
    unit: str = ""

    def __str__(self) -> str:
        """Give name and unit as a picture writes them."""
        return f"{self.name}, {self.unit}" if self.unit else self.name


class Better(enum.Enum):
    """Which direction of a quantity a climbing rig is after."""

    MORE = "more"
    LESS = "less"
    NEITHER = ""


@dataclasses.dataclass(frozen=True)
class Quantity:
    """One result.

    Attributes
    ----------
    name : as in files; ends in the unit, unless it holds codes
    meaning : what it is, with its sign
    compute : gives it, in the unit of its name or, for columns, in SI
    group, kind, better : see these
    codes : the codes that it holds instead of a number; several stand with blanks between them
    wording : what to call it in a sentence or picture; empty: its name in words
    """

    name: str
    meaning: str
    compute: Callable[..., Any]
    group: Group = Group.MOTION
    kind: Kind = Kind.OTHER
    better: Better = Better.NEITHER
    codes: type[enum.Enum] | None = None
    wording: str = ""

    @property
    def label(self) -> str:
        """What to call it in a sentence or picture, without its unit."""
        return self.wording or words(self.name)

    @property
    def text(self) -> bool:
        """Whether it holds codes instead of a number."""
        return self.codes is not None

    @property
    def unit(self) -> str:
        """Bench unit, "1" for none; empty for codes."""
        return "" if self.text else column_unit(self.name)

    def spelled(self, codes: str) -> str:
        """Codes in words, as a person reads them."""
        kinds = self.codes
        return codes if kinds is None else ", ".join(str(kinds[code].value) for code in codes.split())

    @property
    def noun(self) -> str:
        """Label of the axis that it shares with others of its kind."""
        noun, unit = self.kind.noun or self.label, "" if self.text else said_unit(self.name)
        return f"{noun}, {unit}" if unit else noun


def pair(name: str, meaning: str, compute: Callable[..., Any], **how: Any) -> list[Quantity]:
    """Entries of both axles.

    Parameters
    ----------
    name : without the axle
    meaning : with ``{axle}`` for "rear" and "front"
    compute : takes what a single quantity's does, and the place of the axle, 0 or 1
    how : further attributes of both; a wording likewise, with ``{share}`` for "anti-squat" and "anti-lift"
    """
    wording = how.pop("wording", "")
    return [
        Quantity(
            f"{axle}_{name}",
            meaning.format(axle=axle),
            partial(compute, axle=i),
            wording=wording.format(axle=axle, share=SHARES[i]),
            **how,
        )
        for i, axle in enumerate(SIDES)
    ]


def words(name: str) -> str:
    """Name of a quantity without its unit: "rear travel at the end", "mean rear thrust"."""
    end = max((tail for tail in COLUMN_UNITS if name.endswith(tail)), key=len, default="")
    plain = name.removesuffix(end).replace("_", " ")
    if plain.endswith(" end"):
        return f"{plain.removesuffix(' end')} at the end"
    for tail, word in (("mean", "mean"), ("low", "lowest"), ("peak", "highest")):
        if plain.endswith(f" {tail}"):
            return f"{word} {plain.removesuffix(tail).strip()}"
    return plain
