"""Does the runs of draws, some draws in one go, and keeps what came of them.

What is kept of a run are its metrics and three curves on a coarse raster, held in columns of numbers:
a run takes about two kilobytes however long it was.
"""

import base64
import hashlib
import json
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import closing
from dataclasses import dataclass, field
from functools import cache, partial
from pathlib import Path
from typing import Any, NamedTuple

import numpy as np
import numpy.typing as npt
import pandas as pd

from simcore.files.scenario import Scenario
from simcore.results.plain import to_plain
from simcore.results.store import FAILED, WHY, NoMetrics, Row, Rows, program, run_key
from simcore.studies import drawn
from simcore.studies.drawn import Draws
from simcore.studies.execute import Work, row_of, run_here

CURVES = ("pitch_deg", "rear_travel_mm", "front_travel_mm")
INSTANTS = 121
AT_ONCE = 8
"""Draws in one go: a fifth of a second of work, beside which handing it over is nothing."""
Progress = Callable[[float, float], None]
Curves = npt.NDArray[np.float32]


def raster(scenario: Scenario) -> npt.NDArray[np.float64]:
    """Instants of the curves that are kept, s, (INSTANTS,)."""
    return np.linspace(0.0, scenario.end.duration, INSTANTS)


class Some(NamedTuple):
    """Some draws of all cases, as one task; `as_given` instead: the cases themselves."""

    draws: Draws
    as_given: bool = False

    @property
    def runs(self) -> Iterator[tuple[int, str]]:
        """Draw and case of each of its runs, the cases of a draw one after the other."""
        return ((k, name) for k in range(self.size) for name in self.draws.cases)

    @property
    def size(self) -> int:
        """How many draws they are."""
        return 1 if self.as_given else self.draws.count

    def scenario(self, k: int, name: str) -> Scenario:
        """What is run; raises InputError where the values of a draw do not go together."""
        return self.draws.cases[name] if self.as_given else self.draws.case(k, name)


@cache
def _sources() -> str:
    """Digest of what draws, beside what computes."""
    places = [Path(drawn.__file__), Path(__file__)]
    return hashlib.sha256(b"".join(place.read_bytes() for place in places)).hexdigest()


def keys_of(draws: Draws, parts: Sequence[Some]) -> list[str]:
    """Digest of each part: its points, what they are put on, and what computes."""
    centre = () if draws.centre is None else (draws.centre,)
    what: list[Any] = [[run_key(case) for case in (*draws.cases.values(), *centre)], list(draws.cases)]
    what += [[[list(one.place), to_plain(one.off), one.found_with] for one in draws.inputs]]
    common = hashlib.sha256(f"{_sources()}\n{json.dumps(what)}".encode())
    found = []
    for part in parts:
        digest = common.copy()
        digest.update(b"as given" if part.as_given else np.ascontiguousarray(part.draws.points).tobytes())
        found.append(digest.hexdigest()[:32])
    return found


def do(some: Some) -> tuple[str, Row]:
    """Do the runs of some draws, whatever comes of them: the program that did it, and what is kept."""
    from simcore.studies.simulate import summary_and_columns

    runs = list(some.runs)
    curves = np.full((len(runs), len(CURVES), INSTANTS), np.nan, np.float32)

    def run(place: int, k: int, name: str) -> Row:
        case = some.scenario(k, name)
        row, columns = summary_and_columns(case, coarsely=not some.as_given)
        times, at = np.asarray(columns["time_s"]), raster(case)
        for c, column in enumerate(CURVES):
            curves[place, c] = np.interp(at, times, columns[column], right=np.nan)
        return row

    rows = [row_of(partial(run, place, *which)) for place, which in enumerate(runs)]
    return program(), {"rows": _columns(rows), "curves": base64.b64encode(curves.tobytes()).decode()}


def do_each(by: Work, some: Some) -> tuple[str, Row]:
    """Do the runs of some draws in another way, without curves; otherwise as `do`."""

    def run(k: int, name: str) -> Row:
        return by(some.scenario(k, name))[1]

    rows = [row_of(partial(run, *which)) for which in some.runs]
    return program(), {"rows": _columns(rows), "curves": ""}


def rows_in(row: Row, count: int) -> Iterator[Row]:
    """Rows of the runs that a part's row holds, so many; of a part that was lost as often why."""
    if FAILED in row:
        yield from [row] * count
        return
    columns = row["rows"]
    for values in zip(*columns.values(), strict=True):
        yield dict(zip(columns, values, strict=True))


def _columns(rows: Sequence[Row]) -> dict[str, list[Any]]:
    """Rows as columns; None where a row has no such value."""
    keys = dict.fromkeys(key for row in rows for key in row)
    return {key: [row.get(key) for row in rows] for key in keys}


