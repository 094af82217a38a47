"""Variants that build on others, and settings that several of them take."""

import tomllib
from pathlib import Path
from typing import Any

import pytest

from simcore.errors import InputError
from simcore.files import Rig, Scenario, load_scenario, parse_setting, scenario_of
from simcore.files.reference import reference
from simcore.files.schema import hints
from simcore.files.variants import FROM, WITH

SCENARIOS = Path(__file__).parents[3] / "scenarios"
BASE = tomllib.loads((SCENARIOS / "slow_creep.toml").read_text(encoding="utf-8"))


def scenario(**tables: Any) -> Scenario:
    """The shipped creep, 25 deg, wheelbase of 315 mm, with further tables."""
    return scenario_of(BASE | tables, SCENARIOS / "built.toml")


def issues(**tables: Any) -> list[str]:
    with pytest.raises(InputError) as caught:
        scenario(**tables)
    return [f"{issue.key}: {issue.got}" for issue in caught.value.issues]


def slope(case: Scenario) -> float:
    return tomllib.loads(case.to_toml())["ground"]["slope"]


def test_the_words_of_a_variant_are_no_paths() -> None:
    assert not {FROM, WITH} & {*hints(Scenario), *hints(Rig)}


def test_from_comes_first_then_with_then_its_own() -> None:
    """((25 + 1) * 2 = 52), then * 0.5, + 4, and last - 10: any other order gives another number."""
    built = scenario(
        common={
            "one": {"ground.slope +=": 1},
            "half": {"ground.slope *=": 0.5},
            "more": {"ground.slope +=": 4},
        },
        variants={
            "last": {"ground.slope -=": 10, "with": ["half", "more"], "from": "first"},
            "first": {"ground.slope *=": 2, "with": "one"},
        },
    )
    assert slope(built.variant("first")) == (25 + 1) * 2
    assert slope(built.variant("last")) == (25 + 1) * 2 * 0.5 + 4 - 10


def test_chains_are_followed_and_what_is_written_reads_back() -> None:
    variants: dict[str, Any] = {"0": {"ground.slope": 10}}
    variants |= {f"{k}": {"from": f"{k - 1}", "ground.slope +=": 1} for k in range(1, 20)}
    built = scenario(variants=variants, common={"unused": {"wheelbase +=": 1}})
    assert [slope(case) for case in built.cases().values()] == [25, *range(10, 30)]
    again = scenario_of(tomllib.loads(built.to_toml()), "again.toml")
    assert again == built
    assert again.to_toml() == built.to_toml()
    assert [case.to_toml() for case in again.cases().values()] == [
        case.to_toml() for case in built.cases().values()
    ]
    assert again.raw["variants"] == variants
    assert Scenario.model_validate(built.raw).variant("19") == built.variant("19")


def test_a_variant_changes_the_scenario_as_it_was_set() -> None:
    steeper = scenario(variants={"more": {"ground.slope +=": 5}}).changed(
        {"ground.slope": 10}, keep_variants=True
    )
    assert slope(steeper.variant("more")) == 15


def test_another_rig_comes_first_wherever_it_is_named() -> None:
    built = scenario(
        variants={
            "longer": {"wheelbase +=": 5},
            "fell, longer": {"from": "longer", "rig": "rigs/fell.toml"},
            "fell": {"rig": "rigs/fell.toml"},
        }
    )
    fell, longer = built.variant("fell").rig, built.variant("fell, longer").rig
    assert longer.name == fell.name == "Fell"
    assert longer.wheelbase == pytest.approx(fell.wheelbase + 0.005, rel=1e-12)
    shared = scenario(common={"rig": {"rig": "rigs/fell.toml"}}, variants={"x": {"with": "rig"}})
    assert shared.variant("x").rig == fell
    assert "rigs/fell.toml" in shared.rigs


def test_an_issue_is_told_where_it_stands_and_once() -> None:
    common = {"steep": {"ground.slope +=": 70}, "lost": {"rig": "rigs/lost.toml"}}
    found = issues(
        common=common,
        variants={"a": {"with": "steep"}, "b": {"with": ["steep"]}, "c": {"from": "a", "ground.grip": 0}},
    )
    assert found[:2] == ['common.steep."ground.slope +=": 95 deg', 'variants.c."ground.grip": 0 %']
    assert len(found) == 3 and found[2].startswith('common.lost."rig": ') and "no such file" in found[2]


