"""One run from scenario to result: integrate, audit, tabulate, summarise."""

import dataclasses
import json
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
import pandas as pd

from simcore.accounts.audit import Audit, audit
from simcore.files.scenario import Scenario
from simcore.integrate import Progress, integrate
from simcore.outbox import Writer, write_all
from simcore.series import series
from simcore.summary import Summary, summarise
from simcore.trace import Outcome, Trace

if TYPE_CHECKING:
    from matplotlib.figure import Figure


FILES = ("series.csv", "summary.json", "inputs.toml", "pitch_and_travel.png")


@dataclasses.dataclass(frozen=True)
class Run:
    """A finished run.

    Attributes
    ----------
    scenario : what was run
    trace : raw states and forces, SI
    audit : momentum, energy and link residuals

    Examples
    --------
    >>> import simcore
    >>> run = simcore.simulate(simcore.load_scenario("scenarios/slow_creep.toml"))
    >>> run.summary["ended"]
    'the time asked for was over'
    """

    scenario: Scenario
    trace: Trace
    audit: Audit

    @property
    def outcome(self) -> Outcome:
        """How it ended."""
        return self.trace.outcome

    @property
    def sound(self) -> bool:
        """Whether the run was integrated to its end and kept every bound of its audit."""
        return not self.audit.faults and self.outcome is not Outcome.NOT_SOLVED

    @cached_property
    def series(self) -> pd.DataFrame:
        """One row an output instant; columns as in `simcore.series.GLOSSARY`."""
        kept = self.trace.output
        return series(self.trace.rows(kept), self.audit.rows(kept))

    @cached_property
    def summary(self) -> Summary:
        """Numbers of the run, whatever the output rate; keys as in `simcore.summary.MEANING`."""
        kept = self.trace.watched
        trace, residuals = self.trace.rows(kept), self.audit.rows(kept)
        same = np.array_equal(kept, self.trace.output)
        return summarise(trace, residuals, self.series if same else series(trace, residuals))

    def figure(self) -> "Figure":
        """Pitch and shock travel over time."""
        from simcore.pictures.findings import Caption
        from simcore.pictures.timelines import pitch_and_travel

        return pitch_and_travel(self.series, self.summary, Caption.of(self.scenario))

    def save(self, folder: str | Path) -> list[Path]:
        """Write series.csv, summary.json, inputs.toml and pitch_and_travel.png, all or none."""
        writers: tuple[Writer, ...] = (
            lambda path: self.series.to_csv(path, index=False, float_format="%.9g"),
            lambda path: path.write_text(json.dumps(self.summary, indent=2) + "\n"),
            lambda path: path.write_text(self.scenario.to_toml(), encoding="utf-8"),
            lambda path: self.figure().savefig(path),
        )
        return write_all(Path(folder), dict(zip(FILES, writers, strict=True)))


def simulate(scenario: Scenario, progress: Progress | None = None) -> Run:
    """Run a scenario.

    Parameters
    ----------
    scenario : from `load_scenario`, or a variant of one
    progress : called with (time reached, duration) while the motion is integrated

    Raises
    ------
    BadInput
        when the rig cannot be built, or cannot stand where it starts.
    """
    trace = integrate(scenario, progress=progress)
    return Run(scenario, trace, audit(trace))
