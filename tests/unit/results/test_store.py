"""Kept rows: altered ones are not believed, cut-off ones leave nothing, a full disk is said in one line."""

import json
import os
import resource
import warnings
from collections.abc import Iterator
from contextlib import closing, contextmanager
from pathlib import Path

import pytest

from simcore.errors import InputError
from simcore.results.store import FILE, DamagedRows, NoMetrics, Row, Rows, without_metrics

ROWS: dict[str, Row] = {f"{k:032x}": {"pitch_rise_deg": 1.0 / (k + 3), "job": "DONE"} for k in range(5)}


def kept(folder: Path) -> dict[str, Row]:
    with closing(Rows(folder)) as rows:
        return rows.found


def keep(folder: Path, rows: dict[str, Row]) -> None:
    with closing(Rows(folder)) as store:
        for key, row in rows.items():
            store.keep(key, row)


def test_rows_come_back_to_the_last_bit(tmp_path: Path) -> None:
    keep(tmp_path, ROWS)
    assert kept(tmp_path) == ROWS


def test_no_flipped_bit_alters_a_row(tmp_path: Path) -> None:
    """Every bit of a line in turn: the row is as it was, or it is not there and a warning says so."""
    keep(tmp_path, ROWS)
    file = tmp_path / FILE
    text = file.read_bytes()
    first = text.index(b"\n")
    for place in range(first):
        for bit in (1, 64):
            file.write_bytes(text[:place] + bytes([text[place] ^ bit]) + text[place + 1 :])
            with pytest.warns(DamagedRows, match=r"runs.jsonl: .* done again"):
                found = kept(tmp_path)
            assert found.items() <= ROWS.items() and len(found) == 4
    assert len(text.splitlines()) == 5


def test_a_line_that_was_cut_off_leaves_nothing_behind(tmp_path: Path) -> None:
    keep(tmp_path, ROWS)
    file = tmp_path / FILE
    text = file.read_bytes()
    start = text.rindex(b"\n", 0, -1) + 1
    for end in (start + 1, start + 30, len(text) - 1):
        file.write_bytes(text[:end])
        assert kept(tmp_path) == dict(list(ROWS.items())[:4])
        assert file.read_bytes() == text[:start]


def test_rows_that_an_older_program_kept_are_not_believed(tmp_path: Path) -> None:
    (tmp_path / FILE).write_text(json.dumps({"run": "a", "row": {"job": "DONE"}}) + "\n")
    assert kept(tmp_path) == {}


@contextmanager
def no_more_than(size: int) -> Iterator[None]:
    """Files of this process grow no further, as on a full disk."""
    before = resource.getrlimit(resource.RLIMIT_FSIZE)
    resource.setrlimit(resource.RLIMIT_FSIZE, (size, before[1]))
    try:
        yield
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, before)


def test_a_full_disk_is_named_and_costs_no_row_that_was_kept(tmp_path: Path) -> None:
    file = tmp_path / FILE
    with closing(Rows(tmp_path)) as store:
        for key, row in list(ROWS.items())[:3]:
            store.keep(key, row)
        before = file.read_bytes()
        with no_more_than(len(before) + 20), pytest.raises(InputError) as caught:
            store.keep(*list(ROWS.items())[3])
    (issue,) = caught.value.issues
    assert (issue.file, issue.got) == (str(file), "File too large") and "with room" in issue.must_be
    assert file.read_bytes() == before


def test_a_folder_that_is_deleted_meanwhile_is_made_again(tmp_path: Path) -> None:
    folder = tmp_path / "out"
    with closing(Rows(folder)) as store:
        for key, row in ROWS.items():
            if len(store.found) == 3:
                (folder / FILE).unlink()
                folder.rmdir()
                store.keep("d", without_metrics(NoMetrics.DIED))
            store.keep(key, row)
    assert kept(folder) == ROWS


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="no pipes in folders")
def test_what_is_no_file_is_refused(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / FILE)
    with pytest.raises(InputError, match="no regular file"):
        Rows(tmp_path)


def test_two_processes_keep_rows_in_one_file(tmp_path: Path) -> None:
    """Each opens it while the other writes; neither cuts anything off."""
    with closing(Rows(tmp_path)) as one, closing(Rows(tmp_path)) as other, warnings.catch_warnings():
        warnings.simplefilter("error")
        for k, (key, row) in enumerate(ROWS.items()):
            (one if k % 2 else other).keep(key, row)
            assert len(kept(tmp_path)) == k + 1
    assert kept(tmp_path) == ROWS
