"""Axle loads as weighed against the masses of the file, and the mass that explains a difference."""

from collections.abc import Callable
from typing import Any

import pytest

from simcore.files import Scenario, scenario_of
from simcore.plausibility.check import check_rig
from simcore.plausibility.codes import Code, SlipCode
from simcore.standing.stand import stand
from simcore.standing.table import table_of
from simcore.units import GRAMS

Raw = dict[str, Any]
BASE = 315.0  # mm, wheelbase of the rig


def loads(rig: Raw) -> tuple[float, float]:
    """What scales show under the axles, g: moments of every mass of the file about the rear axle, by hand."""
    lumps = [(rig["chassis"]["mass"], rig["chassis"]["cg"][0])]
    lumps += [(part["mass"], part["at"][0]) for part in rig["parts"]]
    for name, x in (("rear", 0.0), ("front", BASE)):
        axle = rig[name]
        lumps += [(axle["housing"]["mass"], x), (2 * axle["tyre"]["wheel_mass"], x)]
        ends = [(axle[link]["mass"], axle[link]) for link in ("lower_link", "upper_link")]
        ends += [(2 * axle["shock"]["mass"], axle["shock"]), (rig["driveline"]["shaft_mass"], axle["shaft"])]
        lumps += [(mass / 2, held[end][0]) for mass, held in ends for end in ("chassis", "axle")]
    whole = sum(mass for mass, _ in lumps)
    front = sum(mass * x for mass, x in lumps) / BASE
    return whole - front, front


@pytest.fixture
def weighed(shipped: Callable[[str], Raw]) -> Callable[..., Scenario]:
    """The rig as it would weigh, to the gram, with some keys of its file wrong."""

    def scenario(**wrong: Any) -> Scenario:
        raw = shipped("gully")
        rear, front = loads(raw["rig"])
        raw["rig"]["weighed"] = {"rear": round(rear), "front": round(front)}
        changes = {key.replace("__", "."): value for key, value in wrong.items()}
        return scenario_of(raw, "gully.toml").changed(changes)

    return scenario


def test_a_file_that_agrees_with_the_scales_is_not_warned_of(weighed: Callable[..., Scenario]) -> None:
    assert check_rig(weighed()) == []


@pytest.mark.parametrize(
    ("wrong", "key", "code", "words"),
    [
        ({"chassis__mass": 223}, "chassis.mass", SlipCode.MISSING_MASS, "chassis.mass of 335 g"),
        ({"rear__tyre__wheel_mass": 75}, "rear.tyre.wheel_mass", SlipCode.ONE_FOR_BOTH, "150 g"),
        (
            {"front__tyre__wheel_mass": 370, "front__tyre__spin_inertia": 640},
            "front.tyre.wheel_mass",
            SlipCode.BOTH_FOR_ONE,
            "185 g",
        ),
        ({"parts__motor__mass": 137}, "parts[1].mass", SlipCode.MISSING_MASS, "parts[1].mass of 205 g"),
        ({"chassis__cg__0": 315 - 178}, "chassis.cg[0]", SlipCode.OTHER_AXLE, "178 mm"),
        ({"parts__battery__mass": 4.51}, "parts[0].mass", SlipCode.WRONG_UNIT, "oz"),
    ],
    ids=str,
)
def test_what_makes_the_difference_is_named(
    wrong: dict[str, Any], key: str, code: SlipCode, words: str, weighed: Callable[..., Scenario]
) -> None:
    found = [
        one
        for one in check_rig(weighed(**wrong))
        if one.code is Code.AXLE_LOAD or wrong.keys() & {"front__tyre__wheel_mass"}
    ]
    assert found
    slip = found[0].slip
    assert slip is not None
    assert (slip.key, slip.code) == (key, code)
    assert words in str(found[0])


def test_a_part_left_out_is_told_by_mass_and_place(
    weighed: Callable[..., Scenario], shipped: Callable[[str], Raw]
) -> None:
    parts = shipped("gully")["rig"]["parts"][1:]
    (found,) = check_rig(weighed(parts=parts))
    assert found.slip is not None
    assert found.slip.code is SlipCode.MISSING_MASS
    # the battery that is left out: 128 g at x = 226 mm, as far as whole grams on the scales tell
    assert "128 g missing in the file, about x = 22" in str(found)


def test_masses_at_one_place_are_all_named(weighed: Callable[..., Scenario]) -> None:
    (found,) = check_rig(weighed(front__housing__mass=163))
    assert "front.housing.mass of 245 g" in str(found)
    assert "front.tyre.wheel_mass of 226 g" in str(found)  # half of 82 g more than 185 g


def test_one_axle_alone_is_compared_too(weighed: Callable[..., Scenario]) -> None:
    (found,) = check_rig(weighed(chassis__mass=200, weighed__front="none"))
    assert found.key == "weighed.rear"
    assert found.slip is None


def test_facts_hold_the_measured_loads_and_the_difference(
    weighed: Callable[..., Scenario], shipped: Callable[[str], Raw]
) -> None:
    rear, front = loads(shipped("gully")["rig"])
    facts = table_of(stand(weighed()))
    for name, load in (("rear", rear), ("front", front)):
        assert facts[f"{name}_weighed_N"] * GRAMS == pytest.approx(round(load), abs=1e-9)
        assert facts[f"{name}_level_less_weighed_N"] * GRAMS == pytest.approx(load - round(load), abs=0.05)
    unweighed = table_of(stand(weighed(weighed__rear="none")))
    assert unweighed["rear_weighed_N"] is None and unweighed["rear_level_less_weighed_N"] is None
