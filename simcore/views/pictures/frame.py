"""What every picture over time stands in: the part of the run that it shows, marks of what happens, drawings
of the rig.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
import pandas as pd
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from simcore.results.moments import Happening, compared, moments
from simcore.results.run import Run
from simcore.views.pictures.layout import LEFT, RIGHT, panels
from simcore.views.pictures.marks import draw_strip, strip_of
from simcore.views.pictures.rig_sketch import LEFT as ROW_LEFT
from simcore.views.pictures.rig_sketch import RIGHT as ROW_RIGHT
from simcore.views.pictures.rig_sketch import draw_row, row_of
from simcore.views.pictures.span import Span, span_of
from simcore.views.pictures.style import QUIET, SMALL, WIDTH, case_look
from simcore.views.sketch import Sketch

ALIKE = 0.01  # of the time shown; what happens no further apart happens at once
AIR = 0.06  # inches between drawings, strip and panels
NOTE = 0.22  # inches of a note above a panel
TRAVELS = {"rear_travel_mm": "rear", "front_travel_mm": "front"}


@dataclass(frozen=True)
class Frame:
    """A figure over time, ready to draw into.

    Attributes
    ----------
    figure, panels : the panels from above, their time axis set
    span : the part of the runs that is shown
    """

    figure: Figure
    panels: Sequence[Axes]
    span: Span

    def shown(self, table: pd.DataFrame) -> pd.DataFrame:
        """Rows of a series that are shown."""
        return self.span.of(table)


def happenings(run: Run) -> list[Happening]:
    """What happens in a run."""
    return moments(run.series, run.motion, run.outline, run.scenario)


def over_time(
    runs: Mapping[str, Run],
    heights: Sequence[float],
    answer: str,
    question: str,
    sketches: Sequence[Sketch] = (),
    noted: bool = False,
) -> Frame:
    """Figure of panels over time, with what happens in the runs marked, and drawings above.

    Parameters
    ----------
    runs : by the names of their cases, the base first
    heights, answer, question : as for `panels`
    sketches : drawings of the rig
    noted : whether a note stands right above the first panel
    """
    happened = {name: happenings(run) for name, run in runs.items()}
    every = [one for own in happened.values() for one in own]
    others = [run.counterfactual for run in runs.values() if run.counterfactual is not None]
    tables = [run.series for run in (*runs.values(), *others)]
    span = span_of(tables, next(iter(runs.values())).scenario.visible, every)
    common, differing = compared(happened, ALIKE * (span.end - span.start))
    strip = strip_of(common, differing, span.limits, WIDTH * (RIGHT - LEFT))
    row = row_of(sketches)
    along = f"time, s\n({span.words})" if span.words else "time, s"
    gap = NOTE if noted else AIR
    above = strip.height + row.height + gap * bool(strip.height) + AIR * bool(row.height)
    figure, axes = panels(heights, answer, question, along, above)
    axes[0].set_xlim(*span.limits)
    total, top = figure.get_figheight(), axes[0].get_position().y1
    bottom = top + gap / total
    if strip.height:
        place = (LEFT, bottom, RIGHT - LEFT, strip.height / total)
        colours = {name: case_look(k)[0] for k, name in enumerate(runs)}
        draw_strip(strip, figure.add_axes(place, label="marks"), axes, colours)
        bottom += (strip.height + AIR) / total
    if row.height:
        place = (ROW_LEFT, bottom, ROW_RIGHT - ROW_LEFT, row.height / total)
        draw_row(row, figure.add_axes(place, label="drawings"))
    return Frame(figure, axes, span)


def note(axis: Axes, words: str, right: bool = True) -> None:
    """A note right above a panel, where nothing is drawn, at its right or left end."""
    axis.annotate(
        words,
        (1.0 if right else 0.0, 1.0),
        xycoords="axes fraction",
        xytext=(0, 3),
        textcoords="offset points",
        ha="right" if right else "left",
        va="bottom",
        color=QUIET,
        fontsize=SMALL,
        annotation_clip=False,
    )


# --- while the runs stand ---


def standing_apart(tables: Sequence[pd.DataFrame], visible: Mapping[str, float]) -> str:
    """How far runs are apart while they still stand, and how far at most later; empty if a viewer sees no
    difference then.

    Parameters
    ----------
    tables : series of the runs
    visible : the least difference that a viewer sees, by unit
    """
    columns = {"pitch_to_ground_deg": ("pitch", "°", visible["deg"])}
    columns |= {column: (f"{name} travel", " mm", visible["mm"]) for column, name in TRAVELS.items()}
    said = []
    for column, (name, unit, least) in columns.items():
        before = _spread([table[column].iloc[:1] for table in tables])
        if before >= least:
            after = _largest_spread(tables, column)
            later = f" (later up to {after:.1f}{unit})" if after - before >= least else ""
            said.append(f"{name} {before:.1f}{unit}{later}")
    return f"Apart already while standing: {', '.join(said)}" if said else ""


def _spread(values: Sequence[pd.Series]) -> float:
    firsts = [float(one.iloc[0]) for one in values]
    return max(firsts) - min(firsts)


def _largest_spread(tables: Sequence[pd.DataFrame], column: str) -> float:
    """Largest distance between runs at one time, as long as all of them last."""
    times = tables[0]["time_s"]
    times = times[times <= min(float(table["time_s"].iloc[-1]) for table in tables)]
    values = np.array([np.interp(times, table["time_s"], table[column]) for table in tables])
    return float(np.ptp(values, axis=0).max())


def bracket(axis: Axes, values: Sequence[float]) -> None:
    """A bracket at the left end of a panel around where runs stand."""
    left, right = axis.get_xlim()
    x = left + 0.008 * (right - left)
    axis.plot([x, x], [min(values), max(values)], color=QUIET, lw=1.4, marker="_", ms=7, mew=1.4)
