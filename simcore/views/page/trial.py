"""Chart of a trial on rock: its effect beside what was predicted, then every pair."""

import math

from simcore.outdoors.field_trial import FieldTrial
from simcore.outdoors.told import effect_words, range_words
from simcore.views.page.bars import Bar, Bars, Mark, Row

ROOM = 0.06  # of the span, at both ends
MEASURED, PREDICTED = 0, 1  # numbers of colours


def of_field_trial(result: FieldTrial) -> Bars:
    """Measured and predicted difference with their intervals, and the difference of every pair."""
    plan, found = result.plan, result.findings
    rows = [
        _interval(result, "measured", MEASURED, f"{len(found.pairs)} pairs"),
        _interval(result, "predicted", PREDICTED, ""),
        *(
            Row(
                f"pair {one.pair}",
                [],
                [Mark(one.difference, "", MEASURED)],
                end=effect_words(plan, one.difference, _least(result)),
            )
            for one in found.pairs
        ),
    ]
    values = [one.difference for one in found.pairs] + [float(x) for x in result.effect.to_numpy().ravel()]
    known = [0.0, *(value for value in values if math.isfinite(value))]
    low, high = min(known), max(known)
    room = ROOM * ((high - low) or 1.0)
    unit = "% of runs" if plan.measure.yes_no else plan.measure.said_unit
    return Bars(
        heading=f"{plan.measure.name}, {plan.changed} less {plan.base}, {unit}",
        note="bars: 95 % interval; a line across: the mean, or one pair",
        along=f"with the change less without it, {unit}",
        rows=rows,
        limits=(low - room, high + room),
        origin=0.0,
    )


def _least(result: FieldTrial) -> float:
    """Half of the measured interval: finer digits of a pair say nothing."""
    effect = result.findings.effect
    return 0.0 if effect is None else 0.5 * (effect.high - effect.low)


def _interval(result: FieldTrial, name: str, look: int, under: str) -> Row:
    value, low, high = (float(x) for x in result.effect.loc[name])
    if not math.isfinite(value):
        return Row(name, under=under, end="none")
    wide = math.isfinite(low) and high > low
    said = [f"95 %: {range_words(result.plan.measure, low, high)}"] if wide else []
    bars = [Bar(low, high, look, "pale")] if wide else []
    shown = effect_words(result.plan, value, 0.5 * (high - low))
    return Row(name, bars, [Mark(value, "", look)], under, shown, said)
