"""How much the metrics of a run move when it is integrated twice as finely."""

import dataclasses
from collections.abc import Callable, Mapping
from typing import ClassVar, Self

import pandas as pd

from simcore.files.scenario import Scenario
from simcore.results.atomic_write import Writer
from simcore.results.catalogue import NUMBERS
from simcore.results.metrics import Summary
from simcore.results.plain import to_plain
from simcore.results.result import Concern, Data, Result
from simcore.studies.simulate import simulate


@dataclasses.dataclass(frozen=True, repr=False, eq=False)
class Precision(Result):
    """Metrics of a run as it is and with half its tolerances.

    Attributes
    ----------
    scenario : what was run
    usual, finer : metrics of both
    """

    kind: ClassVar[str] = "precision"
    files: ClassVar[tuple[str, ...]] = ("precision.csv",)

    scenario: Scenario
    usual: Summary
    finer: Summary

    @property
    def table(self) -> pd.DataFrame:
        """One row a metric: both values and their difference."""
        keys = [key for key in self.usual if key in NUMBERS and self.usual[key] is not None]
        table = pd.DataFrame({"usual": self.usual, "finer": self.finer}).loc[keys].astype(float)
        return table.assign(change=table["finer"] - table["usual"])

    @property
    def tables(self) -> Mapping[str, pd.DataFrame]:
        """The table."""
        return {"precision": self.table}

    @property
    def headline(self) -> str:
        """Largest change of pitch."""
        pitch = self.table.filter(regex="^pitch", axis=0)["change"].abs().max()
        return f"Half the tolerances move no pitch by more than {pitch:.2g}°"

    @property
    def concerns(self) -> list[Concern]:
        """Nothing of its own."""
        return []

    def writers(self) -> dict[str, Writer]:
        """The table for a spreadsheet."""
        return {"precision.csv": lambda path: self.table.to_csv(path, float_format="%.9g")}

    def data(self) -> Data:
        """Both summaries."""
        return {"usual": to_plain(self.usual), "finer": to_plain(self.finer)}

    @classmethod
    def restored(cls, scenario: Scenario, data: Data, frame: pd.DataFrame | None) -> Self:
        """What was saved."""
        return cls(scenario, data["usual"], data["finer"])


def precision(scenario: Scenario, progress: Callable[[float, float], None] | None = None) -> Precision:
    """Run a scenario as it is and with half its tolerances.

    Raises
    ------
    InputError
        As `simulate`.
    """
    half = {f"solver.{key}": 0.5 * getattr(scenario.solver, key) for key in ("relative", "absolute")}
    runs = [simulate(one, progress) for one in (scenario, scenario.changed(half))]
    return Precision(scenario, *(run.summary for run in runs))
