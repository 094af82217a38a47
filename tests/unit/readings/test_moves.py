"""What may be off in a worksheet: everything that the rig hangs on, rows together, all of the error."""

import math

import numpy as np
import pytest
from worksheets_to_move import RATE, filled

from simcore.files.worksheet import Worksheet
from simcore.readings.derive import Derived, derive
from simcore.readings.line_names import name_of
from simcore.readings.moves import Move, Source, moves_of
from simcore.readings.uncertain import error_of, made_of, value_of
from simcore.units import factor

SHEET = filled()
DERIVED = derive(SHEET)
MOVES = moves_of(DERIVED)
BLANK = Worksheet(worksheet=1, name="Blank")


def move(tag: str, gives: str = "") -> Move:
    (found,) = [one for one in MOVES if (one.tag, one.gives) == (tag, gives)]
    return found


def slopes(derived: Derived, key: str) -> dict[str, float]:
    """Derivative of a value after each reading or guess."""
    number = derived.entries[key].number
    return {str(one.tag): slope for one, slope in getattr(number, "derivatives", {}).items()}


@pytest.mark.parametrize("sheet", [SHEET, BLANK], ids=["filled", "blank"])
def test_moves_make_up_the_whole_error_of_every_value(sheet: Worksheet):
    """JCGM 100:2008, 5.1.2: squares of independent parts add up; a move too few or too many would show."""
    derived = derive(sheet)
    moves = moves_of(derived)
    assert len({(one.tag, one.gives) for one in moves}) == len(moves)
    for key, entry in derived.entries.items():
        slope = slopes(derived, key)
        parts = [sum(slope.get(tag, 0.0) * way for tag, way in one.by.items()) for one in moves]
        assert math.hypot(*parts) == pytest.approx(error_of(entry.number), rel=1e-6, abs=1e-15), key


def test_a_guess_is_moved_to_the_ends_of_its_range_and_a_reading_by_its_error():
    grip = move("rear.tyre.slip_stiffness")
    assert (grip.source, grip.to(1.0), grip.to(-1.0)) == (
        Source.GUESS,
        pytest.approx(14.0),
        pytest.approx(8.0),
    )
    base = move("wheelbase")
    assert (base.source, base.unit, base.value, base.error) == (Source.READ, "mm", pytest.approx(315), 1.0)
    moved = derive(SHEET, base.moved(1.0)).entries
    assert moved["wheelbase"].value == pytest.approx(316.0)
    box = move("rear.housing.size taken as a box")
    changed = derive(SHEET, box.moved(1.0)).entries["rear.housing.pitch_inertia"].value
    assert changed == pytest.approx(1.3 * DERIVED.entries["rear.housing.pitch_inertia"].value)


@pytest.mark.parametrize("tag", [one.tag for one in MOVES if one.source is Source.ASSUMED])
def test_what_is_taken_for_granted_moves_what_hangs_on_it(tag: str):
    """By as much as its part of the error says."""
    found = move(tag)
    changed = derive(SHEET, found.moved(1.0)).entries
    parts = {key: made_of(entry.number).get(tag, 0.0) for key, entry in DERIVED.entries.items()}
    hanging = {key: part for key, part in parts.items() if part}
    assert hanging
    for key, part in hanging.items():
        by = value_of(changed[key].number) - value_of(DERIVED.entries[key].number)
        assert abs(by) == pytest.approx(part, rel=0.02)


def test_a_reading_is_moved_no_further_than_its_line_allows():
    sheet = filled(rear={"lower_link": {"mass": 0.4}})
    (mass,) = [one for one in moves_of(derive(sheet)) if one.tag == "rear.lower_link.mass"]
    assert (mass.to(1.0), mass.to(-1.0)) == (pytest.approx(1.4), 0.0)


@pytest.mark.parametrize(
    ("key", "line"),
    [
        ("rear.shock.springs.0.rate", "rear.shock.loading"),
        ("front.shock.friction.sliding", "front.shock.loading"),
        ("rear.tyre.stiffness", "rear.tyre.squash"),
    ],
)
def test_rows_move_together_in_the_most_probable_way(key: str, line: str):
    """Shifts together as improbable as 2 sigma of one reading move a value by 2 |slope sigma| at most
    (Cauchy and Schwarz), and only the most probable way does so.
    """
    found, slope = move(line, key), slopes(DERIVED, key)
    sigma = {str(one.tag): one.std_dev for one in DERIVED.entries[key].number.derivatives}
    shift = np.array([found.by[tag] / sigma[tag] for tag in found.by])
    weights = np.array([slope[tag] * sigma[tag] for tag in found.by])
    assert np.linalg.norm(shift) == pytest.approx(2.0)
    assert weights @ shift == pytest.approx(2.0 * np.linalg.norm(weights), rel=0.02)
    moved = derive(SHEET, found.moved(1.0)).entries[key]
    assert moved.value - found.value == pytest.approx(found.error, rel=0.1)


def test_rows_give_rate_and_friction_and_each_leaves_the_other_alone():
    rate, friction = (
        move("rear.shock.loading", f"rear.shock.{key}") for key in ("springs.0.rate", "friction.sliding")
    )
    assert rate.value == pytest.approx(RATE["rear"], rel=1e-3)
    left = derive(SHEET, friction.moved(1.0)).entries["rear.shock.springs.0.rate"].value
    assert left == pytest.approx(rate.value, rel=1e-3)
    assert not [one for one in MOVES if ".loading." in one.tag or ".unloading." in one.tag]


def test_every_value_and_every_move_has_a_name_of_words():
    for sheet in (SHEET, BLANK):
        derived = derive(sheet)
        keys = [*derived.entries, *(one.gives or one.tag for one in moves_of(derived))]
        for key in keys:
            name = name_of(key, sheet)
            assert "_" not in name and "." not in name, (key, name)
    assert name_of("parts.0.at.1", SHEET) == "battery, place height"
    assert (
        name_of("photo.points.rear.lower_link.axle.0")
        == "rear lower link, axle pin on the photograph, across"
    )
    assert name_of("photo.known.1.pixel.0", SHEET).startswith("known point 2 of the photograph")


def test_moved_values_keep_their_units():
    for one in MOVES:
        if one.source is not Source.ROWS:
            assert one.moved(1.0)[one.tag] == pytest.approx(one.to(1.0) * factor(one.unit))
            assert one.own[one.tag] == pytest.approx(one.value * factor(one.unit))
    assert value_of(DERIVED.entries["wheelbase"].number) == pytest.approx(0.315)
