"""Ways to a value: the surest is taken, what disagrees is named, guesses are marked."""

from pathlib import Path
from typing import Any

import pytest

from simcore.files.worksheet import Worksheet, worksheet_of
from simcore.readings.uncertain import error_of, made_of, value_of, variable
from simcore.readings.workings import Origin, Way, Workings, said


def sheet(**lines: Any) -> Worksheet:
    return worksheet_of({"worksheet": 1, "name": "Bench mule", **lines}, Path("mule.toml"))


def test_errors_are_twice_the_standard_deviation_and_add_in_squares() -> None:
    one, other = variable(10.0, 0.3, "one"), variable(20.0, 0.4, "other")
    assert one.std_dev == pytest.approx(0.15)
    both = one + other
    assert (value_of(both), error_of(both)) == (pytest.approx(30.0), pytest.approx(0.5))
    assert made_of(both) == {"other": pytest.approx(0.4), "one": pytest.approx(0.3)}
    assert list(made_of(both)) == ["other", "one"]  # the largest first
    assert error_of(one - one) == 0.0  # the same reading, not two of them
    assert (error_of(3.0), made_of(3.0)) == (0.0, {})


def test_the_surest_way_is_taken() -> None:
    workings = Workings(sheet())
    rough, fine = Way("rough", variable(100.0, 9.0, "a")), Way("fine", variable(103.0, 2.0, "b"))
    assert workings.put_best("wheelbase", "mm", [rough, None, fine]) is fine.number
    assert workings.entries["wheelbase"].formula == "fine"
    assert not workings.disagreements


@pytest.mark.parametrize(("apart", "named"), [(4.4, False), (4.6, True)])  # 1.5 times the error of 3
def test_ways_that_disagree_are_named_with_both_figures(apart: float, named: bool) -> None:
    workings = Workings(sheet())
    exact, read = Way("teeth", 0.1), Way("turns", variable(0.1 + 1e-3 * apart, 3e-3, "a"))
    workings.best("wheelbase", "mm", [read, exact])
    texts = [one.text for one in workings.disagreements]
    assert texts == (["100 mm (teeth), but 104.6 ± 3.0 mm (turns)"] if named else [])


def test_one_reading_in_two_ways_counts_once() -> None:
    """Two ways that hang on the same reading differ by more than chance already when they differ at all."""
    workings = Workings(sheet())
    common = variable(0.1, 0.02, "a")
    workings.best("wheelbase", "mm", [Way("one", common), Way("other", common + 1e-4)])
    assert len(workings.disagreements) == 1


def test_origins() -> None:
    workings = Workings(sheet(wheelbase="300 +- 1 mm"))
    read = workings.read("wheelbase")
    guess = workings.guess("rear.tyre.diameter")
    workings.put("wheelbase", "mm", "read", read)
    workings.put("rear.tyre.radius", "mm", "guess", 0.5 * guess)
    workings.put("half", "mm", "wheelbase / 2", 0.5 * read)
    workings.put("mostly_read", "mm", "sum", 100.0 * read + 0.1 * guess)
    workings.put("mostly_guess", "mm", "sum", read + guess)
    assert [entry.origin for entry in workings.entries.values()] == [
        Origin.READ,
        Origin.GUESS,
        Origin.WORKED_OUT,
        Origin.WORKED_OUT,
        Origin.GUESSED_IN_PART,
    ]


def test_a_table_half_filled_in_is_named() -> None:
    workings = Workings(sheet(rear={"tyre": {"rolled": {"turns": 5}}}))
    assert workings.all_read("rear.tyre.rolled", "distance", "turns") is None
    assert workings.all_read("front.tyre.rolled", "distance", "turns") is None
    assert workings.unused == {"rear.tyre.rolled": ("distance",)}


def test_readings_and_guesses_can_be_moved() -> None:
    workings = Workings(sheet(wheelbase="300 +- 1 mm"), {"wheelbase": 0.301, "rear.tyre.diameter": 0.12})
    assert value_of(workings.read("wheelbase")) == 0.301
    assert value_of(workings.guess("rear.tyre.diameter")) == 0.12
    assert error_of(workings.read("wheelbase")) == pytest.approx(1e-3)


@pytest.mark.parametrize(
    ("value", "error", "unit", "text"),
    [
        (0.308, 0.0005, "mm", "308.00 ± 0.50 mm"),
        (2.088, 0.0028, "g", "2088.0 ± 2.8 g"),
        (2.088, 0.0996, "g", "2088 ± 100 g"),
        (0.1, 0.1, "1", "0.10 ± 0.10"),
        (0.012, 0.0, "mm", "12 mm"),
    ],
)
def test_a_number_is_said_to_the_digits_of_its_error(
    value: float, error: float, unit: str, text: str
) -> None:
    assert said(variable(value, error, "a") if error else value, unit) == text
