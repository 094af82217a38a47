"""Which run is done with which set-up: pairs close in time, orders balanced and drawn, code words drawn."""

import dataclasses
from collections.abc import Sequence

import numpy as np

WORDS = (
    *("amber", "basil", "cedar", "delta", "ember", "fjord", "grove", "heron", "inlet", "juniper"),
    *("kelp", "linen", "maple", "nickel", "olive", "pebble", "quill", "reed", "slate", "thistle"),
    *("umber", "velvet", "willow", "yarrow"),
)
"""Code words that say nothing of a set-up; those that stand in the names of set-ups are not taken."""


@dataclasses.dataclass(frozen=True)
class PlannedRun:
    """One run of the schedule.

    Attributes
    ----------
    run, pair : numbers, from 1
    driver : who drives
    changed : whether the change is fitted
    """

    run: int
    pair: int
    driver: str
    changed: bool


def schedule(pairs: int, drivers: Sequence[str], draws: np.random.Generator) -> tuple[PlannedRun, ...]:
    """Draw a schedule.

    Every driver drives as many pairs with the change first as with it second. Drivers take turns, pair by
    pair; who begins is drawn.

    Parameters
    ----------
    pairs : a multiple of twice the drivers
    drivers : their names
    draws : where the draws come from
    """
    if pairs % (2 * len(drivers)):
        raise ValueError(f"{pairs} pairs cannot be balanced over {len(drivers)} drivers")
    each = pairs // len(drivers)
    turns = list(draws.permutation(len(drivers)))
    orders = [draws.permutation([True, False] * (each // 2)) for _ in drivers]
    runs = []
    for pair in range(pairs):
        who = turns[pair % len(drivers)]
        first = bool(orders[who][pair // len(drivers)])
        for place, changed in enumerate((first, not first)):
            runs.append(PlannedRun(2 * pair + place + 1, pair + 1, drivers[who], changed))
    return tuple(runs)


def code_words(names: Sequence[str], draws: np.random.Generator) -> tuple[str, str]:
    """Draw two code words that do not stand in any of the names."""
    said = " ".join(names).lower()
    free = [word for word in WORDS if word not in said]
    one, two = draws.choice(free, 2, replace=False)
    return str(one), str(two)
