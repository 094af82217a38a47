"""Bench units become SI exactly; a text brings its own unit; nothing else is read."""

import math
import re
import subprocess
import sys

import pytest
from hypothesis import given
from hypothesis import strategies as st

from simcore.errors import RejectedValue
from simcore.units import COLUMN_UNITS, Q, column_factor, column_unit, factor, show, to_bench

# Definitions: BIPM SI Brochure (9th ed.); inch and pound: international yard and pound agreement of 1959;
# standard gravity 9.80665 m/s^2: 3rd CGPM, 1901.
POUND_FORCE = 0.45359237 * 9.80665
FACTORS = {
    "mm": 1e-3,
    "m": 1.0,
    "g": 1e-3,
    "kg*mm^2": 1e-6,
    "Hz": 1.0,
    "m/s^2": 1.0,
    "g*cm^2": 1e-7,
    "N": 1.0,
    "N/mm": 1e3,
    "N*s/m": 1.0,
    "s/m": 1.0,
    "m/s": 1.0,
    "mm/s": 1e-3,
    "N*m": 1.0,
    "N*m/rad": 1.0,
    "N*m*s/rad": 1.0,
    "N*mm": 1e-3,
    "deg": math.pi / 180,
    "deg/s": math.pi / 180,
    "%": 1e-2,
    "rpm": 2 * math.pi / 60,
    "rpm/V": 2 * math.pi / 60,
    "V": 1.0,
    "mohm": 1e-3,
    "A": 1.0,
    "W": 1.0,
    "J": 1.0,
    "s": 1.0,
    "1/s": 1.0,
    "1": 1.0,
}


@pytest.mark.parametrize(("unit", "expected"), FACTORS.items())
def test_bench_unit_in_si(unit: str, expected: float) -> None:
    assert factor(unit) == pytest.approx(expected, rel=1e-14, abs=0)
    assert Q(unit).read(3) == pytest.approx(3 * expected, rel=1e-14, abs=0)


@pytest.mark.parametrize(
    ("text", "unit", "expected"),
    [
        ("1.4 lb/in", "N/mm", 1.4 * POUND_FORCE / 0.0254),
        ("1.4 lbf/in", "N/mm", 1.4 * POUND_FORCE / 0.0254),
        ("2 lbs/in", "N/mm", 2 * POUND_FORCE / 0.0254),
        ("40 g", "N", 0.040 * 9.80665),
        ("0.3 kg", "N", 0.3 * 9.80665),
        ("40 gf", "N", 0.040 * 9.80665),
        ("2 oz", "N", POUND_FORCE / 8),
        ("1 lb", "N", POUND_FORCE),
        ("16.6 g/mm", "N/mm", 16.6 * 9.80665),
        ("1 lb/in", "N/mm", POUND_FORCE / 0.0254),
        ("1.2 kg*cm", "N*mm", 1.2 * 9.80665 * 0.01),
        ("1.2 kg-cm", "N*mm", 1.2 * 9.80665 * 0.01),
        ("17 oz-in", "N*m", 17 * POUND_FORCE / 16 * 0.0254),
        ("5 N-mm", "N*mm", 5e-3),
        ("2 g*s/mm", "N*s/m", 2 * 9.80665),
        ("1 kg*cm/deg", "N*m/rad", 9.80665 * 0.01 * 180 / math.pi),
        ("3 kg*mm^2", "kg*mm^2", 3e-6),
        ("3 kg*cm^2", "kg*mm^2", 3e-4),
        ("2.2 in", "mm", 2.2 * 0.0254),
        ("2.2in", "mm", 2.2 * 0.0254),
        ("1 lb", "g", 0.45359237),
        ("0.5 oz", "g", 0.5 * 0.45359237 / 16),
        ("7.4 V", "V", 7.4),
        ("25 deg", "deg", 25 * math.pi / 180),
        ("25°", "deg", 25 * math.pi / 180),
        ("0.1 rad", "deg", 0.1),
        ("6 %", "%", 0.06),
        ("6%", "1", 0.06),
        ("0.06", "%", 0.06),
        ("3 kg*cm^2", "g*cm^2", 3e-4),
        ("0.06 ohm", "mohm", 0.06),
        ("60 mΩ", "mohm", 0.06),
        ("500 Hz", "1/s", 500.0),
        ("500 1/s", "1/s", 500.0),
        ("1 N*m/deg", "N*m/rad", 180 / math.pi),
        ("-.5e1 mm", "mm", -5e-3),
        ("1 N·mm", "N*mm", 1e-3),
    ],
)
def test_text_brings_its_own_unit(text: str, unit: str, expected: float) -> None:
    assert Q(unit).read(text) == pytest.approx(expected, rel=1e-12, abs=0)


