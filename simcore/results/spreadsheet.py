"""Tables as CSV, byte for byte as pandas writes them, in a quarter of its time."""

import csv
import io
import os
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any

import numpy as np
import pandas as pd

SPECIAL = frozenset(',"\r\n')  # a text with one of these may stand in quotes
ROWS = 5000  # that are put into words at a time


def csv_writer(
    table: Callable[[], pd.DataFrame], index: bool = True, form: str = "%.9g"
) -> Callable[[Path], object]:
    """What writes a table to a file; parameters as for `write_csv`."""
    return lambda path: write_csv(table(), path, index, form)


def write_csv(table: pd.DataFrame, path: Path, index: bool = True, form: str = "%.9g") -> None:
    """Write a table for a spreadsheet.

    Parameters
    ----------
    table : of two columns or more, with one row of names on top
    path : of the file
    index : whether the names of its rows are its first column
    form : of its numbers, as for the operator %
    """
    parts = [(_shown(table.index.name), table.index.to_series())] if index else []
    parts += [(_shown(name), table[name]) for name in table]
    with path.open("w", encoding="utf-8", newline="") as file:
        file.write(",".join(name for name, _ in parts) + os.linesep)
        for start in range(0, len(table), ROWS):
            words = [_words(column.iloc[start : start + ROWS], form) for _, column in parts]
            row = ",".join(one for _, one in words) + os.linesep
            file.write("".join(map(row.__mod__, zip(*(column for column, _ in words), strict=True))))


def _words(column: "pd.Series[Any]", form: str) -> tuple[Sequence[Any], str]:
    """Cells of a column, and how to put one into words."""
    if column.dtype.kind != "f":
        known = {cell: _shown(cell) for cell in set(column)}
        return [known[cell] for cell in column], "%s"
    cells = column.tolist()
    if not np.isnan(column.to_numpy()).any():
        return cells, form
    return ["" if cell != cell else form % cell for cell in cells], "%s"


def _shown(cell: object) -> str:
    """A cell as it stands in the file."""
    if cell is None or cell != cell:
        return ""
    text = str(cell)
    if not SPECIAL & set(text):
        return text
    file = io.StringIO()
    csv.writer(file, lineterminator=os.linesep).writerow([text])
    return file.getvalue().removesuffix(os.linesep)
