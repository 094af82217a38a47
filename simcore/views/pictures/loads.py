"""Who carries the load: the accounts of a run over time, and pitch against front load for several runs."""

from collections.abc import Mapping

import pandas as pd
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from simcore.results.conditions import Conditions
from simcore.results.headlines.cases import front_load_headline
from simcore.results.headlines.loads import load_headline, shares
from simcore.results.headlines.run import how_it_ends
from simcore.results.headlines.side_load import side_load_remark
from simcore.results.run import Run
from simcore.studies.compare import Comparison
from simcore.units import GRAMS
from simcore.views.account_lines import CG_SHIFT, budget_lines, load_lines, telling
from simcore.views.catalogue import picture
from simcore.views.pictures.frame import Frame, note, over_time
from simcore.views.pictures.layout import room
from simcore.views.pictures.names import Named, name_lines
from simcore.views.pictures.style import (
    BLACK,
    BLUE,
    DASHES,
    GREEN,
    INDIGO,
    QUIET,
    SKY,
    VERMILION,
    WINE,
    case_look,
    styled,
)
from simcore.views.pictures.timelines import line

COLOURS = {
    "change of load": BLACK,
    "links hold": BLUE,
    "moves the shock": VERMILION,
    "axle mass": GREEN,
    "friction in the shock": WINE,
    "all together": BLACK,
    "slope": BLUE,
    "acceleration": VERMILION,
    "turning and spin-up": WINE,
    CG_SHIFT: GREEN,
    "tyres and ground": INDIGO,
    "skids": SKY,
}
HOW_TO_READ = """\
Change of load (black) = links hold + moves the shock + axle mass.
Only what moves the shock is seen as travel."""


def _draw(frame: Frame, axis: Axes, times: pd.Series, lines: Mapping[str, pd.Series], least: float) -> None:
    """Lines with their names at their ends; the first is the sum and drawn bold. The axis spans `least`."""
    ends, shown = [], telling(lines)
    for k, (name, values) in enumerate(lines.items()):
        if name in shown:
            dash = DASHES[k % len(DASHES)]
            axis.plot(times, values, color=COLOURS[name], ls=dash, lw=3.0 if k == 0 else 2.0)
            ends.append(Named(name, COLOURS[name], times.to_numpy(float), values.to_numpy(float)))
    axis.axhline(0.0, color=QUIET, lw=0.8)
    room(axis, least)
    name_lines(axis, ends)


@styled
def load_account(run: Run, answer: str, question: str) -> Figure:
    """Change of load of both axles and what carries it; what the front load is made of.

    Parameters
    ----------
    run : what to draw
    answer, question : the finding, and what was asked of which rig
    """
    heights = (2.5, 2.5, 2.7)
    frame = over_time({run.scenario.case: run}, heights, answer, f"{question}\n{HOW_TO_READ}", noted=True)
    table = frame.shown(run.series)
    times = table["time_s"]
    for axis, axle in zip(frame.panels, ("rear", "front"), strict=False):
        _draw(frame, axis, times, load_lines(table, axle), 100.0)
        axis.set_ylabel(f"{axle} tyres, g\n(against level stand)")
        note(axis, shares(run.series, axle).words)
    axis = frame.panels[2]
    _draw(frame, axis, times, budget_lines(table), 20.0)
    axis.set_ylabel("front load, g\n(against level stand)")
    note(axis, "what takes it away; links and springs can change the green line alone")
    return frame.figure


@styled
def pitch_and_front_load(runs: Mapping[str, Run], answer: str, question: str) -> Figure:
    """Pitch in degrees beside the front tyres' load in grams, and the part of it that links and springs move.

    Parameters
    ----------
    runs : by the names of their cases, the base first
    answer, question : the finding, and what was asked of which rig
    """
    frame = over_time(runs, (2.6, 2.4, 2.2), answer, question)
    columns = (
        ("pitch_to_ground_deg", 1.0, "pitch to ground at start, deg\n(nose-up positive)", 1.0),
        ("front_load_N", GRAMS, "front tyres' load, g\n(all of it)", 0.0),
        ("budget_cg_shift_N", GRAMS, "moved by links\nand springs, g", 40.0),
    )
    for axis, (column, factor, label, least) in zip(frame.panels, columns, strict=True):
        ends = []
        for k, (name, run) in enumerate(runs.items()):
            table, more = (
                frame.shown(run.series),
                how_it_ends(run.summary, run.scenario) if column.startswith("pitch") else "",
            )
            ends.append(line(axis, table, table[column] * factor, name, *case_look(k), more=more))
        if least:
            room(axis, least)
        else:
            axis.set_ylim(0.0, 1.1 * axis.get_ylim()[1])
        axis.set_ylabel(label)
        name_lines(axis, ends)
    return frame.figure


@picture(
    "The black line is the change of load, the others are what carries it; what the shocks carry "
    "shows as travel, what the links carry does not. Below, the front load in grams, by what takes "
    "it away.",
)
def of_run(run: Run) -> Figure:
    """Who carries the change of load in a run, and what the front load is made of."""
    conditions = Conditions.of(run.scenario)
    return load_account(run, load_headline(run.summary, run.series, conditions), conditions.text)


@picture(
    "Pitch in degrees on top, the whole load of the front tyres in grams below it. The last panel "
    "is the part of that load that links and springs can move at all.",
)
def of_comparison(result: Comparison) -> Figure:
    """Pitch of all cases beside the front tyres' load."""
    conditions = Conditions.of(result.scenario)
    answer = front_load_headline(result.jobs, result.scenario.cases(), conditions)
    left_out = side_load_remark(result.summaries, ["front_load_mean_N"])
    return pitch_and_front_load(result.runs, answer, f"{conditions.text}\n{left_out}")
