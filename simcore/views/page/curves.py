"""The charts of a page: of runs over time, of who carries the load, of a sweep along its axis, of a log."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np
import pandas as pd

from simcore.files.axes import CASE
from simcore.logs import TIME
from simcore.results.catalogue import label_of
from simcore.results.formatting import said_factor, said_unit
from simcore.results.headlines.run import how_it_ends
from simcore.results.headlines.tables import places
from simcore.results.moments import Happening, compared, moments
from simcore.results.reliability import unreliable_runs
from simcore.results.run import Run
from simcore.rig.masses import SIDES
from simcore.studies.fitted import MEASURED, PREDICTED, Fit
from simcore.studies.plan import axis_label
from simcore.studies.sweep import Sweep
from simcore.units import GRAMS
from simcore.views.account_lines import budget_lines, load_lines, telling
from simcore.views.page.chart import Chart, Curve, Series, dash_of
from simcore.views.pictures.span import Span, span_of

ALIKE = 0.01  # of the time shown; what happens no further apart happens at once
SIDE_LOOKS = {"rear": 0, "front": 1}  # numbers of colours of the two ends,
BLACK = 6  # of the chassis, of sums and of logs,
GROUND = 3  # and of the ground's speed
LOAD_LOOKS = (BLACK, 0, 1, 2, 3, 5, 4)  # of the lines of an account, the sum first
MOST_DOTS = 60  # runs of a line that are marked
MOST_LINES = 9  # values of a second axis, that have a line each
NOSE_UP, MORE_IS_SHORTER = "nose-up positive", "more = compressed"


@dataclass(frozen=True)
class OverTime:
    """Runs over the part of their time in which something happens.

    Attributes
    ----------
    runs : by the names of their cases, the base first
    """

    runs: Mapping[str, Run]

    @cached_property
    def happened(self) -> dict[str, list[Happening]]:
        """What happens in each run."""
        return {
            name: moments(run.series, run.motion, run.outline, run.scenario)
            for name, run in self.runs.items()
        }

    @cached_property
    def without(self) -> dict[str, Run]:
        """The same cases without squat support, where that was asked for."""
        return {name: run.counterfactual for name, run in self.runs.items() if run.counterfactual is not None}

    @cached_property
    def span(self) -> Span:
        """The part of the runs that is shown."""
        tables = [run.series for run in (*self.runs.values(), *self.without.values())]
        every = [one for own in self.happened.values() for one in own]
        return span_of(tables, next(iter(self.runs.values())).scenario.visible, every)

    @cached_property
    def common(self) -> list[Happening]:
        """What happens in all runs at once, within the part that is shown."""
        found, _ = compared(self.happened, ALIKE * (self.span.end - self.span.start))
        return [one for one in found if self.span.start <= one.time_s <= self.span.end]

    @property
    def marks(self) -> str:
        """The same in words; empty if there is nothing."""
        return "; ".join(f"{one.time_s:.2f} s {one.words}" for one in self.common)

    def chart(
        self, title: str, unit: str, note: str, curves: Sequence[Curve], least: float, from_zero: bool = False
    ) -> Chart:
        """A chart over the time that is shown."""
        marks = [one.time_s for one in self.common]
        return Chart(title, unit, note, "time, s", curves, self.span.limits, least, from_zero, marks)

    @cached_property
    def shown(self) -> dict[str, pd.DataFrame]:
        """Rows of each run's series that are shown."""
        return {name: self.span.of(run.series) for name, run in self.runs.items()}

    @cached_property
    def shown_without(self) -> dict[str, pd.DataFrame]:
        """The same of those without squat support."""
        return {name: self.span.of(run.series) for name, run in self.without.items()}


def over(
    table: pd.DataFrame, values: pd.Series, name: str, look: int, dash: str = "solid", more: str = ""
) -> Curve:
    """A line over time."""
    return Curve(name, table["time_s"].to_numpy(float), values.to_numpy(float), look, dash, more)


# --- runs ---


def of_runs(time: OverTime) -> list[Chart]:
    """Charts of one run, or of several on the same axes."""
    return _of_one(time) if len(time.runs) == 1 else _of_several(time)


