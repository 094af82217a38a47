"""Charts of which change helps: one a condition, all changes best first."""

from collections.abc import Sequence

from simcore.results.formatting import in_picture, said_factor, said_unit, signed
from simcore.results.headlines.ranking import (
    base_words,
    effect_words,
    ends_words,
    in_words,
    metric_name,
    stuck,
    verdict_words,
)
from simcore.results.ranked import Change, Effect, level, told_of, turn
from simcore.studies.ranking import Ranking
from simcore.views.page.bars import Bar, Bars, Mark, Row
from simcore.views.pictures.ranking import not_drawn

MOST = 20  # changes
GAIN, LOSS, ASIDE = 0, 1, 0.12  # looks; share of the span


def of_ranking(result: Ranking) -> list[Bars]:
    """Changes best first, one chart a condition, each on a scale of its own."""
    none = {*stuck(result), *in_words(result)}
    changes = told_of(result.changes, MOST)
    return [_chart(result, changes, k) for k, name in enumerate(result.basis.conditions) if name not in none]


def notes_of_ranking(result: Ranking) -> list[str]:
    """How to read the charts, and what they leave out."""
    several = ", from all conditions together" * (len(result.basis.conditions) > 1)
    read = f"At the right of each change stands its verdict{several}."
    return [
        read,
        *base_words(result.basis),
        *ends_words(result),
        *not_drawn(result, len(told_of(result.changes, MOST)), "chart"),
    ]


def _chart(result: Ranking, changes: Sequence[Change], k: int) -> Bars:
    basis = result.basis
    factor, unit = said_factor(basis.metric), said_unit(basis.metric) or "no unit"
    effects = [change.effects[k] for change in changes]
    reach = max([basis.seen * factor, *_reached(effects, factor)]) * (1.0 + ASIDE)
    way, value = "more" if basis.better > 0 else "less", basis.values[k]
    keys = ["full: better", "pale: worse", "shaded: too small to see"]
    keys += ["marks: ends of what 19 of 20 rigs have"] if basis.draws else []
    rows = [_row(result, *both) for both in zip(changes, effects, strict=True)]
    drawn = any(row.bars for row in rows)  # else words alone
    return Bars(
        heading=f"Change of {metric_name(basis.metric)}, {unit}: {basis.conditions[k]}",
        note=f"{way} is better"
        + (f"; {in_picture(basis.metric, value)} without any change" if value is not None else ""),
        along=f"change of {metric_name(basis.metric)}, {unit}",
        rows=rows,
        limits=(-reach, reach),
        keys=keys if drawn else (),
        seen=(-basis.seen * factor, basis.seen * factor) if drawn else None,
        origin=0.0,
    )


def _reached(effects: Sequence[Effect], factor: float) -> list[float]:
    """How far bars and intervals of effects go."""
    ends = [end for one in effects for end in (one.change, one.low, one.high) if end is not None]
    return [abs(end) * factor for end in ends]


def _row(result: Ranking, change: Change, effect: Effect) -> Row:
    basis, sure = result.basis, level(len(change.effects))
    factor = said_factor(basis.metric)
    bars, marks, wide = [], list[Mark](), effect.low is not None
    if effect.change is not None and not turn(effect, sure):
        at, gain = effect.change * factor, effect.change * basis.better > 0.0
        bars.append(
            Bar(
                low=min(at, 0.0),
                high=max(at, 0.0),
                look=GAIN if gain else LOSS,
                fill="full" if gain else "pale",
                words="" if wide else signed(basis.metric, effect.change),  # else below, with the interval
                back=at < 0.0,
            )
        )
        if effect.low is not None and effect.high is not None:
            marks = [Mark(effect.low * factor), Mark(effect.high * factor)]
    words = effect_words(basis.metric, effect, sure)
    said = [words] if not bars or marks else []
    return Row(change.name, bars, marks, end=" ".join(verdict_words(change)), said=said)
