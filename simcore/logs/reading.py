"""Reads a log: a CSV with a header, as phones, loggers and spreadsheets write it."""

import csv
import dataclasses
import io
import math
from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path

import numpy as np
import pandas as pd

from simcore.errors import InputError, InputIssue
from simcore.logs.channels import TIME
from simcore.logs.header import Source, sources
from simcore.units import show

LEAST = 8  # readings of a channel
LISTED = 5  # rows of one fault that are told
SEPARATORS = (";", "\t", ",")


@dataclasses.dataclass(frozen=True)
class Log:
    """What a rig did, as it was logged.

    Attributes
    ----------
    path : of the file
    table : time_s and the channels in bench units, one row an instant; NaN where there was no reading
    left_out : headers of columns that are no channel
    """

    path: Path
    table: pd.DataFrame
    left_out: tuple[str, ...] = ()

    @property
    def channels(self) -> list[str]:
        """Names of its channels."""
        return [name for name in self.table if name != TIME]


def read_log(path: str | Path, columns: Mapping[str, str] | None = None) -> Log:
    """Read a log.

    Columns are named like a channel (`simcore.logs.CHANNELS`), or are mapped. A unit in brackets behind a
    header is converted. Columns may stand between commas, semicolons or tabs, numbers may have decimal
    commas. A cell may be empty where there was no reading.

    Parameters
    ----------
    path : of the file, UTF-8 or Western (cp1252)
    columns : header to name of a channel; a minus before the name turns the sign

    Raises
    ------
    InputError
        with every fault of the file: column, row (the header stands in row 1), got, must be.
    """
    file, path = str(path), Path(path)
    text = csv_text(path)
    mark = separator(text)
    decimal = mark != "," or '"' in text  # a number in quotes may hold the separator
    rows = list(_rows(text, mark))
    if not rows:
        raise InputError([InputIssue(file, "", "an empty file", "a table with a header")])
    (_, headers), *body = rows
    found, issues = sources(headers, columns or {}, file)
    issues += _ragged(file, len(headers), body)
    table: dict[str, list[float]] = {}
    for source in found:
        values, faults = _numbers(file, source, decimal, body)
        table[source.channel] = values
        issues += faults
    if TIME in table and not issues:
        issues += _time_issues(file, table[TIME], [number for number, _ in body])
    if not issues:
        issues += _few(file, found, table)
    if issues:
        raise InputError(issues)
    taken = {source.place for source in found}
    left = tuple(header for place, header in enumerate(headers) if place not in taken)
    order = sorted(table, key=lambda name: (name != TIME, list(table).index(name)))
    return Log(path, pd.DataFrame({name: table[name] for name in order}), left)


def csv_text(path: Path, what: str = "a log as CSV") -> str:
    """Text of a CSV in any of the usual codings.

    Raises
    ------
    InputError
        When there is none.
    """
    try:
        if not path.exists():
            raise InputError([InputIssue(str(path), "", "no such file", what)])
        if not path.is_file():  # a pipe would be waited for
            raise OSError("no regular file")
        raw = path.read_bytes()
    except OSError as error:
        reason = error.strerror or str(error)
        raise InputError([InputIssue(str(path), "", reason, "a file that can be read")]) from error
    for coding in ("utf-16",) if raw[:2] in (b"\xff\xfe", b"\xfe\xff") else ("utf-8-sig", "cp1252"):
        try:
            text = raw.decode(coding)
        except UnicodeDecodeError:
            continue
        if "\0" not in text:
            return text
    raise InputError([InputIssue(str(path), "", "no text", "a table as CSV text")])


Row = tuple[int, list[str]]  # line in the file, and its cells


def separator(text: str) -> str:
    """What stands between the columns: the first of the usual marks that the header has."""
    header = next((line for line in text.splitlines() if line.strip()), "")
    return next((mark for mark in SEPARATORS if mark in header), ",")


def _rows(text: str, mark: str) -> Iterator[Row]:
    """Rows that are not blank, the header first."""
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=mark)
    while True:
        try:
            cells = next(reader)
        except StopIteration:
            return
        except csv.Error:  # a quotation that never ends
            cells = ['"']
        if any(cell.strip() for cell in cells):
            yield reader.line_num, [cell.strip() for cell in cells]


def _ragged(file: str, width: int, body: Sequence[Row]) -> list[InputIssue]:
    """Rows that do not have as many cells as the header."""
    faults: dict[str, list[int]] = {}
    for number, cells in body:
        if len(cells) < width or any(cells[width:]):
            faults.setdefault(f"{len(cells)} cells", []).append(number)
    must_be = f"{width}, as the header has"
    return [InputIssue(file, _at("", numbers), got, must_be) for got, numbers in faults.items()]


def _numbers(
    file: str, source: Source, decimal: bool, body: Sequence[Row]
) -> tuple[list[float], list[InputIssue]]:
    """Values of a column, and what is wrong with its cells."""
    values, faults = [], dict[str, list[int]]()
    for number, cells in body:
        cell = cells[source.place] if source.place < len(cells) else ""
        value = _number(cell, decimal)
        empty = cell == "" and source.channel != TIME
        if value is None and not empty:
            faults.setdefault(show(cell) if cell else "nothing", []).append(number)
        values.append(math.nan if value is None else value * source.factor)
    must_be = "a number" if source.channel == TIME else "a number, or nothing where there was no reading"
    many = [number for got in list(faults)[LISTED:] for number in faults.pop(got)]
    issues = [InputIssue(file, _at(source.header, rows), got, must_be) for got, rows in faults.items()]
    if many:
        issues.append(InputIssue(file, _at(source.header, many), "other cells that are none", must_be))
    return values, issues


def _number(cell: str, decimal: bool) -> float | None:
    text = cell.replace(",", ".") if decimal and "." not in cell and cell.count(",") == 1 else cell
    try:
        value = float(text)
    except ValueError:
        return None
    return value if math.isfinite(value) and "_" not in text else None


def _at(header: str, rows: Sequence[int]) -> str:
    """Where in the file: column and rows."""
    more = f" and {len(rows) - LISTED} more" if len(rows) > LISTED else ""
    word = "row" if len(rows) == 1 else "rows"
    return ", ".join(part for part in (header, f"{word} {', '.join(map(str, rows[:LISTED]))}{more}") if part)


def _time_issues(file: str, times: Sequence[float], numbers: Sequence[int]) -> list[InputIssue]:
    """Rows whose time does not rise."""
    wrong = [numbers[int(k) + 1] for k in np.flatnonzero(~(np.diff(times) > 0.0))]
    if not wrong:
        return []
    got = "a time that is not after the one before"
    return [InputIssue(file, _at(TIME, wrong), got, "times that rise from row to row")]


def _few(file: str, found: Sequence[Source], table: Mapping[str, Sequence[float]]) -> list[InputIssue]:
    """Columns with too few readings."""
    issues = []
    for source in found:
        count = int(np.isfinite(table[source.channel]).sum())
        if count < LEAST:
            issues.append(InputIssue(file, source.header, f"{count} readings", f"at least {LEAST}"))
    return issues
