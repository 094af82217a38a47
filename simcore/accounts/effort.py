"""What a slope takes of the motor, beside what the motor gives."""

import math

import numpy as np

from simcore.compiled import FRONT, REAR, TyreRecord
from simcore.laws.tyre import load_factor
from simcore.solve.trace import Trace

ALIKE = math.radians(1.0)  # of the ground under both axles, up to which the rig stands on one slope


def torque_needed(trace: Trace, ahead: float = 1.0) -> float | None:
    """Torque that the motor needs to drive on steadily, N*m.

    The tyres would have to pull with ``W sin(th) + sum c N``, c the rolling resistance, through the rolling
    radius, the ratio and the gears' loss of the driven axles: ``T = pull R / (G eta) + idle torque``. With
    overdrive the two axles' ``R / G`` differ; which of them pulls is not known beforehand, and their mean is
    taken.

    Parameters
    ----------
    trace : of a rig that does not get on; the medians over its rows are taken
    ahead : 1 for a rig that is to come forward, -1 for one that is to go back

    Returns
    -------
    The torque; None where the rig stands on an edge or skids.
    """
    rig, slope = trace.model.rig, slope_of(trace)
    if slope is None:
        return None
    resisting = sum(
        rig.axle[i].tyre.rolling_resistance * float(np.median(trace.part(i, "tyre", "load")))
        for i in (REAR, FRONT)
    )
    pull = trace.model.bench.whole.mass * rig.gravity * math.sin(ahead * slope) + resisting
    levers = [
        float(np.median(trace.part(i, "tyre", "rolling_radius"))) / rig.axle[i].branch.ratio
        for i in (REAR, FRONT)
        if rig.axle[i].branch.driven
    ]
    return float(pull * float(np.mean(levers)) / rig.motor.efficiency + rig.motor.idle_torque)


def slope_of(trace: Trace) -> float | None:
    """Slope of the ground under both axles, rad; None where it is not one, or a skid drags."""
    along = [trace.part(i, "tyre", "contact")["along"] for i in (REAR, FRONT)]
    slopes = np.array([np.arctan2(direction["z"], direction["x"]) for direction in along])
    slope = float(np.median(slopes))
    one = np.abs(slopes - slope).max() <= ALIKE and trace.ledgers["skid"]["load"].sum() == 0.0
    return slope if one else None


def torque_given(trace: Trace, ahead: float = 1.0) -> float:
    """Torque of the motor the way the rig is to go, N*m; the median."""
    return ahead * float(np.median(trace.ledgers["motor"]["torque"]))


def torque_share(trace: Trace, ahead: float = 1.0) -> float | None:
    """Torque that the motor gives per torque that it needs up the slope.

    None where there is no slope up, or where overdrive lets the axles pull against one another as hard as the
    slope pulls: what that costs is not reckoned with.
    """
    slope, needed = slope_of(trace), torque_needed(trace, ahead)
    if slope is None or needed is None or ahead * slope <= ALIKE:
        return None
    pull = trace.model.bench.whole.mass * trace.model.rig.gravity * math.sin(ahead * slope)
    return None if _wound_up(trace) > pull else torque_given(trace, ahead) / needed


def _factor(tyre: TyreRecord, load: float) -> float:
    return load_factor(load, tyre.reference_load, tyre.load_exponent)


def _wound_up(trace: Trace) -> float:
    """Force with which overdriven axles pull against one another when they roll, N.

    The treads differ in speed by a share that both tyres take up as slip, each with ``C N``, at most what the
    less loaded end grips.
    """
    axles, loads = (
        trace.model.rig.axle,
        [float(np.median(trace.part(i, "tyre", "load"))) for i in (REAR, FRONT)],
    )
    if not all(axle.branch.driven for axle in axles) or min(loads) <= 0.0:
        return 0.0
    treads = [axle.tyre.radius / axle.branch.ratio for axle in axles]
    stiff = [axle.tyre.slip_stiffness * load for axle, load in zip(axles, loads, strict=True)]
    grip = min(
        axle.tyre.peak * load * _factor(axle.tyre, load) for axle, load in zip(axles, loads, strict=True)
    )
    lead = abs(treads[FRONT] / treads[REAR] - 1.0)
    return float(min(lead * stiff[REAR] * stiff[FRONT] / sum(stiff), grip))
