"""Preload of a standing rig, stated and solved: force of one shock at full extension, and spring travel."""

from collections.abc import Callable
from typing import Any

import pytest

from simcore.files import scenario_of
from simcore.standing.stand import stand
from simcore.standing.table import Cell, table_of
from simcore.units import GRAVITY

Raw = dict[str, Any]


@pytest.fixture
def facts(shipped: Callable[[str], Raw]) -> Callable[[list[Raw]], dict[str, Cell]]:
    def of(springs: list[Raw]) -> dict[str, Cell]:
        scenario = scenario_of(shipped("gully"), "gully.toml")
        return table_of(stand(scenario.changed({"rear.shock.springs": springs})))

    return of


@pytest.mark.parametrize(
    ("springs", "newton", "mm"),
    [
        ([{"rate": 0.07, "preload": 0.9}], 0.9, 0.9 / 0.07),
        ([{"rate": 0.1, "loose_at": -12}], 1.2, 12),
        ([{"rate": 0.15, "loose_at": 2}], 0, -2),
        ([{"rate": 0.15}], 0, 0),
        ([{"rate": 0.07, "preload": 0.7}, {"rate": 0.2, "loose_at": 10}], 0.7, 10),
        ([{"rate": 0.07, "preload": 0.7}, {"push": False, "rate": 0.05, "preload": 0.2}], 0.5, 10),
        ([{"push": False, "rate": 0.05, "preload": 0.2}], -0.2, None),
        ([], 0, None),
    ],
    ids=str,
)
def test_stated_preload(
    springs: list[Raw], newton: float, mm: float | None, facts: Callable[[list[Raw]], dict[str, Cell]]
) -> None:
    found = facts(springs)
    assert found["rear_preload_N"] == pytest.approx(newton, abs=1e-9)
    assert found["rear_preload_mm"] == (None if mm is None else pytest.approx(mm, abs=1e-9))


def test_solved_preload_bears_the_sprung_load_together_with_the_sag(
    facts: Callable[[list[Raw]], dict[str, Cell]],
) -> None:
    """By virtual work both shocks push with sprung load over motion ratio; one: rate * (preload + sag)."""
    found = facts([{"rate": 0.07, "hold_ride_height": True}])
    sprung = found["rear_level_load_N"] - found["rear_axle_mass_g"] * 1e-3 * GRAVITY
    each = sprung / found["rear_motion_ratio"] / 2.0
    assert 0.07 * (found["rear_preload_mm"] + found["rear_sag_mm"]) == pytest.approx(each, rel=0.02)
    assert found["rear_preload_N"] == pytest.approx(0.07 * found["rear_preload_mm"], rel=1e-9)
