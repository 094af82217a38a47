"""The metrics of a run: one entry each, in the order in which they are shown."""

import enum
from collections.abc import Iterator, Mapping
from functools import partial
from typing import Any

import numpy as np
import numpy.typing as npt

from simcore.accounts.audit import Check
from simcore.accounts.reasons import MEANING as STATE_MEANING
from simcore.accounts.reasons import SPINNING, TOUCH, Reason
from simcore.files.goal import Goal
from simcore.results.finished import Finished, peak, time_mean, time_while
from simcore.results.job_metrics import JOB_METRICS, judged
from simcore.results.pose_metrics import POSE_METRICS
from simcore.results.quantities import Better, Group, Kind, Quantity, pair
from simcore.rig.masses import SIDES
from simcore.solve.trace import Outcome, once
from simcore.units import GRAMS, column_factor

Series = npt.NDArray[np.float64]
Summary = dict[str, Any]
SOUND = "SOUND"
AuditState = enum.Enum(  # type: ignore[misc]  # the names are those of the checks
    "AuditState", {SOUND: "self-check passed", **{check.name: check.value for check in Check}}
)
"""What the audit of a run says: that it passed, or the checks that it does not pass."""
LEAST_MEAN = 0.01  # of the weight; percentages of a smaller mean demand say nothing


def _last(column: str, run: Finished) -> float:
    return float(run[column][-1])


def _largest(column: str, run: Finished) -> float:
    """Largest size, either way."""
    return float(np.abs(run[column]).max())


# --- shocks and tyres ---


def _travel_while(run: Finished, axle: int, sign: float, level: float) -> float:
    """Time while travel (sign 1) or its negative (-1) lies above a level, m."""
    return time_while(run.times, sign * run.of(axle, "travel_mm"), level * column_factor("travel_mm"))


def on_bump_stop(run: Finished, axle: int) -> float:
    """Time on the stop at the compressed end, counted from where the rubber touches."""
    shock = run.shock(axle)
    return _travel_while(run, axle, 1.0, shock.stroke - shock.bump_stop.length)


def on_droop_stop(run: Finished, axle: int) -> float:
    """Time on the stop at the extended end, likewise."""
    return _travel_while(run, axle, -1.0, -run.shock(axle).droop_stop.length)


def spinning(run: Finished, axle: int) -> float:
    """Time while slip is beyond what counts as spinning."""
    return time_while(run.times, np.abs(run.of(axle, "slip_pct")), 100.0 * SPINNING)


# --- squat support ---


def state_name(reason: Reason) -> str:
    """Name of the metric, without its axle, that says which share of a run a state of the support has."""
    return f"support_{reason.name.lower()}_pct"


def per_demand(run: Finished, axle: int, part: Series) -> float | None:
    """Mean of a part per mean demand, in percent, over the instants at which both are known."""
    known = np.where(np.isfinite(part), run.of(axle, "demand_N"), np.nan)
    whole = time_mean(run.times, known)
    if not abs(whole) >= LEAST_MEAN * run.weight:
        return None
    return 100.0 * time_mean(run.times, part) / whole


def axle_mass_counted(run: Finished, axle: int) -> float | None:
    """What the shocks do not carry per demand."""
    return per_demand(run, axle, run.of(axle, "demand_N") - run.of(axle, "demand_on_shock_N"))


def usual_formula(run: Finished, axle: int) -> float | None:
    """Usual formula, each instant weighted with the size of its demand."""
    found = run.of(axle, "usual_formula_pct")
    size = np.where(np.isfinite(found), np.abs(run.of(axle, "demand_N")), np.nan)
    if np.isfinite(size).sum() < 2:
        return None
    return time_mean(run.times, found * size) / time_mean(run.times, size)


@once
def _states(run: Finished, axle: int) -> frozenset[str]:
    """States that an axle's support comes to."""
    return frozenset(run.of(axle, "support_state").tolist())


def state_share(run: Finished, axle: int, reason: Reason) -> float:
    """Percent of a run in which support has a state; each row counts until the next."""
    if reason.name not in _states(run, axle):
        return 0.0
    times = run.times
    span = np.diff(times) if len(times) > 1 else np.ones(1)  # a run that broke off may have one row
    return float(100.0 * span[run.of(axle, "support_state")[: len(span)] == reason.name].sum() / span.sum())


# --- what a side view leaves out ---


def side_load(run: Finished) -> float | None:
    """Mean load that shaft torque moves from side to side, at most."""
    mean = time_mean(run.times, run["side_load_N"])
    return mean if np.isfinite(mean) else None


# --- front load ---


def _shift(run: Finished) -> Series:
    """What links and springs move the front load by, g."""
    return run["budget_cg_shift_N"] * GRAMS


