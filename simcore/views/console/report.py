"""What is said of a result on the terminal, in lines: question, headline, few metrics or all, conclusion."""

from collections.abc import Callable, Mapping, Sequence
from functools import partial
from typing import TYPE_CHECKING, Any

from simcore.files import Scenario
from simcore.files.axes import CASE
from simcore.results.catalogue import CATALOGUE, label_of, with_swing
from simcore.results.conditions import Conditions
from simcore.results.formatting import MINUS, said_factor, three_digits
from simcore.results.headlines.job import is_done, job_sentence
from simcore.results.headlines.side_load import metrics_spoken_of, side_load_remark_of
from simcore.results.metric_selection import telling_differences, telling_of_run
from simcore.results.metrics import Summary
from simcore.results.result import Result
from simcore.results.run import Run
from simcore.studies.claims import conclude, why_not_conclude
from simcore.studies.plan import axis_label, axis_value
from simcore.views.console.layout import Block, Grid, Hint, Line, in_lines
from simcore.views.console.names import IN_FILES, how_many_more, key_lines, keyed_names, named

if TYPE_CHECKING:
    from simcore.studies.compare import Comparison
    from simcore.studies.sweep import Sweep

MOST_ROWS = 24  # of a sweep on a screen, so that its headline stays there
DONE = "done"
Body = Callable[[Any, bool], list[Block]]


def report(result: Result, everything: bool, width: int | None) -> list[Line]:
    """All that is said of a result.

    Parameters
    ----------
    result : of any study
    everything : every metric there is; else the few that are most telling
    width : columns of the screen; None: any number, as through a pipe
    """
    said = [Line(result.asked, "dim"), Line(result.headline, "bold"), Line("")]
    return in_lines(
        [*said, *numbers(result, everything, brief=width is not None), *conclusion(result)], width
    )


def numbers(result: Result, everything: bool, brief: bool = False) -> list[Block]:
    """Tables and sentences that say the numbers of a result.

    Parameters
    ----------
    result : of any study
    everything : every metric there is; else the few that are most telling
    brief : leave rows out where there are more than a screen holds
    """
    return _body_of(result, brief)(result, everything)


def _body_of(result: Result, brief: bool) -> Body:
    """What says the numbers of a kind of result; modules of the other kinds are not read."""
    match result.kind:
        case "run":
            return _of_run
        case "comparison":
            return _of_comparison
        case "sweep":
            return partial(_of_sweep, brief=brief)
        case "limits":
            from simcore.views.console.limits import limits_blocks

            return limits_blocks
        case "ranges":
            from simcore.views.console.limits import ranges_blocks

            return ranges_blocks
        case "ranking":
            from simcore.views.console.ranking import ranking_blocks

            return ranking_blocks
        case "inspection":
            from simcore.views.console.inspection import inspection_blocks

            return inspection_blocks
        case "field_trial":
            from simcore.views.console.trial import trial_blocks

            return trial_blocks
        case "fit":
            from simcore.views.console.fit import fit_blocks

            return fit_blocks
        case "measurement":
            from simcore.views.console.measured import measurement_blocks

            return measurement_blocks
        case "sensitivity":
            from simcore.views.console.matters import sensitivity_blocks

            return sensitivity_blocks
        case "spread":
            from simcore.views.console.scatter import scatter_blocks

            return scatter_blocks
    return _of_any


def _of_any(result: Result, everything: bool) -> list[Block]:
    """Every table of a result as it is: what a kind gets that has no form of its own."""
    blocks: list[Block] = []
    for table in result.tables.values():
        cells = [
            [three_digits(value) if isinstance(value, float) else str(value) for value in row]
            for row in table.itertuples(index=False)
        ]
        rows, columns = [(str(name),) for name in table.index], [(str(name),) for name in table]
        blocks += [Grid(("",), rows, columns, cells), Line("")]
    return blocks


def _of_run(run: Run, everything: bool) -> list[Block]:
    """How it ended and what moved; or every metric with its meaning."""
    summary, scenario = run.summary, run.scenario
    keys, visible, goal = list(summary), Conditions.of(scenario).visible, scenario.goal
    if not everything:
        first = (*goal.at_least, *goal.at_most, *scenario.conclusion.shown)
        keys = telling_of_run(summary, run.series.iloc[0], visible, first)
    rows, values = [(label_of(key),) for key in keys], [with_swing(key, summary, visible) for key in keys]
    if everything:
        cells = [[value, key, CATALOGUE[key].meaning] for key, value in zip(keys, values, strict=True)]
        grid = Grid(("metric",), rows, [("value",), IN_FILES, ("meaning",)], cells)
    else:
        grid = Grid(("",), rows, [("",)], [[value] for value in values])
    return [grid, *how_many_more(len(summary) - len(keys))]


