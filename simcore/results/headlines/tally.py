"""Which runs of a sweep did their job, in one clause: along one axis up to where, else how many."""

from collections.abc import Mapping, Sequence
from typing import Any

from simcore.files.scenario import Scenario
from simcore.results.headlines.cases import grouped, jobs_sentence
from simcore.results.headlines.job import is_done, job_sentence
from simcore.results.headlines.tables import at
from simcore.results.quantities import Label

Summary = Mapping[str, Any]
NEAREST = 2  # reasons that are told beside an edge, the nearest to it first


def tally(
    names: Sequence[str],
    rows: Sequence[Summary],
    scenarios: Sequence[Scenario],
    along: tuple[Label, Sequence[Any]] | None = None,
) -> str:
    """Which runs did their job, and why the others did not.

    Parameters
    ----------
    names, rows, scenarios : of the runs that have metrics
    along : label of the one axis and its value in each run; None where there are several axes
    """
    if not rows:
        return ""
    if along is not None and len(rows) > 2:
        edge = _edge(rows, scenarios, *along)
        if edge:
            return edge
    summaries = dict(zip(names, rows, strict=True))
    return jobs_sentence(summaries, dict(zip(names, scenarios, strict=True)), "runs")


def _edge(rows: Sequence[Summary], scenarios: Sequence[Scenario], label: Label, values: Sequence[Any]) -> str:
    """Up to, or from, which value the job is done, where it turns once along numbers; else nothing."""
    if not all(isinstance(value, int | float) for value in values):
        return ""
    order = sorted(range(len(rows)), key=lambda k: values[k])
    done = [is_done(rows[k]) for k in order]
    turns = [k for k in range(1, len(done)) if done[k] != done[k - 1]]
    if len(turns) != 1:
        return ""
    (turn,) = turns
    before, after = (at(values[order[k]], label.unit) for k in (turn - 1, turn))
    without = {"torque_share_pct": None}  # it differs in every run
    failed = {
        str(k): job_sentence({**rows[k], **without}, scenarios[k], True)
        for k in (order if done[0] else reversed(order))
        if not is_done(rows[k])
    }
    reasons = " or ".join(list(grouped(failed))[:NEAREST])
    if done[0]:
        return f"Does its job up to {label.name} {before}; from {after} on it {reasons}"
    return f"Does its job from {label.name} {after} on; up to {before} it {reasons}"
