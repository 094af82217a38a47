"""Pitch, shock travel, squat support and speed of one run over time."""

from collections.abc import Sequence
from typing import Any

import numpy as np
import pandas as pd
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from simcore.results.conditions import Conditions
from simcore.results.headlines.run import how_it_ends, run_headline
from simcore.results.run import Run
from simcore.results.stages import stages
from simcore.views.catalogue import picture
from simcore.views.pictures.bands import state_band
from simcore.views.pictures.frame import happenings, note, over_time
from simcore.views.pictures.layout import room
from simcore.views.pictures.names import Named, name_lines
from simcore.views.pictures.style import BLACK, DASHES, FRONT_COLOUR, QUIET, REAR_COLOUR, styled
from simcore.views.sketch import sketches_of

SIDES = (("rear", "rear shocks", REAR_COLOUR), ("front", "front shocks", FRONT_COLOUR))
STOPS = {"bump_stop": "bottomed out", "droop_stop": "topped out"}


def line(
    axis: Axes,
    table: pd.DataFrame,
    values: pd.Series,
    name: str,
    colour: str,
    dash: Any = "-",
    more: str = "",
) -> Named:
    """Draw a line over time; gives what names it."""
    axis.plot(table["time_s"], values, color=colour, ls=dash)
    return Named(name, colour, table["time_s"].to_numpy(float), values.to_numpy(float), more)


def mark_stops(axis: Axes, table: pd.DataFrame, side: str, colour: str) -> list[str]:
    """Pale band along a travel line where its shocks sit on a stop; gives on which ones, in words."""
    pressed = {name: table[f"{side}_{name}_N"].abs().to_numpy() > 0.0 for name in STOPS}
    either = np.any(list(pressed.values()), axis=0)
    travel = np.where(either, table[f"{side}_travel_mm"], np.nan)
    axis.plot(table["time_s"], travel, color=colour, lw=9.0, alpha=0.25, solid_capstyle="butt")
    return [words for name, words in STOPS.items() if pressed[name].any()]


def explain_stops(axis: Axes, found: Sequence[str]) -> None:
    """Say what a pale band means, if there is one."""
    said = list(dict.fromkeys(found))
    if set(said) == set(STOPS.values()):
        said = ["bottomed out at the top, topped out at the bottom"]
    if said:
        note(axis, f"pale band: {', '.join(said)}")


@styled
def pitch_and_travel(run: Run, answer: str, question: str) -> Figure:
    """Pitch, travel of both ends, what becomes of squat support, and tread speed against ground speed.

    Parameters
    ----------
    run : what to draw
    answer, question : the finding, and what was asked of which rig
    """
    told = stages(run.series, run.outcome, happenings(run), run.scenario.visible)
    drawn = sketches_of(run, told)
    frame = over_time({run.scenario.case: run}, (2.6, 2.6, 0.85, 2.2), answer, question, drawn)
    pitch, travel, band, speed = frame.panels
    table = frame.shown(run.series)
    values, start = table["pitch_to_ground_deg"], float(run.series["pitch_to_ground_deg"].iloc[0])
    ends = [line(pitch, table, values, "chassis", BLACK, more=how_it_ends(run.summary, run.scenario))]
    pitch.axhline(start, color=QUIET, lw=1.0, ls="--")
    times = table["time_s"].to_numpy(float)
    ends.append(Named("standing at the start", QUIET, times, np.full(len(times), start)))
    room(pitch, 1.0)
    pitch.set_ylabel("pitch to ground at start, deg\n(nose-up positive)")
    peak = int((values - start).abs().to_numpy().argmax())
    pitch.plot(table["time_s"].iloc[peak], values.iloc[peak], "o", color=BLACK, ms=6)
    name_lines(pitch, ends)
    _travels(travel, table)
    state_band(band, table)
    _speeds(speed, table)
    return frame.figure


def _travels(axis: Axes, table: pd.DataFrame) -> None:
    """Travel of both ends, with pale bands on stops."""
    ends, said = [], []
    for (side, name, colour), dash in zip(SIDES, DASHES, strict=False):
        ends.append(line(axis, table, table[f"{side}_travel_mm"], name, colour, dash))
        said += [f"{side} {stop}" for stop in mark_stops(axis, table, side, colour)]
    explain_stops(axis, said)
    room(axis, 3.0)
    axis.set_ylabel("shock travel, mm\n(more = compressed)")
    name_lines(axis, ends)


def _speeds(axis: Axes, table: pd.DataFrame) -> None:
    """Ground speed, and both treads' speed: where they part, the tyres slip."""
    ground = table["speed_m_per_s"]
    ends = [line(axis, table, ground, "ground", QUIET)]
    for (side, _, colour), dash in zip(SIDES, DASHES, strict=False):
        tread = ground + table[f"{side}_slip_speed_m_per_s"]
        ends.append(line(axis, table, tread, f"{side} tread", colour, dash))
    room(axis, 0.1)
    axis.set_ylabel("speed, m/s\n(apart = slip)")
    name_lines(axis, ends)


@picture(
    "On top the rig at the instants that matter, to scale (ice is blue); dotted lines mark what happens. The "
    "upper panels show the nose and both ends: a rising travel line is an end that squats. The band below "
    "says what becomes of the squat support, and in the last panel tyres slip where tread and ground part.",
)
def of_run(run: Run) -> Figure:
    """Pitch and shock travel of a run over time."""
    conditions = Conditions.of(run.scenario)
    return pitch_and_travel(run, run_headline(run.summary, conditions), conditions.text)
