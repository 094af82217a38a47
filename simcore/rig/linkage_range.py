"""Linkage range: whether the links can follow the shock from one end of its stroke to the other."""

import numpy as np
import numpy.typing as npt
from scipy.optimize import root

from simcore.compiled import (
    LEDGER,
    STATE,
    STATES,
    LedgerRecord,
    Records,
    RigRecord,
    StateRecord,
    blank,
    kernel,
)
from simcore.dynamics.forces import measure_shock
from simcore.errors import InputError, InputIssue
from simcore.laws.links import axle_rows
from simcore.rig.masses import SIDES, StaticPose
from simcore.rig.preload import bench_state

Vector = npt.NDArray[np.float64]
STEPS = 8  # from ride height to each end of the stroke
CLOSED = 1e-7  # m, error at which links count as closed


@kernel
def residual(
    moved: Vector,
    side: int,
    travel: float,
    placed: Records[StateRecord],
    rigs: Records[RigRecord],
    leds: Records[LedgerRecord],
) -> npt.NDArray[np.float64]:
    """Errors of both links and of the shock travel with one axle moved from the bench, mm.

    Parameters
    ----------
    moved : shift of the axle along x and z, m, and its turn, rad, each plus 1: SciPy's root finders step by a
        share of the unknown when they difference, and would stand still at 0
    side : 0 rear, 1 front
    travel : shock travel aimed at, m
    placed : STATE of the rig on the bench, array of length one
    rigs, leds : as for the derivative
    """
    state: StateRecord
    state, rig, led = np.zeros(STATES).view(STATE)[0], rigs[0], leds[0]
    for body in range(3):
        state.pose[body].x, state.pose[body].z = placed[0].pose[body].x, placed[0].pose[body].z
    pose, part = state.pose[1 + side], led.axle[side]
    pose.x += moved[0] - 1.0
    pose.z += moved[1] - 1.0
    pose.angle += moved[2] - 1.0
    axle_rows(part.row, rig.axle[side], state.pose[0], state.rate[0], pose, state.rate[1 + side])
    measure_shock(part.shock, rig.axle[side].shock, state, side)
    return 1e3 * np.array([part.row[0].error, part.row[1].error, part.shock.travel - travel])


def _locks_at(
    rigs: Records[RigRecord], placed: Records[StateRecord], side: int, ride: float, end: float
) -> float | None:
    """Travel at which the links give out on the way from ride height to an end, m; None if they follow."""
    moved, leds = np.ones(3), blank(LEDGER)
    for travel in np.linspace(ride, end, STEPS + 1)[1:]:
        found = root(residual, moved, args=(side, travel, placed, rigs, leds), method="hybr")
        if not np.abs(found.fun).max() < 1e3 * CLOSED or abs(found.x[2] - moved[2]) > 0.5:
            return float(travel)
        moved = found.x
    return None


def check_linkage_range(rigs: Records[RigRecord], bench: StaticPose, source: str) -> None:
    """Refuse a rig whose links lock, or fold over, before a shock reaches an end of its stroke.

    Raises
    ------
    InputError
        naming each axle and the travel where its links give out.
    """
    placed, leds, issues = bench_state(bench).reshape(1), blank(LEDGER), []
    for side, name in enumerate(SIDES):
        residual(np.ones(3), side, 0.0, placed, rigs, leds)
        ride, stroke = leds[0].axle[side].shock.travel, rigs[0].axle[side].shock.stroke
        for end in (0.0, stroke):
            lock = _locks_at(rigs, placed, side, ride, end)
            if lock is not None:
                got = f"links that cannot close at {lock * 1e3:.1f} mm of shock travel"
                must_be = f"links that follow the shock over its whole stroke, 0 to {stroke * 1e3:g} mm"
                issues.append(InputIssue(source, f"rig.{name}", got, must_be))
    if issues:
        raise InputError(issues)
