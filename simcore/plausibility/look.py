"""Looks at a rig: every reading of its file, and where it can stand of the rig on the bench."""

from collections.abc import Iterator, Mapping, Set
from dataclasses import dataclass
from functools import cached_property
from typing import Any

from simcore.errors import InputError
from simcore.files.rig import Rig
from simcore.files.scenario import Scenario
from simcore.files.schema import written
from simcore.files.steps import Steps
from simcore.plausibility.bench import Bench, on_bench
from simcore.plausibility.codes import Code
from simcore.plausibility.masses import mass_readings
from simcore.plausibility.pieces import piece_readings
from simcore.plausibility.places import place_readings
from simcore.plausibility.reading import Reading
from simcore.plausibility.ride import ride_readings
from simcore.plausibility.slips import with_values
from simcore.plausibility.weighed import weighed_readings

Place = tuple[Code, Steps]


def of_file(rig: Rig) -> Iterator[Reading]:
    """Readings of the file alone."""
    yield from piece_readings(rig)
    yield from place_readings(rig)
    yield from mass_readings(rig)


@dataclass(frozen=True)
class Looked:
    """A rig that was looked at.

    Attributes
    ----------
    scenario : with that rig
    bench : None where it cannot stand there
    readings : by what and where they are
    in_file : which of them are of the file alone
    """

    scenario: Scenario
    bench: Bench | None
    readings: Mapping[Place, Reading]
    in_file: Set[Place]

    @cached_property
    def raw(self) -> dict[str, Any]:
        """The rig as it would stand in a file."""
        return dict(written(self.scenario.rig, Rig))

    @cached_property
    def out(self) -> list[Reading]:
        """Those out of their usual range."""
        return [one for one in self.readings.values() if not one.usual]

    def mends(self, reading: Reading) -> bool:
        """Whether a reading that was out of range is there and usual."""
        mine = self.readings.get((reading.code, reading.key))
        return mine is not None and mine.usual

    def changed(self, values: Mapping[Steps, float]) -> "Looked | None":
        """The same with other numbers in the rig, in bench units; None where no file may say so."""
        rig = with_values(self.raw, values)
        return None if rig is None else look(self.scenario.model_copy(update={"rig": rig}))

    def mended_in_file(self, reading: Reading, values: Mapping[Steps, float]) -> bool:
        """Whether a reading of the file alone is usual with other numbers; True of one of the bench."""
        rig = with_values(self.raw, values)
        if rig is None:
            return False
        found = {(one.code, one.key): one for one in of_file(rig)}
        mine = found.get((reading.code, reading.key))
        return mine.usual if mine is not None else (reading.code, reading.key) not in self.in_file


def look(scenario: Scenario) -> Looked:
    """Take every reading of a scenario's rig."""
    rig, bench = scenario.rig, None
    found = list(of_file(rig))
    in_file = {(one.code, one.key) for one in found}
    try:
        bench = on_bench(scenario)
        found += [*ride_readings(bench), *weighed_readings(bench)]
    except (InputError, ArithmeticError, ValueError):
        bench = None  # said where the rig is built; or numbers so far off that nothing can be worked out
    return Looked(scenario, bench, {(one.code, one.key): one for one in found}, in_file)
