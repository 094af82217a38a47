"""What a page may ask, as JSON: everything else is refused with a sentence."""

import json
from typing import Annotated, Any, Literal

from pydantic import BaseModel, ConfigDict, Field, TypeAdapter, ValidationError

LONGEST = 64_000  # bytes of a message
MOST_SETTINGS = 400
Key = Annotated[str, Field(min_length=1, max_length=200)]
Name = Annotated[str, Field(min_length=1, max_length=200)]
Value = Annotated[str, Field(max_length=500)] | bool | int | Annotated[float, Field(allow_inf_nan=False)]
Settings = Annotated[dict[Key, Value], Field(max_length=MOST_SETTINGS)]


class Ask(BaseModel):
    """What every question holds: the case, and what is changed in it."""

    model_config = ConfigDict(extra="forbid", strict=True, frozen=True)
    case: Annotated[str, Field(max_length=500)] = ""
    set: Settings = {}


class Begin(Ask):
    """What the page needs to begin with a case."""

    do: Literal["begin"]


class First(Ask):
    """The quick answer to a change."""

    do: Literal["first"] = "first"
    n: int


class Second(Ask):
    """All that is known of the run, once the hand rests."""

    do: Literal["second"]
    n: int
    film: bool = False


class SaveVariant(Ask):
    """Keep the change as a variant of the scenario's file."""

    do: Literal["save_variant"]
    name: Name


class SaveRig(Ask):
    """Keep the changed rig as a file of its own."""

    do: Literal["save_rig"]
    file: Name


class Command(Ask):
    """The line that repeats the change."""

    do: Literal["command"]


Asked = Begin | First | Second | SaveVariant | SaveRig | Command
_ASKED: TypeAdapter[Asked] = TypeAdapter(Annotated[Asked, Field(discriminator="do")])


class NotUnderstood(ValueError):
    """A message that is none of what may be asked; says what is wrong with it."""


def understood(text: str | bytes) -> Asked:
    """Read a message.

    Raises
    ------
    NotUnderstood
    """
    try:
        said = json.loads(text, parse_constant=_no_number)
    except (ValueError, RecursionError) as error:
        raise NotUnderstood(f"a message that is no JSON: {error}") from None
    if not isinstance(said, dict):
        raise NotUnderstood("a message must be a table of keys and values")
    try:
        return _ASKED.validate_python({"do": "first"} | said)
    except ValidationError as error:
        first = error.errors(include_url=False, include_input=False)[0]
        place = ".".join(str(step) for step in first["loc"])
        raise NotUnderstood(f"a message is not understood: {place}: {first['msg']}") from None


def _no_number(word: str) -> Any:
    raise ValueError(f"{word} is no number")
