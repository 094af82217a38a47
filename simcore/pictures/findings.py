"""What a picture says: its caption, and the finding in one sentence, computed from the summaries."""

import dataclasses
from collections.abc import Callable, Mapping
from typing import Any

from simcore.files.scenario import Scenario
from simcore.results.metrics import GRAMS
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
    def visible(self) -> dict[str, float]:
        """Smallest difference that a viewer sees, by unit."""
        return {"deg": self.visible_deg, "mm": self.visible_mm}

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
    """One sentence that says how the cases differ in pitch: in what the manoeuvre adds, or in stance."""
    upset = [f"{name}: {_upset(summary)}" for name, summary in summaries.items() if _upset(summary)]
    most, least, gap = _extremes(summaries, _swing)
    high, low, apart = _extremes(summaries, _mean_pitch)
    if max(gap, apart) < caption.visible_deg:
        same = _nose(_swing(summaries[most]), caption)
        text = f"No visible difference in pitch: the nose {same} in every case"
    elif gap >= apart:
        up, down = (_nose(_swing(summaries[name]), caption) for name in (most, least))
        text = f"The nose {up} with {most}, {down} with {least}"
    else:
        text = f"The nose stands {apart:.1f}° higher with {high} than with {low}"
    return ". ".join([text, *upset])


def _mean_pitch(summary: Mapping[str, Any]) -> float:
    return float(summary["pitch_mean_deg"])


def _extremes(
    summaries: Mapping[str, Mapping[str, Any]], figure: Callable[[Mapping[str, Any]], float]
) -> tuple[str, str, float]:
    """Case with the highest and with the lowest figure, and how far they are apart."""
    values = {name: figure(summary) for name, summary in summaries.items()}
    most, least = max(values, key=lambda k: values[k]), min(values, key=lambda k: values[k])
    return most, least, values[most] - values[least]


def effect_finding(summary: Mapping[str, Any], caption: Caption) -> str:
    """One sentence that says what squat support does, from a run with its twin."""
    pitch, rear, front = (
        summary[f"support_{name}"] for name in ("pitch_deg", "rear_travel_mm", "front_travel_mm")
    )
    if summary["support_shows_s"] is None:
        return (
            f"Squat support never shows: at most {abs(pitch):.2f}° of pitch and {abs(rear):.1f} mm of travel"
        )
    parts = [f"the nose {abs(pitch):.1f}° {'higher' if pitch > 0 else 'lower'}"]
    for end, change in (("rear", rear), ("front", front)):
        if abs(change) >= caption.visible_mm:
            parts.append(f"the {end} {abs(change):.1f} mm {'lower' if change > 0 else 'higher'}")
    return f"Squat support holds {', '.join(parts)}. It shows {summary['support_shows']}"


def load_finding(summary: Mapping[str, Any]) -> str:
    """One sentence that says who carries the change of load, averaged over a run."""
    texts = []
    for axle in ("rear", "front"):
        linked, support = summary[f"{axle}_linked_pct"], summary[f"{axle}_support_pct"]
        if linked is None or support is None:
            texts.append(f"{axle} load hardly changes")
        else:
            shares = (("links", support), ("shocks", 100.0 - linked), ("axle mass", linked - support))
            texts.append(f"{axle} " + ", ".join(f"{name} {_signed(share)} %" for name, share in shares))
    shift = _signed(summary["front_load_cg_shift_g"])
    return f"Who carries the change of load: {texts[0]}; {texts[1]}. CG shift moves {shift} g at the front"


def _signed(value: float) -> str:
    """Whole number with a true minus sign."""
    return f"{round(value):d}".replace("-", "\N{MINUS SIGN}")


def front_finding(summaries: Mapping[str, Mapping[str, Any]]) -> str:
    """One sentence that sets the spread of pitch over the cases against that of the front load."""
    high, _, apart = _extremes(summaries, _mean_pitch)
    heavy, _, grams = _extremes(summaries, lambda summary: float(summary["front_load_mean_N"]) * GRAMS)
    whole = float(summaries[heavy]["front_load_mean_N"]) * GRAMS
    return (
        f"Pitch differs by {apart:.1f}° (highest with {high}), the front load by {grams:.0f} g "
        f"of {whole:.0f} g (most with {heavy})"
    )
