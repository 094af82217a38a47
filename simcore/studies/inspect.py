"""The standing facts of a rig as a result."""

import dataclasses
import json
from collections.abc import Mapping
from functools import cached_property
from pathlib import Path
from typing import ClassVar, Self

import pandas as pd

from simcore.files import Rig, Scenario
from simcore.results.atomic_write import Writer
from simcore.results.headlines.standing import standing_headline
from simcore.results.plain import from_plain, to_plain
from simcore.results.result import Concern, Data, Result
from simcore.standing.at_rest import standing_scenario
from simcore.standing.facts import Standing
from simcore.standing.stand import stand
from simcore.standing.table import Cell, table_of


@dataclasses.dataclass(frozen=True, repr=False, eq=False)
class Inspection(Result):
    """A rig looked at before it moves.

    Attributes
    ----------
    scenario : the rig on its slope
    standing : its facts, SI
    """

    kind: ClassVar[str] = "inspection"
    files: ClassVar[tuple[str, ...]] = ("standing.json",)

    scenario: Scenario
    standing: Standing

    @cached_property
    def facts(self) -> dict[str, Cell]:
        """Every fact in bench units; keys as in `simcore.standing.facts.MEANING`, None if there is none."""
        return table_of(self.standing)

    @property
    def headline(self) -> str:
        """What the links do, in one sentence."""
        return standing_headline(self.standing)

    @property
    def concerns(self) -> list[Concern]:
        """Nothing: facts are worked out directly."""
        return []

    @property
    def tables(self) -> Mapping[str, pd.DataFrame]:
        """Facts, one a row."""
        return {"facts": pd.DataFrame({self.standing.name: self.facts})}

    def to_json(self) -> str:
        """The facts as JSON."""
        return json.dumps(self.facts, indent=2, allow_nan=False) + "\n"

    def writers(self) -> dict[str, Writer]:
        """The facts alone."""
        return {"standing.json": lambda path: path.write_text(self.to_json(), encoding="utf-8")}

    def data(self) -> Data:
        """Facts in SI."""
        return {"standing": to_plain(self.standing)}

    @classmethod
    def restored(cls, scenario: Scenario, data: Data, frame: pd.DataFrame | None) -> Self:
        """The inspection that was saved."""
        return cls(scenario, from_plain(Standing, data["standing"]))


def inspect(rig: Rig | Scenario | str | Path, slope: float = 0.0) -> Inspection:
    """Look at a rig that stands on a plane of ground, held by its drag brake.

    Parameters
    ----------
    rig : a rig or its file; or a scenario, whose own slope then counts
    slope : deg, uphill positive

    Raises
    ------
    InputError
        when the rig cannot be built or cannot stand there.
    """
    scenario = rig if isinstance(rig, Scenario) else standing_scenario(rig, slope)
    return Inspection(scenario, stand(scenario))
