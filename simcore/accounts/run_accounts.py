"""All accounts of a run together: stance, both support accounts with their reasons, the front load budget."""

import dataclasses

import numpy as np
import numpy.typing as npt

from simcore.accounts.budget import front_budget
from simcore.accounts.reasons import reasons
from simcore.accounts.stance import Stance
from simcore.accounts.support import Support, support
from simcore.files.scenario import Visible
from simcore.solve.trace import Trace


@dataclasses.dataclass(frozen=True)
class RunAccounts:
    """Accounts of a run, SI.

    Attributes
    ----------
    stance : how the rig stands over its ground
    support : account of the rear and of the front axle
    reasons : for each axle (n,) places in `simcore.accounts.reasons.REASONS`
    budget : terms of the front tyres' load, N
    """

    stance: Stance
    support: tuple[Support, Support]
    reasons: tuple[npt.NDArray[np.int8], npt.NDArray[np.int8]]
    budget: dict[str, npt.NDArray[np.float64]]


def run_accounts(trace: Trace, visible: Visible) -> RunAccounts:
    """Accounts of a run; `visible` is the smallest difference that a viewer sees."""
    rear, front = (support(trace, i) for i in range(2))
    found = reasons(trace, rear, 0, visible), reasons(trace, front, 1, visible)
    return RunAccounts(Stance(trace), (rear, front), found, front_budget(trace))