def _of_one(time: OverTime) -> list[Chart]:
    """Nose, both ends, speeds and loads of a run; its counterfactual dotted."""
    ((name, run),) = time.runs.items()
    table = time.shown[name]
    ground = table["speed_m_per_s"]
    pitch = [
        over(
            table,
            table["pitch_to_ground_deg"],
            "chassis",
            BLACK,
            more=how_it_ends(run.summary, run.scenario),
        )
    ]
    treads = [
        over(table, ground + table[f"{side}_slip_speed_m_per_s"], f"{side} tread", look, dash_of(1 + look))
        for side, look in SIDE_LOOKS.items()
    ]
    return [
        time.chart(
            "pitch to ground at start", "deg", NOSE_UP, [*pitch, *_dotted(time, "pitch_to_ground_deg")], 1.0
        ),
        time.chart(
            "shock travel", "mm", MORE_IS_SHORTER, _of_sides(time, table, "travel_mm", "shocks", 1.0), 3.0
        ),
        time.chart("speed", "m/s", "apart = slip", [over(table, ground, "ground", GROUND), *treads], 0.1),
        time.chart(
            "tyre load", "g", "both tyres", _of_sides(time, table, "load_N", "tyres", GRAMS), 100.0, True
        ),
    ]


def _of_sides(time: OverTime, table: pd.DataFrame, column: str, what: str, factor: float) -> list[Curve]:
    return [
        curve
        for side, look in SIDE_LOOKS.items()
        for curve in (
            over(table, table[f"{side}_{column}"] * factor, f"{side} {what}", look, dash_of(look)),
            *_dotted(time, f"{side}_{column}", factor, look),
        )
    ]


def _dotted(time: OverTime, column: str, factor: float = 1.0, look: int = BLACK) -> list[Curve]:
    """A column of the only run's counterfactual."""
    return [_without(table, column, factor, look) for table in time.shown_without.values()]


def _without(table: pd.DataFrame, column: str, factor: float, look: int) -> Curve:
    values = (table[column] * factor).to_numpy(float)
    return Curve("", table["time_s"].to_numpy(float), values, look, "dots")


COLUMNS = (
    ("pitch_to_ground_deg", "pitch to ground at start", "deg", NOSE_UP, 1.0, 1.0),
    ("rear_travel_mm", "rear travel", "mm", MORE_IS_SHORTER, 1.0, 3.0),
    ("front_travel_mm", "front travel", "mm", MORE_IS_SHORTER, 1.0, 3.0),
    ("front_load_N", "front tyres' load", "g", "all of it", GRAMS, 100.0),
    ("budget_cg_shift_N", "moved by links and springs", "g", "part of the front load", GRAMS, 40.0),
)


def _of_several(time: OverTime) -> list[Chart]:
    """What a case changes, every case a line; those without squat support dotted."""
    found = []
    for column, title, unit, note, factor, least in COLUMNS:
        curves = []
        for k, (name, run) in enumerate(time.runs.items()):
            table = time.shown[name]
            more = how_it_ends(run.summary, run.scenario) if column.startswith("pitch") else ""
            curves.append(over(table, table[column] * factor, name, k, dash_of(k), more))
            if name in time.without:
                curves.append(_without(time.shown_without[name], column, factor, k))
        found.append(time.chart(title, unit, note, curves, least, column == "front_load_N"))
    return found


def accounts(time: OverTime, name: str) -> list[Chart]:
    """Who carries the change of load of both axles of a run, and what its front load is made of."""
    table = time.shown[name]
    shown = [(f"{axle} tyres", load_lines(table, axle), 100.0) for axle in SIDES]
    shown.append(("front load, by what takes it away", budget_lines(table), 20.0))
    charts = []
    for title, lines, least in shown:
        looks = {
            words: (look, "bold" if k == 0 else dash_of(k))
            for k, (words, look) in enumerate(zip(lines, LOAD_LOOKS, strict=False))
        }
        curves = [over(table, values, words, *looks[words]) for words, values in telling(lines).items()]
        charts.append(time.chart(title, "g", "against level stand", curves, least, True))
    return charts


