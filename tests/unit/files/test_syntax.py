"""Texts that are no TOML: every number that TOML does not know is told at once, with what to write."""

import re
import time
import tomllib
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from simcore.errors import InputError
from simcore.files.source import read_toml
from simcore.files.syntax import syntax_issues

GOOD = Path(__file__).parents[2] / "robustness" / "wrong_files" / "good_rig.toml"
TEXT = GOOD.read_text(encoding="utf-8")
NUMBERS = [match for match in re.finditer(r"= (\d+)(?=\n|,| })", TEXT) if "schema" not in match[0]]


@given(st.sets(st.integers(0, len(NUMBERS) - 1), min_size=1, max_size=6), st.integers(0, 99))
def test_every_decimal_comma_is_found_and_what_is_meant_makes_a_file(which: set[int], digits: int) -> None:
    text, meant = TEXT, TEXT
    for k in sorted(which, reverse=True):
        end = NUMBERS[k].end()
        text, meant = (f"{one[:end]}{mark}{digits}{one[end:]}" for one, mark in ((text, ","), (meant, ".")))
    found = list(syntax_issues(text, "x.toml"))
    assert len(found) == len(which)
    for issue in found:
        assert "decimal comma" in issue.got
        text = text.replace(issue.got.split(" ")[0], issue.hint)
    assert tomllib.loads(text) == tomllib.loads(meant)


@pytest.mark.parametrize(
    ("line", "place", "got", "hint"),
    [
        ("slope = 12,5", "line 3, slope", "12,5 with a decimal comma", "12.5"),
        ("slope = -0,5 # down", "line 3, slope", "-0,5 with a decimal comma", "-0.5"),
        ("slope=12,5 deg", "line 3, slope", "12,5 deg with a decimal comma", "12.5 deg"),
        ("ratio = 45:1", "line 3, ratio", "45:1", "45"),
        ("ratio = 45 : 1", "line 3, ratio", "45 : 1", "45"),
        ("radius = 2.2 in", "line 3, radius", "2.2 in", "2.2 in"),
        ("rate = 16.6 g/mm", "line 3, rate", "16.6 g/mm", "16.6 g/mm"),
        ("duration = 3s", "line 3, duration", "3s", "3s"),
        ('"ground.slope +=" = 2,5', 'line 3, "ground.slope +="', "2,5 with a decimal comma", "2.5"),
        ("chassis.mass = 9,5", "line 3, chassis.mass", "9,5 with a decimal comma", "9.5"),
        ("a = { b = 1, c = 2,5, d = 3 }", "line 3, c", "2,5 with a decimal comma", "2.5"),
        ("a = [{ c = 2,5 }]", "line 3, c", "2,5 with a decimal comma", "2.5"),
    ],
)
def test_what_is_meant_by_a_bare_value(line: str, place: str, got: str, hint: str) -> None:
    (issue,) = syntax_issues(f'title = "x = 1,5"\n# y = 2,5\n{line}\nlast = 1\n', "x.toml")
    assert (issue.key, issue.got, issue.hint) == (place, got, hint)


@pytest.mark.parametrize(
    ("text", "place", "got"),
    [
        ('a = 1\nnote = "slope = 12,5\n', "line 2, column 21", "illegal character"),
        ("a = 1,5 'b'", "line 1, column 6", "expected newline"),
        ("a = [1,2\nb=3", "line 2, column 1", "unclosed array"),
        ("a = 12:30:99", "line 1, column 7", "expected newline"),
        ("a = \n", "line 1, column 5", "invalid value"),
        ("a = 1\na = 2\n", "line 2, column 6", "cannot overwrite"),
        ('a = """', "end of document", "unterminated string"),
    ],
)
def test_other_faults_are_told_as_they_are(text: str, place: str, got: str) -> None:
    (issue,) = syntax_issues(text, "x.toml")
    assert issue.key == place
    assert issue.got.startswith(got)
    assert issue.must_be == "valid TOML"


def test_a_slip_does_not_hide_another_fault() -> None:
    found = list(syntax_issues("a = 1,5\nb = = 3\n", "x.toml"))
    assert [issue.key for issue in found] == ["line 1, a", "line 2, column 5"]


@pytest.mark.parametrize("piece", ["a.", "a-", "1,5", '"', "a = 1,5 x", "1 m ", " "])
def test_huge_lines_are_refused_at_once(piece: str, tmp_path: Path) -> None:
    path = tmp_path / "huge.toml"
    path.write_text("a = 1,5 " + piece * (900_000 // len(piece)), encoding="utf-8")
    before = time.process_time()
    with pytest.raises(InputError):
        read_toml(path)
    assert time.process_time() - before < 5.0
