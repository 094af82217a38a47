"""Which change helps: a bar a change, best first, with its interval and its verdict in words."""

import textwrap

from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.ticker import MaxNLocator

from simcore.results.formatting import said_factor, said_unit
from simcore.results.headlines.ranking import SIGNS, metric_name
from simcore.results.ranked import Change, Effect, Verdict, level, turn
from simcore.studies.ranking import Ranking
from simcore.views.catalogue import picture
from simcore.views.pictures.layout import page
from simcore.views.pictures.style import BLUE, QUIET, SMALL, VERMILION, ink, styled

MOST = 14
ROW, LEFT, RIGHT = 0.46, 0.36, 0.78  # inches of height a change; shares of the width
NAME = 34  # letters in a row
THICK = 0.62  # of a row, all conditions together
HATCHES = ("", "////", "....", "xxxx", "----")
OF_VERDICT = {Verdict.CLEAR_GAIN: BLUE, Verdict.CLEAR_LOSS: VERMILION}


def drawn_of(result: Ranking) -> list[Change]:
    """Changes that are drawn: those of which something is seen come before the others."""
    unseen = (Verdict.TOO_SMALL, Verdict.NOT_KNOWN)
    order = list(result.changes)
    if len(order) <= MOST:
        return order
    kept = sorted(order, key=lambda one: one.verdict in unseen)[:MOST]
    return [one for one in order if one in kept]


@styled
def ranking_bars(result: Ranking) -> Figure:
    """Draw the changes of a ranking, best first, under every condition."""
    changes, basis = drawn_of(result), result.basis
    few = len(basis.conditions) > 1
    marks = [f"{hatch_words(k)}: {name}" for k, name in enumerate(basis.conditions)] if few else []
    marks.append("grey: too small to see")
    marks += ["line: 19 of 20 rigs that are off as a bench is off"] if basis.draws else []
    height = max(ROW * len(changes), 1.0)
    figure, (axis,) = page(
        1, 1, height, result.headline, f"{result.asked}\n{'; '.join(marks)}", left=LEFT, right=RIGHT
    )
    factor, unit = said_factor(basis.metric), said_unit(basis.metric)
    axis.set_yticks(range(len(changes)), [_named(one.name) for one in changes])
    axis.tick_params(axis="y", length=0, labelsize=11, pad=6)
    axis.grid(visible=False, axis="y")
    axis.set_ylim(len(changes) - 0.4, -0.6)
    axis.axvspan(-basis.seen * factor, basis.seen * factor, color="#E6E6E6", lw=0.0, zorder=0)
    axis.axvline(0.0, color="black", lw=1.2, zorder=3)
    reach = [basis.seen * factor]
    for place, change in enumerate(changes):
        reach += _draw(axis, place, change, factor)
        _say(axis, place, change)
    span = 1.08 * max(reach)
    axis.set_xlim(-span, span)
    axis.xaxis.set_major_locator(MaxNLocator(6))
    way = "more" if basis.better > 0 else "less"
    axis.set_xlabel(f"change of {metric_name(basis.metric)}, {unit or 'no unit'} ({way} is better)")
    return figure


def hatch_words(k: int) -> str:
    """What the bars of a condition look like, in words."""
    return ("plain", "hatched", "dotted", "crossed", "lined")[k % len(HATCHES)]


def _named(name: str) -> str:
    return "\n".join(textwrap.wrap(name, NAME)[:2])


def _draw(axis: Axes, place: int, change: Change, factor: float) -> list[float]:
    """Bars of one change; gives how far they reach."""
    reached, thick = [], THICK / len(change.effects)
    sure = level(len(change.effects))
    for k, effect in enumerate(change.effects):
        at = place - 0.5 * THICK + (k + 0.5) * thick
        if effect.change is None or turn(effect, sure):
            _say_job(axis, at, effect, sure)
            continue
        colour = OF_VERDICT.get(change.verdict, QUIET)
        axis.barh(
            [at],
            [effect.change * factor],
            height=0.9 * thick,
            color="white" if k else colour,
            edgecolor=colour,
            hatch=HATCHES[k % len(HATCHES)],
            lw=0.8,
            zorder=2,
        )
        reached.append(abs(effect.change) * factor)
        if effect.low is not None and effect.high is not None:
            ends = [effect.low * factor, effect.high * factor]
            axis.plot(ends, [at, at], color="black", lw=1.3, marker="|", ms=5, zorder=4)
            reached += map(abs, ends)
    return reached


def _say_job(axis: Axes, at: float, effect: Effect, sure: float) -> None:
    """Words where the job turns, or there is no figure."""
    way = turn(effect, sure)
    words = {1: "does the job with it alone", -1: "fails the job with it"}.get(way, "no figure")
    colour = {1: BLUE, -1: VERMILION}.get(way, QUIET)
    axis.annotate(
        words,
        (0.0, at),
        xytext=(5, 0),
        textcoords="offset points",
        va="center",
        fontsize=8.5,
        color=ink(colour),
    )


def _say(axis: Axes, place: int, change: Change) -> None:
    """The verdict beside the bars: a sign and words."""
    axis.annotate(
        f"{SIGNS[change.verdict]}  {change.verdict.value}",
        (1.0, place),
        xycoords=("axes fraction", "data"),
        xytext=(8, 0),
        textcoords="offset points",
        va="center",
        fontsize=SMALL,
        color=ink(OF_VERDICT.get(change.verdict, QUIET)),
    )


@picture(
    "Every bar is what a change does to the metric, best first, one bar a condition; the line over it "
    "holds 19 of 20 rigs that are off as a bench is off. Beside it stands the verdict; grey cannot be seen.",
)
def of_ranking(result: Ranking) -> Figure:
    """Which change helps."""
    return ranking_bars(result)
