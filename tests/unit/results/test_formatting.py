"""Results in words: names, numbers with their units, signs."""

import math

import pytest

from simcore.results.catalogue import CATALOGUE, label_of
from simcore.results.formatting import (
    MINUS,
    in_picture,
    in_text,
    number,
    said_unit,
    signed,
    span,
    three_digits,
)
from simcore.results.quantities import words


@pytest.mark.parametrize(
    ("key", "name"),
    [
        ("rear_travel_end_mm", "rear travel at the end"),
        ("front_load_mean_N", "mean front load"),
        ("front_load_cg_shift_g", "front load moved by links and springs"),
        ("top_speed_m_per_s", "top speed"),
    ],
)
def test_labels_of_metrics(key: str, name: str) -> None:
    assert (label_of(key) if key in CATALOGUE else words(key)) == name


def test_no_minus_before_nothing() -> None:
    assert in_picture("rear_squat_mm", -0.0001) == "0.00 mm"
    assert in_picture("pitch_rise_deg", -1.26) == "\N{MINUS SIGN}1.3\N{DEGREE SIGN}"


@pytest.mark.parametrize(
    ("figure", "value", "text"),
    [
        ("pitch_rise_deg", 0.123, "0.12 deg"),
        ("pitch_rise_deg", -2.345, "\N{MINUS SIGN}2.3 deg"),
        ("front_load_cg_shift_g", 123.4, "123 g"),
        ("front_load_cg_shift_g", 12.4, "12 g"),
        ("rear_support_pct", 7.26, "7.3 %"),
        ("momentum_residual_ratio", 0.5, "0.50"),
        ("rear_support_pct", math.nan, "none"),
        ("front_load_low_N", 4.905, "500 g"),
        ("rear_thrust_mean_N", -0.03, "\N{MINUS SIGN}3 g"),
        ("support_front_load_g", 0.31, "0.3 g"),
    ],
)
def test_figures_in_text(figure: str, value: float, text: str) -> None:
    assert in_text(figure, value) == text


@pytest.mark.parametrize(
    ("name", "value", "text"),
    [
        ("pitch_rise_deg", 1.23456, "1.23 deg"),
        ("rear_squat_mm", -1e-5, "0.000 mm"),
        ("momentum_residual_ratio", 1.5e-15, "0.000"),
        ("rear_support_pct", None, "-"),
        ("audit", "sound", "sound"),
        ("front_load_mean_N", 24.65, "2514 g"),
        ("rear_wheel_rate_N_per_mm", 0.14, "14.3 g/mm"),
    ],
)
def test_results_on_the_terminal(name: str, value: float | str | None, text: str) -> None:
    assert number(name, value) == text


@pytest.mark.parametrize(
    ("value", "text"),
    [(1.234, "1.23"), (99.94, "99.9"), (99.96, "100"), (-250.0, "\N{MINUS SIGN}250"), (2514.4, "2514")],
)
def test_bare_results_where_many_cases_stand_side_by_side(value: float, text: str) -> None:
    assert number("rear_squat_mm", value, bare=True) == text


@pytest.mark.parametrize(
    ("value", "text"),
    [(-1e-5, "0.000"), (0.00149, "0.001"), (12.3456, "12.3"), (2.5e9, "2500000000"), (math.nan, "none")],
)
def test_three_digits_without_an_exponent(value: float, text: str) -> None:
    assert three_digits(value) == text


@pytest.mark.parametrize(
    ("name", "unit"), [("rear_load_N", "g"), ("rear_wheel_rate_N_per_mm", "g/mm"), ("motion_ratio", "")]
)
def test_forces_are_weighed(name: str, unit: str) -> None:
    assert said_unit(name) == unit


def test_a_change_has_its_sign_unless_it_rounds_to_nought() -> None:
    assert [signed("pitch_rise_deg", value) for value in (1.26, -1.26, 0.001, -0.001, 0.0)] == [
        "+1.3\N{DEGREE SIGN}",
        f"{MINUS}1.3\N{DEGREE SIGN}",
        *["0\N{DEGREE SIGN}"] * 3,
    ]


def test_ends_of_an_interval_are_told_apart_where_they_are_seen() -> None:
    assert span("pitch_rise_deg", -1.26, 0.5) == f"{MINUS}1.3\N{DEGREE SIGN} to +0.50\N{DEGREE SIGN}"
    assert span("front_load_cg_shift_g", 8.81, 9.12) == "+8.81 g to +9.12 g"
    assert span("front_load_cg_shift_g", 8.81, 9.12, change=False) == "8.81 g to 9.12 g"
    assert span("front_load_cg_shift_g", 0.001, 0.002) == "0 g to 0 g"
