"""A finished run as metrics are computed from it, and what they do over its time."""

import dataclasses
import math
from collections.abc import Mapping
from typing import Any

import numpy as np
import numpy.typing as npt

from simcore.accounts.audit import Audit
from simcore.accounts.job import Job
from simcore.compiled import ShockRecord
from simcore.rig.masses import SIDES
from simcore.solve.trace import Trace, once

Series = npt.NDArray[np.float64]
Columns = Mapping[str, npt.NDArray[Any]]


@dataclasses.dataclass(frozen=True)
class Finished:
    """A finished run, as metrics are computed from it.

    Attributes
    ----------
    trace, audit, table : with the same rows: those of the fixed raster, whatever the output rate; the
        table as `series.Columns` gives it; without an audit its metrics are not to be had
    job : whether it did its job
    found : what `once` has worked out of it
    """

    trace: Trace
    audit: Audit | None
    table: Columns
    job: Job
    found: dict[Any, Any] = dataclasses.field(init=False, repr=False, compare=False, default_factory=dict)

    def __getitem__(self, column: str) -> Series:
        """A column of the table, (n,)."""
        return np.asarray(self.table[column])

    def of(self, axle: int, column: str) -> Series:
        """A column of one axle, (n,)."""
        return self[f"{SIDES[axle]}_{column}"]

    def shock(self, axle: int) -> ShockRecord:
        """Parameters of an axle's shocks, SI."""
        return self.trace.model.rig.axle[axle].shock

    @property
    def times(self) -> Series:
        """Instants, s."""
        return self["time_s"]

    @property
    def weight(self) -> float:
        """Of the whole rig, N."""
        return float(self.trace.model.bench.whole.mass * self.trace.model.rig.gravity)


# --- at the end ---

LAST = 0.5  # s, part at the end that the figures at the end are taken from, at least; at most half of a run
PERIODS = 3.0  # of a slow swing that it then holds,
CALM = 0.25  # of the range of the last part, below which its second half alone counts: it has settled by then
LASTING = 0.6  # where the last part alone still has so much of the range of the last half of the run


def last_part(times: Series, value: Series) -> npt.NDArray[np.bool_]:
    """Rows of the last part of a run: half a second, or some periods of what goes on swinging more slowly.

    The second half of that alone, where the series has come to rest by then. The period is taken from how
    often the series crosses its middle in the last half of the run.
    """
    half = 0.5 * (times[-1] - times[0])
    late, last = times >= times[-1] - half, times >= times[-1] - min(LAST, half)
    above = value[late] > np.median(value[late])
    crossings = times[late][1:][above[1:] != above[:-1]]
    second = times >= times[-1] - 0.5 * min(LAST, half)
    if np.ptp(value[second]) < CALM * np.ptp(value[last]):
        return np.asarray(second)
    goes_on = np.ptp(value[last]) > LASTING * np.ptp(value[late])
    if not goes_on or len(crossings) <= 3:
        return np.asarray(last)
    span = PERIODS * 2.0 * float(np.mean(np.diff(crossings)))
    return np.asarray(times >= times[-1] - min(max(LAST, span), half))


def settled_value(times: Series, value: Series) -> float:
    """Value about which a series swings at the end of a run.

    The mean over the last part, weighted with a raised cosine (Hann's window), in which a swing of two
    periods or more leaves next to nothing: of one of 8 Hz less than a hundredth is left in half a second,
    where a plain mean keeps up to a twelfth.

    Source: F. J. Harris, On the use of windows for harmonic analysis with the discrete Fourier transform,
    Proc. IEEE 66 (1978), side lobes of the Hann window (from memory).
    """
    return windowed_mean(times, value, last_part(times, value))


def windowed_mean(times: Series, value: Series, rows: npt.NDArray[np.bool_]) -> float:
    """Mean over some rows with the window of `settled_value`; of fewer than three the last one."""
    times, value = times[rows], value[rows]
    if len(times) < 3:
        return float(value[-1])
    phase = 2.0 * np.pi * (times - times[0]) / (times[-1] - times[0])
    weight = 1.0 - np.cos(phase)
    return float(np.trapezoid(weight * value, times) / np.trapezoid(weight, times))


@once
def settled(run: Finished, column: str) -> float:
    """`settled_value` of a column."""
    return settled_value(run.times, run[column])


def swing(times: Series, value: Series) -> float:
    """How far a series still moves at the end of a run, either way: half of its range in the last part."""
    last = value[last_part(times, value)]
    return 0.5 * float(last.max() - last.min())


# --- over time, with straight lines between the samples ---


def time_while(times: Series, value: Series, level: float = 0.0) -> float:
    """Time during which a sampled value lies above a level."""
    above = np.asarray(value, dtype=float) - level
    a, b, span = above[:-1], above[1:], np.diff(times)
    with np.errstate(divide="ignore", invalid="ignore"):
        share = np.where(
            (a > 0) & (b > 0), 1.0, np.where((a > 0) | (b > 0), np.maximum(a, b) / np.abs(a - b), 0.0)
        )
    return float(np.sum(share * span))


def time_mean(times: Series, value: Series) -> float:
    """Mean over time; gaps left out."""
    there = np.isfinite(value)
    times, value = times[there], value[there]
    if len(times) < 2:
        return float(value[0]) if len(value) else math.nan
    return float(np.trapezoid(value, times) / (times[-1] - times[0]))


def peak(value: Series) -> float:
    """Largest size, either way, with its sign."""
    return float(value[np.abs(value).argmax()])
