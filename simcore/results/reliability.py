"""Runs of a study that a reader must not rely on: without metrics, unsound, or ended early."""

from collections.abc import Mapping
from typing import Any

import numpy as np
import numpy.typing as npt
import pandas as pd

from simcore.accounts.job import AS_ASKED, JobState
from simcore.results.metrics import SOUND
from simcore.solve.trace import Outcome

EARLY: Mapping[Outcome, str] = {
    Outcome.ROLLED_OVER: "Rolled over",
    Outcome.SLID_AWAY: "Slid back down",
    Outcome.HIGH_CENTRED: "Hung on its skids",
    Outcome.NOT_SOLVED: "The integration broke off",
}
"""Endings that leave a run short of what it was to do, and what to say of them."""


def ended_early(summary: Mapping[str, Any]) -> str:
    """What to say of a run that ended early; empty for one that went its way."""
    return EARLY.get(Outcome[summary["ended"]], "")


def job_of(row: Mapping[str, Any]) -> JobState:
    """Whether the job was done in a run; what broke its audit or off is not known.

    A run that slips at its start is not done, and has no audit; in a table of others it has an empty one.
    """
    job, audit = (value if isinstance(value, str) else "" for value in (row.get("job"), row.get("audit")))
    if not job or audit not in ("", SOUND):
        return JobState.UNKNOWN
    return JobState.DONE if job in AS_ASKED else JobState[job]


def unreliable_runs(table: pd.DataFrame) -> dict[str, npt.NDArray[np.bool_]]:
    """Which runs have no metrics, broke their audit or did not do their job, by what to say of them.

    None is in two.

    Parameters
    ----------
    table : one row a run; columns `failed`, `audit` and `ended`, where they are missing nothing is amiss
    """
    failed, audit, ended = (_text(table, column) for column in ("failed", "audit", "ended"))
    useless = np.asarray(failed != "")
    unsound = ~useless & ~np.asarray(audit.isin(["", SOUND]))
    missed = np.asarray(_text(table, "job") == JobState.NOT_DONE.name)
    early = ~useless & ~unsound & (missed | np.asarray(ended.isin([end.name for end in EARLY])))
    how = ", ".join(
        text.lower() for end, text in EARLY.items() if (early & np.asarray(ended == end.name)).any()
    )
    failing = "job not done" if missed.any() else f"ended early ({how})"
    return {"no result": useless, "audit failed": unsound, failing: early}


def _text(table: pd.DataFrame, column: str) -> pd.Series:
    if column not in table:
        return pd.Series("", table.index)
    return table[column].astype(object).where(table[column].notna(), "").astype(str)


def usable(table: pd.DataFrame) -> pd.DataFrame:
    """Runs that a sentence may be made of: they have metrics, and kept their audit."""
    failed, unsound, _ = unreliable_runs(table).values()
    return table[~(failed | unsound)]


def reliability_note(table: pd.DataFrame) -> str:
    """What a reader must know of some runs before anything is made of them; empty if nothing."""
    failed, unsound, early = unreliable_runs(table).items()
    of_all = f"of {len(table)} runs"
    said = early[1] if "job" not in table else np.zeros(len(table), bool)  # else the tally says so
    parts = (
        (said, f"{early[1].sum()} {of_all} {early[0]}"),
        (unsound[1], f"AUDIT FAILED in {unsound[1].sum()} {of_all}, do not use them"),
        (failed[1], f"{failed[1].sum()} {of_all} could not be done"),
    )
    return ". ".join(text for which, text in parts if which.any())
