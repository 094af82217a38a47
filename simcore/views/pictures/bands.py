"""A band along the time axis that says in words what becomes of squat support, rear and front."""

import itertools
from collections.abc import Iterator

import pandas as pd
from matplotlib.axes import Axes
from matplotlib.patches import Patch

from simcore.accounts.reasons import Reason
from simcore.views.pictures.style import QUIET, SMALL

# pale, so that words stand on them; told apart by lightness and hatching too
FILLS = {
    Reason.SEEN: ("#FFFFFF", ""),
    Reason.CARRIED: ("#BFE3D0", ""),
    Reason.HELD: ("#F3DDA9", ""),
    Reason.HELD_BY_SHAFT: ("#F3DDA9", "\\\\\\"),
    Reason.ON_A_STOP: ("#D9A58A", ""),
    Reason.TOO_SMALL: ("#E9E9E9", ""),
    Reason.NO_THRUST: ("#C9C9C9", "///"),
    Reason.SPINNING: ("#D8C4E8", "..."),
    Reason.REVERSED: ("#F2B5B0", "xxx"),
    Reason.DRAGGED: ("#D5DFEA", "|||"),
}
ROWS = ("front", "rear")  # from below; the rear stands on top, as its line is drawn first
LEAST_NAMED = 0.01  # of the run, that a state must last to get a name of its own
CHARACTER = 0.0125  # width of one character, of the panel


def _stretches(table: pd.DataFrame, axle: str) -> Iterator[tuple[float, float, Reason]]:
    """Start, length and state of every stretch of one state."""
    times, states = table["time_s"].to_numpy(), table[f"{axle}_support_state"].to_numpy()
    at = 0
    for value, group in itertools.groupby(states):
        end = at + len(list(group))
        until = times[min(end, len(times) - 1)]
        yield float(times[at]), float(until - times[at]), Reason[value]
        at = end


def state_band(axis: Axes, table: pd.DataFrame) -> None:
    """Draw the band into a panel of its own; names stand in the stretches, or below where these are short."""
    whole = float(table["time_s"].iloc[-1] - table["time_s"].iloc[0]) or 1.0
    found: dict[Reason, float] = {}
    named: set[Reason] = set()
    for row, axle in enumerate(ROWS):
        for start, length, reason in _stretches(table, axle):
            fill, hatch = FILLS[reason]
            axis.broken_barh(
                [(start, length)],
                (row + 0.06, 0.88),
                facecolor=fill,
                hatch=hatch,
                edgecolor="#9A9A9A",
                lw=0.4,
            )
            found[reason] = found.get(reason, 0.0) + length
            if length > CHARACTER * len(reason.value) * whole:
                named.add(reason)
                box = {"facecolor": fill, "edgecolor": "none", "pad": 0.8} if hatch else None
                axis.text(
                    start + length / 2,
                    row + 0.48,
                    reason.value,
                    ha="center",
                    va="center",
                    fontsize=SMALL,
                    bbox=box,
                )
    axis.set_ylim(0, len(ROWS))
    axis.set_yticks([k + 0.5 for k in range(len(ROWS))], ROWS)
    axis.tick_params(axis="y", length=0)
    axis.grid(False)
    axis.spines["left"].set_visible(False)
    axis.set_ylabel("squat\nsupport", fontsize=SMALL)
    short = [
        reason for reason in Reason if found.get(reason, 0.0) > LEAST_NAMED * whole and reason not in named
    ]
    if short:
        patches = [
            Patch(facecolor=FILLS[r][0], hatch=FILLS[r][1], edgecolor="#9A9A9A", label=r.value) for r in short
        ]
        axis.legend(
            handles=patches,
            loc="upper left",
            bbox_to_anchor=(1.005, 1.22),
            frameon=False,
            fontsize=SMALL,
            labelcolor=QUIET,
            handlelength=0.8,
            handletextpad=0.4,
            labelspacing=0.15,
            borderpad=0.0,
        )
