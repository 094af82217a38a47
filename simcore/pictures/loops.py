"""Force of the shocks over their travel: friction and oil open a loop, stops make it steep."""

from collections.abc import Mapping

import numpy as np
import pandas as pd
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from simcore.pictures.style import QUIET, name_ends, page, room, styled
from simcore.pictures.timelines import look

AXLES = ("rear", "front")


@styled
def shock_loops(cases: Mapping[str, pd.DataFrame], answer: str, question: str) -> Figure:
    """Shock force against travel, rear and front.

    Parameters
    ----------
    cases : name to the series of a run, the base first
    answer, question : the finding, and what was asked of which rig
    """
    figure, panels = page(2, 1, 3.0, answer, question, right=0.80)
    for panel, axle in zip(panels, AXLES, strict=True):
        ends = [_loop(panel, table, axle, k, name) for k, (name, table) in enumerate(cases.items())]
        panel.set_ylabel(f"{axle} shocks, N\n(both, pushing out)")
        room(panel, 1.0)
        low, high = panel.get_xlim()
        panel.set_xlim(0.5 * (low + high - max(high - low, 2.0)), 0.5 * (low + high + max(high - low, 2.0)))
        name_ends(panel, ends)
    panels[1].set_xlabel("shock travel, mm (more = compressed)")
    panels[0].text(
        0.01,
        0.95,
        "ring: standing at the start; thick pale: on a stop",
        transform=panels[0].transAxes,
        color=QUIET,
        fontsize=11,
        va="top",
    )
    return figure


def _loop(panel: Axes, table: pd.DataFrame, axle: str, k: int, name: str) -> tuple[float, float, str, str]:
    """One run: its way, its start, where it lies on a stop, and which way round it goes."""
    travel, force = table[f"{axle}_travel_mm"].to_numpy(), table[f"{axle}_shock_force_N"].to_numpy()
    colour, dash = look(k)
    pressed = (table[f"{axle}_bump_stop_N"] - table[f"{axle}_droop_stop_N"]).to_numpy() > 0.0
    panel.plot(
        np.where(pressed, travel, np.nan), force, color=colour, lw=9.0, alpha=0.22, solid_capstyle="butt"
    )
    panel.plot(travel, force, color=colour, ls=dash, lw=1.6)
    panel.plot(travel[0], force[0], "o", color=colour, ms=8, mfc="none", mew=2.0)
    way = np.concatenate([[0.0], np.cumsum(np.abs(np.diff(travel)))])
    for share in (0.2, 0.5):
        at = int(np.searchsorted(way, share * way[-1]))
        ahead = int(np.searchsorted(way, (share + 0.03) * way[-1]))
        if 0 < at < ahead < len(travel) and way[-1] > 0.5:
            panel.annotate(
                "",
                (travel[ahead], force[ahead]),
                xytext=(travel[at], force[at]),
                arrowprops={"arrowstyle": "-|>", "color": colour, "lw": 1.4, "mutation_scale": 14},
            )
    return float(travel[-1]), float(force[-1]), name, colour


def kept_work(table: pd.DataFrame, axle: str) -> dict[str, float]:
    """Work that friction, oil and stops of an axle's shocks take over a run, mJ, by what takes it."""
    travel = table[f"{axle}_travel_mm"].to_numpy()

    def work(*columns: str) -> float:
        force = table[[f"{axle}_{column}" for column in columns]].sum(axis=1).to_numpy()
        return float(np.trapezoid(force, travel))  # N mm = mJ

    stops = work("bump_stop_N", "droop_stop_N")
    return {"friction": work("friction_N"), "oil": work("damper_N"), "stops": stops}


def loops_finding(cases: Mapping[str, pd.DataFrame]) -> str:
    """One sentence: how far the shocks stroke and what takes work there; for several cases, where most."""
    if len(cases) == 1:
        (table,) = cases.values()
        return ". ".join(_of_one(table, axle) for axle in AXLES)
    taken = {
        case: sum(sum(kept_work(table, axle).values()) for axle in AXLES) for case, table in cases.items()
    }
    most, least = (pick(taken, key=lambda case: taken[case]) for pick in (max, min))
    return f"The shocks take {_mj(taken[most])} of work with {most}, {_mj(taken[least])} with {least}"


def _of_one(table: pd.DataFrame, axle: str) -> str:
    travel, work = table[f"{axle}_travel_mm"], kept_work(table, axle)
    stroke = float(travel.max() - travel.min())
    taken = f"friction takes {_mj(work['friction'])}, oil {_mj(work['oil'])}"
    return f"{axle.capitalize()} shocks stroke {stroke:.1f} mm; {taken}"


def _mj(work: float) -> str:
    return f"{work:.0f} mJ" if abs(work) >= 10.0 else f"{work:.1f} mJ"
