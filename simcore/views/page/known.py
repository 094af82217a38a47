"""Charts of what is known of a measured rig, and of what an answer hangs on."""

from collections.abc import Sequence

from simcore.readings.workings import Origin
from simcore.results.formatting import in_picture, said_factor, said_unit
from simcore.results.headlines.sensitivity import bare_value, figure_name, quantity_of, said_error
from simcore.results.moved import Answer, Figure, Side
from simcore.results.moved import Bar as Moved
from simcore.studies.measure import Measurement
from simcore.studies.sensitivity import Sensitivity
from simcore.views.page.bars import Bar, Bars, Row
from simcore.views.pictures.measured import MOST, Known, known_numbers, known_places, written
from simcore.views.pictures.tornado import GUESSED, shown_of, verdict_of
from simcore.views.pictures.tornado import MOST as MOST_MOVED

FILLS = {
    Origin.READ: (2, "full"),
    Origin.WORKED_OUT: (0, "pale"),
    Origin.GUESSED_IN_PART: (7, "hatched"),
    Origin.GUESS: (1, "open"),
}
"""Number of the colour and fill of where a value comes from."""
ROOM = 1.05  # of the largest error, that the scale reaches to
UP, DOWN = 1, 0  # numbers of colours
ASIDE = 0.2  # of the span, room for words at the ends of bars
TIMES = "\N{MULTIPLICATION SIGN}"
WAYS = (
    "upper bar: moved higher, lower bar: moved lower, each to the value at its end",
    "hatched: a guess",
    "grey: too small to be seen",
    f"{TIMES}: times what can just be seen",
)


def of_measurement(result: Measurement) -> list[Bars]:
    """How far places and numbers may be off, the worst known first."""
    within = "19 of 20 keep within it; of a guess half of its range"
    found = [
        _errors("error of places, mm", within, "error, mm", known_places(result)),
        _errors("error of numbers, % of the value", within, "error, % of the value", known_numbers(result)),
    ]
    return [one for one in found if one.rows]


def _errors(heading: str, note: str, along: str, known: Sequence[Known]) -> Bars:
    shown = known[:MOST]
    some = f"; {MOST} of {len(known)}" if len(known) > MOST else ""
    return Bars(
        heading=heading,
        note=f"worst known first{some}; {note}",
        along=along,
        rows=[
            Row(
                one.name,
                [Bar(0.0, one.error, *FILLS[one.origin])],
                end=written(one),
            )
            for one in shown
        ],
        limits=(0.0, ROOM * max((one.error for one in shown), default=1.0) or 1.0),
        origin=0.0,
    )


def of_sensitivity(result: Sensitivity) -> list[Bars]:
    """What every reading and guess makes of the answer, one chart a figure, the worst first."""
    answer = result.answer
    found = [_moved(answer, k, first=n == 0) for n, k in enumerate(shown_of(answer))]
    return [one for one in found if one.rows]


def _moved(answer: Answer, k: int, first: bool) -> Bars:
    figure = answer.figures[k]
    moved = (answer.telling or answer.ranked)[:MOST_MOVED]
    factor = said_factor(figure.metric)
    own, seen = figure.value * factor, figure.seen * factor
    known = [value * factor for bar in moved for side in bar.sides if (value := side.figures[k]) is not None]
    low, high = min([own - seen, *known]), max([own + seen, *known])
    room = ASIDE * (high - low)
    untried = any(len(bar.sides) < 2 for bar in moved)
    return Bars(
        heading=f"{figure_name(figure)}, {said_unit(figure.metric) or 'no unit'}",
        note=f"{in_picture(figure.metric, figure.value)} with the rig as it is",
        along=f"{quantity_of(figure)}, {said_unit(figure.metric) or 'no unit'}",
        rows=[_moved_row(answer, bar, k, first) for bar in moved],
        limits=(low - room, high + room),
        keys=[*WAYS, *(["no bar: not tried"] if untried else [])],
        seen=(own - seen, own + seen),
        origin=own,
    )


def _moved_row(answer: Answer, bar: Moved, k: int, first: bool) -> Row:
    figure = answer.figures[k]
    said = [text for side in bar.sides if (text := verdict_of(answer, bar, side))] if first else []
    return Row(
        bar.name,
        [one for side in bar.sides if (one := _way(bar, side, figure, k)) is not None],
        under=f"{said_error(bar)}, {bar.source.value}",
        end=f"{answer.largest(bar, k) / figure.seen:.1f} {TIMES}",
        said=said,
    )


def _way(bar: Moved, side: Side, figure: Figure, k: int) -> Bar | None:
    """One way to move; None where its figure is not known."""
    value = side.figures[k]
    if value is None:
        return None
    factor = said_factor(figure.metric)
    own, moved, up = figure.value * factor, value * factor, side.to >= bar.value
    return Bar(
        low=min(own, moved),
        high=max(own, moved),
        look=UP if up else DOWN,
        fill="hatched" if bar.source in GUESSED else "full",
        half=1 if up else 2,
        words=bare_value(bar, side.to) if abs(value - figure.value) >= figure.seen else "",
        back=moved < own,
    )
