"""What came of a trial in words: first whether the change did it, then how much, beside the prediction."""

import math
from collections.abc import Iterator
from statistics import median

from simcore.outdoors.findings import Beside, Drift, Drifted, Effect, Findings, Verdict, deciding_p
from simcore.outdoors.key import Plan
from simcore.outdoors.measure import WIDE, Measure, said
from simcore.outdoors.paired import LEAST_PAIRS, LEVEL
from simcore.outdoors.power import Expected
from simcore.results.formatting import MINUS, three_digits
from simcore.units import with_unit

FAR_OFF = 15.0  # times the usual distance from the middle, ten standard deviations of a bell curve
SIDE = 10.0  # of its own size: as finely an end of an interval is said, so that its side of nought shows


def signed(value: float, least: float = 0.0) -> str:
    """A number, always with its sign: in three digits, or to two digits of the least size that matters."""
    if least > 0.0 and math.isfinite(least):
        digits = max(0, 1 - math.floor(math.log10(least)))
        text = f"{round(value, digits) + 0.0:.{digits}f}".replace("-", MINUS)
    else:
        text = three_digits(value)
    return text if text.startswith(MINUS) or value == 0.0 else f"+{text}"


def p_words(p: float) -> str:
    """A p as it is said."""
    return "p < 0.001" if p < 0.001 else f"p = {p:.3f}" if p < 0.1 else f"p = {p:.2f}"


def effect_words(plan: Plan, value: float, least: float = 0.0) -> str:
    """A difference with its sign and unit, as `signed`."""
    return with_unit(signed(value, least), plan.measure.effect_unit)


def range_words(measure: Measure, low: float, high: float) -> str:
    """An interval with its unit, once, to two digits of half of it; without ends it is not known.

    An end close to nought has the digits that show on which side of it it lies: that is the verdict.
    """
    if not (math.isfinite(low) or math.isfinite(high)):
        return "not known"
    ends = (_end_words(end, 0.5 * (high - low)) for end in (low, high))
    return with_unit(" to ".join(ends), measure.effect_unit)


def _end_words(end: float, half: float) -> str:
    if not math.isfinite(end):
        return "any"
    return signed(end, min(half, SIDE * abs(end)) if end and math.isfinite(half) else half)


def lost_words(expected: Expected) -> Iterator[str]:
    """That a prediction may as well be no effect; nothing where it may not."""
    predicted = expected.predicted
    if predicted.lost:
        reach = range_words(expected.measure, *predicted.ends)
        yield (
            f"The prediction's 95 % interval ({reach}) holds no effect at all: lost in bench error. "
            "No trial can be planned on it with confidence."
        )


def measured_words(plan: Plan, effect: Effect) -> str:
    """The difference with its interval and p."""
    return (
        f"{effect_words(plan, effect.value, 0.5 * (effect.high - effect.low))} "
        f"(95 %: {range_words(plan.measure, effect.low, effect.high)}; "
        f"{p_words(deciding_p(plan, effect))})"
    )


def predicted_words(plan: Plan) -> str:
    """What was predicted."""
    predicted = plan.expected.predicted
    if predicted.error == 0.0:
        return effect_words(plan, predicted.effect)
    effect = effect_words(plan, predicted.effect, WIDE * predicted.error)
    return f"{effect} (95 %: {range_words(plan.measure, *predicted.ends)})"


def headline(plan: Plan, found: Findings) -> str:
    """Whether the change did it, how much, and what was predicted."""
    effect, name, count = found.effect, plan.measure.name, len(found.pairs)
    if effect is None or found.verdict is Verdict.TOO_FEW:
        pairs = f"{count} pair{'s' * (count != 1)} of runs count{'s' * (count == 1)}"
        return f"Too few runs: {pairs}, and fewer than {LEAST_PAIRS} cannot show anything"
    share = ", share of runs," if plan.measure.yes_no else ""
    what = f"{name}{share} {measured_words(plan, effect)}"
    beside = f"; predicted {predicted_words(plan)}"
    match found.verdict:
        case Verdict.SHOWN:
            first = f'Shown: "{plan.changed}" does it'
        case Verdict.OTHER_WAY:
            first = f'Shown the other way: "{plan.changed}" does the opposite of what was predicted'
        case Verdict.NOT_BLIND:
            first = "Not blind: there is a difference, but the drivers knew which set-up they drove"
        case _:
            first = f'Not shown that "{plan.changed}" does it: {count} pairs could be so by chance'
    return f"{first}. {what[0].upper()}{what[1:]}{beside}"


def beside_prediction(plan: Plan, found: Findings) -> str:
    """How the measured difference stands to the predicted one; nothing where there is none."""
    effect, predicted = found.effect, plan.expected.predicted
    if effect is None or not math.isfinite(effect.low):
        return ""
    low, high = predicted.ends
    if effect.low <= predicted.effect <= effect.high:
        none = ", and so is no effect at all" if effect.low <= 0.0 <= effect.high else ""
        return f"The prediction is within the measured interval{none}."
    if low <= effect.high and high >= effect.low:
        return "The prediction is outside the measured interval, but its own interval reaches into it."
    way = (
        "more"
        if abs(effect.value) > abs(predicted.effect) and effect.value * predicted.effect > 0
        else "less"
    )
    return f"The prediction does not fit: rock shows {way} than the bench predicted."


