"""What a fit found: one record for each freed value and one for each channel."""

import dataclasses
from collections.abc import Mapping

from simcore.logs import CHANNELS, Channel
from simcore.results.headlines.fit import with_error
from simcore.studies.fitting.freed import Freed, said_unit
from simcore.studies.fitting.telling import Told

VALUES = {
    "unit": "unit of the value in all columns of its row",
    "start": "value before the fit: the scenario's own",
    "value": "value with which the run is nearest to the log; empty where the log does not tell it",
    "standard_error": "of that value, for independent noise; widened where what is left over hangs together",
    "standard_error_independent": "the same as if all that is left over were independent noise",
    "low": "least value that was allowed",
    "high": "greatest value that was allowed",
    "told": "what the log says of it, as a code",
}
"""Columns of values.csv, one row a freed value."""
LEFT = {
    "unit": "unit of the channel in all columns of its row but the last three",
    "readings_count": "readings that were compared",
    "rms": "root mean square of log less run, at the fitted values",
    "rms_before": "the same at the scenario's own values; empty if there is no run with them",
    "noise": "standard deviation of one reading: weight of the channel in the fit",
    "noise_from": "where it comes from, as a code: STATED, RESIDUALS of this fit, or SCATTER of the readings",
    "neighbours_ratio": "correlation of neighbouring residuals: 0 for independent noise",
    "runs_ratio": "runs of one sign, less those of noise, in standard deviations of their number",
    "widening_ratio": "by how much standard errors are widened for it",
}
"""Columns of channels.csv, one row a channel."""


@dataclasses.dataclass(frozen=True)
class Estimate:
    """One freed value, in its bench unit.

    Attributes
    ----------
    freed : what it is
    value, error : best value and its standard error; None where it is not told
    independent : standard error for independent noise
    told : what the log says of it
    with_others : name of each value that moves with it where the log does not tell them apart, to by how much
    rival : another value that explains the log as well
    """

    freed: Freed
    value: float | None
    error: float | None
    independent: float | None
    told: Told
    with_others: Mapping[str, float] = dataclasses.field(default_factory=dict)
    rival: tuple[float, float] | None = None

    @property
    def said(self) -> str:
        """Value and error in words; empty where it is not told."""
        if self.value is None or self.error is None:
            return ""
        scale = self.freed.said_factor
        return with_error(self.value * scale, self.error * scale, self.freed.label.unit)

    def row(self) -> dict[str, object]:
        """Row of the table of values."""
        one = self.freed
        values = [one.unit, one.start, self.value, self.error, self.independent, one.low, one.high]
        return dict(zip(VALUES, [*values, self.told.name], strict=True))


@dataclasses.dataclass(frozen=True)
class Left:
    """What a fit leaves over of one channel, in its bench unit; attributes as in LEFT."""

    channel: str
    readings: int
    rms: float
    before: float | None
    noise: float
    noise_from: str
    neighbours: float
    runs: float
    widening: float
    together: bool

    @property
    def of(self) -> Channel:
        """The channel."""
        return CHANNELS[self.channel]

    @property
    def explained(self) -> bool:
        """Whether what is left over is noise, as far as one can see."""
        return not self.together and self.rms < TOO_MUCH * self.noise

    def row(self) -> dict[str, object]:
        """Row of the table of channels."""
        values = (self.readings, self.rms, self.before, self.noise, self.noise_from)
        tests = (self.neighbours, self.runs, self.widening)
        return dict(zip(LEFT, [self.of.unit, *values, *tests], strict=True))


TOO_MUCH = 1.5  # of the noise, from which what is left over is more than that


def trade(estimate: Estimate, named: Mapping[str, Freed]) -> str:
    """How values move together that are not told apart: "raising a by 1 mm and lowering b by 2 g"."""
    words = [
        f"{'raising' if by > 0.0 else 'lowering'} {named[name].label.name} by "
        f"{said_unit(named[name], abs(float(f'{by:.2g}')))}"
        for name, by in estimate.with_others.items()
    ]
    return " and ".join(words)
