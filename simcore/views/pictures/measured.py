"""What is known of a measured rig, and how well: errors of its places and of its numbers."""

import textwrap
from collections.abc import Sequence
from typing import Any, NamedTuple

from matplotlib.axes import Axes
from matplotlib.figure import Figure

from simcore.readings.line_names import AXES, name_of
from simcore.readings.workings import Entry, Origin
from simcore.results.formatting import three_digits
from simcore.studies.measure import Measurement
from simcore.views.catalogue import picture
from simcore.views.pictures.layout import page
from simcore.views.pictures.style import BLUE, GREEN, ORANGE, VERMILION, ink, styled

MOST, ROW = 22, 0.31  # bars of a panel; inches of height each
LEFT, RIGHT, BETWEEN = 0.27, 0.975, 0.29  # of the width: where panels begin and end, and room between them
NAME = 31  # letters in a row
LOOKS: dict[Origin, tuple[str, str, str]] = {
    Origin.READ: (GREEN, "", "read"),
    Origin.WORKED_OUT: (BLUE, "....", "worked out"),
    Origin.GUESSED_IN_PART: (ORANGE, "////", "guessed in part"),
    Origin.GUESS: (VERMILION, "xxxx", "guess"),
}
"""Colour, hatch and word of where a value comes from."""


class Known(NamedTuple):
    """A place or number: what it is called, its error, where it comes from."""

    name: str
    error: float
    origin: Origin


def pairs(entries: dict[str, Entry]) -> dict[str, tuple[Entry, Entry]]:
    """Both numbers of every place of a rig, by its key."""
    firsts = [key.removesuffix(".0") for key in entries if key.endswith(".0") and f"{key[:-2]}.1" in entries]
    return {key: (entries[f"{key}.0"], entries[f"{key}.1"]) for key in firsts if not key.endswith(".size")}


def worse(place: tuple[Entry, Entry]) -> Origin:
    """Where a place comes from: the less sure of its numbers."""
    order = list(Origin)
    return max((one.origin for one in place), key=order.index)


def known_places(result: Measurement) -> list[Known]:
    """Places, the worst known first: how far each may be off, both numbers together, mm."""
    found = []
    for key, (x, z) in pairs(result.derived.entries).items():
        name = name_of(f"{key}.0", result.worksheet).removesuffix(AXES[0])
        found.append(Known(name, (x.error**2 + z.error**2) ** 0.5, worse((x, z))))
    return sorted(found, key=lambda one: -one.error)


def known_numbers(result: Measurement) -> list[Known]:
    """Numbers that are no places, likewise: error in percent of the value; those that are exact left out."""
    placed = {f"{key}.{axis}" for key in pairs(result.derived.entries) for axis in (0, 1)}
    found = [
        Known(name_of(key, result.worksheet), 100.0 * entry.error / abs(entry.value), entry.origin)
        for key, entry in result.derived.entries.items()
        if key not in placed and entry.value and entry.error
    ]
    return sorted(found, key=lambda one: -one.error)


@styled
def how_well_known(places: Sequence[Known], numbers: Sequence[Known], headline: str, question: str) -> Figure:
    """Bars of errors: of places in mm, of numbers in percent of their values.

    Parameters
    ----------
    places, numbers : the worst known first
    headline, question : what is known, and of which rig
    """
    count = max(min(len(known), MOST) for known in (places, numbers))
    marks = "Error: what 19 of 20 keep within; of a guess half of its range"
    height = ROW * max(count, 3)
    figure, panels = page(1, 2, height, headline, f"{question}\n{marks}", left=LEFT, right=RIGHT)
    width = 0.5 * (RIGHT - LEFT - BETWEEN)
    for k, (panel, known) in enumerate(zip(panels, (places, numbers), strict=True)):
        box = panel.get_position()
        panel.set_position((LEFT + k * (width + BETWEEN), box.y0, width, box.height))
        _draw(panel, known, count)
        panel.set_title(_title(("places", "numbers")[k], known), fontsize=12, loc="left", x=-0.9)
        panel.set_xlabel(("error, mm", "error, % of the value")[k])
    return figure


def _title(what: str, known: Sequence[Known]) -> str:
    """What a panel shows of how many."""
    return f"{what}, worst known first" + (f" ({MOST} of {len(known)})" if len(known) > MOST else "")


def written(one: Known) -> str:
    """An error as it is written, with where it comes from."""
    error = three_digits(one.error) if one.error < 9.95 else f"{one.error:.0f}"
    return f"{error} {LOOKS[one.origin][2]}"


def _draw(panel: Axes, known: Sequence[Known], count: int) -> None:
    """Bars, each with its error and where it comes from."""
    shown = list(known[:MOST])
    for place, one in enumerate(shown):
        colour, hatch, _ = LOOKS[one.origin]
        hatched: dict[str, Any] = {"color": "white", "edgecolor": colour, "hatch": hatch}
        look = hatched if hatch else {"color": colour}
        panel.barh([place], [one.error], height=0.68, lw=1.0, **look)
        panel.annotate(
            written(one),
            (one.error, place),
            xytext=(4, 0),
            textcoords="offset points",
            va="center",
            fontsize=10.5,
            color=ink(colour),
        )
    names = [textwrap.shorten(one.name, NAME, placeholder="…") for one in shown]
    panel.set_yticks(range(len(shown)), names, fontsize=11)
    panel.tick_params(axis="y", length=0)
    panel.grid(visible=False, axis="y")
    panel.set_ylim(max(count, 3) - 0.4, -0.6)
    panel.set_xlim(0.0, 2.1 * max((one.error for one in shown), default=1.0))


@picture(
    "Every bar is the error of a place (left, mm) or of a number (right, percent of its value), worst known "
    "first, with where the value comes from.",
)
def of_measurement(result: Measurement) -> Figure:
    """What is known of the rig, and how well."""
    return how_well_known(known_places(result), known_numbers(result), result.headline, result.asked)
