"""The steepest slopes that cases climb, one bar each, beside what the standing rig allows."""

import textwrap
from collections.abc import Sequence

import pandas as pd
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.textpath import TextPath

from simcore.results.headlines.limits import in_gap, limits_headline
from simcore.studies.limit import Limits
from simcore.views.catalogue import picture
from simcore.views.pictures.layout import panels
from simcore.views.pictures.style import COLOURS, NAME_CHARACTERS, WIDTH, styled

ROW = 1.0  # inches of height a case
LEFT, RIGHT = 0.2, 0.975  # of the width, where the bars begin and end
BAR = 0.34  # of a row, thickness of a bar
SIZE, SMALL = 12.5, 11.5  # points
HEAD = 6.0  # points from the middle of a mark to its words
MARKS = (("tip_back_deg", "tips back", "v", "#000000"), ("grip_deg", "grip ends", "D", COLOURS[1]))
STAND = "limits of the rig standing rigid, as on the bench"
ALONG = f"slope, deg   (marks: {STAND})"


@styled
def steepest_slopes(table: pd.DataFrame, question: str) -> Figure:
    """Bars of the steepest slope climbed, with the limits of the standing rig as marks and the reason at the
    end of each bar.

    Parameters
    ----------
    table : one row a case, the base first; columns as in `simcore.studies.limit.MEANING`, deg
    question : what was asked, and of which rig
    """
    figure, (axis,) = panels((ROW * len(table) + 0.15,), limits_headline(table), question)
    place = axis.get_position()
    axis.set_position((LEFT, place.y0, RIGHT - LEFT, place.height))
    axis.set_xlim(0.0, right_end(table))
    axis.set_ylim(len(table) - 0.42, -0.58)
    axis.set_xticks([tick for tick in range(0, 100, 10) if tick <= axis.get_xlim()[1]])
    axis.set_xlabel(ALONG)
    axis.set_yticks(range(len(table)), [in_rows(str(name)) for name in table.index], fontsize=SIZE)
    axis.tick_params(axis="y", length=0)
    axis.grid(False, axis="y")
    axis.barh(range(len(table)), table["climbs_deg"].fillna(0.0), height=BAR, color=COLOURS[0])
    for k, (_, row) in enumerate(table.iterrows()):
        if in_gap(row):
            _draw_gap(axis, k, row)
        _write_answer(axis, k, row)
        _draw_marks(axis, k, row)
    return figure


def right_end(table: pd.DataFrame) -> float:
    """Right end of the axis, deg."""
    return 1.05 * max(
        float(table[["climbs_deg", "fails_deg", *(mark[0] for mark in MARKS)]].max().max()), 10.0
    )


def in_rows(name: str) -> str:
    """Name of a case in three rows at most."""
    rows = textwrap.wrap(name, NAME_CHARACTERS)
    return "\n".join(rows if len(rows) <= 3 else [*rows[:2], f"{rows[2][: NAME_CHARACTERS - 1]}…"])


def _length(axis: Axes, text: str, size: float) -> float:
    """Length of a text in units of the x axis."""
    points = TextPath((0.0, 0.0), text, size=size).get_extents().width
    return float(_points(axis, points))


def _points(axis: Axes, points: float) -> float:
    """Printer's points in units of the x axis."""
    return points / 72.0 / (WIDTH * (RIGHT - LEFT)) * axis.get_xlim()[1]


def answer_of(row: pd.Series) -> tuple[str, str]:
    """The slope that a case climbs as it is written, and what it does on a steeper one."""
    fails = pd.isna(row["climbs_deg"])
    angle, reason = "fails on the level" if fails else f"{row['climbs_deg']:.1f}°", str(row["why"])
    if in_gap(row):
        fails_at = "" if pd.isna(row["fails_deg"]) else f"; fails at {row['fails_deg']:.1f}°"
        angle, reason = ("" if fails else angle), f"hatched: no answer{fails_at}"
    return angle, reason


