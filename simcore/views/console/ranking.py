"""Which change helps, on the terminal: best first, with intervals; what it costs; what does not add up."""

from simcore.accounts.job import JobState
from simcore.results.formatting import in_picture, signed
from simcore.results.headlines.ranking import (
    base_words,
    effect_words,
    ends_words,
    error_words,
    listed,
    metric_name,
    pull_of,
    quoted,
    stuck,
    verdict_words,
    where_words,
    within,
)
from simcore.results.ranked import Change, Pair, Verdict, level, told_of
from simcore.studies.ranking import Ranking
from simcore.views.console.layout import Block, Grid, Hint, Line, Names

MOST = 16


def ranking_blocks(result: Ranking, everything: bool) -> list[Block]:
    """Changes best first; all of them, or those of which something is seen."""
    shown = list(result.changes) if everything else told_of(result.changes, MOST)
    basis, sure = result.basis, level(len(result.basis.conditions))
    none = [] if everything else stuck(result)
    columns: list[Names] = [("verdict",), *((name,) for name in basis.conditions if name not in none)]
    cells = [
        [
            verdict_words(change)[1],
            *(effect_words(basis.metric, one, sure) for one in change.effects if one.condition not in none),
        ]
        for change in shown
    ]
    costs = [listed(change.costs) for change in shown]
    if any(costs):
        columns.append(("costs",))
        cells = [[*row, cost or "-"] for row, cost in zip(cells, costs, strict=True)]
    blocks: list[Block] = [
        _own(result),
        *map(Line, base_words(basis)),
        Grid(("best first",), [(c.name,) for c in shown], columns, cells),
    ]
    left = len(result.changes) - len(shown)
    if left:
        blocks.append(Hint(f"{left} others: --all or ranking.csv has them"))
    if none:
        blocks.append(Line(f"No column for {', '.join(none)}: no change does the job there."))
    blocks += [Line(_depends(result, change)) for change in shown if change.verdict is Verdict.DEPENDS]
    blocks += [Line(pair_words(result, pair)) for pair in result.pairs]
    return [*blocks, *(Line(text, "dim") for text in how(result))]


def _own(result: Ranking) -> Line:
    """The rig without any change, and how far it scatters by itself."""
    basis = result.basis
    said = []
    for name, job, value, scatter in zip(
        basis.conditions, basis.jobs, basis.values, basis.scatter, strict=True
    ):
        spread = f" ± {in_picture(basis.metric, scatter)}" if scatter is not None else ""
        figure = "no figure" if value is None else f"{in_picture(basis.metric, value)}{spread}"
        done = "" if job is JobState.DONE else f", {job.value}"
        said.append(f"{name} {figure}{done}")
    return Line(f"Without any change, {metric_name(basis.metric)}: {'; '.join(said)}.")


def _depends(result: Ranking, change: Change) -> str:
    return f"{quoted(change.name)} depends: {where_words(change, result.basis.better, result.basis.seen)}."


def pair_words(result: Ranking, pair: Pair) -> str:
    """What two changes do together that they do not alone."""
    both = " with ".join(map(quoted, pair.names))
    if pair.extra is None:
        return f"{both}: together {pair.after.value}, unlike either alone."
    ends = within(result.basis.metric, pair)
    more = "more" if pair.extra * result.basis.better > 0.0 else "less"
    size = signed(result.basis.metric, pair.extra) + (f" ({ends})" if ends else "")
    return f"{both} do not add up: together {size} beyond the sum, {more} than it."


def how(result: Ranking) -> list[str]:
    """How the ranking came about, a sentence each."""
    basis = result.basis
    said = [f"{error_words(basis)}. Too small to see: under {in_picture(basis.metric, basis.seen)}."]
    if any(one.low is not None for change in result.changes for one in change.effects):
        several = len(basis.conditions) > 1
        said.append(
            "In brackets: where 19 of 20 rigs that are off as a bench is off have the effect"
            f"{', under all conditions at once' if several else ''}; the same draws for every change, so "
            "that what an error does to both drops out. Changes far below what is seen are not drawn."
        )
        said += ends_words(result)
    elif basis.draws:
        said.append("Changes far below what is seen are not drawn.")
    if basis.each:
        said.append("Steps are practical ones (common practice, no source), each alone.")
    if result.would_tried:
        said.append(
            f"Beyond the list were tried: grip, {pull_of(result.scenario)} and both up to three times, "
            "weight down to two thirds."
        )
    return [*said, f"{basis.runs} runs."]
