"""What squat support does: a run with it less the same run with the support cancelled on the shock line."""

import dataclasses
import enum
from functools import cached_property, partial
from typing import Any

import numpy as np
import numpy.typing as npt

from simcore.files.scenario import Visible
from simcore.results.finished import Columns, peak
from simcore.results.metrics import Summary, plain
from simcore.results.quantities import Better, Group, Kind, Quantity
from simcore.units import GRAMS, column_factor

Series = npt.NDArray[np.float64]
WATCHED = {"pitch_deg": "pitch", "rear_travel_mm": "travel", "front_travel_mm": "travel"}


def difference(with_it: Columns, without: Columns, column: str) -> Series:
    """With less without, at the instants of the run with support up to the earlier end of both, (n,)."""
    times, other_times = np.asarray(with_it["time_s"]), np.asarray(without["time_s"])
    kept = times[times <= other_times[-1]]
    other = np.interp(kept, other_times, np.asarray(without[column]))
    return np.asarray(with_it[column])[: len(kept)] - other


@dataclasses.dataclass(frozen=True)
class SupportPair:
    """Columns of a run with and without squat support, and the smallest difference that a viewer sees."""

    with_it: Columns
    without: Columns
    visible: Visible

    def change(self, column: str) -> Series:
        """With less without, (n,)."""
        return difference(self.with_it, self.without, column)

    @cached_property
    def shows_at(self) -> float | None:
        """When a change of pitch or travel first passes the visible threshold, s; None if never."""
        first = []
        for column, kind in WATCHED.items():
            least = getattr(self.visible, kind) * column_factor(column)
            seen = np.flatnonzero(np.abs(self.change(column)) >= least)
            first += list(self.with_it["time_s"][seen[:1]])
        return min(first, default=None)


class Showing(enum.Enum):
    """When support first shows; the name stands in files, the value in sentences."""

    STANDING = "standing, before anything moves"
    MOVING = "while the rig moves"
    NEVER = "never"


def _showing(pair: SupportPair) -> str:
    first = pair.shows_at
    showing = Showing.NEVER if first is None else Showing.STANDING if first == 0.0 else Showing.MOVING
    return showing.name


def _standing(column: str, pair: SupportPair) -> float:
    return float(pair.change(column)[0])


def _largest(column: str, pair: SupportPair) -> float:
    return peak(pair.change(column))


_SUPPORT: dict[str, Any] = {"group": Group.SUPPORT}

EFFECTS = [
    Quantity(
        "support_shows",
        "when the support first shows: its effect passes the visible travel or pitch",
        _showing,
        codes=Showing,
        **_SUPPORT,
    ),
    Quantity(
        "support_shows_s",
        "likewise in time; empty if never",
        lambda pair: pair.shows_at,
        kind=Kind.INSTANT,
        wording="support shows from",
        **_SUPPORT,
    ),
    Quantity(
        "support_pitch_standing_deg",
        "change of pitch by the support while the rig still stands",
        partial(_standing, "pitch_deg"),
        kind=Kind.PITCH,
        wording="pitch changed by support, standing",
        **_SUPPORT,
    ),
    Quantity(
        "support_pitch_deg",
        "largest change of pitch by the support; positive holds the nose higher",
        partial(_largest, "pitch_deg"),
        kind=Kind.PITCH,
        wording="pitch changed by support",
        **_SUPPORT,
    ),
    Quantity(
        "support_rear_travel_standing_mm",
        "change of rear travel by the support while the rig still stands",
        partial(_standing, "rear_travel_mm"),
        kind=Kind.TRAVEL,
        wording="rear travel changed by support, standing",
        **_SUPPORT,
    ),
    Quantity(
        "support_rear_travel_mm",
        "largest change of rear travel by the support; negative holds the rear up",
        partial(_largest, "rear_travel_mm"),
        kind=Kind.TRAVEL,
        wording="rear travel changed by support",
        **_SUPPORT,
    ),
    Quantity(
        "support_front_travel_mm",
        "largest change of front travel by the support; positive holds the front down",
        partial(_largest, "front_travel_mm"),
        kind=Kind.TRAVEL,
        wording="front travel changed by support",
        **_SUPPORT,
    ),
    Quantity(
        "support_front_load_g",
        "change of the front tyres' load by the support, averaged over the run",
        lambda pair: pair.change("front_load_N").mean() * GRAMS,
        kind=Kind.GRAMS,
        better=Better.MORE,
        wording="front load added by support",
        **_SUPPORT,
    ),
]


def support_effect(with_it: Columns, without: Columns, visible: Visible) -> Summary:
    """What the support does to pitch, travel and front load, by the names of `EFFECTS`.

    Parameters
    ----------
    with_it, without : columns of both runs, as `series.Columns` gives them
    visible : smallest difference that a viewer sees
    """
    pair = SupportPair(with_it, without, visible)
    return {effect.name: plain(effect.compute(pair)) for effect in EFFECTS}
