"""Every metric of a run by its name: what a summary, a table row, a claim or a picture can hold."""

import math
from collections.abc import Mapping
from typing import Any

from simcore.results.effect import EFFECTS
from simcore.results.formatting import number, said_unit
from simcore.results.metrics import METRICS
from simcore.results.quantities import Group, Quantity
from simcore.rig.masses import SIDES

CATALOGUE: Mapping[str, Quantity] = {metric.name: metric for metric in (*METRICS, *EFFECTS)}
NUMBERS = [name for name, metric in CATALOGUE.items() if not metric.text]


def metric_named(given: str) -> str:
    """Name of a metric with a number, typed in large or small letters; what was typed where there is none."""
    folded = {name.casefold(): name for name in NUMBERS}
    return folded.get(given.strip().casefold(), given.strip())


def of_group(group: Group) -> frozenset[str]:
    """Names of the metrics of a group."""
    return frozenset(name for name, metric in CATALOGUE.items() if metric.group is group)


def just_seen(name: str, visible: Mapping[str, float]) -> float:
    """Smallest difference of a metric that counts as visible.

    Parameters
    ----------
    name : of a metric
    visible : smallest visible pitch by "deg", and travel by "mm"
    """
    seen = CATALOGUE[name].kind.seen
    return visible[seen] if isinstance(seen, str) else seen


def check_summary(summary: Mapping[str, Any]) -> None:
    """Refuse metrics that no run of this version can have.

    Raises
    ------
    KeyError, TypeError, ValueError
        When one is unknown, missing, or no number, code or None.
    """
    missing = [metric.name for metric in METRICS if metric.name not in summary]
    if missing:
        raise KeyError(missing[0])
    for name, value in summary.items():
        metric = CATALOGUE[name]
        if metric.text:
            metric.spelled(value)
        elif value is not None and (isinstance(value, bool) or not math.isfinite(value)):
            raise ValueError(f"{name} is {value!r}")


def label_of(name: str) -> str:
    """What to call a metric in a sentence or picture."""
    return CATALOGUE[name].label


SWINGS: Mapping[str, str] = {
    **dict.fromkeys(("pitch_end_deg", "pitch_change_deg", "pitch_to_level_end_deg"), "pitch_swing_deg"),
    **{f"{axle}_travel_{name}_mm": f"{axle}_travel_swing_mm" for axle in SIDES for name in ("end", "change")},
}
"""Metrics of the end, and how far each still swings there."""


def with_swing(
    name: str, summary: Mapping[str, Any], visible: Mapping[str, float], bare: bool = False
) -> str:
    """A metric as the terminal says it, and beside it the swing of one that has visibly not settled.

    Parameters
    ----------
    name : of the metric
    summary : of the run
    visible : as for `just_seen`
    bare : without its unit
    """
    value, beside = summary.get(name), summary.get(SWINGS.get(name, ""))
    if value is None:
        return "-"
    if beside is None or beside < just_seen(name, visible):
        return in_words(name, value, bare)
    swing = f"{in_words(name, value, True)} ±{number(name, beside, True)}"
    return swing if bare else f"{swing} {said_unit(name)}, still swinging"


def in_words(name: str, value: Any, bare: bool = False) -> str:
    """A metric as the terminal says it: codes spelled out, numbers as in `formatting.number`."""
    metric = CATALOGUE[name]
    return metric.spelled(value) if metric.text else number(name, value, bare)