def _draw_gap(axis: Axes, k: int, row: pd.Series) -> None:
    """Hatched: where the limit lies, and runs gave no answer."""
    least = 0.0 if pd.isna(row["climbs_deg"]) else row["climbs_deg"]
    most = axis.get_xlim()[1] if pd.isna(row["fails_deg"]) else row["fails_deg"]
    axis.barh(
        [k],
        [most - least],
        left=[least],
        height=BAR,
        color="white",
        edgecolor=COLOURS[0],
        hatch="///",
        lw=1.0,
    )


def _write_answer(axis: Axes, k: int, row: pd.Series) -> None:
    """Angle at the end of the bar and the reason under it: to the right if there is room, else to the left;
    a bar too short for its angle has it before the reason.
    """
    climbed = 0.0 if pd.isna(row["climbs_deg"]) else row["climbs_deg"]
    angle, reason = answer_of(row)
    if climbed > 1.3 * _length(axis, angle, SIZE):
        axis.annotate(
            angle,
            (climbed, k),
            xytext=(-HEAD, 0.0),
            textcoords="offset points",
            ha="right",
            va="center_baseline",
            color="white",
            fontsize=SIZE,
            fontweight="bold",
        )
    else:
        reason = f"{angle}: {reason}" if angle else reason
    room = axis.get_xlim()[1] - climbed
    side = "left" if _length(axis, reason, SIZE) <= room else "right"
    axis.text(climbed, k + 0.5 * BAR + 0.05, reason, ha=side, va="top", fontsize=SIZE)


def _draw_marks(axis: Axes, k: int, row: pd.Series) -> None:
    """Ticks across the bar, each with its words beside its head."""
    marks = sorted(
        (row[key], words, shape, colour) for key, words, shape, colour in MARKS if pd.notna(row[key])
    )
    texts = [f"{words} {slope:.1f}°" for slope, words, _, _ in marks]
    places = _beside(axis, [slope for slope, _, _, _ in marks], texts)
    for (slope, _, shape, colour), text, (level, side) in zip(marks, texts, places, strict=True):
        foot, head = k + 0.5 * BAR, k - 0.5 * BAR - 0.1 - 0.2 * level
        axis.plot([slope, slope], [foot, head], color="white", lw=4.6, zorder=2.0)
        axis.plot([slope, slope], [foot, head], color=colour, lw=2.2, zorder=2.1)
        axis.plot([slope], [head], shape, color=colour, ms=6.5)
        axis.annotate(
            text,
            (slope, head),
            xytext=(side * HEAD, 0.0),
            textcoords="offset points",
            ha="left" if side > 0 else "right",
            va="center",
            fontsize=SMALL,
            color=colour,
        )


def _beside(axis: Axes, slopes: Sequence[float], texts: Sequence[str]) -> list[tuple[int, int]]:
    """Where the words of marks fit, from the lowest slope up: row above the bar, and side of the mark.

    The lowest one's words go to its left, the next one's to its right, unless they would run out of the axis
    or over another mark; then to the other side, or one row up.
    """
    near = _points(axis, HEAD)
    taken = [(0, slope - near, slope + near) for slope in slopes]
    places = []
    for n, (slope, text) in enumerate(zip(slopes, texts, strict=True)):
        length = near + _length(axis, text, SMALL)
        others = [one for j, one in enumerate(taken) if j != n]
        sides = (-1, 1) if n == 0 else (1, -1)
        for level, side in ((level, side) for level in (0, 1) for side in sides):
            left, right = sorted((slope + side * near, slope + side * length))
            inside = left >= 0.0 and right <= axis.get_xlim()[1]
            if inside and not any(row == level and left < b and a < right for row, a, b in others):
                break
        taken.append((level, left, right))
        places.append((level, side))
    return places


@picture(
    "One bar a case: the steepest slope that it climbs, and under it what it does on the next "
    "steeper one. The marks are what the rig would allow if it stood there as one rigid piece.",
)
def of_limits(result: Limits) -> Figure:
    """Bars of the steepest slopes climbed."""
    return steepest_slopes(result.table, result.asked)
