"""What is said of a result on the terminal, in lines: question, headline, few metrics or all, conclusion."""

from collections.abc import Callable, Mapping, Sequence
from typing import Any

from simcore.files import Scenario
from simcore.files.axes import CASE
from simcore.results.catalogue import CATALOGUE, label_of, with_swing
from simcore.results.conditions import Conditions
from simcore.results.formatting import MINUS, number, said_factor, three_digits
from simcore.results.headlines.job import is_done, job_sentence
from simcore.results.headlines.side_load import metrics_spoken_of, side_load_remark_of
from simcore.results.metric_selection import telling_differences, telling_of_run
from simcore.results.metrics import Summary
from simcore.results.quantities import words
from simcore.results.result import Result
from simcore.results.run import Run
from simcore.studies.claims import conclude, why_not_conclude
from simcore.studies.compare import Comparison
from simcore.studies.fitted import Fit
from simcore.studies.inspect import Inspection
from simcore.studies.limit import Limits
from simcore.studies.measure import Measurement
from simcore.studies.plan import axis_label, axis_value
from simcore.studies.ranges import MEANING as RANGE_COLUMNS
from simcore.studies.ranges import End, Ranges
from simcore.studies.sensitivity import Sensitivity
from simcore.studies.sought import Sought
from simcore.studies.sweep import Sweep
from simcore.views.console.fit import fit_lines
from simcore.views.console.inspection import inspection_lines
from simcore.views.console.layout import Grid, Line, sentence
from simcore.views.console.matters import sensitivity_lines
from simcore.views.console.measured import measurement_lines
from simcore.views.console.names import IN_FILES, named

MOST_ROWS = 24  # of a sweep on a screen, so that its headline stays there
DONE = "done"
LONGEST = 24  # letters of a word in a case's name; longer ones stand in a key
Body = Callable[[Any, bool, int | None], list[Line]]


def report(result: Result, everything: bool, width: int | None) -> list[Line]:
    """All that is said of a result.

    Parameters
    ----------
    result : of any study
    everything : every metric there is; else the few that are most telling
    width : columns of the screen; None: any number, as through a pipe
    """
    bodies: dict[type[Result], Body] = {
        Run: _of_run,
        Comparison: _of_comparison,
        Sweep: _of_sweep,
        Limits: _of_limits,
        Ranges: _of_ranges,
        Inspection: inspection_lines,
        Fit: fit_lines,
        Measurement: measurement_lines,
        Sensitivity: sensitivity_lines,
    }
    body = bodies.get(type(result), _of_any)(result, everything, width)
    return [
        *sentence(result.asked, width, "dim"),
        *sentence(result.headline, width, "bold"),
        Line(""),
        *body,
        *_conclusion(result, width),
    ]


def _of_any(result: Result, everything: bool, width: int | None) -> list[Line]:
    """Every table of a result as it is: what a kind gets that has no form of its own."""
    lines = []
    for table in result.tables.values():
        cells = [
            [three_digits(value) if isinstance(value, float) else str(value) for value in row]
            for row in table.itertuples(index=False)
        ]
        rows, columns = [(str(name),) for name in table.index], [(str(name),) for name in table]
        lines += [*Grid(("",), rows, columns, cells).lines(width), Line("")]
    return lines


def _of_run(run: Run, everything: bool, width: int | None) -> list[Line]:
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
    return [*grid.lines(width), *_more(len(summary) - len(keys), width)]


def _more(left: int, width: int | None) -> list[Line]:
    """How much is not shown."""
    return sentence(f"{left} more metrics: --all shows them", width, "dim") if left > 0 else []


