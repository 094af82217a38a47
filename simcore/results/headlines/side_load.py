"""What a side view leaves out of a difference in load, as a remark beside it."""

from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from simcore.files.conclusion import Conclusion
from simcore.results.catalogue import CATALOGUE, just_seen, label_of
from simcore.results.formatting import in_text, said_factor
from simcore.results.headlines.job import is_done
from simcore.results.quantities import Kind

Summaries = Mapping[str, Mapping[str, Any]]
SIDE_LOAD = "side_load_mean_N"
LOADS = [
    name
    for name, metric in CATALOGUE.items()
    if metric.kind in (Kind.FORCE, Kind.GRAMS) and name != SIDE_LOAD
]
"""Metrics that are a load of the tyres of one axle."""
NAMED = 2  # loads that are named one by one


def side_load_remark(summaries: Summaries, keys: Iterable[str]) -> str:
    """What shaft torque moves from side to side, where that is more than visible differences in load.

    Empty where it is less, or where no case's rig states what gives it.

    Parameters
    ----------
    summaries : of each case, by its name; those that did their job are looked at
    keys : metrics that are spoken of
    """
    return side_load_remark_of([summaries], list(keys))


def side_load_remark_of(groups: Iterable[Summaries], keys: Sequence[str]) -> str:
    """The same of several groups, in each of which cases are held against one another."""
    small, moved = dict[str, None](), 0.0
    for summaries in groups:
        done = [one for one in summaries.values() if is_done(one)]
        most = max(_known(done, SIDE_LOAD), default=0.0)
        own = [key for key in dict.fromkeys(keys) if key in LOADS and _differs_by_less(done, key, most)]
        small |= dict.fromkeys(own)
        moved = max(moved, most) if own else moved
    if not small:
        return ""
    what = " and ".join(label_of(key) for key in small) if len(small) <= NAMED else "load"
    return (
        f"Not in this side view: shaft torque moves up to {in_text(SIDE_LOAD, moved)} from side to side on "
        f"each axle, more than the difference in {what}."
    )


def metrics_spoken_of(conclusion: Conclusion) -> list[str]:
    """Metrics that a file's conclusion shows or claims something of."""
    return [*conclusion.shown, *(metric for _, metric, *_ in conclusion.claims)]


def _known(summaries: Iterable[Mapping[str, Any]], key: str) -> list[float]:
    return [float(one[key]) for one in summaries if one.get(key) is not None]


def _differs_by_less(summaries: Iterable[Mapping[str, Any]], key: str, most: float) -> bool:
    """Whether a load differs visibly, but by less than a force in N."""
    values = _known(summaries, key)
    apart = max(values) - min(values) if values else 0.0
    return apart >= just_seen(key, {}) and apart * said_factor(key) < most * said_factor(SIDE_LOAD)
