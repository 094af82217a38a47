"""Fits values of a scenario to a log of what a real rig did; without any, sets the log beside the run."""

import contextlib
import dataclasses
import math
from collections.abc import Callable, Iterable, Mapping, Sequence
from pathlib import Path

import numpy as np
import pandas as pd

from simcore.errors import InputError, InputIssue
from simcore.files.scenario import Scenario
from simcore.logs import TIME, Log, channel_named, read_log
from simcore.results.run import Run
from simcore.solve.trace import Outcome
from simcore.studies.fitted import MEASURED, PREDICTED, Fit
from simcore.studies.fitting.answers import estimates, left_over
from simcore.studies.fitting.freed import Freed, Sort, freed_values
from simcore.studies.fitting.misread import misread
from simcore.studies.fitting.noise import scattered
from simcore.studies.fitting.predict import Runs, curves_of, for_log
from simcore.studies.fitting.problem import Problem
from simcore.studies.fitting.search import TRIES, Found, weighed_search
from simcore.studies.processes import processes
from simcore.studies.simulate import simulate

LEAST_ROWS = 8  # of the log within the run
STEPS_EXPECTED = 8  # of a descent, for the progress bar
Progress = Callable[[float, float], None]


def fit(
    scenario: Scenario,
    log: str | Path | Log,
    free: Iterable[str] = (),
    noise: Mapping[str, float] | None = None,
    columns: Mapping[str, str] | None = None,
    tries: int = TRIES,
    workers: int = 1,
    progress: Progress | None = None,
) -> Fit:
    """Fit values of a scenario to a log, by least squares over whole runs.

    Every reading counts by its channel's noise. Noise that is not stated is taken from the readings' scatter,
    then from what the fit leaves over. A value that the log does not tell is named and gets none.

    Parameters
    ----------
    scenario : a single case; runs go on for the whole of ``end.duration``, whatever else would stop them
    log : file, read by `simcore.logs.read_log`, or what that gave. Its time counts from the start of the run;
        rows before it show the standing rig, rows after the run's end do not count
    free : ``PATH`` of a number, or several joined by "+", with ``=LOW:HIGH`` where the range of the files is
        too wide; ``time_offset`` (the log's time at the start of the run, s); ``offset:CHANNEL`` (what a
        channel reads too much)
    noise : channel to standard deviation of one reading, in the unit of the channel
    columns : header of the log to name of a channel, where they differ
    tries : points of a coarse look for each freed number; 0: from the scenario's own values alone
    workers : processes that do the runs
    progress : called with (runs done, runs expected)

    Raises
    ------
    InputError
        when the log is faulty or does not overlap the run, a freed value is none, or the rig cannot stand.
    """
    scenario = scenario.changed({})
    read = log if isinstance(log, Log) else read_log(log, columns)
    freed = freed_values(scenario, read, free)
    case = for_log(scenario, _clock_span(freed))
    stated = _stated(read, noise or {})
    rows = _rows(read, freed, case.end.duration)
    measured = {name: rows[name].to_numpy(float) for name in read.channels}
    numbers = [one for one in freed if one.sort is Sort.SCENARIO]
    first = _first(case, bool(numbers))
    with contextlib.ExitStack() as stack:
        pool = stack.enter_context(processes(workers)) if workers > 1 and numbers else None
        runs = Runs(case, numbers, read.channels, pool, _telling(progress, len(numbers), tries))
        if first is not None:
            runs.know([one.start for one in numbers], first)
        problem = Problem(
            tuple(freed), rows[TIME].to_numpy(float), measured, stated | scattered(measured, stated), runs
        )
        found = None
        if freed:
            problem, found = weighed_search(problem, frozenset(stated), tries)
        judged = _judged(scenario, read, problem, found, runs, first, frozenset(stated), tries)
    return dataclasses.replace(judged, columns=dict(columns or {}), noise=dict(noise or {}))


