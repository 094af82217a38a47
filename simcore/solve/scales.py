"""The states of a rig as a solver sees them: what counts as small, and which of them move others."""

from functools import cache

import numpy as np
import numpy.typing as npt

from simcore.compiled import CONTROL_SPEED, STATE, RigRecord, StateRecord, blank

Vector = npt.NDArray[np.float64]
Has = tuple[bool, ...]


def fixed(state: StateRecord) -> Vector:
    """Numbers of a state, not to be written to."""
    return np.frombuffer(state.tobytes())


@cache
def tolerance_scale() -> Vector:
    """Size below which each state counts only absolutely; multiplied by the scenario's absolute tolerance."""
    scale = blank(STATE, 1.0)[0]
    for rate in scale.rate:
        rate.angle = 10.0
    scale.spin[:], scale.motor, scale.wind_up[:], scale.governor = 10.0, 100.0, 1.0, 10.0
    scale.shock_bristle[:], scale.tyre_bristle[:], scale.skid_bristle[:] = 1e-3, 1e-2, 1e-3
    scale.slide_bristle[:] = 1e-3
    scale.rotor_bristle = 0.1
    return fixed(scale)


@cache
def _ranks() -> Vector:
    """Rank of each state in the order of `moving_states`; 0: it only listens."""
    rank = blank(STATE)[0]
    for pose, rate in zip(rank.pose, rank.rate, strict=True):
        pose.x, pose.z, pose.angle = 1.0, 1.0, 1.0
        rate.x, rate.z, rate.angle = 3.0, 3.0, 3.0
    rank.spin[:], rank.motor = 3.0, 3.0
    rank.shock_bristle[:], rank.tyre_bristle[:], rank.rotor_bristle = 2.0, 2.0, 2.0
    return fixed(rank)


def moving_states(rig: RigRecord) -> npt.NDArray[np.int64]:
    """Numbers of the states that move others, (n,), those without an equation of motion first; not to be
    written to.

    Way and sums of energy only listen, and what a rig lacks (skids, shafts, a governor) does nothing. A
    place, a bend or a wind-up follows from speeds and itself alone, so the factors of ``1 - c J`` stay
    nearly empty in this order.
    """
    return _moving(
        tuple(bool(axle.branch.driven) for axle in rig.axle),
        tuple(bool(axle.slide.present) for axle in rig.axle),
        tuple(bool(skid.present) for skid in rig.skid),
        bool(rig.driver.control == CONTROL_SPEED),
    )


@cache
def _moving(driven: Has, slides: Has, skids: Has, held: bool) -> npt.NDArray[np.int64]:
    """The same of a rig that has some of these."""
    rank: StateRecord = _ranks().copy().view(STATE)[0]
    for states, there in ((rank.wind_up, driven), (rank.slide_bristle, slides), (rank.skid_bristle, skids)):
        states[:] = [2.0 * one for one in there]
    rank.governor = 2.0 * held
    ranks = fixed(rank)
    return np.flatnonzero(ranks)[np.argsort(ranks[ranks > 0.0], kind="stable")]
