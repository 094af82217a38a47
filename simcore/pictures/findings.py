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
    Outcome.NOT_SOLVED.value: "The integration broke off",
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


def _swing(summary: Mapping[str, Any]) -> float:
    """Largest change of pitch since the start, deg; a dive is negative."""
    rise, dive = summary["pitch_rise_deg"], summary["pitch_dive_deg"]
    return float(rise if rise >= dive else -dive)


def _nose(swing: float, caption: Caption) -> str:
    if abs(swing) < caption.visible_deg:
        return "hardly moves"
    return f"rises {swing:.1f}°" if swing > 0.0 else f"dives {-swing:.1f}°"


def _upset(summary: Mapping[str, Any]) -> str:
    """What a reader must know before anything else; empty for a sound run that went its way."""
    if summary["audit"] != "sound":
        return "AUDIT FAILED, do not use"
    return EARLY.get(summary["ended"], "")


def finding(summary: Mapping[str, Any], caption: Caption) -> str:
    """One sentence that says what happened in a run."""
    swing = _swing(summary)
    moved = {axle: max(summary[f"{axle}_squat_mm"], summary[f"{axle}_lift_mm"]) for axle in ("rear", "front")}
    if abs(swing) < caption.visible_deg and max(moved.values()) < caption.visible_mm:
        text = "Hardly anything moves: "
        text += f"nose {abs(swing):.1f}°, rear {moved['rear']:.1f} mm, front {moved['front']:.1f} mm"
    else:
        text = f"The nose {_nose(swing, caption)}; "
        text += f"{_moved(summary, 'rear', caption)}, {_moved(summary, 'front', caption)}"
    upset = _upset(summary)
    if upset:
        text = f"{upset} after {summary['time_s']:.2f} s. {text}"
    elif summary["front_off_ground_s"] > 0.0:
        text += f"; front tyres {summary['front_off_ground_s']:.2f} s in the air"
    return text


def contrast(summaries: Mapping[str, Mapping[str, Any]], caption: Caption) -> str:
    """One sentence that says how the cases differ in pitch."""
    upset = [f"{name}: {_upset(summary)}" for name, summary in summaries.items() if _upset(summary)]
    swings = {name: _swing(summary) for name, summary in summaries.items()}
    most, least = max(swings, key=lambda k: swings[k]), min(swings, key=lambda k: swings[k])
    if swings[most] - swings[least] < caption.visible_deg:
        text = f"No visible difference in pitch: the nose {_nose(swings[most], caption)} in every case"
    else:
        high, low = _nose(swings[most], caption), _nose(swings[least], caption)
        text = f"The nose {high} with {most}, {low} with {least}"
    return ". ".join([text, *upset])
