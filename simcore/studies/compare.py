"""One change at a time: a scenario and all its variants, side by side."""

import dataclasses
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

import pandas as pd

from simcore.faults import BadInput, Fault
from simcore.files.scenario import Scenario
from simcore.outbox import Writer
from simcore.pictures.prints import AS_USUAL, Draw, Prints, save_result
from simcore.results.metrics import Summary
from simcore.run import Run, simulate
from simcore.studies.told import check_finding

if TYPE_CHECKING:
    from matplotlib.figure import Figure


TABLES = ("table.csv", "comparison.toml")
PICTURES = ("comparison", "pitch_and_front_load", "differences", "shock_loops")


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
        return overlay(self._cases(), contrast(self.summaries, caption), caption.text, without)

    def front_load(self) -> "Figure":
        """Pitch beside the front tyres' load, and what links and springs move of it."""
        from simcore.pictures.findings import Caption, front_finding
        from simcore.pictures.loads import pitch_and_front_load

        text = Caption.of(self.scenario).text
        return pitch_and_front_load(self._cases(), front_finding(self.summaries), text)

    def differences(self) -> "Figure":
        """What every case adds to the figures of the first."""
        from simcore.pictures.chosen import shown_of
        from simcore.pictures.differences import bars, bars_finding
        from simcore.pictures.findings import Caption

        caption, table = Caption.of(self.scenario), self.table()
        what = (
            table,
            self.scenario.case,
            shown_of(table, self.scenario.finding.shown),
            caption.visible,
        )
        return bars(*what, bars_finding(*what), caption.text)

    def loops(self) -> "Figure":
        """Force of the shocks over their travel, in which friction and stops show as loops."""
        from simcore.pictures.findings import Caption
        from simcore.pictures.loops import loops_finding, shock_loops

        cases = {name: run.series for name, run in self.runs.items()}
        return shock_loops(cases, loops_finding(cases), Caption.of(self.scenario).text)

    @property
    def summaries(self) -> dict[str, Summary]:
        """Name to summary of every run."""
        return {name: run.summary for name, run in self.runs.items()}

    def _cases(self) -> dict[str, tuple[pd.DataFrame, Summary]]:
        return {name: (run.series, run.summary) for name, run in self.runs.items()}

    def pictures(self) -> dict[str, Draw]:
        """What draws each picture, by its name."""
        draws = (self.figure, self.front_load, self.differences, self.loops)
        return dict(zip(PICTURES, draws, strict=True))

    def save(self, folder: str | Path, prints: Prints = AS_USUAL) -> list[Path]:
        """Write the tables and pictures named in TABLES and PICTURES, all or none."""
        writers: tuple[Writer, ...] = (
            lambda path: self.table().to_csv(path, float_format="%.9g"),
            lambda path: path.write_text(self.scenario.to_toml(), encoding="utf-8"),
        )
        return save_result(folder, dict(zip(TABLES, writers, strict=True)), self.pictures(), prints)


def compare(
    scenario: Scenario,
    progress: Callable[[float, float], None] | None = None,
    without_support: bool | None = None,
) -> Comparison:
    """Run a scenario and each of its variants.

    Parameters
    ----------
    scenario : with at least one variant
    progress : called with (simulated time so far, of all runs)
    without_support : run each case once more with the squat support cancelled; None: as each case says

    Raises
    ------
    BadInput
        when there is no variant, or one of them cannot be built or cannot stand where it starts.
    """
    if not scenario.variants:
        must_be = 'at least one table [variants."a name"] to compare with'
        raise BadInput([Fault(str(scenario.path), "variants", "none", must_be)])
    cases = scenario.cases()
    check_finding(scenario, cases)
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
