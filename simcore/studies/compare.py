"""One change at a time: a scenario and all its variants, side by side."""

import dataclasses
import warnings
from collections.abc import Iterable, Mapping
from typing import ClassVar, Self

import pandas as pd

from simcore.errors import InputError, InputIssue
from simcore.files.reading import with_axes
from simcore.files.scenario import Scenario
from simcore.results.atomic_write import Writer
from simcore.results.catalogue import NUMBERS
from simcore.results.conditions import Conditions
from simcore.results.headlines.cases import comparison_headline
from simcore.results.job_metrics import no_start
from simcore.results.metrics import Summary
from simcore.results.plain import from_plain, to_plain
from simcore.results.result import Concern, Data, Result
from simcore.results.run import Run, framed, framed_each, packed, unpacked
from simcore.results.spreadsheet import csv_writer
from simcore.results.store import WHY, Row, program
from simcore.solve.piece import Progress
from simcore.solve.refusal import CannotStand, NoStand
from simcore.studies.claims import warn_of_conclusion
from simcore.studies.execute import run_here
from simcore.studies.simulate import simulate

MANY = 12  # variants, from which on it pays to start more processes
OUTCOME = "outcome"  # key of what came of a case, beside those of a row without metrics
AT_OWN_VALUES = "[vary] is left out: cases are compared at the file's own values; sweep runs them along it"


@dataclasses.dataclass(frozen=True)
class Refused:
    """A case that cannot stand where it starts.

    Attributes
    ----------
    why : what it does instead
    text : the same in words, and what it would need
    """

    why: NoStand
    text: str


@dataclasses.dataclass(frozen=True, repr=False, eq=False)
class Comparison(Result):
    """Runs of one scenario: the base first, then each variant.

    Attributes
    ----------
    scenario : the scenario with its variants
    runs : name to run, in the order of the file
    refused : name of a variant that cannot stand where it starts, and why
    """

    kind: ClassVar[str] = "comparison"
    files: ClassVar[tuple[str, ...]] = ("table.csv", "comparison.toml")

    scenario: Scenario
    runs: Mapping[str, Run]
    refused: Mapping[str, Refused] = dataclasses.field(default_factory=dict)

    @property
    def headline(self) -> str:
        """Which cases did their job, and how they differ, in one sentence."""
        return comparison_headline(self.jobs, self.scenario.cases(), Conditions.of(self.scenario))

    @property
    def jobs(self) -> dict[str, Summary]:
        """Name to summary of every run, and to what is to be said of a case that cannot stand."""
        known = self.summaries | {name: no_start(one.why) for name, one in self.refused.items()}
        return {name: known[name] for name in (self.scenario.case, *self.scenario.variants)}

    @property
    def concerns(self) -> list[Concern]:
        """What broke its audit."""
        return [concern for name, run in self.runs.items() for concern in run.concerns_as(name)]

    @property
    def summaries(self) -> dict[str, Summary]:
        """Name to summary of every run."""
        return {name: run.summary for name, run in self.runs.items()}

    @property
    def table(self) -> pd.DataFrame:
        """One row a run: every metric, and its difference to the base in columns ending in ``_change``."""
        rows = pd.DataFrame(self.jobs).T
        rows.index.name = "case"
        numbers = [key for key in rows.columns if key in NUMBERS]
        rows = rows.astype(dict.fromkeys(numbers, float))
        changes = (rows[numbers] - rows[numbers].iloc[0]).add_suffix("_change")
        return pd.concat([rows, changes], axis=1)

    @property
    def tables(self) -> Mapping[str, pd.DataFrame]:
        """Metrics of all cases."""
        return {"table": self.table}

    def writers(self) -> dict[str, Writer]:
        """The table for a spreadsheet, and the scenario as one file."""
        return {
            "table.csv": csv_writer(lambda: self.table),
            "comparison.toml": lambda path: path.write_text(self.scenario.to_toml(), encoding="utf-8"),
        }

    def data(self) -> Data:
        """Everything but scenario and series."""
        return packed(self.runs) | {"refused": to_plain(self.refused)}

    @property
    def frame(self) -> pd.DataFrame:
        """Series and motion of all runs."""
        return framed(self.runs)

    @property
    def frame_parts(self) -> Iterable[pd.DataFrame]:
        """The same, run by run."""
        return framed_each(self.runs)

    @classmethod
    def restored(cls, scenario: Scenario, data: Data, frame: pd.DataFrame | None) -> Self:
        """The comparison that was saved."""
        refused = from_plain(dict[str, Refused], data.get("refused", {}))
        return cls(scenario, unpacked(scenario.cases(), data, frame), refused)


