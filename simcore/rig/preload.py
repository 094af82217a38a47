"""Preload of the springs that are to hold the measured ride height."""

import dataclasses

import numpy as np
import numpy.typing as npt

from simcore.compiled import LEDGER, MAX_SPRINGS, STATE, Records, RigRecord, ShockRecord, StateRecord, blank
from simcore.dynamics.motion import evaluate_all
from simcore.errors import InputError, InputIssue
from simcore.files.rig import Rig
from simcore.rig.course import flat_ground
from simcore.rig.masses import SIDES, StaticPose, sides
from simcore.units import GRAMS


def bench_state(bench: StaticPose) -> StateRecord:
    """The rig at rest exactly as measured, on level ground, every bristle and shaft relaxed."""
    state = blank(STATE)[0]
    for pose, body in zip(state.pose, (bench.chassis, *bench.axles), strict=True):
        pose.x, pose.z = body.x, body.z
    return state


@dataclasses.dataclass(frozen=True)
class Borne:
    """What the shocks of one axle have to bear on the bench, both together.

    Attributes
    ----------
    force : along the shocks, extending positive, N
    travel : compression from full extension, m
    """

    force: float
    travel: float


def borne_on_bench(rigs: Records[RigRecord], bench: StaticPose) -> tuple[Borne, Borne]:
    """Forces of the rear and the front shocks at which the rig stands still as it was measured.

    Accelerations are linear in the two shock forces, so three evaluations at the bench position give them.
    """
    flat, leds, states = flat_ground(), blank(LEDGER), np.frombuffer(bench_state(bench).tobytes())[None]
    probe, led, start = rigs.copy(), leds[0], np.zeros(1)

    def accelerations(forces: tuple[float, float]) -> npt.NDArray[np.float64]:
        for axle, part, force in zip(probe[0].axle, led.axle, forces, strict=True):
            for slot in axle.shock.spring:
                slot.rate = 0.0
            axle.shock.spring[0].push, axle.shock.spring[0].rate = 1.0, 1e3
            axle.shock.spring[0].loose_at = part.shock.travel - force / 1e3
        evaluate_all(leds, start, states, probe, flat)
        return np.concatenate([[a.x, a.z, a.angle] for a in led.acceleration])

    accelerations((0.0, 0.0))  # measures the travel
    still = accelerations((0.0, 0.0))
    columns = np.column_stack([accelerations((1.0, 0.0)) - still, accelerations((0.0, 1.0)) - still])
    forces = np.linalg.lstsq(columns, -still)[0]
    rear, front = (
        Borne(float(force), float(axle.shock.travel)) for force, axle in zip(forces, led.axle, strict=True)
    )
    return rear, front


def hold_ride_height(
    rigs: Records[RigRecord], rig: Rig, bench: StaticPose, source: str
) -> tuple[Borne, Borne]:
    """Place the loose point of every spring that is to hold the measured ride height.

    Returns
    -------
    What the rear and the front shocks bear there.

    Raises
    ------
    InputError
        when such a spring would have to pull, or one that pulls to push.
    """
    both = borne_on_bench(rigs, bench)
    for name, axle, part, borne in zip(SIDES, sides(rig), rigs[0].axle, both, strict=True):
        held = [k for k, spring in enumerate(axle.shock.springs) if spring.hold_ride_height]
        if held:
            _set_hold(part.shock, held[0], borne, f"rig.{name}.shock", source)
    return both


def _set_hold(shock: ShockRecord, slot: int, borne: Borne, key: str, source: str) -> None:
    others, travel = 0.0, borne.travel
    for k in range(MAX_SPRINGS):
        spring = shock.spring[k]
        if k != slot:
            others += spring.push * spring.rate * max(spring.push * (travel - spring.loose_at), 0.0)
    spring = shock.spring[slot]
    own = spring.push * (borne.force - others)
    if own <= 0.0:
        verb = "pull" if spring.push > 0.0 else "push"
        got = (
            f"a spring that would have to {verb} with {abs(own) / 2.0 * GRAMS:.3g} g to hold the ride height"
        )
        must_be = "left out (give a preload), or other springs that carry less"
        raise InputError([InputIssue(source, f"{key}.springs[{slot}].hold_ride_height", got, must_be)])
    spring.loose_at = travel - spring.push * own / spring.rate