def tests_words(plan: Plan, found: Findings) -> str:
    """How many pairs went which way, the test that decides, and of a number the other as a check."""
    effect = found.effect
    if effect is None:
        return ""
    count = len(found.pairs)
    same = count - effect.up - effect.down
    equal = f", {same} the same" if same else ""
    test, check = "sign", ""
    if not plan.measure.yes_no:
        directions = f"the sign test, of directions alone ({p_words(effect.sign)})"
        test, check = "permutation", f" Beside it, deciding nothing: {directions}."
    return (
        f"{count} pair{'s' * (count != 1)}: {effect.up} higher with the change, {effect.down} lower{equal}. "
        f"The {test} test decides, at {LEVEL:g}: {p_words(deciding_p(plan, effect))}; "
        f"the interval holds every effect that it does not reject.{check}"
    )


def drift_words(plan: Plan, one: Drifted) -> str:
    """How much something drifted, and whether that is more than chance."""
    if one.value == one.error == 0.0:
        return "none"
    error = signed(one.error, one.error).lstrip("+")
    size = f"{effect_words(plan, one.value, one.error)} ± {error}, {p_words(one.p)}"
    real = one.p <= LEVEL
    meant = {
        Drift.DAY: "pairs take it out of the difference",
        Drift.PRACTICE: "orders were balanced, so it does not move the effect, but widens its interval",
        Drift.FADING: "the effect is not one number over the day",
    }[one.what]
    return f"{size}: {f'real; {meant}' if real else 'may be chance'}"


def driver_words(plan: Plan, found: Findings) -> Iterator[str]:
    """What each driver's pairs say, and whether drivers differ."""
    if len(found.drivers) < 2:
        return
    for one in found.drivers:
        error = f" ± {signed(one.error, one.error).lstrip('+')}" if math.isfinite(one.error) else ""
        value = effect_words(plan, one.value, one.error if error else 0.0)
        yield f"{one.driver}: {value}{error} in {one.pairs} pair{'s' * (one.pairs > 1)}."
    if found.drivers_p is not None:
        differ = "differ" if found.drivers_p <= LEVEL else "do not differ by more than chance"
        yield f"The drivers {differ} ({p_words(found.drivers_p)})."


def departure_words(plan: Plan, found: Findings) -> Iterator[str]:
    """In what the pairs that count were driven otherwise than planned, and what that means."""
    drawn = {run.pair: run.changed for run in plan.runs[::2]}
    turned = [str(pair.pair) for pair in found.pairs if pair.changed_first is not drawn[pair.pair]]
    if turned:
        which = f"Pair {turned[0]} was" if len(turned) == 1 else f"Pairs {', '.join(turned)} were"
        yield (
            f"{which} driven the other way round than drawn, by the code words typed, and counted so. "
            "Where a word was mistyped the difference has the wrong sign."
        )
    names, meant = [one.driver for one in found.drivers], len(plan.drivers)
    if names and len(names) < meant:
        yield f"Planned for {meant} drivers, driven by {names[0]} alone: it may be a habit of that hand."
    if len(names) > meant:
        yield (
            f"Planned for {meant} driver{'s' * (meant > 1)}, driven by {len(names)}: {', '.join(names)}. "
            "Is one of them written in two ways?"
        )


def far_words(plan: Plan, found: Findings) -> Iterator[str]:
    """Outcomes so far from the others of their set-up that they may be mistyped; of numbers alone."""
    if plan.measure.yes_no or not found.pairs:
        return
    for changed in (False, True):
        came = {
            2 * pair.pair - (pair.changed_first is changed): pair.changed if changed else pair.base
            for pair in found.pairs
        }
        middle = median(came.values())
        usual = median(abs(outcome - middle) for outcome in came.values())
        for run, outcome in came.items():
            if abs(outcome - middle) > FAR_OFF * usual > 0.0:
                what = said(outcome, plan.measure.unit)
                half = said(middle, plan.measure.unit)
                yield (
                    f"Run {run}, {what}, lies far from the others with its set-up, half of which are within "
                    f"{three_digits(usual)} of {half}. Was it mistyped? The sheets know."
                )


def guess_words(found: Findings) -> str:
    """Whether the drivers knew."""
    guesses = found.guesses
    if not guesses.made:
        return "No guesses were noted: nobody knows whether the drivers knew."
    share = f"{guesses.right} of {guesses.made} guesses were right, {p_words(guesses.p)}"
    if not found.knew:
        return f"The drivers did not show that they knew: {share}."
    return f"The drivers knew which set-up they drove ({share}), by sound, look, or how well it climbed."


def beside_words(plan: Plan, one: Beside) -> str:
    """A number noted beside the runs, and whether outcomes went with it."""
    less = f"; {_beside_change(one.less)}"
    went = "outcomes went with it" if one.p <= LEVEL else "outcomes did not go with it"
    reach = f"{three_digits(one.low)} to {three_digits(one.high)}"
    return f"{reach}{less}; {went} (r = {signed(one.correlation, 0.1)}, {p_words(one.p)})"


def _beside_change(less: float) -> str:
    """How much more of what was noted there was with the change than without it."""
    size = three_digits(abs(less))
    if float(size) == 0.0:
        return "the same with the change as without"
    return f"{size} {'more' if less > 0.0 else 'less'} with the change"
