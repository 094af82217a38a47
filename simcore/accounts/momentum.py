"""Audit of momentum: its rate against the external forces and moments, which are not those of the equations
solved: no link, shock or shaft takes part.
"""

import numpy as np
import numpy.typing as npt

from simcore.accounts.instant import arm_of, worse
from simcore.compiled import LedgerRecord, PoseRecord, Records, RigRecord, StateRecord, kernel
from simcore.solve.trace import Trace

Series = npt.NDArray[np.float64]
SHORT = 0.01  # m, lever of the weight that a moment is measured by at least


@kernel
def add(sums: Series, sizes: Series, origin: PoseRecord, x: float, z: float, f_x: float, f_z: float) -> None:
    """Add a force at a place to the sums along x and z and the moment about an origin, and their sizes."""
    moment = (x - origin.x) * f_z - (z - origin.z) * f_x
    add_moment(sums, sizes, moment)
    sums[0] += f_x
    sums[1] += f_z
    sizes[0] += abs(f_x)
    sizes[1] += abs(f_z)


@kernel
def add_moment(sums: Series, sizes: Series, moment: float) -> None:
    """Add a moment."""
    sums[2] += moment
    sizes[2] += abs(moment)


@kernel
def put_sums(sums: Series, sizes: Series, rig: RigRecord, state: StateRecord, led: LedgerRecord) -> None:
    """External forces and moments less the rates of momentum at one instant, (3,), and what they are made
    of.
    """
    origin = state.pose[0]
    for k in range(3):
        body = rig.chassis if k == 0 else rig.axle[k - 1].body
        pose, pushed = state.pose[k], led.acceleration[k]
        felt_x, felt_z = -body.mass * pushed.x, -body.mass * (pushed.z + rig.gravity)
        add(sums, sizes, origin, pose.x, pose.z, felt_x, felt_z)
        add_moment(sums, sizes, -body.inertia * pushed.angle)
    for i in range(2):
        axle, part = rig.axle[i], led.axle[i]
        tyre, depth, pose = part.tyre, part.tyre.rolling_radius, state.pose[1 + i]
        n, t = tyre.contact.normal, tyre.contact.along
        r_x, r_z = arm_of(pose, axle.centre)
        f_x, f_z = tyre.load * n.x + tyre.thrust * t.x, tyre.load * n.z + tyre.thrust * t.z
        add(sums, sizes, origin, pose.x + r_x - depth * n.x, pose.z + r_z - depth * n.z, f_x, f_z)
        add_moment(sums, sizes, tyre.rolling_moment + axle.spin_inertia * part.spin_acceleration)
    for i in range(len(rig.skid)):
        skid, touched = rig.skid[i], led.skid[i]
        if skid.present > 0.5:
            n, t = touched.contact.normal, touched.contact.along
            r_x, r_z = arm_of(origin, skid.place)
            low_x, low_z = origin.x + r_x - skid.radius * n.x, origin.z + r_z - skid.radius * n.z
            f_x, f_z = touched.load * n.x - touched.drag * t.x, touched.load * n.z - touched.drag * t.z
            add(sums, sizes, origin, low_x, low_z, f_x, f_z)


@kernel
def put_residuals(
    worst: Series,
    weight: float,
    states: Records[StateRecord],
    ledgers: Records[LedgerRecord],
    rigs: Records[RigRecord],
) -> None:
    """Fill in the worst of the three residuals at every instant, (n,)."""
    sums, sizes = np.empty(3), np.empty(3)
    for n in range(len(worst)):
        sums[:], sizes[:] = 0.0, 0.0
        put_sums(sums, sizes, rigs[0], states[n], ledgers[n])
        worst[n] = 0.0
        for k in range(3):
            least = weight * SHORT if k == 2 else weight
            worst[n] = worse(worst[n], abs(sums[k]) / max(sizes[k], least))


def momentum_residual(trace: Trace) -> Series:
    """Rate of linear and angular momentum less external forces and moments, relative; the worst of the three,
    (n,).

    External are gravity, the ground's forces on tyres and skids, and the rolling moment. A tyre's force acts
    at the depth R_e below the wheel centre, R_e the rolling radius. Moments are taken about the chassis'
    centre of mass.
    """
    model, worst = trace.model, np.empty(len(trace.times))
    weight = float(model.bench.whole.mass * model.rig.gravity)
    put_residuals(worst, weight, trace.states, trace.ledgers, model.rigs)
    return worst
