"""What to measure next, in one sentence."""

import math

from simcore.accounts.job import JobState
from simcore.readings.moves import Source
from simcore.results.catalogue import label_of
from simcore.results.formatting import MINUS, in_picture
from simcore.results.moved import Answer, Bar, Figure, Side
from simcore.units import with_unit

RIVAL = 0.7  # of the largest change, from which another one is named beside it


def figure_name(figure: Figure) -> str:
    """What to call a figure of the answer."""
    name = label_of(figure.metric)
    return f'{name} of "{figure.case}" less "{figure.less}"' if figure.less else name


def quantity_of(figure: Figure) -> str:
    """What a figure of the answer is a value of, without its case."""
    return f"{label_of(figure.metric)}{', difference' if figure.less else ''}"


def said_value(bar: Bar, value: float) -> str:
    """A value of a reading or guess with its unit, to the digits that its error leaves."""
    return with_unit(bare_value(bar, value), _said_unit(bar))


def said_error(bar: Bar) -> str:
    """A reading or guess with its error and unit."""
    return with_unit(f"{bare_value(bar, bar.value)} ± {bare_value(bar, bar.error)}", _said_unit(bar))


def bare_value(bar: Bar, value: float) -> str:
    """A value of a reading or guess without its unit."""
    digits = max(0, 1 - math.floor(math.log10(bar.error))) if bar.error > 0.0 else 3
    return f"{value:.{digits}f}".replace("-", MINUS)


def _said_unit(bar: Bar) -> str:
    return bar.unit.replace("*", "\N{MIDDLE DOT}").replace("^2", "\N{SUPERSCRIPT TWO}")


def whose(answer: Answer, place: int) -> str:
    """The case that something is said of, where there are several."""
    return f'"{answer.cases[place]}" ' if len(answer.cases) > 1 else "it "


def turned_words(answer: Answer, side: Side, place: int) -> str:
    """What a way to move turns the verdict of a case into."""
    done = side.jobs[place] is not JobState.NOT_DONE
    return f"{whose(answer, place)}{'does its job' if done else side.why}"


def sensitivity_headline(answer: Answer) -> str:
    """Which reading or guess to see to first, and what it does to the answer."""
    if not answer.telling:
        return f"No single reading or guess moves the answer visibly{_together(answer)}"
    worst = answer.telling[0]
    what = f"Measure {'next' if worst.source is Source.GUESS else 'more surely'}: {worst.name}"
    if answer.turns(worst):
        side, place = next(answer.turned(worst))
        more = sum(answer.turns(bar) for bar in answer.telling) - 1
        others = f"; {more} more turn{'s' * (more == 1)} a verdict too" if more else ""
        verdict = turned_words(answer, side, place)
        return f"{what}; at {said_value(worst, side.to)} {verdict}{others}"
    k = answer.most_moved(worst)
    figure, (low, high) = answer.figures[k], answer.reach(worst, k)
    ends = f"{in_picture(figure.metric, low)} to {in_picture(figure.metric, high)}"
    return f"{what}; by it alone {figure_name(figure)} is {ends}; {_others(answer, worst, k)}"


def _others(answer: Answer, worst: Bar, k: int) -> str:
    """What else moves a figure."""
    metric = answer.figures[k].metric
    rest = sorted((bar for bar in answer.bars if bar is not worst), key=lambda bar: -answer.largest(bar, k))
    if not rest or answer.largest(rest[0], k) < answer.figures[k].seen:
        return "nothing else moves it visibly"
    most = answer.largest(rest[0], k)
    said = in_picture(metric, most)
    if most >= RIVAL * answer.largest(worst, k):
        return f"{rest[0].name} moves it by {said}, nearly as much"
    return f"nothing else moves it by more than {said}"


def _together(answer: Answer) -> str:
    """What all moves do together, to the figure that they move most."""
    if not answer.figures:
        return ""
    k = max(range(len(answer.figures)), key=lambda k: answer.total(k) / answer.figures[k].seen)
    return f"; all together, roughly: {total_words(answer, k)}"


def total_words(answer: Answer, k: int) -> str:
    """A figure with its error by all moves together."""
    figure = answer.figures[k]
    value, error = (in_picture(figure.metric, one) for one in (figure.value, answer.total(k)))
    return f"{figure_name(figure)} {value} ± {error}"