def _of_comparison(result: "Comparison", everything: bool) -> list[Block]:
    """Metrics that differ visibly, with their difference to the first case; or all of them."""
    summaries = result.summaries
    keys = list(dict.fromkeys(key for summary in summaries.values() for key in summary))
    shown, visible = keys, Conditions.of(result.scenario).visible
    if not everything:
        shown = telling_differences(list(summaries.values()), visible, result.scenario.conclusion.shown)
    cells = [_side_by_side(key, list(summaries.values()), visible) for key in shown]
    cases, key_to_names = keyed_names(list(summaries))
    rows, columns = [(named(key),) for key in shown], [(case,) for case in cases]
    if everything:
        cells, columns = [[*row, key] for key, row in zip(shown, cells, strict=True)], [*columns, IN_FILES]
    grid = Grid(("",), rows, columns, cells, turned_corner=("",))
    nothing = "No metric differs visibly." if len(summaries) > 1 else "There is nothing to compare with."
    said: list[Block] = [grid if shown else Line(nothing)]
    if any("(" in cell for row in cells for cell in row):
        said.append(Line(f"In brackets: difference to {next(iter(summaries))}.", "dim"))
    if any("±" in cell for row in cells for cell in row):
        said.append(Line("±: still swinging at the end, by so much.", "dim"))
    said += _left_out(result, [result.summaries], shown)
    said += [Line(f"No metrics for {name}: {refused.text}") for name, refused in result.refused.items()]
    return [*key_lines(key_to_names), *said, *how_many_more(len(keys) - len(shown))]


def _side_by_side(key: str, summaries: Sequence[Summary], visible: Mapping[str, float]) -> list[str]:
    """One metric of every case, each with its difference to the first where that is to be read."""
    values = [summary.get(key) for summary in summaries]
    cells = [with_swing(key, summary, visible, bare=True) for summary in summaries]
    return [
        cell if cell == cells[0] else cell + _difference(key, value, values[0])
        for cell, value in zip(cells, values, strict=True)
    ]


def _difference(key: str, value: Any, first: Any) -> str:
    if not isinstance(value, float) or not isinstance(first, float):
        return ""
    text = three_digits((value - first) * said_factor(key))
    return f" ({text})" if text.startswith(MINUS) else f" (+{text})"


def _of_sweep(result: "Sweep", everything: bool, brief: bool) -> list[Block]:
    """Every run with the metrics that change, and why runs have none."""
    keys = [key for row in result.summaries.values() for key in row]
    every = list(dict.fromkeys(keys))
    shown = every if everything else [key for key in result.shown if key in every]
    rows = [
        (
            *([point.inputs[CASE]] if result.cases else []),
            *(str(axis_value(path, point.inputs[path])) for path in result.axes),
        )
        for point in result.points
    ]
    visible = Conditions.of(result.scenario).visible
    cells = [[with_swing(key, row, visible, bare=True) for key in shown] for row in result.rows]
    columns = [(named(key), key) if everything else (named(key),) for key in shown]
    jobs = [
        _job(row, point.scenario or result.scenario)
        for point, row in zip(result.points, result.rows, strict=True)
    ]
    if not everything and set(jobs) != {DONE}:
        cells, columns = [[job, *cell] for job, cell in zip(jobs, cells, strict=True)], [("job",), *columns]
    said, hidden = [], brief and not everything and len(rows) > MOST_ROWS
    if hidden:
        said.append(f"Left out: {len(rows) - MOST_ROWS} of {len(rows)} runs")
        kept = [round(k * (len(rows) - 1) / (MOST_ROWS - 1)) for k in range(MOST_ROWS)]
        rows, cells = [rows[k] for k in kept], [cells[k] for k in kept]
    corner = (*([CASE] if result.cases else []), *(str(axis_label(path)) for path in result.axes))
    why_none: dict[str, list[str]] = {}
    for name, why in result.failed.items():
        why_none.setdefault(why, []).append(name)
    said += [f"No metrics for {'; '.join(names)}: {why}" for why, names in why_none.items()]
    blocks: list[Block] = [Grid(corner, rows, columns, cells)]
    blocks += [Line(text) for text in said]
    blocks += [Hint("--all or table.csv has all of them")] if hidden else []
    blocks += _left_out(result, result.side_by_side, shown)
    return [*blocks, *how_many_more(len(every) - len(shown))]


def _left_out(result: Result, groups: Sequence[Mapping[str, Summary]], shown: Sequence[str]) -> list[Block]:
    """What a side view leaves out of the differences in load that are told between runs of a group."""
    keys = [*shown, *metrics_spoken_of(result.scenario.conclusion)]
    remark = side_load_remark_of(groups, keys)
    return [Line(remark)] if remark else []


def _job(row: Summary, scenario: Scenario) -> str:
    """Whether a run of a sweep did its job, in the fewest words; nothing of one that tells nothing."""
    if "job" not in row:
        return "-"
    return DONE if is_done(row) else job_sentence(row, scenario, brief=True)


def conclusion(result: Result) -> list[Block]:
    """What the scenario file says that its runs show, or that these runs do not bear it out.

    A case alone of a file with several is not what the conclusion speaks of.
    """
    scenario, summaries = result.scenario, result.summaries
    part = isinstance(result, Run) and bool(scenario.variants or scenario.vary)
    own = scenario.conclusion
    if part or not summaries or not (own.says or own.claims):
        return []
    doubt = why_not_conclude(scenario, result.cases_run, summaries)
    if not (doubt or own.says):  # of a changed file; its claims hold, its words were not made for it
        return []
    text = doubt or f"Conclusion: {conclude(scenario, summaries)}"
    return [Line(""), Line(text)]
