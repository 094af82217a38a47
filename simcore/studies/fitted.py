"""Values of a scenario as a log tells them: a result like any other."""

import dataclasses
import math
from collections.abc import Mapping
from functools import cached_property
from pathlib import PurePath
from typing import Any, ClassVar, Self

import pandas as pd

from simcore.files.scenario import Scenario
from simcore.logs import CHANNELS, TIME
from simcore.results.atomic_write import Writer
from simcore.results.conditions import Conditions
from simcore.results.formatting import three_digits
from simcore.results.headlines.fit import fit_headline
from simcore.results.plain import from_plain, to_plain
from simcore.results.result import Concern, Data, Doubt, Result
from simcore.studies.fitting.estimate import LEFT, TOO_MUCH, VALUES, Estimate, Left, trade
from simcore.studies.fitting.freed import Sort, said_unit
from simcore.studies.fitting.misread import Fault, Misread
from simcore.studies.fitting.telling import Told

MEASURED, PREDICTED = "measured_", "predicted_"


@dataclasses.dataclass(frozen=True, repr=False, eq=False)
class Fit(Result):
    """A log beside a run, and values of the scenario that were fitted to it.

    Standard errors hold for noise of one size a channel, independent from reading to reading; where what is
    left over hangs together they are widened as for a first-order process, where it is far more than noise by
    as much as it is more, and a concern says so.

    Attributes
    ----------
    scenario : the case, with its own values
    log : file of the log, as it was named
    estimates : each freed value, in the order asked
    correlations : between them, NaN where one is not told
    left : what is left over of each channel
    misread : channels that another reading would suit far better
    rows : rows of the log that count, and all
    left_out : columns of the log that are no channel
    unfinished : how the run at the fitted values ended before the log does; empty if it did not
    faults : what broke the audit of that run
    table : time_s, then measured and predicted values of each channel; one row a row of the log that counts
    columns : header of the log to channel, as it was asked
    noise : channel to noise of one reading, as it was stated
    """

    kind: ClassVar[str] = "fit"
    files: ClassVar[tuple[str, ...]] = (
        *("log_over_run.csv", "values.csv", "channels.csv", "correlations.csv", "fitted.toml"),
    )

    scenario: Scenario
    log: str
    estimates: tuple[Estimate, ...]
    correlations: tuple[tuple[float, ...], ...]
    left: tuple[Left, ...]
    misread: tuple[Misread, ...]
    rows: tuple[int, int]
    left_out: tuple[str, ...]
    unfinished: str
    faults: tuple[str, ...]
    table: pd.DataFrame
    columns: Mapping[str, str] = dataclasses.field(default_factory=dict)
    noise: Mapping[str, float] = dataclasses.field(default_factory=dict)

    @property
    def headline(self) -> str:
        """The values with their errors, or what the log cannot tell, and how far run and log differ."""
        known = [one for one in self.estimates if one.said]
        numbers = [one for one in known if one.freed.sort is Sort.SCENARIO] or known
        told = [(one.freed.label.name, one.said) for one in numbers]
        differ = [(one.of.label, f"{three_digits(one.rms)} {one.of.unit}") for one in self.left]
        return fit_headline(told, self._untold(), differ, self.explained, bool(self.estimates))

    @property
    def explained(self) -> bool:
        """Whether the run explains the log to within noise."""
        return not (self.misread or self.unfinished) and all(one.explained for one in self.left)

    @property
    def asked(self) -> str:
        """What was asked, of which rig and log."""
        whole = "" if self.rows[0] == self.rows[1] else f" of {self.rows[1]}"
        times = self.table[TIME]
        span = f"{self.rows[0]}{whole} rows from {times.iloc[0]:.3g} to {times.iloc[-1]:.3g} s"
        return Conditions.of(self.scenario).asking(
            f"{self.scenario.title}  Log: {PurePath(self.log).name}, {span}."
        )

    @property
    def concerns(self) -> list[Concern]:
        """A broken audit, channels that were misread, values that are not told, what is not explained."""
        case = self.scenario.case
        found = [Concern(Doubt.AUDIT_FAILED, case, "; ".join(self.faults))] if self.faults else []
        found += [Concern(Doubt.NOT_EXPLAINED, one.channel, _misread(one)) for one in self.misread]
        if self.unfinished:
            text = f"the run ends before the log does: {self.unfinished}"
            found.append(Concern(Doubt.NOT_EXPLAINED, case, text))
        found += [Concern(Doubt.NOT_KNOWN, case, text) for text in self._untold()]
        misread = {one.channel for one in self.misread}
        for one in self.left:
            if not one.explained and one.channel not in misread:
                found.append(Concern(Doubt.NOT_EXPLAINED, one.channel, _left_over(one, bool(self.estimates))))
        return found

    def _untold(self) -> list[str]:
        """A clause for each thing that the log does not tell, each only once."""
        named = {one.freed.name: one.freed for one in self.estimates}
        found = dict[str, None]()
        for one in self.estimates:
            name = one.freed.label.name
            if one.told is Told.NOT_APART:
                together = {one.freed.name, *one.with_others}
                names = [each.label.name for key, each in named.items() if key in together]
                if any(all(each in text for each in names) for text in found):
                    continue
                text = (
                    f"the log cannot tell {' from '.join(names)}: {trade(one, named)} leaves the log the same"
                )
            elif one.told is Told.NO_TRACE:
                text = f"{name} leaves no trace in the log: what it changes is lost in the noise"
            elif one.told is Told.TOO_LITTLE:
                text = f"the log says too little of {name}: its noise hides a change of half of it"
            elif one.told is Told.AT_EDGE:
                text = f"{name} is best at the end of its range ({_range(one)}): it may be beyond"
            elif one.told is Told.TWO_ANSWERS and one.rival is not None:
                text = " or ".join(said_unit(one.freed, value) for value in one.rival)
                text = f"two answers explain the log alike: {name} {text}"
            elif one.told is not Told.TOLD:
                text = f"{name} is not known: {one.told.value}"
            else:
                continue
            found[text] = None
        return list(found)

    @cached_property
    def values(self) -> pd.DataFrame:
        """One row a freed value, columns as in VALUES."""
        return _table(
            [one.row() for one in self.estimates], [one.freed.name for one in self.estimates], VALUES
        )

    @cached_property
    def channels(self) -> pd.DataFrame:
        """One row a channel, columns as in LEFT."""
        return _table([one.row() for one in self.left], [one.channel for one in self.left], LEFT)

    @property
    def correlation_table(self) -> pd.DataFrame:
        """Correlations of the values with one another."""
        names = [one.freed.name for one in self.estimates]
        return pd.DataFrame([list(row) for row in self.correlations], names, names, float)

    @property
    def tables(self) -> Mapping[str, pd.DataFrame]:
        """Values with their errors, correlations, what is left over; without freed values the last alone."""
        found = {"channels": self.channels, "log": self.table}
        if self.estimates:
            found = {"values": self.values, "correlations": self.correlation_table} | found
        return found

    @property
    def known(self) -> bool:
        """Whether every freed number of the scenario is told."""
        numbers = [one for one in self.estimates if one.freed.sort is Sort.SCENARIO]
        return bool(numbers) and all(one.told is Told.TOLD for one in numbers)

    @property
    def fitted(self) -> Scenario | None:
        """The scenario with the fitted values; None unless all are told."""
        if not self.known:
            return None
        settings: dict[str, float] = {}
        for one in self.estimates:
            if one.freed.sort is Sort.SCENARIO and one.value is not None:
                settings |= one.freed.settings(one.value)
        return self.scenario.changed(settings)

    def writers(self) -> dict[str, Writer]:
        """Tables for a spreadsheet, and the scenario with the fitted values where all are told."""
        found: dict[str, Writer] = {
            "log_over_run.csv": lambda path: self.table.to_csv(path, index=False, float_format="%.9g"),
            "channels.csv": lambda path: self.channels.to_csv(path, float_format="%.9g"),
        }
        if self.estimates:
            found["values.csv"] = lambda path: self.values.to_csv(path, float_format="%.9g")
            found["correlations.csv"] = lambda path: self.correlation_table.to_csv(path, float_format="%.6g")
        fitted = self.fitted
        if fitted is not None:
            found["fitted.toml"] = lambda path: path.write_text(fitted.to_toml(), encoding="utf-8")
        return found

    def data(self) -> Data:
        """Everything but scenario and table."""
        kept = (field.name for field in dataclasses.fields(self) if field.name not in ("scenario", "table"))
        return {name: to_plain(getattr(self, name)) for name in kept}

    @property
    def frame(self) -> pd.DataFrame:
        """Measured and predicted values."""
        return self.table

    @classmethod
    def restored(cls, scenario: Scenario, data: Data, frame: pd.DataFrame | None) -> Self:
        """The fit that was saved."""
        left = from_plain(tuple[Left, ...], data["left"])
        names = [f"{side}{one.channel}" for one in left for side in (MEASURED, PREDICTED)]
        if frame is None or list(frame) != [TIME, *names] or any(one.channel not in CHANNELS for one in left):
            raise ValueError("its log is missing or another one")
        return cls(
            scenario,
            str(data["log"]),
            from_plain(tuple[Estimate, ...], data["estimates"]),
            from_plain(tuple[tuple[float, ...], ...], data["correlations"]),
            left,
            from_plain(tuple[Misread, ...], data["misread"]),
            from_plain(tuple[int, int], data["rows"]),
            from_plain(tuple[str, ...], data["left_out"]),
            str(data["unfinished"]),
            from_plain(tuple[str, ...], data["faults"]),
            frame,
            from_plain(dict[str, str], data.get("columns", {})),  # which older ones did not keep
            from_plain(dict[str, float], data.get("noise", {})),
        )


