"""A rig worked out from a worksheet, as a result: every value with its error, and what contradicts itself."""

import dataclasses
from collections.abc import Mapping
from functools import cached_property
from pathlib import Path
from typing import ClassVar, Self

import pandas as pd

from simcore.errors import InputError
from simcore.files import Scenario
from simcore.files.schema import written
from simcore.files.worksheet import Worksheet, load_worksheet, worksheet_of
from simcore.readings.derive import Derived, derive
from simcore.readings.ride_height import sag_disagreements
from simcore.readings.rig_file import rig_text
from simcore.readings.uncertain import mostly_of
from simcore.results.atomic_write import Writer
from simcore.results.headlines.measured import measured_headline
from simcore.results.result import Concern, Data, Doubt, Result
from simcore.standing.at_rest import standing_scenario

SHEET = {
    "value": "value of the rig file's key",
    "error": "what 19 of 20 such values keep within; of a guess half of its range",
    "unit": "unit of both",
    "origin": "where it comes from, as a code",
    "how": "how it came about, in words of the worksheet",
    "mostly_from": "reading or guess that most of the error comes from; empty for what is exact",
    "share_pct": "its share of the error squared",
}
"""Columns of the sheet, one row a value."""


@dataclasses.dataclass(frozen=True, repr=False, eq=False)
class Measurement(Result):
    """A rig from a worksheet.

    Attributes
    ----------
    scenario : the rig standing on the level
    derived : every value with its error
    """

    kind: ClassVar[str] = "measurement"
    files: ClassVar[tuple[str, ...]] = ("sheet.csv", "rig.toml")

    scenario: Scenario
    derived: Derived

    @property
    def worksheet(self) -> Worksheet:
        """What was read."""
        return self.derived.worksheet

    @cached_property
    def sheet(self) -> pd.DataFrame:
        """One row a value of the rig file; columns as in `SHEET`."""
        rows = {}
        for key, entry in self.derived.entries.items():
            first, share = mostly_of(entry.number)
            value = entry.value, entry.error, entry.unit, entry.origin.name, entry.formula
            rows[key] = (*value, first, 100.0 * share)
        return pd.DataFrame.from_dict(rows, orient="index", columns=list(SHEET))

    @property
    def asked(self) -> str:
        """Which rig, from which worksheet."""
        return f"What is known of the rig?  Rig: {self.worksheet.name}; from {self.worksheet.path.name}"

    @property
    def headline(self) -> str:
        """Weight and centre, and how much of the rig is guessed."""
        return measured_headline(self.derived)

    @cached_property
    def concerns(self) -> list[Concern]:
        """Readings that contradict themselves or one another."""
        found = [*self.derived.disagreements, *sag_disagreements(self.derived, self.scenario)]
        return [Concern(Doubt.DISAGREE, one.what, one.text) for one in found]

    @property
    def tables(self) -> Mapping[str, pd.DataFrame]:
        """The sheet."""
        return {"sheet": self.sheet}

    def writers(self) -> dict[str, Writer]:
        """The sheet, and the rig file."""
        text = rig_text(self.derived)
        return {
            "sheet.csv": lambda path: self.sheet.to_csv(path, index_label="key"),
            "rig.toml": lambda path: path.write_text(text, encoding="utf-8"),
        }

    def data(self) -> Data:
        """The worksheet as it was read."""
        return {"worksheet": written(self.worksheet, Worksheet), "path": str(self.worksheet.path)}

    @classmethod
    def restored(cls, scenario: Scenario, data: Data, frame: pd.DataFrame | None) -> Self:
        """The measurement that was saved."""
        return cls(scenario, derive(worksheet_of(data["worksheet"], Path(data["path"]))))


def measure(worksheet: Worksheet | str | Path) -> Measurement:
    """Work out a rig from a worksheet.

    Parameters
    ----------
    worksheet : it, or its file

    Raises
    ------
    InputError
        When the worksheet is faulty, or its readings make no rig.
    """
    sheet = worksheet if isinstance(worksheet, Worksheet) else load_worksheet(worksheet)
    derived = derive(sheet)
    rig = derived.rig()
    try:
        return Measurement(standing_scenario(rig).from_file(sheet.path), derived)
    except InputError as error:  # names the rig
        raise InputError(
            [dataclasses.replace(issue, file=str(sheet.path)) for issue in error.issues]
        ) from None