@given(st.floats(-1e9, 1e9), st.sampled_from(sorted(set(FACTORS) - {"1"})))
def test_text_in_the_bench_unit_is_the_bare_number(value: float, unit: str) -> None:
    assert Q(unit).read(f"{value!r} {unit}") == Q(unit).read(value)
    assert to_bench(Q(unit).read(value), unit) == pytest.approx(value, rel=1e-14)


FORCES = [unit for unit in FACTORS if "N" in unit]


@given(st.floats(1e-6, 1e6))
def test_a_weight_where_a_force_is_due_is_that_of_its_mass(grams: float) -> None:
    """Standard gravity and the pound are exact numbers, so only the last bits of a product may differ."""
    assert Q("N").read(f"{grams!r} g") == pytest.approx(grams * 9.80665e-3, rel=4e-16, abs=0)
    assert Q("N").read(f"{grams!r} kg") == pytest.approx(grams * 9.80665, rel=4e-16, abs=0)
    assert Q("N").read(f"{grams!r} lb") == pytest.approx(grams * POUND_FORCE, rel=8e-16, abs=0)
    assert Q("g").read(f"{grams!r} g") == Q("g").read(grams)


@given(st.floats(1e-6, 1e6), st.sampled_from(["g", "kg", "oz", "lb"]), st.sampled_from(FORCES))
def test_a_weight_is_written_so_that_it_reads_back_to_the_last_bit(
    value: float, mass: str, unit: str
) -> None:
    quantity, own = Q(unit), re.sub("N", mass, unit)
    force = quantity.read(f"{value!r} {own}")
    assert force == pytest.approx(quantity.read(f"{value!r} {own.replace(mass, mass + 'f', 1)}"), rel=1e-14)
    assert quantity.read(quantity.write(force)) == force


@pytest.mark.parametrize(
    ("value", "unit", "got", "must_be", "hint"),
    [
        ("12,5", "mm", '"12,5" with a decimal comma', "a number with a decimal point", "12.5"),
        ("-0,5 deg", "deg", '"-0,5 deg" with a decimal comma', "a number with a decimal point", "-0.5 deg"),
        ("12,5e3", "mm", '"12,5e3" with a decimal comma', "a number with a decimal point", "12.5e3"),
        ("0,125", "mm", '"0,125" with a decimal comma', "a number with a decimal point", "0.125"),
        (
            "1,200 g",
            "g",
            '"1,200 g" with a decimal comma',
            "a number with a decimal point, or without a comma if it is 1200 g",
            "1.200 g",
        ),
        ("1,200,000", "g", '"1,200,000" with commas', "a number without commas", "1200000"),
        ("1,2,3", "g", '"1,2,3" with commas', "a number without commas", ""),
        ("45:1", "1", '"45:1"', "one number, 45 for 45:1", "45"),
        ("1 : 45", "1", '"1 : 45"', "one number, 45 for 1 : 45", "45"),
        ("90:4", "1", '"90:4"', "one number, 22.5 for 90:4", "22.5"),
        ("45:0", "1", '"45:0"', "a number and a unit", ""),
        ("45:1", "mm", '"45:1"', "a number and a unit", ""),
        ("9S", "V", '"9S"', "in V or a unit of the same kind", ""),
    ],
)
def test_a_number_written_as_builders_do_is_told(
    value: str, unit: str, got: str, must_be: str, hint: str
) -> None:
    with pytest.raises(RejectedValue) as caught:
        Q(unit).read(value)
    assert (caught.value.got, caught.value.must_be, caught.value.hint) == (got, must_be, hint)


@pytest.mark.parametrize("cells", range(1, 7))
@pytest.mark.parametrize("text", ["{}S", "{}s", "{} S", "{}S LiPo", "{}s1p lipo"])
def test_a_battery_named_by_its_cells_is_told_in_volts(cells: int, text: str) -> None:
    with pytest.raises(RejectedValue) as caught:
        Q("V").read(text.format(cells))
    nominal, full = re.findall(r"([\d.]+) V (?:nominal|full)", caught.value.must_be)
    assert float(nominal) == pytest.approx(3.7 * cells, rel=1e-12)
    assert float(full) == pytest.approx(4.2 * cells, rel=1e-12)
    assert "common practice, no source" in caught.value.must_be