@dataclass
class Done:
    """What came of runs, by draw and case.

    Attributes
    ----------
    cases : their names
    count : of draws
    columns : by metric its values, (count * cases,), the cases of a draw one after the other
    curves : of pitch and travel, (count, cases, CURVES, INSTANTS)
    """

    cases: tuple[str, ...]
    count: int
    columns: dict[str, npt.NDArray[Any]] = field(default_factory=dict)
    curves: Curves = field(init=False)
    _begins: dict[str, tuple[int, int]] = field(default_factory=dict)

    def __post_init__(self) -> None:
        self.curves = np.full((self.count, len(self.cases), len(CURVES), INSTANTS), np.nan, np.float32)

    def take(self, start: int, stop: int, row: Row) -> None:
        """Take in what came of the draws from `start` to `stop`."""
        width = len(self.cases)
        place, runs = slice(start * width, stop * width), (stop - start) * width
        if FAILED in row:
            row = {"rows": {key: [row[key]] * runs for key in (FAILED, WHY)}, "curves": ""}
        for k, (key, values) in enumerate(row["rows"].items()):
            self._begins[key] = min((start, k), self._begins.get(key, (start, k)))
            text = any(isinstance(value, str) for value in values)
            own = self.columns.get(key)
            if own is None or (text and own.dtype != object):
                own = np.full(self.count * width, None if text else np.nan, object if text else float)
                own[:] = self.columns.get(key, own)
                self.columns[key] = own
            own[place] = [np.nan if value is None and own.dtype != object else value for value in values]
        if row["curves"]:
            curves = np.frombuffer(base64.b64decode(row["curves"]), np.float32)
            self.curves[start:stop] = curves.reshape(self.curves[start:stop].shape)

    @property
    def table(self) -> pd.DataFrame:
        """One row a run: draw (counted from 1), case, and its metrics, in whatever order draws came in."""
        draws = np.repeat(np.arange(1, self.count + 1), len(self.cases))
        first = {"draw": draws, "case": list(self.cases) * self.count}
        text = (FAILED, WHY)
        keys = [key for key in sorted(self.columns, key=self._begins.__getitem__) if key not in text]
        columns = {key: _filled(self.columns[key]) for key in keys}
        none = np.full(len(draws), None, object)
        refused = {key: _filled(self.columns.get(key, none)) for key in text}
        return pd.DataFrame(first | columns | refused)

    def row(self, place: int) -> Row:
        """Metrics of one run, without those that it has not."""
        there = {key: values[place] for key, values in self.columns.items()}
        known = {key: value for key, value in there.items() if value is not None and value == value}
        return {key: value if isinstance(value, str) else float(value) for key, value in known.items()}


def _filled(values: npt.NDArray[Any]) -> Any:
    """A column as a table has it: text where there is some, empty where it is missing."""
    if values.dtype != object:
        return values
    return ["" if value is None or value != value else value for value in values]


def run_draws(
    draws: Draws, folder: str | Path | None, workers: int, progress: Progress | None
) -> tuple[Done, Done]:
    """Do all runs of draws, and those of the cases as they are given.

    Parameters
    ----------
    draws : of all cases
    folder : where finished draws are kept, so that it goes on where it was stopped; None: nowhere
    workers : processes on this machine
    progress : called with (draws done, draws in all)

    Returns
    -------
    What came of the draws; what came of the cases as given.
    """
    cases = tuple(draws.cases)
    found, given = Done(cases, draws.count), Done(cases, 1)
    starts = range(0, draws.count, AT_ONCE)
    spans = {"": (0, 1)} | {str(s): (s, min(s + AT_ONCE, draws.count)) for s in starts}
    parts = [Some(draws.at(draws.points[:0]), as_given=True)]
    parts += [Some(draws.at(draws.points[slice(*span)])) for name, span in spans.items() if name]
    by_key = dict(zip(keys_of(draws, parts), zip(parts, spans.values(), strict=True), strict=True))
    done = 0
    with closing(Rows(folder)) as store:

        def take(key: str, row: Row) -> None:
            nonlocal done
            part, span = by_key[key]
            (given if part.as_given else found).take(*span, row)
            done += 0 if part.as_given else part.size
            if progress is not None:
                progress(done, draws.count)

        run_parts({key: part for key, (part, _) in by_key.items()}, take, store, workers, do)
    return found, given


def run_parts(
    parts: Mapping[str, Some], take: Callable[[str, Row], None], store: Rows, workers: int, do: Work
) -> None:
    """Do parts that are not kept yet, and hand over the rows of all.

    What was handed over is on the disk, if anything is, and no more in memory, which stays flat.

    Parameters
    ----------
    parts : by their keys
    take : called with key and row of each, those that were kept first
    store : where they are kept
    workers : processes on this machine
    do : does one
    """

    def note(key: str, row: Row) -> None:
        part = parts[key]
        if row.get(FAILED) == NoMetrics.DIED.name and part.size > 1:
            row = _one_by_one(part, workers, do)  # which of them kills its process
        if NoMetrics.DIED.name not in row.get("rows", {}).get(FAILED, ()):
            store.keep(key, row)  # else another try may bring more
        hand(key, row)

    def hand(key: str, row: Row) -> None:
        take(key, row)
        store.found[key] = {}

    left = {key: part for key, part in parts.items() if not store.found.get(key)}
    for key in parts.keys() - left.keys():
        hand(key, store.found[key])
    run_here(left, note, workers, do)


def _one_by_one(part: Some, workers: int, do: Work) -> Row:
    """Do draws of which one has killed its process, each in a process of its own."""
    width, rows = len(part.draws.cases), dict[int, Row]()

    def note(key: str, row: Row) -> None:
        rows[int(key)] = row

    alone = {str(k): Some(part.draws.at(part.draws.points[k : k + 1])) for k in range(part.size)}
    run_here(alone, note, max(workers, 2), do)
    every = [row for k in range(part.size) for row in rows_in(rows[k], width)]
    curves = [base64.b64decode(rows[k].get("curves", "")) for k in range(part.size)]
    nothing = np.full((width, len(CURVES), INSTANTS), np.nan, np.float32).tobytes()
    whole = b"".join(one or nothing for one in curves) if any(curves) else b""
    return {"rows": _columns(every), "curves": base64.b64encode(whole).decode()}
