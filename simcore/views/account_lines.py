"""Lines of the accounts of a run, g: what carries an axle's change of load, what makes up the front load."""

from collections.abc import Mapping

import pandas as pd

from simcore.units import GRAMS

LEAST_SEEN = 0.02  # of the largest line; smaller ones are left out
CG_SHIFT = "links and springs"
ALWAYS = ("links hold", CG_SHIFT)
BUDGET = {
    "slope": "slope",
    "acceleration": "acceleration",
    "inertia": "turning and spin-up",
    "cg_shift": CG_SHIFT,
    "contact_shift": "tyres and ground",
    "skid": "skids",
}
"""Terms of the front load budget, as columns and in words."""
SUM_OF_LOAD = "Change of load = links hold + moves the shock + axle mass."
SEEN_AS_TRAVEL = "Only what moves the shock is seen as travel."


def load_lines(table: pd.DataFrame, axle: str) -> dict[str, pd.Series]:
    """Change of an axle's load against standing on the level, then what carries it, g.

    Parameters
    ----------
    table : series of a run, or rows of it
    axle : "rear" or "front"
    """
    names = ("demand", "support", "demand_on_shock", "friction_share")
    change, support, shocks, friction = (table[f"{axle}_{name}_N"] * GRAMS for name in names)
    return {
        "change of load": change,
        "links hold": support,
        "moves the shock": shocks,
        "axle mass": change - support - shocks,
        "friction in the shock": friction,
    }


def budget_lines(table: pd.DataFrame) -> dict[str, pd.Series]:
    """Front load against standing on the level, then what takes it away or adds to it, g."""
    terms = {words: table[f"budget_{name}_N"] * GRAMS for name, words in BUDGET.items()}
    return {"all together": (table["front_load_N"] - table["budget_level_N"]) * GRAMS, **terms}


def telling(lines: Mapping[str, pd.Series]) -> dict[str, pd.Series]:
    """The first line, those that are always told, and those that are not small beside the largest."""
    largest = max(float(values.abs().max()) for values in lines.values())
    total = next(iter(lines))
    return {
        name: values
        for name, values in lines.items()
        if name in (total, *ALWAYS) or not float(values.abs().max()) < LEAST_SEEN * largest
    }
