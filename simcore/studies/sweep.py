"""Many runs along one axis or over two: one row a run, curves or maps of what comes of it."""

import dataclasses
import math
from collections.abc import Callable
from contextlib import closing
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pandas as pd

from simcore.files.scenario import Scenario
from simcore.outbox import Writer
from simcore.pictures.prints import AS_USUAL, Draw, Prints, save_result
from simcore.results.metrics import METRICS, Summary
from simcore.studies.grid import Point, axis_label, grid
from simcore.studies.rows import FAILED, Row, Rows, run_key
from simcore.studies.told import check_finding
from simcore.studies.workers import run_here, run_on_cluster

if TYPE_CHECKING:
    from matplotlib.figure import Figure

TABLES, PICTURES = ("table.csv", "table.parquet", "inputs.toml"), ("outcomes",)
SOUND = "sound"


@dataclasses.dataclass(frozen=True)
class Sweep:
    """A finished sweep.

    Attributes
    ----------
    scenario : with its axes
    points : what was run, in the order of the axes' values
    rows : figures of each, or why there are none
    """

    scenario: Scenario
    points: list[Point]
    rows: list[Row]

    @property
    def summaries(self) -> dict[str, Summary]:
        """Name to summary of every run that has figures."""
        named = zip(self.points, self.rows, strict=True)
        return {point.name: row for point, row in named if FAILED not in row}

    @property
    def unsound(self) -> dict[str, str]:
        """Runs that broke their audit, by name, and how."""
        return {name: row["audit"] for name, row in self.summaries.items() if row["audit"] != SOUND}

    @property
    def sound(self) -> bool:
        """Whether every run that has figures kept its audit."""
        return not self.unsound

    @property
    def failed(self) -> dict[str, str]:
        """Runs without figures, by name, and why."""
        return {
            point.name: row[FAILED]
            for point, row in zip(self.points, self.rows, strict=True)
            if FAILED in row
        }

    @cached_property
    def table(self) -> pd.DataFrame:
        """One row a run: the values of the axes, every figure of the summary, and why there is none.

        The index are the names of the runs.
        """
        inputs = {path: _column([point.inputs[path] for point in self.points]) for path in self.scenario.vary}
        figures = {key: _column([row.get(key) for row in self.rows]) for key in self._columns()}
        why = [row.get(FAILED, "") for row in self.rows]
        names = pd.Index([point.name for point in self.points], name="run")
        return pd.DataFrame(inputs | figures | {FAILED: why}, index=names)

    def _columns(self) -> list[str]:
        """Figures in the order of the summary; those of a twin follow."""
        found = dict.fromkeys(key for row in self.rows for key in row if key != FAILED)
        usual = [metric.name for metric in METRICS]
        return [*usual, *(key for key in found if key not in usual)]

    @property
    def axes(self) -> list[str]:
        """Paths of the axes."""
        return list(self.scenario.vary)

    @property
    def shown(self) -> list[str]:
        """Figures that are drawn and printed: those that the file names, else those that change."""
        from simcore.pictures.chosen import shown_of

        return shown_of(self.table, self.scenario.finding.shown)

    @property
    def answer(self) -> str:
        """What changes over the axes, in one sentence."""
        from simcore.pictures.findings import Caption
        from simcore.pictures.maps import maps_finding
        from simcore.pictures.outcomes import outcomes_finding

        caption = Caption.of(self.scenario)
        if len(self.axes) == 1:
            label = axis_label(self.axes[0])
            return outcomes_finding(self.table, self.axes[0], label, self.shown, caption.visible)
        return maps_finding(self._drawn, *self._pair, self.shown, caption.visible)

    @property
    def _pair(self) -> tuple[tuple[str, str], tuple[str, str]]:
        """Paths and labels of the axes of a map."""
        first, second = self.axes[:2]
        return (first, second), (axis_label(first), axis_label(second))

    @property
    def _drawn(self) -> pd.DataFrame:
        """Rows that a picture shows: a third axis and more stand at their first values."""
        table = self.table
        for path in self.axes[2:]:
            table = table[table[path] == table[path].iloc[0]]
        return table

    def figure(self) -> "Figure":
        """Curves over one axis, maps over the first two."""
        from simcore.pictures.findings import Caption
        from simcore.pictures.maps import heat_maps
        from simcore.pictures.outcomes import curves

        text = Caption.of(self.scenario).text
        if len(self.axes) == 1:
            return curves(self.table, self.axes[0], axis_label(self.axes[0]), self.shown, self.answer, text)
        stand = ", ".join(f"{axis_label(path)} = {self.points[0].inputs[path]}" for path in self.axes[2:])
        text = f"{text}  At {stand}" if stand else text
        return heat_maps(self._drawn, *self._pair, self.shown, self.answer, text)

    def save(self, folder: str | Path, prints: Prints = AS_USUAL) -> list[Path]:
        """Write the tables and the picture named in TABLES and PICTURES, all or none."""
        writers: tuple[Writer, ...] = (
            lambda path: self.table.to_csv(path, float_format="%.9g"),
            lambda path: self.table.to_parquet(path),
            lambda path: path.write_text(self.scenario.to_toml(), encoding="utf-8"),
        )
        return save_result(folder, dict(zip(TABLES, writers, strict=True)), self.pictures(), prints)

    def pictures(self) -> dict[str, Draw]:
        """What draws each picture, by its name."""
        return {PICTURES[0]: self.figure}


def _column(values: list[Any]) -> list[Any]:
    """Values of one kind: numbers where there is no text among them (None: NaN), else text."""
    if all(value is None or isinstance(value, int | float) for value in values):
        return [math.nan if value is None else float(value) for value in values]
    return ["" if value is None else str(value) for value in values]


def sweep(
    scenario: Scenario,
    folder: str | Path | None = None,
    workers: int = 1,
    scheduler: str | None = None,
    progress: Callable[[float, float], None] | None = None,
) -> Sweep:
    """Run a scenario with every combination of the values of its axes.

    Parameters
    ----------
    scenario : with axes (`vary`)
    folder : where finished runs are kept, so that the same sweep goes on where it was stopped; None: nowhere
    workers : processes on this machine; 1 does the runs in this process
    scheduler : address of a dask scheduler whose workers do the runs instead
    progress : called with (runs done, runs in all)

    Raises
    ------
    BadInput
        when there is no axis, or the folder or the cluster cannot be used. A run that cannot be done is a row
        that says why.
    """
    points = grid(scenario)
    check_finding(scenario, [point.name for point in points])
    keys = ["" if point.scenario is None else run_key(point.scenario) for point in points]
    with closing(Rows(folder)) as store:
        tasks = {
            key: point.scenario
            for key, point in zip(keys, points, strict=True)
            if point.scenario is not None and key not in store.found
        }
        left = set(tasks)

        def note(key: str, row: Row) -> None:
            store.keep(key, row)
            left.discard(key)
            if progress is not None:
                progress(len(points) - len(left), len(points))

        if scheduler is not None:
            run_on_cluster(tasks, note, scheduler)
        else:
            run_here(tasks, note, workers)
    rows = [
        store.found[key] if key else {FAILED: point.failed} for key, point in zip(keys, points, strict=True)
    ]
    return Sweep(scenario, points, rows)
