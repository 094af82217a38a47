"""How far numbers of a rig or a scenario may be off: the table [spread].

An error is what 19 of 20 such readings keep within, as everywhere in this program: twice the standard
deviation (JCGM 100:2008, section 6.2, coverage factor 2). A guess is a range in which every value is as
likely as any other.
"""

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Annotated, Any

from pydantic import BaseModel, ValidationInfo, WithJsonSchema

from simcore.errors import RejectedValue
from simcore.files.fields import Contradiction, Name
from simcore.files.schema import follow, hints, plain
from simcore.files.steps import Steps, item_number, steps
from simcore.units import Q, show

_FORM = {
    "type": "object",
    "additionalProperties": {
        "anyOf": [
            {"type": ["number", "string"]},
            {
                "type": "object",
                "properties": {key: {"type": ["number", "string"]} for key in ("from", "to")},
                "required": ["from", "to"],
                "additionalProperties": False,
            },
        ]
    },
}
"""The JSON Schema of a [spread] table."""
Spread = Annotated[dict[Name, Any], WithJsonSchema(_FORM)]
FORM = 'an error as "0.5 mm" or "3 %" of the value, or a guess as { from = 0.9, to = 1.1 }'
_SIGNS = re.compile(r"\+\s*/?\s*-|±")
OWN = "%"
"""Unit of keys in which a percentage is a number of its own, and not a share of the value."""


@dataclass(frozen=True)
class Off:
    """How far a number may be off; one of the three is there.

    Attributes
    ----------
    error : that 19 of 20 keep within, SI
    share : the same, as a share of the value
    ends : lowest and highest value of a guess, SI
    """

    error: float | None = None
    share: float | None = None
    ends: tuple[float, float] | None = None


def read_off(given: Any, quantity: Q) -> Off:
    """Read how far a number may be off, as it stands in a file.

    Raises
    ------
    RejectedValue
        Saying what is wrong with it.
    """
    if isinstance(given, Mapping):
        return Off(ends=_ends(given, quantity))
    if isinstance(given, str) and _SIGNS.search(given):
        raise RejectedValue(show(given), f"how far off alone: {FORM}")
    if isinstance(given, str) and given.strip().endswith("%") and quantity.unit != OWN:
        return Off(share=Q("%", gt=0, le=100).read(given))
    return Off(error=Q(quantity.unit, gt=0).read(given))


def _ends(given: Mapping[str, Any], quantity: Q) -> tuple[float, float]:
    if set(given) != {"from", "to"}:
        raise RejectedValue(show(dict(given)), FORM)
    low, high = quantity.read(given["from"]), quantity.read(given["to"])
    if not low < high:
        got = f"from {show(given['from'])} to {show(given['to'])}"
        raise RejectedValue(got, "from a lower value to a higher one")
    return low, high


def contradictions(
    table: BaseModel, spread: Mapping[str, Any], info: ValidationInfo
) -> Iterator[Contradiction]:
    """Give what is wrong with the entries of a table's own [spread]; of a case, that of an entry of the file
    the number is gone is not.
    """
    seen: dict[Steps, str] = {}
    for path, given in spread.items():
        try:
            place, quantity = resolved(table, path)
        except RejectedValue as refusal:
            if path not in (info.context or ()):
                yield Contradiction(("spread", path), refusal.got, refusal.must_be)
            continue
        try:
            read_off(given, quantity)
            if place in seen:
                raise RejectedValue(f'the same number as "{seen[place]}"', "every number once")
            seen[place] = path
        except RejectedValue as refusal:
            yield Contradiction(("spread", path), refusal.got, refusal.must_be)


def resolved(table: BaseModel, path: str) -> tuple[Steps, Q]:
    """Give the place of a number in a table, things in lists by their numbers, and its quantity.

    Raises
    ------
    RejectedValue
        When the path leads to no number that is there.
    """
    kind = type(table)
    place = steps(path, kind)
    if "rig" not in hints(kind):
        place = place[1:] if place[0] == "rig" else place
    found, value = _walk(table, place)
    quantity = plain(follow(kind, found))[1] if value is not None else None
    if quantity is None or isinstance(value, str):
        raise RejectedValue("no number of this file", "the path of one, as rear.upper_link.chassis.1")
    return found, quantity


def leads(table: BaseModel, path: str) -> bool:
    """Say whether a path leads to a number that is there."""
    try:
        resolved(table, path)
    except RejectedValue:
        return False
    return True


def there(table: BaseModel, spread: Mapping[str, Any]) -> dict[str, Any]:
    """Give the entries of a table's own [spread] whose number is there."""
    return {path: given for path, given in spread.items() if leads(table, path)}


def value_at(table: BaseModel, place: Steps) -> float | None:
    """Give the number at a place, SI; None where there is none."""
    value = _walk(table, place)[1]
    return value if isinstance(value, float | int) and not isinstance(value, bool) else None


def _walk(thing: Any, place: Steps) -> tuple[Steps, Any]:
    found: list[str | int] = []
    for step in place:
        if isinstance(thing, tuple):
            named = [{"name": getattr(one, "name", "")} for one in thing]
            number = step if isinstance(step, int) else item_number(named, step)
            found.append(number)
            thing = thing[number] if number < len(thing) else None
        else:
            found.append(step)
            thing = getattr(thing, str(step), None) if isinstance(thing, BaseModel) else None
    return tuple(found), thing