def _judged(
    scenario: Scenario,
    log: Log,
    problem: Problem,
    found: Found | None,
    runs: Runs,
    first: Run | None,
    stated: frozenset[str],
    tries: int,
) -> Fit:
    """What came of a search; `first` is the run with the scenario's own values."""
    z = problem.start if found is None else found.z
    run = (
        first
        if first is not None and (found is None or not runs.freed)
        else simulate(runs.with_values(problem.numbers(z)))
    )
    predicted = problem.predicted(curves_of(run, log.channels), z)
    before = None
    if first is not None:
        own = curves_of(first, log.channels)
        before = problem.predicted(own, problem.with_instrument(problem.start, own))
    wrong = misread(problem, predicted, before, stated, found is not None, tries)
    rest = "SCATTER" if found is None else "RESIDUALS"
    left = left_over(
        problem, predicted, before, {name: "STATED" if name in stated else rest for name in log.channels}
    )
    answers, correlations = estimates(problem, found, left, any(one.spoils for one in wrong))
    table = {TIME: problem.times}
    for name, values in problem.measured.items():
        table |= {MEASURED + name: values, PREDICTED + name: predicted[name]}
    early = run.outcome is not Outcome.TIME and problem.times[-1] > run.series["time_s"].iloc[-1]
    return Fit(
        scenario,
        str(log.path),
        answers,
        correlations,
        left,
        wrong,
        (len(problem.times), len(log.table)),
        log.left_out,
        unfinished=run.outcome.value if early else "",
        faults=tuple(str(fault) for fault in run.faults),
        table=pd.DataFrame(table),
    )


def _telling(progress: Progress | None, numbers: int, tries: int) -> Callable[[int], None] | None:
    """What counts runs for a progress bar."""
    if progress is None:
        return None
    expected = 1 + numbers * tries + 2 * STEPS_EXPECTED * (1 + 2 * numbers)
    return lambda done: progress(min(done, expected), expected)


def _first(case: Scenario, may_fail: bool) -> Run | None:
    """The run with the scenario's own values; None where there is none and others are to be tried."""
    try:
        return simulate(case)
    except InputError:
        if not may_fail:
            raise
        return None


def _stated(log: Log, noise: Mapping[str, float]) -> dict[str, float]:
    """Stated noise by channel."""
    found, issues = {}, []
    for text, value in noise.items():
        channel = channel_named(text)
        if channel is None or channel.name not in log.channels:
            must_be = f"a channel of the log: {', '.join(log.channels)}"
            issues.append(InputIssue("--noise", text, "no channel of the log", must_be))
        elif not (math.isfinite(value) and value > 0.0):
            got, must_be = f"{value:g} {channel.unit}", f"greater than 0 {channel.unit}"
            issues.append(InputIssue("--noise", text, got, must_be))
        else:
            found[channel.name] = float(value)
    if issues:
        raise InputError(issues)
    return found


def _clock_span(freed: Sequence[Freed]) -> float:
    """Span within which the log's clock may be put, s."""
    return next((one.high - one.low for one in freed if one.sort is Sort.CLOCK), 0.0)


def _rows(log: Log, freed: Sequence[Freed], duration: float) -> pd.DataFrame:
    """Rows of the log before the run's end, wherever the clock may be put."""
    clock = next((one for one in freed if one.sort is Sort.CLOCK), None)
    low, high = (0.0, 0.0) if clock is None else (clock.low, clock.high)
    times = log.table[TIME]
    rows = log.table[times <= duration + low]
    issues = []
    if (rows[TIME] > high).sum() < LEAST_ROWS:
        got = (
            f"{times.iloc[0]:.6g} to {times.iloc[-1]:.6g} s, {(rows[TIME] > high).sum()} rows within the run"
        )
        must_be = (
            f"at least {LEAST_ROWS} rows within the run of {duration:g} s; if the log's clock began at "
            'another time: --free time_offset=LOW:HIGH; if it counts in ms: --column "its header [ms]=time_s"'
        )
        issues.append(InputIssue(str(log.path), TIME, got, must_be))
    else:
        empty = [name for name in log.channels if rows[name].notna().sum() < LEAST_ROWS]
        must_be = f"at least {LEAST_ROWS} readings within the run of {duration:g} s"
        issues += [
            InputIssue(str(log.path), name, f"{rows[name].notna().sum()} readings there", must_be)
            for name in empty
        ]
        count = int(np.isfinite(rows[log.channels].to_numpy(float)).sum())
        if count <= len(freed):
            got = f"{len(freed)} values for {count} readings"
            issues.append(InputIssue("--free", "", got, "fewer values than readings"))
    if issues:
        raise InputError(issues)
    return rows
