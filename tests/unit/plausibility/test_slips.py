"""Slips at one key: what they would make of it."""

from collections.abc import Callable
from typing import Any

import pytest

from simcore.files import Rig, scenario_of
from simcore.files.schema import follow, plain, written
from simcore.plausibility.codes import SlipCode
from simcore.plausibility.slips import UNITS, stated, undone, value_at, with_values
from simcore.units import Q

Raw = dict[str, Any]


@pytest.fixture
def gully(shipped: Callable[[str], Raw]) -> Rig:
    return scenario_of(shipped("gully"), "gully.toml").rig


def meant(rig: Rig, key: tuple[str | int, ...], code: SlipCode) -> list[float]:
    return [undo.values[key] for undo in undone(rig, key) if undo.code is code]


def test_every_unit_that_is_typed_instead_is_of_the_same_kind() -> None:
    for unit, others in UNITS.items():
        for other in others:
            if (unit, other) != ("%", "1"):
                assert Q(unit).bench(f"1 {other}") != pytest.approx(1.0), f"{other} for {unit} is no slip"


def test_slips_of_a_place(gully: Rig) -> None:
    x, z = ("rear", "lower_link", "chassis", 0), ("rear", "lower_link", "chassis", 1)  # [118, 66]
    assert meant(gully, x, SlipCode.OTHER_AXLE) == [315 - 118]
    assert meant(gully, x, SlipCode.WRONG_SIGN) == [-118]
    assert meant(gully, z, SlipCode.FROM_HUB) == [66 + 59]  # the tyre's radius
    assert meant(gully, x, SlipCode.SWAPPED) == [66]
    assert meant(gully, x, SlipCode.TEN_TIMES) == [11.8, 1180]
    assert meant(gully, z, SlipCode.OTHER_AXLE) == meant(gully, x, SlipCode.FROM_HUB) == []


def test_slips_of_pieces(gully: Rig) -> None:
    assert meant(gully, ("rear", "tyre", "radius"), SlipCode.DIAMETER) == [29.5]
    assert meant(gully, ("rear", "tyre", "wheel_mass"), SlipCode.BOTH_FOR_ONE) == [75]
    assert meant(gully, ("rear", "tyre", "wheel_mass"), SlipCode.ONE_FOR_BOTH) == [300]
    assert meant(gully, ("rear", "lower_link", "mass"), SlipCode.ONE_FOR_BOTH) == [26]
    assert meant(gully, ("rear", "housing", "mass"), SlipCode.BOTH_FOR_ONE) == []
    assert meant(gully, ("motor", "kv"), SlipCode.AT_VOLTAGE) == [pytest.approx(1350 / 11.1)]
    assert meant(gully, ("motor", "voltage"), SlipCode.CELLS) == []  # 11.1 is no number of cells


def test_what_is_typed_in_one_go_slips_together(gully: Rig) -> None:
    key, partner = (("rear", "shock", "friction", name) for name in ("breakaway", "sliding"))
    undo = next(one for one in undone(gully, key) if one.code is SlipCode.WRONG_UNIT)
    assert undo.values[key] / undo.values[partner] == pytest.approx(0.16 / 0.12)


def test_only_what_the_file_states_can_have_slipped(gully: Rig) -> None:
    key = ("rear", "tyre", "relaxation_length")  # has its default
    assert value_at(gully, key) == pytest.approx(0.02)
    assert not stated(gully, key)
    assert list(undone(gully, key)) == []
    assert value_at(gully, ("rear", "arm", "mass")) is None
    assert list(undone(gully, ("rear", "arm", "mass"))) == []


def test_numbers_out_of_the_range_of_their_key_are_no_slips(gully: Rig) -> None:
    key = ("rear", "tyre", "radius")
    quantity = plain(follow(Rig, key))[1]
    assert quantity is not None
    for undo in undone(gully, key):
        quantity.read(undo.values[key])  # does not raise
    assert with_values(written(gully, Rig), {key: -3}) is None
    changed = with_values(written(gully, Rig), {key: 60})
    assert changed is not None and value_at(changed, key) == pytest.approx(0.06)