def _of_comparison(result: Comparison, everything: bool, width: int | None) -> list[Line]:
    """Metrics that differ visibly, with their difference to the first case; or all of them."""
    summaries = result.summaries
    keys = list(dict.fromkeys(key for summary in summaries.values() for key in summary))
    shown, visible = keys, Conditions.of(result.scenario).visible
    if not everything:
        shown = telling_differences(list(summaries.values()), visible, result.scenario.conclusion.shown)
    cells = [_side_by_side(key, list(summaries.values()), visible) for key in shown]
    cases, key_to_names = _keyed(list(summaries))
    rows, columns = [(named(key),) for key in shown], [(case,) for case in cases]
    if everything:
        cells, columns = [[*row, key] for key, row in zip(shown, cells, strict=True)], [*columns, IN_FILES]
    grid = Grid(("",), rows, columns, cells, turned_corner=("",))
    nothing = "No metric differs visibly." if len(summaries) > 1 else "There is nothing to compare with."
    said = grid.lines(width) if shown else [Line(nothing)]
    if any("(" in cell for row in cells for cell in row):
        said += sentence(f"In brackets: difference to {next(iter(summaries))}.", width, "dim")
    if any("±" in cell for row in cells for cell in row):
        said += sentence("±: still swinging at the end, by so much.", width, "dim")
    said += _left_out(result, shown, width)
    for name, refused in result.refused.items():
        said += sentence(f"No metrics for {name}: {refused.text}", width)
    return [*_key(key_to_names, width), *said, *_more(len(keys) - len(shown), width)]


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


def _keyed(names: list[str]) -> tuple[list[str], list[str]]:
    """Names as heads, or letters for them with what they stand for, where a name has a word without end."""
    if all(len(word) <= LONGEST for name in names for word in name.split()):
        return names, []
    letters = [_letters(k) for k in range(len(names))]
    return letters, [f"{letter} = {name}" for letter, name in zip(letters, names, strict=True)]


def _key(texts: Sequence[str], width: int | None) -> list[Line]:
    """What letters stand for."""
    lines = [line for text in texts for line in sentence(text, width)]
    return [*lines, Line("")] if lines else []


