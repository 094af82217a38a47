"""Between which values of one number a rig still does its job, by case or along other numbers."""

import dataclasses
from collections.abc import Callable, Mapping
from functools import cached_property
from typing import Any, ClassVar, Self

import pandas as pd

from simcore.accounts.verdict import Failure
from simcore.files.scenario import Scenario
from simcore.results.atomic_write import Writer
from simcore.results.conditions import Conditions
from simcore.results.headlines.ranges import Ending, job_words, ranges_headline
from simcore.results.metrics import SOUND
from simcore.results.plain import from_plain, to_plain
from simcore.results.quantities import Label
from simcore.results.result import Concern, Data, Doubt, Result
from simcore.results.spreadsheet import csv_writer
from simcore.results.store import NoMetrics
from simcore.studies.plan import axis_label, axis_value, column, plan
from simcore.studies.sought import Sought

TEXTS = {"find", "unit", "also_done", "unknown", "audit"}
TEXTS |= {f"{side}_{key}" for side in ("low", "high") for key in ("edge", "reason", "cause", "why")}
MEANING = {
    "find": "path of the number that was sought",
    "unit": "unit of that number in all columns without one in their name; 1 for none",
    "own": "the number as the case has it",
    "low_done": "least value tried with which the job is done, in the interval of `own`, else the next one",
    "low_fails": "greatest value below it with which it is not; empty if there is none in the range",
    "low_edge": "what lies below, as a code",
    "low_reason": "what the run at `low_fails` does instead, as a code",
    "low_cause": "why it does that, as a code, where it is known",
    "low_why": "that in words",
    "high_done": "greatest value tried with which the job is done, of the same interval",
    "high_fails": "least value above it with which it is not; empty if there is none in the range",
    "high_edge": "what lies above, as a code",
    "high_reason": "what the run at `high_fails` does instead, as a code",
    "high_cause": "why it does that, as a code, where it is known",
    "high_why": "that in words",
    "also_done": "further intervals in which the job is done, beyond values with which it is not",
    "unknown": "what the runs that gave no answer did, as codes; empty when every run gave one",
    "unknown_from": "least value whose run gave no answer",
    "unknown_to": "greatest of these values",
    "searched_from": "least value of the scan",
    "searched_to": "greatest value of the scan",
    "scan_step": "step of the scan; what turns and turns back within it is not seen",
    "resolution": "how near `done` and `fails` of an edge come to one another at least",
    "runs_count": "values tried to find it",
    "audit": "SOUND, or AUDIT_FAILED if a run broke off or broke a bound",
}


@dataclasses.dataclass(frozen=True)
class End:
    """One edge of a range, in the bench unit of the number.

    Attributes
    ----------
    done : outermost value with which the job is done; None where there is none
    beyond : first value further out with which it is not for certain; None where there is none
    ending : what lies beyond
    reason, cause : codes of what the run there does instead, and why
    why : the same in words
    """

    done: float | None
    beyond: float | None
    ending: Ending
    reason: str
    cause: str
    why: str

    def row(self, side: str) -> dict[str, float | str | None]:
        """Columns of one side."""
        codes = {"edge": self.ending.name, "reason": self.reason, "cause": self.cause, "why": self.why}
        values = {"done": self.done, "fails": self.beyond, **codes}
        return {f"{side}_{key}": value for key, value in values.items()}


@dataclasses.dataclass(frozen=True)
class Range:
    """Between which values of a number one case does its job.

    Attributes
    ----------
    own : the case's own value; None if it has none
    low, high : the edges
    others : further intervals in which it is done
    unknown : values whose runs gave no answer, and the codes of what they did
    unsound : values whose runs broke off or broke their audit, and what was wrong
    hidden : whether some of the values without an answer lie where the range would be
    runs : values tried
    """

    own: float | None
    low: End
    high: End
    others: tuple[tuple[float, float], ...]
    unknown: tuple[tuple[float, str], ...]
    unsound: tuple[tuple[float, str], ...]
    hidden: bool
    runs: int

    def row(self, sought: Sought) -> dict[str, Any]:
        """Row of the table, without axes."""
        open_values = [value for value, _ in self.unknown]
        also = (
            f"from {sought.said(low, unit=False)} to {sought.said(high)}"
            if low < high
            else f"at {sought.said(low)}"
            for low, high in self.others
        )
        return {
            "find": sought.path,
            "unit": sought.unit,
            "own": self.own,
            **self.low.row("low"),
            **self.high.row("high"),
            "also_done": ", ".join(also),
            "unknown": " ".join(dict.fromkeys(code for _, code in self.unknown)),
            "unknown_from": min(open_values, default=None),
            "unknown_to": max(open_values, default=None),
            "searched_from": sought.scan[0],
            "searched_to": sought.scan[-1],
            "scan_step": sought.step,
            "resolution": sought.within,
            "runs_count": self.runs,
            "audit": Doubt.AUDIT_FAILED.name if self.unsound else SOUND,
        }


