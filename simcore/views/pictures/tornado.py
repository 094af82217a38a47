"""What an answer hangs on: bars around its value, the worst first, one panel a figure."""

import textwrap
from typing import Any

from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.ticker import MaxNLocator

from simcore.accounts.job import JobState
from simcore.readings.moves import Source
from simcore.results.formatting import in_picture, said_factor, said_unit
from simcore.results.headlines.sensitivity import bare_value, quantity_of, said_error, said_value
from simcore.results.moved import Answer, Bar, Side
from simcore.studies.sensitivity import Sensitivity
from simcore.views.catalogue import picture
from simcore.views.pictures.layout import page
from simcore.views.pictures.style import BLUE, QUIET, SMALL, VERMILION, ink, styled

MOST, PANELS = 15, 2
ROW, LEFT = 0.5, 0.34  # inches of height a bar; of the width, where the panels begin
HALF = 0.32  # of a row, thickness of a bar: up above, down below
ASIDE = 0.2  # of the span, room for words at the bars' ends
NAME, TITLE = 38, 36  # letters in a row
GUESSED = (Source.GUESS, Source.ASSUMED)
MARKS = "red, above: higher; blue, below: lower; hatched: a guess; grey: too small to be seen"
NOT_TRIED = "; no bar: not tried"


@styled
def tornado(answer: Answer, headline: str, question: str) -> Figure:
    """Bars of what moves an answer, up to fifteen, for the figures that are moved most.

    Parameters
    ----------
    answer : with what became of it
    headline, question : the finding, and what was asked of which rig
    """
    bars = (answer.telling or answer.ranked)[:MOST]
    shown = shown_of(answer)
    marks = MARKS + (NOT_TRIED if any(len(bar.sides) < 2 for bar in bars) else "")
    less = answer.figures[shown[0]].less if shown else ""
    marks = f'Differences to "{less}"; {marks}' if less else marks
    height = ROW * max(len(bars), 2)
    figure, panels = page(1, max(len(shown), 1), height, headline, f"{question}\n{marks}", left=LEFT)
    for k, panel in enumerate(panels):
        panel.set_yticks(range(len(bars)), [_named(bar) for bar in bars] if k == 0 else [""] * len(bars))
        panel.tick_params(axis="y", length=0, labelsize=11, pad=6)
        panel.grid(visible=False, axis="y")
        panel.set_ylim(len(bars) - 0.4, -0.6)
        if shown:
            _draw(panel, answer, bars, shown[k])
        else:
            panel.set_xticks([])
            panel.set_xlim(-1.0, 1.0)
        if k == 0:
            _say_verdicts(panel, answer, bars, said_own(answer, shown))
    return figure


def shown_of(answer: Answer) -> list[int]:
    """Places of the figures that get a panel: those that are moved visibly, the most moved one anyway."""
    order = answer.by_size()
    seen = [k for k in order if any(answer.largest(bar, k) >= answer.figures[k].seen for bar in answer.bars)]
    return (seen or order[:1])[:PANELS]


def said_own(answer: Answer, shown: list[int]) -> float:
    """Where the answer stands in the first panel."""
    if not shown:
        return 0.0
    figure = answer.figures[shown[0]]
    return figure.value * said_factor(figure.metric)


def _named(bar: Bar) -> str:
    """Name of a bar, and below it what was moved and whether it is a guess."""
    name = textwrap.shorten(bar.name, NAME, placeholder="…")
    return f"{name}\n{said_error(bar)}, {bar.source.value}"


def _draw(panel: Axes, answer: Answer, bars: list[Bar], k: int) -> None:
    """Bars of one figure."""
    figure = answer.figures[k]
    factor, unit = said_factor(figure.metric), said_unit(figure.metric)
    own, seen = figure.value * factor, figure.seen * factor
    panel.axvspan(own - seen, own + seen, color="#E6E6E6", lw=0.0, zorder=0)
    reached = [own - seen, own + seen]
    for place, bar in enumerate(bars):
        for side in bar.sides:
            value = side.figures[k]
            if value is not None:
                _draw_bar(panel, place, bar, side, own, value * factor)
                if abs(value * factor - own) >= seen:
                    _say_end(panel, place, bar, side, value * factor, own)
                reached.append(value * factor)
    panel.axvline(own, color="black", lw=1.4, zorder=3)
    low, high = min(reached), max(reached)
    room = ASIDE * (high - low)
    panel.set_xlim(low - room, high + room)
    panel.xaxis.set_major_locator(MaxNLocator(5))
    panel.set_xlabel(f"{quantity_of(figure)}, {unit or 'no unit'}")
    case = f'"{textwrap.shorten(figure.case, TITLE - 3, placeholder="…")}"\n' if figure.less else ""
    title = f"{case}{in_picture(figure.metric, figure.value)} with the rig as it is"
    panel.set_title(title, fontsize=11.5, loc="left")


def _draw_bar(panel: Axes, place: int, bar: Bar, side: Side, own: float, value: float) -> None:
    """One way to move."""
    up = side.to >= bar.value
    at = place + (-0.5 if up else 0.5) * HALF
    panel.barh([at], [value - own], left=[own], height=HALF, zorder=2, **_look(bar, up))


def _say_end(panel: Axes, place: int, bar: Bar, side: Side, value: float, own: float) -> None:
    """The value that was moved to, at the end of its bar."""
    at = place + (-0.5 if side.to >= bar.value else 0.5) * HALF
    panel.annotate(
        bare_value(bar, side.to),
        (value, at),
        xytext=(3 if value >= own else -3, 0),
        textcoords="offset points",
        ha="left" if value >= own else "right",
        va="center",
        fontsize=9.5,
        color=QUIET,
    )


def _look(bar: Bar, up: bool) -> dict[str, Any]:
    """Colour by the way, hatched where it is a guess."""
    colour = VERMILION if up else BLUE
    if bar.source in GUESSED:
        return {"color": "white", "edgecolor": colour, "hatch": "////" if up else "\\\\\\\\", "lw": 1.0}
    return {"color": colour}


def _say_verdicts(panel: Axes, answer: Answer, bars: list[Bar], own: float) -> None:
    """Words where a way to move turns a verdict or has no answer, beside the answer's value."""
    low, high = panel.get_xlim()
    right = own <= 0.5 * (low + high)
    for place, bar in enumerate(bars):
        for side in bar.sides:
            text = verdict_of(answer, bar, side)
            if text:
                up = side.to >= bar.value
                panel.annotate(
                    text,
                    (own, place + (-0.5 if up else 0.5) * HALF),
                    xytext=(5 if right else -5, 0),
                    textcoords="offset points",
                    ha="left" if right else "right",
                    va="center",
                    fontsize=SMALL,
                    color=ink(VERMILION if up else BLUE),
                )


def verdict_of(answer: Answer, bar: Bar, side: Side) -> str:
    """What a way to move does to the verdict, in the fewest words; "" for nothing."""
    to = said_value(bar, side.to)
    for turned, place in answer.turned(bar):
        if turned is side:
            case = f"{answer.cases[place]}: " if len(answer.cases) > 1 else ""
            return f"{to}: {case}{'not done' if side.jobs[place] is JobState.NOT_DONE else 'done'}"
    return f"{to}: no answer" if (bar, side) in answer.unknown() else ""


@picture(
    "Every bar is a reading or guess moved alone to the ends of its error, worst first; beside its end "
    "stands the value it was moved to. Bars within the grey cannot be seen.",
)
def of_sensitivity(result: Sensitivity) -> Figure:
    """What the answer hangs on."""
    return tornado(result.answer, result.headline, result.asked)
