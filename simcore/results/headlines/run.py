"""What one run or several have shown, in one sentence computed from their summaries."""

from collections.abc import Callable, Mapping
from typing import Any

from simcore.results.conditions import Conditions
from simcore.results.effect import Showing
from simcore.results.metrics import SOUND
from simcore.results.reliability import ended_early
from simcore.units import GRAMS


def _moved(summary: Mapping[str, Any], axle: str, conditions: Conditions) -> str:
    """What one end did: the larger of squat and lift, in words."""
    squat, lift = summary[f"{axle}_squat_mm"], summary[f"{axle}_lift_mm"]
    if max(squat, lift) < conditions.visible_mm:
        return f"the {axle} hardly moves"
    return f"the {axle} squats {squat:.1f} mm" if squat >= lift else f"the {axle} lifts {lift:.1f} mm"


def _swing(summary: Mapping[str, Any]) -> float:
    """Largest change of pitch since the start, deg; a dive is negative."""
    rise, dive = summary["pitch_rise_deg"], summary["pitch_dive_deg"]
    return float(rise if rise >= dive else -dive)


def _nose(swing: float, conditions: Conditions) -> str:
    if abs(swing) < conditions.visible_deg:
        return "hardly moves"
    return f"rises {swing:.1f}°" if swing > 0.0 else f"dives {-swing:.1f}°"


def _upset(summary: Mapping[str, Any]) -> str:
    """What a reader must know before anything else; empty for a sound run that went its way."""
    if summary["audit"] != SOUND:
        return "AUDIT FAILED, do not use"
    return ended_early(summary)


def run_headline(summary: Mapping[str, Any], conditions: Conditions) -> str:
    """One sentence that says what happened in a run."""
    swing = _swing(summary)
    moved = {axle: max(summary[f"{axle}_squat_mm"], summary[f"{axle}_lift_mm"]) for axle in ("rear", "front")}
    if abs(swing) < conditions.visible_deg and max(moved.values()) < conditions.visible_mm:
        text = "Hardly anything moves: "
        text += f"nose {abs(swing):.1f}°, rear {moved['rear']:.1f} mm, front {moved['front']:.1f} mm"
    else:
        text = f"The nose {_nose(swing, conditions)}; "
        text += f"{_moved(summary, 'rear', conditions)}, {_moved(summary, 'front', conditions)}"
    upset = _upset(summary)
    if upset:
        text = f"{upset} after {summary['time_s']:.2f} s. {text}"
    elif summary["front_off_ground_s"] > 0.0:
        text += f"; front tyres {summary['front_off_ground_s']:.2f} s in the air"
    return text


def comparison_headline(summaries: Mapping[str, Mapping[str, Any]], conditions: Conditions) -> str:
    """One sentence that says how the cases differ in pitch: in what the manoeuvre adds, or in stance."""
    upset = [f"{name}: {_upset(summary)}" for name, summary in summaries.items() if _upset(summary)]
    most, least, gap = _extremes(summaries, _swing)
    high, low, apart = _extremes(summaries, _mean_pitch)
    if max(gap, apart) < conditions.visible_deg:
        same = _nose(_swing(summaries[most]), conditions)
        text = f"No visible difference in pitch: the nose {same} in every case"
    elif gap >= apart:
        up, down = (_nose(_swing(summaries[name]), conditions) for name in (most, least))
        text = f"The nose {up} with {most}, {down} with {least}"
    else:
        text = f"The nose stands {apart:.1f}° higher with {high} than with {low}"
    return ". ".join([text, *upset])


def _mean_pitch(summary: Mapping[str, Any]) -> float:
    return float(summary["pitch_mean_deg"])


def _extremes(
    summaries: Mapping[str, Mapping[str, Any]], metric: Callable[[Mapping[str, Any]], float]
) -> tuple[str, str, float]:
    """Case with the highest and with the lowest metric, and how far they are apart."""
    values = {name: metric(summary) for name, summary in summaries.items()}
    most, least = max(values, key=lambda k: values[k]), min(values, key=lambda k: values[k])
    return most, least, values[most] - values[least]


def support_headline(summary: Mapping[str, Any], conditions: Conditions) -> str:
    """One sentence that says what squat support does, from a run with its counterfactual."""
    pitch, rear, front = (
        summary[f"support_{name}"] for name in ("pitch_deg", "rear_travel_mm", "front_travel_mm")
    )
    showing = Showing[summary["support_shows"]]
    if showing is Showing.NEVER:
        return (
            f"Squat support never shows: at most {abs(pitch):.2f}° of pitch and {abs(rear):.1f} mm of travel"
        )
    parts = [f"the nose {abs(pitch):.1f}° {'higher' if pitch > 0 else 'lower'}"]
    for end, change in (("rear", rear), ("front", front)):
        if abs(change) >= conditions.visible_mm:
            parts.append(f"the {end} {abs(change):.1f} mm {'lower' if change > 0 else 'higher'}")
    first = summary["support_shows_s"]
    when = f"from {first:.3g} s on" if showing is Showing.MOVING else showing.value
    return f"Squat support holds {', '.join(parts)}. It shows {when}"


def load_headline(summary: Mapping[str, Any]) -> str:
    """One sentence that says who carries the change of load, averaged over a run."""
    texts = []
    for axle in ("rear", "front"):
        linked, support = summary[f"{axle}_axle_mass_counted_pct"], summary[f"{axle}_support_pct"]
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


def front_load_headline(summaries: Mapping[str, Mapping[str, Any]]) -> str:
    """One sentence that sets the spread of pitch over the cases against that of the front load."""
    high, _, apart = _extremes(summaries, _mean_pitch)
    heavy, _, grams = _extremes(summaries, lambda summary: float(summary["front_load_mean_N"]) * GRAMS)
    whole = float(summaries[heavy]["front_load_mean_N"]) * GRAMS
    return (
        f"Pitch differs by {apart:.1f}° (highest with {high}), the front load by {grams:.0f} g "
        f"of {whole:.0f} g (most with {heavy})"
    )
