"""Which change helps, in one sentence; and the words for what changes do."""

from collections.abc import Sequence
from typing import Any

from simcore.accounts.job import JobState
from simcore.results.catalogue import CATALOGUE, label_of
from simcore.results.formatting import MINUS, signed, span
from simcore.results.ranked import Change, Cost, Effect, Mark, Pair, Verdict, Would, level, mark, turn
from simcore.results.scatter import draws_for

CLIMBED = "climbs_deg"
SIGNS = {
    Verdict.CLEAR_GAIN: "+",
    Verdict.CLEAR_LOSS: MINUS,
    Verdict.DEPENDS: "\N{PLUS-MINUS SIGN}",
    Verdict.LOST: "?",
    Verdict.TOO_SMALL: "0",
    Verdict.NOT_KNOWN: "??",
}
"""A sign for each verdict, for who does not tell colours."""


def verdict_words(change: Change) -> tuple[str, str]:
    """Sign and words of the verdict on a change; where the job is done nowhere, with it or without, that."""
    fails = all(
        one.before is one.after is JobState.NOT_DONE and not one.helped + one.hurt for one in change.effects
    )
    if change.verdict is Verdict.NOT_KNOWN and fails:
        return "\N{MULTIPLICATION SIGN}", "job not done with it"
    return SIGNS[change.verdict], change.verdict.value


def metric_name(metric: str) -> str:
    """What to call the metric of a ranking."""
    return label_of(metric) if metric in CATALOGUE else "steepest slope climbed"


def by_words(basis: Any) -> str:
    """The metric of a ranking, and which way of it is better."""
    name = metric_name(basis.metric)
    chosen = ", which tells most of this job" if basis.chosen else ""
    return f"{name} ({'more' if basis.better > 0 else 'less'} is better){chosen}"


def within(metric: str, effect: Effect | Pair) -> str:
    """The interval of an effect, "" where there is none."""
    if effect.low is None or effect.high is None:
        return ""
    return span(metric, effect.low, effect.high)


def effect_words(metric: str, effect: Effect, sure: float, brief: bool = False) -> str:
    """What a change does under a condition: the job where that turns, else the metric with its interval.

    Parameters
    ----------
    metric : of the ranking
    effect : there
    sure : level of its interval
    brief : leave out why it is not known
    """
    way = turn(effect, sure)
    if way:
        if not effect.drawn:
            return "does the job with it alone" if way > 0 else "fails the job with it"
        if way > 0:
            return f"does the job with it alone ({effect.helped} of {effect.drawn} draws)"
        return f"job done only without it in {effect.hurt} of {effect.drawn} draws"
    if JobState.UNKNOWN in (effect.before, effect.after):
        return f"not known{f': {effect.why}' if effect.why and not brief else ''}"
    if effect.change is None:
        if effect.helped + effect.hurt:
            return _in_draws(effect)
        if effect.before is effect.after:
            return "job not done either way" if effect.before is JobState.NOT_DONE else "no figure"
        return "does the job, not for certain" if effect.after is JobState.DONE else "may fail the job"
    ends = within(metric, effect)
    few = f", {effect.pairs} of {effect.drawn} draws" if ends and effect.pairs < effect.drawn else ""
    return signed(metric, effect.change) + (f" ({ends}{few})" if ends else "")


def _in_draws(effect: Effect) -> str:
    """In how many draws the job is done only with a change, and only without it."""
    counts = {"with": effect.helped, "without": effect.hurt}
    said = [f"only {way} it in {count} of {effect.drawn} draws" for way, count in counts.items() if count]
    return f"job done {', '.join(said)}"


def listed(costs: Sequence[Cost]) -> str:
    """What a change costs, in words; "" for nothing."""
    return "; ".join(f"{label_of(cost.metric)} {signed(cost.metric, cost.change)}" for cost in costs)


