"""What bench error leaves of an answer, in words."""

from collections.abc import Mapping, Sequence
from typing import NamedTuple

from simcore.results.catalogue import label_of
from simcore.results.formatting import in_picture, signed, span
from simcore.results.moved import Figure
from simcore.results.scatter import INSIDE, Interval, Share, Verdict

NAMED = 3  # cases, and errors, that are told one by one
OFTEN = 0.05  # of the draws, from which it is said that an error reaches beyond what a key allows


class Answer(NamedTuple):
    """A figure of the answer with what draws make of it.

    Attributes
    ----------
    figure : without errors
    interval : over the draws
    alone : of a difference, the interval of its case for itself; None of a case
    verdict : of a difference; None of a case
    """

    figure: Figure
    interval: Interval | None
    alone: Interval | None
    verdict: Verdict | None


class Counted(NamedTuple):
    """What a sentence needs of draws.

    Attributes
    ----------
    draws : how many there are
    shares : by case the share that did its job
    usual : errors that are usual ones
    errors : all of them
    at_end : by error the draws in which a number stands at an end of its key, as the error reaches further
    """

    draws: int
    shares: Mapping[str, Share]
    usual: int
    errors: int
    at_end: Mapping[str, int]


class Told(NamedTuple):
    """What a headline is made of."""

    counted: Counted
    answers: tuple[Answer, ...]


def scatter_headline(told: Told) -> str:
    """Whether the job is done, in how many draws; then the difference, and what bench error leaves of it."""
    main = main_answer(told.answers)
    parts = (jobs_words(told.counted), answer_words(main) if main is not None else "")
    return ". ".join(part for part in parts if part)


def jobs_words(counted: Counted) -> str:
    """In how many draws each case does its job."""
    shares = {name: share for name, share in counted.shares.items() if share.draws}
    if not shares:
        return f"Not known: none of {counted.draws} draws has an answer"
    lost = [f'"{name}"' for name in counted.shares if name not in shares]
    of = f"{len(lost)} cases" if len(lost) > NAMED else ", ".join(lost)
    return _jobs_of(shares) + (f"; not known of {of}" if lost else "")


def _jobs_of(shares: Mapping[str, Share]) -> str:
    """The same of cases of which some draws have an answer."""
    alike = len({(share.done, share.draws) for share in shares.values()}) == 1
    first = next(iter(shares.values()))
    if alike and first.done == 0:
        return f"The job is done in none of {first.draws} draws"
    if alike:
        who = "The job is done" if len(shares) == 1 else "Each does its job"
        return f"{who} in {_of(first)} draws"
    told = [f'"{name}" in {_of(share)}' for name, share in shares.items()]
    if len(told) > NAMED:
        ordered = sorted(shares, key=lambda name: _size(shares[name]))
        least, most = ordered[0], ordered[-1]
        apart = any(_size(shares[least]) < _size(one) < _size(shares[most]) for one in shares.values())
        others = "a number between" if apart else "as many as either"
        return (
            f'The job is done by "{most}" in {_of(shares[most])} draws, '
            f'by "{least}" in {_of(shares[least])}, by the others in {others}'
        )
    return f"The job is done by {', '.join([f'{told[0]} draws', *told[1:]])}"


def _size(share: Share) -> float:
    return share.done / share.draws


def _of(share: Share) -> str:
    done = "all" if share.done == share.draws else "none of" if share.done == 0 else f"{share.done} of"
    return f"{done} {share.draws}"


def main_answer(answers: tuple[Answer, ...]) -> Answer | None:
    """The first metric's largest difference, or its interval; None where there is none."""
    first = answers[0].figure.metric if answers else ""
    about = [one for one in answers if one.figure.metric == first and one.interval is not None]
    return max(about, key=lambda one: abs(one.interval.middle) if one.interval else 0.0, default=None)


def answer_words(answer: Answer) -> str:
    """A figure with its interval, and the verdict of a difference."""
    figure, interval = answer.figure, answer.interval
    if interval is None:
        return f"{figure_words(figure)}: too few draws did the job"
    where = f"{difference_words(answer)} ({interval_words(figure, interval)})"
    verdict = f": {answer.verdict.value}" if answer.verdict is not None else ""
    return f"{figure_words(figure)} {where}{verdict}"


