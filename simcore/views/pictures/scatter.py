"""What bench error leaves of an answer: differences with their intervals, and bands of the motion."""

import textwrap
from typing import NamedTuple

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.ticker import MaxNLocator

from simcore.results.catalogue import label_of
from simcore.results.formatting import said_factor, said_unit
from simcore.results.headlines.scatter import Answer, bar_words, usual_words, valued
from simcore.results.headlines.sensitivity import quantity_of
from simcore.results.scatter import Verdict
from simcore.studies.drawn_runs import CURVES
from simcore.studies.scattered import Spread
from simcore.views.catalogue import picture
from simcore.views.pictures.layout import FOOT, headed, page
from simcore.views.pictures.style import BLUE, QUIET, SMALL, VERMILION, ink, styled

ROW, LEFT, RIGHT = 0.55, 0.24, 0.80
NAME, WORDS = 24, 20  # letters in a row
MOST, PANELS, BARS = 6, 3, 12  # bars in a panel, panels; bars where there are few panels
COLUMNS = 4  # cases whose bands are drawn
HEIGHTS, BETWEEN, ABOVE = (2.3, 1.7, 1.7), 0.22, 0.35  # inches: of rows of bands, between and above them
TITLE = 88  # letters over all columns
FEWEST_OF_BAND = 19  # draws, from which on a band leaves some out at both ends
SHORTER = {Verdict.UNSEEN: "too small to see"}
AXES = {"pitch_deg": "pitch, deg", "rear_travel_mm": "rear travel, mm", "front_travel_mm": "front travel, mm"}


