"""What may be off in a worksheet, and by how much: each reading or guess alone, rows of readings together."""

import enum
import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from simcore.files.measured import Instrument
from simcore.files.schema import follow, plain
from simcore.files.worksheet import Worksheet
from simcore.readings.derive import Derived
from simcore.readings.uncertain import COVERAGE, error_of
from simcore.readings.workings import Entry
from simcore.units import factor

_ROW = re.compile(r"((?:rear|front)\.(?:shock\.(?:un)?loading|tyre\.squash))\.\d+\.[01]")
LEFT = 0.1
"""Share of an error that must be left, once what is moved already is taken out, to be moved too."""


class Source(enum.Enum):
    """What may be off; the name stands in files, the value in sentences."""

    GUESS = "guess"
    READ = "measured"
    ROWS = "measured, in rows"
    ASSUMED = "assumed"


@dataclass(frozen=True)
class Move:
    """Something that may be off.

    Attributes
    ----------
    tag : of the reading or guess; of rows their line
    gives : of rows the value of the rig that they are moved for; else ""
    source : what it is
    unit : bench unit
    value, error : in the unit
    by : tags of what is moved, and how far up, SI; likewise down with a minus
    own : value of each, SI
    ends : lowest and highest value that it can have, SI; None for no end
    """

    tag: str
    gives: str
    source: Source
    unit: str
    value: float
    error: float
    by: Mapping[str, float]
    own: Mapping[str, float]
    ends: tuple[float | None, float | None] = (None, None)

    def to(self, sign: float) -> float:
        """Value that it is moved to, in its unit; `sign` 1 for up and -1 for down."""
        if self.source is Source.ROWS:
            return self.value + sign * self.error
        return self.moved(sign)[self.tag] / factor(self.unit)

    def moved(self, sign: float) -> dict[str, float]:
        """Tag to value, SI, for `derive`; a reading no further than to the ends of its range."""
        low, high = self.ends
        found = {tag: self.own[tag] + sign * way for tag, way in self.by.items()}
        if low is not None:
            found = {tag: max(value, low) for tag, value in found.items()}
        return {tag: min(value, high) for tag, value in found.items()} if high is not None else found


def moves_of(derived: Derived) -> list[Move]:
    """Everything that a rig hangs on and that may be off.

    Single readings and guesses are moved by their errors, a guess so to the ends of its range. Rows of
    readings are moved together in the most probable way that shifts what they give by its error,
    ``d_i = 2 (dy/dx_i) s_i^2 / s_y``; where they give several values, for one after the other, each time
    without what was moved before, so that moves are independent.
    """
    variables = _variables(derived)
    rows: dict[str, list[str]] = {}
    found = []
    for tag, one in variables.items():
        row = _ROW.fullmatch(tag)
        if row:
            rows.setdefault(row[1].replace("unloading", "loading"), []).append(tag)
        else:
            found.append(_single(derived, tag, float(one.nominal_value), COVERAGE * float(one.std_dev)))
    for line, tags in rows.items():
        found += _together(derived, line, tags, variables)
    return found


def _variables(derived: Derived) -> dict[str, Any]:
    """Every number with an error of its own that a value of the rig hangs on, by its tag."""
    found: dict[str, Any] = {}
    for entry in derived.entries.values():
        for one in getattr(entry.number, "derivatives", {}):
            found.setdefault(str(one.tag), one)
    return found


def _single(derived: Derived, tag: str, value: float, error: float) -> Move:
    guess = derived.guesses.get(tag)
    unit, ends = (guess.unit, (None, None)) if guess else _line(tag)
    source = Source.GUESS if guess else Source.ASSUMED if " " in tag else Source.READ
    own, size = value / factor(unit), error / factor(unit)
    return Move(tag, "", source, unit, own, size, {tag: error}, {tag: value}, ends)


def _line(tag: str) -> tuple[str, tuple[float | None, float | None]]:
    """Unit of a line, and the ends of its range, SI."""
    steps = tuple(int(step) if step.isdigit() else step for step in tag.split("."))
    quantity = plain(follow(Worksheet, steps))[1] if " " not in tag else None
    if not isinstance(quantity, Instrument):
        return "1", (None, None)
    scale = factor(quantity.unit)
    low, high = (None if end is None else end * scale for end in (quantity.ge, quantity.le))
    return quantity.unit, (low, high)


def _together(
    derived: Derived, line: str, tags: Sequence[str], variables: Mapping[str, Any]
) -> Iterator[Move]:
    """Moves of rows, one for each value that they give and that goes its own way."""
    spread = np.array([float(variables[tag].std_dev) for tag in tags])
    own = {tag: float(variables[tag].nominal_value) for tag in tags}
    parts = {key: spread * _slopes(entry, tags) for key, entry in derived.entries.items()}
    shares = {
        key: float(part @ part) * COVERAGE**2 / error_of(derived.entries[key].number) ** 2
        for key, part in parts.items()
        if part.any()
    }
    known: list[Any] = []
    for key in sorted(shares, key=lambda key: -round(shares[key], 3)):
        part, entry = parts[key], derived.entries[key]
        left = part - sum(float(part @ way) * way for way in known)
        size = float(np.linalg.norm(left))
        if size < LEFT * float(np.linalg.norm(part)):
            continue
        way = left / size
        known.append(way)
        by = dict(zip(tags, (COVERAGE * way * spread).tolist(), strict=True))
        error = COVERAGE * size / factor(entry.unit)
        yield Move(line, key, Source.ROWS, entry.unit, entry.value, error, by, own, (0.0, None))


def _slopes(entry: Entry, tags: Sequence[str]) -> Any:
    """Derivatives of a value after readings."""
    found = {str(one.tag): slope for one, slope in getattr(entry.number, "derivatives", {}).items()}
    return np.array([float(found.get(tag, 0.0)) for tag in tags])
