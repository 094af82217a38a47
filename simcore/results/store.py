"""Finished runs of a sweep, kept one a line as they come, so that nothing finished is lost.

A run is known by everything that its metrics follow from: the values of its scenario and the code that
computes. The same sweep begun again finds its rows; a changed one finds those that it shares with the old.
"""

import enum
import hashlib
import json
import os
from functools import cache
from pathlib import Path
from typing import Any, BinaryIO

import numba
import numpy as np
import pandas
import scipy

from simcore.errors import InputError, InputIssue
from simcore.files.scenario import Scenario

FILE = "runs.jsonl"
FAILED, WHY = "failed", "why"  # keys of a row that has no metrics: code and sentence
PACKAGE = Path(__file__).parents[1]
COMPUTING = (
    *("common_units.py", "units.py", "compiled/*.py", "laws/*.py", "dynamics/*.py", "files/*.py", "rig/*.py"),
    *("solve/*.py", "accounts/*.py", "studies/simulate.py"),
    *(
        f"results/{name}.py"
        for name in ("effect", "finished", "job_metrics", "metrics", "pose_metrics", "quantities", "series")
    ),
)
"""Sources that a metric follows from; words, pictures and the command line are not among them."""
FILES_APART = {
    f"files/{name}.py"
    for name in ("dots", "json_schema", "measured", "reference", "worksheet", "worksheet_axle")
}
"""Of these sources those of files that are no scenario, and of what is said of files."""
WORDS: Any = {
    **dict.fromkeys(("title", "note", "case", "variants", "common", "vary", "conclusion", "rigs"), True),
    "rig": {"name": True, "note": True, "weighed": True, "parts": {"__all__": {"name"}}},
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


class Rows:
    """Rows of finished runs by the keys of their runs, in a folder if there is one.

    Raises
    ------
    InputError
        when the file cannot be read or written.
    """

    def __init__(self, folder: str | Path | None) -> None:
        self.found: dict[str, Row] = {}
        self.file: BinaryIO | None = None
        if folder is not None:
            path = Path(folder) / FILE
            try:
                self._open(path)
            except OSError as error:
                reason = error.strerror or str(error)
                raise InputError([InputIssue(str(path), "", reason, "a file that can be written")]) from error

    def _open(self, path: Path) -> None:
        path.parent.mkdir(parents=True, exist_ok=True)
        text = path.read_bytes() if path.exists() else b""
        self.found, self.file = _read(text), path.open("ab")
        if text and not text.endswith(b"\n"):
            self.file.write(b"\n")  # a line that was cut off stays by itself

    def keep(self, key: str, row: Row) -> None:
        """Keep one row; it is on the disk when this returns, unless another try may bring a better one."""
        self.found[key] = row
        if self.file is not None and row.get(FAILED) != NoMetrics.DIED.name:
            self.file.write(json.dumps({"run": key, "row": row}, allow_nan=False).encode() + b"\n")
            self.file.flush()
            os.fsync(self.file.fileno())

    def close(self) -> None:
        """Close the file."""
        if self.file is not None:
            self.file.close()


def _read(text: bytes) -> dict[str, Row]:
    """Every whole line; what a kill or another hand has left there is passed over."""
    rows: dict[str, Row] = {}
    for line in text.splitlines():
        try:
            entry = json.loads(line)
            key, row = entry["run"], entry["row"]
        except (ValueError, TypeError, KeyError, RecursionError):
            continue
        if isinstance(key, str) and isinstance(row, dict):
            rows[key] = row
    return rows
