"""Who carries the load: the accounts of a run over time, and pitch against front load for several runs."""

from collections.abc import Mapping

import pandas as pd
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from simcore.results.conditions import Conditions
from simcore.results.headlines.cases import front_load_headline
from simcore.results.headlines.run import load_headline
from simcore.results.run import Run
from simcore.studies.compare import Comparison
from simcore.units import GRAMS
from simcore.views.catalogue import picture
from simcore.views.pictures.style import COLOURS, DASHES, QUIET, name_ends, panels, room, styled
from simcore.views.pictures.timelines import Case, look

BLACK, BLUE, ORANGE, GREEN, PURPLE, OLIVE = (COLOURS[k] for k in (6, 0, 1, 2, 3, 4))
LEAST_SEEN = 0.02  # of the largest line; smaller ones are left out
CG_SHIFT = "links and springs"
ALWAYS = ("squat support", CG_SHIFT)
BUDGET = {
    "slope": ("slope", BLUE),
    "acceleration": ("acceleration", ORANGE),
    "inertia": ("turning and spin-up", PURPLE),
    "cg_shift": (CG_SHIFT, GREEN),
    "contact_shift": ("tyres and ground", OLIVE),
    "skid": ("skids", COLOURS[7]),
}


def _draw(axis: Axes, times: pd.Series, lines: Mapping[str, tuple[pd.Series, str]], least: float) -> None:
    """Lines with their names at their ends; the first is the sum and drawn bold. The axis spans `least`."""
    ends, largest = [], max(float(values.abs().max()) for values, _ in lines.values())
    for k, (name, (values, colour)) in enumerate(lines.items()):
        if k and name not in ALWAYS and float(values.abs().max()) < LEAST_SEEN * largest:
            continue
        axis.plot(times, values, color=colour, ls=DASHES[k % len(DASHES)], lw=3.0 if k == 0 else 2.0)
        known = values.dropna()
        ends.append((float(times.iloc[-1]), float(known.iloc[-1]) if len(known) else 0.0, name, colour))
    axis.axhline(0.0, color=QUIET, lw=0.8)
    room(axis, least)
    name_ends(axis, ends)


@styled
def load_account(table: pd.DataFrame, answer: str, question: str) -> Figure:
    """Change of load of both axles and what carries it; what the front load is made of.

    Parameters
    ----------
    table : series of a run
    answer, question : the finding, and what was asked of which rig
    """
    figure, axes = panels((2.5, 2.5, 2.7), answer, question)
    times = table["time_s"]
    for axis, axle in zip(axes, ("rear", "front"), strict=False):
        names = ("demand", "support", "demand_on_shock", "friction_share")
        change, support, shocks, friction = (table[f"{axle}_{name}_N"] * GRAMS for name in names)
        lines = {
            "change of load": (change, BLACK),
            "squat support": (support, BLUE),
            "shocks, friction included": (shocks, ORANGE),
            "axle mass": (change - support - shocks, GREEN),
            "friction alone": (friction, PURPLE),
        }
        _draw(axis, times, lines, 100.0)
        axis.set_ylabel(f"{axle} tyres, g\n(against level stand)")
    terms = {"all together": (table["front_load_N"] - table["budget_level_N"], BLACK)}
    terms |= {words: (table[f"budget_{name}_N"], colour) for name, (words, colour) in BUDGET.items()}
    _draw(axes[2], times, {name: (values * GRAMS, colour) for name, (values, colour) in terms.items()}, 20.0)
    axes[2].set_ylabel("front load, g\n(against level stand)")
    return figure


@styled
def pitch_and_front_load(cases: Mapping[str, Case], answer: str, question: str) -> Figure:
    """Pitch in degrees beside the front tyres' load in grams, and the part of it that links and springs move.

    Parameters
    ----------
    cases : name to (series, summary), the base first
    answer, question : the finding, and what was asked of which rig
    """
    figure, axes = panels((2.6, 2.4, 2.2), answer, question)
    columns = (
        ("pitch_to_ground_deg", 1.0, "pitch to ground at start, deg\n(nose-up positive)", 1.0),
        ("front_load_N", GRAMS, "front tyres' load, g\n(all of it)", 0.0),
        ("budget_cg_shift_N", GRAMS, "moved by links\nand springs, g", 40.0),
    )
    for axis, (column, factor, label, least) in zip(axes, columns, strict=True):
        ends = []
        for k, (name, (table, _)) in enumerate(cases.items()):
            colour, dash = look(k)
            values = table[column] * factor
            axis.plot(table["time_s"], values, color=colour, ls=dash)
            ends.append((float(table["time_s"].iloc[-1]), float(values.iloc[-1]), name, colour))
        if least:
            room(axis, least)
        else:
            axis.set_ylim(0.0, 1.1 * axis.get_ylim()[1])
        axis.set_ylabel(label)
        name_ends(axis, ends)
    return figure


@picture(
    Run,
    "load_account",
    "The black line is the change of load, the others are what carries it; what the shocks carry "
    "shows as travel, what the links carry does not. Below, the front load in grams, by what takes "
    "it away.",
    rank=1,
)
def of_run(run: Run) -> Figure:
    """Who carries the change of load in a run, and what the front load is made of."""
    return load_account(
        run.series, load_headline(run.summary, Conditions.of(run.scenario)), Conditions.of(run.scenario).text
    )


@picture(
    Comparison,
    "pitch_and_front_load",
    "Pitch in degrees on top, the whole load of the front tyres in grams below it. The last panel "
    "is the part of that load that links and springs can move at all.",
    rank=1,
)
def of_comparison(result: Comparison) -> Figure:
    """Pitch of all cases beside the front tyres' load."""
    cases = {name: (run.series, run.summary) for name, run in result.runs.items()}
    conditions = Conditions.of(result.scenario)
    answer = front_load_headline(result.jobs, result.scenario.cases(), conditions)
    return pitch_and_front_load(cases, answer, conditions.text)
