"""What the shocks of runs stroke and what takes work in them, in one sentence."""

from collections.abc import Mapping

import numpy as np
import pandas as pd

from simcore.rig.masses import SIDES

STILL = 0.05  # mm, strokes that would be written as 0.0


def kept_work(table: pd.DataFrame, axle: str) -> dict[str, float]:
    """Work that friction and oil of an axle's shocks take over a run, mJ, by what takes it.

    Springs and stops give back what they take, so that they are none of it.
    """
    travel = table[f"{axle}_travel_mm"].to_numpy()
    columns = {"friction": f"{axle}_friction_N", "oil": f"{axle}_damper_N"}
    return {what: float(np.trapezoid(table[column], travel)) for what, column in columns.items()}  # N mm = mJ


def loops_headline(cases: Mapping[str, pd.DataFrame]) -> str:
    """One sentence: how far the shocks stroke and what takes work there; for several cases, where most.

    Parameters
    ----------
    cases : as for `shock_loops`
    """
    if len(cases) == 1:
        (table,) = cases.values()
        return ". ".join(_of_one(table, axle) for axle in SIDES)
    taken = {case: sum(sum(kept_work(one, axle).values()) for axle in SIDES) for case, one in cases.items()}
    most, least = (pick(taken, key=lambda case: taken[case]) for pick in (max, min))
    if _mj(taken[most]) == _mj(taken[least]):
        return f"Friction and oil of the shocks take {_mj(taken[most])} of work in every case"
    return (
        f'Friction and oil of the shocks take {_mj(taken[most])} of work with "{most}", '
        f'{_mj(taken[least])} with "{least}"'
    )


def _of_one(table: pd.DataFrame, axle: str) -> str:
    travel, work = table[f"{axle}_travel_mm"], kept_work(table, axle)
    stroke = float(travel.max() - travel.min())
    if stroke < STILL:
        return f"{axle.capitalize()} shocks do not move"
    taken = f"friction takes {_mj(work['friction'])}, oil {_mj(work['oil'])}"
    return f"{axle.capitalize()} shocks stroke {stroke:.1f} mm; {taken}"


def _mj(work: float) -> str:
    digits = 0 if abs(work) >= 10.0 else 1
    return f"{round(work, digits) + 0.0:.{digits}f} mJ".replace("-", "\N{MINUS SIGN}")
