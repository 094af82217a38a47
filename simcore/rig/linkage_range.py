"""Linkage range: whether the links can follow the shock from one end of its stroke to the other."""

import dataclasses
import math

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
    ShockRecord,
    StateRecord,
    blank,
    kernel,
)
from simcore.dynamics.elimination import factorise, solve_factorised
from simcore.dynamics.forces import measure_shock
from simcore.errors import InputError, InputIssue
from simcore.laws.frame import frame_of
from simcore.laws.links import axle_rows
from simcore.rig.masses import SIDES, StaticPose
from simcore.rig.preload import bench_state

Vector = npt.NDArray[np.float64]
LINKS = ("lower_link", "upper_link")
STEPS = 8  # from ride height to each end of the stroke, halved where the links do not follow one
FINE = 5e-6  # m, steps of travel and changes of a link's length that are not halved any more
CLOSED = 1e-7  # m, error at which links count as closed
TURN = 0.5  # rad, what an axle turns by at most in a step, or it has leapt
TRIES = 8  # of Newton's iteration, before a root finder is asked
NUDGE = 1e-7  # m and rad, step of the differences


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
    chassis, frame = frame_of(state.pose[0]), frame_of(pose)
    axle_rows(part.row, rig.axle[side], chassis, state.rate[0], frame, state.rate[1 + side])
    measure_shock(part.shock, rig.axle[side].shock, chassis, frame, state, side)
    return 1e3 * np.array([part.row[0].error, part.row[1].error, part.shock.travel - travel])


@dataclasses.dataclass(frozen=True)
class Miss:
    """A link that does not reach its axle pin at one end of the stroke.

    Attributes
    ----------
    link : 0 lower, 1 upper
    by : how much longer it would have to be to follow the shock that far, m; negative: shorter
    """

    link: int
    by: float


def follow(
    rigs: Records[RigRecord],
    placed: Records[StateRecord],
    side: int,
    ride: float,
    end: float,
    start: Vector | None = None,
) -> tuple[float, Vector]:
    """Let the links of an axle follow the shock from ride height towards an end of its stroke.

    Parameters
    ----------
    rigs, placed, side : as for `residual`
    ride, end : shock travel at ride height and at the end of the stroke, m
    start : the axle at ride height as `residual` takes it; None: where it is on the bench

    Returns
    -------
    Travel up to which they follow, m, and where the axle is then, as `residual` takes it.
    """
    moved, leds, reached = np.ones(3) if start is None else start, blank(LEDGER), ride
    step = (end - ride) / STEPS
    while reached != end and abs(step) > FINE:
        travel = end if abs(end - reached) <= abs(step) else reached + step
        found = root(residual, moved, args=(side, travel, placed, rigs, leds), method="hybr")
        if np.abs(found.fun).max() < 1e3 * CLOSED and abs(found.x[2] - moved[2]) <= TURN:
            moved, reached = found.x, travel
        else:
            step *= 0.5
    return reached, moved


@kernel
def follows(
    rigs: Records[RigRecord],
    placed: Records[StateRecord],
    leds: Records[LedgerRecord],
    side: int,
    ride: float,
    end: float,
) -> bool:
    """Whether plain Newton's iteration gets through all steps of `follow`; if not, nothing is said.

    Parameters
    ----------
    rigs, placed, side, ride, end : as for `follow`
    leds : LEDGER used as working space, array of length one
    """
    moved, matrix = np.ones(3), np.empty((3, 3))
    for k in range(1, STEPS + 1):
        travel, turned = end if k == STEPS else ride + k * (end - ride) / STEPS, moved[2]
        for _ in range(TRIES):
            error = residual(moved, side, travel, placed, rigs, leds)
            if np.abs(error).max() < 1e3 * CLOSED:
                break
            for j in range(3):
                moved[j] += NUDGE
                matrix[j] = (residual(moved, side, travel, placed, rigs, leds) - error) / NUDGE
                moved[j] -= NUDGE
            factorise(matrix)
            solve_factorised(matrix, error)
            moved -= error
        if not np.abs(error).max() < 1e3 * CLOSED or abs(moved[2] - turned) > TURN:
            return False
    return True


def ride_travel(rigs: Records[RigRecord], placed: Records[StateRecord], side: int) -> float:
    """Travel of an axle's shocks on the bench, m."""
    leds = blank(LEDGER)
    residual(np.ones(3), side, 0.0, placed, rigs, leds)
    return float(leds[0].axle[side].shock.travel)


