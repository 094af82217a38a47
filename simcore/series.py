"""The table of a run: one row an output instant, the unit in every column's name.

`GLOSSARY` is the one list of result columns: name, meaning, sign. `series` fills exactly these. Columns that
end in ``_state`` hold words.
"""

from typing import Any

import numpy as np
import numpy.typing as npt
import pandas as pd

from simcore.accounts.audit import Audit
from simcore.accounts.books import Books, keep_books
from simcore.accounts.reasons import REASONS
from simcore.accounts.support import Support
from simcore.files.scenario import Visible
from simcore.trace import Trace
from simcore.units import column_factor

Series = npt.NDArray[np.float64]
AXLES = ("rear", "front")

RUN_COLUMNS = {
    "time_s": "time since the start of the run",
    "distance_mm": "way along the ground, mean of both axles; uphill positive",
    "speed_m_per_s": "speed along the ground, mean of both axles",
    "pitch_deg": "rotation of the chassis since the bench, nose-up positive (SAE J670e; ISO 8855: nose-down)",
    "pitch_to_ground_deg": "pitch less the slope of the ground on which the run starts",
    "ground_angle_deg": "slope of the line through the ground points of both axles, uphill positive; it "
    "jumps where a tyre comes to an edge",
    "pitch_rate_deg_per_s": "rate of pitch, nose-up positive",
    "heave_mm": "height of the sprung mass's centre over the ground line, change since the start",
    "chassis_x_mm": "place of the sprung mass's centre, forward",
    "chassis_z_mm": "place of the sprung mass's centre, upward",
    "motor_torque_Nmm": "torque of the motor before its own drag",
    "motor_speed_rpm": "speed of the rotor, forward positive",
    "motor_drag_Nmm": "drag brake and no-load torque together, against the rotor",
    "brake_pct": "how far the drag brake is applied",
    "current_A": "current through the motor",
    "electric_power_W": "power drawn by the motor; negative while it brakes electrically",
    "electric_energy_J": "energy drawn since the start",
    "skid_load_N": "load on all skids",
    "budget_level_N": "front load budget: the front tyres' load on the level, at rest",
    "budget_slope_N": "front load budget: moved by the slope, the rig kept as on the bench",
    "budget_acceleration_N": "front load budget: moved by acceleration, likewise",
    "budget_inertia_N": "front load budget: moved by bodies that turn and by wheels that spin up",
    "budget_cg_shift_N": "front load budget: moved because the centre of mass shifts against the wheels "
    "(the only term that links and springs can change)",
    "budget_contact_shift_N": "front load budget: moved by rolling resistance, squash and uneven ground",
    "budget_skid_N": "front load budget: taken over by skids",
    "momentum_residual_1": "audit: worst of force and moment balance, relative to the forces at work",
    "energy_residual_pct": "audit: energy out of balance, per energy turned over in the whole run",
    "store_residual_pct": "audit: energy that the worst of shocks, tyres, shafts, skids, rotor misses, per "
    "work that went through it in the whole run",
    "link_residual_1": "audit: second rate of the links' lengths, relative to the accelerations at work",
    "link_drift_mm": "audit: largest error of a link's length",
}
AXLE_COLUMNS = {
    "travel_mm": "shock travel, compressed from full extension",
    "travel_speed_mm_per_s": "rate of shock travel, compression positive",
    "shock_force_N": "both shocks together, extending positive",
    "spring_N": "share of the springs",
    "damper_N": "share of the dampers",
    "friction_N": "share of seal friction",
    "bump_stop_N": "share of the stops at the compressed end",
    "droop_stop_N": "share of the stops at the extended end, pulling in: negative",
    "lower_link_N": "force of the lower links, compression positive (arm: force on the chassis along x; "
    "where shocks stand on a link: the mean of its two parts, weighted by their lengths)",
    "upper_link_N": "force of the upper links, compression positive (arm: force on the chassis along z)",
    "load_N": "load of both tyres, across the ground",
    "thrust_N": "tangential force of both tyres, driving forward positive",
    "slip_pct": "slip speed / the larger of tread and ground speed (at least 0.02 m/s); 100 = spinning",
    "slip_speed_m_per_s": "tread speed less ground speed, at the rolling radius",
    "wheel_speed_rpm": "absolute spin of the wheels, rolling forward positive",
    "wheel_torque_Nm": "drive torque on both wheels; reacts on the housing",
    "housing_deg": "rotation of the axle housing against the chassis since the bench, nose-up positive",
    "wind_up_deg": "twist of the branch of the driveline, seen at the wheels",
    "squash_mm": "depth of the tyre's overlap with the ground",
}
ACCOUNT_COLUMNS = {
    "support_N": "load account: squat support, thrust times the slope of the contact's path",
    "spring_share_N": "load account: the springs' force times motion ratio",
    "damper_share_N": "load account: the dampers', likewise",
    "friction_share_N": "load account: seal friction, likewise",
    "bump_stop_share_N": "load account: the stops at the compressed end, likewise",
    "droop_stop_share_N": "load account: the stops at the extended end, likewise",
    "cancelling_share_N": "load account: what takes the support off in a run without support, else 0",
    "unsprung_weight_N": "load account: weight of axle and wheels",
    "unsprung_inertia_N": "load account: inertia of axle and wheels, spin-up of the wheels included",
    "rolling_share_N": "load account: the rolling resistance's moment, which the housing must react to",
    "demand_N": "tyre load less the load at rest on the level times cos(slope): what the links may carry",
    "demand_on_shock_N": "what of the demand the shocks carry; the rest goes through links and axle mass",
    "support_pct": "squat support / demand; empty where the demand is below 1 % of the weight",
    "textbook_pct": "textbook anti-squat (front: anti-lift) of this instant, axle mass neglected: share of "
    "the thrust * tan(path slope) / (height of the centre of mass / wheelbase); empty without drive, thrust "
    "or demand, or where the axles mainly pull against one another",
    "linked_pct": "the same with axle mass: all of the demand that the shocks do not carry",
    "path_slope_deg": "slope of the contact's path: how steeply the links let it move back as it rises",
    "motion_ratio_1": "shortening of the shocks per rise of the contact",
    "support_state": "what becomes of the support, in words",
}
GLOSSARY = RUN_COLUMNS | {
    f"{axle}_{name}": f"{axle}: {text}"
    for axle in AXLES
    for name, text in (AXLE_COLUMNS | ACCOUNT_COLUMNS).items()
}


