"""Do the accounts add up? Each is worked out term by term, and its sum must be the load of the tyre law."""

import numpy as np
import numpy.typing as npt

from simcore.accounts.budget import front_budget
from simcore.accounts.stance import stance
from simcore.accounts.support import load_terms
from simcore.trace import Trace

Series = npt.NDArray[np.float64]


def account_residual(trace: Trace) -> Series:
    """What the sum of an account misses of the tyres' load, per size of its terms (at least the weight); the
    worst of both load accounts and the front load budget, (n,).

    Where the links let an axle move only along its ground its load account has no meaning and counts as 0.
    """
    weight = trace.model.bench.whole.mass * trace.model.rig.gravity
    budget = front_budget(trace, stance(trace))
    books = [(0, load_terms(trace, 0)), (1, load_terms(trace, 1)), (1, budget)]
    found = []
    for i, account in books:
        terms = np.array(list(account.values()))
        size = np.maximum(np.abs(terms).sum(axis=0), weight)
        missing = np.abs(trace.part(i, "tyre", "load") - terms.sum(axis=0)) / size
        found.append(np.where(np.isnan(size), 0.0, missing))
    return np.asarray(np.max(found, axis=0))
