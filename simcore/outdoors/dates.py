"""Dates and clocks where a number is due: spreadsheets make dates of 1.3, and may keep them as numbers."""

import datetime
import re

_MONTH = (
    "jan(?:uary|uar)?|feb(?:ruary|ruar)?|mar(?:ch)?|märz?|mrz|apr(?:il)?|may|mai|june?|juni|july?|juli|"
    "aug(?:ust)?|sept?(?:ember)?|o[ck]t(?:ober)?|nov(?:ember)?|de[cz](?:ember)?"
)
_TIME = r"(?:[ T]\d{1,2}:\d{2}(?::\d{2}(?:\.\d+)?)?)?"
_DATE = re.compile(
    r"\d{4}([-/.])\d{1,2}\1\d{1,2}\.?"  # 2026-11-28
    r"|\d{1,2}([-/.])\d{1,2}\2(?:\d{2}|\d{4})?"  # 28.11. and 28/11/2026
    r"|\d{1,2}[-/]\d{1,2}|\d{1,2}/\d{4}"  # 28/11 and 11/2026
    rf"|(?:\d{{1,2}}[ .\-/]*)?(?:{_MONTH})\.?(?:[ ,.\-/]*\d{{1,4}}){{0,2}}",  # 28-Nov and Nov 28, 2026
    re.IGNORECASE,
)
_DATED = re.compile(f"(?:{_DATE.pattern}){_TIME}", re.IGNORECASE)
_CLOCK = re.compile(r"\d{1,3}:\d{2}(?::\d{2})?(?:[.,]\d+)?")
_FIRST = datetime.date(1899, 12, 30)  # from which spreadsheets count days
_YEARS = range(2000, 2050)  # in which such a number is looked for


def reads_as_date(text: str) -> bool:
    """Whether a cell is a date as people and spreadsheets write them; 28.11 is a number."""
    return _DATED.fullmatch(text) is not None


def date_number(text: str) -> datetime.date | None:
    """The date that a cell is if it is a spreadsheet's number of one; None: of no year from 2000 to 2049."""
    if not (len(text) == 5 and text.isascii() and text.isdigit()):
        return None
    date = _FIRST + datetime.timedelta(days=int(text))
    return date if date.year in _YEARS else None


def reads_as_clock(text: str) -> bool:
    """Whether a cell is a time as clocks show it, of the day or of a run."""
    return _CLOCK.fullmatch(text) is not None
