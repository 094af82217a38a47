"""Which instants tell a run: its start, where it is decided, its end."""

import enum
from collections.abc import Callable, Iterator, Mapping, Sequence
from typing import Any, NamedTuple, TypeAlias

import numpy as np
import numpy.typing as npt
import pandas as pd

from simcore.accounts.reasons import TOUCH
from simcore.files.scenario import Visible
from simcore.results.moments import Happening, Moment
from simcore.solve.events import HUNG_SPEED
from simcore.solve.trace import Outcome
from simcore.units import column_factor

Series: TypeAlias = pd.DataFrame | Mapping[str, npt.NDArray[Any]]
NEAR_PEAK = 0.01  # of the largest change of pitch; a flat peak has its instant wherever it was computed
APART = 0.02  # of the run, by which two instants must be apart to be two
ON_THE_COURSE = (Moment.LEDGE, Moment.DROP, Moment.SLIPPERY, Moment.STEEPER, Moment.CREST, Moment.BOTTOM)
ENDS = {
    Outcome.ROLLED_OVER: "rolled over",
    Outcome.SLID_AWAY: "slid back",
    Outcome.HIGH_CENTRED: "hangs on its skids",
    Outcome.STOOD_STILL: "stands",
    Outcome.FRONT_LIFTED: "front lifts",
    Outcome.REAR_LIFTED: "rear lifts",
    Outcome.NOT_SOLVED: "broke off",
}
"""What to call the last instant of a run that did not simply end."""


class Why(enum.Enum):
    """Why an instant is shown."""

    START = "the run begins"
    LOST = "there the run was lost"
    COURSE = "the first edge or other grip of its course"
    PITCH = "the pitch is farthest from its start"
    END = "the run ends"


DECISIVE = (Why.LOST, Why.PITCH, Why.COURSE, Why.END)
"""By what a run is decided, the most telling first."""


class Stage(NamedTuple):
    """An instant of a run: why it is shown, its row in the series, its time in s, and what to call it."""

    why: Why
    row: int
    time_s: float
    words: str


def stages(series: Series, outcome: Outcome, happened: Sequence[Happening], visible: Visible) -> list[Stage]:
    """Start, decisive instants if there are any, and end of a run, in order of time.

    Decisive is where a run was lost, else where a tyre first comes to an edge of its course or to other grip,
    and where from then on the pitch is farthest from its start, if a viewer sees that.

    Parameters
    ----------
    series, outcome, happened : of the run: a table, or the columns that are looked at here by their names;
        what happens in it as `moments` gives it
    visible : the least change of pitch that a viewer sees
    """
    last = len(series["time_s"]) - 1
    found = [_stage(series, Why.START, 0, "start"), _stage(series, Why.END, last, ENDS.get(outcome, "end"))]
    least = APART * (found[1].time_s - found[0].time_s)
    for why, row, words in _decisive(series, outcome, happened, visible):
        one = _stage(series, why, row, words)
        if all(abs(one.time_s - other.time_s) > least for other in found):
            found.append(one)
    return sorted(found, key=lambda one: one.time_s)


def decisive(told: Sequence[Stage]) -> Stage:
    """The stage by which a run is decided; its end, if nothing decides it."""
    return min((one for one in told if one.why in DECISIVE), key=lambda one: DECISIVE.index(one.why))


def _stage(series: Series, why: Why, row: int, words: str) -> Stage:
    return Stage(why, row, float(np.asarray(series["time_s"])[row]), words)


def _decisive(
    series: Series, outcome: Outcome, happened: Sequence[Happening], visible: Visible
) -> Iterator[tuple[Why, int, str]]:
    """What may be decisive, the most telling first."""
    if outcome in LOST:
        yield Why.LOST, *LOST[outcome](series)
        return
    first = next((one for one in happened if one.code in ON_THE_COURSE), None)
    change, before = _swing(series), 0.0
    if first is not None:
        at = int(np.searchsorted(series["time_s"], first.time_s))
        yield Why.COURSE, at, first.words
        before = float(np.abs(change[:at]).max(initial=0.0))  # on the way there
        change[:at] = 0.0
    most = float(np.abs(change).max())
    if most >= visible.pitch * column_factor("pitch_deg"):
        row = int(np.flatnonzero(np.abs(change) >= (1.0 - NEAR_PEAK) * most)[0])
        words = "nose highest" if change[row] > 0.0 else "nose lowest"
        yield Why.PITCH, row, words if most >= before else f"then {words}"


def _swing(series: Series) -> npt.NDArray[np.float64]:
    pitch = np.asarray(series["pitch_to_ground_deg"], dtype=float)
    return pitch - pitch[0]


# --- where a run was lost ---


def _tipped(series: Series) -> tuple[int, str]:
    """Last contact of the tyres that it rolls over away from."""
    axle = "front" if _swing(series)[-1] > 0.0 else "rear"
    touching = np.flatnonzero(np.asarray(series[f"{axle}_load_N"]) > TOUCH)
    return (int(touching[-1]) if len(touching) else 0), f"{axle} lifts for good"


def _furthest(series: Series) -> tuple[int, str]:
    return int(np.argmax(np.asarray(series["distance_mm"]))), "furthest point"


def _hung(series: Series) -> tuple[int, str]:
    """First instant of the last stretch in which skids carry and it does not move."""
    load, speed = np.asarray(series["skid_load_N"]), np.asarray(series["speed_m_per_s"])
    moving = np.flatnonzero((load <= TOUCH) | (np.abs(speed) > HUNG_SPEED))
    return (min(int(moving[-1]) + 1, len(load) - 1) if len(moving) else 0), "stuck on its skids"


LOST: dict[Outcome, Callable[[Series], tuple[int, str]]] = {
    Outcome.ROLLED_OVER: _tipped,
    Outcome.SLID_AWAY: _furthest,
    Outcome.HIGH_CENTRED: _hung,
}
