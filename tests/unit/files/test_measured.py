"""Readings as they stand in a worksheet: a number, its unit, its error."""

import pytest

from simcore.errors import RejectedValue
from simcore.files.measured import Cells, Instrument, Reading

SCALE = Instrument("g", ge=0, le=5000, error=1)
LABEL = Instrument("rpm/V", gt=0, le=20000, share=0.05)


@pytest.mark.parametrize(
    ("text", "value", "error"),
    [
        ("862 +- 2 g", 0.862, 0.002),
        ("862 g +- 2 g", 0.862, 0.002),
        ("862 +- 2", 0.862, 0.002),
        ("0.862 ± 0.002 kg", 0.862, 0.002),
        ("0.862 kg +/- 2 g", 0.862, 0.002),
        ("862+-2g", 0.862, 0.002),
        ("862 g +- 1 %", 0.862, 0.00862),
        ("862 +- 1 %", 0.862, 0.00862),
        ("8.62e2 + - 2e0 g", 0.862, 0.002),
        ("1 lb +- 0.1 oz", 0.45359237, 0.1 * 0.028349523125),  # international pound and ounce, NIST SP 811
    ],
)
def test_a_reading_with_its_error(text: str, value: float, error: float) -> None:
    reading = SCALE.read(text)
    assert reading.value == pytest.approx(value, rel=1e-12)
    assert reading.error == pytest.approx(error, rel=1e-12)
    assert reading.stated


def test_without_an_error_that_of_the_usual_instrument_counts() -> None:
    assert SCALE.read(862) == Reading(0.862, 0.001, stated=False)
    assert SCALE.read("0.862 kg") == Reading(0.862, 0.001, stated=False)
    label = LABEL.read(1400)
    assert label.error == pytest.approx(0.05 * label.value, rel=1e-12)


def test_percent_of_a_percentage_are_points() -> None:
    efficiency = Instrument("%", ge=20, le=100, error=10).read("75 +- 5 %")
    assert (efficiency.value, efficiency.error) == (pytest.approx(0.75), pytest.approx(0.05))


def test_repeated_readings_are_averaged() -> None:
    """Students' t for four degrees of freedom is 2.776 at 95 % (JCGM 100:2008, table G.2)."""
    reading = SCALE.read([861, "862 g", 863, "0.864 kg", 860])
    assert reading.value == pytest.approx(0.862, rel=1e-12)
    assert reading.error == pytest.approx(2.776 * 2.5e-6**0.5 / 5**0.5, rel=1e-3)
    assert reading.stated
    alike = SCALE.read([862, 862, 862, "", 862])  # no surer than the scale allows
    assert alike.error == pytest.approx(0.001 / 2.0)


@pytest.mark.parametrize("value", [[862], [], ["", ""], [862, [1, 2]]])
def test_one_in_a_list_is_no_repetition(value: list[object]) -> None:
    with pytest.raises(RejectedValue) as caught:
        SCALE.read(value)
    assert caught.value.must_be == "one reading, or a list of two or more"


def test_cells_are_volts() -> None:
    supply = Cells("V", gt=0, le=60, share=0.02)
    assert supply.read("3S").value == pytest.approx(11.1)
    assert supply.read("3S +- 0.5 V").error == pytest.approx(0.5)
    assert supply.read("7.4 V").value == pytest.approx(7.4)


@pytest.mark.parametrize(
    ("text", "must_be"),
    [
        ("862 +- 2 mm", "in g or a unit of the same kind"),
        ("862 mm +- 2 g", "in g or a unit of the same kind"),
        ("862 +- 0 g", "an error greater than 0"),
        ("862 +- -2 g", "an error greater than 0"),
        ("862 +-", 'one number, or one with its error, as "12 +- 1 g"'),
        ("+- 2 g", 'one number, or one with its error, as "12 +- 1 g"'),
        ("862 +- 2 +- 3 g", 'one number, or one with its error, as "12 +- 1 g"'),
        ("862 +- two g", 'a number, as in "12 +- 1 g"'),
        ("9 +- 1 kg", "from 0 to 5000 g"),
        ("many", "a number in g"),
        (True, "a number in g"),
        ([1], "one reading, or a list of two or more"),
        (float("nan"), "a number in g"),
        ("nan +- 1 g", "a number in g"),
        ("86,2 +- 1 g", "a number with a decimal point"),
    ],
)
def test_what_is_no_reading_is_refused(text: object, must_be: str) -> None:
    with pytest.raises(RejectedValue) as caught:
        SCALE.read(text)
    assert caught.value.must_be == must_be


@pytest.mark.parametrize("text", ["862 +- 2 g", 862, "0.862 kg", "1.5 +- 0.3 lb", "33.3333333333 +- 7 %"])
def test_what_is_written_reads_as_the_same(text: object) -> None:
    reading = SCALE.read(text)
    again = SCALE.read(SCALE.write(reading))
    assert again.value == pytest.approx(reading.value, rel=1e-15)
    assert again.error == pytest.approx(reading.error, rel=1e-11)
    assert again.stated is reading.stated
