"""What a slope takes of the motor, beside what the motor gives."""

import math

import numpy as np

from simcore.compiled import FRONT, REAR
from simcore.solve.trace import Trace

ALIKE = math.radians(1.0)  # of the ground under both axles, up to which the rig stands on one slope


def torque_share(trace: Trace, ahead: float = 1.0) -> float | None:
    """Torque that the motor gives per torque that it would need to drive on steadily up the slope.

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
    The share; None where the rig stands on an edge, skids, or has nothing to climb.
    """
    rig = trace.model.rig
    tyres = [trace.part(i, "tyre") for i in (REAR, FRONT)]
    slopes = [np.arctan2(tyre["contact"]["along"]["z"], tyre["contact"]["along"]["x"]) for tyre in tyres]
    slope = float(np.median(slopes))
    if np.abs(np.array(slopes) - slope).max() > ALIKE or trace.ledgers["skid"]["load"].sum() > 0.0:
        return None
    resisting = sum(
        rig.axle[i].tyre.rolling_resistance * float(np.median(tyres[i]["load"])) for i in (REAR, FRONT)
    )
    pull = trace.model.bench.whole.mass * rig.gravity * math.sin(ahead * slope) + resisting
    levers = [
        float(np.median(tyres[i]["rolling_radius"])) / rig.axle[i].branch.ratio
        for i in (REAR, FRONT)
        if rig.axle[i].branch.driven
    ]
    needed = pull * float(np.mean(levers)) / rig.motor.efficiency + rig.motor.idle_torque
    given = ahead * float(np.median(trace.ledgers["motor"]["torque"]))
    return given / needed if ahead * slope > ALIKE else None
