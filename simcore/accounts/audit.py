"""Audit of a run: momentum, energy and links, checked from accelerations, external forces and
stored energy, not from the equations solved.
"""

import dataclasses
import enum

import numpy as np
import numpy.typing as npt

from simcore.accounts.momentum import momentum_residual
from simcore.accounts.pins import pin_residual
from simcore.accounts.stores import store_residuals
from simcore.accounts.sums import account_residual
from simcore.solve.trace import Trace

Series = npt.NDArray[np.float64]
MOMENTUM_BOUND = 1e-8  # of the forces (moments) at work
ENERGY_BOUND = 1e-3  # of the energy turned over; of each store: of the work that went through it
PIN_BOUND = 1e-8  # of the accelerations at work
ACCOUNT_BOUND = 1e-8  # of the terms
DRIFT_BOUND = 1e-6  # m
LEAST_ENERGY = 1e-3  # J; a rig that stands still turns over nothing


class Check(enum.Enum):
    """What an audit checks; the name stands in files, the value in sentences."""

    MOMENTUM = "momentum"
    ENERGY = "energy"
    STORE = "energy of a store"
    LINK_ACCELERATION = "acceleration of the links"
    LINK_LENGTH = "link length"
    ACCOUNTS = "sum of the load accounts"


SHOWN = {Check.ENERGY: (100.0, " %"), Check.STORE: (100.0, " %"), Check.LINK_LENGTH: (1000.0, " mm")}
"""Factor and unit in which residuals are shown that are no plain numbers."""


@dataclasses.dataclass(frozen=True)
class BrokenBound:
    """One check that a run does not pass.

    Attributes
    ----------
    check : which
    worst, bound : largest residual and the bound that it breaks, as in `Audit`
    store : which store of energy it is, if it is one
    """

    check: Check
    worst: float
    bound: float
    store: str = ""

    def __str__(self) -> str:
        """Give it as a sentence."""
        factor, unit = SHOWN.get(self.check, (1.0, ""))
        name = f"energy of the {self.store}" if self.store else self.check.value
        return f"{name} is off by {self.worst * factor:.3g}{unit}, bound {self.bound * factor:g}{unit}"


@dataclasses.dataclass(frozen=True)
class Audit:
    """Residuals of a run.

    Attributes
    ----------
    momentum : (n,) worst of both force balances and the moment balance, relative
    energy : (n,) relative to the energy turned over in the whole run
    stores : by the name of each store of energy, (n,) relative to the work that went through it
    pins : (n,) second rate of the links' lengths, relative to the accelerations at work
    drift : (n,) largest error of a link's length, m
    accounts : (n,) what the load accounts and the front load budget miss of the tyres' loads, per their terms
    """

    momentum: Series
    energy: Series
    stores: dict[str, Series]
    pins: Series
    drift: Series
    accounts: Series

    def rows(self, which: npt.NDArray[np.bool_]) -> "Audit":
        """Residuals of some rows."""
        if np.all(which):
            return self
        stores = {name: found[which] for name, found in self.stores.items()}
        rest = (found[which] for found in (self.pins, self.drift, self.accounts))
        return Audit(self.momentum[which], self.energy[which], stores, *rest)

    @property
    def worst_store(self) -> Series:
        """Largest residual of any store at each instant, (n,)."""
        return np.asarray(np.max(np.abs(list(self.stores.values())), axis=0))

    @property
    def faults(self) -> list[BrokenBound]:
        """Every bound that is broken; none for a sound run."""
        checks = (
            (Check.MOMENTUM, self.momentum, MOMENTUM_BOUND, ""),
            (Check.ENERGY, self.energy, ENERGY_BOUND, ""),
            *((Check.STORE, found, ENERGY_BOUND, name) for name, found in self.stores.items()),
            (Check.LINK_ACCELERATION, self.pins, PIN_BOUND, ""),
            (Check.LINK_LENGTH, self.drift, DRIFT_BOUND, ""),
            (Check.ACCOUNTS, self.accounts, ACCOUNT_BOUND, ""),
        )
        worst = [float(np.max(np.abs(found))) for _, found, _, _ in checks]
        return [
            BrokenBound(check, value, bound, store)
            for value, (check, _, bound, store) in zip(worst, checks, strict=True)
            if not value < bound
        ]


def energy_terms(trace: Trace) -> dict[str, Series]:
    """Kinetic, height and elastic energy, work put in and energy lost, J, each a series (n,)."""
    rig, states = trace.model.rig, trace.states
    rate, pose = states["rate"], states["pose"]
    kinetic = 0.5 * rig.motor.inertia * states["motor"] ** 2
    height = np.zeros(len(trace.times))
    for body in range(3):
        mass = rig.chassis if body == 0 else rig.axle[body - 1].body
        moving = rate[:, body]
        kinetic = kinetic + 0.5 * mass.mass * (moving["x"] ** 2 + moving["z"] ** 2)
        kinetic = kinetic + 0.5 * mass.inertia * moving["angle"] ** 2
        height = height + mass.mass * rig.gravity * pose[:, body]["z"]
    for i in range(2):
        kinetic = kinetic + 0.5 * rig.axle[i].spin_inertia * states["spin"][:, i] ** 2
    return {
        "kinetic": kinetic,
        "height": height,
        "elastic": np.asarray(trace.ledgers["stored"]),
        "work_in": np.asarray(states["work_in"]),
        "lost": np.asarray(states["dissipated"]),
    }


def energy_residual(trace: Trace) -> Series:
    """Kinetic + height + elastic + lost - work put in, less its start, per energy turned over."""
    terms = energy_terms(trace)
    balance = terms["kinetic"] + terms["height"] + terms["elastic"] + terms["lost"] - terms["work_in"]
    turned = max(float(np.max(np.abs(value - value[0]))) for value in terms.values())
    return np.asarray((balance - balance[0]) / max(turned, LEAST_ENERGY))


def audit(trace: Trace) -> Audit:
    """Audit a whole run."""
    rows = trace.ledgers["axle"]["row"]["error"]
    return Audit(
        momentum_residual(trace),
        energy_residual(trace),
        store_residuals(trace),
        pin_residual(trace),
        drift=np.max(np.abs(rows), axis=(1, 2)),
        accounts=account_residual(trace),
    )
