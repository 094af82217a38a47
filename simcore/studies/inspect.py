"""The standing facts of a rig as a result: table, drawing, files."""

import dataclasses
import json
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING

from simcore.files.scenario import Scenario
from simcore.outbox import Writer
from simcore.pictures.prints import AS_USUAL, Prints, save_result
from simcore.standing.facts import Standing, stand
from simcore.standing.table import Cell

if TYPE_CHECKING:
    from matplotlib.figure import Figure

TABLES, PICTURES = ("standing.json",), ("side_view",)


@dataclasses.dataclass(frozen=True)
class Inspection:
    """A rig looked at before it moves.

    Attributes
    ----------
    standing : its facts, SI
    """

    standing: Standing

    @cached_property
    def facts(self) -> dict[str, Cell]:
        """Every fact in bench units; keys as in `simcore.standing.facts.MEANING`, None if there is none."""
        return self.standing.table()

    @property
    def answer(self) -> str:
        """What the links do, in one sentence."""
        from simcore.pictures.side_view import answer

        return answer(self.standing)

    def to_json(self) -> str:
        """The facts as JSON."""
        return json.dumps(self.facts, indent=2, allow_nan=False) + "\n"

    def figure(self) -> "Figure":
        """The rig from the side, to scale."""
        from simcore.pictures.side_view import side_view

        return side_view(self.standing)

    def save(self, folder: str | Path, prints: Prints = AS_USUAL) -> list[Path]:
        """Write the table and the picture named in TABLES and PICTURES, both or none."""
        tables: dict[str, Writer] = {TABLES[0]: lambda path: path.write_text(self.to_json())}
        return save_result(folder, tables, {PICTURES[0]: self.figure}, prints)


def inspect_rig(scenario: Scenario) -> Inspection:
    """Look at the rig of a scenario, standing on its plane of ground.

    Raises
    ------
    BadInput
        when the rig cannot be built or cannot stand there.
    """
    return Inspection(stand(scenario))
