"""What a rig may really be: its numbers drawn within their errors, the same draw for every case.

A draw says by how much each number is off. That is put on what every case has there, so that cases differ by
what they change alone; what an error does to all of them alike drops out of their differences.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from functools import cached_property
from typing import TypeVar

import numpy as np
import numpy.typing as npt
from scipy.stats import qmc, truncnorm

from simcore.files.scenario import Scenario
from simcore.files.schema import follow, leaves, plain
from simcore.files.spread import Off, read_off, resolved, value_at
from simcore.files.steps import Steps
from simcore.readings.uncertain import COVERAGE
from simcore.readings.usual_errors import usual
from simcore.rig.masses import SIDES
from simcore.studies.key_names import key_name, path_of
from simcore.units import Q, factor, to_bench

Vector = npt.NDArray[np.float64]
Some = TypeVar("Some", float, Vector)
FURTHEST = 3.0  # standard deviations: readings that are off by more are noticed
SEED = 20
GRIPS = {axle: [f"{axle}.tyre.{kind}_grip" for kind in ("peak", "sliding")] for axle in SIDES}


@dataclass(frozen=True)
class Input:
    """A number that may be off.

    Attributes
    ----------
    place : of it in the scenario
    quantity : what it is
    name : what to call it
    off : how far it may be off
    stated : whether the file says so; else it is a usual error
    found_with : name shared by numbers behind which there is one error
    """

    place: Steps
    quantity: Q
    name: str
    off: Off
    stated: bool
    found_with: str


def inputs_of(scenario: Scenario, only_stated: bool = False) -> list[Input]:
    """Numbers of a scenario that may be off: those of its [spread], of its rig's, and those of usual errors.

    Parameters
    ----------
    scenario : whose base is gone through
    only_stated : leaves usual errors out
    """
    found: dict[Steps, Input] = {}
    for table, at, spread in ((scenario, (), scenario.spread), (scenario.rig, ("rig",), scenario.rig.spread)):
        for path, given in spread.items():
            own, quantity = resolved(table, path)
            place = (*at, *own)
            if place not in found:
                name, off = key_name(scenario, place), read_off(given, quantity)
                found[place] = Input(place, quantity, name, off, True, path_of(place))
    if not only_stated:
        for place, _ in leaves(scenario.raw_case):
            known, kind = usual(path_of(place)), plain(follow(Scenario, place))[1]
            if place not in found and known is not None and kind is not None:
                name, off = key_name(scenario, place), read_off(known[0], kind)
                found[place] = Input(place, kind, name, off, False, known[1])
    return [one for one in found.values() if value_at(scenario, one.place) is not None]


@dataclass(frozen=True)
class Draws:
    """Draws of what may be off.

    Attributes
    ----------
    cases : the scenario's cases by name, the base first
    inputs : numbers that may be off
    count : of draws
    seed : of the scramble
    own_points : in place of those of the sequence, (count, errors)
    centre : scenario whose values a guess is drawn about; None: the first case
    """

    cases: Mapping[str, Scenario]
    inputs: tuple[Input, ...]
    count: int
    seed: int = SEED
    own_points: Vector | None = None
    centre: Scenario | None = None

    def at(self, points: Vector) -> "Draws":
        """Draws of the same at other points, (draws, errors)."""
        return replace(self, count=len(points), own_points=points)

    def of(self, case: Scenario) -> "Draws":
        """The same draws of another case, guesses about the same values."""
        centre = self.centre or next(iter(self.cases.values()))
        return replace(self, cases={"": case}, own_points=self.points, centre=centre)

    @cached_property
    def points(self) -> Vector:
        """Points in the unit cube, (count, errors): a scrambled Sobol sequence, which fills it evenly.

        Source: A. B. Owen, Scrambled Sobol' and Niederreiter-Xing points, J. Complexity 14 (1998), by
        `scipy.stats.qmc.Sobol`. Even to the last bit only where the count is a power of two.
        """
        if self.own_points is not None:
            return self.own_points
        sequence = qmc.Sobol(max(len(self.errors), 1), scramble=True, rng=np.random.default_rng(self.seed))
        whole = 1 << max(self.count - 1, 0).bit_length()
        return np.asarray(sequence.random(whole)[: self.count])

    @cached_property
    def errors(self) -> list[str]:
        """Names of the errors, one for all numbers that are found together."""
        return list(dict.fromkeys(one.found_with for one in self.inputs))

    @cached_property
    def normal(self) -> Vector:
        """The points as errors over those that 19 of 20 keep within, (count, errors)."""
        return np.asarray(truncnorm.ppf(self.points, -FURTHEST, FURTHEST)) / COVERAGE

    @cached_property
    def _there(self) -> dict[str, list[tuple[str, Input, int, float, float]]]:
        """By case path, input, column of its error, value and value of the centre, SI, of all that it has."""
        base = self.centre or next(iter(self.cases.values()))
        columns = {name: j for j, name in enumerate(self.errors)}
        found: dict[str, list[tuple[str, Input, int, float, float]]] = {}
        for name, case in self.cases.items():
            both = [(one, value_at(case, one.place), value_at(base, one.place)) for one in self.inputs]
            found[name] = [
                (path_of(one.place), one, columns[one.found_with], value, own)
                for one, value, own in both
                if value is not None and own is not None
            ]
        return found

    @cached_property
    def at_ends(self) -> dict[str, int]:
        """By error, in how many draws a number of some case would lie beyond an end of its key, or a sliding
        grip above the peak.

        It stands at that end then.
        """
        beyond = {name: np.zeros(self.count, bool) for name in self.errors}
        for name, there in self._there.items():
            drawn: dict[str, tuple[str, Vector]] = {}
            for path, one, j, value, own in there:
                shift = _shift(one.off, self.normal[:, j], self.points[:, j], value, own)
                number, (low, high) = (value + shift) / factor(one.quantity.unit), _ends(one.quantity)
                beyond[one.found_with] |= (number < low) | (number > high)
                drawn[path] = one.found_with, np.clip(number, low, high)
            for peak, sliding, own_peak, _ in self._grips(name):
                if sliding in drawn:
                    error, number = drawn[sliding]
                    beyond[error] |= number > (drawn[peak][1] if peak in drawn else own_peak)
        return {name: int(draws.sum()) for name, draws in beyond.items()}

    def settings(self, k: int, case: str) -> dict[str, float]:
        """What draw k makes of a case: path to value, as it would stand in a file.

        A value stays within the ends that its key has in a file, and no tyre grips better sliding than at its
        peak; what a case lacks is not drawn.
        """
        normal, points = self.normal[k].tolist(), self.points[k].tolist()
        drawn = {
            path: _within(one.quantity, value + _shift(one.off, normal[j], points[j], value, own))
            for path, one, j, value, own in self._there[case]
        }
        for peak, sliding, own_peak, own_sliding in self._grips(case):
            most = drawn.get(peak, own_peak)
            if drawn.get(sliding, own_sliding) > most:
                drawn[sliding] = most
        return drawn

    def _grips(self, case: str) -> Iterator[tuple[str, str, float, float]]:
        """Paths of peak and sliding grip of each axle of a case, and their values."""
        for axle in SIDES:
            tyre = getattr(self.cases[case].rig, axle).tyre
            peak, sliding = GRIPS[axle]
            yield peak, sliding, tyre.peak_grip, tyre.sliding_grip

    def case(self, k: int, name: str) -> Scenario:
        """The scenario of a case as draw k has it; raises InputError where its values do not go together."""
        return self.cases[name].changed(self.settings(k, name))


def _shift(off: Off, normal: Some, point: Some, value: float, own: float) -> Some:
    """By how much a number is off, SI: the same on every case, but for a share of the value."""
    if off.ends is not None:
        low, high = off.ends
        return low + point * (high - low) - own
    return normal * (off.error if off.error is not None else (off.share or 0.0) * abs(value))


def _within(quantity: Q, value: float) -> float:
    """A value, SI, in the bench unit, kept within the ends of its key."""
    low, high = _ends(quantity)
    return min(max(to_bench(value, quantity.unit), low), high)


def _ends(quantity: Q) -> tuple[float, float]:
    """Lowest and highest value that a key allows, in its bench unit."""
    low = quantity.ge if quantity.gt is None else quantity.gt + 1e-6 * max(1.0, abs(quantity.gt))
    return -np.inf if low is None else low, np.inf if quantity.le is None else quantity.le


def draws_of(scenario: Scenario, count: int, seed: int = SEED, only_stated: bool = False) -> Draws:
    """Draw what may be off of a scenario; raises as `Scenario.cases`.

    Parameters
    ----------
    scenario : with its cases
    count : of draws
    seed : of the scramble
    only_stated : leaves usual errors out
    """
    return Draws(scenario.cases(), tuple(inputs_of(scenario, only_stated)), count, seed)
