"""Pitch and both travels of several runs on shared axes."""

from collections.abc import Mapping, Sequence

from matplotlib.axes import Axes
from matplotlib.figure import Figure

from simcore.results.conditions import Conditions
from simcore.results.headlines.run import how_it_ends, support_headline
from simcore.results.reliability import ended_early
from simcore.results.run import Run
from simcore.results.stages import Stage, Why, stages
from simcore.studies.compare import Comparison
from simcore.views.catalogue import picture
from simcore.views.pictures.frame import Frame, bracket, happenings, note, over_time, standing_apart
from simcore.views.pictures.layout import room
from simcore.views.pictures.names import Named, name_lines
from simcore.views.pictures.style import case_look, styled
from simcore.views.pictures.timelines import explain_stops, line, mark_stops
from simcore.views.sketch import Sketch, sketch_of

COLUMNS = (
    ("pitch_to_ground_deg", "pitch to ground at start, deg\n(nose-up positive)", 1.0),
    ("rear_travel_mm", "rear travel, mm\n(more = compressed)", 3.0),
    ("front_travel_mm", "front travel, mm\n(more = compressed)", 3.0),
)
MOST_DRAWN = 4  # rigs in a row
TELLING = (Why.LOST, Why.PITCH, Why.COURSE, Why.END)


@styled
def overlay(
    runs: Mapping[str, Run], answer: str, question: str, without: Mapping[str, Run] | None = None
) -> Figure:
    """Pitch and both travels of several runs on shared axes, and drawings of some of them.

    Parameters
    ----------
    runs : by the names of their cases, the base first
    answer, question : the finding, and what was asked of which rig
    without : name to the same case without squat support, drawn dotted
    """
    others, base = without or {}, next(iter(runs.values()))
    visible = Conditions.of(base.scenario).visible
    apart = standing_apart([run.series for run in runs.values()], visible)
    asked = f"{question}\n{apart}" if apart else question
    frame = over_time(runs, (2.8, 2.4, 2.4), answer, asked, drawings(runs), noted=bool(others))
    for axis, (column, label, least) in zip(frame.panels, COLUMNS, strict=True):
        axis.set_ylabel(label)
        ends = _draw_cases(frame, axis, runs, column, others)
        room(axis, least)
        starts = [float(run.series[column].iloc[0]) for run in runs.values()]
        unit = "deg" if column.endswith("_deg") else "mm"
        if frame.span.start == 0.0 and max(starts) - min(starts) >= visible[unit]:
            bracket(axis, starts)
        name_lines(axis, ends)
    return frame.figure


def _draw_cases(
    frame: Frame, axis: Axes, runs: Mapping[str, Run], column: str, without: Mapping[str, Run]
) -> list[Named]:
    """One column of every case; a cross where a run ended early, a pale band on a stop."""
    ends, said = [], []
    for k, (name, run) in enumerate(runs.items()):
        colour, dash = case_look(k)
        table = frame.shown(run.series)
        more = how_it_ends(run.summary, run.scenario) if column.startswith("pitch") else ""
        ends.append(line(axis, table, table[column], name, colour, dash, more))
        if name in without:
            other = frame.shown(without[name].series)
            axis.plot(other["time_s"], other[column], color=colour, ls=":", lw=1.6)
        if column.endswith("_travel_mm"):
            said += mark_stops(axis, table, column.removesuffix("_travel_mm"), colour)
        if ended_early(run.summary):
            axis.plot(*ends[-1].end, "x", color=colour, ms=9, mew=2.5)
    explain_stops(axis, said)
    if without:
        note(axis, "dotted: without squat support", right=False)
    return ends


# --- which rigs are drawn ---


def drawings(runs: Mapping[str, Run]) -> list[Sketch]:
    """The base at its start, then the cases that differ most, each at its decisive instant."""
    told = {
        name: stages(run.series, run.outcome, happenings(run), run.scenario.visible)
        for name, run in runs.items()
    }
    base, first = next(iter(runs)), next(iter(runs.values()))
    found = [sketch_of(first, told[base][0], base if len(runs) > 1 else "", case_look(0)[0])]
    for name in _differing_most(runs, {name: _telling(own) for name, own in told.items()}):
        stage, colour = _telling(told[name]), case_look(list(runs).index(name))[0]
        found.append(sketch_of(runs[name], stage, name, colour))
    return found


def _telling(told: Sequence[Stage]) -> Stage:
    """The instant that tells most of a run."""
    return min(told, key=lambda stage: TELLING.index(stage.why) if stage.why in TELLING else len(TELLING))


def _differing_most(runs: Mapping[str, Run], telling: Mapping[str, Stage]) -> list[str]:
    """Names of the cases to draw, in the order of the runs: those that were lost, then one by one the case
    whose pitch is farthest from those of the chosen ones, beginning with the highest. A base that stays as
    it stood is drawn already, and gives way to others.
    """
    names = list(runs)
    if telling[names[0]].why is Why.END and len(names) >= MOST_DRAWN:
        names = names[1:]
    pitch = {name: float(runs[name].series["pitch_to_ground_deg"].iloc[telling[name].row]) for name in names}
    chosen = [name for name in names if telling[name].why is Why.LOST][: MOST_DRAWN - 1]
    while len(chosen) < min(len(names), MOST_DRAWN - 1):
        left = [name for name in names if name not in chosen]
        apart = {
            name: min((abs(pitch[name] - pitch[other]) for other in chosen), default=pitch[name])
            for name in left
        }
        chosen.append(max(left, key=lambda name: apart[name]))
    return [name for name in runs if name in chosen]


@picture(
    "The same case with its squat support and with the support cancelled on the shock line. What "
    "lies between the lines is what squat support does.",
)
def of_support(run: Run) -> Figure:
    """Pitch and travel of a run with and without squat support."""
    if run.counterfactual is None:
        raise ValueError(
            "a run without its counterfactual: simulate(scenario, without_support=True) makes one"
        )
    conditions = Conditions.of(run.scenario)
    cases = {"with squat support": run, "without": run.counterfactual}
    return overlay(cases, support_headline(run.summary, conditions), conditions.text)


@picture(
    "On top the rig at the instants that matter, to scale, in the colours of the cases (ice is blue); dotted "
    "lines mark what happens in all of them, ticks what does at other times. Each line bears the name of its "
    "case at its end; a cross is a run that ended early.",
)
def of_comparison(result: Comparison) -> Figure:
    """Pitch and travel of all cases on shared axes; those without squat support are dotted."""
    conditions = Conditions.of(result.scenario)
    others = {name: run.counterfactual for name, run in result.runs.items() if run.counterfactual is not None}
    return overlay(result.runs, result.headline, conditions.text, others)