def _table(rows: list[dict[str, Any]], index: list[str], columns: Mapping[str, str]) -> pd.DataFrame:
    table = pd.DataFrame(rows, index, columns=list(columns))
    numbers = [key for key in columns if key not in ("unit", "told", "noise_from")]
    return table.astype(dict.fromkeys(numbers, float))


def _range(one: Estimate) -> str:
    ends = [f"from {said_unit(one.freed, one.freed.low)}"] if math.isfinite(one.freed.low) else []
    ends += [f"to {said_unit(one.freed, one.freed.high)}"] if math.isfinite(one.freed.high) else []
    return " ".join(ends)


def _misread(one: Misread) -> str:
    """What seems to be wrong with a channel, and what to change."""
    bare = CHANNELS[one.channel].bare
    if one.fault is Fault.MIRRORED:
        return (
            f"the log fits far better with the sign of this channel turned round; if it counts the other "
            f'way, read it as --column "its header=-{one.channel}"'
        )
    if one.fault is Fault.UNIT:
        return (
            f"the log fits far better read in {one.unit}; if it is in that unit, read it as "
            f'--column "its header [{one.unit}]={one.channel}"'
        )
    side = "above" if one.shift > 0.0 else "below"
    size = f"{three_digits(abs(one.shift))} {CHANNELS[one.channel].unit}"
    return (
        f"the log lies {size} {side} the run all along; if it counts from another zero: --free offset:{bare}"
    )


def _left_over(one: Left, freed: bool) -> str:
    """What speaks against what is left over being noise."""
    said = f"run and log differ by {three_digits(one.rms)} {one.of.unit}"
    parts = []
    if one.rms >= TOO_MUCH * one.noise:
        parts.append(f"{one.rms / one.noise:.1f} times the noise")
    if one.together:
        parts.append(f"neighbouring readings alike (correlation {one.neighbours:.2f})")
    wide = (
        f"; errors of values are widened {one.widening:.1f} times for it"
        if freed and one.widening > 1.0
        else ""
    )
    why = "the run does not explain all of the log, or its noise is not independent"
    return f"{said}, {' and '.join(parts)}: {why}{wide}"