_END: dict[str, Any] = {"group": Group.END}
_ON_STOP: dict[str, Any] = {"group": Group.SHOCKS, "kind": Kind.TIME}
_LOAD: dict[str, Any] = {"group": Group.TYRES, "kind": Kind.FORCE}
_LOST: dict[str, Any] = {"group": Group.TYRES, "kind": Kind.TIME, "better": Better.LESS}
_SUPPORT: dict[str, Any] = {"group": Group.SUPPORT, "kind": Kind.SHARE}
_FRONT: dict[str, Any] = {"group": Group.FRONT_LOAD, "kind": Kind.GRAMS}
_MOTOR: dict[str, Any] = {"group": Group.MOTOR, "better": Better.LESS}
_AUDIT: dict[str, Any] = {"group": Group.AUDIT}

METRICS = [
    *JOB_METRICS,
    Quantity("ended", "how the run ended", lambda run: run.trace.outcome.name, codes=Outcome, **_END),
    Quantity("time_s", "time at the end", partial(_last, "time_s"), kind=Kind.INSTANT, **_END),
    Quantity(
        "distance_mm",
        "way along the ground at the end",
        partial(_last, "distance_mm"),
        kind=Kind.DISTANCE,
        better=Better.MORE,
        **_END,
    ),
    Quantity(
        "height_gained_mm",
        "rise of both axles, their mean, from the start to the end",
        partial(_last, "height_gained_mm"),
        kind=Kind.DISTANCE,
        **_END,
    ),
    Quantity("speed_m_per_s", "speed along the ground at the end", partial(_last, "speed_m_per_s"), **_END),
    Quantity(
        "top_speed_m_per_s",
        "highest speed, forward or back",
        partial(_largest, "speed_m_per_s"),
        Group.MOTION,
    ),
    *POSE_METRICS,
    *pair(
        "thrust_mean_N",
        "thrust of the {axle} tyres, averaged over the run",
        lambda run, axle: time_mean(run.times, run.of(axle, "thrust_N")),
        group=Group.TYRES,
        kind=Kind.THRUST,
    ),
    *pair(
        "load_mean_N",
        "load of the {axle} tyres, averaged over the run",
        lambda run, axle: time_mean(run.times, run.of(axle, "load_N")),
        **_LOAD,
    ),
    *pair(
        "load_low_N",
        "lowest load of the {axle} tyres",
        lambda run, axle: run.of(axle, "load_N").min(),
        **_LOAD,
    ),
    *pair(
        "off_ground_s",
        "time the {axle} tyres are off the ground",
        lambda run, axle: time_while(run.times, TOUCH - run.of(axle, "load_N")),
        wording="{axle} tyres off the ground",
        **_LOST,
    ),
    *pair(
        "slip_peak_pct",
        "largest slip of the {axle} tyres, either way",
        lambda run, axle: np.abs(run.of(axle, "slip_pct")).max(),
        group=Group.TYRES,
        kind=Kind.SHARE,
        better=Better.LESS,
    ),
    *pair(
        "spinning_s",
        "time the {axle} tyres slip more than 30 %",
        spinning,
        wording="{axle} tyres spinning",
        **_LOST,
    ),
    *pair(
        "on_bump_stop_s",
        "time the {axle} shocks are bottomed out: on the stop at the compressed end",
        on_bump_stop,
        wording="{axle} bottomed out",
        **_ON_STOP,
    ),
    *pair(
        "on_droop_stop_s",
        "time the {axle} shocks are topped out: on the stop at the extended end",
        on_droop_stop,
        wording="{axle} topped out",
        **_ON_STOP,
    ),
    Quantity(
        "skid_time_s",
        "time the chassis drags on a skid",
        lambda run: time_while(run.times, run["skid_load_N"], TOUCH),
        wording="time on a skid",
        kind=Kind.INSTANT,
        better=Better.LESS,
    ),
    *pair(
        "support_pct",
        "{axle}: squat support / demand, both averaged over the run (front: anti-lift)",
        lambda run, axle: per_demand(run, axle, run.of(axle, "support_N")),
        wording="{axle} {share} as run",
        **_SUPPORT,
    ),
    *pair(
        "axle_mass_counted_pct",
        "{axle}: axle mass counted: all of the demand that the shocks do not carry",
        axle_mass_counted,
        wording="{axle} {share} as run, axle mass counted",
        **_SUPPORT,
    ),
    *pair(
        "usual_formula_pct",
        "{axle}: usual formula of anti-squat (front: anti-lift) with the thrust's share, axle mass "
        "neglected; averaged with the size of the demand as weight over the time in which there is thrust; "
        "empty for an axle that is not driven",
        usual_formula,
        wording="{axle} {share}, usual formula",
        **_SUPPORT,
    ),
    *(
        metric
        for reason in Reason
        for metric in pair(
            state_name(reason),
            f"{{axle}}: share of the run: {STATE_MEANING[reason]}",
            partial(state_share, reason=reason),
            wording=f"{{axle}} support: {reason.value}",
            **_SUPPORT,
        )
    ),
    Quantity(
        "side_load_mean_N",
        "load that shaft torque moves from one tyre of an axle to the other, at most, averaged over the "
        "run; on both axles alike and against each other; not in the motion; empty unless the rig states "
        "track and shafts",
        side_load,
        wording="mean load moved from side to side, at most",
        **_LOAD,
    ),
    Quantity(
        "front_load_cg_shift_g",
        "what links and springs move the front load by, averaged over the run",
        lambda run: time_mean(run.times, _shift(run)),
        better=Better.MORE,
        wording="front load moved by links and springs",
        **_FRONT,
    ),
    Quantity(
        "front_load_cg_shift_peak_g",
        "likewise where it is largest, with its sign",
        lambda run: peak(_shift(run)),
        wording="largest front load moved by links and springs",
        **_FRONT,
    ),
    Quantity("current_peak_A", "highest current, either way", partial(_largest, "current_A"), **_MOTOR),
    Quantity("power_peak_W", "highest electric power", lambda run: run["electric_power_W"].max(), **_MOTOR),
    Quantity("energy_used_J", "electric energy drawn", partial(_last, "electric_energy_J"), **_MOTOR),
    Quantity(
        "momentum_residual_ratio",
        "self-check: worst residual of momentum, bound 1e-8",
        lambda run: run.audit.momentum.max(),
        **_AUDIT,
    ),
    Quantity(
        "energy_residual_pct",
        "self-check: worst residual of energy, bound 0.1 %",
        lambda run: np.abs(run.audit.energy).max() * 100.0,
        **_AUDIT,
    ),
    Quantity(
        "store_residual_pct",
        "self-check: worst residual of the energy of any one store, bound 0.1 %",
        lambda run: run.audit.worst_store.max() * 100.0,
        **_AUDIT,
    ),
    Quantity(
        "link_residual_ratio",
        "self-check: worst residual of the links' acceleration, bound 1e-8",
        lambda run: run.audit.pins.max(),
        **_AUDIT,
    ),
    Quantity(
        "account_residual_ratio",
        "self-check: worst residual of the load accounts and the front load budget, bound 1e-8",
        lambda run: run.audit.accounts.max(),
        **_AUDIT,
    ),
    Quantity(
        "link_drift_mm",
        "self-check: largest link error, bound 0.001 mm",
        lambda run: run.audit.drift.max() * 1000.0,
        **_AUDIT,
    ),
    Quantity(
        "audit",
        "self-check passed, or the checks that broke their bound",
        lambda run: " ".join(dict.fromkeys(fault.check.name for fault in run.audit.faults)) or SOUND,
        codes=AuditState,
        wording="self-check",
        **_AUDIT,
    ),
]


