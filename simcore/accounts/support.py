"""The support account: what carries the load of each axle's tyres, at every instant.

Hold the chassis, let the axle move as its links allow until the contact point has risen by one unit. By
virtual work the tyre load is then, exactly,

    N = F_t tan(a) + k F_shock + l F_shaft + m (g + A) . p + I phi'' phi' - J w' phi' - M_r phi'

with F_t the thrust, tan(a) the way of the contact point back along the ground (for two straight links the
inclination of the line from contact to instant centre), k the shortening of the shocks, l the lengthening of
the drive shaft and F_shaft the friction of its splines, p and phi' way and turn of the axle, A and phi'' its
accelerations, J w' the spin-up of the wheels, M_r the moment of rolling resistance: the wheel torque, which
reacts on the housing, is ``J w' + F_t R_e + M_r``. The first term is squat support. Source: principle of
virtual work in d'Alembert's form; the first term in steady acceleration is the anti-squat of a live axle, T.
D. Gillespie, Fundamentals of Vehicle Dynamics (SAE 1992), ch 7 (from memory).
"""

import dataclasses

import numpy as np
import numpy.typing as npt

from simcore.accounts.stance import Stance
from simcore.compiled import LEDGER, LedgerRecord
from simcore.dynamics.motion import evaluate
from simcore.rig.course import flat_ground
from simcore.rig.model import Model
from simcore.rig.preload import bench_state
from simcore.solve.trace import Trace, once

Series = npt.NDArray[np.float64]
LEAST_RISE = (
    0.01  # of the axle's way; a path along the ground carries nothing, and the account has no meaning
)
LEAST_SHARE = 0.01  # of the weight; percentages of less say nothing
LEAST_THRUST = 0.05  # of the weight; a textbook speaks of a rig that is driven on,
MOST_WOUND = 0.5  # by thrusts that do not mainly pull against one another
SHOCK_TERMS = ("spring", "damper", "friction", "bump_stop", "droop_stop", "cancelling")


@dataclasses.dataclass(frozen=True)
class Support:
    """Account of one axle's tyres; every attribute (n,), forces in N at the contact, across the ground.

    Attributes
    ----------
    terms : name to force; their sum is the tyre load
    demand : tyre load less the load at rest on the level times the cosine of the ground's slope
    shock_change : change of the shock share against the same rest
    slope : tan(a), positive where forward thrust presses the tyres down
    ratio : motion ratio, shortening of the shocks per rise of the contact
    lengthening : of the drive shaft per rise of the contact
    support_share : squat support / demand
    usual_formula : thrust share times tan(a) over (height of the centre of mass / wheelbase); NaN for an axle
        that is not driven, and where there is no thrust to speak of or no demand
    share_with_axle_mass : all that the shocks need not carry / demand: support with unsprung weight and
        inertia
    """

    terms: dict[str, Series]
    demand: Series
    shock_change: Series
    slope: Series
    ratio: Series
    lengthening: Series
    support_share: Series
    usual_formula: Series
    share_with_axle_mass: Series


def standing_ledger(model: Model) -> LedgerRecord:
    """Forces of the rig exactly as measured on the bench, standing on the level."""
    led: LedgerRecord = np.zeros(1, LEDGER)[0]
    evaluate(led, 0.0, bench_state(model.bench), model.rig, flat_ground())
    return led


@once
def load_terms(trace: Trace, i: int) -> dict[str, Series]:
    """What the load of axle i's tyres is made of, N, by name; NaN where the axle moves along the ground."""
    axle, part = trace.model.rig.axle[i], trace.ledgers["axle"][:, i]
    path, tyre, shock = part["path"], part["tyre"], part["shock"]
    rise = np.where(np.abs(path["contact_rise"]) < LEAST_RISE, np.nan, path["contact_rise"])
    ratio, turn = path["shortening"] / rise, path["way"]["angle"] / rise
    x, z = path["way"]["x"] / rise, path["way"]["z"] / rise
    pushed = trace.ledgers["acceleration"][:, 1 + i]
    mass = axle.body.mass
    inertia = mass * (pushed["x"] * x + pushed["z"] * z) + axle.body.inertia * pushed["angle"] * turn
    terms = {"support": -tyre["thrust"] * path["contact_along"] / rise}
    terms |= {name: ratio * shock[name] for name in SHOCK_TERMS}
    terms["shaft"] = path["lengthening"] / rise * part["slide"]["friction"]
    terms["unsprung_weight"] = mass * trace.model.rig.gravity * z
    terms["unsprung_inertia"] = inertia - axle.spin_inertia * part["spin_acceleration"] * turn
    terms["rolling"] = -tyre["rolling_moment"] * turn
    return terms


def _per(value: Series, whole: Series, least: float) -> Series:
    """A share; NaN where the whole is too small to speak of."""
    with np.errstate(divide="ignore", invalid="ignore"):
        return np.where(np.abs(whole) < least, np.nan, value / whole)


def _thrust_share(trace: Trace, i: int) -> Series:
    """Share of axle i in the thrust; NaN where a share means nothing: an axle without drive, hardly any
    thrust, axles that pull against one another.
    """
    thrusts = [trace.part(k, "tyre", "thrust") for k in range(2)]
    whole, sizes = thrusts[0] + thrusts[1], np.abs(thrusts[0]) + np.abs(thrusts[1])
    least = LEAST_THRUST * trace.model.bench.whole.mass * trace.model.rig.gravity
    driven = bool(trace.model.rig.axle[i].branch.driven)
    return np.where(driven & (np.abs(whole) >= MOST_WOUND * sizes), _per(thrusts[i], whole, least), np.nan)


def support(trace: Trace, i: int) -> Support:
    """Account of axle i over a run."""
    model, here, terms = trace.model, Stance(trace), load_terms(trace, i)
    path, least = trace.part(i, "path"), LEAST_SHARE * model.bench.whole.mass * model.rig.gravity
    at_rest = standing_ledger(model).axle[i].path
    unsprung = model.rig.axle[i].body.mass * model.rig.gravity * at_rest.way.z / at_rest.contact_rise
    cosine = np.cos(here.ground)
    demand = trace.part(i, "tyre", "load") - model.bench.loads[i] * cosine
    shock = sum((terms[name] for name in SHOCK_TERMS), np.zeros(len(trace.times)))
    change = shock - (model.bench.loads[i] - unsprung) * cosine
    rise = np.where(np.abs(path["contact_rise"]) < LEAST_RISE, np.nan, path["contact_rise"])
    slope = -path["contact_along"] / rise
    towards = slope if i == 0 else -slope
    return Support(
        terms,
        demand,
        change,
        slope,
        path["shortening"] / rise,
        path["lengthening"] / rise,
        _per(terms["support"], demand, least),
        np.where(np.abs(demand) < least, np.nan, _thrust_share(trace, i))
        * towards
        * here.span
        / here.cg_height,
        _per(demand - change, demand, least),
    )
