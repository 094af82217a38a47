"""Logs as phones, loggers and spreadsheets write them; and what is wrong with wrong ones."""

import math
from pathlib import Path

import numpy as np
import pytest

from simcore.errors import InputError
from simcore.logs import CHANNELS, read_log

TIMES = [0.01 * k for k in range(12)]
PITCH = [15 + 0.5 * k for k in range(12)]


def written(tmp_path: Path, *lines: str, coding: str = "utf-8") -> Path:
    path = tmp_path / "log.csv"
    path.write_bytes("\n".join(lines).encode(coding))
    return path


def table(header: str, rows: list[tuple[float, ...]], mark: str = ",", comma: bool = False) -> list[str]:
    cells = [[f"{value:.6g}" for value in row] for row in rows]
    if comma:
        cells = [[cell.replace(".", ",") for cell in row] for row in cells]
    return [header, *(mark.join(row) for row in cells)]


def pairs(factor: float = 1.0, clock: float = 1.0) -> list[tuple[float, float]]:
    return [(clock * t, factor * p) for t, p in zip(TIMES, PITCH, strict=True)]


def issues(path: Path, columns: dict[str, str] | None = None) -> list[str]:
    with pytest.raises(InputError) as caught:
        read_log(path, columns)
    return [str(issue) for issue in caught.value.issues]


@pytest.mark.parametrize(
    ("header", "factor", "clock", "columns"),
    [
        ("time_s,pitch_deg", 1.0, 1.0, {}),
        ("time,pitch", 1.0, 1.0, {}),
        ("Time [ms],Pitch [rad]", math.pi / 180, 1000.0, {}),
        ("t,nose (rad)", math.pi / 180, 1.0, {"t": "time_s", "nose (rad)": "pitch_deg"}),
        ("t,nose (rad)", math.pi / 180, 1.0, {"t": "time", "nose": "pitch"}),
        ("t,a=b", math.pi / 180, 1.0, {"t": "time", "a=b [rad]": "pitch"}),
        ("t,nose", -1.0, 1.0, {"t": "time_s", "nose": "-pitch_deg"}),
        ("seconds,turn", 1 / 360, 1.0, {"seconds": "time_s", "turn [turn]": "pitch_deg"}),
    ],
)
def test_columns_are_found_and_converted(tmp_path, header, factor, clock, columns) -> None:
    log = read_log(written(tmp_path, *table(header, pairs(factor, clock))), columns)
    assert log.channels == ["pitch_deg"] and log.left_out == ()
    np.testing.assert_allclose(log.table["time_s"], TIMES, rtol=1e-5, atol=1e-9)
    np.testing.assert_allclose(log.table["pitch_deg"], PITCH, rtol=1e-5)


@pytest.mark.parametrize(
    ("mark", "comma", "coding"),
    [(",", False, "utf-8"), (";", True, "utf-8-sig"), ("\t", True, "cp1252"), (";", False, "utf-16")],
)
def test_spreadsheets_of_any_country_are_read(tmp_path, mark, comma, coding) -> None:
    lines = table(f"time_s{mark}Länge{mark}pitch [°]", [(t, 1.5, p) for t, p in pairs()], mark, comma)
    log = read_log(written(tmp_path, *lines, "", coding=coding))
    np.testing.assert_allclose(log.table["pitch_deg"], PITCH)
    assert log.left_out == ("Länge",)


def test_quoted_decimal_commas_are_read(tmp_path) -> None:
    lines = [f'"{t:.2f}","{p:.1f}"'.replace(".", ",") for t, p in pairs()]
    np.testing.assert_allclose(
        read_log(written(tmp_path, "time_s,pitch_deg", *lines)).table["pitch_deg"], PITCH
    )


def test_an_empty_cell_is_no_reading(tmp_path) -> None:
    lines = table("time_s,pitch_deg", pairs())
    lines[3] = "0.02,"
    values = read_log(written(tmp_path, *lines)).table["pitch_deg"]
    assert list(np.flatnonzero(values.isna())) == [2]


def test_every_fault_of_a_log_is_named_at_once(tmp_path) -> None:
    lines = table("time_s,pitch_deg,rear_travel_mm", [(t, p, 3.0) for t, p in pairs()])
    lines[2], lines[4] = "0.01,n/a,3", ",15,nan"
    lines[6] = "0.05,15,4,7"
    found = issues(written(tmp_path, *lines))
    path = tmp_path / "log.csv"
    expected = [
        f"{path}: row 7: got 4 cells, must be 3, as the header has",
        f"{path}: time_s, row 5: got nothing, must be a number",
        f'{path}: pitch_deg, row 3: got "n/a", must be a number, or nothing where there was no reading',
        f'{path}: rear_travel_mm, row 5: got "nan", must be a number, or nothing where there was no reading',
    ]
    assert sorted(found) == sorted(expected)


def test_many_rows_of_one_fault_are_one_line(tmp_path) -> None:
    lines = table("time_s,pitch_deg", pairs())
    lines[1:] = [line.split(",")[0] + ",NaN" for line in lines[1:]]
    (found,) = issues(written(tmp_path, *lines))
    assert 'pitch_deg, rows 2, 3, 4, 5, 6 and 7 more: got "NaN"' in found


@pytest.mark.parametrize(
    ("lines", "columns", "said"),
    [
        ([], {}, "got an empty file, must be a table with a header"),
        (["time_s,pitch_deg"], {}, "pitch_deg: got 0 readings, must be at least 8"),
        (table("pitch_deg,x", pairs()), {}, 'time_s: got the columns "pitch_deg", "x", must be one that is'),
        (table("time_s,x", pairs()), {}, 'channels: got the columns "time_s", "x", must be one of pitch_deg'),
        (table("time_s,pitch_dg", pairs()), {}, '(did you mean "pitch_deg"?)'),
        (table("time_s,pitch [mm]", pairs()), {}, "must be in deg or a unit of the same kind"),
        (table("time_s,pitch [hops]", pairs()), {}, "must be a number and a known unit"),
        (table("time_s,pitch_deg [rad]", pairs()), {}, "rad beside deg"),
        (table("time_s,x", pairs()), {"x": "pich_deg"}, '--column: x: got "pich_deg", must be one of time_s'),
        (table("time_s,x", pairs()), {"y": "pitch_deg"}, "--column: y: got no such column, must be one of"),
        (
            table("time_s,pitch_deg,x", [(t, p, p) for t, p in pairs()]),
            {"x": "pitch"},
            "pitch_deg: got two columns",
        ),
        (
            table("time_s,pitch_deg", [(0.0, p) for _, p in pairs()]),
            {},
            "time_s, rows 3, 4, 5, 6, 7 and 6 more: got a time that is not after the one before",
        ),
    ],
)
def test_wrong_logs_are_refused_in_words(tmp_path, lines, columns, said) -> None:
    assert said in "\n".join(issues(written(tmp_path, *lines), columns))


def test_a_file_that_is_none_is_refused(tmp_path) -> None:
    assert "got no such file" in issues(tmp_path / "none.csv")[0]
    (tmp_path / "picture.csv").write_bytes(b"\x89PNG\x00\x01\xff")
    assert "got no text" in issues(tmp_path / "picture.csv")[0]
    assert "must be a file that can be read" in issues(tmp_path)[0]


def test_channels_say_what_they_mean() -> None:
    for name, channel in CHANNELS.items():
        assert channel.meaning and channel.unit and channel.label and channel.finest > 0.0, name
        assert "positive" in channel.meaning, name
