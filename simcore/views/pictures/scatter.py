"""What bench error leaves of an answer: differences with their intervals, and bands of the motion."""

import textwrap

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.ticker import MaxNLocator

from simcore.results.formatting import said_factor, said_unit
from simcore.results.headlines.scatter import Answer, signed, usual_words
from simcore.results.headlines.sensitivity import quantity_of
from simcore.results.scatter import INSIDE, Verdict
from simcore.studies.drawn_runs import CURVES
from simcore.studies.scattered import Spread
from simcore.views.catalogue import picture
from simcore.views.pictures.layout import page, panels
from simcore.views.pictures.style import BLUE, QUIET, SMALL, VERMILION, case_look, ink, styled

ROW, LEFT, RIGHT = 0.55, 0.24, 0.80
NAME, WORDS = 24, 20  # letters in a row
MOST, PANELS = 6, 3  # cases in a panel, panels
AXES = {"pitch_deg": "pitch, deg", "rear_travel_mm": "rear travel, mm", "front_travel_mm": "front travel, mm"}


def grouped(answers: tuple[Answer, ...]) -> list[list[Answer]]:
    """Figures that have an interval, by their metric; the first few of both."""
    found: dict[str, list[Answer]] = {}
    for one in answers:
        if one.interval is not None:
            found.setdefault(one.figure.metric, []).append(one)
    return [group[:MOST] for group in list(found.values())[:PANELS]]


@styled
def _intervals(result: Spread) -> Figure:
    groups = grouped(result.answers)
    marks = (
        f"Dot: median of {result.draws} draws. Bar: {100 * INSIDE:.0f} of 100 draws. Grey: too small to see."
    )
    paired = any(one.alone is not None for group in groups for one in group)
    marks += " Thin line: the same bar of the case alone, as wide as it is without pairs." if paired else ""
    question = "\n".join(text for text in (result.asked, marks, usual_words(result.counted)) if text)
    rows = max(map(len, groups), default=1)
    height = ROW * max(rows, 2) + 0.25
    figure, axes = page(
        max(len(groups), 1), 1, height, result.headline, question, left=LEFT, right=RIGHT, gap=1.05
    )
    for panel, group in zip(axes, groups, strict=False):
        _draw(panel, group)
    if not groups:
        axes[0].set_axis_off()
    return figure


def _draw(panel: Axes, group: list[Answer]) -> None:
    """Intervals of one metric."""
    metric, factor = group[0].figure.metric, said_factor(group[0].figure.metric)
    seen = group[0].figure.seen * factor
    if group[0].figure.less:
        panel.axvspan(-seen, seen, color="#E6E6E6", lw=0.0, zorder=0)
        panel.axvline(0.0, color="black", lw=1.2, zorder=1)
    for place, one in enumerate(group):
        if one.interval is not None:
            _draw_one(panel, place, one, factor)
    names = [
        textwrap.fill(textwrap.shorten(one.figure.case, 2 * NAME, placeholder="…"), NAME) for one in group
    ]
    panel.set_yticks(range(len(group)), names)
    panel.tick_params(axis="y", length=0, labelsize=11, pad=6)
    panel.grid(visible=False, axis="y")
    panel.set_ylim(len(group) - 0.4, -0.6)
    panel.xaxis.set_major_locator(MaxNLocator(6))
    less = (
        f' to "{textwrap.shorten(group[0].figure.less, 30, placeholder="…")}"' if group[0].figure.less else ""
    )
    panel.set_xlabel(f"{quantity_of(group[0].figure)}{less}, {said_unit(metric) or 'no unit'}")


def _draw_one(panel: Axes, place: int, one: Answer, factor: float) -> None:
    """Interval, median and verdict of one figure."""
    found = one.interval
    if found is None:
        return
    lost = one.verdict in (Verdict.LOST, Verdict.UNSEEN)
    colour = QUIET if lost else BLUE
    low, middle, high = (factor * x for x in (found.low, found.middle, found.high))
    panel.barh([place], [high - low], left=[low], height=0.34, color=colour, alpha=0.45, lw=0.0, zorder=2)
    panel.plot([middle], [place], "D" if lost else "o", color=colour, ms=8, zorder=4)
    if one.alone is not None:
        half = factor * one.alone.half
        panel.plot([middle - half, middle + half], [place] * 2, "|-", color=VERMILION, lw=1.0, ms=9, zorder=3)
    words = signed(one.figure, found.middle)
    words += f", {one.verdict.value}" if one.verdict is not None else ""
    panel.annotate(
        textwrap.fill(words, WORDS),
        (1.01, place),
        xycoords=("axes fraction", "data"),
        va="center",
        fontsize=SMALL,
        color=ink(colour),
    )


@picture(
    "Every bar is where a figure lies in 95 of 100 draws of the rig's numbers within their errors; every "
    "case has the same draws. A bar across nought is lost in bench error.",
    says=lambda result: bool(grouped(result.answers)),
)
def of_spread(result: Spread) -> Figure:
    """Differences with their intervals."""
    return _intervals(result)


def drawn_cases(result: Spread) -> list[str]:
    """Cases of which there is a band."""
    found = [case for case in result.cases if np.isfinite(result.bands[case]["pitch_deg"]).any()]
    return found[:MOST]


@styled
def _bands(result: Spread) -> Figure:
    cases = drawn_cases(result)
    question = (
        f"{result.asked}\nLine: median of the draws in which the job was done. Band: 90 of 100 of them, at "
        "every instant."
    )
    figure, axes = panels([2.6, 1.9, 1.9], result.headline, question)
    for panel, column in zip(axes, CURVES, strict=True):
        ends = []
        for case in cases:
            colour, dash = case_look(result.cases.index(case))
            low, middle, high = result.bands[case][column]
            known = np.isfinite(middle)
            panel.fill_between(result.times[known], low[known], high[known], color=colour, alpha=0.22, lw=0.0)
            panel.plot(result.times[known], middle[known], color=colour, ls=dash)
            ends.append((float(result.times[known][-1]), float(middle[known][-1]), case, colour))
        panel.set_ylabel(AXES[column])
        if panel is axes[0]:
            ordered = sorted(ends, key=lambda end: -end[1])
            for row, (_, _, case, colour) in enumerate(ordered):
                name = textwrap.fill(textwrap.shorten(case, 2 * 20, placeholder="…"), 20)
                place = 1.0 - (row + 0.5) / max(len(ends), 2)
                panel.annotate(
                    name,
                    (1.02, place),
                    xycoords="axes fraction",
                    va="center",
                    fontsize=SMALL,
                    color=ink(colour),
                )
    return figure


@picture(
    "Lines are medians over draws of the rig's numbers within their errors, bands hold 90 of 100 draws at "
    "every instant. Draws that did not do their job are left out.",
    says=lambda result: bool(drawn_cases(result)),
)
def bands_of_spread(result: Spread) -> Figure:
    """Pitch and travel over time with their bands."""
    return _bands(result)