def test_seconds_are_no_battery() -> None:
    assert Q("s").read("3s") == 3.0


@pytest.mark.parametrize(
    ("value", "unit", "got", "must_be"),
    [
        ("5 g", "mm", '"5 g"', "in mm or a unit of the same kind"),
        ("5", "mm", '"5"', "in mm or a unit of the same kind"),
        ("1 lb", "N*s", '"1 lb"', "in N*s or a unit of the same kind"),
        ("4 N", "g", '"4 N"', "in g or a unit of the same kind"),
        ("4 gf", "g", '"4 gf"', "in g or a unit of the same kind"),
        ("5 g", "N*mm", '"5 g"', "in N*mm or a unit of the same kind"),
        ("5 g/mm", "N", '"5 g/mm"', "in N or a unit of the same kind"),
        ("5 kg*mm*s^2", "kg*mm^2", '"5 kg*mm*s^2"', "in kg*mm^2 or a unit of the same kind"),
        ("5 kg", "J", '"5 kg"', "in J or a unit of the same kind"),
        ("5 mm--mm", "mm", '"5 mm--mm"', "a number and a unit"),
        ("5 %", "deg", '"5 %"', "in deg or a unit of the same kind"),
        ("25 deg", "%", '"25 deg"', "in % or a unit of the same kind"),
        ("25 deg", "1", '"25 deg"', "a number without a dimension"),
        ("1 N*m", "N*m/rad", '"1 N*m"', "in N*m/rad or a unit of the same kind"),
        ("30 rpm", "1/s", '"30 rpm"', "in 1/s or a unit of the same kind"),
        ("5 quux", "mm", '"5 quux"', "a number and a known unit"),
        ("3 degC", "1", '"3 degC"', "a number and a unit that counts from zero"),
        ("3 dB", "1", '"3 dB"', "a number and a unit that counts from zero"),
        ("__import__('os')", "mm", "\"__import__('os')\"", "a number in mm"),
        ("5 mm**9**9**9", "mm", '"5 mm**9**9**9"', "a number and a unit"),
        ("5 mm + 1 mm", "mm", '"5 mm + 1 mm"', "a number and a unit"),
        ("nan mm", "mm", '"nan mm"', "a number in mm"),
        ("1e999 mm", "mm", '"1e999 mm"', "a number in mm"),
        (math.nan, "mm", "nan mm", "a number in mm"),
        (math.inf, "1", "inf", "a number"),
        (1e308, "N/mm", "1e+308 N/mm", "a number in N/mm"),
        pytest.param(10**5000, "mm", "a number too long to print", "a number in mm", id="5000 digits"),
        (True, "mm", "true", "a number in mm"),
        (None, "mm", "null", "a number in mm"),
        ([1, 2], "mm", "a list of 2", "a number in mm"),
        ({"a": 1}, "mm", "a table", "a number in mm"),
    ],
)
def test_refused(value: object, unit: str, got: str, must_be: str) -> None:
    with pytest.raises(RejectedValue) as caught:
        Q(unit).read(value)
    assert (caught.value.got, caught.value.must_be) == (got, must_be)


@pytest.mark.parametrize(
    ("quantity", "value", "must_be"),
    [
        (Q("mm", gt=0), 0, "greater than 0 mm"),
        (Q("mm", ge=0), -1, "at least 0 mm"),
        (Q("%", ge=0, le=100), 120, "from 0 to 100 %"),
        (Q("%", ge=0, le=100), "-1 %", "from 0 to 100 %"),
        (Q("g", gt=0, le=20000), 0, "greater than 0 g"),
        (Q("g", gt=0, le=20000), "1e6 g", "at most 20000 g"),
        (Q("1", ge=2, le=60), 1, "from 2 to 60"),
    ],
)
def test_outside_the_range(quantity: Q, value: object, must_be: str) -> None:
    with pytest.raises(RejectedValue) as caught:
        quantity.read(value)
    assert caught.value.must_be == must_be