STATE_END = "_state"


def _run_values(trace: Trace, audit: Audit, books: Books) -> dict[str, Series]:
    states, motor = trace.states, trace.ledgers["motor"]
    chassis, rate = states["pose"][:, 0], states["rate"][:, 0]
    ground, height, pitch = books.stance.ground, books.stance.chassis_height, chassis["angle"]
    speed = 0.5 * (trace.part(0, "tyre", "ground_speed") + trace.part(1, "tyre", "ground_speed"))
    return {
        "time_s": trace.times,
        "distance_mm": states["distance"],
        "speed_m_per_s": speed,
        "pitch_deg": pitch,
        "pitch_to_ground_deg": pitch - ground[0],
        "ground_angle_deg": ground,
        "pitch_rate_deg_per_s": rate["angle"],
        "heave_mm": height - height[0],
        "chassis_x_mm": chassis["x"],
        "chassis_z_mm": chassis["z"],
        "motor_torque_Nmm": motor["torque"],
        "motor_speed_rpm": states["motor"],
        "motor_drag_Nmm": motor["drag"],
        "brake_pct": motor["brake_share"],
        "current_A": motor["current"],
        "electric_power_W": motor["electric_power"],
        "electric_energy_J": states["electric"],
        "skid_load_N": trace.ledgers["skid"]["load"].sum(axis=1),
        **{f"budget_{name}_N": value for name, value in books.budget.items()},
        "momentum_residual_1": audit.momentum,
        "energy_residual_pct": audit.energy,
        "store_residual_pct": audit.worst_store,
        "link_residual_1": audit.pins,
        "link_drift_mm": audit.drift,
    }


def _axle_values(trace: Trace, i: int) -> dict[str, Series]:
    part, states = trace.ledgers["axle"][:, i], trace.states
    shock, tyre, drive = part["shock"], part["tyre"], part["drive"]
    return {
        "travel_mm": shock["travel"],
        "travel_speed_mm_per_s": shock["speed"],
        "shock_force_N": shock["force"],
        "spring_N": shock["spring"],
        "damper_N": shock["damper"],
        "friction_N": shock["friction"],
        "bump_stop_N": shock["bump_stop"],
        "droop_stop_N": shock["droop_stop"],
        "lower_link_N": part["link_force"][:, 0],
        "upper_link_N": part["link_force"][:, 1],
        "load_N": tyre["load"],
        "thrust_N": tyre["thrust"],
        "slip_pct": tyre["slip"],
        "slip_speed_m_per_s": tyre["slip_speed"],
        "wheel_speed_rpm": states["spin"][:, i],
        "wheel_torque_Nm": drive["wheel_torque"],
        "housing_deg": states["pose"][:, 1 + i]["angle"] - states["pose"][:, 0]["angle"],
        "wind_up_deg": states["wind_up"][:, i] / trace.model.rig.axle[i].branch.ratio,
        "squash_mm": tyre["squash"],
    }


def _account_values(account: Support, found: npt.NDArray[np.int8]) -> dict[str, npt.NDArray[Any]]:
    shares = {
        f"{name}_N" if name.startswith(("support", "unsprung")) else f"{name}_share_N": value
        for name, value in account.terms.items()
    }
    return shares | {
        "demand_N": account.demand,
        "demand_on_shock_N": account.shock_change,
        "support_pct": account.support_share,
        "textbook_pct": account.textbook,
        "linked_pct": account.linked_share,
        "path_slope_deg": np.arctan(account.slope),
        "motion_ratio_1": account.ratio,
        "support_state": np.array([reason.value for reason in REASONS], object)[found],
    }


def series(trace: Trace, audit: Audit, visible: Visible) -> pd.DataFrame:
    """Table of a run in bench units, columns as in `GLOSSARY`; `visible` is what a viewer sees at least."""
    books = keep_books(trace, visible)
    values: dict[str, npt.NDArray[Any]] = dict(_run_values(trace, audit, books))
    for i, axle in enumerate(AXLES):
        own = _axle_values(trace, i) | _account_values(books.support[i], books.reasons[i])
        values |= {f"{axle}_{name}": value for name, value in own.items()}
    return pd.DataFrame(
        {
            name: value if name.endswith(STATE_END) else np.asarray(value) * column_factor(name)
            for name, value in values.items()
        }
    )
