"""Rows of a table that hold for all numbers whose dotted path has a form: the first that fits."""

import re
from collections.abc import Iterable
from functools import cache
from typing import Protocol, TypeVar


class Row(Protocol):
    """A row of such a table.

    Attributes
    ----------
    path : pattern of dotted paths
    together : what numbers of this row that belong together are called; "" where each stands alone. What the
        pattern keeps in brackets goes before it.
    """

    @property
    def path(self) -> str: ...  # noqa: D102
    @property
    def together(self) -> str: ...  # noqa: D102


Found = TypeVar("Found", bound=Row)
_compiled = cache(re.compile)


def row_of(rows: Iterable[Found], path: str) -> tuple[Found, str] | None:
    """Give the row of a number, and the name that it shares with others, "" for none; None without a row."""
    for row in rows:
        match = _compiled(row.path).fullmatch(path)
        if match is not None:
            words = (*match.groups(), row.together) if row.together else ()
            return row, " ".join(word for word in words if word)
    return None
