"""One look for every figure: colours that the colour-blind tell apart, words on the lines, the answer in the
title.

A figure is drawn for the screen unless it is drawn inside ``with drawn_for("print")``; `save` then writes it
as it was drawn, in the format that its file's name asks for.
"""

import functools
import re
import textwrap
import threading
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from contextvars import ContextVar
from itertools import takewhile
from pathlib import Path
from typing import Any, BinaryIO, ParamSpec, cast

import matplotlib
from matplotlib.axes import Axes
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure

from simcore.views.catalogue import LOOKS
from simcore.views.digest import KEY, digest

# Okabe and Ito, Color Universal Design (2008), darkened where they would fade on white
COLOURS = ("#0072B2", "#D55E00", "#009E73", "#AA4499", "#A07800", "#56A0D3", "#000000", "#7F7F7F")
REAR_COLOUR, FRONT_COLOUR = COLOURS[0], COLOURS[1]
QUIET = "#5A5A5A"
MARKERS = ("o", "s", "^", "D", "v", "P")
DASHES = ("-", (0, (6, 2)), (0, (2, 1.5)), (0, (8, 2, 2, 2)))  # second mark beside the colour

SETTINGS: dict[Any, Any] = {
    "font.size": 13.0,
    "axes.labelsize": 12.5,
    "axes.spines.top": False,
    "axes.spines.right": False,
    "axes.grid": True,
    "grid.color": "#E3E3E3",
    "axes.edgecolor": QUIET,
    "axes.axisbelow": True,
    "lines.linewidth": 2.2,
    "text.parse_math": False,  # a title is text, whatever stands in it
    "svg.hashsalt": "simcore",  # same picture, same file
    "pdf.fonttype": 42,  # letters stay letters
}
TITLE_CHARACTERS, NAME_CHARACTERS = 62, 18
ROW_HEIGHT, CHARACTER = 0.205, 0.1  # inches, of a row and of a letter with some room
Inputs = ParamSpec("Inputs")
WIDTH, DPI = 10.0, 150  # inches, dots per inch


def styled(draw: Callable[Inputs, Figure]) -> Callable[Inputs, Figure]:
    """Draw a whole figure with the one look, whatever the caller's settings are."""

    @functools.wraps(draw)
    def wrapped(*args: Inputs.args, **kwargs: Inputs.kwargs) -> Figure:
        with _settings, matplotlib.rc_context(SETTINGS | (PRINT if _look.get() == "print" else {})):
            figure = draw(*args, **kwargs)
        figure.set_dpi(_dots())
        return figure

    return wrapped


# What a sheet of paper asks for: lines that stay apart without colour, finer dots, no grey veil of a grid.
PRINT: dict[Any, Any] = {
    "axes.edgecolor": "#000000",
    "grid.color": "#D0D0D0",
    "grid.linewidth": 0.5,
    "lines.linewidth": 1.6,
}
_look: ContextVar[str] = ContextVar("look", default="screen")
_settings = threading.RLock()  # matplotlib's settings are one for all threads


def _dots() -> int:
    """Dots per inch of the look at hand."""
    return 2 * DPI if _look.get() == "print" else DPI


@contextmanager
def drawn_for(look: str) -> Iterator[None]:
    """Draw what is drawn inside for the screen or for print; every thread has a look of its own.

    Parameters
    ----------
    look : "screen", or "print": thinner lines, black axes, twice the dots per inch. Dashes and markers tell
        lines apart in either, so that nothing is lost in grey.

    Raises
    ------
    ValueError
        If it is neither.
    """
    if look not in LOOKS:
        raise ValueError(f"{look!r}: a picture is drawn for one of {', '.join(LOOKS)}")
    before = _look.set(look)
    try:
        yield
    finally:
        _look.reset(before)


