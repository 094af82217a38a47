"""Draws of cases that are compared with one another, each case for itself: some draws in one go.

What is kept of them hangs on the case and the draws alone, so that with a case more only that is done.
"""

from collections.abc import Callable, Mapping
from typing import TypeVar

from simcore.files.scenario import Scenario
from simcore.results.store import Row
from simcore.studies.drawn import Draws
from simcore.studies.drawn_runs import AT_ONCE, Some, keys_of, rows_in
from simcore.studies.kept_runs import KeptRuns

Name = TypeVar("Name")
What = TypeVar("What")


def drawn_cases(
    runs: KeptRuns, cases: Mapping[Name, Scenario], draws: Draws, told: Callable[[Row], What]
) -> dict[Name, list[What]]:
    """Say of every draw of cases what came of it, by their names; equal cases are run once.

    A case is not made as a draw has it before its run, and then by who runs it.

    Parameters
    ----------
    runs : that do them
    cases : that are drawn
    draws : the same for all
    told : what is wanted of a run; nothing else of it stays in memory
    """
    at_once = AT_ONCE if runs.do is None else 1
    starts = range(0, draws.count, at_once)
    parts: dict[str, Some] = {}
    keys: dict[Name, list[str]] = {}
    for name, case in cases.items():
        own = draws.of(case)
        some = [Some(own.at(own.points[start : start + at_once])) for start in starts]
        keys[name] = [runs.named(f"draws-{key}") for key in keys_of(own, some)]
        parts |= zip(keys[name], some, strict=True)
    said: dict[str, list[What]] = {}

    def take(key: str, row: Row) -> None:
        said[key] = [told(one) for one in rows_in(row, parts[key].size)]

    runs.parts(parts, take)
    return {name: [one for key in own for one in said[key]] for name, own in keys.items()}
