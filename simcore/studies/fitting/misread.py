"""Channels that were read with the wrong sign, unit or zero: another reading would fit far better."""

import dataclasses
import enum
from collections.abc import Collection, Mapping

import numpy as np
import numpy.typing as npt

from simcore.logs import CHANNELS
from simcore.studies.fitting.freed import Sort
from simcore.studies.fitting.noise import scattered
from simcore.studies.fitting.problem import Problem
from simcore.studies.fitting.search import search
from simcore.units import Q

Vector = npt.NDArray[np.float64]
FAR_BETTER = 0.5  # of what is left over, that another reading must leave less than
SLIPPED = {"m/s": ("km/h", "mile/hour", "mm/s", "cm/s"), "mm": ("m", "cm", "in"), "deg": ("rad",)}
SLIPPED |= {"deg/s": ("rad/s", "turn/s")}
"""Units that a log may be in where another was read."""


class Fault(enum.Enum):
    """How a channel was misread."""

    MIRRORED = "turned round"
    UNIT = "another unit"
    ZERO = "another zero"


@dataclasses.dataclass(frozen=True)
class Misread:
    """One channel that another reading would suit better.

    Attributes
    ----------
    channel : its name
    fault : what is wrong with it
    factor : by which its readings would have to be multiplied
    unit : the unit that they seem to be in
    shift : how much they lie above the run, where only that is wrong, in the unit of the channel
    """

    channel: str
    fault: Fault
    factor: float = 1.0
    unit: str = ""
    shift: float = 0.0

    @property
    def spoils(self) -> bool:
        """Whether nothing that is fitted to it can be believed."""
        return self.fault is not Fault.ZERO


def misread(
    problem: Problem,
    predicted: Mapping[str, Vector],
    before: Mapping[str, Vector] | None,
    stated: Collection[str],
    fitted: bool,
    tries: int,
) -> tuple[Misread, ...]:
    """Channels that fit far better in another reading, also when everything is fitted to that one.

    Parameters
    ----------
    predicted, before : channel to what is predicted by the fitted and by the scenario's own values
    stated : channels whose noise is
    fitted : whether anything was fitted
    tries : as for the search
    """
    noise = dict(problem.noise) | scattered(problem.measured, stated)  # that of a bad fit would hide all
    problem = dataclasses.replace(problem, noise=noise)
    suspects: dict[str, Misread] = {}
    for curves in (predicted, before or {}):
        suspects |= {one.channel: one for one in suspected(problem.measured, curves, problem.noise)}
    if suspects and fitted:
        suspects = _confirmed(problem, predicted, suspects, tries)
    offset = {one.channel for one in problem.freed if one.sort is Sort.OFFSET}
    zeros = shifted(problem.measured, predicted, problem.noise) if not suspects else []
    return (*suspects.values(), *(one for one in zeros if one.channel not in offset))


def _confirmed(
    problem: Problem, predicted: Mapping[str, Vector], suspects: Mapping[str, Misread], tries: int
) -> dict[str, Misread]:
    """Those for which a fit to the other reading leaves far less over than the fit to this one."""
    scale = {name: one.factor for name, one in suspects.items()}
    other = dataclasses.replace(
        problem,
        measured={name: scale.get(name, 1.0) * values for name, values in problem.measured.items()},
        noise={name: abs(scale.get(name, 1.0)) * value for name, value in problem.noise.items()},
    )
    again = search(other, tries)
    curves = None if again is None else other.curves([again.z])[0]
    if again is None or curves is None:
        return {}
    fitted = other.predicted(curves, again.z)
    return {
        name: one
        for name, one in suspects.items()
        if _left(other.measured[name], fitted[name])
        < FAR_BETTER * _left(problem.measured[name], predicted[name])
    }


def suspected(
    measured: Mapping[str, Vector], predicted: Mapping[str, Vector], noise: Mapping[str, float]
) -> list[Misread]:
    """Channels whose readings, turned round or in another unit, are far nearer to a run."""
    found = []
    for name in predicted:
        readings = measured[name]
        known = np.isfinite(readings)
        read, run = readings[known], predicted[name][known]
        left = min(_left(read, run), _left(read - read.mean(), run - run.mean()))
        best: tuple[float, Misread] | None = None
        for one in _others(name):
            other = min(
                _left(one.factor * read, run), _left(one.factor * (read - read.mean()), run - run.mean())
            )
            own = abs(one.factor) * noise[name]
            moves = float(np.std(run)) > 3.0 * own or float(np.abs(run).mean()) > 3.0 * own
            if moves and other < FAR_BETTER * left and (best is None or other < best[0]):
                best = (other, one)
        if best is not None:
            found.append(best[1])
    return found


def shifted(
    measured: Mapping[str, Vector],
    predicted: Mapping[str, Vector],
    noise: Mapping[str, float],
) -> list[Misread]:
    """Channels that lie above or below a run by much the same all along."""
    found = []
    for name, readings in measured.items():
        gap = (readings - predicted[name])[np.isfinite(readings)]
        shift, left = float(gap.mean()), float(np.sqrt(np.mean(gap**2)))
        if abs(shift) > 3.0 * noise[name] and float(gap.std()) < FAR_BETTER * left:
            found.append(Misread(name, Fault.ZERO, shift=shift))
    return found


def _left(read: Vector, run: Vector) -> float:
    return float(np.sqrt(np.nanmean((read - run) ** 2)))


def _others(name: str) -> list[Misread]:
    """Other ways to read a channel."""
    unit = CHANNELS[name].unit
    units = [Misread(name, Fault.UNIT, Q(unit).bench(f"1 {own}"), own) for own in SLIPPED.get(unit, ())]
    return [Misread(name, Fault.MIRRORED, -1.0), *units]
