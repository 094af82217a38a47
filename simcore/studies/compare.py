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
from simcore.summary import MEANING

if TYPE_CHECKING:
    from matplotlib.figure import Figure


FILES = ("table.csv", "comparison.toml", "comparison.png")


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
        numbers = [key for key in MEANING if not isinstance(rows.iloc[0][key], str)]
        rows = rows.astype(dict.fromkeys(numbers, float))
        changes = (rows[numbers] - rows[numbers].iloc[0]).add_suffix("_change")
        return pd.concat([rows, changes], axis=1)

    def figure(self) -> "Figure":
        """Pitch and travel of all runs on shared axes."""
        from simcore.pictures.findings import Caption
        from simcore.pictures.timelines import overlay

        cases = {name: (run.series, run.summary) for name, run in self.runs.items()}
        return overlay(cases, Caption.of(self.scenario))

    def save(self, folder: str | Path) -> list[Path]:
        """Write table.csv, comparison.toml and comparison.png, all or none."""
        writers: tuple[Writer, ...] = (
            lambda path: self.table().to_csv(path, float_format="%.9g"),
            lambda path: path.write_text(self.scenario.to_toml(), encoding="utf-8"),
            lambda path: self.figure().savefig(path),
        )
        return write_all(Path(folder), dict(zip(FILES, writers, strict=True)))


def compare(scenario: Scenario, progress: Callable[[float, float], None] | None = None) -> Comparison:
    """Run a scenario and each of its variants.

    Parameters
    ----------
    scenario : with at least one variant
    progress : called with (simulated time so far, of all runs)

    Raises
    ------
    BadInput
        when there is no variant, or one of them cannot be built or cannot stand where it starts.
    """
    if not scenario.variants:
        must_be = 'at least one table [variants."a name"] to compare with'
        raise BadInput([Fault(str(scenario.path), "variants", "none", must_be)])
    if scenario.case in scenario.variants:
        got = f'"{scenario.case}", which is also the name of a variant'
        raise BadInput([Fault(str(scenario.path), "case", got, "a name of its own")])
    cases = {scenario.case: scenario} | {name: scenario.variant(name) for name in scenario.variants}
    total = sum(case.end.duration for case in cases.values())
    runs: dict[str, Run] = {}
    done = 0.0
    for name, case in cases.items():
        before = done

        def step(time: float, _: float, before: float = before) -> None:
            if progress is not None:
                progress(before + time, total)

        runs[name] = simulate(case, step if progress is not None else None)
        done += case.end.duration
    return Comparison(scenario, runs)
