"""One reading of a rig: a value that its file states or that follows from it, and its usual range."""

from dataclasses import dataclass

from simcore.files.rig import Rig
from simcore.files.steps import Steps
from simcore.plausibility.codes import Code
from simcore.plausibility.usual import USUAL


@dataclass(frozen=True)
class Reading:
    """A value beside its usual range, SI.

    Attributes
    ----------
    code : what it is
    key : where in the rig; empty for the whole of it
    value : the value
    low, high : ends of the usual range
    suspects : keys whose slips would show in it
    """

    code: Code
    key: Steps
    value: float
    low: float
    high: float
    suspects: tuple[Steps, ...]

    @property
    def usual(self) -> bool:
        """Whether it lies in its usual range; rounding does not put it outside."""
        slack = 1e-9 * max(abs(self.low), abs(self.high))
        return self.low - slack <= self.value <= self.high + slack

    @property
    def direct(self) -> bool:
        """Whether it is the value of its key alone."""
        return self.suspects == (self.key,)


def reading(rig: Rig, code: Code, key: Steps, value: float, *suspects: Steps, size: float = 1.0) -> Reading:
    """Set a value beside its usual range; without suspects its own key is the one.

    Parameters
    ----------
    rig, code, key : whose value, what and where it is
    value : SI
    suspects : as in `Reading`
    size : of what the range is counted in, SI
    """
    low, high = USUAL[code].ends(rig.wheelbase, size)
    return Reading(code, key, value, low, high, suspects or (key,))


def place(rig: Rig, code: Code, key: Steps, value: float, front: bool) -> Reading:
    """Set an x against its range from the axle it belongs to towards the other one."""
    low, high = USUAL[code].ends(rig.wheelbase, rig.wheelbase)
    if front:
        low, high = rig.wheelbase - high, rig.wheelbase - low
    return Reading(code, key, value, low, high, (key,))
