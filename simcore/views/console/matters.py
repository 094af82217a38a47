"""What an answer hangs on, on the terminal: what moves it, worst first, and what all of it comes to."""

from simcore.results.catalogue import label_of
from simcore.results.formatting import in_picture, three_digits
from simcore.results.headlines.sensitivity import figure_name, said_error, said_value, total_words
from simcore.results.moved import Bar
from simcore.studies.sensitivity import Sensitivity
from simcore.views.console.layout import Block, Grid, Hint, Line, Names

HOW = (
    "Each was moved alone to the ends of its error and the whole rig worked out anew; down only where up "
    "came near to a visible change."
)


def sensitivity_blocks(result: Sensitivity, everything: bool) -> list[Block]:
    """What moves the answer visibly or turns a verdict; or everything that was moved."""
    answer = result.answer
    shown = answer.ranked if everything else answer.telling
    columns: list[Names] = [("value ± error",), ("from",), ("moves",), ("visible",)]
    cells = [[said_error(bar), bar.source.value, _moves(result, bar), _times(result, bar)] for bar in shown]
    if any(result.verdict(bar) for bar in shown):
        columns.append(("verdict",))
        cells = [[*row, result.verdict(bar) or "-"] for row, bar in zip(cells, shown, strict=True)]
    grid = Grid(("worst first",), [(bar.name,) for bar in shown], columns, cells)
    blocks: list[Block] = [grid] if shown else []
    left = len(answer.bars) - len(shown)
    if left:
        blocks.append(Hint(f"{left} others move nothing visibly: --all or matters.csv has them"))
    blocks += _totals(result)
    for bar, side in answer.unknown():
        if bar not in shown:
            text = f"Not known what {bar.name} at {said_value(bar, side.to)} does: {side.why}"
            blocks.append(Line(text))
    return [*blocks, Line(f"{HOW} {result.runs} runs.", "dim")]


def _totals(result: Sensitivity) -> list[Block]:
    """Error of every figure by all moves together."""
    answer = result.answer
    if not answer.figures:
        return [Line("Moved was only the verdict: there are no figures.")]
    said = "; ".join(total_words(answer, k) for k in range(len(answer.figures)))
    how = "roughly: each moved alone, the changes added as squares, as if the answer went straight with them"
    return [Line(""), Line(f"All of it together ({how}): {said}")]


def _moves(result: Sensitivity, bar: Bar) -> str:
    """The figure that a bar moves most, from where to where."""
    answer = result.answer
    if not answer.figures:
        return "-"
    k = answer.most_moved(bar)
    figure, ends = answer.figures[k], answer.reach(bar, k)
    name = label_of(figure.metric) if not figure.less else figure_name(figure)
    low, high = (in_picture(figure.metric, end) for end in ends)
    return f"{name} {low} to {high}"


def _times(result: Sensitivity, bar: Bar) -> str:
    """How many visible differences that is."""
    return f"{three_digits(result.answer.seen(bar))} times"