def moves_to_ends(rigs: Records[RigRecord], bench: StaticPose, side: int) -> tuple[Vector, Vector]:
    """How an axle moves from the bench to both ends of its shocks' stroke: x and z, m, and turn, rad."""
    placed, stroke = bench_state(bench).reshape(1), float(rigs[0].axle[side].shock.stroke)
    ride = ride_travel(rigs, placed, side)
    extended, compressed = (follow(rigs, placed, side, ride, end)[1] - 1.0 for end in (0.0, stroke))
    return extended, compressed


def nearest_miss(
    rigs: Records[RigRecord], placed: Records[StateRecord], side: int, ride: float, end: float
) -> Miss | None:
    """The link that must be changed least, in length alone, for the links to follow the shock to an end.

    Returns
    -------
    None where an arm locates the axle, or neither link alone is to blame.
    """
    if rigs[0].axle[side].arm > 0.5:
        return None
    tried = [
        Miss(link, way * by)
        for link in (0, 1)
        for way in (1.0, -1.0)
        if (by := _least_change(rigs, placed, side, ride, end, link, way)) is not None
    ]
    return min(tried, key=lambda miss: abs(miss.by), default=None)


def _least_change(
    rigs: Records[RigRecord],
    placed: Records[StateRecord],
    side: int,
    ride: float,
    end: float,
    link: int,
    way: float,
) -> float | None:
    """Least change of a link's length with which the links follow, m; None if none up to its length does."""

    def follows(by: float) -> bool:
        other = rigs.copy()
        other[0].axle[side].link[link].length += way * by
        args = (side, ride, placed, other, blank(LEDGER))
        started = root(
            residual, np.ones(3), args=args, method="hybr"
        )  # turns the axle at ride height already
        return follow(other, placed, side, ride, end, started.x)[0] == end

    length = float(rigs[0].axle[side].link[link].length)
    tried = (1.0 if way > 0.0 else 0.9) * length * 0.5 ** np.arange(10, -1, -1)
    enough = next((by for by in tried if follows(by)), None)
    if enough is None:
        return None
    short = 0.5 * enough if enough > tried[0] else 0.0
    while enough - short > FINE:
        middle = 0.5 * (short + enough)
        short, enough = (short, middle) if follows(middle) else (middle, enough)
    return float(enough)


def check_linkage_range(rigs: Records[RigRecord], bench: StaticPose, source: str) -> None:
    """Refuse a rig whose links lock, or fold over, before a shock reaches an end of its stroke.

    Raises
    ------
    InputError
        naming for each axle the link that does not reach its pin, and by how much.
    """
    placed, leds, issues = bench_state(bench).reshape(1), blank(LEDGER), []
    for side, name in enumerate(SIDES):
        ride, stroke = ride_travel(rigs, placed, side), float(rigs[0].axle[side].shock.stroke)
        reached = [
            end if follows(rigs, placed, leds, side, ride, end) else follow(rigs, placed, side, ride, end)[0]
            for end in (0.0, stroke)
        ]
        for end, limit in zip((0.0, stroke), reached, strict=True):
            if limit != end:
                miss = nearest_miss(rigs, placed, side, ride, end)
                shock = _shock_between(rigs[0].axle[side].shock, *reached)
                issues.append(_issue(source, name, limit, end, miss, shock))
    if issues:
        raise InputError(issues)


def _shock_between(shock: ShockRecord, low: float, high: float) -> str:
    """Size of a shock that moves only as far as the links follow, in whole tenths of a millimetre."""
    low, high = math.ceil(low * 1e4 - 1e-6) / 10.0, math.floor(high * 1e4 + 1e-6) / 10.0
    shorter = f"extended_length = {shock.extended_length * 1e3 - low:.6g} and " if low > 0.0 else ""
    return f"a shock with {shorter}stroke = {high - low:.6g} mm"


def _issue(source: str, axle: str, limit: float, end: float, miss: Miss | None, shock: str) -> InputIssue:
    where = f"with the shock fully {'extended' if end == 0.0 else 'compressed'}"
    only = f"it follows only to {limit * 1e3:.1f} mm of travel"
    if miss is None:
        must_be = f"one that follows over the whole stroke, or {shock}"
        return InputIssue(source, f"rig.{axle}", f"a linkage that cannot close {where}; {only}", must_be)
    longer = miss.by > 0.0
    gap = f"ends {miss.by * 1e3:.1f} mm short of" if longer else f"reaches {-miss.by * 1e3:.1f} mm past"
    got = f"a link that {gap} its axle pin {where}; {only}"
    must_be = f"a {'longer' if longer else 'shorter'} one, which follows over the whole stroke, or {shock}"
    return InputIssue(source, f"rig.{axle}.{LINKS[miss.link]}", got, must_be)
