"""Dotted paths: what leads from a scenario to one of its keys, by keys, numbers and names."""

import re
from collections.abc import Iterator, Mapping, Sequence
from functools import lru_cache
from typing import Any

from simcore.errors import RejectedValue
from simcore.files.schema import Model, follow, hints, is_named_list, paths
from simcore.files.words import nearest
from simcore.units import show

Steps = tuple[str | int, ...]
_BRACKET = re.compile(r"([\[\]])")
_HIDDEN = "\0"  # a dot of a name, while a path is split
_BRACKETS = re.compile(r"([^\[\]]+)((?:\[[^\[\]]+\])*)")
_WORD_ENDS = re.compile(r"\W|$")


@lru_cache(4096)
def steps(path: str, model: Model) -> Steps:
    """Split a dotted path; the first word decides whether it leads into the rig.

    ``parts.battery.at.1``, ``parts[battery].at[1]`` and ``parts.0.at.1`` may lead to the same key.
    """
    words = tuple(_step(word) for part in _split(path) for word in _parted(part))
    return words if words[0] in _own_keys(model) or words == ("rig",) else ("rig", *words)


def _split(path: str) -> list[str]:
    """Split a path at its dots; those in brackets belong to names."""
    texts = _BRACKET.split(path)  # in turn a text and the bracket behind it
    for k in range(0, len(texts) - 1, 2):
        if texts[k + 1] == "]":
            texts[k] = texts[k].replace(".", _HIDDEN)
    return [part.replace(_HIDDEN, ".") for part in "".join(texts).split(".")]


def _parted(part: str) -> list[str]:
    match = _BRACKETS.fullmatch(part)
    return (
        [part] if match is None else [match[1], *(one.strip() for one in match[2][1:-1].split("][") if one)]
    )


def _step(word: str) -> str | int:
    return int(word) if word.isascii() and word.isdigit() and len(word) < 5 else word


def _own_keys(model: Model) -> set[object]:
    return {key for key in hints(model) if key not in ("rig", "variants", "common")}


def known_paths(raw: Mapping[str, Any], model: Model) -> Iterator[str]:
    """Give every path that a setting may name; through lists of named things by number and by name."""
    for path in paths(model, raw):
        if path[0] not in ("variants", "common"):
            shown = slice(1 if path[0] == "rig" and path[1:] else 0, None)
            yield ".".join(path[shown])
            named = _by_name(path, raw, model)
            if named != path:
                yield ".".join(named[shown]).replace(".[", "[")


def _by_name(path: tuple[str, ...], raw: Any, model: Model) -> tuple[str, ...]:
    """Write a path with the names of things instead of their numbers, in brackets if they have dots."""
    words: list[str] = []
    for depth, step in enumerate(path):
        named = is_named_list(follow(model, tuple(map(_step, path[:depth]))))
        if isinstance(raw, list):
            raw = raw[int(step)] if step.isdigit() and int(step) < len(raw) else None
        else:
            raw = raw.get(step) if isinstance(raw, Mapping) else None
        name = raw.get("name") if named and isinstance(raw, Mapping) else None
        words.append(step if not isinstance(name, str) else f"[{name}]" if "." in name else name)
    return tuple(words)


def item_number(things: Sequence[Any], name: str) -> int:
    """Give the place of the thing of a name in a list.

    Its whole name, or the words that only its name begins with: "battery" for "battery, three cells".

    Raises
    ------
    RejectedValue
        If there is none, or several; names those there are.
    """
    names = [str(one.get("name", "")) if isinstance(one, Mapping) else "" for one in things]
    found = [k for k, one in enumerate(names) if one == name] or [
        k for k, one in enumerate(names) if _begins_with(one.casefold(), name.casefold())
    ]
    if len(found) == 1:
        return found[0]
    if found:
        must_be = f"its number in the list: {' or '.join(map(str, found))}"
        raise RejectedValue(f"the name {show(name)} of several", must_be)
    known = ", ".join(show(one) for one in names)
    must_be = f"one of {known}" if known else "left out: there are none"
    near = nearest(name, [*names, *(_WORD_ENDS.split(one)[0] for one in names)])
    raise RejectedValue(f"the name {show(name)}", must_be, near)


def _begins_with(name: str, word: str) -> bool:
    return name.startswith(word) and _WORD_ENDS.match(name, len(word)) is not None


def nearest_path(path: str, raw: Mapping[str, Any], model: Model) -> str:
    """Give the known path most like another one, "" if none is like it."""
    return nearest(path, known_paths(raw, model))
