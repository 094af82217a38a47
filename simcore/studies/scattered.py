"""What bench error leaves of an answer, as a result: jobs, intervals of figures and of differences, bands."""

import dataclasses
from collections.abc import Mapping
from functools import cached_property
from typing import Any, ClassVar, NamedTuple, Self

import numpy as np
import numpy.typing as npt
import pandas as pd

from simcore.accounts.job import JobState
from simcore.files.scenario import Scenario
from simcore.results.atomic_write import Writer
from simcore.results.catalogue import CATALOGUE, NUMBERS, just_seen
from simcore.results.conditions import Conditions
from simcore.results.headlines.scatter import Answer, Counted, Told, scatter_headline
from simcore.results.moved import Figure
from simcore.results.plain import from_plain, to_plain
from simcore.results.reliability import job_of
from simcore.results.result import Concern, Data, Doubt, Result
from simcore.results.scatter import (
    Interval,
    Moves,
    Share,
    band_of,
    interval_of,
    moves_of,
    share_of,
    verdict_of,
)
from simcore.results.store import FAILED, WHY
from simcore.studies.drawn_runs import CURVES

Vector = npt.NDArray[np.float64]
ERROR = "error of "
"""Begins the names of columns that hold what was drawn."""


class Known(NamedTuple):
    """An error that was drawn.

    Attributes
    ----------
    name : of what is off; of several numbers that are found together, what that is
    stated : whether the file says how far; else it is a usual error
    at_end : draws in which it reaches beyond what the key of a number allows, which stands at that end then
    """

    name: str
    stated: bool
    at_end: int = 0


class Part(NamedTuple):
    """How much of a figure's scatter is an error's: its first-order and its total Sobol index, with ends."""

    figure: str
    error: str
    alone: float
    total: float
    alone_low: float = np.nan
    total_low: float = np.nan
    alone_high: float = np.nan
    total_high: float = np.nan


