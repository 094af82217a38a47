"""Which change helps, as a result: changes with their verdicts, best first."""

import dataclasses
from collections.abc import Mapping
from functools import cached_property
from typing import ClassVar, Self

import pandas as pd

from simcore.accounts.job import JobState
from simcore.files.scenario import Scenario
from simcore.results.atomic_write import Writer
from simcore.results.conditions import Conditions
from simcore.results.headlines.ranking import by_words, listed, ranking_headline
from simcore.results.plain import from_plain, to_plain
from simcore.results.ranked import Change, Mark, Pair, Would, in_order, level, mark
from simcore.results.result import Concern, Data, Doubt, Result
from simcore.results.spreadsheet import csv_writer

AS_IT_STANDS = "as it stands"
EACH = "Which practical step of one number alone helps?"
COLUMNS = {
    "rank": "place of the change, 1 for the best",
    "change": "its name",
    "verdict": "on it, as a code",
    "condition": "under which the following holds",
    "mark": "what the change does there, as a code",
    "effect": "of the change on the metric, on the rig as given; empty where there is no figure",
    "low": "lower end of the interval of the effect over the draws; empty where there is none",
    "high": "upper end",
    "job_before": "whether the job is done without the change, as a code",
    "job_after": "with it",
    "helped_count": "draws in which the job is done only with the change",
    "hurt_count": "draws in which it is done only without",
    "pairs_count": "draws in which both sides have a figure",
    "drawn_count": "draws in all",
    "costs": "metrics that the change makes visibly worse, and by how much, on the rig as it stands",
    "why": "why it is not known, or the job not done",
}
"""Columns of ranking.csv, one row a change and condition."""


@dataclasses.dataclass(frozen=True)
class Basis:
    """What a ranking rests on.

    Attributes
    ----------
    metric, better, seen, chosen : as of `simcore.studies.ranked_by.By`
    each : whether a practical step of every number was tried, instead of the variants
    conditions : their names, that of the file as it stands first
    jobs : by condition whether the job is done without any change
    values : by condition the metric without any change; None where it has none
    scatter : by condition 1.96 standard deviations of that over the draws; None where not drawn
    draws : asked for
    stated, usual : numbers drawn whose error a file states, and whose error is the usual one
    runs : done in all
    done : by condition the draws in which the job is done without any change; None where not drawn, or there
        is none
    """

    metric: str
    better: int
    seen: float
    chosen: bool
    each: bool
    conditions: tuple[str, ...]
    jobs: tuple[JobState, ...]
    values: tuple[float | None, ...]
    scatter: tuple[float | None, ...]
    draws: int
    stated: int
    usual: int
    runs: int
    done: tuple[int | None, ...] = ()


@dataclasses.dataclass(frozen=True, repr=False, eq=False)
class Ranking(Result):
    """Which change helps.

    Attributes
    ----------
    scenario : with its [rank], and its variants where these were ranked
    basis : what it rests on
    changes : best first
    pairs : of the best changes, whose effects do not add up
    would : what would do the job where no change does
    would_tried : whether that was looked for
    """

    kind: ClassVar[str] = "ranking"
    files: ClassVar[tuple[str, ...]] = ("ranking.csv", "ranking.toml")

    scenario: Scenario
    basis: Basis
    changes: tuple[Change, ...]
    pairs: tuple[Pair, ...] = ()
    would: tuple[Would, ...] = ()
    would_tried: bool = False

    @property
    def headline(self) -> str:
        """Which change helps most, and whether that is more than bench error."""
        return ranking_headline(self)

    @property
    def asked(self) -> str:
        """What was asked, by which metric, under which conditions."""
        others = self.basis.conditions[1:]
        return self.asked_of_rig + (f"  Also tried: {', '.join(others)}." if others else "")

    @property
    def unchanged(self) -> Scenario:
        """The scenario without any change."""
        return self.scenario.model_copy(update={"variants": {}, "vary": {}})

    @property
    def asked_of_rig(self) -> str:
        """What was asked of the rig as it stands, and by which metric."""
        held = Conditions.of(self.unchanged)
        asked = held.asking(EACH) if self.basis.each else held.text
        return f"{asked}; ranked by {by_words(self.basis)}."

    @property
    def concerns(self) -> list[Concern]:
        """Conditions under which the rig itself gave no answer."""
        return [
            Concern(Doubt.NOT_KNOWN, name, "gave no answer without any change")
            for name, job in zip(self.basis.conditions, self.basis.jobs, strict=True)
            if job is JobState.UNKNOWN
        ]

    @property
    def cases_run(self) -> list[str]:
        """Names of the changes."""
        return [change.name for change in self.changes]

    def marks(self, change: Change) -> list[Mark]:
        """What a change does under each condition."""
        sure = level(len(change.effects))
        return [mark(effect, self.basis.better, self.basis.seen, sure) for effect in change.effects]

    @cached_property
    def table(self) -> pd.DataFrame:
        """One row a change and condition, columns as in COLUMNS."""
        rows = []
        for place, change in enumerate(self.changes, start=1):
            costs = listed(change.costs)
            for effect, one in zip(change.effects, self.marks(change), strict=True):
                rows.append(
                    (
                        *(place, change.name, change.verdict.name, effect.condition, one.name),
                        *(effect.change, effect.low, effect.high, effect.before.name, effect.after.name),
                        *(effect.helped, effect.hurt, effect.pairs, effect.drawn, costs, effect.why),
                    )
                )
        table = pd.DataFrame(rows, columns=list(COLUMNS))
        return table.astype({key: float for key in ("effect", "low", "high")}).set_index("rank")

    @property
    def tables(self) -> Mapping[str, pd.DataFrame]:
        """All changes under all conditions."""
        return {"ranking": self.table}

    def writers(self) -> dict[str, Writer]:
        """The table for a spreadsheet, and the scenario as one file."""
        return {
            "ranking.csv": csv_writer(lambda: self.table),
            "ranking.toml": lambda path: path.write_text(self.scenario.to_toml(), encoding="utf-8"),
        }

    def data(self) -> Data:
        """Everything but the scenario."""
        return {
            "basis": to_plain(self.basis),
            "changes": to_plain(self.changes),
            "pairs": to_plain(self.pairs),
            "would": to_plain(self.would),
            "would_tried": self.would_tried,
        }

    @classmethod
    def restored(cls, scenario: Scenario, data: Data, frame: pd.DataFrame | None) -> Self:
        """The ranking that was saved."""
        basis = from_plain(Basis, data["basis"])
        changes = from_plain(tuple[Change, ...], data["changes"])
        found = cls(
            scenario,
            basis,
            tuple(in_order(changes, basis.better)),
            from_plain(tuple[Pair, ...], data["pairs"]),
            from_plain(tuple[Would, ...], data["would"]),
            bool(data["would_tried"]),
        )
        if any(len(change.effects) != len(basis.conditions) for change in found.changes):
            raise ValueError("effects that are not those of the conditions")
        return found
