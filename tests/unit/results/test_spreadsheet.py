"""CSV files are those that pandas writes, byte for byte."""

import math
from pathlib import Path

import numpy as np
import pandas as pd
import pytest
from hypothesis import given
from hypothesis import strategies as st

from simcore.results import spreadsheet
from simcore.results.spreadsheet import write_csv

ODD = [math.nan, math.inf, -math.inf, -0.0, 1e-320, 1 / 3, 123456789.123, 1e16, -2.5e-7]
WORDS = ["", "a, b", 'say "no"', "two\nlines", "return\r", "ä 25°", "%s %d", "plain", "nan"]
TABLES = {
    "odd numbers": pd.DataFrame({"x_mm": ODD, "whole": range(len(ODD)), "no_gap": np.arange(9) / 7}),
    "odd words": pd.DataFrame({"word": WORDS, 'a "name", odd': WORDS[::-1]}),
    "nothing there": pd.DataFrame(
        {"word": ["a", None, "b"], "gap": [None, math.nan, 1.5], "yes": [True, False, True]}
    ),
    "named rows": pd.DataFrame({"x": [0.1, 0.2]}, index=pd.Index(["a, b", "c"], name="run")),
    "rows without a name": pd.DataFrame({"x": [0.1, 0.2]}, index=["a", "b"]),
    "no rows": pd.DataFrame({"x": pd.Series([], dtype=float), "word": []}),
    "codes": pd.DataFrame({"state": pd.Categorical(["up", "down", "up"])}),
}


def _same(table: pd.DataFrame, folder: Path, index: bool, form: str) -> None:
    ours, theirs = folder / "ours.csv", folder / "theirs.csv"
    write_csv(table, ours, index, form)
    table.to_csv(theirs, index=index, float_format=form)
    assert ours.read_bytes() == theirs.read_bytes()


@pytest.mark.parametrize("form", ["%.9g", "%.6g"])
@pytest.mark.parametrize("index", [True, False])
@pytest.mark.parametrize("name", TABLES)
def test_a_table_is_written_as_pandas_does(name: str, index: bool, form: str, tmp_path: Path) -> None:
    _same(TABLES[name], tmp_path, index, form)


def test_a_long_table_is_written_in_parts(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setattr(spreadsheet, "ROWS", 4)  # a gap in one part alone
    _same(
        pd.DataFrame({"x": [*map(float, range(10)), math.nan], "word": list("abcdefghijk")}),
        tmp_path,
        True,
        "%.9g",
    )


@given(st.lists(st.floats(), min_size=1), st.lists(st.text(), min_size=1))
def test_any_number_and_any_word(tmp_path_factory, numbers: list[float], words: list[str]) -> None:
    count = min(len(numbers), len(words))
    words = [word.encode("utf-8", "ignore").decode() for word in words]  # no halves of letters
    table = pd.DataFrame({"x": numbers[:count], "word": words[:count]})
    _same(table, tmp_path_factory.mktemp("csv"), False, "%.9g")
