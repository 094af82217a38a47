"""Which part of a run a picture over time shows: where nothing happens for long, it is left out and said."""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
import pandas as pd

from simcore.files.scenario import Visible
from simcore.results.moments import Happening
from simcore.results.stages import ON_THE_COURSE
from simcore.units import column_factor

WATCHED = {"pitch_to_ground_deg": "pitch", "rear_travel_mm": "travel", "front_travel_mm": "travel"}
LONG = 1.0 / 3.0  # of the run; a quiet stretch this long is left out
LEAST = 1.0  # s; a shorter beginning stays, with the rig standing in it
RUN_UP = 0.6  # of the run; so long a beginning is left out if it moves little against the rest:
LITTLE = 0.35  # of what a curve does over the whole run
WORTH = 8.0  # times what a viewer sees, that something must move in a run to be cut at all
BEFORE, AFTER = 0.25, 0.15  # of what is kept, that stays before it begins and after it is over
MOVES = 0.02  # m/s, less is standing


@dataclass(frozen=True)
class Span:
    """The shown part of a run: its ends in s, and words about what is left out; empty if nothing is."""

    start: float
    end: float
    words: str = ""

    @property
    def limits(self) -> tuple[float, float]:
        """Ends of the axis, with a little room."""
        room = max(0.03 * (self.end - self.start), 1e-3)
        return self.start - room, self.end + room

    def of(self, table: pd.DataFrame) -> pd.DataFrame:
        """Rows of a series that are shown; the last one at least."""
        times = table["time_s"]
        kept = table[(times >= self.start - 1e-9) & (times <= self.end + 1e-9)]
        return kept if len(kept) else table.tail(1)


def span_of(tables: Sequence[pd.DataFrame], visible: Visible, happened: Sequence[Happening] = ()) -> Span:
    """The part of some runs in which something happens, without a long quiet beginning or end.

    Quiet is where pitch and travel of all runs stay within what a viewer sees. A very long beginning may move
    a little, as in a slow run-up to something quick. Runs that hardly move at all are shown whole.

    Parameters
    ----------
    tables : series of runs, the base first
    visible : the least change that a viewer sees
    happened : what happens in them: shown from the first edge or ice of the course on, and to the last of all
    """
    first = min((one.time_s for one in happened if one.code in ON_THE_COURSE), default=math.inf)
    last = max(float(table["time_s"].iloc[-1]) for table in tables)
    largest = {column: max(_reach(table[column]) for table in tables) for column in WATCHED}
    seen = {column: getattr(visible, kind) * column_factor(column) for column, kind in WATCHED.items()}
    if all(largest[column] < WORTH * seen[column] for column in WATCHED):
        return Span(0.0, last)
    little = {column: max(LITTLE * largest[column], seen[column]) for column in WATCHED}
    quiet, run_up = min(_quiet_until(tables, seen), first), min(_quiet_until(tables, little), first)
    begins = run_up if run_up > RUN_UP * last else quiet if quiet > LONG * last else 0.0
    since = max([_quiet_since(tables, seen), *(one.time_s for one in happened)])
    apart = len({round(float(table["time_s"].iloc[-1]), 3) for table in tables}) > 1  # some ended early
    ends = since if last - since > LONG * last and not apart else last
    start = math.floor(10.0 * (begins - BEFORE * (ends - begins))) / 10.0
    start = start if start >= LEAST else 0.0
    end = min(last, math.ceil(10.0 * (ends + AFTER * (ends - start))) / 10.0)
    words = [_before(tables, start, seen)] if start > 0.0 else []
    words += [f"until {end:.1f} s; after, nothing moves visibly"] if end < last else []
    return Span(start, end, "; ".join(words))


def _reach(values: pd.Series) -> float:
    return float(values.max() - values.min())


def _quiet_until(tables: Sequence[pd.DataFrame], least: Mapping[str, float]) -> float:
    """When a curve first leaves where it began, s."""
    leaves = [
        table.loc[(table[column] - table[column].iloc[0]).abs() > least[column], "time_s"].min()
        for table in tables
        for column in WATCHED
    ]
    return float(np.nanmin([*leaves, math.inf]))


def _quiet_since(tables: Sequence[pd.DataFrame], least: Mapping[str, float]) -> float:
    """When the last curve has come to where it ends, s."""
    comes = [
        table.loc[(table[column] - table[column].iloc[-1]).abs() > least[column], "time_s"].max()
        for table in tables
        for column in WATCHED
    ]
    return float(np.nanmax([*comes, 0.0]))


def _before(tables: Sequence[pd.DataFrame], start: float, seen: Mapping[str, float]) -> str:
    """What the runs did until the start of the picture."""
    parts = [table[table["time_s"] <= start] for table in tables]
    moved = {
        column: max(float((one[column] - one[column].iloc[0]).abs().max()) for one in parts)
        for column in WATCHED
    }
    pitch, *travel = moved.values()
    speed = float(parts[0]["speed_m_per_s"].abs().max())
    what = f"it rolls up to {speed:.2g} m/s" if speed > MOVES else "it stands"
    if all(moved[column] <= seen[column] for column in WATCHED):
        return f"from {start:.1f} s on; before, {what} and nothing moves visibly"
    return (
        f"from {start:.1f} s on; before, {what}, the nose moves {pitch:.1f}°, the shocks {max(travel):.1f} mm"
    )
