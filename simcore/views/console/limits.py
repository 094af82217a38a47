"""Limits on the terminal: steepest slopes climbed, and between which values of a number the job is done."""

from typing import Any

from simcore.results.formatting import MINUS, number, three_digits
from simcore.results.quantities import words
from simcore.studies.limit import Limits
from simcore.studies.ranges import MEANING as RANGE_COLUMNS
from simcore.studies.ranges import End, Ranges
from simcore.studies.sought import Sought
from simcore.views.console.layout import Block, Grid
from simcore.views.console.names import IN_FILES, how_many_more, key_lines, keyed_names


def limits_blocks(result: Limits, everything: bool) -> list[Block]:
    """Steepest slope of each case, why it ends there, and the limits of the standing rig; or all columns."""
    table = result.table
    cases, key_to_names = keyed_names([str(case) for case in table.index])
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
    return [*key_lines(key_to_names), grid, *how_many_more(left)]


def ranges_blocks(result: Ranges, everything: bool) -> list[Block]:
    """Between which values each case does its job, and what lies beyond; or all columns."""
    table, sought = result.said, result.sought
    corner = tuple(str(label) for _, label in result.axes) or ("",)
    rows = [
        tuple(_plain(value) for value in row)
        for row in table[list(result.scenario.vary)].itertuples(index=False)
    ]
    cases, key_to_names = keyed_names([str(case) for case in table.index])
    rows = rows if result.axes else [(case,) for case in cases]
    if everything:
        keys = list(RANGE_COLUMNS)
        cells = [[_plain(value) for value in row] for row in table[keys].itertuples(index=False)]
        return [Grid(corner, rows, [(key,) for key in keys], cells)]
    columns = [("done from",), ("below",), ("up to",), ("above",)]
    cells = [
        [text for end in (one.low, one.high) for text in (_end_value(end, sought), end.why)]
        for one in result.ranges.values()
    ]
    if any(one.others for one in result.ranges.values()):
        columns.append(("also done",))
        cells = [[*row, also or "-"] for row, also in zip(cells, table["also_done"], strict=True)]
    return [
        *key_lines([] if result.axes else key_to_names),
        Grid(corner, rows, columns, cells, turned_corner=() if result.axes else ("",)),
        *how_many_more(len(RANGE_COLUMNS) - len(columns)),
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
