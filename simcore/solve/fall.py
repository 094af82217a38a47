"""A rig put down on its ground and left alone: it sinks, as through oil, to where it rests, or goes away.

The oil slows every body in proportion to its mass (`DRAG`), so nothing swings and the rig passes through
states near balance; friction, tyres, links, stops and the drag brake are the rig's own. Where it comes to
rest the oil does nothing, so that rest is one of the rig itself.
"""

import dataclasses
import math
from collections.abc import Iterator

import numpy as np
import numpy.typing as npt

from simcore.compiled import (
    LEDGER,
    STATE,
    STATES,
    LedgerRecord,
    PieceRecord,
    Records,
    RigRecord,
    StateRecord,
    blank,
)
from simcore.laws.frame import point_of
from simcore.rig.model import Model
from simcore.solve.bdf import ENDED, GOING, THERE, Problem, begin
from simcore.solve.bulk import go_on, memory_of
from simcore.solve.piece import FIRST_STEP
from simcore.solve.scales import moving_states, tolerance_scale

Vector = npt.NDArray[np.float64]
Point = tuple[float, float]
DRAG = 30.0  # 1/s, drag per mass: falls end at 0.3 m/s
RELATIVE, ABSOLUTE = 1e-6, 1e-8  # tolerances; only the rest at the end counts
LIGHT_OIL = 20.0  # N*s/m, in place of the shocks' dampers
LOOK, LONGEST = 0.25, 6.0  # s: how often it is looked at, how long it may take
GONE = 0.3  # of the wheelbase, way of both wheels after which it is not coming to rest
OFF = 0.5  # of the tyre's radius, height off the ground after which it is not coming back


@dataclasses.dataclass(frozen=True)
class Sight:
    """A look at a falling rig.

    Attributes
    ----------
    state, led : STATE and LEDGER
    speed : largest of any body, m/s (turning counted at 0.1 m)
    off : each axle's tyres off the ground by `OFF` or more
    gone : whether it has gone too far from where it was put down, or too high, to come to rest
    """

    state: StateRecord
    led: LedgerRecord
    speed: float
    off: tuple[bool, bool]
    gone: bool


def _centres(model: Model, state: StateRecord) -> list[Point]:
    """Wheel centres of the rear and the front axle, m."""
    parts = zip(state.pose[1:], model.rig.axle, strict=True)
    return [point_of(pose, axle.centre) for pose, axle in parts]


def _look(model: Model, y: Vector, put_down: list[Point]) -> Sight:
    """Look at a rig whose wheel centres were put down at places."""
    state: StateRecord = y.copy().view(STATE)[0]
    led, centres = model.ledger(state), _centres(model, state)
    rates = [(abs(rate.x), abs(rate.z), 0.1 * abs(rate.angle)) for rate in state.rate]
    feet = [(part.tyre.contact.foot.x, part.tyre.contact.foot.z) for part in led.axle]
    radii = [float(axle.tyre.radius) for axle in model.rig.axle]
    rear, front = (
        math.dist(centre, foot) > (1.0 + OFF) * radius
        for centre, foot, radius in zip(centres, feet, radii, strict=True)
    )
    way = min(math.dist(*ends) for ends in zip(put_down, centres, strict=True))
    far = way > GONE * math.dist(*model.bench.centres)
    return Sight(
        state,
        led,
        speed=float(np.max(rates)),
        off=(rear, front),
        gone=rear or front or far or not bool(np.all(np.isfinite(rates))),
    )


def held(model: Model, free_seals: bool) -> Records[RigRecord]:
    """RIG records of the rig without a driver: brake as at the start, light oil in the shocks, and gears
    without loss, which at rest hold nothing but would let a brake that is too weak give way at a crawl only.
    """
    rigs = model.rigs.copy()
    rigs[0].motor.efficiency, rigs[0].oil = 1.0, DRAG
    rigs[0].driver.release, rigs[0].driver.brake.rows = math.inf, 1.0
    for axle in rigs[0].axle:
        shock = axle.shock
        shock.damper_rows, shock.compression, shock.rebound = 0.0, LIGHT_OIL, LIGHT_OIL
        if free_seals:
            shock.friction.breakaway, shock.friction.sliding, axle.slide.friction = 0.0, 0.0, 0.0
    return rigs


class _Sinking:
    """Motion of a rig in oil, which no ending ends."""

    def __init__(self, rigs: Records[RigRecord], pieces: Records[PieceRecord], state: StateRecord) -> None:
        scale, never = tolerance_scale(), np.array([math.inf, math.inf, 0.0, 0.0])
        moving = moving_states(rigs[0])
        self.problem = Problem(
            rigs, pieces, blank(LEDGER), never, moving, scale, ABSOLUTE * scale, RELATIVE, LOOK
        )
        self.memory = memory_of(len(moving))
        begin(self.problem, self.memory, 0.0, np.frombuffer(state.tobytes()).copy(), FIRST_STEP)

    def until(self, time: float) -> bool:
        """Go on to a time, s; whether the solver comes there."""
        now, code = self.memory.now[0], GOING
        while code in (GOING, ENDED):
            code = go_on(self.problem, self.memory, np.empty(0), np.empty((0, STATES)), time)
            if code == ENDED and now.time >= time:
                return True
        return bool(code == THERE)

    @property
    def state(self) -> Vector:
        """State where it is, as a flat array."""
        return np.asarray(self.memory.differences[0]).copy()


def fall(model: Model, state: StateRecord, free_seals: bool) -> Iterator[Sight]:
    """Put a rig down and look at it again and again, until it has gone, or for `LONGEST`.

    Parameters
    ----------
    model : the rig on its ground
    state : STATE in which it is put down
    free_seals : whether the shocks' seals and the drive shafts slide without friction meanwhile
    """
    put_down, sinking = _centres(model, state), _Sinking(held(model, free_seals), model.pieces, state)
    for k in range(math.ceil(LONGEST / LOOK)):
        goes_on = sinking.until((k + 1) * LOOK)
        sight = _look(model, sinking.state, put_down)
        yield sight
        if sight.gone or not goes_on:
            return
