"""A finished run as data: what was asked, how it ended, its series and metrics; with or without its trace."""

import dataclasses
import json
from collections.abc import Iterator, Mapping
from typing import Any, ClassVar, Self

import pandas as pd

from simcore.accounts.audit import Audit, BrokenBound
from simcore.files import Scenario
from simcore.results.atomic_write import Writer
from simcore.results.catalogue import in_words
from simcore.results.conditions import Conditions
from simcore.results.headlines.run import run_headline
from simcore.results.metrics import Summary
from simcore.results.motion import MOTION_COLUMNS
from simcore.results.plain import from_plain, to_plain
from simcore.results.result import Concern, Data, Doubt, Result
from simcore.results.series import COLUMNS
from simcore.results.spreadsheet import csv_writer
from simcore.solve.trace import Outcome, Trace

CASE, SUPPORTED = "case", "with_support"  # columns that tell runs of one saved table apart


@dataclasses.dataclass(frozen=True, repr=False, eq=False)
class Run(Result):
    """A finished run.

    Attributes
    ----------
    scenario : what was run
    outcome : how it ended
    faults : bounds of its audit that it breaks; none for a sound run
    summary : its metrics; names as in `simcore.results.catalogue`
    series : one row an output instant; columns as in `simcore.results.series.COLUMNS`
    motion : where everything is at the same instants; columns as in `simcore.results.motion.MOTION_COLUMNS`
    outline : shape of rig and ground, see `simcore.results.motion.outline`
    counterfactual : the same run with the squat support cancelled, if it was asked for
    trace, audit : raw states and forces and all residuals, SI; None for a run that was compared, or read from
        a folder

    Examples
    --------
    >>> import simcore
    >>> run = simcore.simulate(simcore.load_scenario("scenarios/slow_creep.toml"))
    >>> run.outcome
    <Outcome.TIME: 'ran full time'>
    """

    kind: ClassVar[str] = "run"
    files: ClassVar[tuple[str, ...]] = ("series.csv", "summary.json", "inputs.toml", "without_support.csv")

    scenario: Scenario
    outcome: Outcome
    faults: tuple[BrokenBound, ...]
    summary: Summary
    series: pd.DataFrame
    motion: pd.DataFrame
    outline: Mapping[str, Any]
    counterfactual: "Run | None" = None
    trace: Trace | None = None
    audit: Audit | None = None

    def without_trace(self) -> "Run":
        """The run without raw states and residuals, which take most of its memory."""
        other = None if self.counterfactual is None else self.counterfactual.without_trace()
        return dataclasses.replace(self, trace=None, audit=None, counterfactual=other)

    @property
    def headline(self) -> str:
        """What happened, in one sentence."""
        return run_headline(self.summary, Conditions.of(self.scenario))

    @property
    def concerns(self) -> list[Concern]:
        """What broke its audit, and that of its counterfactual."""
        return self.concerns_as(self.scenario.title)

    def concerns_as(self, name: str) -> list[Concern]:
        """The same, with a name for the case."""
        own = [Concern(Doubt.AUDIT_FAILED, name, "; ".join(self._broken))] if self._broken else []
        other = self.counterfactual
        return own + (other.concerns_as(f"{name}, without support") if other is not None else [])

    @property
    def _broken(self) -> list[str]:
        broken = [str(fault) for fault in self.faults]
        return broken or ([self.outcome.value] if self.outcome is Outcome.NOT_SOLVED else [])

    @property
    def tables(self) -> Mapping[str, pd.DataFrame]:
        """Metrics and series."""
        summary = pd.DataFrame({self.scenario.case: self.summary})
        return {"summary": summary, "series": self.series, "motion": self.motion}

    @property
    def glance(self) -> pd.DataFrame:
        """Metrics as the terminal says them."""
        words = {name: in_words(name, value) for name, value in self.summary.items()}
        return pd.DataFrame({self.scenario.case: words})

    @property
    def summaries(self) -> dict[str, Summary]:
        """The summary by the name of the case."""
        return {self.scenario.case: self.summary}

    def writers(self) -> dict[str, Writer]:
        """Series and metrics for a spreadsheet, and the scenario as one file."""
        summary = json.dumps(self.summary, indent=2, allow_nan=False) + "\n"
        found: dict[str, Writer] = {
            "series.csv": csv_writer(lambda: self.series, index=False),
            "summary.json": lambda path: path.write_text(summary),
            "inputs.toml": lambda path: path.write_text(self.scenario.to_toml(), encoding="utf-8"),
        }
        other = self.counterfactual
        if other is not None:
            found["without_support.csv"] = csv_writer(lambda: other.series, index=False)
        return found

    def data(self) -> Data:
        """Everything but scenario and series."""
        return packed({self.scenario.case: self})

    @property
    def frame(self) -> pd.DataFrame:
        """Series and motion."""
        return framed({self.scenario.case: self})

    @classmethod
    def restored(cls, scenario: Scenario, data: Data, frame: pd.DataFrame | None) -> Self:
        """The run that was saved."""
        (run,) = unpacked({scenario.case: scenario}, data, frame).values()
        return run  # type: ignore[return-value]


