"""Does the program know which braked rigs can stand on a slope? Held against statics, see `standing_bound`.

What is clearly standable must be accepted, what clearly is not refused with a reason that is true; between
the two nothing is claimed. `python tests/robustness/standing_grid.py` does all slopes and more rigs.
"""

import pytest
from standing_grid import (
    SHIPPED,
    SLOPES,
    VARIANTS,
    Start,
    random_rig,
    shipped,
    starts,
    telling_slopes,
)

SHARE = 5  # every fifth slope, beginning with another one in each variant
RANDOM = 24
CASES = [(name, variant) for name in SHIPPED for variant in VARIANTS]


def wrong(tried: list[Start]) -> str:
    """The starts judged wrongly, one a line."""
    return "\n".join(str(one) for one in tried if one.wrong)


@pytest.mark.parametrize(("name", "variant"), CASES)
def test_shipped_rigs_stand_where_statics_says_so(name: str, variant: str) -> None:
    slopes = list(SLOPES)[CASES.index((name, variant)) % SHARE :: SHARE]
    tried = list(starts(f"{name}, {variant}", shipped(name, variant), slopes))
    assert len(tried) == len(slopes)
    assert sum(one.bound.stands or one.bound.cannot for one in tried) > 0.7 * len(tried)
    assert not wrong(tried), wrong(tried)


def test_random_rigs_stand_where_statics_says_so() -> None:
    """On both sides of their limits; nearly all of them can be built."""
    rigs = [random_rig(i) for i in range(RANDOM)]
    tried = [list(starts(f"random {i}", rig, telling_slopes(rig))) for i, rig in enumerate(rigs)]
    assert sum(map(bool, tried)) > 0.8 * RANDOM
    flat = [one for rig in tried for one in rig]
    assert not wrong(flat), wrong(flat)
