"""What came of a trial on rock, on the terminal: the effect beside its prediction, what may spoil it."""

from simcore.outdoors.field_trial import FieldTrial
from simcore.outdoors.told import (
    beside_prediction,
    beside_words,
    departure_words,
    drift_words,
    driver_words,
    effect_words,
    far_words,
    guess_words,
    range_words,
    tests_words,
)
from simcore.results.formatting import three_digits
from simcore.views.console.layout import Block, Grid, Line


def trial_blocks(result: FieldTrial, everything: bool) -> list[Block]:
    """The effect, tests, and what drifted; with everything every pair."""
    plan, found = result.plan, result.findings
    rows = {"predicted": (effect_words(plan, plan.expected.predicted.effect), _predicted_range(result))}
    if found.effect is not None:
        effect = found.effect
        rows = {
            "measured": (
                effect_words(plan, effect.value, 0.5 * (effect.high - effect.low)),
                range_words(plan.measure, effect.low, effect.high),
            ),
            **rows,
        }
    table = Grid(
        ("",),
        [(name,) for name in rows],
        [("difference",), ("95 %",)],
        [list(cells) for cells in rows.values()],
    )
    said = [f"Verdict: {found.verdict.value}.", tests_words(plan, found)]
    said += [beside_prediction(plan, found), guess_words(found), *driver_words(plan, found)]
    said += [*departure_words(plan, found), *far_words(plan, found)]
    blocks: list[Block] = [table, Line(""), *(Line(text) for text in said if text)]
    blocks += _left_out(result)
    blocks += _beside(result)
    if everything or not found.drifts:
        blocks += _pairs(result)
    return blocks


def _predicted_range(result: FieldTrial) -> str:
    predicted = result.plan.expected.predicted
    return range_words(result.plan.measure, *predicted.ends) if predicted.error else "not stated"


def _left_out(result: FieldTrial) -> list[Block]:
    """Pairs that do not count, and why."""
    found = result.findings
    if not found.left_out:
        return []
    return [
        Line(""),
        Line(f"Left out, {len(found.left_out)} of {result.plan.pairs} pairs:"),
        *(Line(f"pair {one.pair}: {one.why}") for one in found.left_out),
    ]


def _beside(result: FieldTrial) -> list[Block]:
    """What drifted, and what was noted beside the runs."""
    plan, found = result.plan, result.findings
    rows = {one.what.value: drift_words(plan, one) for one in found.drifts}
    rows |= {one.name: beside_words(plan, one) for one in found.beside}
    for name, counts in result.states.items():
        rows[name] = "; ".join(f"{set_up}: {_counted(one)}" for set_up, one in counts.items())
    if not rows:
        return []
    names, corner = [(name,) for name in rows], ("beside the change (±: a standard error)",)
    grid = Grid(corner, names, [("",)], [[text] for text in rows.values()])
    return [Line(""), grid]


def _counted(counts: dict[str, int]) -> str:
    return ", ".join(f"{word} {count}" for word, count in sorted(counts.items())) or "not noted"


def _pairs(result: FieldTrial) -> list[Block]:
    """Every pair that counts."""
    pairs = result.findings.pairs
    if not pairs:
        return []
    knew = {None: "-", True: "right", False: "wrong"}
    cells = [
        [
            one.driver,
            "first" if one.changed_first else "second",
            *(three_digits(value) for value in (one.base, one.changed, one.difference)),
            knew[one.knew],
        ]
        for one in pairs
    ]
    columns = [("driver",), ("change came",), ("without",), ("with",), ("difference",), ("guess",)]
    return [Line(""), Grid(("pair",), [(str(one.pair),) for one in pairs], columns, cells)]
