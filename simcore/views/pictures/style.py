"""One look for every figure: colours that the colour-blind tell apart, words on the lines, the answer in the
title.

A figure is drawn for the screen unless it is drawn inside ``with drawn_for("print")``; `save` then writes it
as it was drawn, in the format that its file's name asks for.
"""

import functools
import io
import threading
import warnings
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from contextvars import ContextVar
from pathlib import Path
from typing import Any, BinaryIO, ParamSpec

import matplotlib
from matplotlib.colors import to_hex, to_rgb
from matplotlib.figure import Figure
from matplotlib.textpath import TextPath
from PIL import Image
from PIL.PngImagePlugin import PngInfo

from simcore.views.catalogue import LOOKS
from simcore.views.digest import KEY, digest

# Nine that differ in hue and in lightness, for the colour-blind too. Seven by Okabe and Ito, Color Universal
# Design (2008; all but their yellow, which fades on white), wine and indigo from Paul Tol, Colour Schemes
# (SRON/EPS/TN/09-002, scheme "muted"); both from memory.
BLUE, VERMILION, GREEN, WINE, SKY = "#0072B2", "#D55E00", "#009E73", "#882255", "#56B4E9"
INDIGO, BLACK, ORANGE, PURPLE = "#332288", "#000000", "#E69F00", "#CC79A7"
COLOURS = (BLUE, VERMILION, GREEN, WINE, SKY, INDIGO, BLACK, ORANGE, PURPLE)
REAR_COLOUR, FRONT_COLOUR = BLUE, VERMILION
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
CLEAR = 3.5  # contrast with white that words need
ROW_HEIGHT, CHARACTER = 0.205, 0.1  # inches, of a row and of a letter with some room
SMALL = 11.0  # points, of the smallest words
Inputs = ParamSpec("Inputs")
WIDTH, DPI = 10.0, 150  # inches, dots per inch


def styled(draw: Callable[Inputs, Figure]) -> Callable[Inputs, Figure]:
    """Draw a whole figure with the one look, whatever the caller's settings are."""

    @functools.wraps(draw)
    def wrapped(*args: Inputs.args, **kwargs: Inputs.kwargs) -> Figure:
        with _settings, matplotlib.rc_context(SETTINGS | (PRINT if _look.get() == "print" else {})):
            figure = draw(*args, **kwargs)
        figure.set_dpi(dots())
        return figure

    return wrapped


def case_look(k: int) -> tuple[str, Any]:
    """Colour and dash of the k-th case."""
    return COLOURS[k % len(COLOURS)], DASHES[k % len(DASHES)]


def ink(colour: str) -> str:
    """A colour, darkened as far as words in it need on white (contrast as in WCAG 2.1)."""
    red, green, blue = to_rgb(colour)
    while white_contrast((red, green, blue)) < CLEAR:
        red, green, blue = 0.95 * red, 0.95 * green, 0.95 * blue
    return str(to_hex((red, green, blue)))


def white_contrast(colour: tuple[float, float, float]) -> float:
    """Contrast of a colour with white."""
    linear = [part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in colour]
    return 1.05 / (0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2] + 0.05)


def length(words: str, size: float) -> float:
    """Length of words in a size in points, inches."""
    return float(TextPath((0.0, 0.0), words, size=size).get_extents().width) / 72.0 if words.strip() else 0.0


# What a sheet of paper asks for: lines that stay apart without colour, finer dots, no grey veil of a grid.
PRINT: dict[Any, Any] = {
    "axes.edgecolor": "#000000",
    "grid.color": "#D0D0D0",
    "grid.linewidth": 0.5,
    "lines.linewidth": 1.6,
}
_look: ContextVar[str] = ContextVar("look", default="screen")
_settings = threading.RLock()  # matplotlib's settings are one for all threads


def dots() -> int:
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


@contextmanager
def _boxes_for_letters() -> Iterator[None]:
    """Draw boxes for letters that the font does not have, without a warning for each."""
    with warnings.catch_warnings():
        warnings.filterwarnings("ignore", message="Glyph .* missing")
        yield


def save(figure: Figure, file: Path | BinaryIO, noted: bool = False) -> None:
    """Write a figure in the format of the file's name; the same figure gives the same file.

    Parameters
    ----------
    figure : in the look that it was drawn in, see `drawn_for`
    file : ends in .png, .svg or .pdf; into an open file without a name goes a PNG
    noted : whether a PNG notes what it shows
    """
    notes = {".svg": {"Date": None}, ".pdf": {"CreationDate": None}}
    kind = file.suffix.lower() if isinstance(file, Path) else ".png"
    with _settings, matplotlib.rc_context(SETTINGS), _boxes_for_letters():
        if kind == ".png":
            _save_png(figure, file, {KEY: shown(figure)} if noted else {})
        else:
            figure.savefig(file, format=kind[1:], metadata=notes.get(kind, {}), dpi=figure.dpi)


def _save_png(figure: Figure, file: Path | BinaryIO, notes: Mapping[str, str]) -> None:
    """Write a figure as a PNG: without a veil of opacity and packed less hard, in a third of the time."""
    dots = io.BytesIO()
    figure.savefig(dots, format="rgba", dpi=figure.dpi)
    wide = int(figure.bbox.width)
    seen = Image.frombytes("RGBA", (wide, len(dots.getbuffer()) // (4 * wide)), dots.getvalue())
    text = PngInfo()
    for name, words in notes.items():
        text.add_text(name, words)
    look = {"dpi": (figure.dpi, figure.dpi), "compress_level": 3, "pnginfo": text}
    seen.convert("RGB").save(file, "png", **look)


def shown(figure: Figure) -> str:
    """Digest of what a figure shows and how finely it is written."""
    with _settings, matplotlib.rc_context(SETTINGS), _boxes_for_letters():
        return f"{digest(figure)}-{figure.dpi:.0f}"
