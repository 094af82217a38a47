"""Finished runs of a sweep, kept one a line as they come, so that nothing finished is lost.

A run is known by everything that its metrics follow from: the values of its scenario and the code that
computes. The same sweep begun again finds its rows; a changed one finds those that it shares with the old.
"""

import enum
import hashlib
import json
import os
import sys
import warnings
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from functools import cache
from io import FileIO
from pathlib import Path
from typing import Any

import numba
import numpy as np
import pandas
import scipy

from simcore.errors import InputError, InputIssue
from simcore.files.scenario import STUDIED, Scenario
from simcore.results.lock import locked
from simcore.results.seal import has_seal, is_as_sealed, sealed

FILE = "runs.jsonl"
FAILED, WHY = "failed", "why"  # keys of a row that has no metrics: code and sentence
OLDER = b'{"run": "'  # how a line of an older program begins: without a seal it is not believed
PACKAGE = Path(__file__).parents[1]
COMPUTING = (
    *("common_units.py", "units.py", "compiled/*.py", "laws/*.py", "dynamics/*.py", "files/*.py", "rig/*.py"),
    *("solve/*.py", "accounts/*.py", "studies/coarser.py", "studies/simulate.py"),
    *(
        f"results/{name}.py"
        for name in (
            "effect",
            "finished",
            "job_metrics",
            "metrics",
            "pose_metrics",
            "quantities",
            "rows",
            "series",
        )
    ),
)
"""Sources that a metric follows from; words, pictures and the command line are not among them."""
FILES_APART = {
    f"files/{name}.py"
    for name in (
        *("dots", "json_schema", "measured", "path_patterns", "rank", "reference"),
        *("worksheet", "worksheet_axle"),
    )
}
"""Of these sources those of files that are no scenario, and of what is said of files."""
WORDS: Any = {
    **dict.fromkeys(("title", "note", "case", *STUDIED), True),
    "rig": {"name": True, "note": True, "weighed": True, "spread": True, "parts": {"__all__": {"name"}}},
}
"""Keys of a scenario that no metric follows from."""
Row = dict[str, Any]


class NoMetrics(enum.Enum):
    """Why a run of a sweep has no metrics; the name stands in files, the value in sentences."""

    INPUT = "its values do not go together"
    CANNOT_STAND = "the rig cannot stand where it starts"
    BROKE_DOWN = "the program broke down, please report it"
    DIED = "its process died, perhaps for want of memory"


def without_metrics(code: NoMetrics, why: str = "") -> Row:
    """Row of a run that has no metrics."""
    return {FAILED: code.name, WHY: why or code.value}


@cache
def program() -> str:
    """Digest of what computes the metrics of a run: sources of this program, and libraries."""
    libraries = " ".join(library.__version__ for library in (numba, np, scipy, pandas))
    digest = hashlib.sha256(libraries.encode())
    apart = {PACKAGE / name for name in FILES_APART}
    for path in sorted(path for place in COMPUTING for path in PACKAGE.glob(place) if path not in apart):
        digest.update(path.read_bytes())
    return digest.hexdigest()[:16]


def run_key(scenario: Scenario) -> str:
    """Digest of a run: values of its scenario in SI, and what computes its metrics; words do not count."""
    values = json.dumps(scenario.model_dump(mode="json", exclude=WORDS), sort_keys=True)
    return hashlib.sha256(f"{program()}\n{values}".encode()).hexdigest()[:32]


class DamagedRows(UserWarning):
    """Kept runs that cannot be read any more."""


class Rows:
    """Rows of finished runs by the keys of their runs, in a folder if there is one.

    A line bears its seal. One that was cut off or altered is passed over, so that its run is done
    again, and a warning says so.

    Raises
    ------
    InputError
        when the file cannot be read or written.
    """

    def __init__(self, folder: str | Path | None) -> None:
        self.found: dict[str, Row] = {}
        self.file: FileIO | None = None
        self.path: Path | None = None
        if folder is not None:
            self.path = Path(folder) / FILE
            with self._refusing(self.path):
                self.file = _opened(self.path)
                with locked(self.file.fileno()):
                    damaged = self._read(self.path)
            if damaged:
                what = (
                    "1 line is damaged, its run is"
                    if damaged == 1
                    else f"{damaged} lines are damaged, their runs are"
                )
                warnings.warn(f"{self.path}: {what} done again", DamagedRows, stacklevel=3)

    @contextmanager
    def _refusing(self, path: Path) -> Iterator[None]:
        try:
            yield
        except (OSError, ValueError) as error:
            reason = getattr(error, "strerror", None) or str(error)
            must_be = "a file that can be written, with room on its disk; finished runs stay in it"
            raise InputError([InputIssue(str(path), "", reason, must_be)]) from error

    def _read(self, path: Path) -> int:
        """Take in every whole line, and cut off what a kill has left of one; gives how many are damaged."""
        damaged = 0
        with path.open("r+b") as file:
            for line in file:
                if not line.endswith(b"\n"):
                    file.truncate(file.tell() - len(line))
                elif (entry := _entry(line)) is not None:
                    self.found[entry[0]] = entry[1]
                else:
                    damaged += not (line.isspace() or line.startswith(OLDER))
        return damaged

    def keep(self, key: str, row: Row) -> None:
        """Keep one row; it is on the disk when this returns, unless another try may bring a better one."""
        self.found[key] = row = {sys.intern(name): value for name, value in row.items()}
        if self.file is None or self.path is None or row.get(FAILED) == NoMetrics.DIED.name:
            return
        with self._refusing(self.path):
            if os.fstat(self.file.fileno()).st_nlink:
                _append(self.file, _line(key, row))
            else:  # somebody has deleted it meanwhile
                self.file.close()
                self.file = _opened(self.path)
                kept = [one for one in self.found.items() if one[1]]
                _append(
                    self.file,
                    b"".join(_line(*one) for one in kept if one[1].get(FAILED) != NoMetrics.DIED.name),
                )

    def close(self) -> None:
        """Close the file."""
        if self.file is not None:
            self.file.close()


def _opened(path: Path) -> FileIO:
    """A file to append to; each write goes to the system at once, so that nothing is left half done."""
    path.parent.mkdir(parents=True, exist_ok=True)
    if path.exists() and not path.is_file():
        raise OSError("no regular file")
    return path.open("ab", buffering=0)


def _append(file: FileIO, text: bytes) -> None:
    """Write lines to the disk, or none of them."""
    with locked(file.fileno()):
        end = os.fstat(file.fileno()).st_size
        try:
            while text:
                text = text[file.write(text) :]
            os.fsync(file.fileno())
        except OSError:
            with suppress(OSError):
                file.truncate(end)
            raise


def _line(key: str, row: Row) -> bytes:
    return sealed(json.dumps({"run": key, "row": row}, allow_nan=False).encode()) + b"\n"


def _entry(line: bytes) -> tuple[str, Row] | None:
    """Key and row of a line that is as it was written."""
    line = line.rstrip(b"\n")
    if not has_seal(line) or not is_as_sealed(line):
        return None
    try:
        entry = json.loads(line)
        row = {sys.intern(name): value for name, value in entry["row"].items()}
        return str(entry["run"]), row
    except (ValueError, TypeError, KeyError, AttributeError, RecursionError):
        return None
