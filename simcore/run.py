"""One run from scenario to result: integrate, audit, tabulate, summarise."""

import dataclasses
import json
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
import numpy.typing as npt
import pandas as pd

from simcore.accounts.audit import Audit, audit
from simcore.faults import BadInput
from simcore.files.scenario import Scenario
from simcore.integrate import Progress, integrate
from simcore.outbox import Writer
from simcore.pictures.prints import AS_USUAL, Draw, Prints, save_result
from simcore.results.effect import support_effect
from simcore.results.finished import Finished
from simcore.results.metrics import Summary, summarise
from simcore.results.series import series
from simcore.rig.model import Model, build
from simcore.trace import Outcome, Trace

if TYPE_CHECKING:
    from matplotlib.figure import Figure


TABLES = ("series.csv", "summary.json", "inputs.toml")
PICTURES = ("pitch_and_travel", "load_account", "shock_loops")
TWIN_TABLE, TWIN_PICTURE = "without_support.csv", "with_and_without"


@dataclasses.dataclass(frozen=True)
class Run:
    """A finished run.

    Attributes
    ----------
    scenario : what was run
    trace : raw states and forces, SI
    audit : momentum, energy and link residuals
    twin : the same run with the squat support cancelled, if it was asked for

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
    twin: "Run | None" = None

    @property
    def outcome(self) -> Outcome:
        """How it ended."""
        return self.trace.outcome

    @property
    def sound(self) -> bool:
        """Whether the run was integrated to its end and kept every bound of its audit."""
        own = not self.audit.faults and self.outcome is not Outcome.NOT_SOLVED
        return own and (self.twin is None or self.twin.sound)

    @cached_property
    def series(self) -> pd.DataFrame:
        """One row an output instant; columns as in `simcore.results.series.COLUMNS`."""
        return self._table(self.trace.output)

    @cached_property
    def watched(self) -> pd.DataFrame:
        """The same on the fixed raster from which figures are taken, whatever the output rate."""
        same = np.array_equal(self.trace.watched, self.trace.output)
        return self.series if same else self._table(self.trace.watched)

    def _table(self, kept: npt.NDArray[np.bool_]) -> pd.DataFrame:
        return series(self.trace.rows(kept), self.audit.rows(kept), self.scenario.visible)

    @cached_property
    def summary(self) -> Summary:
        """Numbers of the run; names as in `simcore.results.catalogue`."""
        kept = self.trace.watched
        numbers = summarise(Finished(self.trace.rows(kept), self.audit.rows(kept), self.watched))
        if self.twin is not None:
            numbers |= support_effect(self.watched, self.twin.watched, self.scenario.visible)
        return numbers

    @property
    def summaries(self) -> dict[str, Summary]:
        """The summary by the name of the case, as studies of several cases give theirs."""
        return {self.scenario.case: self.summary}

    def figure(self) -> "Figure":
        """Pitch and shock travel over time."""
        from simcore.pictures.findings import Caption
        from simcore.pictures.timelines import pitch_and_travel

        return pitch_and_travel(self.series, self.summary, Caption.of(self.scenario))

    def loads(self) -> "Figure":
        """Who carries the change of load, rear and front, and what the front load is made of."""
        from simcore.pictures.findings import Caption, load_finding
        from simcore.pictures.loads import load_account

        return load_account(self.series, load_finding(self.summary), Caption.of(self.scenario).text)

    def effect(self) -> "Figure":
        """Pitch and travel with and without squat support.

        Raises
        ------
        ValueError
            when the run has no twin.
        """
        from simcore.pictures.findings import Caption, effect_finding
        from simcore.pictures.timelines import overlay

        if self.twin is None:
            raise ValueError("a run without a twin: simulate(scenario, without_support=True) makes one")
        caption = Caption.of(self.scenario)
        cases = {
            "with squat support": (self.series, self.summary),
            "without": (self.twin.series, self.twin.summary),
        }
        return overlay(cases, effect_finding(self.summary, caption), caption.text)

    def loops(self) -> "Figure":
        """Force of the shocks over their travel, in which friction and stops show as loops."""
        from simcore.pictures.findings import Caption
        from simcore.pictures.loops import loops_finding, shock_loops

        cases = {self.scenario.case: self.series}
        return shock_loops(cases, loops_finding(cases), Caption.of(self.scenario).text)

    def pictures(self) -> dict[str, Draw]:
        """What draws each picture, by its name."""
        own: dict[str, Draw] = dict(zip(PICTURES, (self.figure, self.loads, self.loops), strict=True))
        return own | ({} if self.twin is None else {TWIN_PICTURE: self.effect})

    def save(self, folder: str | Path, prints: Prints = AS_USUAL) -> list[Path]:
        """Write the tables and pictures named in TABLES and PICTURES, and those of a twin; all or none."""
        summary = json.dumps(self.summary, indent=2, allow_nan=False) + "\n"
        writers: tuple[Writer, ...] = (
            lambda path: self.series.to_csv(path, index=False, float_format="%.9g"),
            lambda path: path.write_text(summary),
            lambda path: path.write_text(self.scenario.to_toml(), encoding="utf-8"),
        )
        tables, twin = dict(zip(TABLES, writers, strict=True)), self.twin
        if twin is not None:
            tables[TWIN_TABLE] = lambda path: twin.series.to_csv(path, index=False, float_format="%.9g")
        return save_result(folder, tables, self.pictures(), prints)


def simulate(
    scenario: Scenario, progress: Progress | None = None, without_support: bool | None = None
) -> Run:
    """Run a scenario.

    Parameters
    ----------
    scenario : from `load_scenario`, or a variant of one
    progress : called with (time reached, duration) while the motion is integrated
    without_support : run it once more with the squat support cancelled, as the run's `twin`; None: as the
        scenario says

    Raises
    ------
    BadInput
        when the rig cannot be built, or cannot stand where it starts (with or without its support).
    """
    model = build(scenario)
    trace = integrate(scenario, model, progress=progress)
    twice = scenario.without_support if without_support is None else without_support
    twin = _twin(scenario, model, progress) if twice else None
    return Run(scenario, trace, audit(trace), twin)


def _twin(scenario: Scenario, model: Model, progress: Progress | None) -> Run:
    """The same run with the support cancelled; a rig that cannot stand without it is told apart."""
    try:
        trace = integrate(scenario, model.without_support(), progress=progress)
    except BadInput as error:
        told = [
            dataclasses.replace(fault, got=f"without squat support {fault.got}") for fault in error.faults
        ]
        raise BadInput(told) from None
    return Run(scenario, trace, audit(trace))
