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
        parts = (
            f"links hold {_grams(self.links)}{self._odd}",
            f"moves the shock {_grams(self.shock)}",
            f"axle mass {_grams(self.change - self.links - self.shock)}",
        )
        return f"on average {_grams(self.change)}: {', '.join(parts)}"

    def clause(self, axle: str) -> str:
        """The same in a title: how much comes or goes, and the two parts that a builder can change."""
        if abs(self.change) < LEAST_SHARED:
            return f"{axle} load hardly changes"
        sign = 1.0 if self.change > 0.0 else -1.0
        links, shock = sign * self.links, sign * self.shock
        much = f"{axle} {_grams(abs(self.change))} {'more' if sign > 0.0 else 'less'}"
        if min(links, shock) < 0.0:  # one part works against the other
            return f"{much} (links {_signed(self.links)}, shocks {_signed(self.shock)}, axle mass the rest)"
        return f"{much}, the links hold {_grams(links)} of it, {_grams(shock)} moves the shock"

    @property
    def _odd(self) -> str:
        if abs(self.change) < LEAST_SHARED:
            return ""
        share = self.links / self.change
        return " (more than all)" if share > 1.0 else " (backwards)" if share < 0.0 else ""


def shares(table: pd.DataFrame, axle: str) -> Shares:
    """Who carries the change of load of an axle on average; from the series of a whole run."""
    times = table["time_s"].to_numpy(float)
    names = ("demand", "support", "demand_on_shock")
    return Shares(*(time_mean(times, table[f"{axle}_{name}_N"].to_numpy(float)) * GRAMS for name in names))


def _signed(value: float) -> str:
    return f"+{_grams(value)}" if value > 0.0 else _grams(value)


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