def where_words(change: Change, better: int, seen: float) -> str:
    """Under which conditions a change helps and under which it harms, where that depends."""
    sure = level(len(change.effects))
    turned = any(turn(effect, sure) for effect in change.effects)
    marks = [
        ({1: Mark.GAIN, -1: Mark.LOSS}.get(turn(one, sure), Mark.UNTOLD) if turned else None)
        or mark(one, better, seen, sure)
        for one in change.effects
    ]
    said = []
    for word, kind in (("better", Mark.GAIN), ("worse", Mark.LOSS)):
        names = [one.condition for one, mine in zip(change.effects, marks, strict=True) if mine is kind]
        said += [f"{word} {_joined(names)}"] if names else []
    return ", ".join(said)


def quoted(name: str) -> str:
    """The name of a change within a sentence, in marks where its own commas would mislead."""
    return f'"{name}"' if "," in name else name


def _joined(names: Sequence[str]) -> str:
    return " and ".join([", ".join(names[:-1]), names[-1]] if len(names) > 1 else names)


def pull_of(scenario: Any) -> str:
    """What makes a rig pull harder: the driver asks for torque, or the motor takes what its voltage gives."""
    return "torque" if scenario.driver.control == "torque" else "voltage of the motor"


def would_words(would: Sequence[Would]) -> str:
    """What would do the job where nothing on the list does."""
    said = [f"{one.what} \N{MULTIPLICATION SIGN}{one.factor:.2f}" for one in would]
    return _joined(said)


def base_words(basis: Any) -> list[str]:
    """In how many draws the rig does its job without any change, a sentence; none where all do as it does."""
    said = [
        f"{name} in {count} of {basis.draws} draws"
        for name, job, count in zip(basis.conditions, basis.jobs, basis.done, strict=False)
        if count is not None and count != (basis.draws if job is JobState.DONE else 0)
    ]
    return [f"Without any change the job is done: {', '.join(said)}."] if said else []


def ends_words(result: Any) -> list[str]:
    """That ends of intervals assume a bell curve, a sentence; none where all are known as draws lie."""
    count = len(result.basis.conditions)
    needed = draws_for(level(count))
    known = [one.pairs for change in result.changes for one in change.effects if one.low is not None]
    if not any(pairs < needed for pairs in known):
        return []
    several = f", for all {count} conditions at once" * (count > 1)
    return [f"Ends assume a bell curve{several}; from {needed} draws on they need not."]


def error_words(basis: Any) -> str:
    """What bench errors were reckoned with."""
    if not basis.draws:
        return "Bench error is not reckoned with (no draws)"
    stated = "1 number by an error" if basis.stated == 1 else f"{basis.stated} numbers by errors"
    from_file = f"{stated} that the files state" if basis.stated else ""
    one, more = "the error of 1 number is a usual one", f"errors of {basis.usual} numbers are usual ones"
    usual = f"{one if basis.usual == 1 else more}, not yours" if basis.usual else ""
    return f"{basis.draws} draws; " + ", ".join(part for part in (from_file, usual) if part)


def ranking_headline(result: Any) -> str:
    """First whether a change does the job, then the best one and whether that is more than bench error."""
    basis, changes = result.basis, result.changes
    best = [one for one in changes if one.verdict is Verdict.CLEAR_GAIN]
    depends = [one for one in changes if one.verdict is Verdict.DEPENDS]
    unknown = all(one.verdict is Verdict.NOT_KNOWN for one in changes)
    first = _of_job(result)
    parts = [
        first,
        _of_stuck(result),
        _of_best(basis, best[0]) if best else "" if first and unknown else _no_gain(basis, changes),
    ]
    if len(best) > 1:
        parts.append(f"then {_joined([quoted(one.name) for one in best[1:3]])}")
    if not best and depends:
        one = depends[0]
        parts.append(f"{quoted(one.name)} depends: {where_words(one, basis.better, basis.seen)}")
    said = [part for part in parts if part]
    return "; ".join([*said[:1], *map(_within_a_sentence, said[1:])])


