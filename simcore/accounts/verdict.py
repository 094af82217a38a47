"""What a run did that did not do its job, and why: measured from its trace, as codes with their words."""

import dataclasses
import enum
import math

import numpy as np
import numpy.typing as npt

from simcore.accounts.effort import torque_given, torque_needed
from simcore.accounts.reasons import SPINNING, TOUCH
from simcore.compiled import CONTROL_SPEED, CONTROL_THROTTLE, FRONT, REAR
from simcore.files.aim import BRAKING
from simcore.laws.driveline import motor_current, table_value
from simcore.solve.events import HUNG_SHARE, STOOD_SPEED
from simcore.solve.refusal import NoStand
from simcore.solve.trace import Outcome, Trace

LATE = 0.1  # s before the end, from which a failed run is judged at the latest,
NEAR = 0.02  # m; else from when it was this near to the furthest that it came
OFTEN = 0.25  # share of that time from which tyres that spin are what holds it
CREEPS = 0.1  # m/s, below which a rig with spinning tyres hardly gets on
GAINS = 1.02  # of the speed half of that time before, from which a rig gains speed
BELOW = 0.8  # of the speed asked for, below which a rig has not come up to it
OUTRUNS = 0.01  # m/s, by which a spinning tyre's tread is faster than the ground at least
STUCK = 0.005  # m, a rig that never comes further has not moved
AT_LIMIT = 0.99  # share of the current there is, from which the motor counts as giving all it has


class Failure(enum.Enum):
    """What a rig does that does not do its job; the name stands in files, the value in sentences."""

    CANNOT_STAND = "cannot stand there"
    TIPS_BACKWARDS = "tips over backwards"
    TIPS_FORWARDS = "tips over forwards"
    FRONT_IN_THE_AIR = "front in the air for too long"
    HANGS_ON_SKIDS = "hangs on its skids"
    SLIDES_BACK_SPINNING = "slides back, tyres spinning"
    SLIDES_BACK = "slides back"
    SPINS_AND_CREEPS = "spins and hardly gets on"
    SPINS = "spins without getting on"
    NOT_THERE = "not there in time"
    ROLLS_BACK = "rolls back"
    STANDS_STILL = "stands still"
    DOES_NOT_MOVE = "does not move"
    FRONT_LIFTS = "lifts its front tyres off the ground"
    REAR_LIFTS = "lifts its rear tyres off the ground"
    FRONT_TOO_LIGHT = "carries too little on its front tyres"
    DOES_NOT_STOP = "does not come to a stand"
    STOPS_LATE = "stops too late"
    DOES_NOT_STAY = "does not stay where it is"
    MISSES_A_BOUND = "misses a bound of its goal"
    NO_START_FOUND = "no standing start was found"
    BROKE_OFF = "the integration broke off"
    AUDIT_FAILED = "its audit failed"


UNKNOWN = frozenset({Failure.NO_START_FOUND, Failure.BROKE_OFF, Failure.AUDIT_FAILED})
"""These tell nothing about what the rig can do."""


_TIMED = {
    Failure.FRONT_IN_THE_AIR: "front in the air for over {s:g} s",
    Failure.NOT_THERE: "not there in {s:.3g} s",
}


class Cause(enum.Enum):
    """What keeps a rig whose tyres grip from driving on as it should, or from standing there; likewise."""

    BRAKE_SLIPS = "the drag brake slips"
    BRAKE_IS_ON = "the drag brake is on"
    NOTHING_ASKED = "the driver asks for nothing"
    MOTOR_TOO_WEAK = "motor too weak"
    TOO_LITTLE_THROTTLE = "too little throttle"
    ASKED_SPEED_TOO_LOW = "asked speed too low"
    TOO_LITTLE_TORQUE = "too little torque asked for"
    SLIDES = "it slides"
    TIPS_OVER = "it tips over"
    TYRES_SPIN = "the tyres spin"
    TYRES_SLIDE = "the tyres slide"
    RUN_TOO_SHORT = "the run is too short"
    NOT_BRAKED = "nothing brakes it"

    @classmethod
    def of(cls, why: NoStand) -> "Cause":
        """Why a rig cannot stand at its start."""
        return cls[why.name]


