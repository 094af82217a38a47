"""One change at a time: a scenario and all its variants, side by side."""

import dataclasses
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

import pandas as pd

from simcore.faults import BadInput, Fault
from simcore.files.scenario import Scenario
from simcore.outbox import Writer, write_all
from simcore.run import Run, simulate
from simcore.summary import Summary

if TYPE_CHECKING:
    from matplotlib.figure import Figure


FILES = ("table.csv", "comparison.toml", "comparison.png", "pitch_and_front_load.png")


@dataclasses.dataclass(frozen=True)
class Comparison:
    """Runs of one scenario: the base first, then each variant.

    Attributes
    ----------
    scenario : the scenario with its variants
    runs : name to run, in the order of the file
    """

    scenario: Scenario
    runs: dict[str, Run]

    @property
    def sound(self) -> bool:
        """Whether every run kept its audit."""
        return all(run.sound for run in self.runs.values())

    def table(self) -> pd.DataFrame:
        """One row a run: every summary figure, and its difference to the base in columns ending in
        ``_change``.
        """
        rows = pd.DataFrame({name: run.summary for name, run in self.runs.items()}).T
        rows.index.name = "case"
        numbers = [
            key for key in rows.columns if not rows[key].map(lambda value: isinstance(value, str)).any()
        ]
        rows = rows.astype(dict.fromkeys(numbers, float))
        changes = (rows[numbers] - rows[numbers].iloc[0]).add_suffix("_change")
        return pd.concat([rows, changes], axis=1)

    def figure(self) -> "Figure":
        """Pitch and travel of all runs on shared axes; twins without squat support are dotted."""
        from simcore.pictures.findings import Caption, contrast
        from simcore.pictures.timelines import overlay

        caption, without = Caption.of(self.scenario), {}
        for name, run in self.runs.items():
            if run.twin is not None:
                without[name] = run.twin.series
        return overlay(self._cases(), contrast(self._summaries(), caption), caption.text, without)

    def front_load(self) -> "Figure":
        """Pitch beside the front tyres' load, and what links and springs move of it."""
        from simcore.pictures.findings import Caption, front_finding
        from simcore.pictures.loads import pitch_and_front_load

        text = Caption.of(self.scenario).text
        return pitch_and_front_load(self._cases(), front_finding(self._summaries()), text)

    def _summaries(self) -> dict[str, Summary]:
        return {name: run.summary for name, run in self.runs.items()}

    def _cases(self) -> dict[str, tuple[pd.DataFrame, Summary]]:
        return {name: (run.series, run.summary) for name, run in self.runs.items()}

    def save(self, folder: str | Path) -> list[Path]:
        """Write the files named in FILES, all or none."""
        writers: tuple[Writer, ...] = (
            lambda path: self.table().to_csv(path, float_format="%.9g"),
            lambda path: path.write_text(self.scenario.to_toml(), encoding="utf-8"),
            lambda path: self.figure().savefig(path),
            lambda path: self.front_load().savefig(path),
        )
        return write_all(Path(folder), dict(zip(FILES, writers, strict=True)))


def compare(
    scenario: Scenario,
    progress: Callable[[float, float], None] | None = None,
    without_support: bool = False,
) -> Comparison:
    """Run a scenario and each of its variants.

    Parameters
    ----------
    scenario : with at least one variant
    progress : called with (simulated time so far, of all runs)
    without_support : run each case once more with the squat support cancelled

    Raises
    ------
    BadInput
        when there is no variant, or one of them cannot be built or cannot stand where it starts.
    """
    if not scenario.variants:
        must_be = 'at least one table [variants."a name"] to compare with'
        raise BadInput([Fault(str(scenario.path), "variants", "none", must_be)])
    cases = scenario.cases()
    total = sum(case.end.duration for case in cases.values())
    runs: dict[str, Run] = {}
    done = 0.0
    for name, case in cases.items():
        before = done

        def step(time: float, _: float, before: float = before) -> None:
            if progress is not None:
                progress(before + time, total)

        runs[name] = simulate(case, step if progress is not None else None, without_support)
        done += case.end.duration
    return Comparison(scenario, runs)
