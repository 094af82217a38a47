"""Who carries the change of load in a run, in grams and in words."""

import dataclasses
from collections.abc import Mapping
from typing import Any

import pandas as pd

from simcore.results.conditions import Conditions
from simcore.results.finished import time_mean
from simcore.results.formatting import in_text
from simcore.results.headlines.run import job_of
from simcore.rig.masses import SIDES
from simcore.units import GRAMS

LEAST_SHARED = 5.0  # g of change of load, from which on shares of it are said


@dataclasses.dataclass(frozen=True)
class Shares:
    """Who carries the change of load of an axle, g, averaged over a run.

    Attributes
    ----------
    change : of the tyres' load, against standing on the level
    links, shock : what of it the links hold, and what moves the shock; the axle's own mass has the rest
    """

    change: float
    links: float
    shock: float

    @property
    def words(self) -> str:
        """The sum in grams, and what it means where a part is larger than the whole."""
        parts = {
            "links hold": self.links,
            "moves the shock": self.shock,
            "axle mass": self.change - self.links - self.shock,
        }
        said = ", ".join(f"{name} {_grams(value)}" for name, value in parts.items())
        return f"on average {_grams(self.change)}: {said}{self._odd}"

    def clause(self, axle: str) -> str:
        """The same in a title: how much comes or goes, and the two parts that a builder can change."""
        if abs(self.change) < LEAST_SHARED:
            return f"{axle} load hardly changes"
        more = "more" if self.change > 0.0 else "less"
        parts = f"the links hold {_grams(self.links)} of it, {_grams(self.shock)} moves the shock"
        if self.change < 0.0:  # both as parts of what is lost
            parts = f"the links hold {_grams(-self.links)} of it, {_grams(-self.shock)} moves the shock"
        return f"{axle} {_grams(abs(self.change))} {more}, {parts}"

    @property
    def _odd(self) -> str:
        if abs(self.change) < LEAST_SHARED:
            return ""
        moved = "compresses" if self.shock > 0.0 else "extends"
        if self.links / self.change > 1.0:
            more = " (more than all, so the shock "
            return f"{more}{moved})" if self.shock / self.change < 0.0 else ""
        if self.links / self.change < 0.0:
            return f" (links work backwards, so the shock {moved} more)"
        return ""


def shares(table: pd.DataFrame, axle: str) -> Shares:
    """Who carries the change of load of an axle on average; from the series of a whole run."""
    times = table["time_s"].to_numpy(float)
    names = ("demand", "support", "demand_on_shock")
    return Shares(*(time_mean(times, table[f"{axle}_{name}_N"].to_numpy(float)) * GRAMS for name in names))


def _grams(value: float) -> str:
    return in_text("load_g", value)


def load_headline(summary: Mapping[str, Any], table: pd.DataFrame, conditions: Conditions) -> str:
    """Whether the job was done, and who carries the change of load, averaged over a run, in grams.

    Parameters
    ----------
    summary, table : of the run, and its series
    """
    rear, front = (shares(table, axle).clause(axle) for axle in SIDES)
    return f"{job_of(summary, conditions)}. Load: {rear}; {front}"
