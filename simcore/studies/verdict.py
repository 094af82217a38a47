"""Whether a run climbed its slope, and if not, why: measured from its trace, in the words of the trade."""

import math

import numpy as np
import numpy.typing as npt

from simcore.accounts.reasons import SPINNING, TOUCH
from simcore.compiled import CONTROL_SPEED, CONTROL_THROTTLE, FRONT, REAR
from simcore.driveline import motor_current, table_value
from simcore.ending import STOOD_SPEED
from simcore.trace import Outcome, Trace

LATE = 0.1  # s before the end, from which a failed run is judged
AT_LIMIT = 0.99  # share of the current there is, from which the motor counts as giving all it has


def why_not(trace: Trace, front_up: float) -> str:
    """Why a run does not count as climbing its slope; empty when it does.

    Parameters
    ----------
    trace : of a run that ends at the distance to cover
    front_up : longest unbroken time that the front tyres may be in the air, s
    """
    trace = trace.rows(trace.watched)
    outcome, way = trace.outcome, trace.states["distance"][-1]
    if outcome is Outcome.NOT_SOLVED:
        return "the integration broke off"
    if outcome is Outcome.ROLLED_OVER:
        pitch = trace.states["pose"]["angle"][:, 0]
        return f"tips over {'backwards' if pitch[-1] > pitch[0] else 'forwards'}"
    if _longest(trace.times, trace.part(FRONT, "tyre", "load") < TOUCH) > front_up:
        return f"front in the air for over {front_up:g} s"
    if outcome is Outcome.HIGH_CENTRED:
        return "hangs on its skids"
    if outcome is Outcome.DISTANCE and way > 0.0:  # as far back counts as distance too
        return ""
    return _why_stuck(trace)


def _longest(times: npt.NDArray[np.float64], true: npt.NDArray[np.bool_]) -> float:
    """Longest time without a break for which a condition holds, s."""
    edges = np.flatnonzero(np.diff(np.concatenate(([False], true, [False])).astype(np.int8)))
    spans = times[edges[1::2] - 1] - times[edges[::2]]
    return float(spans.max(initial=0.0))


def _why_stuck(trace: Trace) -> str:
    """Why a rig that kept its wheels on the ground did not arrive: by its last tenth of a second."""
    late = trace.rows(trace.times >= trace.times[-1] - LATE)
    speed = np.mean([late.part(i, "tyre", "ground_speed") for i in (REAR, FRONT)])
    onward, back = speed > STOOD_SPEED, speed < -STOOD_SPEED
    slip, tread = _driven(late)
    if slip > SPINNING:
        if back:
            return "slides back, tyres spinning" if tread > STOOD_SPEED else "slides back"
        return "spins and hardly gets on" if onward else "spins without getting on"
    ends = f"not there in {late.times[-1]:.3g} s" if onward else "rolls back" if back else "stands still"
    return f"{ends}: {_shortfall(late, onward, back)}"


def _driven(late: Trace) -> tuple[float, float]:
    """Slip of the driven tyres that touch the ground, and the speed of their tread, m/s; of two axles the one
    that slips less, for those of one driveline spin together.
    """
    found = []
    for i in (REAR, FRONT):
        tyre, loaded = late.part(i, "tyre"), late.part(i, "tyre", "load") > TOUCH
        if late.model.rig.axle[i].branch.driven and loaded.any():
            tread = (tyre["ground_speed"] + tyre["slip_speed"])[loaded]
            found.append((float(np.median(np.abs(tyre["slip"][loaded]))), float(np.mean(tread))))
    return min(found, default=(math.inf, 0.0))


def _shortfall(late: Trace, onward: bool, back: bool) -> str:
    """What keeps a rig whose tyres grip from driving on as it should."""
    motor, driver, currents = late.model.rig.motor, late.model.rig.driver, late.ledgers["motor"]["current"]
    if np.median(late.ledgers["motor"]["brake_share"]) > 0.5:
        return f"the drag brake {'slips' if back else 'is on'}"
    if table_value(driver.request, late.times[-1]) <= 0.0:
        return "the driver asks for nothing"
    most = [
        min(motor_current(motor, motor.voltage, speed), motor.current_limit) for speed in late.states["motor"]
    ]
    if np.median(currents / np.array(most)) >= AT_LIMIT:
        return "motor too weak"
    if driver.control == CONTROL_THROTTLE:
        return "too little throttle"
    held = driver.control == CONTROL_SPEED and onward
    return "asked speed too low" if held else "too little torque asked for"
