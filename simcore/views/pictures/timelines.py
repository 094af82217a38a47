"""Pitch, shock travel and speed over time, for one run or for several on shared axes."""

from collections.abc import Mapping
from typing import Any

import numpy as np
import pandas as pd
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from simcore.results.conditions import Conditions
from simcore.results.headlines.run import run_headline, support_headline
from simcore.results.reliability import ended_early
from simcore.results.run import Run
from simcore.studies.compare import Comparison
from simcore.views.catalogue import picture
from simcore.views.pictures.bands import state_band
from simcore.views.pictures.style import (
    COLOURS,
    DASHES,
    FRONT_COLOUR,
    QUIET,
    REAR_COLOUR,
    name_ends,
    panels,
    room,
    styled,
)

Case = tuple[pd.DataFrame, Mapping[str, Any]]
SIDES = (("rear", "rear shocks", REAR_COLOUR), ("front", "front shocks", FRONT_COLOUR))


def _mark_release(axis: Axes, table: pd.DataFrame, name: bool) -> None:
    """Where the drag brake lets go."""
    brake = table["brake_pct"].to_numpy()
    free = np.flatnonzero(brake < 50.0)
    if len(free) and free[0] > 0:
        time = table["time_s"].iloc[free[0]]
        axis.axvline(time, color=QUIET, lw=1.0, ls=":")
        if name:
            axis.annotate(
                "brake off",
                (time, 1.0),
                xycoords=("data", "axes fraction"),
                xytext=(4, 2),
                textcoords="offset points",
                color=QUIET,
                fontsize=11,
            )


def _line(
    axis: Axes, table: pd.DataFrame, values: pd.Series, name: str, colour: str, dash: Any = "-"
) -> tuple[float, float, str, str]:
    axis.plot(table["time_s"], values, color=colour, ls=dash)
    return float(table["time_s"].iloc[-1]), float(values.iloc[-1]), name, colour


def _mark_stops(axis: Axes, table: pd.DataFrame, side: str, colour: str) -> bool:
    """Pale band along a travel line where its shocks sit on a stop; gives whether there is any."""
    pressed = (table[f"{side}_bump_stop_N"] - table[f"{side}_droop_stop_N"]).to_numpy() > 0.0
    travel = np.where(pressed, table[f"{side}_travel_mm"], np.nan)
    axis.plot(table["time_s"], travel, color=colour, lw=9.0, alpha=0.25, solid_capstyle="butt")
    return bool(pressed.any())


def _explain_stops(axis: Axes, marked: bool) -> None:
    if marked:
        axis.text(
            0.99, 0.03, "pale band: on a stop", transform=axis.transAxes, ha="right", color=QUIET, fontsize=11
        )


@styled
def pitch_and_travel(table: pd.DataFrame, summary: Mapping[str, Any], conditions: Conditions) -> Figure:
    """Pitch, travel of both ends, what becomes of squat support, and tread speed against ground speed.

    Parameters
    ----------
    table : series of a run
    summary : its summary
    conditions : what it says about the scenario
    """
    answer = run_headline(summary, conditions)
    figure, (pitch, travel, band, speed) = panels((2.6, 2.6, 0.85, 2.2), answer, conditions.text)
    values = table["pitch_to_ground_deg"]
    end = _line(pitch, table, values, "chassis", COLOURS[6])
    pitch.axhline(values.iloc[0], color=QUIET, lw=1.0, ls="--")
    room(pitch, 1.0)
    pitch.set_ylabel("pitch to ground at start, deg\n(nose-up positive)")
    peak = int(values.to_numpy().argmax())
    pitch.plot(table["time_s"].iloc[peak], values.iloc[peak], "o", color=COLOURS[6], ms=6)
    name_ends(pitch, [end, (table["time_s"].iloc[-1], values.iloc[0], "standing at the start", QUIET)])
    ends = [
        _line(travel, table, table[f"{axle}_travel_mm"], name, colour, dash)
        for (axle, name, colour), dash in zip(SIDES, DASHES, strict=False)
    ]
    _explain_stops(travel, any([_mark_stops(travel, table, side, colour) for side, _, colour in SIDES]))
    room(travel, 3.0)
    travel.set_ylabel("shock travel, mm\n(more = compressed)")
    name_ends(travel, ends)
    state_band(band, table)
    _speeds(speed, table)
    for axis in (pitch, travel, speed):
        _mark_release(axis, table, axis is pitch)
    return figure


def _speeds(axis: Axes, table: pd.DataFrame) -> None:
    """Ground speed, and both treads' speed: where they part, the tyres slip."""
    ground = table["speed_m_per_s"]
    ends = [_line(axis, table, ground, "ground", QUIET)]
    for (side, _, colour), dash in zip(SIDES, DASHES, strict=False):
        ends.append(
            _line(axis, table, ground + table[f"{side}_slip_speed_m_per_s"], f"{side} tread", colour, dash)
        )
    room(axis, 0.1)
    axis.set_ylabel("speed, m/s\n(apart = slip)")
    name_ends(axis, ends)


