"""When a run is over: margins watched while integrating, and states that must last, looked for afterwards."""

import math

import numpy as np
import numpy.typing as npt

from simcore.compiled import STATE, LedgerRecord, PieceRecord, Records, RigRecord, StateRecord, kernel
from simcore.files.scenario import Scenario
from simcore.laws.frame import frame_of, lever
from simcore.laws.ground import deflection_of, touch
from simcore.solve.trace import Outcome, Trace

ROLLED = math.pi / 2.0  # rad against the ground: past this no rig comes back on its wheels by itself
FALLS = math.radians(60.0)  # likewise, past this it does not slide back but falls
HUNG_FOR, HUNG_SPEED, HUNG_SLIP, HUNG_SHARE = 0.5, 0.01, 0.05, 0.02  # s, m/s, m/s, of the weight
STOOD_FOR, STOOD_SPEED, MOVED_SPEED = 0.25, 0.001, 0.01  # s, m/s, m/s
WATCHED = (
    Outcome.ROLLED_OVER,
    Outcome.SLID_AWAY,
    Outcome.DISTANCE,
    Outcome.FRONT_LIFTED,
    Outcome.REAR_LIFTED,
)


@kernel
def margins(
    y: npt.NDArray[np.float64],
    rigs: Records[RigRecord],
    pieces: Records[PieceRecord],
    leds: Records[LedgerRecord],
    limits: npt.NDArray[np.float64],
) -> npt.NDArray[np.float64]:
    """How far the rig is from each watched ending; an ending comes when its margin falls through zero.

    Parameters
    ----------
    y : state as a flat array
    rigs, pieces, leds : as for `derivative`
    limits : way back from the start that counts as slid away (m), distance asked for (m), 1/0 whether
        lifting of the front, of the rear ends the run

    Returns
    -------
    Margins in the order of WATCHED: rad, m, m, m, m.
    """
    state: StateRecord
    state, rig, led, out = np.ascontiguousarray(y).view(STATE)[0], rigs[0], leds[0], np.empty(5)
    along_x, along_z = 0.0, 0.0
    for i in range(2):
        axle, pose, contact = rig.axle[i], state.pose[1 + i], led.axle[i].tyre.contact
        arm_x, arm_z = lever(frame_of(pose), axle.centre)
        x, z = pose.x + arm_x, pose.z + arm_z
        touch(contact, pieces, x, z, axle.tyre.radius)
        along_x += contact.along.x
        along_z += contact.along.z
        gap = math.sqrt((x - contact.foot.x) ** 2 + (z - contact.foot.z) ** 2) - axle.tyre.radius
        pressed = deflection_of(contact.area, axle.tyre.radius) if contact.area > 0.0 else -gap
        out[4 - i] = pressed if limits[3 - i] > 0.5 else 1.0
    tilt = state.pose[0].angle - math.atan2(along_z, along_x)
    out[0] = ROLLED - abs(math.atan2(math.sin(tilt), math.cos(tilt)))
    out[1] = state.distance + limits[0]
    out[2] = limits[1] - abs(state.distance)
    return out


def _way_back(scenario: Scenario) -> float:
    """Way back that counts as slid away, m; a driver who reverses may go as far as he likes."""
    driver = scenario.driver
    reverses = any(value < 0.0 for _, value in getattr(driver, driver.control))
    return math.inf if reverses else scenario.end.slid_back


def limits_of(scenario: Scenario) -> npt.NDArray[np.float64]:
    """Limits for `margins` from a scenario's `end` table."""
    end = scenario.end
    distance = math.inf if end.distance is None else end.distance
    lifts = [float(name in end.when) for name in ("front_lifts", "rear_lifts")]
    return np.array([_way_back(scenario), distance, *lifts])


def _first_lasting(times: npt.NDArray[np.float64], true: npt.NDArray[np.bool_], span: float) -> float:
    """Time at which a condition has held without a break for a time span; infinite if it never does."""
    begins = true & ~np.concatenate(([False], true[:-1]))
    since = np.maximum.accumulate(np.where(begins, np.arange(len(times)), 0))
    lasted = np.flatnonzero(true & (times - times[since] >= span))
    return float(times[lasted[0]]) if len(lasted) else math.inf


def _falls(trace: Trace) -> npt.NDArray[np.bool_]:
    """At which instants a rig is turned so far against its ground that it falls rather than slides, (n,)."""
    along = [trace.part(i, "tyre", "contact", "along") for i in range(2)]
    ground = np.arctan2(along[0]["z"] + along[1]["z"], along[0]["x"] + along[1]["x"])
    tilt = trace.states["pose"]["angle"][:, 0] - ground
    return np.asarray(np.abs(np.arctan2(np.sin(tilt), np.cos(tilt))) > FALLS)


def cut_lasting(trace: Trace, scenario: Scenario) -> Trace:
    """Cut a run where the rig slid back from its furthest point, hung on its skids, or (if asked) stood."""
    whole, trace = trace, trace.rows(trace.watched)
    speed = np.abs(trace.ground_speed)
    slip = np.maximum(*(np.abs(trace.part(i, "tyre", "slip_speed")) for i in range(2)))
    skids = trace.ledgers["skid"]["load"].sum(axis=1)
    weight = trace.model.bench.whole.mass * trace.model.rig.gravity
    hung = (skids > HUNG_SHARE * weight) & (speed < HUNG_SPEED) & (slip > HUNG_SLIP)
    distance = trace.states["distance"]
    slid = (np.maximum.accumulate(distance) - distance > _way_back(scenario)) & ~_falls(trace)
    endings = [
        (_first_lasting(trace.times, hung, HUNG_FOR), Outcome.HIGH_CENTRED),
        (_first_lasting(trace.times, slid, 0.0), Outcome.SLID_AWAY),
    ]
    if "stands_still" in scenario.end.when:
        moved = np.maximum.accumulate(speed) > MOVED_SPEED
        endings.append(
            (_first_lasting(trace.times, moved & (speed < STOOD_SPEED), STOOD_FOR), Outcome.STOOD_STILL)
        )
    time, outcome = min(endings, key=lambda ending: ending[0])
    return whole.until(time, outcome) if time < math.inf else whole
