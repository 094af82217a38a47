"""Words in messages: the nearest known one, and keys as TOML writes them."""

import difflib
import json
import re
from collections.abc import Iterable

_COMPARED = 200  # characters; comparing takes the square of the length
_BARE = re.compile(r"[A-Za-z0-9_-]+")


def nearest(word: str, known: Iterable[str]) -> str:
    """Give the known word most like another one, "" if none is like it."""
    folded = {one.casefold(): one for one in known}
    near = difflib.get_close_matches(word[:_COMPARED].strip('"').casefold(), folded, n=1)
    return folded[near[0]] if near else ""


def bare(key: str) -> str:
    """Write a key as TOML does: quoted only if it must be."""
    if _BARE.fullmatch(key):
        return key
    text = key if len(key) <= _COMPARED else key[:_COMPARED] + "..."
    return json.dumps("".join(c if c.isprintable() else "?" for c in text), ensure_ascii=False)
