"""The numbers that a person asks for after a run."""

import math
import re
from typing import Any

import numpy as np
import numpy.typing as npt
import pandas as pd

from simcore.accounts.audit import Audit
from simcore.accounts.reasons import MEANING as STATE_MEANING
from simcore.accounts.reasons import SPINNING, TOUCH, Reason
from simcore.compiled import Record
from simcore.rig.masses import GRAVITY
from simcore.series import AXLES
from simcore.trace import Trace
from simcore.units import column_factor

Series = npt.NDArray[np.float64]
Summary = dict[str, Any]
GRAMS = 1000.0 / GRAVITY  # of load per newton
LEAST_MEAN = 0.01  # of the weight; percentages of a smaller mean demand say nothing


def state_key(reason: Reason) -> str:
    """Summary key of the share of a run in which support has a state."""
    return f"support_{re.sub('[ -]', '_', reason.value)}_pct"


MEANING = {
    "ended": "how the run ended",
    "time_s": "time at the end",
    "distance_mm": "way along the ground at the end",
    "speed_m_per_s": "speed along the ground at the end",
    "top_speed_m_per_s": "highest speed, forward or back",
    "pitch_start_deg": "pitch of the chassis against the ground where it starts, standing there",
    "pitch_end_deg": "the same pitch at the end",
    "pitch_mean_deg": "the same pitch, averaged over the run",
    "pitch_peak_deg": "highest pitch, nose-up, likewise against the ground where it starts",
    "pitch_low_deg": "lowest pitch, likewise",
    "pitch_rise_deg": "highest pitch less pitch at the start: what the manoeuvre adds",
    "pitch_dive_deg": "pitch at the start less lowest pitch",
    "rear_squat_mm": "deepest rear travel less travel at the start",
    "rear_lift_mm": "travel at the start less least rear travel",
    "front_squat_mm": "deepest front travel less travel at the start",
    "front_lift_mm": "travel at the start less least front travel",
    "rear_travel_start_mm": "rear travel at the start",
    "front_travel_start_mm": "front travel at the start",
    "rear_travel_end_mm": "rear travel at the end",
    "front_travel_end_mm": "front travel at the end",
    "rear_thrust_mean_N": "thrust of the rear tyres, averaged over the run",
    "front_thrust_mean_N": "thrust of the front tyres, averaged over the run",
    "rear_load_mean_N": "load of the rear tyres, averaged over the run",
    "front_load_mean_N": "load of the front tyres, averaged over the run",
    "rear_load_low_N": "lowest load of the rear tyres",
    "front_load_low_N": "lowest load of the front tyres",
    "front_off_ground_s": "time the front tyres are off the ground",
    "rear_off_ground_s": "time the rear tyres are off the ground",
    "rear_slip_peak_pct": "largest slip of the rear tyres, either way",
    "front_slip_peak_pct": "largest slip of the front tyres, either way",
    "rear_spinning_s": "time the rear tyres slip more than 30 %",
    "front_spinning_s": "time the front tyres slip more than 30 %",
    "rear_on_bump_stop_s": "time on the rear stop at the compressed end",
    "front_on_bump_stop_s": "time on the front stop at the compressed end",
    "rear_on_droop_stop_s": "time on the rear stop at the extended end",
    "front_on_droop_stop_s": "time on the front stop at the extended end",
    "skid_time_s": "time the chassis drags on a skid",
    **{
        f"{axle}_{name}": f"{axle}: {text}"
        for axle in AXLES
        for name, text in (
            ("support_pct", "squat support / demand, both averaged over the run (front: anti-lift)"),
            ("linked_pct", "likewise all of the demand that the shocks do not carry, axle mass included"),
            (
                "textbook_pct",
                "textbook percentage with the thrust's share, averaged with the size of the demand as weight "
                "over the time in which there is thrust; empty for an axle that is not driven",
            ),
            *((state_key(reason), f"share of the run: {text}") for reason, text in STATE_MEANING.items()),
        )
    },
    "front_load_cg_shift_g": "what links and springs move the front load by, averaged over the run",
    "front_load_cg_shift_peak_g": "likewise where it is largest, with its sign",
    "current_peak_A": "highest current, either way",
    "power_peak_W": "highest electric power",
    "energy_used_J": "electric energy drawn",
    "momentum_residual_1": "audit: worst residual of momentum, bound 1e-8",
    "energy_residual_pct": "audit: worst residual of energy, bound 0.1 %",
    "store_residual_pct": "audit: worst residual of the energy of any one store, bound 0.1 %",
    "link_residual_1": "audit: worst residual of the links' acceleration, bound 1e-8",
    "link_drift_mm": "audit: largest link error, bound 0.001 mm",
    "audit": "sound, or what broke its bound",
}


def time_while(times: npt.NDArray[np.float64], value: npt.NDArray[np.float64], level: float = 0.0) -> float:
    """Time during which a sampled value lies above a level, with straight lines between the samples."""
    above = np.asarray(value, dtype=float) - level
    a, b, span = above[:-1], above[1:], np.diff(times)
    with np.errstate(divide="ignore", invalid="ignore"):
        share = np.where(
            (a > 0) & (b > 0), 1.0, np.where((a > 0) | (b > 0), np.maximum(a, b) / np.abs(a - b), 0.0)
        )
    return float(np.sum(share * span))


