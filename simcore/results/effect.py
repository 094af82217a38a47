"""What squat support does: a run with it less the same run with the support cancelled on the shock line."""

import dataclasses
from functools import cached_property, partial
from typing import Any

import numpy as np
import numpy.typing as npt
import pandas as pd

from simcore.files.scenario import Visible
from simcore.results.finished import peak
from simcore.results.metrics import GRAMS, Summary, plain
from simcore.results.quantities import Better, Group, Kind, Quantity
from simcore.units import column_factor

Series = npt.NDArray[np.float64]
WATCHED = {"pitch_deg": "pitch", "rear_travel_mm": "travel", "front_travel_mm": "travel"}


def difference(with_it: pd.DataFrame, without: pd.DataFrame, column: str) -> pd.Series:
    """With less without, at the instants of the run with support up to the earlier end of both."""
    times = with_it["time_s"]
    kept = times[times <= without["time_s"].iloc[-1]]
    other = np.interp(kept, without["time_s"], without[column])
    return with_it[column].iloc[: len(kept)] - other


@dataclasses.dataclass(frozen=True)
class Twins:
    """Tables of a run with and without squat support, and the smallest difference that a viewer sees."""

    with_it: pd.DataFrame
    without: pd.DataFrame
    visible: Visible

    def change(self, column: str) -> Series:
        """With less without, (n,)."""
        return difference(self.with_it, self.without, column).to_numpy()

    @cached_property
    def shows_at(self) -> float | None:
        """When a change of pitch or travel first passes the visible threshold, s; None if never."""
        first = []
        for column, kind in WATCHED.items():
            least = getattr(self.visible, kind) * column_factor(column)
            seen = np.flatnonzero(np.abs(self.change(column)) >= least)
            first += list(self.with_it["time_s"].to_numpy()[seen[:1]])
        return min(first, default=None)


def _in_words(twins: Twins) -> str:
    first = twins.shows_at
    if first is None:
        travel = twins.visible.travel * column_factor("x_mm")
        pitch = twins.visible.pitch * column_factor("x_deg")
        return f"never: it changes travel by less than {travel:g} mm and pitch by less than {pitch:g} deg"
    return "standing, before anything moves" if first == 0.0 else f"from {first:.3g} s on"


def _standing(column: str, twins: Twins) -> float:
    return float(twins.change(column)[0])


def _largest(column: str, twins: Twins) -> float:
    return peak(twins.change(column))


_SUPPORT: dict[str, Any] = {"group": Group.SUPPORT}

EFFECTS = [
    Quantity(
        "support_shows",
        "when the support first shows: its effect passes the visible travel or pitch, in words",
        _in_words,
        text=True,
        **_SUPPORT,
    ),
    Quantity(
        "support_shows_s",
        "likewise in time; empty if never",
        lambda twins: twins.shows_at,
        kind=Kind.INSTANT,
        **_SUPPORT,
    ),
    Quantity(
        "support_pitch_standing_deg",
        "change of pitch by the support while the rig still stands",
        partial(_standing, "pitch_deg"),
        kind=Kind.PITCH,
        **_SUPPORT,
    ),
    Quantity(
        "support_pitch_deg",
        "largest change of pitch by the support; positive holds the nose higher",
        partial(_largest, "pitch_deg"),
        kind=Kind.PITCH,
        **_SUPPORT,
    ),
    Quantity(
        "support_rear_travel_standing_mm",
        "change of rear travel by the support while the rig still stands",
        partial(_standing, "rear_travel_mm"),
        kind=Kind.TRAVEL,
        **_SUPPORT,
    ),
    Quantity(
        "support_rear_travel_mm",
        "largest change of rear travel by the support; negative holds the rear up",
        partial(_largest, "rear_travel_mm"),
        kind=Kind.TRAVEL,
        **_SUPPORT,
    ),
    Quantity(
        "support_front_travel_mm",
        "largest change of front travel by the support; positive holds the front down",
        partial(_largest, "front_travel_mm"),
        kind=Kind.TRAVEL,
        **_SUPPORT,
    ),
    Quantity(
        "support_front_load_g",
        "change of the front tyres' load by the support, averaged over the run",
        lambda twins: twins.change("front_load_N").mean() * GRAMS,
        kind=Kind.GRAMS,
        better=Better.MORE,
        **_SUPPORT,
    ),
]


def support_effect(with_it: pd.DataFrame, without: pd.DataFrame, visible: Visible) -> Summary:
    """What the support does to pitch, travel and front load, by the names of `EFFECTS`.

    Parameters
    ----------
    with_it, without : series of both runs
    visible : smallest difference that a viewer sees
    """
    twins = Twins(with_it, without, visible)
    return {effect.name: plain(effect.compute(twins)) for effect in EFFECTS}