def test_a_circle_is_told_once_and_asked_for_in_python_too() -> None:
    circle = {"a": {"from": "b"}, "b": {"from": "a"}, "c": {"from": "b"}, "d": {"ground.slope": 5}}
    assert issues(variants=circle) == [
        'variants.a.from: a circle: "a", which builds on "b", which builds on "a"'
    ]
    built = Scenario.model_validate(scenario().raw | {"variants": circle})
    assert slope(built.variant("d")) == 5
    for name in "abc":
        with pytest.raises(InputError, match="a circle"):
            built.variant(name)


def test_the_example_in_the_reference_does_what_it_says() -> None:
    text = reference().split("```toml\n")[1].split("```")[0]
    read = scenario_of(tomllib.loads(text), SCENARIOS / "example.toml")
    low, forward, stiff = (tomllib.loads(read.variant(name).to_toml())["rig"] for name in read.variants)
    assert [rig["parts"][0]["at"] for rig in (low, forward, stiff)] == [[226, 59], [251.4, 59], [251.4, 59]]
    rates = [[rig[end]["shock"]["springs"][0]["rate"] for end in ("rear", "front")] for rig in (low, stiff)]
    assert rates == [[0.07, 0.1], [0.084, 0.12]]
    front = read.variant("and stiffer").rig.front.shock.friction
    assert front.breakaway == pytest.approx(0.020 * 9.80665, rel=1e-12)


@pytest.mark.parametrize("row", [line for line in reference().splitlines() if line.startswith('| `"')])
def test_every_setting_in_the_reference_can_be_made(row: str) -> None:
    setting = tomllib.loads(row.split("`")[1])
    on_link = {"rear.shock.axle": "none", "rear.shock.link": "lower", "rear.shock.fraction": 1}
    creep = load_scenario(SCENARIOS / "slow_creep.toml")
    if "rear.shock.link" in setting:
        setting |= {"rear.shock.fraction": "none", "rear.shock.axle": [3, 70]}
        creep = creep.changed(on_link | {"rear.shock.extended_length": 130, "rear.shock.stroke": 60})
    assert creep.changed(setting) != creep.changed({})


def test_the_settings_typed_in_the_reference_can_be_made() -> None:
    typed = [part.split("`")[0].strip('"') for part in reference().split("`--set ")[1:]]
    assert len(typed) == 3
    creep = load_scenario(SCENARIOS / "slow_creep.toml")
    for text in typed:
        assert creep.changed([parse_setting(text)]) != creep.changed({})


def places(rig: Any, path: str = "") -> dict[str, list[float]]:
    """Every place [x, z] of a rig's table by its path."""
    found: dict[str, list[float]] = {}
    for key, value in rig.items() if isinstance(rig, dict) else enumerate(rig):
        if key in ("chassis", "axle", "cg", "at") and isinstance(value, list):
            found[f"{path}.{key}"] = value
        elif isinstance(value, dict | list):
            found |= places(value, f"{path}.{key}")
    return found


def test_larger_rear_tyres_raise_every_place_by_its_share_of_the_way() -> None:
    """What the note of the file says, to 0.01 mm: 6 mm at the rear axle, none at the front one, 315 mm on."""
    read = load_scenario(SCENARIOS / "rear_tyres.toml")
    cases = {name: tomllib.loads(case.to_toml())["rig"] for name, case in read.cases().items()}
    before = places(cases["as given"])
    for name in ("larger", "larger, same lead"):
        after = places(cases[name])
        assert len(after) == len(before) > 15
        for path, (x, z) in before.items():
            assert after[path] == [x, pytest.approx(z + 6 * (1 - x / 315), abs=0.0051)], path
        assert cases[name]["rear"]["tyre"]["radius"] == cases["as given"]["rear"]["tyre"]["radius"] + 6
    lead = [cases[name]["driveline"]["overdrive"] for name in cases]
    radii = [cases[name]["rear"]["tyre"]["radius"] for name in cases]
    treads = [(1 + over / 100) / radius for over, radius in zip(lead, radii, strict=True)]
    assert treads[2] == pytest.approx(treads[0], rel=2e-3) and lead[1] == lead[0]
