"""Dataclasses as data that JSON holds, and back: codes by their names, infinities as text."""

import dataclasses
import enum
import math
from collections.abc import Mapping, Sequence
from types import NoneType, UnionType
from typing import Any, TypeVar, Union, get_args, get_origin, get_type_hints

Kind = TypeVar("Kind")


def to_plain(value: Any) -> Any:
    """A value as JSON holds it: records as tables, tuples as lists."""
    if dataclasses.is_dataclass(value) and not isinstance(value, type):
        return {field.name: to_plain(getattr(value, field.name)) for field in dataclasses.fields(value)}
    if isinstance(value, enum.Enum):
        return value.name
    if isinstance(value, Mapping):
        return {key: to_plain(one) for key, one in value.items()}
    if isinstance(value, Sequence) and not isinstance(value, str):
        return [to_plain(one) for one in value]
    if isinstance(value, float) and not math.isfinite(value):
        return str(value)
    return value


def from_plain(kind: type[Kind], data: Any) -> Kind:
    """The value of a kind that `to_plain` gave the data of.

    Raises
    ------
    KeyError, TypeError, ValueError
        When the data is not of that kind.
    """
    return _read(kind, data)


def _read(hint: Any, data: Any) -> Any:
    origin, inner = get_origin(hint), get_args(hint)
    if origin in (Union, UnionType):
        if data is None:
            return None
        return _read(next(one for one in inner if one is not NoneType), data)
    if origin is tuple:
        kinds = [inner[0]] * len(data) if inner[-1] is Ellipsis else list(inner)
        return tuple(_read(one, each) for one, each in zip(kinds, data, strict=True))
    if origin is dict:
        return {key: _read(inner[1], one) for key, one in data.items()}
    if isinstance(hint, type) and issubclass(hint, enum.Enum):
        return hint[data]
    if dataclasses.is_dataclass(hint) and isinstance(hint, type):
        fields = get_type_hints(hint)
        return hint(**{name: _read(fields[name], one) for name, one in data.items()})
    return _number(data) if hint is float else data


def _number(data: Any) -> float:
    if isinstance(data, bool) or not isinstance(data, int | float | str):
        raise TypeError(f"{data!r} is no number")
    return float(data)
