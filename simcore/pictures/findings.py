"""What a picture says: its caption, and the finding in one sentence, computed from the summaries."""

import dataclasses
from collections.abc import Mapping
from typing import Any

from simcore.files.scenario import Scenario
from simcore.trace import Outcome
from simcore.units import column_factor

EARLY = {
    Outcome.ROLLED_OVER.value: "Rolled over",
    Outcome.SLID_AWAY.value: "Slid back down",
    Outcome.HIGH_CENTRED.value: "Hung on its skids",
}


@dataclasses.dataclass(frozen=True)
class Caption:
    """What a picture says about the scenario it shows.

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
    def of(cls, scenario: Scenario) -> "Caption":
        """Caption of a scenario."""
        visible = scenario.visible
        return cls(
            scenario.title,
            scenario.rig.name,
            visible.pitch * column_factor("pitch_deg"),
            visible.travel * column_factor("travel_mm"),
        )

    @property
    def text(self) -> str:
        """Question and rig in one line."""
        return f"{self.question}  Rig: {self.rig}"


def _moved(summary: Mapping[str, Any], axle: str, caption: Caption) -> str:
    """What one end did: the larger of squat and lift, in words."""
    squat, lift = summary[f"{axle}_squat_mm"], summary[f"{axle}_lift_mm"]
    if max(squat, lift) < caption.visible_mm:
        return f"the {axle} hardly moves"
    return f"the {axle} squats {squat:.1f} mm" if squat >= lift else f"the {axle} lifts {lift:.1f} mm"


def finding(summary: Mapping[str, Any], caption: Caption) -> str:
    """One sentence that says what happened in a run."""
    rise = summary["pitch_rise_deg"]
    moved = {axle: max(summary[f"{axle}_squat_mm"], summary[f"{axle}_lift_mm"]) for axle in ("rear", "front")}
    if rise < caption.visible_deg and max(moved.values()) < caption.visible_mm:
        text = "Hardly anything moves: "
        text += f"nose {rise:.1f}°, rear {moved['rear']:.1f} mm, front {moved['front']:.1f} mm"
    else:
        nose = f"The nose rises {rise:.1f}°" if rise >= caption.visible_deg else "The nose hardly rises"
        text = f"{nose}; {_moved(summary, 'rear', caption)}, {_moved(summary, 'front', caption)}"
    early = EARLY.get(summary["ended"])
    if early:
        text = f"{early} after {summary['time_s']:.2f} s. {text}"
    elif summary["front_off_ground_s"] > 0.0:
        text += f"; front tyres {summary['front_off_ground_s']:.2f} s in the air"
    return text


def contrast(summaries: Mapping[str, Mapping[str, Any]], caption: Caption) -> str:
    """One sentence that says how the cases differ in pitch."""
    ended = {name: EARLY.get(summary["ended"]) for name, summary in summaries.items()}
    upset = [f"{name}: {text.lower()}" for name, text in ended.items() if text]
    rises = {name: summary["pitch_rise_deg"] for name, summary in summaries.items()}
    most, least = max(rises, key=lambda k: rises[k]), min(rises, key=lambda k: rises[k])
    if rises[most] - rises[least] < caption.visible_deg:
        text = f"No visible difference in pitch: the nose rises {rises[least]:.1f} to {rises[most]:.1f}°"
    else:
        text = f"The nose rises {rises[most]:.1f}° with {most}, {rises[least]:.1f}° with {least}"
    return ". ".join([text, *upset])