@dataclasses.dataclass(frozen=True)
class Verdict:
    """Why a run did not do its job.

    Attributes
    ----------
    failure : what it did instead
    cause : why, where that is known
    seconds : time that the failure speaks of, s
    """

    failure: Failure
    cause: Cause | None = None
    seconds: float = 0.0

    def __str__(self) -> str:
        """Give it in words."""
        text = _TIMED.get(self.failure, self.failure.value).format(s=self.seconds)
        return text if self.cause is None else f"{text}: {self.cause.value}"

    @property
    def known(self) -> bool:
        """Whether it tells that the job is not done."""
        return self.failure not in UNKNOWN


def why_not(trace: Trace, front_up: float) -> Verdict | None:
    """Why a run does not count as climbing its slope; None when it does.

    Parameters
    ----------
    trace : of a run that ends at the distance to cover
    front_up : longest unbroken time that the front tyres may be in the air, s
    """
    trace = trace.rows(trace.watched)
    outcome, way = trace.outcome, trace.states["distance"][-1]
    if outcome is Outcome.NOT_SOLVED:
        return Verdict(Failure.BROKE_OFF)
    if outcome is Outcome.ROLLED_OVER:
        return Verdict(tips(trace))
    if _longest(trace.times, trace.part(FRONT, "tyre", "load") < TOUCH) > front_up:
        return Verdict(Failure.FRONT_IN_THE_AIR, seconds=front_up)
    if outcome is Outcome.HIGH_CENTRED:
        return Verdict(Failure.HANGS_ON_SKIDS)
    if outcome is Outcome.DISTANCE and way > 0.0:  # as far back counts as distance too
        return None
    return why_stuck(trace)


def turned(trace: Trace) -> float:
    """How far the chassis has pitched in a run, rad, nose up positive."""
    pitch = trace.states["pose"]["angle"][:, 0]
    return float(pitch[-1] - pitch[0])


def tips(trace: Trace) -> Failure:
    """Which way a rig goes over that does."""
    return Failure.TIPS_BACKWARDS if turned(trace) > 0.0 else Failure.TIPS_FORWARDS


def _longest(times: npt.NDArray[np.float64], true: npt.NDArray[np.bool_]) -> float:
    """Longest time without a break for which a condition holds, s."""
    edges = np.flatnonzero(np.diff(np.concatenate(([False], true, [False])).astype(np.int8)))
    spans = times[edges[1::2] - 1] - times[edges[::2]]
    return float(spans.max(initial=0.0))


def stuck(trace: Trace, ahead: float = 1.0) -> Trace:
    """The part of a run in which it got no further: since it came near its furthest, and at least its end.

    Parameters
    ----------
    ahead : 1 for a rig that is to come forward, -1 for one that is to go back
    """
    way = ahead * trace.states["distance"]
    came = float(trace.times[int(np.argmax(way >= way.max() - NEAR))])
    return trace.rows(trace.times >= min(came, trace.times[-1] - LATE))


def why_stuck(trace: Trace, ahead: float = 1.0) -> Verdict:
    """Why a rig that kept its wheels on the ground did not arrive: by the part in which it got no further.

    Parameters
    ----------
    ahead : 1 for a rig that is to come forward, -1 for one that is to go back; "back" is the other way
    """
    late, way = trace.rows(trace.times >= trace.times[-1] - LATE), ahead * trace.states["distance"]
    speed = ahead * np.mean(late.ground_speed)
    lost = float(way.max() - way[-1])
    back = bool(speed < -STOOD_SPEED) and lost > min(max(float(way.max()), STUCK), NEAR)  # it may only rock
    before = way[trace.times < late.times[0]].max(initial=-math.inf)
    onward = bool(speed > STOOD_SPEED) and way[-1] > before  # likewise
    part = stuck(trace, ahead)
    if not onward and _on_skids(part):
        return Verdict(Failure.HANGS_ON_SKIDS)
    slips, spins, tread = _driven(part)
    if slips > OFTEN and back and lost > NEAR:
        spinning = ahead * tread > STOOD_SPEED
        return Verdict(Failure.SLIDES_BACK_SPINNING if spinning else Failure.SLIDES_BACK)
    if spins > OFTEN and onward and speed > CREEPS:
        return Verdict(Failure.NOT_THERE, Cause.TYRES_SPIN, float(late.times[-1]))
    if spins > OFTEN:
        return Verdict(Failure.SPINS_AND_CREEPS if onward else Failure.SPINS)
    failure = Failure.NOT_THERE if onward else Failure.ROLLS_BACK if back else Failure.STANDS_STILL
    if failure is Failure.STANDS_STILL and np.abs(way).max() < STUCK:
        failure = Failure.DOES_NOT_MOVE
    return Verdict(failure, _shortfall(late, onward, back, ahead), float(late.times[-1]))


