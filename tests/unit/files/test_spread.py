"""What a [spread] table says of how far numbers may be off."""

import math
import tomllib
from pathlib import Path
from typing import Any

import pytest

from simcore.errors import InputError, RejectedValue
from simcore.files import load_rig, load_scenario
from simcore.files.reading import scenario_of
from simcore.files.spread import Off, read_off
from simcore.results.store import run_key
from simcore.studies.drawn import draws_of
from simcore.units import Q

SHIPPED = Path(__file__).parents[3] / "scenarios"
MM, GRAMS, GRIP, ANGLE = Q("mm"), Q("g", gt=0), Q("1", ge=0, le=3), Q("deg")
PERCENT = Q("%", ge=0, le=40)


def with_spread(**spread: Any) -> Any:
    table = tomllib.loads((SHIPPED / "launch_vs_creep.toml").read_text(encoding="utf-8"))
    return scenario_of(table | {"spread": spread}, SHIPPED / "launch_vs_creep.toml")


@pytest.mark.parametrize(
    ("given", "quantity", "off"),
    [
        (0.5, MM, Off(error=0.5e-3)),
        ("0.02 in", MM, Off(error=0.508e-3)),
        ("3 %", GRAMS, Off(share=0.03)),
        ("3 %", GRIP, Off(share=0.03)),
        ("3 %", PERCENT, Off(error=0.03)),
        (1, ANGLE, Off(error=math.radians(1.0))),
        ({"from": 0.9, "to": 1.1}, GRIP, Off(ends=(0.9, 1.1))),
        ({"from": "1 in", "to": 30}, MM, Off(ends=(25.4e-3, 30e-3))),
    ],
)
def test_an_error_a_share_or_a_guess(given: Any, quantity: Q, off: Off) -> None:
    found = read_off(given, quantity)
    for name in ("error", "share", "ends"):
        assert getattr(found, name) == pytest.approx(getattr(off, name))


@pytest.mark.parametrize(
    "given",
    [0, -1, "3 kg", "200 %", "much", {"from": 2, "to": 1}, {"from": 1}, {"low": 1, "to": 2}, [1], True, None],
)
def test_what_is_no_error_is_refused(given: Any) -> None:
    with pytest.raises(RejectedValue):
        read_off(given, MM)


@pytest.mark.parametrize("given", ["1 +- x mm", "+- 0.5 mm", "± 5 %", "30 +/- 1 mm"])
def test_a_value_with_its_error_is_quoted_and_the_error_alone_is_asked_for(given: str) -> None:
    with pytest.raises(RejectedValue) as caught:
        read_off(given, MM)
    assert caught.value.got == f'"{given}"' and caught.value.must_be.startswith("how far off alone")


def test_all_faults_are_named_at_once_at_their_keys() -> None:
    with pytest.raises(InputError) as caught:
        with_spread(
            **{
                "ground.slope": "-1 deg",
                "rear.tyre.radious": 1,
                "driver.control": 1,
                "parts.9.mass": 1,
                "parts.0.mass": 1,
                "parts.battery.mass": 2,
                "chassis.mass": {"from": 200, "to": 100},
            }
        )
    said = {issue.key.removeprefix("spread.").strip('"') for issue in caught.value.issues}
    assert said == {
        *("ground.slope", "rear.tyre.radious", "driver.control", "parts.9.mass"),
        *("parts.battery.mass", "chassis.mass"),
    }
    assert all(issue.must_be for issue in caught.value.issues)


def test_a_rig_may_say_it_and_it_changes_no_run(tmp_path: Path) -> None:
    text = (SHIPPED / "rigs" / "gully.toml").read_text(encoding="utf-8")
    (tmp_path / "rig.toml").write_text(f'{text}\n[spread]\n"rear.tyre.radius" = "0.5 mm"\n', encoding="utf-8")
    assert load_rig(tmp_path / "rig.toml").spread == {"rear.tyre.radius": "0.5 mm"}
    (tmp_path / "bad.toml").write_text(
        f'{text}\n[spread]\n"rear.tyre.radius" = "0.5 g"\n"ground.slope" = 1\n', encoding="utf-8"
    )
    with pytest.raises(InputError) as caught:
        load_rig(tmp_path / "bad.toml")
    assert len(caught.value.issues) == 2
    plain = load_scenario(SHIPPED / "launch_vs_creep.toml")
    assert run_key(with_spread(**{"chassis.mass": "5 g"})) == run_key(plain)


@pytest.mark.parametrize("where", ["the scenario", "its rig"])
def test_a_case_may_lack_a_number_whose_error_is_stated(where: str) -> None:
    """It has no such error then, is a file like any other, and in draws that number is off in the others."""
    path = SHIPPED / "front_springs.toml"
    table = tomllib.loads(path.read_text(encoding="utf-8"))
    rig = tomllib.loads((SHIPPED / table["rig"]).read_text(encoding="utf-8"))
    rates = {"front.shock.springs.0.rate": "5 %", "rear.shock.springs.0.rate": "5 %"}
    table |= {"spread": rates} if where == "the scenario" else {"rig": rig | {"spread": rates}}
    scenario = scenario_of(table, path)
    bare = scenario.variant("no springs")
    assert list(bare.rig.spread) == ([] if where == "the scenario" else ["rear.shock.springs.0.rate"])
    assert scenario_of(tomllib.loads(bare.to_toml()), path).rig == bare.rig
    draws = draws_of(scenario, 8, only_stated=True)
    off = {name: draws.settings(0, name).keys() for name in ("soft springs", "no springs")}
    assert off == {"soft springs": rates.keys(), "no springs": {"rear.shock.springs.0.rate"}}
    with pytest.raises(InputError, match=r"springs\.7\.rate"):
        scenario.changed({"rig": rig | {"spread": {"front.shock.springs.7.rate": "5 %"}}})