STATE_SHARES = frozenset(f"{axle}_{state_name(reason)}" for axle in SIDES for reason in Reason)


BY_NAME = {metric.name: metric for metric in METRICS}
JUDGED = ("job", "job_failure")
"""Metrics that the bounds of a goal have a say in."""


class Metrics(Mapping[str, Any]):
    """Metrics of a run, its job judged by its goal, each worked out when it is first asked for.

    Parameters
    ----------
    run : if it was not audited, it has none of the metrics of the audit
    goal : of its scenario
    """

    def __init__(self, run: Finished, goal: Goal) -> None:
        self._run, self._goal = run, goal
        self._found: Summary = {}

    def __getitem__(self, name: str) -> Any:
        """A metric; None is an empty one."""
        if name not in self:
            raise KeyError(name)
        if name not in self._found:
            self._found |= self._judged() if name in JUDGED else {name: self._plain(name)}
        return self._found[name]

    def _plain(self, name: str) -> Any:
        return plain(BY_NAME[name].compute(self._run))

    def _judged(self) -> Summary:
        own = {name: self._plain(name) for name in JUDGED}
        bound = (*self._goal.at_least, *self._goal.at_most)
        return {**own, **judged(own | {name: self[name] for name in bound if name in self}, self._goal)}

    def __contains__(self, name: object) -> bool:
        metric = BY_NAME.get(str(name))
        return metric is not None and (self._run.audit is not None or metric.group is not Group.AUDIT)

    def __iter__(self) -> Iterator[str]:
        return (name for name in BY_NAME if name in self)

    def __len__(self) -> int:
        return sum(1 for _ in self)


def summarise(run: Finished, goal: Goal) -> Summary:
    """Every metric of a run by its name, its job judged by its goal; empty ones are None."""
    return dict(Metrics(run, goal))


def plain(value: Any) -> Any:
    """A number as JSON knows it; words and nothing stay."""
    return value if value is None or isinstance(value, str) else float(value)
