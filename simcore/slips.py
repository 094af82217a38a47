"""Numbers as builders write them and no file takes them: 12,5 and 45:1 and 3S; and what to write instead."""

import re
from dataclasses import dataclass

LONGEST = 60  # characters of a text that is looked at
DIGITS = r"[0-9]+(?:\.[0-9]+)?"
COMMA = re.compile(r"\s*([+-]?[0-9]+)((?:,[0-9]+)+(?:[eE][+-]?[0-9]+)?)\s*(\D.*)?", re.DOTALL)
RATIO = re.compile(rf"\s*({DIGITS})\s*:\s*({DIGITS})\s*")
CELLS = re.compile(r"\s*([1-6])\s*S\s*(?:1?P)?\s*(?:LI-?PO)?\s*", re.IGNORECASE)
CELL_NOMINAL, CELL_FULL = 3.7, 4.2  # V of a LiPo cell; common practice, no source


@dataclass(frozen=True)
class Slip:
    """A number written in a way that is clear to a person.

    Parameters
    ----------
    what : str
        What is unusual about it, to put behind the text, or "".
    must_be : str
        What to write instead.
    meant : str
        The number that it stands for, or "".
    """

    what: str
    must_be: str
    meant: str = ""


def slip(text: str, unit: str) -> Slip | None:
    """Give what is meant by a text where a number in a bench unit is due, None if it is no such slip."""
    if len(text) > LONGEST:
        return None
    comma, ratio, cells = (pattern.fullmatch(text) for pattern in (COMMA, RATIO, CELLS))
    if comma:
        return _decimal_comma(comma)
    if ratio and unit == "1":
        return _ratio(float(ratio[1]), float(ratio[2]), text.strip())
    if cells and unit == "V":
        return _cells(int(cells[1]))
    return None


def _decimal_comma(match: re.Match[str]) -> Slip:
    whole, rest, behind = match[1], match[2].split(",")[1:], (match[3] or "").strip()
    behind = f" {behind}" if behind else ""
    thousands = whole + "".join(rest)
    groups = all(len(part) == 3 and part.isdigit() for part in rest)
    grouped = groups and len(whole.lstrip("+-")) <= 3 and whole.strip("+-0") != ""
    if len(rest) > 1:
        return Slip("with commas", "a number without commas", f"{thousands}{behind}" if grouped else "")
    point = f"{whole}.{rest[0]}{behind}"
    must_be = "a number with a decimal point"
    if grouped:
        must_be += f", or without a comma if it is {thousands}{behind}"
    return Slip("with a decimal comma", must_be, point)


def _ratio(one: float, other: float, text: str) -> Slip | None:
    """A gear ratio, which may be written either way round: turns of the faster per turn of the slower."""
    if not one or not other:
        return None
    number = f"{max(one, other) / min(one, other):.6g}"
    return Slip("", f"one number, {number} for {text}", number)


def _cells(count: int) -> Slip:
    nominal, full = (f"{count * cell:.3g} V" for cell in (CELL_NOMINAL, CELL_FULL))
    words = f"{nominal} nominal ({CELL_NOMINAL} V a cell), {full} full ({CELL_FULL} V a cell)"
    return Slip("", f"a number in V: {count}S LiPo is {words}; common practice, no source")
