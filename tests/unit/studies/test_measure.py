"""A measured rig as a result: its sheet adds up, and what is saved is read again as it was."""

from pathlib import Path

import pandas as pd
import pytest

import simcore
from simcore.files.worksheet import worksheet_of
from simcore.studies.measure import SHEET, Measurement

SHIPPED = Path(__file__).parents[3] / "scenarios" / "worksheets" / "tarn.toml"


@pytest.fixture(scope="module")
def tarn() -> Measurement:
    return simcore.measure(SHIPPED)


def test_the_sheet_has_a_row_for_every_value(tarn: Measurement) -> None:
    assert list(tarn.sheet.columns) == list(SHEET)
    assert list(tarn.sheet.index) == list(tarn.derived.entries)
    assert tarn.sheet["share_pct"].between(0.0, 100.0 + 1e-9).all()
    exact = tarn.sheet["error"] == 0.0
    assert (tarn.sheet.loc[exact, "mostly_from"] == "").all()
    assert (tarn.sheet.loc[~exact, "mostly_from"] != "").all()
    assert sum(tarn.derived.counts.values()) == len(tarn.sheet)


def test_it_is_read_again_as_it_was(tarn: Measurement, tmp_path: Path) -> None:
    tarn.save(tmp_path)
    again = simcore.load(tmp_path)
    assert isinstance(again, Measurement)
    assert again.headline == tarn.headline
    pd.testing.assert_frame_equal(again.sheet, tarn.sheet)
    assert [str(one) for one in again.concerns] == [str(one) for one in tarn.concerns]
    assert (tmp_path / "rig.toml").read_text(encoding="utf-8") == again_text(again)
    assert pd.read_csv(tmp_path / "sheet.csv", index_col="key").shape == tarn.sheet.shape


def again_text(measured: Measurement) -> str:
    from simcore.readings.rig_file import rig_text

    return rig_text(measured.derived)


def test_weights_that_foretell_another_sag_are_named() -> None:
    """A spring of 0.1 N/mm that goes loose at full length gives 10 mm per 102 g; the rig stands elsewhere."""
    table = {
        "worksheet": 1,
        "name": "Sagging",
        "scales": {"rear": 900, "front": 1100},
        "rear": {"shock": {"extended_length": 100, "sag": 5, "loading": [[102, 10], [153, 15], [204, 20]]}},
    }
    found = simcore.measure(worksheet_of(table, Path("w.toml")))
    (one,) = [concern for concern in found.concerns if concern.case == "rear.shock.sag"]
    assert one.doubt.name == "DISAGREE" and "the rig stands at 5.0 mm" in one.text
