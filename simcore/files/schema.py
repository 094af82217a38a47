"""Walks over the file models: which keys there are, what a dotted path leads to, defaults in bench units."""

from collections.abc import Container, Iterator, Mapping
from functools import cache, lru_cache
from types import NoneType, UnionType
from typing import Annotated, Any, Union, get_args, get_origin, get_type_hints

from pydantic import BaseModel
from pydantic.fields import FieldInfo

from simcore.files.plain import as_read
from simcore.units import Q

Model = type[BaseModel]


@cache
def hints(model: Model) -> dict[str, Any]:
    """Give key -> type of a model, the key as it stands in a file."""
    types = get_type_hints(model, include_extras=True)
    return {field.alias or name: types[name] for name, field in model.model_fields.items()}


@cache
def fields(model: Model) -> dict[str, FieldInfo]:
    """Give key -> field of a model, the key as it stands in a file."""
    return {field.alias or name: field for name, field in model.model_fields.items()}


@cache
def plain(hint: Any) -> tuple[Any, Q | None]:
    """Strip "or None" and annotations off a type; give what is left and the quantity it stands for."""
    if get_origin(hint) in (Union, UnionType):
        hint = next(arg for arg in get_args(hint) if arg is not NoneType)
    if get_origin(hint) is Annotated:
        inner, *extras = get_args(hint)
        return inner, next((extra for extra in extras if isinstance(extra, Q)), None)
    return hint, None


def wording(hint: Any) -> str:
    """Give the words with which a type says itself what it wants, if it has any.

    They are an annotation, or the `wording` of one. What else may stand in a file, an annotation says with
    `__get_pydantic_json_schema__`.
    """
    extras = [getattr(extra, "wording", extra) for extra in getattr(hint, "__metadata__", ())]
    return next((extra for extra in extras if isinstance(extra, str)), "")


def submodel(hint: Any) -> Model | None:
    """Give the model behind a type, if it is one."""
    inner, _ = plain(hint)
    return inner if isinstance(inner, type) and issubclass(inner, BaseModel) else None


@cache
def items(hint: Any) -> tuple[Any, ...] | None:
    """Give the types of a list's items, `(type, ...)` for a list of any length, None if it is no list."""
    inner, _ = plain(hint)
    return get_args(inner) if get_origin(inner) is tuple else None


def item(hint: Any, index: int) -> Any:
    """Give the type of one item of a list type, None if it has no such item."""
    kinds = items(hint)
    if kinds is None or index < 0:
        return None
    if kinds[-1] is Ellipsis:
        return kinds[0]
    return kinds[index] if index < len(kinds) else None


def is_named_list(hint: Any) -> bool:
    """Say whether a type is a list of things that each have a name, such as parts."""
    kinds = items(hint)
    inside = submodel(kinds[0]) if kinds else None
    return inside is not None and "name" in hints(inside)


def is_free_table(hint: Any) -> bool:
    """Say whether a type is a table of numbers by free names, such as the bounds of a goal."""
    inner = plain(hint)[0]
    return get_origin(inner) is dict and plain(get_args(inner)[1])[1] is not None


@lru_cache(8192)
def follow(model: Model, place: tuple[str | int, ...], named: bool = False) -> Any:
    """Give the type that a key path leads to, None if it leads nowhere.

    A list of things that have names is gone through by number or by name. Where `named`, the path may go
    through any table by free names (`rigs."a name"`); a setting only through one of numbers.
    """
    hint: Any = model
    for step in place:
        inside = submodel(hint)
        if inside is not None:
            hint = hints(inside).get(str(step))
        elif get_origin(plain(hint)[0]) is dict and (named or is_free_table(hint)):
            hint = get_args(plain(hint)[0])[1]
        else:
            number = 0 if is_named_list(hint) and not isinstance(step, int) else step
            hint = item(hint, number) if isinstance(number, int) else None
        if hint is None:
            return None
    return hint


def paths(hint: Any, raw: Any) -> Iterator[tuple[str, ...]]:
    """List every key path below a type; lists as long as those in the raw value."""
    inside, kinds = submodel(hint), items(hint)
    if inside is not None:
        for key, below in hints(inside).items():
            yield (key,)
            value = raw.get(key) if isinstance(raw, Mapping) else None
            yield from ((key, *rest) for rest in paths(below, value))
    elif kinds is not None and isinstance(raw, list):
        for index, value in enumerate(raw):
            yield (str(index),)
            yield from ((str(index), *rest) for rest in paths(item(hint, index), value))


def leaves(raw: Any, place: tuple[str | int, ...] = ()) -> Iterator[tuple[tuple[str | int, ...], Any]]:
    """List place and value of everything in a raw value that is no table and no list."""
    if isinstance(raw, Mapping | list):
        pairs: Any = raw.items() if isinstance(raw, Mapping) else enumerate(raw)
        for key, inside in pairs:
            yield from leaves(inside, (*place, key))
    else:
        yield place, raw


def written(value: Any, hint: Any, every: bool = False) -> Any:
    """Give a checked value as it would stand in a file, such that reading it gives the same value.

    Parameters
    ----------
    value : a model, or what one holds
    hint : its type
    every : whether to write out defaults too, but for those that follow another key; else only what was set

    Returns
    -------
    Tables, lists, text and numbers in bench units; keys that are left out are missing.
    """
    kinds, (_, quantity) = items(hint), plain(hint)
    if isinstance(value, BaseModel):
        return _written_table(value, every)
    if isinstance(value, Mapping) and get_origin(plain(hint)[0]) is dict:
        inner = get_args(plain(hint)[0])[1]
        return {key: written(one, inner, every) for key, one in value.items()}
    if kinds is not None:
        return [written(one, item(hint, index), every) for index, one in enumerate(value)]
    if quantity is not None and not isinstance(value, str):
        return quantity.write(value)
    return as_read(value)


def written_without(model: BaseModel, left_out: Container[str]) -> dict[str, Any]:
    """Give a checked table as `written` does, without some of its keys."""
    return _written_table(model, every=False, left_out=left_out)


def _written_table(model: BaseModel, every: bool, left_out: Container[str] = ()) -> dict[str, Any]:
    table, stated = {}, model.model_fields_set
    for name, key, hint, follows in _columns(type(model)):
        if key in left_out:
            continue
        value = getattr(model, name) if name in stated or (every and not follows) else None
        if value is not None:
            table[key] = written(value, hint, every)
    return table


@cache
def _columns(model: Model) -> list[tuple[str, str, Any, bool]]:
    """Give name, key and type of each field, and whether its default follows the value of another key."""
    return [
        (
            name,
            field.alias or name,
            hints(model)[field.alias or name],
            bool(field.default_factory_takes_validated_data),
        )
        for name, field in model.model_fields.items()
    ]


def default(field: FieldInfo, above: Mapping[str, Any]) -> Any:
    """Give the default of a field as it would stand in a file, None if there is none.

    Parameters
    ----------
    field : FieldInfo
        The field.
    above : mapping
        Raw values of the keys above it, on which a default may depend.
    """
    if field.is_required():
        return None
    factory: Any = field.default_factory
    if factory is None:
        return list(field.default) if isinstance(field.default, tuple) else field.default
    if isinstance(factory, type):
        return {}
    return factory(above)
