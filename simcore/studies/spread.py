"""Runs a scenario with its numbers drawn within their errors: what bench error leaves of its answer."""

from collections.abc import Callable, Mapping
from dataclasses import replace
from pathlib import Path

import numpy as np
import numpy.typing as npt
import pandas as pd
from scipy.stats import bootstrap, qmc, sobol_indices

from simcore.accounts.job import JobState
from simcore.errors import InputError, InputIssue
from simcore.files.axes import MOST_RUNS
from simcore.files.reading import load_scenario
from simcore.files.scenario import Scenario
from simcore.results.headlines.scatter import main_answer
from simcore.results.reliability import job_of
from simcore.results.scatter import moves_of
from simcore.results.store import FAILED
from simcore.studies.drawn import SEED, Draws, draws_of
from simcore.studies.drawn_runs import Done, raster, run_draws
from simcore.studies.goals import check_goal
from simcore.studies.key_names import key_name
from simcore.studies.scattered import ERROR, Known, Part, Spread, bands_of
from simcore.studies.scenario_for import figures_of

RUNS = 256
"""Draws where nobody says how many: enough that the ends of an interval are known."""
FEWEST = 8
APART = 6
"""Errors whose Sobol indices are worked out each for itself; all others together are one more."""
RESAMPLES = 999  # of the draws, for the ends of an index
Progress = Callable[[float, float], None]


def spread(
    scenario: Scenario | str | Path,
    runs: int = RUNS,
    folder: str | Path | None = None,
    workers: int = 1,
    progress: Progress | None = None,
    only_stated: bool = False,
    indices: bool = False,
    seed: int = SEED,
) -> Spread:
    """Find what bench error leaves of a scenario's answer.

    All cases are run with the same draws, so that their differences are those of pairs.

    Parameters
    ----------
    scenario : or its file, with its variants
    runs : draws; each is a run of every case. Powers of two fill the ranges most evenly.
    folder : where finished draws are kept, so that it goes on where it was stopped; None: nowhere
    workers : processes on this machine
    progress : called with (draws done, draws in all)
    only_stated : leaves out errors that no [spread] states
    indices : works out Sobol indices of the errors that matter most, too: half the draws, up to nine times
    seed : of the draws

    Raises
    ------
    InputError
        when the file is faulty, there are too few or too many draws, or nothing may be off. A draw that
        cannot be run is counted, and said.
    """
    asked = scenario if isinstance(scenario, Scenario) else load_scenario(scenario)
    asked = asked.changed({"vary": {}}, keep_variants=True) if asked.vary else asked
    check_goal(asked)
    _check_runs(asked, runs, indices)
    draws = draws_of(asked, runs, seed, only_stated)
    if not draws.inputs:
        must_be = 'a table [spread], as "chassis.mass" = "5 g", in the scenario or its rig'
        raise InputError([InputIssue(str(asked.path), "spread", "nothing that may be off", must_be)])
    found, given = run_draws(draws, folder, workers, progress)
    result = _result(asked, draws, found, given, seed)
    if indices:
        parts = _indices(result, draws, folder, workers, progress, seed)
        result = replace(result, indices=parts)
    return result


def _check_runs(scenario: Scenario, runs: int, indices: bool) -> None:
    most, least = MOST_RUNS // len(scenario.case_names()), 2 * FEWEST if indices else FEWEST
    if not least <= runs <= most:
        why = " for --indices" if indices else ""
        raise InputError([InputIssue("--runs", "", str(runs), f"{least} to {most} draws{why}")])


def _result(asked: Scenario, draws: Draws, found: Done, given: Done, seed: int) -> Spread:
    rows = {name: given.row(k) for k, name in enumerate(given.cases)}
    jobs = tuple(job_of(row) for row in rows.values())
    there = {name: row for name, row in rows.items() if FAILED not in row}
    whole = len(there) == len(rows)
    figures = figures_of(asked, rows) if whole and JobState.UNKNOWN not in jobs else ()
    drawn = np.repeat(draws.normal, len(draws.cases), axis=0)
    errors = tuple(_known(asked, draws))
    columns = [f"{ERROR}{name}" for name in draws.errors]
    table = pd.concat([found.table, pd.DataFrame(drawn, columns=columns)], axis=1)
    result = Spread(asked, seed, errors, figures, jobs, table, {}, raster(asked))
    done = {name: result.done(name) for name in draws.cases}
    return replace(result, bands=bands_of(found.curves, done))


