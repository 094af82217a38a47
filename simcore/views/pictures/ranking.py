"""Which change helps: a bar a change, best first, with its interval and its verdict in words."""

import math
import textwrap
from collections.abc import Sequence

from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.ticker import MaxNLocator

from simcore.results.formatting import said_factor, said_unit, signed
from simcore.results.headlines.ranking import (
    base_words,
    effect_words,
    ends_words,
    in_words,
    metric_name,
    stuck,
    verdict_words,
)
from simcore.results.ranked import UNSEEN, Change, Mark, Verdict, level, told_of, turn
from simcore.studies.ranking import Ranking
from simcore.views.catalogue import picture
from simcore.views.pictures.layout import page, unbroken
from simcore.views.pictures.style import BLUE, QUIET, SMALL, VERMILION, ink, styled

MOST = 14
ROW, LINE = 0.5, 0.17  # inches of height a change; of each further row of its name
LEFT, GAP = 0.30, 1.0  # share of the width; inches between rows of panels
COLUMNS = 3  # of panels
PALE = "#B5B5B5"
NAME, ROWS, WORD_ROW = 30, 2, 18  # letters in a row of a name, rows of it; letters in a row of words
THICK = 0.5  # of a change's height, if that is one row
ASIDE = 1.08  # of the longest bar, that the scale goes at least
LEAST_SIDE, WORDS = 0.5, 0.4  # of that, room for words: beside nought, beside the end of an interval
OF_VERDICT = {Verdict.CLEAR_GAIN: BLUE, Verdict.CLEAR_LOSS: VERMILION}


@styled
def ranking_bars(result: Ranking) -> Figure:
    """Draw the changes of a ranking, best first: a panel a condition, each on a scale of its own."""
    changes, basis = told_of(result.changes, MOST), result.basis
    names = [_rows(one.name) for one in changes]
    none = {*stuck(result), *in_words(result)}
    shown = [k for k, name in enumerate(basis.conditions) if name not in none]
    columns = min(len(shown), COLUMNS)
    tall = ROW + LINE * (max(map(len, names), default=1) - 1)
    figure, panels = page(
        math.ceil(len(shown) / columns),
        columns,
        max(tall * len(changes), 1.0),
        result.headline,
        "\n".join([result.asked_of_rig, *base_words(basis), *_read(result, len(changes))]),
        left=LEFT,
        gap=GAP,
    )
    for place, axis in enumerate(panels):
        if place >= len(shown):
            axis.set_axis_off()
            continue
        k, named = shown[place], place % columns == 0
        said = [
            "\n".join([*rows, "  ".join(verdict_words(one))]) if named else ""
            for one, rows in zip(changes, names, strict=True)
        ]
        axis.set_yticks(range(len(changes)), said)
        for text, one in zip(axis.get_yticklabels(), changes, strict=True):
            text.set_color(ink(OF_VERDICT.get(one.verdict, QUIET)))
        axis.tick_params(axis="y", length=0, labelsize=11, pad=6)
        axis.grid(visible=False, axis="y")
        axis.set_ylim(len(changes) - 0.4, -0.6)
        axis.set_title(basis.conditions[k], fontsize=11.5, loc="left")
        _draw(axis, result, changes, k)
    return figure


def _read(result: Ranking, drawn: int) -> list[str]:
    """How to read it, and in words what is not drawn."""
    drawn_at_all = any(effect.change is not None for change in result.changes for effect in change.effects)
    marks = [f"Bars: change of {metric_name(result.basis.metric)}", "blue: better", "orange: worse"]
    marks += ["pale: lost in bench error or too small", "grey band: too small to see"]
    marks += ["line: 19 of 20 rigs that are off as a bench is off"] if result.basis.draws else []
    read = [f"{'; '.join(marks)}."] if drawn_at_all else []
    return [*read, *ends_words(result), *not_drawn(result, drawn, "panel")]


