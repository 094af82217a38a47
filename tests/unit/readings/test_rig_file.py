"""The rig file that a worksheet gives: reads as the rig, says how each value came about, is not lost."""

import re
from pathlib import Path

import pytest

from simcore.errors import InputError
from simcore.files import load_rig
from simcore.files.worksheet import load_worksheet, worksheet_of
from simcore.readings.derive import Derived, derive
from simcore.readings.rig_file import check_rig_place, rig_text
from simcore.readings.workings import Origin

SHIPPED = Path(__file__).parents[3] / "scenarios" / "worksheets" / "tarn.toml"


@pytest.fixture(scope="module")
def tarn() -> Derived:
    return derive(load_worksheet(SHIPPED))


def test_it_reads_as_the_rig(tarn: Derived, tmp_path: Path) -> None:
    path = tmp_path / "rig.toml"
    path.write_text(rig_text(tarn), encoding="utf-8")
    assert load_rig(path).model_copy(update={"spread": {}}) == tarn.rig()


def test_it_says_how_far_each_value_may_be_off(tarn: Derived, tmp_path: Path) -> None:
    path = tmp_path / "rig.toml"
    path.write_text(rig_text(tarn), encoding="utf-8")
    spread = load_rig(path).spread
    uncertain = {key for key, entry in tarn.entries.items() if entry.error > 0.0}
    assert spread.keys() == {key for key in uncertain if not key.startswith(("weighed", "track"))}
    for key, off in spread.items():
        entry = tarn.entries[key]
        if entry.origin is Origin.GUESS:
            guess = tarn.guesses.get(key)
            assert guess is None or (off["from"], off["to"]) == pytest.approx((guess.low, guess.high))
        else:
            assert off == pytest.approx(entry.error, rel=0.06)
    ranges = [off for off in spread.values() if isinstance(off, dict)]
    assert {"from": 8.0, "to": 14.0} in ranges  # the guess of the slip stiffness


def test_with_everything_a_worksheet_may_say(tmp_path: Path) -> None:
    table = {
        "worksheet": 1,
        "name": 'A "quoted" name',
        "note": "two\nlines",
        "rear": {
            "arm": {"chassis": [115, 70]},
            "shock": {"extended_length": 100, "chassis": [40, 150], "axle": [4, 66], "sag": 16},
        },
        "front": {
            "shock": {"link": "lower", "fraction": 0.9, "chassis": [262, 140]},
            "shaft": {"chassis": [180, 70], "axle": [280, 60], "ratio": 3, "turns": "anticlockwise"},
        },
        "gears": {"drive": "rear"},
        "parts": [{"name": "servo", "mass": 60, "at": [300, 90], "on": "front", "size": [40, 20]}],
        "skids": [{"at": [120, 62], "radius": 6}],
    }
    found = derive(worksheet_of(table, Path("x.toml")))
    path = tmp_path / "rig.toml"
    path.write_text(rig_text(found), encoding="utf-8")
    rig = load_rig(path)
    assert rig.model_copy(update={"spread": {}}) == found.rig()
    assert (rig.name, rig.note, rig.driveline.drive) == ('A "quoted" name', "two\nlines", "rear")
    assert rig.rear.arm is not None and rig.front.shock.link == "lower"
    assert rig.front.shaft is not None and rig.front.shaft.turns == "anticlockwise"


def test_every_value_says_its_error_or_that_it_is_exact_and_guesses_are_marked(tarn: Derived) -> None:
    text = rig_text(tarn)
    for key, entry in tarn.entries.items():
        if key.count(".") < 2 and not key.startswith(("parts", "skids", "rear", "front")):
            short = key.rpartition(".")[2]
            line = next(one for one in text.splitlines() if re.match(rf"{short} = ", one))
            assert "#" in line and (entry.error == 0.0 or "±" in line), line
    marked = [line for line in text.splitlines() if line.endswith("GUESS")]
    assert any(line.startswith("slip_stiffness = 11 ") for line in marked)
    assert not any(line.startswith(("wheelbase", "chassis", "axle")) for line in marked)


def test_a_file_that_was_touched_is_never_written_over(tarn: Derived, tmp_path: Path) -> None:
    path, text = tmp_path / "rig.toml", rig_text(tarn)
    check_rig_place(path)
    path.write_text(text, encoding="utf-8")
    check_rig_place(path)  # as written: may be written again
    for touched in (text.replace("wheelbase = 308", "wheelbase = 309"), text + "\n", text[1:], "", "x = 1\n"):
        path.write_text(touched, encoding="utf-8")
        with pytest.raises(InputError, match="written or changed by hand"):
            check_rig_place(path)
    path.write_bytes(b"\xff\xfe")
    with pytest.raises(InputError, match="written or changed by hand"):
        check_rig_place(path)
