"""Panels under a head of answer and question."""

import re
import textwrap
from collections.abc import Sequence

from matplotlib.axes import Axes
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure

from simcore.views.pictures.style import QUIET, TITLE_CHARACTERS, WIDTH, dots

LEFT, RIGHT = 0.135, 0.80  # edges of panels under one another, shares of the width
GAP = 0.28  # inches between them
QUESTION_CHARACTERS = 92
FOOT = 0.75  # inches below the lowest, for the scale and what it is


def panels(
    heights: Sequence[float], answer: str, question: str, along: str = "time, s", above: float = 0.0
) -> tuple[Figure, list[Axes]]:
    """Figure of panels under one another with a shared axis, headed by answer and question.

    Parameters
    ----------
    heights : height of each panel, inches
    answer : the finding in one sentence
    question : what was asked, and of which rig
    along : what the shared axis is, with its unit; more rows may follow
    above : height left free between head and panels, inches
    """
    foot = FOOT + 0.2 * along.count("\n")
    figure, head = headed(sum(heights) + GAP * (len(heights) - 1) + above, answer, question, foot)
    total = figure.get_figheight()
    grid = figure.add_gridspec(
        len(heights),
        1,
        height_ratios=list(heights),
        left=LEFT,
        right=RIGHT,
        top=1.0 - (head + above) / total,
        bottom=(foot - 0.05) / total,
        hspace=GAP * len(heights) / sum(heights),
    )
    axes = [figure.add_subplot(grid[0, 0])]
    axes += [figure.add_subplot(grid[k, 0], sharex=axes[0]) for k in range(1, len(heights))]
    for axis in axes[:-1]:
        axis.tick_params(labelbottom=False)
    axes[-1].set_xlabel(along)
    return figure, axes


def page(
    rows: int,
    columns: int,
    height: float,
    answer: str,
    question: str,
    left: float = 0.115,
    right: float = 0.97,
    gap: float = 0.75,
) -> tuple[Figure, list[Axes]]:
    """Figure of panels in rows and columns with axes of their own, headed by answer and question.

    Parameters
    ----------
    rows, columns : of panels
    height : of a panel, inches
    answer, question : as for `panels`
    left, right : edges of the panels, shares of the width
    gap : between rows, for titles and axis labels, inches
    """
    figure, head = headed(rows * height + (rows - 1) * gap, answer, question)
    total = figure.get_figheight()
    grid = figure.add_gridspec(
        rows,
        columns,
        left=left,
        right=right,
        top=1.0 - (head + 0.2) / total,
        bottom=0.7 / total,
        hspace=gap / height,
        wspace=0.16,
    )
    return figure, [figure.add_subplot(grid[row, column]) for row in range(rows) for column in range(columns)]


def headed(height: float, answer: str, question: str, foot: float = FOOT) -> tuple[Figure, float]:
    """Figure with the answer as its title and the question below (rows of its own apart), and the height of
    that head, inches.

    `height` is that of all panels together with what stands between and above them, inches.
    """
    answer = unbroken(answer)
    rows = len(textwrap.wrap(answer, TITLE_CHARACTERS))
    lines = textwrap.wrap(answer, min(TITLE_CHARACTERS, len(answer) // rows + 8))  # rows of about one length
    asked = [row for text in question.split("\n") for row in textwrap.wrap(text, QUESTION_CHARACTERS)]
    head = 0.34 * len(lines) + 0.25 * len(asked) + 0.4
    total = height + head + foot
    figure = Figure(figsize=(WIDTH, total), dpi=dots())
    FigureCanvasAgg(figure)
    figure.text(
        0.02, 1.0 - 0.14 / total, "\n".join(lines), fontsize=18, fontweight="bold", va="top", linespacing=1.15
    )
    below = 1.0 - (0.22 + 0.33 * len(lines)) / total
    figure.text(0.02, below, "\n".join(asked), fontsize=12.5, color=QUIET, va="top")
    return figure, head


def unbroken(text: str) -> str:
    """The same text with numbers that stay beside their units."""
    return re.sub(r"(\d) (?=mm|mJ|m/s|m\b|s\b|%|g\b|N\b|J\b|deg\b)", "\\1\N{NO-BREAK SPACE}", text)


def room(axis: Axes, least: float) -> None:
    """Give a vertical axis some room, and at least a stated span, so that noise is not blown up."""
    low, high = axis.get_ylim()
    middle, span = 0.5 * (low + high), max(1.08 * (high - low), least)
    axis.set_ylim(middle - 0.5 * span, middle + 0.5 * span)
