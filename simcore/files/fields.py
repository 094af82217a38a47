"""Building blocks of the file models: the base table, common quantities, cross checks."""

from collections.abc import Iterable
from itertools import pairwise
from typing import Annotated, Any, Literal, NamedTuple

from pydantic import (
    BaseModel,
    BeforeValidator,
    ConfigDict,
    GetJsonSchemaHandler,
    StringConstraints,
    ValidationError,
)
from pydantic_core import CoreSchema, InitErrorDetails, PydanticCustomError

from simcore.errors import RejectedValue
from simcore.files.plain import as_read
from simcore.units import Q, show, to_bench, with_unit


class Table(BaseModel):
    """A table of a file.

    Values are given as they stand in a file, in bench units, and are kept in SI. That holds for the
    defaults too, so that each is stated once, in the unit in which users know it.
    """

    model_config = ConfigDict(
        frozen=True,
        extra="forbid",
        allow_inf_nan=False,
        validate_default=True,
        use_attribute_docstrings=True,
    )


def _not_true(value: object) -> object:
    if isinstance(value, bool | float):  # both would pass for the number 1
        raise RejectedValue(show(value), "1")
    return value


class OrText:
    """Annotates a table in whose place a file may name another file that holds it.

    Parameters
    ----------
    wording : str
        What is wanted, for messages.
    """

    def __init__(self, wording: str) -> None:
        self.wording = wording

    def __get_pydantic_json_schema__(
        self, schema: CoreSchema, handler: GetJsonSchemaHandler
    ) -> dict[str, Any]:
        """Give the JSON Schema of either."""
        return {"anyOf": [{"type": "string", "minLength": 1}, handler(schema)]}


Name = Annotated[str, StringConstraints(min_length=1)]
Settings = Annotated[dict[Name, Any], BeforeValidator(as_read)]
Schema = Annotated[Literal[1], BeforeValidator(_not_true)]
Place = Annotated[float, Q("mm", ge=-2000, le=2000)]
Position = tuple[Place, Place]
Mass = Annotated[float, Q("g", ge=1, le=20000)]
LooseMass = Annotated[float, Q("g", ge=0, le=5000)]
PitchInertia = Annotated[float, Q("kg*mm^2", ge=0.1, le=1e6)]
"""From that of a block of 1 g and 35 mm on."""
Grip = Annotated[float, Q("1", ge=0.05, le=3)]
GroundGrip = Annotated[float, Q("%", ge=1, le=300)]
Slope = Annotated[float, Q("deg", ge=-80, le=80)]
Time = Annotated[float, Q("s", ge=0, le=1000)]


class Contradiction(NamedTuple):
    """Values that are each in range but do not go together: place within the table, got, must be."""

    key: tuple[str | int, ...]
    got: str
    must_be: str


def refuse(contradictions: Iterable[Contradiction]) -> None:
    """Raise all contradictions of a table at once, each at its own key; do nothing if there are none."""
    details = [
        InitErrorDetails(
            type=PydanticCustomError("contradiction", "{must_be}", {"got": one.got, "must_be": one.must_be}),
            loc=one.key,
            input=None,
        )
        for one in contradictions
    ]
    if details:
        raise ValidationError.from_exception_data("contradictions", details)


def bench(value_si: float, unit: str) -> str:
    """Give an SI value as text for a message, in a bench unit."""
    return with_unit(f"{to_bench(value_si, unit):.6g}", unit)


def rising(rows: Iterable[tuple[float, float]]) -> bool:
    """Say whether the first column of a table rises strictly."""
    first = [row[0] for row in rows]
    return all(a < b for a, b in pairwise(first))
