"""The table of a run: one row an output instant, the unit in every column's name.

`RUN_COLUMNS`, `AXLE_COLUMNS` and `ACCOUNT_COLUMNS` are the one list of columns: name, meaning with its sign,
and what computes it in SI. Columns that end in ``_state`` hold codes.
"""

from collections.abc import Callable, Iterator, Mapping
from typing import Any

import numpy as np
import numpy.typing as npt
import pandas as pd

from simcore.accounts.audit import Audit
from simcore.accounts.reasons import REASONS, Reason
from simcore.compiled import FRONT, REAR
from simcore.files.scenario import Visible
from simcore.results.quantities import Group, Quantity
from simcore.results.rows import AxleRows, Rows
from simcore.rig.masses import SIDES
from simcore.solve.trace import Trace
from simcore.units import column_factor

Series = npt.NDArray[np.float64]


def _height(rows: Rows) -> Series:
    rear, front = rows.stance.centres
    return 0.5 * (rear[1] + front[1])


def _side_load(rows: Rows) -> Series:
    twist, torques = rows.trace.model.twist, rows.trace.ledgers["axle"]["slide"]["torque"]
    if twist is None:
        return np.full(len(rows.trace.times), np.nan)
    return twist.most(torques[:, REAR], torques[:, FRONT])


def _budget(name: str, meaning: str) -> Quantity:
    return Quantity(
        f"budget_{name}_N", f"front load budget: {meaning}", lambda rows: rows.accounts.budget[name]
    )


RUN_COLUMNS = [
    Quantity("time_s", "time since the start of the run", lambda rows: rows.trace.times),
    Quantity(
        "distance_mm",
        "way along the ground, mean of both axles; uphill positive",
        lambda rows: rows.states["distance"],
    ),
    Quantity(
        "speed_m_per_s",
        "speed along the ground, mean of both axles",
        lambda rows: rows.trace.ground_speed,
    ),
    Quantity(
        "pitch_deg",
        "rotation of the chassis since the bench, nose-up positive (SAE J670e; ISO 8855: nose-down)",
        lambda rows: rows.pitch,
    ),
    Quantity(
        "pitch_to_ground_deg",
        "pitch less the slope of the ground on which the run starts",
        lambda rows: rows.pitch - rows.stance.ground[0],
    ),
    Quantity(
        "ground_angle_deg",
        "slope of the line through the ground points of both axles, uphill positive; it jumps where a tyre "
        "comes to an edge",
        lambda rows: rows.stance.ground,
    ),
    Quantity(
        "pitch_rate_deg_per_s",
        "rate of pitch, nose-up positive",
        lambda rows: rows.states["rate"][:, 0]["angle"],
    ),
    Quantity(
        "heave_mm",
        "height of the sprung mass's centre over the ground line, change since the start",
        lambda rows: rows.stance.chassis_height - rows.stance.chassis_height[0],
    ),
    Quantity(
        "height_gained_mm",
        "rise of both wheel centres since the start, their mean",
        lambda rows: _height(rows) - _height(rows)[0],
    ),
    Quantity("wheelbase_mm", "distance of the wheel centres", lambda rows: rows.stance.span),
    Quantity(
        "chassis_x_mm",
        "place of the sprung mass's centre, forward",
        lambda rows: rows.states["pose"][:, 0]["x"],
    ),
    Quantity(
        "chassis_z_mm",
        "place of the sprung mass's centre, upward",
        lambda rows: rows.states["pose"][:, 0]["z"],
    ),
    Quantity(
        "motor_torque_Nmm", "torque of the motor before its own drag", lambda rows: rows.motor["torque"]
    ),
    Quantity("motor_speed_rpm", "speed of the rotor, forward positive", lambda rows: rows.states["motor"]),
    Quantity(
        "motor_drag_Nmm",
        "drag brake and no-load torque together, against the rotor",
        lambda rows: rows.motor["drag"],
    ),
    Quantity("brake_pct", "how far the drag brake is applied", lambda rows: rows.motor["brake_share"]),
    Quantity("current_A", "current through the motor", lambda rows: rows.motor["current"]),
    Quantity(
        "electric_power_W",
        "power drawn by the motor; negative while it brakes electrically",
        lambda rows: rows.motor["electric_power"],
    ),
    Quantity("electric_energy_J", "energy drawn since the start", lambda rows: rows.states["electric"]),
    Quantity(
        "side_load_N",
        "load that shaft torque moves from one tyre of an axle to the other, on both axles alike and against "
        "each other, at most; not in the motion; empty unless the rig states track and shafts",
        _side_load,
    ),
    Quantity("skid_load_N", "load on all skids", lambda rows: rows.trace.ledgers["skid"]["load"].sum(axis=1)),
    _budget("level", "the front tyres' load on the level, at rest"),
    _budget("slope", "moved by the slope, the rig kept as on the bench"),
    _budget("acceleration", "moved by acceleration, likewise"),
    _budget("inertia", "moved by bodies that turn and by wheels that spin up"),
    _budget(
        "cg_shift",
        "moved because the centre of mass shifts against the wheels (the only term that links and springs "
        "can change)",
    ),
    _budget("contact_shift", "moved by rolling resistance, deflection and uneven ground"),
    _budget("skid", "taken over by skids"),
    Quantity(
        "momentum_residual_ratio",
        "self-check: worst of force and moment balance, relative to the forces at work",
        lambda rows: rows.audit.momentum,
        Group.AUDIT,
    ),
    Quantity(
        "energy_residual_pct",
        "self-check: energy out of balance, per energy turned over in the whole run",
        lambda rows: rows.audit.energy,
        Group.AUDIT,
    ),
    Quantity(
        "store_residual_pct",
        "self-check: energy that the worst of shocks, tyres, shafts, splines, skids, rotor misses, per work "
        "that went through it in the whole run",
        lambda rows: rows.audit.worst_store,
        Group.AUDIT,
    ),
    Quantity(
        "link_residual_ratio",
        "self-check: second rate of the links' lengths, relative to the accelerations at work",
        lambda rows: rows.audit.pins,
        Group.AUDIT,
    ),
    Quantity(
        "account_residual_ratio",
        "self-check: what the load accounts and the front load budget miss of the tyres' loads, per "
        "their terms",
        lambda rows: rows.audit.accounts,
        Group.AUDIT,
    ),
    Quantity(
        "link_drift_mm",
        "self-check: largest error of a link's length",
        lambda rows: rows.audit.drift,
        Group.AUDIT,
    ),
]


