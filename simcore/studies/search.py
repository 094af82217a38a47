"""Where along one number what is done turns into what is not: what to try next, and what is found.

Knows no rig and no runs, only values and what came of each. A value without an answer counts as neither: both
ends of such a gap are looked for.
"""

import enum
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass


class State(enum.Enum):
    """What came of a value."""

    DONE = enum.auto()
    FAILS = enum.auto()
    REFUSED = enum.auto()
    UNKNOWN = enum.auto()


STOPS = frozenset({State.FAILS, State.REFUSED})
Tried = Sequence[tuple[float, State]]
Stretch = tuple[float, float]


@dataclass(frozen=True)
class Edge:
    """Where it ends on one side.

    Attributes
    ----------
    done : outermost value that is done; None where none is
    beyond : first value further out that is not done for certain; None where none is
    gap : whether values without an answer lie between them, or between `done` and the end of the range
    """

    done: float | None
    beyond: float | None
    gap: bool


def edge(outward: Tried) -> Edge:
    """The edge that is known so far.

    Parameters
    ----------
    outward : values tried and what came of them, from a start outward
    """
    last, stop = _last_and_stop(outward)
    return Edge(
        None if last < 0 else outward[last][0],
        None if stop == len(outward) else outward[stop][0],
        stop - last > 1,
    )


def next_outward(outward: Tried, within: float) -> float | None:
    """The value to try next to close in on an edge by halving; None when it is closed in on.

    First on what is not done from inside, so that a gap without answers is not taken for the edge; then on
    what is done from outside.

    Parameters
    ----------
    outward : as for `edge`
    within : how near to one another both sides of the edge must come
    """
    last, stop = _last_and_stop(outward)
    for inner, outer in ((stop - 1, stop), (last, last + 1)):
        if inner >= 0 and outer < len(outward):
            a, b = outward[inner][0], outward[outer][0]
            if abs(b - a) > within:
                return 0.5 * (a + b)
    return None


def _last_and_stop(outward: Tried) -> tuple[int, int]:
    """Places of the last value done before the first that is not, -1 if none is; and of that one."""
    states = [state for _, state in outward]
    stop = next((k for k, state in enumerate(states) if state in STOPS), len(states))
    return max((k for k in range(stop) if states[k] is State.DONE), default=-1), stop


@dataclass(frozen=True)
class Region:
    """An interval in which it is done.

    Attributes
    ----------
    low, high : its edges
    others : further intervals of values that are done, beyond values that are not
    """

    low: Edge
    high: Edge
    others: tuple[Stretch, ...]


def region(tried: Mapping[float, State], own: float | None) -> Region | None:
    """The interval of done values that holds a value, else the one nearest to it; None where none is done.

    Parameters
    ----------
    tried : value to what came of it
    own : the value to be near to; None: the lowest interval counts
    """
    along, stretches = sorted(tried.items()), _nearest_first(tried, own)
    if not stretches:
        return None
    downward, upward = _sides(along, stretches[0])
    others = sorted((along[i][0], along[j][0]) for i, j in stretches[1:])
    return Region(edge(downward), edge(upward), tuple(others))


def wanted(
    tried: Mapping[float, State], grid: Sequence[float], own: float | None, within: float
) -> list[float]:
    """Values to try next: those of the grid that are left, then what closes in on both edges of the region.

    Empty when the search is over.

    Parameters
    ----------
    tried, own : as for `region`
    grid : values of the coarse scan, which covers all of the range
    within : as for `next_outward`
    """
    left = [value for value in grid if value not in tried]
    if left:
        return left
    stretches = _nearest_first(tried, own)
    sides = _sides(sorted(tried.items()), stretches[0]) if stretches else ()
    halves = (next_outward(side, within) for side in sides)
    return [value for value in halves if value is not None]


def _sides(along: Tried, stretch: tuple[int, int]) -> tuple[Tried, Tried]:
    """What was tried from a stretch downward, and from it upward."""
    first, last = stretch
    return along[last::-1], along[first:]


def _nearest_first(tried: Mapping[float, State], own: float | None) -> list[tuple[int, int]]:
    """Stretches of done values by their first and last place, the one that counts first."""
    along = sorted(tried.items())

    def away(stretch: tuple[int, int]) -> float:
        low, high = (along[k][0] for k in stretch)
        return low if own is None else max(low - own, own - high, 0.0)

    return sorted(_stretches(along), key=away)


def _stretches(along: Tried) -> Iterator[tuple[int, int]]:
    """First and last place of each run of done values that nothing undone breaks."""
    done: list[int] = []
    for k, (_, state) in enumerate(along):
        if state is State.DONE:
            done.append(k)
        elif state in STOPS and done:
            yield done[0], done[-1]
            done = []
    if done:
        yield done[0], done[-1]
