"""What happens, marked on the time axis: words in a strip above the panels, dotted lines through them.

In a comparison what differs between the cases stands in rows of its own, a tick in the case's colour each.
"""

import itertools
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import NamedTuple, cast

from matplotlib.axes import Axes
from matplotlib.figure import Figure

from simcore.results.moments import Differing, Happening, Moment
from simcore.views.pictures.style import QUIET, SMALL, ink, length

ROW = 0.19  # inches, of words or ticks
NEAR = 0.05  # inches; what happens so close together is one mark
ASIDE = 0.04  # inches between a line and its words, and between words
MOST_ROWS, MOST_TICKS = 3, 4
RANK = {code: k for k, code in enumerate(Moment)}


class Mark(NamedTuple):
    """Words about an instant, in inches from the left edge of the panels; `left` and `right` end them."""

    at: float
    time_s: float
    words: str
    row: int
    left: float
    right: float

    @property
    def on_the_left(self) -> bool:
        """Whether the words end at their line."""
        return self.right <= self.at


@dataclass(frozen=True)
class Strip:
    """What stands above the panels: marks with words, and rows of ticks.

    Attributes
    ----------
    marks : placed so that no words run over others or over the line of another mark
    ticks : things that differ between cases, from above in the order in which they happen
    limits : of the time axis, s
    """

    marks: Sequence[Mark]
    ticks: Sequence[Differing]
    limits: tuple[float, float]

    @property
    def rows(self) -> int:
        """Rows of words."""
        return 1 + max((mark.row for mark in self.marks), default=-1)

    @property
    def height(self) -> float:
        """Height of the whole, inches."""
        return ROW * (self.rows + len(self.ticks))


def strip_of(
    happened: Sequence[Happening], differing: Sequence[Differing], limits: tuple[float, float], width: float
) -> Strip:
    """Place what happens above panels.

    Parameters
    ----------
    happened : in all that is drawn
    differing : from case to case
    limits : of the time axis, s; what lies outside is left out
    width : of the panels, inches
    """
    scale = width / (limits[1] - limits[0])
    inside = [one for one in happened if limits[0] < one.time_s < limits[1]]
    wanted = sorted(inside, key=lambda one: (RANK[one.code], one.time_s))
    marks: list[Mark] | None = None
    while marks is None:
        marks = _placed(_merged(sorted(wanted, key=lambda one: one.time_s), limits[0], scale), width)
        wanted = wanted[:-1]  # what gives way
    times = [[time for own in one.times.values() for time in own] for one in differing]
    seen = [
        (min(found), one)
        for found, one in zip(times, differing, strict=True)
        if any(limits[0] < time < limits[1] for time in found)
    ]
    ticks = sorted(seen[:MOST_TICKS], key=lambda pair: pair[0])
    return Strip(marks, [one for _, one in ticks], limits)


def _merged(happened: Sequence[Happening], start: float, scale: float) -> list[tuple[float, float, str]]:
    """Place in inches, time and words of marks; what happens at about the same time in one."""
    found: list[tuple[float, float, str]] = []
    for one in happened:
        at = scale * (one.time_s - start)
        if found and at - found[-1][0] < NEAR:
            place, time, words = found.pop()
            found.append((place, time, f"{words}, {one.words}"))
        else:
            found.append((at, one.time_s, one.words))
    return found


def _placed(marks: Sequence[tuple[float, float, str]], width: float) -> list[Mark] | None:
    """Marks with rows for their words, the last one first; None if they do not fit in the rows there are."""
    placed: list[Mark] = []
    for at, time, words in reversed(marks):
        own = next(_fitting(at, time, words, width, placed, [mark[0] for mark in marks]), None)
        if own is None:
            return None
        placed.append(own)
    return placed[::-1]


def _fitting(
    at: float, time: float, words: str, width: float, placed: Sequence[Mark], lines: Sequence[float]
) -> Iterator[Mark]:
    """Where the words of a mark may stand, the best place first."""
    long = length(words, SMALL) + ASIDE
    for row in range(MOST_ROWS):
        for left, right in ((at + ASIDE, at + ASIDE + long), (at - ASIDE - long, at - ASIDE)):
            own = Mark(at, time, words, row, left, right)
            if left < 0.0 or right > width or any(_clash(own, other) for other in placed):
                continue
            if row == 0 and any(left < line < right for line in lines if line != at):
                continue  # that line could end nowhere
            yield own


def _clash(one: Mark, other: Mark) -> bool:
    """Whether words run over other words or over the line of the other mark, which ends at its own row."""
    if one.row == other.row and one.left < other.right and other.left < one.right:
        return True
    return any(
        line.row >= words.row and words.left < line.at < words.right
        for words, line in ((one, other), (other, one))
    )


def draw_strip(strip: Strip, axis: Axes, panels: Sequence[Axes], colours: Mapping[str, str]) -> None:
    """Draw marks and ticks into a strip of its own, and dotted lines through the panels.

    Parameters
    ----------
    strip : what to draw
    axis : right above the panels, as high as the strip
    panels : those with the time along x
    colours : of the cases, by name
    """
    total = strip.rows + len(strip.ticks)
    axis.set(xlim=strip.limits, ylim=(0.0, max(total, 1)))
    axis.set_axis_off()
    scale = (strip.limits[1] - strip.limits[0]) / _width(axis)
    for mark in strip.marks:
        for panel in panels:
            panel.axvline(mark.time_s, color=QUIET, lw=1.0, ls=":", zorder=1.0)
        axis.plot([mark.time_s, mark.time_s], [0.0, mark.row + 0.9], color=QUIET, lw=1.0, ls=":")
        side, end = ("right", mark.right) if mark.on_the_left else ("left", mark.left)
        x = strip.limits[0] + scale * end
        axis.text(x, mark.row + 0.5, mark.words, ha=side, va="center", color=QUIET, fontsize=SMALL)
    for k, row in enumerate(strip.ticks):
        _draw_ticks(axis, row, total - 1 - k, colours)


def _width(axis: Axes) -> float:
    """Width of a panel, inches."""
    return float(axis.get_position().width * cast(Figure, axis.figure).get_figwidth())


def _draw_ticks(axis: Axes, row: Differing, bottom: float, colours: Mapping[str, str]) -> None:
    """A row of ticks, one above the other where they are close, with its name at the right."""
    low, high = axis.get_xlim()
    axis.plot([low, high], [bottom + 0.5] * 2, color="#D0D0D0", lw=0.8, zorder=1.0)
    ticks = sorted((time, case) for case, times in row.times.items() for time in times if low < time < high)
    near = NEAR * (high - low) / _width(axis)
    starts = [k for k in range(len(ticks)) if k == 0 or ticks[k][0] - ticks[k - 1][0] > near]
    for start, end in itertools.pairwise([*starts, len(ticks)]):
        share = 0.84 / (end - start)  # of the row, for each of those that are close together
        for k, (time, case) in enumerate(ticks[start:end]):
            foot = bottom + 0.92 - (k + 1) * share
            axis.plot([time] * 2, [foot, foot + share], color=colours[case], lw=3.0, solid_capstyle="butt")
    axis.annotate(
        row.words,
        (high + 0.025 * (high - low), bottom + 0.5),
        va="center",
        color=ink(QUIET),
        fontsize=SMALL,
        annotation_clip=False,
    )
