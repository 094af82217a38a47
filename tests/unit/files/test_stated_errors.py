"""Whatever a [spread] holds is read or refused, and written as it was read."""

from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from simcore.errors import RejectedValue
from simcore.files import load_scenario
from simcore.files.spread import read_off
from simcore.units import Q

GULLY = Path(__file__).parents[3] / "scenarios" / "rigs" / "gully.toml"
MM = Q("mm", ge=-500, le=500)
finite = st.floats(-499, 499).map(lambda value: round(value, 6))


def rig_with(tmp_path: Path, **spread: Any) -> Path:
    lines = [f'"{key.replace("__", ".")}" = {value}' for key, value in spread.items()]
    path = tmp_path / "rig.toml"
    path.write_text("\n".join([GULLY.read_text(), "[spread]", *lines]), encoding="utf-8")
    return path


@given(st.one_of(st.none(), st.booleans(), finite, st.text(max_size=8), st.lists(finite, max_size=2)))
def test_whatever_stands_there_is_read_or_refused(given_value: Any) -> None:
    """Never another error than the refusal; what is read is of one kind, and positive or in order."""
    try:
        off = read_off(given_value, MM)
    except RejectedValue:
        return
    told = [one for one in (off.error, off.share) if one is not None]
    assert len(told) == 1 and told[0] > 0.0


@given(finite, finite)
def test_a_guess_goes_from_lower_to_higher(low: float, high: float) -> None:
    if low < high:
        assert read_off({"from": low, "to": high}, MM).ends == pytest.approx((low / 1e3, high / 1e3))
    else:
        with pytest.raises(RejectedValue, match="from a lower value to a higher one"):
            read_off({"from": low, "to": high}, MM)


def test_a_spread_is_written_as_it_was_read(tmp_path: Path) -> None:
    path = tmp_path / "one.toml"
    rig = rig_with(tmp_path, chassis__mass='"5 g"', motor__kv="{ from = 1900, to = 2100 }")
    head = f'title = "a"\nrig = "{rig.name}"\ndriver = {{ control = "torque", torque = [[0, 0], [1, 5]] }}'
    path.write_text(f'{head}\n[spread]\n"ground.slope" = "1 deg"\n', encoding="utf-8")
    scenario = load_scenario(path)
    again = tmp_path / "again.toml"
    again.write_text(scenario.to_toml(), encoding="utf-8")
    assert load_scenario(again) == scenario
    assert scenario.rig.spread == {"chassis.mass": "5 g", "motor.kv": {"from": 1900, "to": 2100}}
    assert scenario.spread == {"ground.slope": "1 deg"}
