"""Which change helps: a bar a change, best first, with its interval and its verdict in words."""

import math
import textwrap
from collections.abc import Sequence

from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.ticker import MaxNLocator

from simcore.accounts.job import JobState
from simcore.results.formatting import said_factor, said_unit
from simcore.results.headlines.ranking import SIGNS, stuck
from simcore.results.ranked import Change, Effect, Mark, Verdict, level, turn
from simcore.studies.ranking import Ranking
from simcore.views.catalogue import picture
from simcore.views.pictures.layout import page
from simcore.views.pictures.style import BLUE, QUIET, SMALL, VERMILION, ink, styled

MOST = 14
ROW, LEFT, GAP = (
    0.5,
    0.30,
    1.0,
)  # inches of height a change; share of the width; inches between rows of panels
COLUMNS = 3  # of panels
PALE = "#B5B5B5"
NAME = 34  # letters in a row
THICK = 0.5  # of a row
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
    """Draw the changes of a ranking, best first: a panel a condition, each on a scale of its own."""
    changes, basis = drawn_of(result), result.basis
    marks = [
        "blue: better",
        "orange: worse",
        "pale: lost in bench error or too small",
        "grey band: too small to see",
    ]
    marks += ["line: 19 of 20 rigs that are off as a bench is off"] if basis.draws else []
    none = set(stuck(result))
    shown = [k for k, name in enumerate(basis.conditions) if name not in none]
    marks += [f"no panel where no change does the job ({', '.join(stuck(result))})"] if none else []
    many = len(shown)
    columns = min(many, COLUMNS)
    height = max(ROW * len(changes), 1.0)
    figure, panels = page(
        math.ceil(many / columns),
        columns,
        height,
        result.headline,
        f"{result.asked}\n{'; '.join(marks)}",
        left=LEFT,
        gap=GAP,
    )
    for place, axis in enumerate(panels):
        if place >= many:
            axis.set_axis_off()
            continue
        k, named = shown[place], place % columns == 0
        axis.set_yticks(range(len(changes)), [_named(one) if named else "" for one in changes])
        for text, one in zip(axis.get_yticklabels(), changes, strict=True):
            text.set_color(ink(OF_VERDICT.get(one.verdict, QUIET)))
        axis.tick_params(axis="y", length=0, labelsize=11, pad=6)
        axis.grid(visible=False, axis="y")
        axis.set_ylim(len(changes) - 0.4, -0.6)
        axis.set_title(basis.conditions[k], fontsize=11.5, loc="left")
        _draw(axis, result, changes, k)
    return figure


def _named(change: Change) -> str:
    """Name of a change, and below it the verdict: a sign and words."""
    name = textwrap.shorten(change.name, NAME, placeholder="…")
    return f"{name}\n{SIGNS[change.verdict]}  {change.verdict.value}"


def _draw(axis: Axes, result: Ranking, changes: Sequence[Change], k: int) -> None:
    """Bars of all changes under one condition."""
    basis = result.basis
    factor, unit = said_factor(basis.metric), said_unit(basis.metric)
    axis.axvline(0.0, color="black", lw=1.2, zorder=3)
    seen, reached = basis.seen * factor, list[float]()
    for place, change in enumerate(changes):
        effect, one = change.effects[k], result.marks(change)[k]
        if effect.change is None or turn(effect, level(len(change.effects))):
            _say_job(axis, place, effect, level(len(change.effects)))
            continue
        colour = {Mark.GAIN: BLUE, Mark.LOSS: VERMILION}.get(one, PALE)
        axis.barh([place], [effect.change * factor], height=THICK, color=colour, zorder=2)
        reached.append(abs(effect.change) * factor)
        if effect.low is not None and effect.high is not None:
            ends = [effect.low * factor, effect.high * factor]
            axis.plot(ends, [place, place], color="black", lw=1.3, marker="|", ms=6, zorder=4)
            reached += map(abs, ends)
    if not reached:  # words alone
        axis.set_xlim(-1.0, 1.0)
        axis.set_xticks([])
        return
    span = 1.08 * max(seen, *reached)
    axis.set_xlim(-span, span)
    axis.axvspan(-seen, seen, color="#E6E6E6", lw=0.0, zorder=0)
    axis.xaxis.set_major_locator(MaxNLocator(4))
    axis.set_xlabel(f"change, {unit or 'no unit'}", fontsize=SMALL)


def _say_job(axis: Axes, place: int, effect: Effect, sure: float) -> None:
    """Words where the job turns, or there is no figure."""
    way = turn(effect, sure)
    words = {1: "does the job\nwith it alone", -1: "fails the job\nwith it"}.get(way, "no figure")
    if not way and effect.before is effect.after is JobState.NOT_DONE:
        words = "job not done\neither way"
    elif not way and effect.before is JobState.NOT_DONE and effect.after is JobState.DONE:
        words = "does the job,\nnot for certain"
    elif not way and effect.before is JobState.DONE and effect.after is JobState.NOT_DONE:
        words = "may fail\nthe job"
    axis.annotate(
        words,
        (0.0, place),
        xytext=(5, 0),
        textcoords="offset points",
        va="center",
        fontsize=9.0,
        color=ink({1: BLUE, -1: VERMILION}.get(way, QUIET)),
    )


@picture(
    "Every bar is what a change does to the metric, best first, a panel a condition; the line over it "
    "holds 19 of 20 rigs that are off as a bench is off. Below its name stands the verdict.",
)
def of_ranking(result: Ranking) -> Figure:
    """Which change helps."""
    return ranking_bars(result)
