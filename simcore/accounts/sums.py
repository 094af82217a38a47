"""Audit of the accounts: each is worked out term by term, and its sum must be the load of the tyre law."""

import numpy as np
import numpy.typing as npt

from simcore.accounts.budget import front_budget
from simcore.accounts.support import load_terms
from simcore.solve.trace import Trace

Series = npt.NDArray[np.float64]


def account_residual(trace: Trace) -> Series:
    """What the sum of an account misses of the tyres' load, per size of its terms (at least the weight); the
    worst of both load accounts and the front load budget, (n,).

    Where the links let an axle move only along its ground its load account has no meaning and counts as 0.
    """
    weight = trace.model.bench.whole.mass * trace.model.rig.gravity

    def missing(i: int, account: dict[str, Series]) -> Series:
        terms = np.array(list(account.values()))
        size = np.maximum(np.abs(terms).sum(axis=0), weight)
        return np.asarray(np.abs(trace.part(i, "tyre", "load") - terms.sum(axis=0)) / size)

    budget = missing(1, front_budget(trace))  # without gaps: one that is no number must show
    return np.asarray(
        np.max([budget, *(np.nan_to_num(missing(i, load_terms(trace, i))) for i in (0, 1))], axis=0)
    )
