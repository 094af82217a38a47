"""A trial on rock as a result: what was typed, unblinded and tested."""

import dataclasses
import math
from collections import Counter
from collections.abc import Mapping
from functools import cached_property
from pathlib import Path
from typing import ClassVar, Self

import pandas as pd

from simcore.files import Scenario
from simcore.outdoors.findings import Findings, Verdict, findings
from simcore.outdoors.key import Plan, read_key
from simcore.outdoors.results_file import TypedRun, read_results
from simcore.outdoors.told import guess_words, headline
from simcore.results.atomic_write import Writer
from simcore.results.plain import from_plain, to_plain
from simcore.results.result import Concern, Data, Doubt, Result

PAIRS = {
    "pair": "number of the pair",
    "driver": "who drove both runs",
    "changed_first": "whether the run with the change came first",
    "base": "outcome without the change, in the measure's unit; of yes or no 100 or 0",
    "changed": "outcome with it",
    "difference": "with it less without it",
    "guess": "whether the driver guessed right which run had the change: right, wrong or empty",
}
"""Columns of pairs.csv, one row a pair that counts."""


@dataclasses.dataclass(frozen=True, repr=False, eq=False)
class FieldTrial(Result):
    """What came of a trial.

    Attributes
    ----------
    scenario : the question
    plan : of the trial
    runs : as typed
    findings : what they show
    """

    kind: ClassVar[str] = "field_trial"
    files: ClassVar[tuple[str, ...]] = ("pairs.csv",)

    scenario: Scenario
    plan: Plan
    runs: tuple[TypedRun, ...]
    findings: Findings

    @property
    def headline(self) -> str:
        """Whether the change did it, how much, and what was predicted."""
        return headline(self.plan, self.findings)

    @property
    def asked(self) -> str:
        """What was tried, and how."""
        drivers = len(self.findings.drivers) or len(self.plan.drivers)
        return (
            f'{self.scenario.title}  Tried outdoors: "{self.plan.changed}" against "{self.plan.base}", '
            f"{self.plan.measure.asked}; {self.plan.pairs} pairs planned, order drawn, "
            f"{drivers} driver{'s' * (drivers > 1)}."
        )

    @property
    def concerns(self) -> list[Concern]:
        """Whether there are too few pairs to answer, and whether the drivers knew."""
        found, case = self.findings, self.plan.changed
        few = [Concern(Doubt.NOT_KNOWN, case, f"{found.verdict.value}.")] * (found.verdict is Verdict.TOO_FEW)
        return few + [Concern(Doubt.NOT_BLIND, case, guess_words(found))] * found.knew

    @cached_property
    def pairs(self) -> pd.DataFrame:
        """One row a pair that counts; columns as in `PAIRS`."""
        words = {None: "", True: "right", False: "wrong"}
        rows = [
            (one.pair, one.driver, one.changed_first, one.base, one.changed, one.difference, words[one.knew])
            for one in self.findings.pairs
        ]
        return pd.DataFrame(rows, columns=list(PAIRS)).set_index("pair")

    @property
    def effect(self) -> pd.DataFrame:
        """The effect beside its prediction, as one row each: value, low, high."""
        predicted, effect = self.plan.expected.predicted, self.findings.effect
        nothing = (math.nan,) * 3
        measured = nothing if effect is None else (effect.value, effect.low, effect.high)
        rows = {"measured": measured, "predicted": (predicted.effect, *predicted.ends)}
        return pd.DataFrame.from_dict(rows, orient="index", columns=["effect", "low", "high"])

    @property
    def tables(self) -> Mapping[str, pd.DataFrame]:
        """The effect; its pairs."""
        return {"effect": self.effect, "pairs": self.pairs}

    @property
    def states(self) -> dict[str, dict[str, Counter[str]]]:
        """Dust and tyres in the words noted, counted for both set-ups; none that was noted nowhere."""
        found: dict[str, dict[str, Counter[str]]] = {}
        for name in ("dust", "tyres"):
            counts = {
                set_up: Counter(
                    getattr(run, name) for run in self.runs if run.word == word and getattr(run, name)
                )
                for set_up, word in zip((self.plan.base, self.plan.changed), self.plan.words, strict=True)
            }
            if any(counts.values()):
                found[name] = counts
        return found

    def writers(self) -> dict[str, Writer]:
        """The pairs as a spreadsheet."""
        return {"pairs.csv": lambda path: self.pairs.to_csv(path, float_format="%.9g")}

    def data(self) -> Data:
        """Plan, runs and findings."""
        return {
            "plan": to_plain(self.plan),
            "runs": to_plain(self.runs),
            "findings": to_plain(self.findings),
        }

    @classmethod
    def restored(cls, scenario: Scenario, data: Data, frame: pd.DataFrame | None) -> Self:
        """The trial that was saved."""
        runs = tuple(from_plain(TypedRun, one) for one in data["runs"])
        return cls(scenario, from_plain(Plan, data["plan"]), runs, from_plain(Findings, data["findings"]))


def score(results: str | Path, key: str | Path) -> FieldTrial:
    """Judge a trial by its plan: unblind what was typed, and test it.

    Parameters
    ----------
    results : the CSV that was typed in
    key : the sealed key that was written with it

    Raises
    ------
    InputError
        When the two do not belong together, or with every fault in what was typed.
    """
    opened = read_key(Path(key))
    runs = read_results(Path(results), opened)
    return FieldTrial(opened.scenario, opened.plan, runs, findings(opened.plan, runs))
