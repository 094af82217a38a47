"""Names in older scenario files for what has another name now."""

import re
from collections.abc import Mapping
from typing import Any

TABLES = {"finding": "conclusion"}
KEYS = {"conclusion": {"holds": "claims"}}
METRICS = {
    "_textbook_pct": "_usual_formula_pct",
    "_linked_pct": "_axle_mass_counted_pct",
    "_residual_1": "_residual_ratio",
    "motion_ratio_1": "motion_ratio",
}
"""Ends of metrics' names."""
_BLANK = re.compile(r"(\{[^{}|]*\|\s*)([^{}|]*?)(\s*\})")


def renewed(table: Mapping[str, Any]) -> dict[str, Any]:
    """Give a scenario's table with the names of today; a file that uses both keeps both, to be refused."""
    today = _with_names(table, TABLES)
    for place, names in KEYS.items():
        if isinstance(today.get(place), Mapping):
            today[place] = _with_names(today[place], names)
    if isinstance(today.get("conclusion"), Mapping):
        today["conclusion"] = _with_metrics(today["conclusion"])
    return today


def _with_names(table: Mapping[str, Any], names: Mapping[str, str]) -> dict[str, Any]:
    return {
        key if names.get(key, key) in table else names.get(key, key): value for key, value in table.items()
    }


def _with_metrics(conclusion: Mapping[str, Any]) -> dict[str, Any]:
    """Give a conclusion with the metrics' names of today; what has another form is left to be refused."""
    today = dict(conclusion)
    if isinstance(today.get("claims"), list | tuple):
        today["claims"] = [_row(row) for row in today["claims"]]
    if "effect" in today:
        today["effect"] = _effect(today["effect"])
    for key in ("because", "holds_on"):
        if isinstance(today.get(key), list | tuple):
            today[key] = [_with_metrics(row) if isinstance(row, Mapping) else row for row in today[key]]
    if isinstance(today.get("shown"), list | tuple):
        today["shown"] = [_metric(name) for name in today["shown"]]
    if isinstance(today.get("says"), str):
        today["says"] = _BLANK.sub(lambda blank: blank[1] + _metric(blank[2]) + blank[3], today["says"])
    return today


def _row(row: Any) -> Any:
    """Give a row [case, metric, ...] with the metric's name of today."""
    return [row[0], _metric(row[1]), *row[2:]] if isinstance(row, list | tuple) and len(row) > 1 else row


def _effect(row: Any) -> Any:
    """Give the effect of a cause likewise; its third word may be a metric too."""
    return [row[0], *map(_metric, row[1:])] if isinstance(row, list | tuple) and row else row


def _metric(name: Any) -> Any:
    for end, now in METRICS.items():
        if isinstance(name, str) and name.endswith(end):
            return name.removesuffix(end) + now
    return name