@styled
def overlay(
    cases: Mapping[str, Case], answer: str, question: str, without: Mapping[str, pd.DataFrame] | None = None
) -> Figure:
    """Pitch and both travels of several runs on shared axes.

    Parameters
    ----------
    cases : name to (series, summary), the base first
    answer, question : the finding, and what was asked of which rig
    without : name to the series of the same case without squat support, drawn dotted
    """
    figure, axes = panels((2.8, 2.4, 2.4), answer, question)
    columns = (
        ("pitch_to_ground_deg", "pitch to ground at start, deg\n(nose-up positive)", 1.0),
        ("rear_travel_mm", "rear travel, mm\n(more = compressed)", 3.0),
        ("front_travel_mm", "front travel, mm\n(more = compressed)", 3.0),
    )
    for axis, (column, label, least) in zip(axes, columns, strict=True):
        _draw_cases(axis, cases, column, without or {})
        room(axis, least)
        axis.set_ylabel(label)
        _mark_release(axis, next(iter(cases.values()))[0], axis is axes[0])
    for axis, (column, _, _) in zip(axes, columns, strict=True):
        name_ends(axis, [(*_end(cases[name][0], column), name, look(k)[0]) for k, name in enumerate(cases)])
    return figure


def look(k: int) -> tuple[str, Any]:
    """Colour and dash of the k-th case."""
    return COLOURS[k % len(COLOURS)], DASHES[(k // 2 + k // len(COLOURS)) % len(DASHES)]


def _end(table: pd.DataFrame, column: str) -> tuple[float, float]:
    return float(table["time_s"].iloc[-1]), float(table[column].iloc[-1])


def _draw_cases(
    axis: Axes, cases: Mapping[str, Case], column: str, without: Mapping[str, pd.DataFrame]
) -> None:
    """One column of every case; a cross where a run ended early, a pale band on a stop."""
    marked = False
    for k, (name, (table, summary)) in enumerate(cases.items()):
        colour, dash = look(k)
        _line(axis, table, table[column], name, colour, dash)
        if name in without:
            axis.plot(without[name]["time_s"], without[name][column], color=colour, ls=":", lw=1.6)
        if column.endswith("_travel_mm"):
            marked |= _mark_stops(axis, table, column.removesuffix("_travel_mm"), colour)
        if ended_early(summary):
            axis.plot(*_end(table, column), "x", color=colour, ms=9, mew=2.5)
    _explain_stops(axis, marked)
    if without:
        axis.text(
            0.01, 0.03, "dotted: without squat support", transform=axis.transAxes, color=QUIET, fontsize=11
        )


@picture(
    Run,
    "pitch_and_travel",
    "The upper panels show the nose and both ends: a rising travel line is an end that squats, and "
    "a pale band means that it lies on a stop. The band below says what becomes of the squat "
    "support, and in the last panel tyres slip where tread and ground part.",
    rank=0,
)
def of_run(run: Run) -> Figure:
    """Pitch and shock travel of a run over time."""
    return pitch_and_travel(run.series, run.summary, Conditions.of(run.scenario))


@picture(
    Run,
    "with_and_without",
    "The same case with its squat support and with the support cancelled on the shock line. What "
    "lies between the lines is what squat support does.",
    rank=3,
    when=lambda scenario: scenario.without_support,
)
def of_support(run: Run) -> Figure:
    """Pitch and travel of a run with and without squat support."""
    if run.counterfactual is None:
        raise ValueError(
            "a run without its counterfactual: simulate(scenario, without_support=True) makes one"
        )
    conditions = Conditions.of(run.scenario)
    cases = {
        "with squat support": (run.series, run.summary),
        "without": (run.counterfactual.series, run.counterfactual.summary),
    }
    return overlay(cases, support_headline(run.summary, conditions), conditions.text)


@picture(
    Comparison,
    "comparison",
    "Each line bears the name of its case at its end; pitch on top, below it the travel of the rear "
    "and of the front shocks. A pale band along a line means a stop, a cross a run that ended "
    "early.",
    rank=0,
)
def of_comparison(result: Comparison) -> Figure:
    """Pitch and travel of all cases on shared axes; those without squat support are dotted."""
    conditions, others = Conditions.of(result.scenario), {}
    for name, run in result.runs.items():
        if run.counterfactual is not None:
            others[name] = run.counterfactual.series
    cases = {name: (run.series, run.summary) for name, run in result.runs.items()}
    return overlay(cases, result.headline, conditions.text, others)
