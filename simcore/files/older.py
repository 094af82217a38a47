"""Names in older scenario files for what has another name now."""

from collections.abc import Mapping
from typing import Any

TABLES = {"finding": "conclusion"}
KEYS = {"conclusion": {"holds": "claims"}}


def renewed(table: Mapping[str, Any]) -> dict[str, Any]:
    """Give a scenario's table with the names of today; a file that uses both keeps both, to be refused."""
    today = _with_names(table, TABLES)
    for place, names in KEYS.items():
        if isinstance(today.get(place), Mapping):
            today[place] = _with_names(today[place], names)
    return today


def _with_names(table: Mapping[str, Any], names: Mapping[str, str]) -> dict[str, Any]:
    return {
        key if names.get(key, key) in table else names.get(key, key): value for key, value in table.items()
    }