@pytest.mark.parametrize(
    ("quantity", "value", "hint"),
    [
        (Q("g", ge=1, le=20000), 0.29, "0.29 kg"),
        (Q("kg*mm^2", ge=0.01, le=1e6), 2.6e-4, "0.00026 kg*m^2"),
        (Q("kg*mm^2", ge=0.01, le=1e6), 9.5e6, "9500000.0 g*mm^2"),
        (Q("g*cm^2", ge=0.001, le=1e4), 2.2e-6, "2.2e-06 kg*m^2"),
        (Q("g*cm^2", ge=0.001, le=1e4), 22000, "22000 g*mm^2"),
        (Q("g", ge=1, le=20000), 0, ""),
        (Q("g", ge=1, le=20000), -0.29, ""),
        (Q("g", ge=1, le=20000), 10**100, ""),
        (Q("g", ge=1, le=20000), "0.29 g", ""),
        (Q("mm", ge=100, le=1000), 0.3, ""),
    ],
)
def test_a_likely_slip_of_unit_is_named(quantity: Q, value: object, hint: str) -> None:
    with pytest.raises(RejectedValue) as caught:
        quantity.read(value)
    assert caught.value.hint == hint


def test_the_ends_of_a_range_belong_to_it() -> None:
    slope = Q("deg", ge=-80, le=80)
    for value in (80, -80, "80 deg", "-80 deg"):
        assert abs(slope.read(value)) == pytest.approx(80 * math.pi / 180, rel=1e-15)
    assert Q("%", ge=0, le=100).read("100 %") == 1.0


def test_range_text() -> None:
    assert Q("mm", gt=0).range_text() == "greater than 0 mm"
    assert Q("g", gt=0, le=20000).range_text() == "greater than 0 and at most 20000 g"
    assert Q("%", ge=0, le=100).range_text() == "from 0 to 100 %"
    assert Q("kg*mm^2", le=1e6).range_text() == "at most 1000000 kg*mm^2"
    assert Q("mm").range_text() == ""


@pytest.mark.parametrize(
    ("column", "unit", "expected"),
    [
        ("time_s", "s", 1.0),
        ("rear_travel_mm", "mm", 1e3),
        ("x_m", "m", 1.0),
        ("rear_shock_speed_mm_per_s", "mm/s", 1e3),
        ("speed_m_per_s", "m/s", 1.0),
        ("pitch_deg", "deg", 180 / math.pi),
        ("pitch_rate_deg_per_s", "deg/s", 180 / math.pi),
        ("rear_load_N", "N", 1.0),
        ("motor_torque_Nmm", "N*mm", 1e3),
        ("rear_torque_Nm", "N*m", 1.0),
        ("support_pct", "%", 1e2),
        ("motor_rpm", "rpm", 60 / (2 * math.pi)),
        ("motor_A", "A", 1.0),
        ("motor_V", "V", 1.0),
        ("power_W", "W", 1.0),
        ("energy_J", "J", 1.0),
        ("front_budget_g", "g", 1e3),
        ("slip_ratio", "1", 1.0),
        ("wheel_rate_N_per_mm", "N/mm", 1e-3),
        ("pitch_Hz", "Hz", 1.0),
        ("inertia_kgmm2", "kg*mm^2", 1e6),
        ("wheelie_m_per_s2", "m/s^2", 1.0),
    ],
)
def test_column_ends_in_its_unit(column: str, unit: str, expected: float) -> None:
    assert column_unit(column) == unit
    assert column_factor(column) == pytest.approx(expected, rel=1e-14)


def test_every_column_unit_is_a_known_unit() -> None:
    assert set(COLUMN_UNITS.values()) <= set(FACTORS)


def test_a_column_without_a_unit_is_refused() -> None:
    with pytest.raises(KeyError, match="pitch_degrees"):
        column_factor("pitch_degrees")


def test_shown_text_is_short_and_printable() -> None:
    assert show("a" * 500) == '"' + "a" * 59 + "..."
    assert show("\x1b[31m\n") == '"\\u001b[31m\\n"'
    assert show("\u202eabc") == '"?abc"'
    assert show(2.5, "mm") == "2.5 mm"


def test_importing_units_loads_neither_pint_nor_pydantic() -> None:
    code = "import sys, simcore.units; print({'pint', 'pydantic', 'numpy'} & set(sys.modules))"
    run = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert run.stdout.strip() == "set()"
