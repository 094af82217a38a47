"""Many runs along one axis or over two, of one case or several: one row a run, curves or maps of them."""

import dataclasses
from collections.abc import Callable, Mapping
from contextlib import closing
from functools import cached_property
from pathlib import Path
from typing import ClassVar, Self

import pandas as pd

from simcore.files.axes import CASE
from simcore.files.scenario import Scenario
from simcore.results.atomic_write import Writer
from simcore.results.catalogue import CATALOGUE
from simcore.results.conditions import Conditions
from simcore.results.headlines.cases_along import Told, cases_headline, tally_of_cases
from simcore.results.headlines.tables import curves_headline, maps_headline
from simcore.results.headlines.tally import tally
from simcore.results.metric_selection import shown_of
from simcore.results.metrics import METRICS, SOUND, Summary
from simcore.results.quantities import Label
from simcore.results.result import Concern, Data, Doubt, Result
from simcore.results.spreadsheet import csv_writer
from simcore.results.store import FAILED, WHY, Row, Rows, run_key
from simcore.studies.claims import warn_of_conclusion
from simcore.studies.execute import run_here, run_on_cluster
from simcore.studies.goals import check_goal
from simcore.studies.plan import Point, axis_label, axis_value, cases_of, column, plan


@dataclasses.dataclass(frozen=True, repr=False, eq=False)
class Sweep(Result):
    """A finished sweep.

    Attributes
    ----------
    scenario : with its axes, and its variants where these are run along them
    points : what was run, in the order of the axes' values
    rows : metrics of each, or why there are none
    """

    kind: ClassVar[str] = "sweep"
    files: ClassVar[tuple[str, ...]] = ("table.csv", "table.parquet", "inputs.toml")

    scenario: Scenario
    points: list[Point]
    rows: list[Row]

    @property
    def summaries(self) -> dict[str, Summary]:
        """Name to summary of every run that has metrics."""
        named = zip(self.points, self.rows, strict=True)
        return {point.name: row for point, row in named if FAILED not in row}

    @property
    def side_by_side(self) -> list[dict[str, Summary]]:
        """The summaries in groups that are held against one another: of cases those at one place."""
        groups: dict[tuple[str, ...], dict[str, Summary]] = {}
        for point, row in zip(self.points, self.rows, strict=True):
            if FAILED not in row:
                place = tuple(str(point.inputs[path]) for path in self.axes) if self.cases else ()
                groups.setdefault(place, {})[point.name] = row
        return list(groups.values())

    @property
    def cases_run(self) -> list[str]:
        """Names of all runs."""
        return [point.name for point in self.points]

    @property
    def concerns(self) -> list[Concern]:
        """Runs that broke their audit."""
        state = CATALOGUE["audit"]
        return [
            Concern(Doubt.AUDIT_FAILED, name, f"{state.spelled(row['audit'])} is off; see its residuals")
            for name, row in self.summaries.items()
            if row["audit"] != SOUND
        ]

    @property
    def failed(self) -> dict[str, str]:
        """Runs without metrics, by name, and why."""
        return {
            point.name: row[WHY] for point, row in zip(self.points, self.rows, strict=True) if FAILED in row
        }

    @cached_property
    def table(self) -> pd.DataFrame:
        """One row a run: the values of the axes, every metric, and why there is none (a code, and in words).

        The index are the names of the runs. Of several cases, the first column is `case`.
        """
        columns = [*([CASE] if self.cases else []), *self.axes]
        inputs = {path: column([point.inputs[path] for point in self.points]) for path in columns}
        metrics = {key: column([row.get(key) for row in self.rows]) for key in self._columns()}
        refused = {key: [row.get(key, "") for row in self.rows] for key in (FAILED, WHY)}
        names = pd.Index([point.name for point in self.points], name="run")
        return pd.DataFrame(inputs | metrics | refused, index=names)

    def _columns(self) -> list[str]:
        """Metrics in the order of the summary; those of a counterfactual follow."""
        found = dict.fromkeys(key for row in self.rows for key in row if key not in (FAILED, WHY))
        usual = [metric.name for metric in METRICS]
        return [*usual, *(key for key in found if key not in usual)]

    @property
    def tables(self) -> Mapping[str, pd.DataFrame]:
        """Metrics of all runs."""
        return {"table": self.table}

    @property
    def axes(self) -> list[str]:
        """Paths of the axes."""
        return list(self.scenario.vary)

    @property
    def cases(self) -> list[str]:
        """Names of the cases that were run along the axes, the base first; empty for a scenario alone."""
        return cases_of(self.scenario)

    @property
    def shown(self) -> list[str]:
        """Metrics that are drawn and printed: those that the file names, else those that change."""
        return shown_of(self.table, self.scenario.conclusion.shown)

    @property
    def headline(self) -> str:
        """Which runs did their job, and what changes over the axes, in one sentence."""
        visible = Conditions.of(self.scenario).visible
        if self.cases:
            return self._headline_of_cases(visible)
        if len(self.axes) == 1:
            label = axis_label(self.axes[0])
            changes = curves_headline(self.said, self.axes[0], label, self.shown, visible)
        else:
            changes = maps_headline(self.drawn, *self.pair, self.shown, visible)
            changes += f" (at {self.held})" if self.held else ""
        return ". ".join(part for part in (self._tally(), changes) if part)

    def _tally(self) -> str:
        """Which runs did their job."""
        known = [(point, row) for point, row in zip(self.points, self.rows, strict=True) if "job" in row]
        axis = self.axes[0]
        along = (axis_label(axis), [axis_value(axis, point.inputs[axis]) for point, _ in known])
        return tally(
            [point.name for point, _ in known],
            [row for _, row in known],
            [point.scenario or self.scenario for point, _ in known],
            along if len(self.axes) == 1 else None,
        )

    def _headline_of_cases(self, visible: Mapping[str, float]) -> str:
        """Up to where which case did its job, and which has most of what is shown."""
        table, axis = self.drawn, self.axes[0]
        known = [
            (point, row)
            for point, row in zip(self.points, self.rows, strict=True)
            if "job" in row and point.name in table.index
        ]
        runs: dict[str, list[Told]] = {name: [] for name in self.cases}
        for point, row in known:
            told = Told(axis_value(axis, point.inputs[axis]), row, point.scenario or self.scenario)
            runs[point.inputs[CASE]].append(told)
        label = axis_label(axis)
        changes = cases_headline(table, axis, label, self.shown, visible)
        changes += f" (at {self.held})" if self.held else ""
        return ". ".join(part for part in (tally_of_cases(runs, label), changes) if part)

    @property
    def _drawn_axes(self) -> int:
        """How many axes a picture has: two for a map, one for curves of several cases."""
        return 1 if self.cases else 2

    @property
    def held(self) -> str:
        """Values of the axes that a picture has no room for, at which it stands."""
        return ", ".join(
            f"{axis_label(path).name} {axis_value(path, self.points[0].inputs[path])}"
            for path in self.axes[self._drawn_axes :]
        )

    @property
    def pair(self) -> tuple[tuple[str, str], tuple[Label, Label]]:
        """Paths and labels of the axes of a map."""
        first, second = self.axes[:2]
        return (first, second), (axis_label(first), axis_label(second))

    @property
    def drawn(self) -> pd.DataFrame:
        """Rows that a picture shows: axes that it has no room for stand at their first values."""
        table = self.said
        for path in self.axes[self._drawn_axes :]:
            table = table[table[path] == table[path].iloc[0]]
        return table

    @cached_property
    def said(self) -> pd.DataFrame:
        """The table with its axes as they are said, see `axis_value`."""
        said = {
            path: column([axis_value(path, point.inputs[path]) for point in self.points])
            for path in self.axes
        }
        return self.table.assign(**said)

    def writers(self) -> dict[str, Writer]:
        """The table for a spreadsheet and for programs, and the scenario as one file."""
        return {
            "table.csv": csv_writer(lambda: self.table),
            "table.parquet": lambda path: self.table.to_parquet(path),
            "inputs.toml": lambda path: path.write_text(self.scenario.to_toml(), encoding="utf-8"),
        }

    def data(self) -> Data:
        """Rows of all runs, in the order of their points."""
        return {"rows": self.rows}

    @classmethod
    def restored(cls, scenario: Scenario, data: Data, frame: pd.DataFrame | None) -> Self:
        """The sweep that was saved."""
        points, rows = plan(scenario), data["rows"]
        if len(rows) != len(points):
            raise ValueError(f"{len(rows)} rows for {len(points)} runs")
        return cls(scenario, points, rows)


def sweep(
    scenario: Scenario,
    folder: str | Path | None = None,
    workers: int = 1,
    scheduler: str | None = None,
    progress: Callable[[float, float], None] | None = None,
) -> Sweep:
    """Run a scenario, and each of its variants, with every combination of the values of its axes.

    Parameters
    ----------
    scenario : with axes (`vary`)
    folder : where finished runs are kept, so that the same sweep goes on where it was stopped; None: nowhere
    workers : processes on this machine; 1 does the runs in this process
    scheduler : address of a dask scheduler whose workers do the runs instead
    progress : called with (runs done, runs in all)

    Raises
    ------
    InputError
        when there is no axis, two cases have one name, or the folder or the cluster cannot be used. A run
        that cannot be done is a row that says why.
    """
    points = plan(scenario)
    check_goal(scenario)
    warn_of_conclusion(scenario, [point.name for point in points])
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
        store.found[key] if key else (point.failed or {}) for key, point in zip(keys, points, strict=True)
    ]
    return Sweep(scenario, points, rows)
