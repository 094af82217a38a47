"""A scenario is its values: written and read again it is the same one, wherever it came from."""

import tomllib
from pathlib import Path
from typing import Any

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st
from strategies import SLOW, number, raw_scenarios
from tries import tries

from simcore.errors import RejectedValue
from simcore.files import Scenario, load_scenario, scenario_of
from simcore.files.scenario import STUDIED
from simcore.results.store import run_key
from simcore.units import Q, _si_unit, factor

SHIPPED = sorted((Path(__file__).parents[2] / "scenarios").glob("*.toml"))
UNITS = ("mm", "g", "N/mm", "N*s/m", "deg", "%", "kg*mm^2", "g*cm^2", "rpm/V", "mohm", "N*m/rad", "m/s", "1")
OTHERS = {"mm": "in", "g": "oz", "N/mm": "lbf/in", "deg": "rad", "m/s": "mph", "N*m/rad": "lbf*ft/rad"}


def same(one: Scenario, other: Scenario) -> None:
    assert one == other
    assert one.to_toml() == other.to_toml()
    assert one.raw == other.raw
    assert run_key(one) == run_key(other)


@tries(15, 50)
def test_reading_what_is_written_gives_the_same(count: int) -> None:
    @settings(max_examples=count, deadline=None, suppress_health_check=SLOW)
    @given(raw_scenarios())
    def look(raw: dict[str, Any]) -> None:
        read, built = scenario_of(raw, "drawn.toml"), Scenario.model_validate(raw)
        same(read, built)
        for one in (read, built):
            whole = Scenario.model_validate(tomllib.loads(one.to_toml()))
            assert whole == one and whole.to_toml() == one.to_toml() and run_key(whole) == run_key(one)
            same(one, Scenario.model_validate(one.raw))
            same(one, one.changed({}, keep_variants=True))

    look()


@pytest.mark.parametrize("path", SHIPPED, ids=lambda path: path.stem)
def test_every_shipped_case_and_its_changes(path: Path) -> None:
    scenario = load_scenario(path)
    built = Scenario.model_validate(scenario.raw)
    same(scenario, built)
    for name, case in scenario.cases().items():
        same(case, built.cases()[name])
        changes = {"rear.tyre.radius": "2.3 in", "visible.pitch": 0.3, "driver.release": 0.31}
        same(case.changed(changes), built.cases()[name].changed(changes))
        assert case.changed(changes) != case


def test_trials_of_a_conclusion_are_written_with_the_rigs_that_they_name() -> None:
    rows: dict[str, Any] = {
        "claims": [["as given", "pitch_rise_deg", "near", 0, 1]],
        "because": [
            {
                "cause": "support",
                "without_support": True,
                "effect": ["as given", "rear_squat_mm"],
                "left": "12.5 %",
            },
            {
                "cause": "the rig",
                "settings": {"rig": "rigs/gully_rear.toml", "parts.battery.at[1] -=": "0.5 in"},
                "effect": ["as given", "pitch_rise_deg", 0.25],
                "claims": [["as given", "rear_squat_mm", "above", 1, 0]],
            },
        ],
        "holds_on": [{"on": "Fell", "settings": {"rig": "rigs/fell.toml"}, "holds": False}],
    }
    raw = {key: value for key, value in load_scenario(SHIPPED[0]).raw.items() if key not in STUDIED}
    scenario = scenario_of({**raw, "conclusion": rows}, SHIPPED[0])
    assert set(scenario.rigs) == {"rigs/fell.toml", "rigs/gully_rear.toml"}
    for text in (scenario.to_toml(), scenario.changed({}, keep_variants=True).to_toml()):
        read = scenario_of(tomllib.loads(text), "/nowhere/written.toml")
        assert read == scenario and read.to_toml() == text
    assert scenario.conclusion.because[0].effect == ("as given", "rear_squat_mm", 0)
    assert scenario.changed({}).rigs == {}


def test_a_default_that_follows_another_key_goes_on_following_it() -> None:
    """Sliding friction that was left out is the breakaway friction, also after a change."""
    path = "rear.shock.friction"
    base = load_scenario(SHIPPED[0]).changed({path: {"breakaway": 0.5}})
    friction = base.changed({f"{path}.breakaway": 0.8}).rig.rear.shock.friction
    assert friction.sliding == friction.breakaway == 0.8


@settings(max_examples=300, deadline=None)
@given(st.sampled_from(UNITS), st.data())
@example("mm", None)
def test_every_number_is_written_so_that_it_reads_back_to_the_last_bit(unit: str, data: Any) -> None:
    """Numbers in the bench unit, and numbers that came in another one."""
    quantity = Q(unit, ge=0.01, le=1000)
    bench = 58.42 if data is None else data.draw(number(quantity))
    given_as: list[Any] = [bench, f"{bench!r} {OTHERS[unit]}" if unit in OTHERS else bench]
    for stated in given_as:
        try:
            value = quantity.read(stated)
        except RejectedValue:  # out of range in the other unit
            continue
        text = quantity.write(value)
        assert Q(unit).read(text) == value
        if stated is bench:
            assert float(text) == pytest.approx(bench, rel=1e-11)


@pytest.mark.parametrize("unit", UNITS)
def test_the_unit_of_last_resort_is_si(unit: str) -> None:
    text = _si_unit(unit)
    assert text == "1" or factor(text) == 1.0
