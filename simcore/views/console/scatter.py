"""What bench error leaves of an answer, on the terminal: jobs, figures with their intervals, what matters."""

from collections.abc import Iterable

from simcore.results.catalogue import label_of
from simcore.results.formatting import MINUS
from simcore.results.headlines.scatter import (
    Answer,
    at_end_words,
    interval_words,
    main_answer,
    pairing_words,
    sure_words,
    usual_words,
    valued,
)
from simcore.results.headlines.sensitivity import figure_name
from simcore.results.scatter import FEWEST, together
from simcore.studies.scattered import Spread
from simcore.views.console.layout import Block, Grid, Hint, Line, Names

MOST = 5  # errors that are told of a figure


def scatter_blocks(result: Spread, everything: bool) -> list[Block]:
    """In how many draws each case does its job, the figures, what they go with, and how sure all of it is."""
    answers, main = result.answers, main_answer(result.answers)
    blocks: list[Block] = [_jobs(result), Line("")]
    if answers:
        blocks += [_figures(answers), Line("")]
    blocks += _matters(result, everything)
    said = [
        *([pairing_words(main), sure_words(main)] if main is not None else []),
        usual_words(result.counted),
        at_end_words(result.counted),
        _even(result.draws),
        *_lost(result),
        "Figures are of draws in which the job was done, differences of those in which both did it.",
    ]
    blocks += [Line(text) for text in said if text]
    if not everything:
        blocks.append(Hint("intervals.csv has every metric, draws.csv every draw"))
    return blocks


def _jobs(result: Spread) -> Grid:
    """By case how many draws did their job, between which shares that lies, and how many have no answer."""
    cells = []
    for case in result.cases:
        share = result.share(case)
        ends = f"{100 * share.low:.0f} to {100 * share.high:.0f} %" if share.draws else "-"
        cells.append([f"{share.done} of {share.draws}", ends, str(result.draws - share.draws)])
    columns = [("job done, draws",), ("of all such rigs",), ("no answer",)]
    return Grid(("",), [(case,) for case in result.cases], columns, cells)


def _figures(answers: tuple[Answer, ...]) -> Grid:
    """Figures without errors and with them."""
    cells = []
    for one in answers:
        figure, interval = one.figure, one.interval
        told = ["-", f"fewer than {FEWEST} draws"]
        if interval is not None:
            told = [valued(figure, interval.middle), interval_words(figure, interval)]
        cells.append([valued(figure, figure.value), *told, *([one.verdict.value] if one.verdict else [])])
    columns: list[Names] = [("without errors",), ("median",), ("interval",)]
    columns += [("verdict",)] if answers[0].verdict else []
    pairs = {(one.figure.case, one.figure.less) for one in answers}
    if len(pairs) > 1:
        head = f'less "{answers[0].figure.less}"' if answers[0].figure.less else ""
        rows = [(f'{label_of(one.figure.metric)}, "{one.figure.case}"',) for one in answers]
        return Grid((head,), rows, columns, cells)
    case, less = next(iter(pairs))
    head = f'"{case}" less "{less}"' if less else ""
    return Grid((head,), [(label_of(one.figure.metric),) for one in answers], columns, cells)


def _matters(result: Spread, everything: bool) -> list[Block]:
    """Errors that the first figure goes with, or all of them; and how much of its scatter each makes."""
    rows, cells, told, main = [], [], list[int](), main_answer(result.answers)
    for answer in result.answers if everything else [main] if main is not None else []:
        figure = answer.figure
        for one in result.moves(figure)[: None if everything else MOST]:
            error = result.errors[one.error]
            told.append(one.error)
            rows.append((error.name,))
            stated = "stated" if error.stated else "usual"
            cells.append([f"{one.rank:+.2f}".replace("-", MINUS), stated, figure_name(figure)])
    columns: list[Names] = [("rank correlation",), ("error",), ("figure",)]
    if rows:
        blocks: list[Block] = [Grid(("what it hangs on most",), rows, columns, cells)]
        blocks += [*map(Line, _together(result, dict.fromkeys(told))), Line("")]
    else:
        none = "No single error stands out: none goes up or down with it by more than chance."
        blocks = [Line(none), Line("")] if result.answers else []
    return [*blocks, *_parts(result)]


def _together(result: Spread, told: Iterable[int]) -> list[str]:
    """Which of the errors that are told are not told apart, as their draws go together."""
    pairs = [
        f"{result.errors[one].name} and {result.errors[other].name} ({rank:+.2f})".replace("-", MINUS)
        for one, other, rank in together(result.drawn, list(told))
    ]
    if not pairs:
        return []
    return [f"Not told apart, as their draws go together: {'; '.join(pairs)}. More draws tell."]


def _parts(result: Spread) -> list[Block]:
    """How much of a figure's scatter each error makes, where that was asked for."""
    if not result.indices:
        return []
    ordered = sorted(result.indices, key=lambda part: -part.total)
    cells = [
        [
            _percent(part.alone, part.alone_low, part.alone_high),
            _percent(part.total, part.total_low, part.total_high),
        ]
        for part in ordered
    ]
    columns: list[Names] = [("alone",), ("with others",)]
    rows = [(part.error,) for part in ordered]
    read = "In brackets: where the share lies in 19 of 20 such studies; more draws bring that down."
    return [
        Grid(("share of the scatter (Sobol indices)",), rows, columns, cells),
        Line(read, "dim"),
        Line(""),
    ]


def _percent(share: float, low: float, high: float) -> str:
    """A share with its ends; what comes out below nought or above the whole is that within its own error."""
    said, *ends = (f"{100.0 * min(max(one, 0.0), 1.0):.0f}" for one in (share, low, high))
    return f"{said} % ({' to '.join(ends)})"


def _even(draws: int) -> str:
    """That draws are not spread quite evenly, where their number is no power of two."""
    if draws & (draws - 1) == 0:
        return ""
    return f"{draws} is no power of two: the draws are spread a little less evenly than they could be."


def _lost(result: Spread) -> list[str]:
    """Why draws have no answer."""
    found = []
    for case in result.cases:
        lost = result.lost(case)
        if lost:
            of = f"{sum(lost.values())} of {result.draws} draws have no answer, they are left out"
            found.append(f'"{case}": {of}, most often: {next(iter(lost))}')
    return found
