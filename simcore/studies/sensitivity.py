"""Which readings and guesses of a worksheet move the answer of a scenario most, as a result."""

import dataclasses
from collections.abc import Mapping
from functools import cached_property
from pathlib import Path
from typing import ClassVar, Self

import pandas as pd

from simcore.accounts.job import JobState
from simcore.files.scenario import Scenario
from simcore.files.schema import written
from simcore.files.worksheet import Worksheet, worksheet_of
from simcore.results.atomic_write import Writer
from simcore.results.catalogue import CATALOGUE
from simcore.results.headlines.sensitivity import (
    figure_name,
    said_value,
    sensitivity_headline,
    turned_words,
)
from simcore.results.moved import Answer, Bar
from simcore.results.plain import from_plain, to_plain
from simcore.results.result import Concern, Data, Doubt, Result

COLUMNS = {
    "name": "what the reading or guess is called",
    "gives": "of rows of readings the value that they give",
    "origin": "where it comes from, as a code",
    "value": "its value",
    "error": "its error",
    "unit": "unit of both, and of the next two",
    "low_to": "lowest value that it was moved to; its own where it was moved one way",
    "high_to": "highest value, likewise",
    "figure": "figure of the answer that this moved most: metric, and of several cases which less which",
    "as_given": "that figure with the rig as it is",
    "lowest": "lowest that it became",
    "highest": "highest",
    "figure_unit": "unit of these three",
    "visible_times_ratio": "largest change in differences that a viewer just sees",
    "verdict": "what it does to the verdict, or why there is no answer, in words",
}
"""Columns of matters.csv, one row a reading or guess, the worst first."""
Told = tuple[str, float, float, float, str]


@dataclasses.dataclass(frozen=True, repr=False, eq=False)
class Sensitivity(Result):
    """What an answer hangs on.

    Attributes
    ----------
    scenario : the question, asked of the worksheet's rig
    worksheet : what was read
    answer : its figures, and what became of them with every reading and guess moved
    left_out : what of the scenario's file could not be asked, in words
    runs : how many were done for it
    """

    kind: ClassVar[str] = "sensitivity"
    files: ClassVar[tuple[str, ...]] = ("matters.csv", "answer.csv")

    scenario: Scenario
    worksheet: Worksheet
    answer: Answer
    left_out: tuple[str, ...]
    runs: int

    @property
    def headline(self) -> str:
        """What to measure next, and what it does to the answer."""
        return sensitivity_headline(self.answer)

    @property
    def asked(self) -> str:
        """The question, of which rig, and what of it was left out."""
        left = "".join(f"  Left out: {text}." for text in self.left_out)
        return f"{super().asked}; from {self.worksheet.path.name}.{left}"

    @property
    def concerns(self) -> list[Concern]:
        """Cases without an answer with the rig as it is, and moves without one."""
        return [
            Concern(Doubt.NOT_KNOWN, case, "gave no answer with the rig as it is")
            for case, job in zip(self.answer.cases, self.answer.jobs, strict=True)
            if job is JobState.UNKNOWN
        ]

    @cached_property
    def matters(self) -> pd.DataFrame:
        """One row a reading or guess, the worst first; columns as in `COLUMNS`."""
        rows = {}
        for bar in self.answer.ranked:
            tos = [side.to for side in bar.sides]
            rows[f"{bar.tag}: {bar.gives}" if bar.gives else bar.tag] = (
                *(bar.name, bar.gives, bar.source.name, bar.value, bar.error, bar.unit),
                *(min([bar.value, *tos]), max([bar.value, *tos])),
                *self._told(bar),
                *(self.answer.seen(bar), self.verdict(bar)),
            )
        return pd.DataFrame.from_dict(rows, orient="index", columns=list(COLUMNS))

    def _told(self, bar: Bar) -> Told:
        """The figure that a bar moves most, with its range and unit."""
        if not self.answer.figures:
            return "", float("nan"), float("nan"), float("nan"), ""
        k = self.answer.most_moved(bar)
        figure = self.answer.figures[k]
        return figure.key, figure.value, *self.answer.reach(bar, k), CATALOGUE[figure.metric].unit

    def verdict(self, bar: Bar) -> str:
        """What a bar does to the verdict, or why there is no answer, in words; "" for nothing."""
        said = [
            f"at {said_value(bar, side.to)} {turned_words(self.answer, side, place)}"
            for side, place in self.answer.turned(bar)
        ]
        said += [
            f"at {said_value(bar, side.to)} no answer: {side.why}"
            for one, side in self.answer.unknown()
            if one is bar
        ]
        return "; ".join(said)

    @property
    def figures(self) -> pd.DataFrame:
        """One row a figure of the answer: as given, the smallest visible difference, and its error."""
        rows = {
            figure.key: (
                figure_name(figure),
                figure.value,
                figure.seen,
                self.answer.total(k),
                CATALOGUE[figure.metric].unit,
            )
            for k, figure in enumerate(self.answer.figures)
        }
        return pd.DataFrame.from_dict(
            rows, orient="index", columns=["name", "as_given", "visible", "rough_error", "unit"]
        )

    @property
    def tables(self) -> Mapping[str, pd.DataFrame]:
        """What was moved; the answer."""
        return {"matters": self.matters, "answer": self.figures}

    def writers(self) -> dict[str, Writer]:
        """Both tables."""
        return {
            "matters.csv": lambda path: self.matters.to_csv(path, index_label="key", float_format="%.9g"),
            "answer.csv": lambda path: self.figures.to_csv(path, index_label="figure", float_format="%.9g"),
        }

    def data(self) -> Data:
        """Worksheet, answer and what was left out."""
        return {
            "worksheet": written(self.worksheet, Worksheet),
            "path": str(self.worksheet.path),
            "answer": to_plain(self.answer),
            "left_out": list(self.left_out),
            "runs": self.runs,
        }

    @classmethod
    def restored(cls, scenario: Scenario, data: Data, frame: pd.DataFrame | None) -> Self:
        """The sensitivity that was saved."""
        sheet = worksheet_of(data["worksheet"], Path(data["path"]))
        answer = from_plain(Answer, data["answer"])
        return cls(scenario, sheet, answer, tuple(map(str, data["left_out"])), int(data["runs"]))