def save(figure: Figure, file: Path | BinaryIO, noted: bool = False) -> None:
    """Write a figure in the format of the file's name; the same figure gives the same file.

    Parameters
    ----------
    figure : in the look that it was drawn in, see `drawn_for`
    file : ends in .png, .svg or .pdf; into an open file without a name goes a PNG
    noted : whether a PNG notes what it shows
    """
    notes: dict[str, dict[str, Any]] = {".svg": {"Date": None}, ".pdf": {"CreationDate": None}}
    kind = file.suffix.lower() if isinstance(file, Path) else ".png"
    notes[".png"] = {KEY: shown(figure)} if noted else {}
    with _settings, matplotlib.rc_context(SETTINGS):
        figure.savefig(file, format=kind[1:], metadata=notes.get(kind, {}), dpi=figure.dpi)


def shown(figure: Figure) -> str:
    """Digest of what a figure shows and how finely it is written."""
    with _settings, matplotlib.rc_context(SETTINGS):
        return f"{digest(figure)}-{figure.dpi:.0f}"


def panels(
    heights: Sequence[float], answer: str, question: str, along: str = "time, s"
) -> tuple[Figure, list[Axes]]:
    """Figure of panels under one another with a shared axis, headed by answer and question.

    Parameters
    ----------
    heights : height of each panel, inches
    answer : the finding in one sentence
    question : what was asked, and of which rig
    along : what the shared axis is, with its unit
    """
    figure, head = _headed(sum(heights) + 0.28 * (len(heights) - 1), answer, question)
    total = figure.get_figheight()
    grid = figure.add_gridspec(
        len(heights),
        1,
        height_ratios=list(heights),
        left=0.115,
        right=0.80,
        top=1.0 - head / total,
        bottom=0.7 / total,
        hspace=0.28 * len(heights) / sum(heights),
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
    figure, head = _headed(rows * height + (rows - 1) * gap, answer, question)
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


def _headed(height: float, answer: str, question: str) -> tuple[Figure, float]:
    """Figure with the answer as its title and the question below, and the height of that head, inches.

    `height` is that of all panels together with the gaps between them, inches.
    """
    answer = re.sub(r"(\d) (?=mm|mJ|s\b|%|g\b|N\b|J\b|deg\b)", "\\1\N{NO-BREAK SPACE}", answer)
    rows = len(textwrap.wrap(answer, TITLE_CHARACTERS))
    lines = textwrap.wrap(answer, min(TITLE_CHARACTERS, len(answer) // rows + 8))  # rows of about one length
    asked = textwrap.wrap(question, 92)
    head = 0.34 * len(lines) + 0.25 * len(asked) + 0.4
    total = height + head + 0.75
    figure = Figure(figsize=(WIDTH, total), dpi=_dots())
    FigureCanvasAgg(figure)
    figure.text(
        0.02, 1.0 - 0.14 / total, "\n".join(lines), fontsize=18, fontweight="bold", va="top", linespacing=1.15
    )
    below = 1.0 - (0.22 + 0.33 * len(lines)) / total
    figure.text(0.02, below, "\n".join(asked), fontsize=12.5, color=QUIET, va="top")
    return figure, head


def shortened(names: Sequence[str], most: int = NAME_CHARACTERS) -> list[str]:
    """Names that fit in one row and still differ: what long ones begin and end with alike gives way first."""
    long = [name for name in names if len(name) > most]
    if len(long) < 2:
        return [_cut(name, most) for name in names]
    head = "".join(re.findall(r"^.*[\W_]", _alike(long)))  # whole words
    rest = [name[len(head) :] for name in long]
    tail = "".join(re.findall(r"[\W_].*$", _alike([name[::-1] for name in rest])[::-1]))
    if max(len(name) for name in rest) < most:
        tail = ""
    short = {
        name: ("…" if head else "") + (f"{own.removesuffix(tail)}…" if tail else own)
        for name, own in zip(long, rest, strict=True)
    }
    return [_cut(short.get(name, name), most) for name in names]


def _alike(names: Sequence[str]) -> str:
    """What all names begin with."""
    columns = zip(*names, strict=False)
    return "".join(letters[0] for letters in takewhile(lambda letters: len(set(letters)) == 1, columns))


def _cut(name: str, most: int) -> str:
    return name if len(name) <= most else f"{name[: most - 1].rstrip('… ')}…"


def name_ends(axis: Axes, labels: Sequence[tuple[float, float, str, str]], faint: bool = False) -> None:
    """Write each line's name at its right end, pushed apart where they would overlap.

    Parameters
    ----------
    labels : (x of the line's end, y there, name, colour)
    faint : whether the pointing lines are dotted: where they cross the drawn lines they must not pass for one
    """
    low, high = axis.get_ylim()
    height = axis.get_position().height * cast(Figure, axis.figure).get_figheight()
    rows = [textwrap.wrap(name, NAME_CHARACTERS) for _, _, name, _ in labels]
    if sum(len(row) for row in rows) * ROW_HEIGHT > height:  # too many for rows of their own
        rows = [[name] for name in shortened([name for _, _, name, _ in labels])]
    size = (high - low) * ROW_HEIGHT / height  # one row of text in data units
    order = sorted(range(len(labels)), key=lambda k: labels[k][1])
    places: dict[int, float] = {}
    floor = low
    for k in order:
        half = 0.5 * size * len(rows[k])
        places[k] = max(labels[k][1], floor + half)
        floor = places[k] + half + 0.15 * size
    overshoot = max(0.0, floor - (high + 0.3 * size))
    ceiling = high + 0.3 * size
    for k in reversed(order):
        half = 0.5 * size * len(rows[k])
        if overshoot > 0.0:
            places[k] = min(places[k], ceiling - half)
            ceiling = places[k] - half - 0.15 * size
    right = axis.get_xlim()[1]
    for k, (x, y, _, colour) in enumerate(labels):
        axis.annotate(
            "\n".join(rows[k]),
            xy=(x, y),
            xytext=(right + 0.025 * (right - axis.get_xlim()[0]), places[k]),
            color=colour,
            fontsize=12.5,
            va="center",
            linespacing=1.0,
            annotation_clip=False,
            arrowprops={
                "arrowstyle": "-",
                "color": colour,
                "lw": 0.8,
                **({"linestyle": (0, (1, 3)), "alpha": 0.7} if faint else {}),
                "shrinkA": 1,
                "shrinkB": 2,
                "relpos": (0.0, 0.5),
            },
        )
    axis.set_ylim(low, high)


def name_categories(axis: Axes, names: Sequence[str], places: Sequence[float]) -> None:
    """Write words under the x axis, in two rows where one would run into the next.

    Parameters
    ----------
    names : the words
    places : where each stands, evenly apart
    """
    figure, place = cast(Figure, axis.get_figure()), axis.get_position()
    apart = (places[1] - places[0] if len(places) > 1 else 1.0) / (axis.get_xlim()[1] - axis.get_xlim()[0])
    width = max(4, int(apart * place.width * figure.get_figwidth() / CHARACTER))
    rows = [[name] for name in names]
    if max(len(name) for name in names) > width:
        rows = [textwrap.wrap(name, width)[:2] for name in shortened(names, 2 * width - 2)]
    if width < 8 and max(len(row) for row in rows) == 1:  # no room for the dots either
        rows = [[row[0].strip("…") or "…"] for row in rows]
    axis.set_xticks(places, ["\n".join(row) for row in rows], fontsize=11)


def room(axis: Axes, least: float) -> None:
    """Give a vertical axis some room, and at least a stated span, so that noise is not blown up."""
    low, high = axis.get_ylim()
    middle, span = 0.5 * (low + high), max(1.08 * (high - low), least)
    axis.set_ylim(middle - 0.5 * span, middle + 0.5 * span)
