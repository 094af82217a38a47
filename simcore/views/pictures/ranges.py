"""Between which values of a number cases do their job: one bar each, and what lies beyond its ends."""

from collections.abc import Mapping
from typing import Any

from matplotlib.axes import Axes
from matplotlib.figure import Figure

from simcore.results.headlines.ranges import Ending
from simcore.studies.ranges import End, Range, Ranges
from simcore.studies.sought import Sought
from simcore.views.catalogue import picture
from simcore.views.pictures.layout import panels
from simcore.views.pictures.slopes import BAR, LEFT, RIGHT, ROW, SIZE, in_rows
from simcore.views.pictures.style import BLACK, BLUE, SKY, WIDTH, length, styled

LINE = 0.2  # of a row, between lines of words
SPARE = 0.04  # of the range, beside its ends
LEAST = 0.004  # of the range, that a single value is wide
HATCHED: dict[str, Any] = {"color": "white", "edgecolor": BLUE, "hatch": "///", "lw": 1.0}


@styled
def range_bars(ranges: Mapping[str, Range], sought: Sought, answer: str, question: str) -> Figure:
    """Bars from the least to the greatest value with which the job is done, one a case.

    Parameters
    ----------
    ranges : by the names of their cases, the base first
    sought : the number
    answer, question : the finding, and what was asked of which rig
    """
    marks = "; ".join(marks_of(ranges))
    along = f"{sought.label}\n({marks})" if marks else str(sought.label)
    figure, (axis,) = panels((ROW * len(ranges) + 0.15,), answer, question, along)
    place, factor = axis.get_position(), sought.said_factor
    axis.set_position((LEFT, place.y0, RIGHT - LEFT, place.height))
    first, last = (factor * end for end in (sought.scan[0], sought.scan[-1]))
    spare = SPARE * (last - first)
    axis.set_xlim(first - spare, last + spare)
    axis.set_ylim(len(ranges) - 0.42, -0.58)
    axis.set_yticks(range(len(ranges)), [in_rows(name) for name in ranges], fontsize=SIZE)
    axis.tick_params(axis="y", length=0)
    axis.grid(False, axis="y")
    for k, found in enumerate(ranges.values()):
        _draw_bar(axis, k, found, factor, (first, last))
        _write(axis, k, found, sought)
    return figure


def marks_of(ranges: Mapping[str, Range]) -> list[str]:
    """What the marks that are drawn stand for."""
    edges = {end.ending for one in ranges.values() for end in (one.low, one.high)}
    found = {
        "black: as given": any(one.own is not None for one in ranges.values()),
        "arrow: to the end of the range": Ending.RANGE_ENDS in edges,
        "pale: done again": any(one.others for one in ranges.values()),
        "hatched: no answer": Ending.NOT_KNOWN in edges,
    }
    return [text for text, there in found.items() if there]


def _draw_bar(axis: Axes, k: int, found: Range, factor: float, ends: tuple[float, float]) -> None:
    """The bar of one case with the marks of its ends."""
    for low, high in found.others:
        width = max(factor * (high - low), LEAST * (ends[1] - ends[0]))
        axis.barh([k], [width], left=[factor * low], height=BAR, color=SKY)
    if found.low.done is None or found.high.done is None:
        if found.low.ending is Ending.NOT_KNOWN:
            axis.barh([k], [ends[1] - ends[0]], left=[ends[0]], height=BAR, **HATCHED)
    else:
        low, high = factor * found.low.done, factor * found.high.done
        for end, at, outer in ((found.low, low, ends[0]), (found.high, high, ends[1])):
            if end.ending is Ending.NOT_KNOWN:
                beyond = outer if end.beyond is None else factor * end.beyond
                axis.barh([k], [abs(beyond - at)], left=[min(at, beyond)], height=BAR, **HATCHED)
        axis.barh([k], [high - low], left=[low], height=BAR, color=BLUE)
        for end, at, mark in ((found.low, low, "<"), (found.high, high, ">")):
            if end.ending is Ending.RANGE_ENDS:
                axis.plot([at], [k], mark, color=BLUE, ms=15, clip_on=False)
    if found.own is not None and ends[0] <= factor * found.own <= ends[1]:
        own = [factor * found.own] * 2
        axis.plot(own, [k - 0.5 * BAR - 0.08, k + 0.5 * BAR], color="white", lw=4.6)
        axis.plot(own, [k - 0.5 * BAR - 0.08, k + 0.5 * BAR], color=BLACK, lw=2.2)


def _write(axis: Axes, k: int, found: Range, sought: Sought) -> None:
    """What lies beyond the ends, under the bar: from the bar on, or as far left of it as it takes."""
    left, right = axis.get_xlim()
    per_inch = (right - left) / (WIDTH * (RIGHT - LEFT))
    left += 0.1 * per_inch
    start = left if found.low.done is None else sought.said_factor * found.low.done
    for n, text in enumerate(texts_of(found, sought)):
        at = max(left, min(start, right - 1.02 * length(text, SIZE) * per_inch))
        axis.text(at, k + 0.5 * BAR + 0.05 + LINE * n, text, va="top", fontsize=SIZE)


def texts_of(found: Range, sought: Sought) -> list[str]:
    """Both ends of a range in words, the upper one first."""
    if found.low.done is None:
        return [found.low.ending.value, found.low.why][: 1 if found.low.why == found.low.ending.value else 2]
    said = []
    for word, side, end in (("above", "up to", found.high), ("below", "from", found.low)):
        if end.done is not None and end.ending is not Ending.RANGE_ENDS:
            said.append(f"{side} {sought.said(end.done)}; {word}: {_beyond(end, sought)}")
    return said or ["done throughout the range"]


def _beyond(end: End, sought: Sought) -> str:
    """What lies beyond an end."""
    if end.ending is Ending.FAILS:
        return end.why
    known = "" if end.beyond is None or end.ending is not Ending.NOT_KNOWN else end.beyond
    return end.ending.value + (f" up to {sought.said(known)}" if isinstance(known, float) else "")


@picture(
    "One bar a case: the values of the number with which the job is done, and under it what happens beyond "
    "its ends. All of the axis was searched.",
)
def of_ranges(result: Ranges) -> Figure:
    """Bars of the ranges in which the job is done."""
    return range_bars(result.ranges, result.sought, result.headline, result.asked)