def _letters(k: int) -> str:
    """A, B, ... Z, AA, AB, ..."""
    return (_letters(k // 26 - 1) if k >= 26 else "") + chr(ord("A") + k % 26)


def _of_sweep(result: Sweep, everything: bool, width: int | None) -> list[Line]:
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
    said = []
    if width is not None and not everything and len(rows) > MOST_ROWS:
        said.append(f"Left out: {len(rows) - MOST_ROWS} of {len(rows)} runs; --all or table.csv has them")
        kept = [round(k * (len(rows) - 1) / (MOST_ROWS - 1)) for k in range(MOST_ROWS)]
        rows, cells = [rows[k] for k in kept], [cells[k] for k in kept]
    corner = (*([CASE] if result.cases else []), *(str(axis_label(path)) for path in result.axes))
    why_none: dict[str, list[str]] = {}
    for name, why in result.failed.items():
        why_none.setdefault(why, []).append(name)
    said += [f"No metrics for {'; '.join(names)}: {why}" for why, names in why_none.items()]
    lines = Grid(corner, rows, columns, cells).lines(width)
    lines += [line for text in said for line in sentence(text, width)]
    lines += _left_out(result, shown, width)
    return [*lines, *_more(len(every) - len(shown), width)]


def _left_out(result: Result, shown: Sequence[str], width: int | None) -> list[Line]:
    """What a side view leaves out of the differences in load that are told."""
    keys = [*shown, *metrics_spoken_of(result.scenario.conclusion)]
    groups = result.side_by_side if isinstance(result, Sweep) else [result.summaries]
    remark = side_load_remark_of(groups, keys)
    return sentence(remark, width) if remark else []


def _job(row: Summary, scenario: Scenario) -> str:
    """Whether a run of a sweep did its job, in the fewest words; nothing of one that tells nothing."""
    if "job" not in row:
        return "-"
    return DONE if is_done(row) else job_sentence(row, scenario, brief=True)


def _of_limits(result: Limits, everything: bool, width: int | None) -> list[Line]:
    """Steepest slope of each case, why it ends there, and the limits of the standing rig; or all columns."""
    table = result.table
    cases, key_to_names = _keyed([str(case) for case in table.index])
    every = [(case,) for case in cases]
    if everything:
        rows = [(words(key),) for key in table]
        cells = [[*(_cell(key, value) for value in table[key]), key] for key in table]
        grid = Grid(("",), rows, [*every, IN_FILES], cells, turned_corner=("",))
    else:
        columns = [("climbs",), ("steeper",), ("standing, tips at",), ("standing, grips to",)]
        cells = [
            [
                number("_deg", limit.climbs_deg) + _less_first(table["climbs_change_deg"].iloc[k]),
                limit.why,
                *(number("_deg", limit.standing[key]) for key in ("tip_back_deg", "grip_deg")),
            ]
            for k, limit in enumerate(result.cases.values())
        ]
        grid = Grid(("",), every, columns, cells, turned_corner=("",))
    left = 0 if everything else len(table.columns) - len(cells[0])
    return [*_key(key_to_names, width), *grid.lines(width), *_more(left, width)]


def _of_ranges(result: Ranges, everything: bool, width: int | None) -> list[Line]:
    """Between which values each case does its job, and what lies beyond; or all columns."""
    table, sought = result.said, result.sought
    corner = tuple(str(label) for _, label in result.axes) or ("",)
    rows = [
        tuple(_plain(value) for value in row)
        for row in table[list(result.scenario.vary)].itertuples(index=False)
    ]
    cases, key_to_names = _keyed([str(case) for case in table.index])
    rows = rows if result.axes else [(case,) for case in cases]
    if everything:
        keys = list(RANGE_COLUMNS)
        cells = [[_plain(value) for value in row] for row in table[keys].itertuples(index=False)]
        return Grid(corner, rows, [(key,) for key in keys], cells).lines(width)
    columns = [("done from",), ("below",), ("up to",), ("above",)]
    cells = [
        [text for end in (one.low, one.high) for text in (_end_value(end, sought), end.why)]
        for one in result.ranges.values()
    ]
    if any(one.others for one in result.ranges.values()):
        columns.append(("also done",))
        cells = [[*row, also or "-"] for row, also in zip(cells, table["also_done"], strict=True)]
    lines = Grid(corner, rows, columns, cells, turned_corner=() if result.axes else ("",)).lines(width)
    return [
        *_key([] if result.axes else key_to_names, width),
        *lines,
        *_more(len(RANGE_COLUMNS) - len(columns), width),
    ]


def _end_value(end: End, sought: Sought) -> str:
    """An edge of a range in words."""
    return "-" if end.done is None else sought.said(end.done)


def _plain(value: Any) -> str:
    """A cell of a table whose numbers bear no unit in their names."""
    if isinstance(value, str):
        return value or "-"
    return "-" if value != value else f"{value:g}".replace("-", MINUS)


def _cell(key: str, value: Any) -> str:
    """A cell of a table of results, empty where there is nothing."""
    if isinstance(value, str):
        return value or "-"
    return number(key, None if value != value else value)


def _less_first(change: float) -> str:
    """Difference to the first case, where there is one."""
    text = three_digits(change)
    if change != change or not any(digit in text for digit in "123456789"):
        return ""
    return f" ({text})" if text.startswith(MINUS) else f" (+{text})"


def _conclusion(result: Result, width: int | None) -> list[Line]:
    """What the scenario file says that its runs show, or that these runs do not bear it out.

    A case alone of a file with several is not what the conclusion speaks of.
    """
    scenario, summaries = result.scenario, result.summaries
    part = isinstance(result, Run) and bool(scenario.variants or scenario.vary)
    conclusion = scenario.conclusion
    if part or not summaries or not (conclusion.says or conclusion.claims):
        return []
    doubt = why_not_conclude(scenario, result.cases_run, summaries)
    if not (doubt or conclusion.says):  # of a changed file; its claims hold, its words were not made for it
        return []
    text = doubt or f"Conclusion: {conclude(scenario, summaries)}"
    return [Line(""), *sentence(text, width)]