# --- several runs in one saved form ---


def _both(run: Run) -> list[tuple[bool, Run]]:
    other = run.counterfactual
    return [(True, run)] if other is None else [(True, run), (False, other)]


def _one(run: Run) -> Data:
    return {
        "outcome": run.outcome.name,
        "faults": to_plain(run.faults),
        "summary": run.summary,
        "outline": run.outline,
        "without_support": None if run.counterfactual is None else _one(run.counterfactual),
    }


def packed(runs: Mapping[str, Run]) -> Data:
    """Everything of some runs but their scenarios and series."""
    return {"runs": {name: _one(run) for name, run in runs.items()}}


def framed(runs: Mapping[str, Run]) -> pd.DataFrame:
    """Series and motion of some runs and their counterfactuals in one table."""
    return pd.concat(framed_each(runs), ignore_index=True)


def framed_each(runs: Mapping[str, Run]) -> Iterator[pd.DataFrame]:
    """Series and motion of each run, and of its counterfactual, as `framed` puts them together."""
    for name, run in runs.items():
        for supported, one in _both(run):
            marks = pd.DataFrame({CASE: name, SUPPORTED: supported}, index=one.series.index)
            yield pd.concat([marks, one.series, one.motion], axis=1)


def unpacked(scenarios: Mapping[str, Scenario], data: Data, frame: pd.DataFrame | None) -> dict[str, Run]:
    """Runs from what `packed` and `framed` gave."""
    if frame is None:
        raise ValueError("its series are missing (the file that ends in .parquet)")
    rows = dict(iter(frame.groupby(CASE, sort=False)))
    return {
        name: _restored(scenarios[name], one, rows.get(name, frame[:0])) for name, one in data["runs"].items()
    }


def _outline(data: Data) -> Data:
    if not {"chassis", "rear_axle", "front_axle", "ground"} <= set(data):
        raise ValueError("its outline is not one")
    return data


def _restored(scenario: Scenario, data: Data, rows: pd.DataFrame, supported: bool = True) -> Run:
    own = rows[rows[SUPPORTED] == supported].drop(columns=[CASE, SUPPORTED]).reset_index(drop=True)
    if list(own) != [*COLUMNS, *MOTION_COLUMNS] or own.empty:
        raise ValueError(f"its series are not those of {scenario.case}")
    other = data["without_support"]
    return Run(
        scenario,
        Outcome[data["outcome"]],
        from_plain(tuple[BrokenBound, ...], data["faults"]),
        summary=data["summary"],
        series=own.drop(columns=MOTION_COLUMNS),
        motion=own[MOTION_COLUMNS],
        outline=_outline(data["outline"]),
        counterfactual=None if other is None else _restored(scenario, other, rows, supported=False),
    )
