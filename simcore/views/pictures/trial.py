"""A trial on rock: every pair's difference, and the effect beside what was predicted."""

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.ticker import MaxNLocator

from simcore.outdoors.field_trial import FieldTrial
from simcore.outdoors.told import effect_words
from simcore.views.catalogue import picture
from simcore.views.pictures.layout import headed
from simcore.views.pictures.names import shortened
from simcore.views.pictures.style import BLUE, MARKERS, QUIET, SMALL, VERMILION, dots, ink, styled

HEIGHT, ASIDE = 4.35, 0.12  # inches; of the span, room beside it
SHAPES, NAME = ("round", "square"), 16  # of the dots of each driver, and letters of his name beside them
LEFT, RIGHT, GAP = 0.1, 0.97, 0.06


@picture(
    "Left, every dot is a pair of runs close in time: with the change less without it; filled: the change "
    "came first. Right, their mean with its 95 % interval beside what was predicted.",
)
@styled
def of_field_trial(result: FieldTrial) -> Figure:
    """Pairs and effect."""
    found, plan = result.findings, result.plan
    figure, head = headed(HEIGHT, result.headline, _question(result))
    total = figure.get_figheight()
    grid = figure.add_gridspec(
        1,
        2,
        left=LEFT,
        right=RIGHT,
        top=1.0 - (head + 0.3) / total,
        bottom=0.75 / total,
        wspace=GAP,
        width_ratios=[1.7, 1.0],
    )
    pairs = figure.add_subplot(grid[0, 0])
    effect = figure.add_subplot(grid[0, 1], sharey=pairs)
    _pairs(pairs, result)
    _effect(effect, result)
    unit = plan.measure.effect_unit
    said_unit = "% of runs" if plan.measure.yes_no else "count" if unit == "1" else unit
    pairs.set_ylabel(f"with the change less without, {said_unit}")
    _limits(pairs, result)
    if not found.pairs:
        pairs.text(0.5, 0.5, "no pair counts", transform=pairs.transAxes, ha="center", color=QUIET)
    figure.set_dpi(dots())
    return figure


def _question(result: FieldTrial) -> str:
    """What was tried, and how surely the drivers did not know."""
    plan = result.plan
    unit = "yes or no" if plan.measure.yes_no else plan.measure.said_unit
    return f'"{plan.changed}" against "{plan.base}" on rock; {plan.measure.name}, {unit}\n{_guessed(result)}'


def _guessed(result: FieldTrial) -> str:
    guesses = result.findings.guesses
    left = len(result.findings.left_out)
    out = f"; {left} pair{'s' * (left > 1)} left out" if left else ""
    if not guesses.made:
        return f"No guesses noted: nobody knows whether the drivers knew{out}"
    knew = "the drivers knew" if result.findings.knew else "no sign that the drivers knew"
    return f"{guesses.right} of {guesses.made} guesses right: {knew}{out}"


def _pairs(axis: Axes, result: FieldTrial) -> None:
    """Every pair's difference, in the order of the day."""
    names = [one.driver for one in result.findings.drivers]
    apart = len(names) <= len(SHAPES)  # more are hardly meant, and would not be read
    for k, name in enumerate(names):
        for first in (True, False):
            own = [one for one in result.findings.pairs if one.driver == name and one.changed_first is first]
            axis.scatter(
                [one.pair for one in own],
                [one.difference for one in own],
                s=62,
                marker=MARKERS[k if apart else 0],
                facecolors=BLUE if first else "white",
                edgecolors=BLUE,
                linewidths=1.6,
                zorder=3,
                label=name if first else None,
            )
    axis.axhline(0.0, color="black", lw=1.2, zorder=2)
    axis.set_xlabel("pair, in the order of the day")
    axis.xaxis.set_major_locator(MaxNLocator(8, integer=True))
    axis.set_xlim(0.0, result.plan.pairs + 1.0)
    keys = "filled: change first, open: change second"
    if len(names) > 1 and apart:
        shaped = zip(SHAPES, shortened(names, NAME), strict=False)
        keys += "\n" + ", ".join(f"{shape}: {name}" for shape, name in shaped)
    elif not apart:
        keys += f"\n{len(names)} drivers, not told apart"
    axis.set_title(keys, fontsize=SMALL, loc="left", color=QUIET)


def _effect(axis: Axes, result: FieldTrial) -> None:
    """Measured and predicted, each with its interval."""
    axis.axhline(0.0, color="black", lw=1.2, zorder=2)
    rows = [("measured", BLUE, "o"), ("predicted", VERMILION, "D")]
    for k, (name, colour, marker) in enumerate(rows):
        value, low, high = (float(one) for one in result.effect.loc[name])
        if not np.isfinite(value):
            continue
        if np.isfinite(low) and high > low:
            axis.plot([k, k], [low, high], color=colour, lw=3.0, solid_capstyle="butt", zorder=3)
            for end in (low, high):
                axis.plot([k - 0.09, k + 0.09], [end, end], color=colour, lw=2.2, zorder=3)
        axis.plot([k], [value], marker=marker, ms=10, color=colour, zorder=4)
        axis.annotate(
            effect_words(result.plan, value, 0.5 * (high - low)),
            (k, value),
            xytext=(10, 0),
            textcoords="offset points",
            va="center",
            fontsize=SMALL,
            color=ink(colour),
        )
    axis.set_xticks([0, 1], [name for name, _, _ in rows])
    for label, (_, colour, _) in zip(axis.get_xticklabels(), rows, strict=True):
        label.set_color(ink(colour))
        label.set_fontweight("bold")
    axis.set_xlim(-0.4, 1.8)
    axis.tick_params(axis="y", labelleft=False)
    axis.grid(visible=False, axis="x")
    axis.set_title("mean and its 95 % interval", fontsize=SMALL, loc="left", color=QUIET)


def _limits(axis: Axes, result: FieldTrial) -> None:
    """Room for all that is drawn."""
    values = [0.0, *(one.difference for one in result.findings.pairs), *np.ravel(result.effect.to_numpy())]
    known = [value for value in values if np.isfinite(value)]
    low, high = min(known), max(known)
    room = ASIDE * ((high - low) or 1.0)
    axis.set_ylim(low - room, high + room)