def runs_of(result: Result) -> dict[str, Run]:
    """Runs that a result holds with their motion, by the names of their cases; of most kinds none."""
    if isinstance(result, Run):
        return {result.scenario.case: result}
    return dict(result.runs) if isinstance(result, Comparison) else {}


def sharing(scenario: Scenario, workers: int) -> int:
    """How many of so many processes share the cases: one, where these are few."""
    return workers if len(scenario.variants) >= MANY else 1


def compare(
    scenario: Scenario,
    progress: Progress | None = None,
    without_support: bool | None = None,
    workers: int = 1,
) -> Comparison:
    """Run a scenario and each of its variants.

    Parameters
    ----------
    scenario : with at least one variant; its axes are left out, the cases stand at the file's own values
    progress : called with (simulated time so far, of all runs)
    without_support : run each case once more with the squat support cancelled; None: as each case says
    workers : processes on this machine; 1 does the runs in this process. The result is the same.

    Raises
    ------
    InputError
        when there is no variant, or one of them cannot be built, or the scenario itself cannot stand where it
        starts. A variant that cannot stand is a case that says why.
    """
    if not scenario.variants:
        must_be = 'at least one table [variants."a name"] to compare with'
        raise InputError([InputIssue(str(scenario.path), "variants", "none", must_be)])
    if without_support is not None and without_support != scenario.without_support:
        scenario = scenario.changed({"without_support": without_support}, keep_variants=True)
    if scenario.vary:
        warnings.warn(AT_OWN_VALUES, stacklevel=2)
        scenario = with_axes(scenario, {})
    cases = scenario.cases()
    warn_of_conclusion(scenario, cases)
    done = _Done(cases, progress)
    run_here(cases, done.note, workers, done.do if workers == 1 else do_case)
    runs: dict[str, Run] = {}
    refused: dict[str, Refused] = {}
    for name, case in cases.items():
        outcome = done.outcomes[name]
        if isinstance(outcome, Run):
            runs[name] = dataclasses.replace(outcome, scenario=case)
        elif isinstance(outcome, CannotStand) and case is not scenario:
            refused[name] = Refused(
                outcome.why, "; ".join(f"{one.got}: {one.must_be}" for one in outcome.issues)
            )
        elif isinstance(outcome, CannotStand):  # nothing to compare with
            issues = [dataclasses.replace(one, got=f"{name}: {one.got}") for one in outcome.issues]
            raise CannotStand(issues, outcome.why)
        else:
            raise outcome
    return Comparison(scenario, runs, refused)


def do_case(case: Scenario, progress: Progress | None = None) -> tuple[str, Row]:
    """Run a case; gives the program that did it, and the run without its raw trace, or why there is none."""
    try:
        run = simulate(case, progress)
    except InputError as error:
        return program(), {OUTCOME: error}
    return program(), {OUTCOME: run.without_trace()}


class _Done:
    """What came of the cases, and how far they are."""

    def __init__(self, cases: Mapping[str, Scenario], progress: Progress | None) -> None:
        self.outcomes: dict[str, Run | InputError] = {}
        self._cases, self._progress, self._so_far = cases, progress, 0.0
        self._total = sum(case.end.duration for case in cases.values())

    def note(self, name: str, row: Row) -> None:
        """Take in a case."""
        case = self._cases[name]
        died = InputError([InputIssue(str(case.path), name, row.get(WHY, ""), "a case that can be run")])
        self.outcomes[name] = row.get(OUTCOME, died)
        self._so_far += case.end.duration
        self._tell(0.0)

    def do(self, case: Scenario) -> tuple[str, Row]:
        """Run a case in this process."""
        return do_case(case, None if self._progress is None else lambda time, _: self._tell(time))

    def _tell(self, time: float) -> None:
        if self._progress is not None:
            self._progress(self._so_far + time, self._total)
