"""The table of common units says what pint says, and spares it where nothing else is typed."""

from pathlib import Path

import pytest

from simcore import units
from simcore.common_units import COMMON, kind_of
from simcore.errors import RejectedValue
from simcore.files import load_scenario
from simcore.plausibility.slips import UNITS

SCENARIOS = Path(__file__).parents[2] / "scenarios"


@pytest.mark.parametrize("unit", COMMON)
def test_a_common_unit_is_what_pint_says(unit: str) -> None:
    value, si_unit = COMMON[unit]
    asked, kind = units._uncommon(unit)
    assert value == pytest.approx(asked, rel=3e-16, abs=0)  # pint's versions may differ by the last bit
    assert kind_of(si_unit) == kind
    base = units._registry().Quantity(1.0, units._for_pint(unit)).to_base_units().units
    assert si_unit == f"{base:~C}" or (si_unit, unit) == ("", "%")


def test_every_unit_that_columns_and_slips_name_is_common() -> None:
    known = {*COMMON, "1"}
    named = [units.COLUMN_UNITS.values(), units.SLIPS, *units.SLIPS.values(), UNITS, *UNITS.values()]
    assert {unit for group in named for unit in group} <= known


@pytest.fixture
def no_pint(monkeypatch: pytest.MonkeyPatch):
    def refused() -> None:
        raise AssertionError("pint was asked")

    for cached in (units.factor, units._measure, units._si_unit):
        monkeypatch.setattr(units, cached.__name__, cached.__wrapped__)
    monkeypatch.setattr(units, "_registry", refused)


@pytest.mark.usefixtures("no_pint")
@pytest.mark.parametrize("path", sorted(SCENARIOS.glob("*.toml"))[::6], ids=lambda path: path.stem)
def test_shipped_files_need_no_pint(path: Path) -> None:
    load_scenario(path)


def test_a_unit_that_is_not_common_is_asked_of_pint() -> None:
    """An eighth of a mile of 1760 yards of 0.9144 m: the agreement of 1959."""
    assert units.Q("mm").read("1 furlong") == pytest.approx(
        1760 / 8 * 0.9144, rel=1e-5
    )  # pint's is the survey's


@pytest.mark.usefixtures("no_pint")
def test_without_pint_it_would_not_be_known() -> None:
    with pytest.raises(RejectedValue, match="a known unit"):
        units.Q("mm").read("1 furlong")