def _axle_numbers(table: pd.DataFrame, axle: str, shock: Record) -> Summary:
    """Travels, loads, slip and times; on a stop counts from where the rubber touches."""
    compressed, extended = shock.stroke - shock.bump_stop.length, shock.droop_stop.length
    times = table["time_s"].to_numpy()
    column = {name: table[f"{axle}_{name}"].to_numpy() for name in ("travel_mm", "load_N", "slip_pct")}
    travel, load = column["travel_mm"], column["load_N"]
    return {
        f"{axle}_squat_mm": travel.max() - travel[0],
        f"{axle}_lift_mm": travel[0] - travel.min(),
        f"{axle}_travel_start_mm": travel[0],
        f"{axle}_travel_end_mm": travel[-1],
        f"{axle}_thrust_mean_N": _mean(times, table[f"{axle}_thrust_N"].to_numpy()),
        f"{axle}_load_mean_N": _mean(times, load),
        f"{axle}_load_low_N": load.min(),
        f"{axle}_off_ground_s": time_while(times, TOUCH - load),
        f"{axle}_slip_peak_pct": np.abs(column["slip_pct"]).max(),
        f"{axle}_spinning_s": time_while(times, np.abs(column["slip_pct"]), 100.0 * SPINNING),
        f"{axle}_on_bump_stop_s": time_while(times, travel, compressed * column_factor("travel_mm")),
        f"{axle}_on_droop_stop_s": time_while(times, -travel, -extended * column_factor("travel_mm")),
    }


def _mean(times: Series, value: Series) -> float:
    """Mean over time, straight lines between the samples; gaps left out."""
    there = np.isfinite(value)
    times, value = times[there], value[there]
    if len(times) < 2:
        return float(value[0]) if len(value) else math.nan
    return float(np.trapezoid(value, times) / (times[-1] - times[0]))


def _support_numbers(table: pd.DataFrame, axle: str, weight: float) -> Summary:
    """Percentages of the mean demand, and how long the support was in each state."""
    times, demand = table["time_s"].to_numpy(), table[f"{axle}_demand_N"].to_numpy()

    def per_demand(part: Series) -> float | None:
        """Mean of a part per mean demand over the instants at which both are known."""
        known = np.where(np.isfinite(part), demand, np.nan)
        whole = _mean(times, known)
        return 100.0 * _mean(times, part) / whole if abs(whole) >= LEAST_MEAN * weight else None

    textbook = table[f"{axle}_textbook_pct"].to_numpy()
    size = np.where(np.isfinite(textbook), np.abs(demand), np.nan)
    numbers: Summary = {
        f"{axle}_support_pct": per_demand(table[f"{axle}_support_N"].to_numpy()),
        f"{axle}_linked_pct": per_demand(demand - table[f"{axle}_demand_on_shock_N"].to_numpy()),
        f"{axle}_textbook_pct": _mean(times, textbook * size) / _mean(times, size)
        if np.isfinite(size).sum() > 1
        else None,
    }
    span = np.diff(times) if len(times) > 1 else np.ones(1)  # a run that broke off may have one row
    state = table[f"{axle}_support_state"].to_numpy()[: len(span)]
    for reason in Reason:
        numbers[f"{axle}_{state_key(reason)}"] = 100.0 * span[state == reason.value].sum() / span.sum()
    return numbers


def _front_shift(table: pd.DataFrame) -> Summary:
    shift = table["budget_cg_shift_N"].to_numpy() * GRAMS
    return {
        "front_load_cg_shift_g": _mean(table["time_s"].to_numpy(), shift),
        "front_load_cg_shift_peak_g": shift[np.abs(shift).argmax()],
    }


def summarise(trace: Trace, audit: Audit, table: pd.DataFrame) -> Summary:
    """Summary of a run, keys and units as in `MEANING`."""
    last, pitch = table.iloc[-1], table["pitch_to_ground_deg"]
    numbers: Summary = {
        "ended": trace.outcome.value,
        "time_s": last["time_s"],
        "distance_mm": last["distance_mm"],
        "speed_m_per_s": last["speed_m_per_s"],
        "top_speed_m_per_s": table["speed_m_per_s"].abs().max(),
        "pitch_start_deg": pitch.iloc[0],
        "pitch_end_deg": pitch.iloc[-1],
        "pitch_mean_deg": _mean(table["time_s"].to_numpy(), pitch.to_numpy()),
        "pitch_peak_deg": pitch.max(),
        "pitch_low_deg": pitch.min(),
        "pitch_rise_deg": pitch.max() - pitch.iloc[0],
        "pitch_dive_deg": pitch.iloc[0] - pitch.min(),
        "skid_time_s": time_while(trace.times, table["skid_load_N"].to_numpy(), TOUCH),
        "current_peak_A": table["current_A"].abs().max(),
        "power_peak_W": table["electric_power_W"].max(),
        "energy_used_J": last["electric_energy_J"],
        "momentum_residual_1": audit.momentum.max(),
        "energy_residual_pct": float(np.abs(audit.energy).max()) * 100.0,
        "store_residual_pct": audit.worst_store.max() * 100.0,
        "link_residual_1": audit.pins.max(),
        "link_drift_mm": audit.drift.max() * 1000.0,
        "audit": "; ".join(audit.faults) or "sound",
    }
    weight = trace.model.bench.whole.mass * GRAVITY
    for axle, record in zip(AXLES, trace.model.rig.axle, strict=True):
        numbers |= _axle_numbers(table, axle, record.shock) | _support_numbers(table, axle, weight)
    numbers |= _front_shift(table)
    return {key: plain(numbers[key]) for key in MEANING}


def plain(value: Any) -> Any:
    """A number as JSON knows it; words and nothing stay."""
    return value if value is None or isinstance(value, str) else float(value)