@dataclasses.dataclass(frozen=True, repr=False, eq=False)
class Ranges(Result):
    """Between which values of a number the cases of a scenario, or its combinations of axes, do their job.

    Attributes
    ----------
    scenario : with its variants, or with the axes along which the number was sought
    sought : the number, and where it was looked for
    ranges : name of a case, or values of the axes, to what was found
    """

    kind: ClassVar[str] = "ranges"
    files: ClassVar[tuple[str, ...]] = ("limits.csv", "limits.toml")

    scenario: Scenario
    sought: Sought
    ranges: Mapping[str, Range]

    @property
    def headline(self) -> str:
        """Between which values the job is done, and how that differs or moves, in one sentence."""
        return ranges_headline(self.said, self.sought.label, self.sought.said, self.axes)

    @property
    def asked(self) -> str:
        """What was asked, of which rig, and what held in all runs but for the number sought."""
        jobs = dict.fromkeys(job_words(case) for case in self.scenario.cases().values())
        job = f" ({next(iter(jobs))})" if len(jobs) == 1 else ""
        tried = self.sought.said(self.sought.step)
        question = f"With which {self.sought.label.name} does it still do its job{job}? Tried every {tried}."
        ends = {self.sought.path: (self.sought.scan[0], self.sought.scan[-1])}
        return Conditions.of(self.scenario, ends).asking(question)

    @property
    def axes(self) -> list[tuple[str, Label]]:
        """Paths and labels of the axes along which it was sought."""
        return [(path, axis_label(path)) for path in self.scenario.vary]

    @property
    def concerns(self) -> list[Concern]:
        """Runs that broke off or broke their audit, and edges that runs without an answer hide."""
        found = []
        for name, one in self.ranges.items():
            if one.unsound:
                text = "; ".join(f"at {self.sought.said(value)} {what}" for value, what in one.unsound)
                found.append(Concern(Doubt.AUDIT_FAILED, name, text))
            if one.hidden:
                values = [value for value, _ in one.unknown]
                ends = dict.fromkeys(self.sought.said(value) for value in (min(values), max(values)))
                reasons = dict.fromkeys(_unknown_words(code) for _, code in one.unknown)
                text = f"no answer at {' to '.join(ends)} ({len(values)} tried): {'; '.join(reasons)}"
                found.append(Concern(Doubt.NOT_KNOWN, name, text))
        return found

    @cached_property
    def table(self) -> pd.DataFrame:
        """One row a case: values of the axes, then columns as in MEANING; NaN where there is no number."""
        rows = [one.row(self.sought) for one in self.ranges.values()]
        table = pd.DataFrame(rows, index=pd.Index(self.ranges, name="case"))[list(MEANING)]
        table = table.astype({key: float for key in table if key not in TEXTS})
        return pd.concat([self._inputs(lambda path, value: value), table], axis=1)

    @cached_property
    def said(self) -> pd.DataFrame:
        """The table with its axes as they are said."""
        said = self._inputs(axis_value)
        return self.table.assign(**{path: said[path] for path in said})

    def _inputs(self, spelled: Callable[[str, Any], Any]) -> pd.DataFrame:
        points = plan(self.scenario) if self.scenario.vary else []
        columns = {
            path: column([spelled(path, point.inputs[path]) for point in points])
            for path in self.scenario.vary
        }
        return pd.DataFrame(columns, index=pd.Index(self.ranges, name="case"))

    @property
    def tables(self) -> Mapping[str, pd.DataFrame]:
        """Ranges of all cases."""
        return {"limits": self.table}

    def writers(self) -> dict[str, Writer]:
        """The table for a spreadsheet, and the scenario as one file."""
        return {
            "limits.csv": csv_writer(lambda: self.table),
            "limits.toml": lambda path: path.write_text(self.scenario.to_toml(), encoding="utf-8"),
        }

    def data(self) -> Data:
        """The number, and the range of every case, codes by their names."""
        return {"sought": to_plain(self.sought), "ranges": to_plain(self.ranges)}

    @classmethod
    def restored(cls, scenario: Scenario, data: Data, frame: pd.DataFrame | None) -> Self:
        """The ranges that were saved."""
        ranges = from_plain(dict[str, Range], data["ranges"])
        names = [point.name for point in plan(scenario)] if scenario.vary else list(scenario.cases())
        if list(ranges) != names:
            raise ValueError(f"ranges of {', '.join(ranges)} for {', '.join(names)}")
        return cls(scenario, from_plain(Sought, data["sought"]), ranges)


def _unknown_words(code: str) -> str:
    return Failure[code].value if code in Failure.__members__ else NoMetrics[code].value
