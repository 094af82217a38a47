"""What squat support does: a run with it less the same run with the support cancelled on the shock line."""

import math

import numpy as np
import pandas as pd

from simcore.files.scenario import Visible
from simcore.summary import GRAMS, Summary, plain
from simcore.units import column_factor

MEANING = {
    "support_shows": "when the support first shows: its effect passes the visible travel or pitch, in words",
    "support_shows_s": "likewise in time; empty if never",
    "support_pitch_standing_deg": "change of pitch by the support while the rig still stands",
    "support_pitch_deg": "largest change of pitch by the support; positive holds the nose higher",
    "support_rear_travel_standing_mm": "change of rear travel by the support while the rig still stands",
    "support_rear_travel_mm": "largest change of rear travel by the support; negative holds the rear up",
    "support_front_travel_mm": "largest change of front travel by the support; positive holds the front down",
    "support_front_load_g": "change of the front tyres' load by the support, averaged over the run",
}
WATCHED = {"pitch_deg": "pitch", "rear_travel_mm": "travel", "front_travel_mm": "travel"}


def difference(with_it: pd.DataFrame, without: pd.DataFrame, column: str) -> pd.Series:
    """With less without, at the instants of the run with support up to the earlier end of both."""
    times = with_it["time_s"]
    kept = times[times <= without["time_s"].iloc[-1]]
    other = np.interp(kept, without["time_s"], without[column])
    return with_it[column].iloc[: len(kept)] - other


def _in_words(first: float, visible: Visible) -> str:
    if math.isinf(first):
        travel, pitch = visible.travel * column_factor("x_mm"), visible.pitch * column_factor("x_deg")
        return f"never: it changes travel by less than {travel:g} mm and pitch by less than {pitch:g} deg"
    return "standing, before anything moves" if first == 0.0 else f"from {first:.3g} s on"


def support_effect(with_it: pd.DataFrame, without: pd.DataFrame, visible: Visible) -> Summary:
    """What the support does to pitch, travel and front load; keys as in `MEANING`.

    Parameters
    ----------
    with_it, without : series of both runs
    visible : smallest difference that a viewer sees
    """
    times, first, largest = with_it["time_s"].to_numpy(), math.inf, {}
    for column, kind in WATCHED.items():
        change = difference(with_it, without, column).to_numpy()
        seen = np.flatnonzero(np.abs(change) >= getattr(visible, kind) * column_factor(column))
        first = min(first, times[seen[0]]) if len(seen) else first
        what, unit = column.rsplit("_", 1)
        largest[f"support_{what}_standing_{unit}"] = change[0]
        largest[f"support_{column}"] = change[np.abs(change).argmax()]
    load = difference(with_it, without, "front_load_N").to_numpy()
    numbers: Summary = {
        "support_shows": _in_words(first, visible),
        "support_shows_s": None if math.isinf(first) else first,
        **largest,
        "support_front_load_g": load.mean() * GRAMS,
    }
    return {key: plain(numbers[key]) for key in MEANING}
