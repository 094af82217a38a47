"""What a figure shows, as a digest: alike for figures that nobody can tell apart.

It lets a file stand whose picture has not changed. Words, colours, lines and places count; places to a share
of their panel, so that a last digit that differs from machine to machine does not make another picture.
"""

import hashlib
import warnings
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import numpy as np
import numpy.typing as npt
from matplotlib.axes import Axes
from matplotlib.collections import Collection
from matplotlib.colors import to_hex
from matplotlib.figure import Figure
from matplotlib.lines import Line2D
from matplotlib.patches import FancyArrowPatch, Patch
from matplotlib.text import Text
from PIL import Image, UnidentifiedImageError

KEY = "Shows"  # of the text in a PNG that holds the digest
QUANTA = 200  # steps over a panel's side; 3 to 5 dots each
SAMPLES = 64  # stretches of a line that are looked at
FORM = "2"  # of this digest


def digest(figure: Figure) -> str:
    """Digest of what a figure shows, as it stands once it is laid out."""
    figure.draw_without_rendering()
    text = "\n".join([FORM, f"{figure.get_size_inches()}", *_words_of(figure), *_panels(figure)])
    return hashlib.sha256(text.encode()).hexdigest()[:32]


def digest_in(path: Path) -> str:
    """Digest that a PNG was written with; empty without one, or without such a file."""
    try:
        with Image.open(path) as image:
            return str(getattr(image, "text", {}).get(KEY, ""))
    except (OSError, UnidentifiedImageError, ValueError):
        return ""


def _words_of(figure: Figure) -> Iterator[str]:
    whole = figure.transFigure.inverted()
    for text in figure.texts:
        yield f"{_look(text)} {_steps(whole.transform(_corner(text)))}"


def _look(text: Text) -> str:
    weight, side = text.get_fontweight(), text.get_horizontalalignment()
    return f"text {text.get_text()} {text.get_color()} {text.get_fontsize():.1f} {weight} {side}"


def _corner(text: Text) -> npt.NDArray[np.float64]:
    """Where a text stands on the screen."""
    return np.asarray(text.get_transform().transform(text.get_position()), dtype=float)


def _panels(figure: Figure) -> Iterator[str]:
    for axes in figure.axes:
        yield f"panel {np.round(axes.get_position().bounds, 3)} {axes.axison}"
        yield f"{_short(axes.get_xlim())} {_short(axes.get_ylim())}"
        for artist in axes.findobj():
            yield from _shown(axes, artist)


def _short(ends: tuple[float, float]) -> str:
    step = (abs(ends[1] - ends[0]) or 1.0) / QUANTA
    return " ".join(f"{end:.3g}" if abs(end) > step else "0" for end in ends)


def _shown(axes: Axes, artist: Any) -> Iterator[str]:
    """One artist, if it is seen."""
    if not artist.get_visible():
        return
    if isinstance(artist, Text):
        if artist.get_text():
            yield f"{_look(artist)} {_places(axes, _corner(artist)[None, :])}"
    elif isinstance(artist, Line2D):
        look = (artist.get_color(), artist.get_linestyle(), artist.get_linewidth(), artist.get_alpha())
        mark = (artist.get_marker(), artist.get_markersize(), artist.get_markerfacecolor())
        data = np.asarray(artist.get_xydata(), dtype=float)
        yield f"line {look} {mark} {_places(axes, artist.get_transform().transform(data))}"
    elif isinstance(artist, FancyArrowPatch):
        yield f"arrow {_colour(artist.get_edgecolor())} {artist.get_linewidth()}"  # its ends are elsewhere
    elif isinstance(artist, Patch):
        face = (_colour(artist.get_facecolor()), _colour(artist.get_edgecolor()), artist.get_hatch())
        places = artist.get_transform().transform(artist.get_path().vertices)
        yield f"patch {face} {_places(axes, places)}"
    elif isinstance(artist, Collection):
        values, colours = artist.get_array(), artist.get_facecolor()
        faces = [_colour(colour) for colour in colours[:SAMPLES]] if values is None else []
        paths = [artist.get_transform().transform(path.vertices) for path in artist.get_paths()]
        places = np.concatenate(paths) if paths else np.empty((0, 2))
        yield f"marks {_shares(values)} {faces} {_places(axes, places)}"


def _colour(colour: Any) -> str:
    return to_hex(colour, keep_alpha=True)


def _shares(values: Any) -> str:
    """Values of a map as steps between their ends."""
    if values is None:
        return ""
    found: npt.NDArray[np.float64] = np.ma.filled(np.ma.asarray(values, dtype=float), np.nan).ravel()
    low, high = (np.nanmin(found), np.nanmax(found)) if np.isfinite(found).any() else (0.0, 1.0)
    return _steps((found - low) / ((high - low) or 1.0))


def _places(axes: Axes, dots: npt.NDArray[np.float64]) -> str:
    """Places on the screen as steps over the panel; of many the reach of each stretch: none is missed."""
    shares = axes.transAxes.inverted().transform(dots) if len(dots) else dots
    if len(shares) > 2 * SAMPLES:
        with warnings.catch_warnings(action="ignore"):  # stretches of gaps alone
            reach = [
                [np.nanmin(part, axis=0), np.nanmax(part, axis=0)] for part in np.array_split(shares, SAMPLES)
            ]
        shares = np.array(reach)
    return _steps(shares.ravel())


def _steps(shares: npt.NDArray[np.float64]) -> str:
    with warnings.catch_warnings(action="ignore"), np.errstate(all="ignore"):
        steps = np.where(np.isfinite(shares), np.round(np.nan_to_num(shares) * QUANTA), 1e9)
    return " ".join(f"{step:.0f}" for step in np.clip(steps, -1e9, 1e9) + 0.0)