def grouped(answers: tuple[Answer, ...]) -> list[list[Answer]]:
    """Figures that have an interval, by their metric: those of the first metrics that are the largest."""
    groups = list(_by_metric(answers).values())[:PANELS]
    most = max(MOST, BARS // len(groups)) if groups else 0
    return [_largest(group, most) for group in groups]


def _by_metric(answers: tuple[Answer, ...]) -> dict[str, list[Answer]]:
    found: dict[str, list[Answer]] = {}
    for one in answers:
        if one.interval is not None:
            found.setdefault(one.figure.metric, []).append(one)
    return found


def _largest(group: list[Answer], most: int) -> list[Answer]:
    """The largest figures of a metric, in their order."""
    kept = sorted(group, key=lambda one: -abs(one.interval.middle) if one.interval else 0.0)[:most]
    return [one for one in group if one in kept]


def not_drawn(answers: tuple[Answer, ...]) -> list[str]:
    """Which figures have no bar, in words."""
    every, said = _by_metric(answers), []
    for group in grouped(answers):
        metric = group[0].figure.metric
        left = [one.figure.case for one in every.pop(metric) if one not in group]
        said += [f"Not drawn, smaller in {label_of(metric)}: {', '.join(left)}."] if left else []
    said += [f"Not drawn: {', '.join(map(label_of, every))}."] if every else []
    few = dict.fromkeys(one.figure.case for one in answers if one.interval is None)
    return [*said, *([f"No bars of {', '.join(few)}: too few draws did the job."] if few else [])]


@styled
def _intervals(result: Spread) -> Figure:
    groups = grouped(result.answers)
    drawn = [one for group in groups for one in group]
    marks = f"Dot: median of {result.draws} draws. Bar: {bar_words(drawn)}."
    if any(one.alone is not None for one in drawn):
        marks += " Grey band: too small to see. Thin line: as wide as bench error moves the case by itself."
    said = [result.asked, marks, *not_drawn(result.answers), usual_words(result.counted)]
    question = "\n".join(text for text in said if text)
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
    panel.use_sticky_edges = False  # bars end inside
    panel.autoscale_view(scaley=False)
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
    words = valued(one.figure, found.middle)
    if one.verdict is not None:
        words += f", {SHORTER.get(one.verdict, one.verdict.value)}"
    panel.annotate(
        textwrap.fill(words, WORDS),
        (1.01, place),
        xycoords=("axes fraction", "data"),
        va="center",
        fontsize=SMALL,
        color=ink(colour),
    )


@picture(
    "Every bar is where a figure lies in 95 of 100 draws of the rig's numbers within their errors (of fewer "
    "than 39 draws in all); every case has the same draws. A bar across nought is lost in bench error.",
    says=lambda result: bool(grouped(result.answers)),
)
def of_spread(result: Spread) -> Figure:
    """Differences with their intervals."""
    return _intervals(result)


class Beside(NamedTuple):
    """Cases whose bands are drawn, each in a column of its own over that of the base.

    Attributes
    ----------
    base : that lies below the others; "" where it has no band, or is alone
    shown : cases, in their order
    left : others that have a band, and differ less from the base
    """

    base: str
    shown: list[str]
    left: list[str]


def beside(result: Spread) -> Beside:
    """Which cases have their bands drawn: those whose pitch is furthest from that of the base."""
    found = [case for case in result.cases if np.isfinite(result.bands[case]["pitch_deg"]).any()]
    base = result.cases[0]
    others = [case for case in found if case != base]
    if not others:
        return Beside("", found, [])
    kept = sorted(others, key=lambda case: -_apart(result, base, case))[:COLUMNS]
    left = [case for case in others if case not in kept]
    return Beside(base if base in found else "", [case for case in others if case in kept], left)


def _apart(result: Spread, base: str, case: str) -> float:
    """How far the medians of pitch are apart at most, deg."""
    own, other = (result.bands[name]["pitch_deg"][1] for name in (case, base))
    return float(np.nanmax(np.abs(own - other), initial=0.0))


def band_words(result: Spread, below: str = "Grey") -> list[str]:
    """What lines and bands are, which stand below the others and how these look, and which are not drawn."""
    base, shown, left = beside(result)
    fewest = min((result.share(case).done for case in (*shown, *([base] if base else []))), default=0)
    held = "90 of 100 of them" if fewest >= FEWEST_OF_BAND else "from the lowest to the highest of them"
    said = [f"Line: median of the draws in which the job was done. Band: {held}, at every instant."]
    if base:
        said.append(
            f'{below}: "{base}". Bands may overlap and the cases still differ, as every draw has the same '
            "errors in all: the intervals say by how much."
        )
    return [*said, *([f"Not drawn, as their pitch differs less: {', '.join(left)}."] if left else [])]


@styled
def _bands(result: Spread) -> Figure:
    base, shown, _ = beside(result)
    question = "\n".join([result.asked, *band_words(result)])
    figure, head = headed(sum(HEIGHTS) + BETWEEN * (len(HEIGHTS) - 1) + ABOVE, result.headline, question)
    total = figure.get_figheight()
    axes = figure.subplots(
        len(CURVES),
        len(shown),
        sharex=True,
        sharey="row",
        squeeze=False,
        gridspec_kw={
            "height_ratios": HEIGHTS,
            "left": 0.09,
            "right": 0.97,
            "top": 1.0 - (head + ABOVE) / total,
            "bottom": (FOOT - 0.05) / total,
            "hspace": BETWEEN * len(HEIGHTS) / sum(HEIGHTS),
            "wspace": 0.08,
        },
    )
    for column, case in enumerate(shown):
        for row, curve in enumerate(CURVES):
            panel = axes[row, column]
            if base:
                _band(panel, result, (base, curve), QUIET, 0.22)
            _band(panel, result, (case, curve), BLUE, 0.3)
            panel.set_ylabel(AXES[curve] if column == 0 else "")
            panel.tick_params(labelleft=column == 0, labelbottom=row == len(CURVES) - 1)
        axes[0, column].set_title(_title(case, len(shown)), fontsize=SMALL, loc="left", color=ink(BLUE))
        axes[-1, column].set_xlabel("time, s")
        axes[-1, column].xaxis.set_major_locator(MaxNLocator(4))
    return figure


def _title(case: str, columns: int) -> str:
    """Name of a case over its column."""
    letters = TITLE // columns
    return textwrap.fill(textwrap.shorten(case, 2 * letters, placeholder="…"), letters)


def _band(panel: Axes, result: Spread, drawn: tuple[str, str], colour: str, opacity: float) -> None:
    """Band and median of a curve of a case."""
    case, curve = drawn
    low, middle, high = result.bands[case][curve]
    known = np.isfinite(middle)
    times = result.times[known]
    panel.fill_between(times, low[known], high[known], color=colour, alpha=opacity, lw=0.0)
    panel.plot(times, middle[known], color=colour, lw=1.3 if colour == QUIET else 2.2)


@picture(
    "Lines are medians over draws of the rig's numbers within their errors, bands hold 90 of 100 draws at "
    "every instant (of fewer than 19 all), each case over the grey ones of the first. Draws that did not do "
    "their job are left out.",
    says=lambda result: bool(beside(result).shown),
)
def bands_of_spread(result: Spread) -> Figure:
    """Pitch and travel over time with their bands."""
    return _bands(result)