def _known(asked: Scenario, draws: Draws) -> list[Known]:
    """What each error is called, whether it is stated, and how often it reaches too far."""
    found = []
    for name in draws.errors:
        inputs = [one for one in draws.inputs if one.found_with == name]
        words = key_name(asked, inputs[0].place) if len(inputs) == 1 else name
        found.append(Known(words, all(one.stated for one in inputs), draws.at_ends[name]))
    return found


# --- Sobol indices ---


def _indices(
    result: Spread,
    draws: Draws,
    folder: str | Path | None,
    workers: int,
    progress: Progress | None,
    seed: int,
) -> tuple[Part, ...]:
    """Sobol indices of the first figure's errors, those that matter most apart, all others as one.

    References
    ----------
    A. Saltelli et al., Variance based sensitivity analysis of model output, Computer Physics Communications
    181 (2010), by `scipy.stats.sobol_indices`.
    """
    main = main_answer(result.answers)
    if main is None:
        return ()
    figure = main.figure
    told = moves_of(result.drawn, result.values(figure.metric, figure.case, figure.less), np.inf)
    apart = [one.error for one in told][:APART]
    rest = [k for k in range(len(draws.errors)) if k not in apart]
    groups = [*([k] for k in apart), *([rest] if rest else [])]
    count = 1 << max(draws.count // 2, 1).bit_length() - 1
    width = len(draws.errors)
    both = qmc.Sobol(2 * width, scramble=True, rng=np.random.default_rng(seed + 1)).random(count)
    first, second = both[:, :width], both[:, width:]
    mixed = [_mixed(first, second, group) for group in groups]
    points = np.concatenate([first, second, *mixed])
    mixture = draws.at(points)
    found, given = run_draws(mixture, folder, workers, progress)
    other = _result(result.scenario, mixture, found, given, seed)
    values = other.values(figure.metric, figure.case, figure.less).reshape(len(groups) + 2, count)
    whole = np.isfinite(values).all(axis=0)  # a draw whose job is not done somewhere is left out everywhere
    even = 1 << int(whole.sum()).bit_length() - 1 if whole.any() else 0
    values = values[:, np.flatnonzero(whole)[:even]]
    if even < FEWEST or np.ptp(values) == 0.0:
        return ()
    shares, (low, high) = _shares(values), _ends(values, seed)
    names = [*(result.errors[k].name for k in apart), "all other errors together"][: len(groups)]
    return tuple(
        Part(figure.key, name, *shares[:, k].tolist(), *low[:, k].tolist(), *high[:, k].tolist())
        for k, name in enumerate(names)
    )


def _shares(values: npt.NDArray[np.float64]) -> npt.NDArray[np.float64]:
    """First-order and total index of each group, (2, groups), of values at the points of both sets and of
    their mixtures, (2 + groups, a power of two).
    """
    parts: Mapping[str, npt.NDArray[np.float64]] = {
        "f_A": values[:1],
        "f_B": values[1:2],
        "f_AB": values[2:, None, :],
    }
    found = sobol_indices(func=dict(parts), n=values.shape[1])
    return np.stack([np.ravel(found.first_order), np.ravel(found.total_order)])


def _ends(
    values: npt.NDArray[np.float64], seed: int
) -> tuple[npt.NDArray[np.float64], npt.NDArray[np.float64]]:
    """Ends between which the indices lie in 19 of 20 such studies, each (2, groups), by percentiles of
    `scipy.stats.bootstrap`: rather too wide, as points that fill the cube evenly scatter less.
    """
    found = bootstrap(
        (np.arange(values.shape[1]),),
        lambda which: _shares(values[:, which]),
        vectorized=False,
        n_resamples=RESAMPLES,
        method="percentile",
        rng=np.random.default_rng(seed),
    ).confidence_interval
    return np.asarray(found.low), np.asarray(found.high)


def _mixed(
    first: npt.NDArray[np.float64], second: npt.NDArray[np.float64], group: list[int]
) -> npt.NDArray[np.float64]:
    """Points of the first set with a group of errors from the second."""
    mixed = first.copy()
    mixed[:, group] = second[:, group]
    return mixed
