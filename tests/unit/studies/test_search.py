"""The search for edges along one number, on made-up criteria whose answer is known beforehand."""

from collections.abc import Callable

import pytest

from simcore.studies.search import Edge, Region, State, edge, next_outward, region, wanted

DONE, FAILS, REFUSED, UNKNOWN = State.DONE, State.FAILS, State.REFUSED, State.UNKNOWN
GRID = [10.0 * k for k in range(11)]
WITHIN = 0.2
Criterion = Callable[[float], State]


def searched(criterion: Criterion, own: float | None = 50.0) -> tuple[Region | None, dict[float, State]]:
    """The search carried out on a criterion."""
    tried: dict[float, State] = {}
    while values := wanted(tried, GRID, own, WITHIN):
        assert not set(values) & set(tried), "a value is tried once"
        tried |= {value: criterion(value) for value in values}
    return region(tried, own), tried


def between(low: float, high: float, beyond: State = FAILS) -> Criterion:
    """Done from one value to another."""
    return lambda value: DONE if low <= value <= high else beyond


@pytest.mark.parametrize(("low", "high"), [(23.4, 71.3), (20.0, 70.0), (49.9, 50.1), (0.01, 99.99)])
@pytest.mark.parametrize("beyond", [FAILS, REFUSED])
def test_both_edges_are_bracketed(low: float, high: float, beyond: State):
    found, tried = searched(between(low, high, beyond))
    assert found is not None and found.others == ()
    assert found.low.beyond < low <= found.low.done <= found.high.done <= high < found.high.beyond
    for side in (found.low, found.high):
        assert abs(side.done - side.beyond) <= WITHIN and not side.gap
    assert len(tried) <= len(GRID) + 2 * 6  # 10 / 2^6 < 0.2


def test_an_end_of_the_range_is_no_edge():
    found, tried = searched(between(-1.0, 34.5))
    assert found.low == Edge(0.0, None, gap=False)
    assert found.high.done <= 34.5 < found.high.beyond
    assert len(tried) == len(GRID) + 6
    everywhere, tried = searched(lambda value: DONE)
    assert (everywhere.low, everywhere.high) == (Edge(0.0, None, False), Edge(100.0, None, False))
    assert len(tried) == len(GRID)


def test_nowhere_is_an_answer_without_a_search():
    found, tried = searched(lambda value: FAILS)
    assert found is None and len(tried) == len(GRID)


@pytest.mark.parametrize(
    ("own", "low", "high"),
    [(15.0, 8.0, 22.0), (34.0, 8.0, 22.0), (45.0, 57.0, 83.0), (None, 8.0, 22.0)],
    ids=["within", "nearer to the lower", "nearer to the upper", "none: the lowest"],
)
def test_of_two_intervals_the_one_of_the_own_value_counts_and_the_other_is_told(own, low, high):
    found, _ = searched(lambda value: DONE if 8.0 <= value <= 22.0 or 57.0 <= value <= 83.0 else FAILS, own)
    assert found.low.beyond < low <= found.low.done and found.high.done <= high < found.high.beyond
    assert found.others == (((60.0, 80.0),) if high == 22.0 else ((10.0, 20.0),))


@pytest.mark.parametrize("gap", [(63.0, 78.0), (71.0, 74.0)], ids=["over the edge", "beside the edge"])
def test_both_ends_of_a_gap_without_answers_are_looked_for(gap):
    """Done up to 70; a search that took the gap for a failure, or for done, would end elsewhere."""

    def criterion(value: float) -> State:
        return UNKNOWN if gap[0] <= value <= gap[1] else DONE if value <= 70.0 else FAILS

    found, tried = searched(criterion)
    inside = gap[0] <= 70.0 <= gap[1]
    assert found.high.gap is inside
    if inside:
        assert 0.0 < gap[0] - found.high.done <= WITHIN and 0.0 < found.high.beyond - gap[1] <= WITHIN
    else:
        assert found.high.done <= 70.0 < found.high.beyond and found.high.beyond - found.high.done <= WITHIN
    assert all(tried[value] is not UNKNOWN for value in (found.high.done, found.high.beyond))


def test_a_gap_within_what_is_done_breaks_nothing():
    found, _ = searched(lambda value: UNKNOWN if 28.0 < value < 42.0 else between(12.0, 70.0)(value))
    assert found.low.beyond < 12.0 <= found.low.done and found.high.done <= 70.0 < found.high.beyond
    assert found.others == () and not found.low.gap and not found.high.gap


def test_a_gap_to_the_end_of_the_range_is_one():
    found, _ = searched(lambda value: DONE if value < 70.0 else UNKNOWN)
    assert found.high.gap and found.high.beyond is None and 70.0 - found.high.done <= WITHIN


def test_without_any_answer_there_is_no_region():
    found, tried = searched(lambda value: UNKNOWN)
    assert found is None and len(tried) == len(GRID)


def test_nothing_is_known_before_anything_was_tried():
    assert edge([]) == Edge(None, None, gap=False) and next_outward([], WITHIN) is None
    assert region({}, 1.0) is None
