"""The scenario of a headline or a picture: question, rig, and what a viewer sees at least."""

import dataclasses

from simcore.files.scenario import Scenario
from simcore.units import column_factor


@dataclasses.dataclass(frozen=True)
class Conditions:
    """The question, the rig, and what a viewer sees at least.

    Attributes
    ----------
    question : title of the scenario
    rig : name of the rig
    visible_deg, visible_mm : smallest change of pitch and of travel that a viewer sees
    """

    question: str
    rig: str
    visible_deg: float = 0.25
    visible_mm: float = 0.5

    @classmethod
    def of(cls, scenario: Scenario) -> "Conditions":
        """Those of a scenario."""
        visible = scenario.visible
        return cls(
            scenario.title,
            scenario.rig.name,
            visible.pitch * column_factor("pitch_deg"),
            visible.travel * column_factor("travel_mm"),
        )

    @property
    def visible(self) -> dict[str, float]:
        """Smallest difference that a viewer sees, by unit."""
        return {"deg": self.visible_deg, "mm": self.visible_mm}

    @property
    def text(self) -> str:
        """Question and rig in one line."""
        return f"{self.question}  Rig: {self.rig}"