def figure_words(figure: Figure) -> str:
    """What a figure is of."""
    name = label_of(figure.metric)
    return (
        f'"{figure.case}" less "{figure.less}", {name}:' if figure.less else f"{name[:1].upper()}{name[1:]}"
    )


def difference_words(answer: Answer) -> str:
    """The median of a figure, a difference with its sign."""
    middle = answer.interval.middle if answer.interval is not None else answer.figure.value
    return valued(answer.figure, middle)


def valued(figure: Figure, value: float) -> str:
    """A value of a figure, a difference with its sign."""
    return signed(figure.metric, value) if figure.less else in_picture(figure.metric, value)


def interval_words(figure: Figure, interval: Interval) -> str:
    """An interval, and in how many draws the figure is inside."""
    ends = span(figure.metric, interval.low, interval.high, change=bool(figure.less))
    return f"{ends} in {100 * interval.inside:.0f} of 100 draws"


def bar_words(answers: Sequence[Answer]) -> str:
    """How many draws the intervals of figures hold; of few draws these end at the lowest and the highest."""
    held = [one.interval.inside for one in answers if one.interval is not None]
    if not held:
        return ""
    least, most = (f"{100 * inside:.0f}" for inside in (min(held), max(held)))
    share = least if least == most else f"{least} to {most}"
    if min(held) >= INSIDE:
        return f"{share} of 100 draws"
    few = " where there are few" if max(held) >= INSIDE else ""
    return f"{share} of 100 draws, from the lowest to the highest{few}"


def pairing_words(answer: Answer) -> str:
    """What a case alone scatters against the difference; empty where there is none."""
    figure, interval, alone = answer.figure, answer.interval, answer.alone
    if interval is None or alone is None:
        return ""
    own, paired = (in_picture(figure.metric, one.half) for one in (alone, interval))
    moves = f'Bench error moves {label_of(figure.metric)} of "{figure.case}" by ± {own}'
    if interval.half < alone.half:
        return (
            f'{moves}, but its difference to "{figure.less}" by ± {paired}: every draw has the same errors '
            "in both."
        )
    return f'{moves}, and its difference to "{figure.less}" by ± {paired}.'


def sure_words(answer: Answer) -> str:
    """How surely the ends of an interval are known."""
    figure, interval = answer.figure, answer.interval
    if interval is None:
        return ""
    if None in interval.spans:
        ends = "; these are the lowest and the highest" if interval.inside < INSIDE else ""
        return f"{interval.draws} draws are too few to say how sure the ends are{ends}. 256 and more tell."
    (a, b), (c, d) = (span or (0.0, 0.0) for span in interval.spans)
    low, high = (span(figure.metric, x, y, change=bool(figure.less)) for x, y in ((a, b), (c, d)))
    return f"By {interval.draws} draws the lower end is known to lie within {low}, the upper within {high}."


def usual_words(counted: Counted) -> str:
    """How many errors are not the builder's own; empty where all are."""
    if not counted.usual:
        return ""
    if counted.usual == counted.errors:
        return f"All {counted.errors} errors are usual ones, not yours: state yours in [spread]."
    are = "error is a usual one" if counted.usual == 1 else "errors are usual ones"
    return f"{counted.usual} of {counted.errors} {are}, not yours: state yours in [spread]."


def at_end_words(counted: Counted) -> str:
    """Which errors often reach beyond what a number may be, so that it is not drawn as stated; else empty.

    A number may be what its key allows, and a sliding grip no more than the peak.
    """
    often = {name: count for name, count in counted.at_end.items() if count > OFTEN * counted.draws}
    if not often:
        return ""
    ordered = sorted(often, key=lambda name: -often[name])
    told = [f"{name} in {often[name]} of {counted.draws} draws" for name in ordered[:NAMED]]
    more = f", and {len(ordered) - NAMED} more" if len(ordered) > NAMED else ""
    return (
        f"Beyond what can be (of a sliding grip: the peak), and left at that end: {', '.join(told)}{more}. "
        "Such an error is too large for a number so near that end."
    )
