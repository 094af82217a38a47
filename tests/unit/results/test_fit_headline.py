"""The sentence of a fit."""

import numpy as np
import pytest

from simcore.results.headlines.fit import certainty_headline, fit_headline, with_error

MINUS = "\N{MINUS SIGN}"


@pytest.mark.parametrize(
    ("value", "error", "said"),
    [
        (3.1234, 0.0812, "3.123 ± 0.081 N"),
        (3.1234, 0.812, "3.12 ± 0.81 N"),
        (-312.34, 8.12, f"{MINUS}312.3 ± 8.1 N"),
        (31234.0, 812.0, "31230 ± 810 N"),
        (0.00001234, 0.0000034, "0.0000123 ± 0.0000034 N"),
        (2.0, 0.0, "2.000 ± 0.000 N"),
    ],
)
def test_values_are_as_fine_as_two_digits_of_their_errors(value, error, said) -> None:
    assert with_error(value, error, "N") == said


def test_values_come_first_then_what_is_not_told_then_what_is_left_over() -> None:
    said = fit_headline(
        [("rear rate", "3 ± 1 g/mm"), ("grip", "1 ± 0 %")],
        ["the log cannot tell a from b"],
        [("pitch", "0.2 deg"), ("way covered", "3 mm"), ("ground speed", "1 m/s")],
        explained=False,
        freed=True,
    )
    assert said == (
        "Rear rate 3 ± 1 g/mm, grip 1 ± 0 %. The log cannot tell a from b. Run and log then differ by "
        "0.2 deg (pitch), 3 mm (way covered) and 1 m/s (ground speed), more than noise does"
    )
    assert fit_headline([], [], [("pitch", "1 deg")], explained=True, freed=False) == (
        "Run and log differ by 1 deg (pitch), no more than noise does"
    )


def test_the_best_and_the_least_known_value_are_named() -> None:
    matrix = np.array([[1.0, 0.1, -0.9], [0.1, 1.0, 0.2], [-0.9, 0.2, 1.0]])
    assert certainty_headline(["a", "b", "c"], [2.0, 31.0, 5.0], matrix) == (
        f"Known best: a, to 2 %; least: b, to 31 %. A and c can make up for one another "
        f"(correlation {MINUS}0.90)"
    )
    assert certainty_headline(["a", "b"], [2.0, 2.5], np.eye(2)) == (
        "All are known about alike, to 2.5 %. Their errors hardly hang together"
    )
