"""What one run has shown, in one sentence computed from its summary: the job first, then what moved."""

from collections.abc import Mapping
from typing import Any

from simcore.files.scenario import Scenario
from simcore.results.conditions import Conditions
from simcore.results.effect import Showing
from simcore.results.headlines.job import is_done, job_sentence
from simcore.results.reliability import ended_early

Summary = Mapping[str, Any]


def still_swings(summary: Summary, conditions: Conditions) -> bool:
    """Whether the nose visibly swings at the end, so that what it does there is not known yet."""
    return float(summary["pitch_swing_deg"]) > conditions.visible_deg


def how_it_ends(summary: Summary, scenario: Scenario) -> str:
    """What is to be known of the end of a run's pitch, in a word or two; empty if nothing is."""
    early = ended_early(summary)
    if early:
        return f"({early.lower()})"
    swings = still_swings(summary, Conditions.of(scenario))
    return f"(still swings ±{summary['pitch_swing_deg']:.1f}°)" if swings else ""


def tells_of_pitch(summary: Summary, conditions: Conditions) -> bool:
    """Whether a headline may speak of the pitch of a run: it did its job, or had none, and came to rest."""
    return is_done(summary) and not still_swings(summary, conditions)


def run_headline(summary: Summary, conditions: Conditions) -> str:
    """One sentence that says whether the job was done, and what moved in a run that did it."""
    job, moved = job_of(summary, conditions), ""
    if tells_of_pitch(summary, conditions):
        moved = _moved(summary, conditions)
    elif is_done(summary):
        moved = f"Still swinging or turning at the end: nose ±{summary['pitch_swing_deg']:.1f}°"
    text = ". ".join(part for part in (job, moved) if part)
    if moved and summary["front_off_ground_s"] > 0.0:
        text += f"; front tyres {summary['front_off_ground_s']:.2f} s in the air"
    return text


def job_of(summary: Summary, conditions: Conditions) -> str:
    """Whether the job was done, in words."""
    return job_sentence(summary, conditions.scenario)


def _moved(summary: Summary, conditions: Conditions) -> str:
    """What nose and ends did."""
    swing = _swing(summary)
    moved = {axle: max(summary[f"{axle}_squat_mm"], summary[f"{axle}_lift_mm"]) for axle in ("rear", "front")}
    if abs(swing) < conditions.visible_deg and max(moved.values()) < conditions.visible_mm:
        return (
            f"Hardly anything moves: nose {abs(swing):.1f}°, rear {moved['rear']:.1f} mm, "
            f"front {moved['front']:.1f} mm"
        )
    ends = ", ".join(_end(summary, axle, conditions) for axle in ("rear", "front"))
    return f"The nose {_nose(swing, conditions)}; {ends}"


def _end(summary: Summary, axle: str, conditions: Conditions) -> str:
    """What one end did: the larger of squat and lift, in words."""
    squat, lift = summary[f"{axle}_squat_mm"], summary[f"{axle}_lift_mm"]
    if max(squat, lift) < conditions.visible_mm:
        return f"the {axle} hardly moves"
    return f"the {axle} squats {squat:.1f} mm" if squat >= lift else f"the {axle} lifts {lift:.1f} mm"


def _swing(summary: Summary) -> float:
    """Largest change of pitch since the start, deg; a dive is negative."""
    rise, dive = summary["pitch_rise_deg"], summary["pitch_dive_deg"]
    return float(rise if rise >= dive else -dive)


def _nose(swing: float, conditions: Conditions) -> str:
    if abs(swing) < conditions.visible_deg:
        return "hardly moves"
    return f"rises {swing:.1f}°" if swing > 0.0 else f"dives {-swing:.1f}°"


def support_headline(summary: Summary, conditions: Conditions) -> str:
    """Whether the job was done, and what squat support does, from a run with its counterfactual."""
    if not tells_of_pitch(summary, conditions):
        return run_headline(summary, conditions)
    return ". ".join(
        part for part in (job_of(summary, conditions), support_clause(summary, conditions)) if part
    )


def support_clause(summary: Summary, conditions: Conditions) -> str:
    """What squat support does: while the rig still stands, and what the manoeuvre adds."""
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
    held = f"Squat support holds, at most, {', '.join(parts)}"
    if showing is Showing.MOVING:
        return f"{held}. It shows from {summary['support_shows_s']:.3g} s on"
    standing = summary["support_pitch_standing_deg"], summary["support_rear_travel_standing_mm"]
    return (
        f"{held}; {abs(standing[0]):.1f}° and {abs(standing[1]):.1f} mm of it already standing on the brake"
    )
