"""Warnings of implausible rigs: one each, a variant's by its name."""

import warnings
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

import simcore
from simcore.files import load_rig, scenario_of
from simcore.plausibility.warn import warn_of_rig

Raw = dict[str, Any]
SCENARIOS = Path(__file__).parents[3] / "scenarios"


def lines(scenario: simcore.Scenario, **how: Any) -> list[str]:
    with warnings.catch_warnings(record=True) as caught:
        warnings.simplefilter("always")
        warn_of_rig(scenario, **how)
    assert all(one.category is simcore.ImplausibleRig for one in caught)
    return [str(one.message) for one in caught]


def test_each_value_is_a_warning_of_its_own(shipped: Callable[[str], Raw]) -> None:
    scenario = scenario_of(shipped("gully"), "x.toml")
    assert lines(scenario) == []
    said = lines(scenario.changed({"driveline.overdrive": 1.08, "motor.kv": 15000}))
    assert sorted(line.split(": ")[1] for line in said) == ["driveline.overdrive", "motor.kv"]


def test_a_variant_is_named_with_what_it_adds(shipped: Callable[[str], Raw]) -> None:
    raw = shipped("gully") | {
        "variants": {"faster front": {"driveline.overdrive": 1.08}, "steep": {"ground.slope": 20}}
    }
    raw["rig"]["motor"]["kv"] = 15000
    said = lines(scenario_of(raw, "x.toml"))
    assert len(said) == 2
    assert "motor.kv" in said[0] and "variant" not in said[0]
    assert "driveline.overdrive" in said[1] and said[1].endswith('(variant "faster front")')
    assert len(lines(scenario_of(raw, "x.toml"), variants=False)) == 1


def test_what_was_measured_of_the_rig_is_not_held_against_its_variants(shipped: Callable[[str], Raw]) -> None:
    raw = shipped("gully") | {"variants": {"heavier": {"chassis.mass +=": 200}}}
    raw["rig"]["weighed"] = {"rear": 870, "front": 1132}
    assert lines(scenario_of(raw, "x.toml")) == []


def test_the_rig_s_own_file_is_named(tmp_path: Path) -> None:
    (tmp_path / "rig.toml").write_text(
        (SCENARIOS / "rigs/gully.toml")
        .read_text(encoding="utf-8")
        .replace("overdrive = 6", "overdrive = 1.06"),
        encoding="utf-8",
    )
    path = tmp_path / "case.toml"
    path.write_text(
        'title = "t"\nrig = "rig.toml"\n[driver]\ncontrol = "torque"\ntorque = [[0, 0]]\n', encoding="utf-8"
    )
    with pytest.warns(
        simcore.ImplausibleRig, match=r"rig\.toml: driveline\.overdrive: .*a factor\? 1\.06 is 6 %"
    ):
        scenario = simcore.load_scenario(path)
    assert scenario.rig_file == str(tmp_path / "rig.toml")
    assert scenario.changed({"ground.slope": 3}).rig_file == scenario.rig_file
    with pytest.warns(simcore.ImplausibleRig, match="overdrive"):
        rig = simcore.load_rig(tmp_path / "rig.toml")
    assert rig == load_rig(tmp_path / "rig.toml")
