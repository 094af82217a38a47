"""The study that a scenario file asks for: which it is, and its result."""

from collections.abc import Callable
from pathlib import Path
from typing import NamedTuple

from simcore.files.rank import Rank
from simcore.files.scenario import Scenario
from simcore.results.result import Result

KINDS = {"run": "run", "compare": "comparison", "sweep": "sweep", "rank": "ranking"}
"""Of results, by the commands of the studies that files ask for."""
KEEPING = ("sweep", "rank")
"""Those that keep their finished runs in a folder."""


class Answered(NamedTuple):
    """What a scenario file asks for, done.

    Attributes
    ----------
    study : its command
    result : of it
    cases : the runs of which the file's conclusion speaks: the same, but of a ranking the comparison of its
        changes as the file stands
    """

    study: str
    result: Result
    cases: Result


def own_study(scenario: Scenario) -> str:
    """Command of the study that a file asks for: its axes are swept, its variants ranked or compared."""
    if scenario.vary:
        return "sweep"
    if scenario.variants:
        return "compare" if scenario.rank == Rank() else "rank"
    return "run"


def answered(
    scenario: Scenario,
    folder: str | Path | None = None,
    workers: int = 1,
    progress: Callable[[float, float], None] | None = None,
    draws: int | None = None,
) -> Answered:
    """Do the study that a scenario asks for.

    Parameters
    ----------
    scenario : with its axes, variants and what it says of ranking
    folder : where finished runs of a sweep or a ranking are kept; None: nowhere
    workers : processes on this machine; few cases are compared in this one
    progress : called with (done, in all)
    draws : of a ranking in place of the file's

    Raises
    ------
    InputError
        when the file is faulty.
    """
    from simcore.studies.compare import compare, sharing

    study, here = own_study(scenario), sharing(scenario, workers)
    result: Result
    if study == "run":
        from simcore.studies.simulate import simulate

        result = simulate(scenario, progress)
    elif study == "sweep":
        from simcore.studies.sweep import sweep

        result = sweep(scenario, folder, workers, progress=progress)
    elif study == "compare":
        result = compare(scenario, progress, workers=here)
    else:
        from simcore.studies.rank import rank

        result = rank(scenario, draws=draws, folder=folder, workers=workers, progress=progress)
        return Answered(study, result, compare(scenario, workers=here))
    return Answered(study, result, result)