# --- other results ---


def of_sweep(sweep: Sweep) -> list[Chart]:
    """Metrics along the first axis; every case a line, or every value of the second axis."""
    axis, table = sweep.axes[0], sweep.said
    x, names = places(table[axis])
    by = CASE if sweep.cases else sweep.axes[1] if len(sweep.axes) > 1 else ""
    held = sweep.axes[1 if sweep.cases else 2 :]
    for path in held:
        kept = (table[path] == table[path].iloc[0]).to_numpy()
        table, x = table[kept], x[kept]
    low, high = float(np.min(x)), float(np.max(x))
    aside = 0.03 * (high - low) or 0.05 * abs(high) or 1.0
    drawn, every = _drawn_values(table, by), table[by].nunique() if by else 1
    notes = [] if by in ("", CASE) else [f"a line for each {axis_label(by).name}"]
    notes += [f"{len(drawn)} of {every}"] if len(drawn) < every else []
    notes += [f"at {sweep.held}"] if held else []
    return [
        Chart(
            title=label_of(key),
            unit=said_unit(key),
            note=", ".join(notes),
            along=str(axis_label(axis)),
            curves=_along(table, x, key, by, drawn),
            limits=(low - aside, high + aside),
            names=names or (),
        )
        for key in sweep.shown
    ]


def _drawn_values(table: pd.DataFrame, by: str) -> list[Any]:
    """Cases, or values of the second axis, that have a line each; of very many values some."""
    values = list(dict.fromkeys(table[by])) if by else [""]
    if by == CASE or len(values) <= MOST_LINES:
        return values
    return [values[round(k * (len(values) - 1) / (MOST_LINES - 1))] for k in range(MOST_LINES)]


def _along(table: pd.DataFrame, x: Series, key: str, by: str, drawn: Sequence[Any]) -> list[Curve]:
    """Lines of one metric: one, or one for each drawn value of the column `by`."""
    values = table[key].to_numpy(float) * said_factor(key)
    _, unsound, early = unreliable_runs(table).values()
    doubtful = unsound | early
    groups = table[by].tolist() if by else [""] * len(table)
    label = None if by in ("", CASE) else axis_label(by)
    curves = []
    for k, group in enumerate(drawn):
        own = np.array([one == group for one in groups])
        order = np.argsort(x[own], kind="stable")
        value = f"{group:g}" if isinstance(group, float) else str(group)
        name = label_of(key) if not by else value if label is None else f"{value} {label.unit}".strip()
        along, up, hollow = x[own][order], values[own][order], doubtful[own][order]
        curves.append(Curve(name, along, up, k, dash_of(k)))
        failing = np.where(hollow, up, np.nan)
        curves.append(Curve("", along, up if len(order) <= MOST_DOTS else failing, k, "points"))
        curves.append(Curve("", along, failing, k, "holes"))
    return curves


def notes_of_sweep(sweep: Sweep) -> list[str]:
    """How to read its lines, as sentences."""
    (lost, useless), *doubtful = unreliable_runs(sweep.said).items()
    hollow = " or ".join(words for words, which in doubtful if which.any())
    said = {f"Hollow dots: {hollow}.": bool(hollow), f"Gaps in lines: {lost}.": bool(useless.any())}
    return [words for words, there in said.items() if there]


def of_fit(fit: Fit) -> list[Chart]:
    """Log and run of every channel, over the time of the log."""
    times = fit.table[TIME].to_numpy(float)
    limits = float(times[0]), max(float(times[-1]), float(times[0]) + 1e-3)
    return [
        Chart(
            title=left.of.label,
            unit=left.of.unit,
            note="dots: log",
            along="time of the log, s",
            curves=[
                Curve("log", times, fit.table[MEASURED + left.channel].to_numpy(float), BLACK, "points"),
                Curve("run", times, fit.table[PREDICTED + left.channel].to_numpy(float), 1),
            ],
            limits=limits,
        )
        for left in fit.left
    ]