def _within_a_sentence(part: str) -> str:
    """A part of a headline that does not begin it; names keep their letters."""
    own = part.startswith(("Helps most", "No change", "Not known of"))
    return part[0].lower() + part[1:] if own else part


def _of_job(result: Any) -> str:
    """Whether the job is done as the rig stands, and by which changes, where it is not."""
    if result.basis.metric == CLIMBED or result.basis.jobs[0] is not JobState.NOT_DONE:
        return ""
    sure = level(len(result.basis.conditions))
    doing = [quoted(one.name) for one in result.changes if turn(one.effects[0], sure) > 0]
    if doing:
        return f"Does not do its job as it stands; {_joined(doing[:3])} would make it"
    if any(one.effects[0].after is JobState.DONE for one in result.changes):
        return "Does not do its job as it stands, and no change makes it for certain"
    if not result.would_tried:
        return "Does not do its job as it stands, and nothing on this list makes it"
    found = would_words(result.would)
    return "Nothing on this list reaches the goal; " + (
        f"{found} would"
        if found
        else f"nor would three times the grip, {pull_of(result.scenario)} or both, or a third less weight"
    )


def stuck(result: Any) -> list[str]:
    """Conditions, besides the first, in which neither the rig as it stands nor any change does the job."""
    sure = level(len(result.basis.conditions))
    return [
        name
        for k, (name, job) in enumerate(zip(result.basis.conditions, result.basis.jobs, strict=True))
        if k > 0
        and job is JobState.NOT_DONE
        and not any(
            turn(one.effects[k], sure) > 0 or one.effects[k].after is JobState.DONE for one in result.changes
        )
    ]


def in_words(result: Any) -> dict[str, str]:
    """By condition in which no change has a figure or turns the job: what changes do there.

    Those of `stuck` are not among them. Where the first has no figures either, none is: then words are drawn.
    """
    sure, none = level(len(result.basis.conditions)), stuck(result)

    def drawn(k: int) -> bool:
        return any(one.effects[k].change is not None or turn(one.effects[k], sure) for one in result.changes)

    if not drawn(0):
        return {}
    return {
        name: _grouped(result, k)
        for k, name in enumerate(result.basis.conditions)
        if name not in none and not drawn(k)
    }


def _grouped(result: Any, k: int) -> str:
    """What all changes do under a condition: what most do, then the others by name."""
    sure, by_words = level(len(result.basis.conditions)), dict[str, list[str]]()
    for one in result.changes:
        by_words.setdefault(effect_words(result.basis.metric, one.effects[k], sure), []).append(one.name)
    most = max(by_words, key=lambda words: len(by_words[words]))
    others = [
        f"{_joined(list(map(quoted, names)))} ({words})" for words, names in by_words.items() if words != most
    ]
    return f"{most}{f', but for {_joined(others)}' if others else ''}"


def _of_stuck(result: Any) -> str:
    names = stuck(result)
    return f"No change does the job in {_joined(names)}" if names else ""


def _of_best(basis: Any, change: Change) -> str:
    sure = level(len(change.effects))
    known = [effect for effect in change.effects if mark(effect, basis.better, basis.seen, sure) is Mark.GAIN]
    effect = known[0]
    error = ", more than bench error" if effect.drawn else ""
    here = f" ({effect.condition})" if len(change.effects) > 1 else ""
    said = effect_words(basis.metric, effect, sure)
    if turn(effect, sure):
        return f"Helps most: {quoted(change.name)}{here}, {said}{error}"
    return f"Helps most: {quoted(change.name)}{here}, {metric_name(basis.metric)} {said}{error}"


def _no_gain(basis: Any, changes: Sequence[Change]) -> str:
    if not any(one.verdict is not Verdict.NOT_KNOWN for one in changes):
        return "Not known of any change whether it helps"
    least = [one for one in changes if one.verdict is Verdict.LOST]
    lost = f"; {_joined([quoted(one.name) for one in least[:2]])} may, lost in bench error" if least else ""
    return f"No change is a clear gain{lost}"