def _on_skids(trace: Trace) -> bool:
    """Whether skids carry a rig for most of the time while its driven tyres spin or are off the ground."""
    weight = trace.model.bench.whole.mass * trace.model.rig.gravity
    hangs = trace.ledgers["skid"]["load"].sum(axis=1) > HUNG_SHARE * weight
    return bool(np.mean(hangs) > 0.5) and _driven(trace)[1] > OFTEN


def slipping_share(trace: Trace, axle: int) -> float:
    """Share of the instants on the ground at which an axle's tyres spin, or slide over it."""
    tyre, loaded = trace.part(axle, "tyre"), trace.part(axle, "tyre", "load") > TOUCH
    return float(np.mean(np.abs(tyre["slip"][loaded]) > SPINNING)) if loaded.any() else 0.0


def spinning_share(trace: Trace, axle: int) -> float:
    """Share of the instants on the ground at which an axle's tyres spin: their tread outruns the ground."""
    tyre, loaded = trace.part(axle, "tyre"), trace.part(axle, "tyre", "load") > TOUCH
    ground = tyre["ground_speed"][loaded]
    outruns = np.abs(ground + tyre["slip_speed"][loaded]) > np.abs(ground) + OUTRUNS
    return float(np.mean(outruns & (np.abs(tyre["slip"][loaded]) > SPINNING))) if loaded.any() else 0.0


def _driven(late: Trace) -> tuple[float, float, float]:
    """Share of time in which the driven tyres that touch the ground spin or slide, in which they spin, and
    the speed of their tread, m/s.

    Of two axles the one that slips less, for those of one driveline spin together.
    """
    found = []
    for i in (REAR, FRONT):
        tyre, loaded = late.part(i, "tyre"), late.part(i, "tyre", "load") > TOUCH
        if late.model.rig.axle[i].branch.driven and loaded.any():
            tread = (tyre["ground_speed"] + tyre["slip_speed"])[loaded]
            found.append((slipping_share(late, i), spinning_share(late, i), float(np.mean(tread))))
    return min(found, default=(math.inf, math.inf, 0.0))


def _shortfall(late: Trace, onward: bool, back: bool, ahead: float) -> Cause:
    """What keeps a rig whose tyres grip from driving on as it should."""
    motor, driver = late.model.rig.motor, late.model.rig.driver
    released = late.times[-1] - float(driver.release) >= LATE
    if not released or (onward and late.outcome is Outcome.DISTANCE):
        return Cause.RUN_TOO_SHORT
    braked = float(np.median(late.ledgers["motor"]["brake_share"]))
    if braked >= BRAKING or (braked > 0.0 and _gives_enough(late, ahead)):
        return Cause.BRAKE_SLIPS if back else Cause.BRAKE_IS_ON
    if ahead * table_value(driver.request, late.times[-1]) <= 0.0:
        return Cause.NOTHING_ASKED
    if onward and _gains(late, ahead):
        return Cause.RUN_TOO_SHORT
    most = [
        min(motor_current(motor, motor.voltage, ahead * speed), motor.current_limit)
        for speed in late.states["motor"]
    ]
    if np.median(ahead * late.ledgers["motor"]["current"] / np.array(most)) >= AT_LIMIT:
        return Cause.MOTOR_TOO_WEAK
    if driver.control == CONTROL_THROTTLE:
        return Cause.TOO_LITTLE_THROTTLE
    held = driver.control == CONTROL_SPEED and onward
    return Cause.ASKED_SPEED_TOO_LOW if held else Cause.TOO_LITTLE_TORQUE


def _gains(late: Trace, ahead: float) -> bool:
    """Whether a rig still gains speed, so that it only lacks time; one at the speed asked for does not."""
    driver, speed = late.model.rig.driver, ahead * late.states["motor"]
    asked = ahead * table_value(driver.request, late.times[-1])
    if driver.control == CONTROL_SPEED and speed[-1] >= BELOW * asked:
        return False
    half = max(len(speed) // 2, 1)
    return float(np.mean(speed[-half:])) > GAINS * float(np.mean(speed[:half]))


def _gives_enough(late: Trace, ahead: float) -> bool:
    """Whether the motor gives what it would take without the brake."""
    needed = torque_needed(late, ahead)
    return needed is not None and torque_given(late, ahead) > needed
