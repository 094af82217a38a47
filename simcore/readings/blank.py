"""A worksheet to fill in: every line with how it is measured, and what stands in if it stays empty."""

import json
import textwrap
from collections.abc import Iterator
from typing import Any, Literal, get_args, get_origin

from pydantic import BaseModel
from pydantic.fields import FieldInfo

from simcore.files.schema import fields, hints, items, plain, submodel
from simcore.files.worksheet import Worksheet
from simcore.readings.guesses import SOURCES, guess_for_line

WIDTH = 100
WRITTEN = {"worksheet", "name"}
ROWS = 3  # empty ones of a list of readings
OPTIONAL = {"arm", "parts", "skids", "photo", "shaft"}
"""Tables that many rigs do without: their lines are comments, to be taken in by deleting the marks."""

_HEAD = (
    "Worksheet of {name}. Fill in what you can, with the kitchen scales, a ruler, weights, a stopwatch and a "
    "phone; leave the rest empty. Then: simcore measure {file}",
    "A number is in the unit named behind its line. Text may have its own unit, and an error behind +-: "
    '"862 +- 2 g". The error is what 19 of 20 readings keep within; without one that of the usual instrument '
    'counts. Taken several times: a list, as [861, 863, "862 g"], whose mean and scatter count. A line left '
    "empty is not known: a guess of the trade stands in, and the rig file says so.",
    "Places are [x, z]: x forward of the rear axle centre, z above the table, the rig standing at ride "
    "height on the flat.",
    "Which line matters most hangs on the question: simcore measure {file} --for SCENARIO moves each by its "
    "error and says, worst first, which one moves the answer. For a filled-in rig of our own invention and "
    "a hard launch these were the friction of the front shocks, the efficiency of the gears, and the oil.",
    "Unplug the battery and take the pinion out, or hold the rig clear, before you reach into wheels and "
    "gears; treat LiPo packs as their maker says. For scale models only.",
)


def blank_worksheet(name: str, file: str) -> str:
    """Give the text of a worksheet in which only the name is filled in.

    Parameters
    ----------
    name : of the rig
    file : name of the file, for the command that reads it
    """
    head = "\n\n".join(_HEAD).format(name=name, file=file)
    lines = [*_comment(head), "", "worksheet = 1", f"name = {json.dumps(name)}"]
    lines += _Blank().lines(Worksheet, "", optional=False)
    lines += ["", *_comment(f"Where the guesses come from: {SOURCES}")]
    return "\n".join(lines) + "\n"


def _comment(text: str, mark: str = "# ") -> list[str]:
    """Lines of a comment."""
    wide = WIDTH - len(mark)
    return [
        (mark + line).rstrip()
        for paragraph in text.strip().split("\n")
        for line in (textwrap.wrap(paragraph, wide) or [""])
    ]


class _Blank:
    """Lines of the tables; what has been said once is not said again."""

    def __init__(self) -> None:
        self.said: set[str] = set()

    def lines(self, model: type[BaseModel], place: str, optional: bool) -> Iterator[str]:
        """Lines of a table: its own, then the tables below it."""
        below = []
        for key, field in fields(model).items():
            hint = hints(model)[key]
            kinds = items(hint)
            inside = submodel(kinds[0] if kinds else hint)
            if inside is not None:
                below.append((key, inside, bool(kinds), field))
            elif place or key not in WRITTEN:
                yield from self._line(key, hint, field, f"{place}.{key}".strip("."), optional)
        for key, inside, many, field in below:
            path, out = f"{place}.{key}".strip("."), optional or key in OPTIONAL
            head = f"[[{path}]]" if many else f"[{path}]"
            alone = [one for _, one, _, _ in below].count(inside) == 1
            yield from ("", *self._comment(_about(field, inside, alone)))
            yield f"# {head}" if out else head
            yield from self.lines(inside, path, out)

    def _line(self, key: str, hint: Any, field: FieldInfo, path: str, optional: bool) -> Iterator[str]:
        """A line to fill in, under what is said of it."""
        inner, quantity = plain(hint)
        kinds, mark, guess = items(hint), "# " if optional else "", guess_for_line(path)
        about = " ".join((field.description or "").split()) + (f" Empty: a guess, {guess}." if guess else "")
        yield from self._comment(about)
        if get_origin(inner) is Literal:
            yield f"# {key} = {' or '.join(map(json.dumps, get_args(inner)))}"
        elif get_origin(inner) is dict:
            yield f'# {key} = {{ "rear.lower_link.chassis" = [812, 640] }}'
        elif kinds is None:
            unit = quantity.unit if quantity else ""
            yield f'{mark}{key} = ""' + (f"  # {unit}" if unit not in ("", "1") else "")
        else:
            yield f"{mark}{key} = {_empty(kinds)}{_units(kinds)}"

    def _comment(self, text: str) -> list[str]:
        """A comment, the first time that it is due."""
        if text in self.said:
            return []
        self.said.add(text)
        return _comment(text)


def _about(field: FieldInfo, inside: type[BaseModel], alone: bool) -> str:
    """What a table is about: in the words of its model; in its own first where it has brothers."""
    own, of_model = (" ".join((text or "").split()) for text in (field.description, inside.__doc__))
    return of_model if alone else own if of_model == "One axle." else f"{own} {of_model}"


def _empty(kinds: tuple[Any, ...]) -> str:
    """Empty places of a list."""
    if kinds[-1] is not Ellipsis:
        return "[" + ", ".join('""' for _ in kinds) + "]"
    row = _empty(items(kinds[0]) or ())
    return f"[{', '.join([row] * ROWS)}]"


def _units(kinds: tuple[Any, ...]) -> str:
    """Units of a list's numbers, as a comment."""
    if kinds[-1] is Ellipsis:
        return _units(items(kinds[0]) or ())
    units = [quantity.unit for quantity in (plain(kind)[1] for kind in kinds) if quantity is not None]
    return f"  # {', '.join(units)}" if any(unit != "1" for unit in units) else ""