def _of(part: str, field: str) -> Callable[[AxleRows], Series]:
    """A field of one part of the axle's ledger."""
    return lambda own: np.asarray(own.part[part][field])


AXLE_COLUMNS = [
    Quantity("travel_mm", "shock travel, compressed from full extension", _of("shock", "travel")),
    Quantity("travel_speed_mm_per_s", "rate of shock travel, compression positive", _of("shock", "speed")),
    Quantity("shock_force_N", "both shocks together, extending positive", _of("shock", "force")),
    Quantity("spring_N", "share of the springs", _of("shock", "spring")),
    Quantity("damper_N", "share of the dampers", _of("shock", "damper")),
    Quantity("friction_N", "share of seal friction", _of("shock", "friction")),
    Quantity("bump_stop_N", "share of the stops at the compressed end", _of("shock", "bump_stop")),
    Quantity(
        "droop_stop_N",
        "share of the stops at the extended end, pulling in: negative",
        _of("shock", "droop_stop"),
    ),
    Quantity(
        "lower_link_N",
        "force of the lower links, compression positive (arm: force on the chassis along x; where shocks "
        "stand on a link: the mean of its two parts, weighted by their lengths)",
        lambda own: own.part["link_force"][:, 0],
    ),
    Quantity(
        "upper_link_N",
        "force of the upper links, compression positive (arm: force on the chassis along z)",
        lambda own: own.part["link_force"][:, 1],
    ),
    Quantity("load_N", "load of both tyres, across the ground", _of("tyre", "load")),
    Quantity("thrust_N", "tangential force of both tyres, driving forward positive", _of("tyre", "thrust")),
    Quantity(
        "slip_pct",
        "slip speed / the larger of tread and ground speed (at least 0.02 m/s); 100 = spinning",
        _of("tyre", "slip"),
    ),
    Quantity(
        "slip_speed_m_per_s",
        "tread speed less ground speed, at the rolling radius",
        _of("tyre", "slip_speed"),
    ),
    Quantity(
        "wheel_speed_rpm",
        "absolute spin of the wheels, rolling forward positive",
        lambda own: own.rows.states["spin"][:, own.i],
    ),
    Quantity(
        "wheel_torque_Nm",
        "drive torque on both wheels; reacts on the housing",
        _of("drive", "wheel_torque"),
    ),
    Quantity("shaft_torque_Nm", "torque of the drive shaft; 0 where none is stated", _of("slide", "torque")),
    Quantity(
        "shaft_friction_N",
        "friction of the drive shaft's splines, pulling its joints together positive",
        _of("slide", "friction"),
    ),
    Quantity(
        "housing_deg",
        "rotation of the axle housing against the chassis since the bench, nose-up positive",
        lambda own: own.rows.states["pose"][:, 1 + own.i]["angle"] - own.rows.pitch,
    ),
    Quantity(
        "wind_up_deg",
        "twist of the branch of the driveline, seen at the wheels",
        lambda own: own.rows.states["wind_up"][:, own.i] / own.rows.trace.model.rig.axle[own.i].branch.ratio,
    ),
    Quantity("deflection_mm", "depth of the tyre's overlap with the ground", _of("tyre", "deflection")),
]


