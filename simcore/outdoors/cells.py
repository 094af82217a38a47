"""Numbers in the cells of a results file, as people and spreadsheets write them."""

import re
from collections.abc import Collection, Iterator, Sequence

from simcore.errors import RejectedValue
from simcore.outdoors.dates import date_number, reads_as_clock, reads_as_date
from simcore.outdoors.measure import NUMBER
from simcore.results.formatting import MINUS
from simcore.units import Q, show

_WHOLE, _DIGITS = re.compile(r"[+-]?[0-9]+"), re.compile(r"[0-9]+(?:\s*[^\d\s].*)?")
MADE = "the spreadsheet may have turned 1.3 into one, which a column set to text before typing prevents"


def number_in(text: str, wanted: Q, commas: bool, far: float = 0.0) -> float:
    """The number of a cell, in the bench unit of what is wanted there.

    Parameters
    ----------
    text : of the cell
    wanted : unit and range
    commas : whether a comma may stand for the decimal point, as no commas part the columns
    far : beyond it a whole number that a spreadsheet has for a date is taken for one

    Raises
    ------
    RejectedValue
        When it is none, of another kind or out of range, or a date.
    """
    if reads_as_date(text):
        raise RejectedValue(f"{show(text)}, which reads as a date", f"{wanted.wanted()}: {MADE}")
    if reads_as_clock(text):
        raise RejectedValue(f"{show(text)}, which reads as on a clock", wanted.wanted())
    tidy = text.replace(MINUS, "-")
    if commas:
        tidy = tidy.replace(",", ".", 1)
    value = float(tidy) if NUMBER.fullmatch(tidy) else wanted.bench(tidy)
    date = date_number(text)
    if date is not None and value > far:
        got = f"{text}, which reads as a date: {date} as spreadsheets count days"
        raise RejectedValue(got, f"{wanted.wanted()}: {MADE} (or {text}.0, if it is the number)")
    wanted.read(value)
    return value


def rejoined(
    names: Sequence[str], cells: Sequence[str], numbers: Collection[str]
) -> Iterator[tuple[list[tuple[str, str]], list[str]]]:
    """The rows that a row would be, were one or more of its commas decimal ones.

    Parameters
    ----------
    names : of the columns
    cells : of the row
    numbers : names of the columns of numbers

    Yields
    ------
    Name and text of each such number, and the cells.
    """
    for place, (name, cell) in enumerate(zip(names, cells[:-1], strict=False)):
        behind = cells[place + 1]
        if name in numbers and _WHOLE.fullmatch(cell) and _DIGITS.fullmatch(behind):
            one = (name, f"{cell},{behind}")
            joined = [*cells[:place], f"{cell}.{behind}", *cells[place + 2 :]]
            yield [one], joined
            for more, further in rejoined(names, joined, numbers):
                yield [one, *more], further