@dataclasses.dataclass(frozen=True, repr=False, eq=False)
class Spread(Result):
    """A scenario whose numbers were drawn within their errors.

    Attributes
    ----------
    scenario : the question, with its cases
    seed : of the draws
    errors : that were drawn
    figures_given : of the answer, without errors
    jobs_given : by case whether it does its job without errors
    table : one row a draw and case: metrics, and errors as drawn, in shares of what 19 of 20 keep within
    bands : by case and column the 5th, 50th and 95th percentile at every instant, of draws that did their job
    times : these instants, s
    indices : Sobol indices, where they were asked for
    """

    kind: ClassVar[str] = "spread"
    files: ClassVar[tuple[str, ...]] = ("draws.csv", "intervals.csv", "matters.csv")

    scenario: Scenario
    seed: int
    errors: tuple[Known, ...]
    figures_given: tuple[Figure, ...]
    jobs_given: tuple[JobState, ...]
    table: pd.DataFrame
    bands: Mapping[str, Mapping[str, Vector]]
    times: Vector
    indices: tuple[Part, ...] = ()

    # --- what was drawn ---

    @cached_property
    def cases(self) -> tuple[str, ...]:
        """Names of the cases, the base first."""
        return tuple(self.scenario.case_names())

    @property
    def draws(self) -> int:
        """How many draws there are."""
        return len(self.table) // len(self.cases)

    @cached_property
    def drawn(self) -> Vector:
        """Errors as drawn, (draws, errors)."""
        columns = [column for column in self.table if str(column).startswith(ERROR)]
        return np.asarray(self.table[columns], float)[:: len(self.cases)]

    @cached_property
    def states(self) -> dict[str, npt.NDArray[Any]]:
        """By case of every draw whether it did its job, (draws,)."""
        told = {key: self.table[key].tolist() for key in ("job", "audit") if key in self.table}
        keys = list(told)
        every = [job_of(dict(zip(keys, row, strict=True))) for row in zip(*told.values(), strict=True)]
        every = every or [JobState.UNKNOWN] * len(self.table)
        return {name: np.array(every[k :: len(self.cases)], object) for k, name in enumerate(self.cases)}

    def done(self, case: str) -> npt.NDArray[np.bool_]:
        """In which draws a case did its job, (draws,)."""
        return np.asarray(self.states[case] == JobState.DONE)

    def share(self, case: str) -> Share:
        """In how many of the draws that have a verdict a case did its job."""
        known = self.states[case] != JobState.UNKNOWN
        return share_of(int(self.done(case).sum()), int(known.sum()))

    # --- what became of the answer ---

    def values(self, metric: str, case: str, less: str = "") -> Vector:
        """A metric of a case, or what that has more than another, (draws,); NaN where a job was not done."""
        found = self._own(metric, case)
        return found - self._own(metric, less) if less else found

    def _own(self, metric: str, case: str) -> Vector:
        values = np.asarray(self.table[metric], float)[self.cases.index(case) :: len(self.cases)]
        return np.where(self.done(case), values, np.nan)

    @cached_property
    def answers(self) -> tuple[Answer, ...]:
        """Figures of the answer with their intervals, their scatter unpaired, and their verdicts."""
        found = []
        for figure in self.figures_given:
            interval = interval_of(self.values(figure.metric, figure.case, figure.less))
            alone = interval_of(self.values(figure.metric, figure.case)) if figure.less else None
            verdict = verdict_of(interval, figure.seen) if figure.less else None
            found.append(Answer(figure, interval, alone, verdict))
        return tuple(found)

    @cached_property
    def intervals(self) -> pd.DataFrame:
        """Intervals of all metrics of all cases, and of what each has more than the first."""
        visible, rows = Conditions.of(self.scenario).visible, {}
        for metric in NUMBERS:
            if metric not in self.table:
                continue
            for case in self.cases:
                for less in dict.fromkeys(("", self.cases[0])) if case != self.cases[0] else ("",):
                    found = interval_of(self.values(metric, case, less))
                    if found is None:
                        continue
                    verdict = verdict_of(found, just_seen(metric, visible)).name if less else ""
                    key = f"{case} less {less} | {metric}" if less else f"{case} | {metric}"
                    rows[key] = (metric, case, less, *_cells(found), verdict)
        columns = ["metric", "case", "less", "low", "median", "high", "inside", "draws"]
        columns += ["low_from", "low_to", "high_from", "high_to", "verdict"]
        return pd.DataFrame.from_dict(rows, orient="index", columns=columns)

    def moves(self, figure: Figure) -> list[Moves]:
        """Which errors a figure goes with, the most first."""
        if figure.key not in self._moves:
            values = self.values(figure.metric, figure.case, figure.less)
            self._moves[figure.key] = moves_of(self.drawn, values)
        return self._moves[figure.key]

    @cached_property
    def _moves(self) -> dict[str, list[Moves]]:
        return {}

    @cached_property
    def matters(self) -> pd.DataFrame:
        """Which errors the figures go with: rank correlation, and by chance how likely; Sobol indices."""
        rows = [
            (figure.key, self.errors[one.error].name, one.rank, one.chance)
            for figure in self.figures_given
            for one in self.moves(figure)
        ]
        table = pd.DataFrame(rows, columns=["figure", "error", "rank_correlation", "chance"])
        if self.indices:
            kinds = [f"index_{kind}{end}" for end in ("", "_low", "_high") for kind in ("alone", "total")]
            parts = pd.DataFrame(self.indices, columns=["figure", "error", *kinds])
            table = table.merge(parts, "outer", ["figure", "error"], sort=False)
        return table

    # --- what is said ---

    @property
    def counted(self) -> Counted:
        """What a sentence needs of the draws."""
        shares = {name: self.share(name) for name in self.cases}
        usual = sum(not one.stated for one in self.errors)
        at_end = {one.name: one.at_end for one in self.errors if one.at_end}
        return Counted(self.draws, shares, usual, len(self.errors), at_end)

    @property
    def headline(self) -> str:
        """In how many draws the job is done; then the difference, and what bench error leaves of it."""
        return scatter_headline(Told(self.counted, self.answers))

    @property
    def concerns(self) -> list[Concern]:
        """Cases that have no answer without errors, and draws that broke their audit."""
        found = [
            Concern(Doubt.NOT_KNOWN, case, "gave no answer with the rig as it is")
            for case, job in zip(self.cases, self.jobs_given, strict=True)
            if job is JobState.UNKNOWN
        ]
        lost = {case: self.lost(case) for case in self.cases}
        return found + [
            Concern(Doubt.NOT_KNOWN, case, f"no draw of {self.draws} has an answer: {next(iter(why))}")
            for case, why in lost.items()
            if sum(why.values()) == self.draws
        ]

    def lost(self, case: str) -> dict[str, int]:
        """Why draws of a case have no answer, and how many have none for that, the most first."""
        rows = self.table[self.table["case"] == case]
        refused = rows[WHY].where(rows[FAILED] != "", "its audit failed, or it broke off")
        return refused[self.states[case] == JobState.UNKNOWN].value_counts().to_dict()

    @property
    def tables(self) -> Mapping[str, pd.DataFrame]:
        """Intervals, what matters, and every draw."""
        return {"intervals": self.intervals, "matters": self.matters, "draws": self.table}

    # --- what is saved ---

    def writers(self) -> dict[str, Writer]:
        """All three tables."""
        return {
            "draws.csv": lambda path: self.table.to_csv(path, index=False, float_format="%.9g"),
            "intervals.csv": lambda path: self.intervals.to_csv(path, index_label="key", float_format="%.9g"),
            "matters.csv": lambda path: self.matters.to_csv(path, index=False, float_format="%.9g"),
        }

    @property
    def frame(self) -> pd.DataFrame:
        """Every draw."""
        return self.table

    def data(self) -> Data:
        """All but the draws."""
        bands = {
            case: {column: _plain(band) for column, band in own.items()} for case, own in self.bands.items()
        }
        return {
            "seed": self.seed,
            "errors": [list(one) for one in self.errors],
            "figures": to_plain(self.figures_given),
            "jobs": to_plain(self.jobs_given),
            "bands": bands,
            "times": self.times.tolist(),
            "indices": [list(one) for one in self.indices],
        }

    @classmethod
    def restored(cls, scenario: Scenario, data: Data, frame: pd.DataFrame | None) -> Self:
        """The result that was saved."""
        cases = scenario.case_names()
        if frame is None or len(frame) == 0 or list(frame["case"][: len(cases)]) != list(cases):
            raise ValueError("draws are missing, or of other cases")
        errors = tuple(
            Known(str(name), bool(stated), *map(int, more)) for name, stated, *more in data["errors"]
        )
        if sum(str(column).startswith(ERROR) for column in frame) != len(errors):
            raise ValueError("errors are missing")
        bands = {
            case: {column: np.array(data["bands"][case][column], float) for column in CURVES}
            for case in cases
        }
        return cls(
            scenario,
            int(data["seed"]),
            errors,
            from_plain(tuple[Figure, ...], data["figures"]),
            from_plain(tuple[JobState, ...], data["jobs"]),
            frame,
            bands,
            np.array(data["times"], float),
            tuple(Part(str(one), str(two), *map(float, more)) for one, two, *more in data["indices"]),
        )


def bands_of(curves: npt.NDArray[np.float32], done: Mapping[str, Any]) -> dict[str, dict[str, Vector]]:
    """Bands of every case over draws in which it did its job.

    Parameters
    ----------
    curves : (draws, cases, CURVES, instants)
    done : by case in which draws it did its job, (draws,)
    """
    return {
        name: {column: band_of(np.asarray(curves[did, k, c], float)) for c, column in enumerate(CURVES)}
        for k, (name, did) in enumerate(done.items())
    }


def _plain(band: Vector) -> list[list[float | None]]:
    """A band as JSON holds it; None where there is none."""
    return [[None if value != value else float(value) for value in row] for row in band]


def _cells(found: Interval) -> tuple[float, ...]:
    nothing = (float("nan"), float("nan"))
    ends = [end if end is not None else nothing for end in found.spans]
    return (found.low, found.middle, found.high, found.inside, found.draws, *ends[0], *ends[1])


UNITS = {name: metric.unit for name, metric in CATALOGUE.items()}
"""Units of metrics by their names."""
