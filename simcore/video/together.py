"""Dots on one rig move together: where a lost one must be by now, and which of those found is wrong."""

from collections.abc import Mapping, Sequence
from itertools import combinations

import numpy as np
import numpy.typing as npt

from simcore.video.body import fit, turned

Place = npt.NDArray[np.float64]
Places = Mapping[str, Place]
ON_ONE_BODY = 0.5  # of a dot's width, by which its distance to another dot on its body may change


def carried(places: Places, then: Places, now: Places) -> dict[str, Place]:
    """Where places have gone with the dots that are known then and now; where they were if there are none.

    Parameters
    ----------
    places : name to place (2,) at the earlier instant, pixels
    then, now : name to place of the others; names that are in both count
    """
    mates = sorted(set(then) & set(now))
    if not mates:
        return dict(places)
    before, after = (np.array([some[name] for name in mates]) for some in (then, now))
    angle = fit(before, after)[0] if len(mates) > 1 else 0.0
    middle, shift = before.mean(axis=0), after.mean(axis=0)
    return {name: shift + turned(place - middle, angle) for name, place in places.items()}


def odd_ones(
    then: Places, now: Places, leave: Mapping[str, float], bodies: Mapping[str, str], width: float
) -> list[str]:
    """Dots that have not moved as the others have: what was taken for them is something else.

    Parameters
    ----------
    then, now : name to place (2,), pixels; of a dot that was lost, where it must have been
    leave : name to how far from where the others have carried it a dot may be, pixels
    bodies : name to the body that it is on
    width : of a dot, pixels

    Returns
    -------
    Names of the fewest dots without which the rest agree; of two that disagree both.
    """
    left = sorted(set(then) & set(now))
    odd: list[str] = []
    while len(left) > 1 and not _agree(left, then, now, leave, bodies, width):
        if len(left) == 2:
            return [*odd, *left]
        worst = min(left, key=lambda name: _misfit([one for one in left if one != name], then, now).max())
        odd.append(worst)
        left.remove(worst)
    return odd


def _agree(
    names: Sequence[str],
    then: Places,
    now: Places,
    leave: Mapping[str, float],
    bodies: Mapping[str, str],
    width: float,
) -> bool:
    for a, b in combinations(names, 2):
        apart = [float(np.linalg.norm(some[a] - some[b])) for some in (then, now)]
        most = ON_ONE_BODY * width if bodies[a] == bodies[b] else max(leave[a], leave[b])
        if abs(apart[1] - apart[0]) > most:
            return False
    return bool(np.all(_misfit(names, then, now) <= [leave[name] for name in names]))


def _misfit(names: Sequence[str], then: Places, now: Places) -> npt.NDArray[np.float64]:
    """How far each dot is from where all of them together carry it, pixels."""
    own = {name: then[name] for name in names}
    there = carried(own, own, {name: now[name] for name in names})
    return np.array([np.linalg.norm(there[name] - now[name]) for name in names])