def not_drawn(result: Ranking, drawn: int, kind: str) -> list[str]:
    """What is not drawn, in words: conditions without a panel or chart, and changes.

    Parameters
    ----------
    drawn : how many changes are
    kind : what a condition has none of
    """
    none, said = stuck(result), []
    said += [f"No {kind} for {', '.join(none)}: no change does the job."] if none else []
    said += [f"No {kind} for {name}: {words}." for name, words in in_words(result).items()]
    left = len(result.changes) - drawn
    if left:
        unseen = min(left, sum(one.verdict in UNSEEN for one in result.changes))
        parts = [f"{left - unseen} between the best and the worst"] if left > unseen else []
        parts += [f"{unseen} too small to see or not known"] if unseen else []
        said.append(f"Not drawn, {left} of {len(result.changes)} changes: {', '.join(parts)}.")
    return said


def _rows(name: str) -> list[str]:
    """Name of a change in rows; of a long one begin and end, which has how far it goes."""
    name = unbroken(name)
    rows = textwrap.wrap(name, NAME)
    if len(rows) > ROWS:
        rows = [*rows[: ROWS - 1], f"… {name[-NAME + 2 :].split(' ', 1)[-1]}"]
    return rows


def _draw(axis: Axes, result: Ranking, changes: Sequence[Change], k: int) -> None:
    """Bars of all changes under one condition."""
    basis, sure = result.basis, level(len(result.basis.conditions))
    factor, unit = said_factor(basis.metric), said_unit(basis.metric)
    axis.axvline(0.0, color="black", lw=1.2, zorder=3)
    seen, ends, said = basis.seen * factor, list[float](), list[float]()
    for place, change in enumerate(changes):
        effect, one = change.effects[k], result.marks(change)[k]
        way = turn(effect, sure)
        if effect.change is None or way:
            _say_job(axis, place, effect_words(basis.metric, effect, sure, brief=True), way)
            continue
        colour = {Mark.GAIN: BLUE, Mark.LOSS: VERMILION}.get(one, PALE)
        axis.barh([place], [effect.change * factor], height=THICK, color=colour, zorder=2)
        own = [effect.change * factor]
        if effect.low is not None and effect.high is not None:
            own += [effect.low * factor, effect.high * factor]
            axis.plot(own[1:], [place, place], color="black", lw=1.3, marker="|", ms=6, zorder=4)
        said.append(_say_size(axis, place, signed(basis.metric, effect.change), own))
        ends += own
    if not ends:  # words alone
        axis.set_xlim(0.0, 1.0)
        axis.set_xticks([])
        return
    reach = ASIDE * max(seen, *map(abs, ends))
    low = min(-LEAST_SIDE * reach, ASIDE * min(ends), min(said) - WORDS * reach * (min(said) < 0.0))
    high = max(LEAST_SIDE * reach, ASIDE * max(ends), max(said) + WORDS * reach * (max(said) > 0.0))
    axis.set_xlim(low, high)
    axis.axvspan(-seen, seen, color="#E6E6E6", lw=0.0, zorder=0)
    axis.xaxis.set_major_locator(MaxNLocator(4))
    axis.set_xlabel(f"change, {unit or 'no unit'}", fontsize=SMALL)


def _say_size(axis: Axes, place: int, words: str, ends: Sequence[float]) -> float:
    """Say the size of an effect where its bar does not go; gives at which value the words begin."""
    more = ends[0] > 0.0
    at = min(0.0, *ends) if more else max(0.0, *ends)
    axis.annotate(
        words,
        (at, place),
        xytext=(-5 if more else 5, 0),
        textcoords="offset points",
        va="center",
        ha="right" if more else "left",
        fontsize=9.0,
        color="black",
        zorder=5,
    )
    return at


def _say_job(axis: Axes, place: int, words: str, way: int) -> None:
    """Words where the job turns, or there is no figure."""
    axis.annotate(
        textwrap.fill(words, WORD_ROW),
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
