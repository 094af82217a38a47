"""What the columns of a run are computed from: its trace, its audit, the accounts of its loads."""

import dataclasses
from functools import cached_property

import numpy as np
import numpy.typing as npt

from simcore.accounts.audit import Audit
from simcore.accounts.run_accounts import RunAccounts, run_accounts
from simcore.accounts.stance import Stance
from simcore.accounts.support import Support
from simcore.compiled import AxleLedgerRecord, MotorLedgerRecord, Records, StateRecord
from simcore.files.scenario import Visible
from simcore.solve.trace import Trace

Series = npt.NDArray[np.float64]


@dataclasses.dataclass(frozen=True)
class Rows:
    """What the columns of a run are computed from; every part has the same rows.

    Attributes
    ----------
    trace : of the run
    audit : its residuals; None: their columns are not to be had
    visible : the smallest difference that a viewer sees
    """

    trace: Trace
    audit: Audit | None
    visible: Visible

    @cached_property
    def accounts(self) -> RunAccounts:
        """Accounts of the loads."""
        return run_accounts(self.trace, self.visible)

    @property
    def stance(self) -> Stance:
        """How the rig stands over its ground."""
        return Stance(self.trace)

    @property
    def states(self) -> Records[StateRecord]:
        """States, (n,)."""
        return self.trace.states

    @property
    def motor(self) -> Records[MotorLedgerRecord]:
        """Motor's part of the ledger, (n,)."""
        return self.trace.ledgers["motor"]

    @property
    def pitch(self) -> Series:
        """Rotation of the chassis, rad."""
        return np.asarray(self.states["pose"][:, 0]["angle"])


@dataclasses.dataclass(frozen=True)
class AxleRows:
    """One axle's part of the rows; `i` is its place, 0 or 1."""

    rows: Rows
    i: int

    @property
    def part(self) -> Records[AxleLedgerRecord]:
        """Axle's part of the ledger, (n,)."""
        return self.rows.trace.ledgers["axle"][:, self.i]

    @property
    def account(self) -> Support:
        """Account of the axle's load."""
        return self.rows.accounts.support[self.i]