def _term(name: str, meaning: str) -> Quantity:
    """A term of the load account; shares of the shock line say so in their names."""
    of_links = name.startswith(("support", "unsprung"))
    return Quantity(
        f"{name}_N" if of_links else f"{name}_share_N",
        f"load account: {meaning}",
        lambda own: own.account.terms[name],
    )


ACCOUNT_COLUMNS = [
    _term("support", "squat support, thrust times the slope of the contact's path"),
    _term("spring", "the springs' force times motion ratio"),
    _term("damper", "the dampers', likewise"),
    _term("friction", "seal friction, likewise"),
    _term("bump_stop", "the stops at the compressed end, likewise"),
    _term("droop_stop", "the stops at the extended end, likewise"),
    _term("cancelling", "what takes the support off in a run without support, else 0"),
    _term("shaft", "friction of the drive shaft's splines, times its lengthening per rise of the contact"),
    _term("unsprung_weight", "weight of axle and wheels"),
    _term("unsprung_inertia", "inertia of axle and wheels, spin-up of the wheels included"),
    _term("rolling", "the rolling resistance's moment, which the housing must react to"),
    Quantity(
        "demand_N",
        "tyre load less the load at rest on the level times cos(slope): what the links may carry",
        lambda own: own.account.demand,
    ),
    Quantity(
        "demand_on_shock_N",
        "what of the demand the shocks carry; the rest goes through links and axle mass",
        lambda own: own.account.shock_change,
    ),
    Quantity(
        "support_pct",
        "squat support / demand; empty where the demand is below 1 % of the weight",
        lambda own: own.account.support_share,
    ),
    Quantity(
        "usual_formula_pct",
        "usual formula of anti-squat (front: anti-lift) at this instant, axle mass neglected: share of the "
        "thrust * tan(path slope) / (height of the centre of mass / wheelbase); empty without drive, thrust "
        "or demand, or where the axles mainly pull against one another",
        lambda own: own.account.usual_formula,
    ),
    Quantity(
        "axle_mass_counted_pct",
        "axle mass counted: all of the demand that the shocks do not carry",
        lambda own: own.account.share_with_axle_mass,
    ),
    Quantity(
        "path_slope_deg",
        "slope of the contact's path: how steeply the links let it move back as it rises",
        lambda own: np.arctan(own.account.slope),
    ),
    Quantity(
        "motion_ratio", "shortening of the shocks per rise of the contact", lambda own: own.account.ratio
    ),
    Quantity(
        "support_state",
        "what becomes of the support, as a code",
        lambda own: np.array([reason.name for reason in REASONS], object)[own.rows.accounts.reasons[own.i]],
        codes=Reason,
    ),
]
BOTH_AXLES = [*AXLE_COLUMNS, *ACCOUNT_COLUMNS]
COLUMNS = [
    *(column.name for column in RUN_COLUMNS),
    *(f"{axle}_{column.name}" for axle in SIDES for column in BOTH_AXLES),
]


def series(trace: Trace, audit: Audit, visible: Visible) -> pd.DataFrame:
    """Table of a run in bench units, with the columns in `COLUMNS`; `visible` is what a viewer sees at
    least.
    """
    return pd.DataFrame(dict(Columns(Rows(trace, audit, visible))))


_COMPUTED: dict[str, tuple[Quantity, int | None]] = {
    **{column.name: (column, None) for column in RUN_COLUMNS},
    **{f"{axle}_{column.name}": (column, i) for i, axle in enumerate(SIDES) for column in BOTH_AXLES},
}
"""What computes each column, and the place of the axle that it is of."""


class Columns(Mapping[str, npt.NDArray[Any]]):
    """Columns of a run in bench units, each worked out when it is first asked for.

    Parameters
    ----------
    rows : what they are computed from; without an audit there are none of its columns
    """

    def __init__(self, rows: Rows) -> None:
        self._rows = rows
        self._found: dict[str, npt.NDArray[Any]] = {}

    def __getitem__(self, name: str) -> npt.NDArray[Any]:
        """A column, (n,)."""
        if name not in self:
            raise KeyError(name)
        if name not in self._found:
            column, axle = _COMPUTED[name]
            self._found[name] = _values(column, self._rows if axle is None else AxleRows(self._rows, axle))
        return self._found[name]

    def __contains__(self, name: object) -> bool:
        column, _ = _COMPUTED.get(str(name), (None, None))
        return column is not None and (self._rows.audit is not None or column.group is not Group.AUDIT)

    def __iter__(self) -> Iterator[str]:
        return (name for name in COLUMNS if name in self)

    def __len__(self) -> int:
        return sum(1 for _ in self)


def _values(column: Quantity, rows: Rows | AxleRows) -> npt.NDArray[Any]:
    found = column.compute(rows)
    return np.asarray(found) if column.text else np.asarray(found) * column_factor(column.name)
