"""Audit of every store of energy: does it hold what was put into it? One by one, so that an error in a small
one does not vanish in the energy of the whole.

What a store gains is integrated with the motion: the power that the bodies, wheels and rotor lose by its
forces, less the losses that its law states. Here it is compared with what its law says is stored.
"""

import dataclasses

import numpy as np
import numpy.typing as npt

from simcore.rig.masses import SIDES
from simcore.solve.trace import Trace

Series = npt.NDArray[np.float64]
LEAST_WORK = 1e-5  # J; a store that nothing moves takes no work
HELD = 0.2  # share of the energy held, as large a work as that counts at least


@dataclasses.dataclass(frozen=True)
class Store:
    """One store of energy in a run, each a series (n,).

    Attributes
    ----------
    gained : work done on it less its losses, integrated since the start, J
    stored : what its law says it holds, J
    taken : power taken from what its forces act on, losses included, W
    """

    gained: Series
    stored: Series
    taken: Series

    def residual(self, times: Series) -> Series:
        """Gained less stored, since the start, per work that went into and out of it in the whole run; of a
        store that holds much and moves little, per `HELD` of what it holds, since the solver's error of a
        place, times the force there, is an error of energy too.
        """
        missing = self.gained - self.stored
        work = float(np.trapezoid(np.abs(self.taken), times))
        whole = max(work, HELD * float(np.max(np.abs(self.stored))), LEAST_WORK)
        return np.asarray((missing - missing[0]) / whole)


def stores(trace: Trace) -> dict[str, Store]:
    """Every store of a rig by the name that a reader knows: shocks, tyres, shafts, splines, skids, rotor."""
    gained, gain, found = trace.states["gained"], trace.ledgers["gain"], {}
    for word, name, part in (
        ("shocks", "shock", "shock"),
        ("tyres", "tyre", "tyre"),
        ("shaft", "branch", "drive"),
        ("shaft's splines", "slide", "slide"),
    ):
        for i, end in enumerate(SIDES):
            led = trace.part(i, part)
            stored = led["stored"] if part != "slide" else np.zeros(len(led))  # friction keeps nothing
            found[f"{end} {word}"] = Store(gained[name][:, i], stored, gain[name][:, i] + led["lost"])
    skids, motor = trace.ledgers["skid"], trace.ledgers["motor"]
    lost = np.sum(skids["lost"], axis=1)
    found["skids"] = Store(gained["skids"], np.sum(skids["stored"], axis=1), gain["skids"] + lost)
    spinning = 0.5 * trace.model.rig.motor.inertia * trace.states["motor"] ** 2
    found["rotor"] = Store(gained["rotor"], spinning, gain["rotor"] + motor["lost"])
    return found


def store_residuals(trace: Trace) -> dict[str, Series]:
    """Residual of every store of a run, by its name."""
    return {name: store.residual(trace.times) for name, store in stores(trace).items()}
