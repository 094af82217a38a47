"""Metrics of how a rig stands and moves on its wheels: pitch, travel, wheelbase; one entry each."""

from typing import Any

from simcore.results.finished import peak, settled, swing, time_mean
from simcore.results.quantities import Better, Group, Kind, Quantity, pair
from simcore.rig.masses import SIDES

_PITCH: dict[str, Any] = {"group": Group.PITCH, "kind": Kind.PITCH}
_TRAVEL: dict[str, Any] = {"group": Group.SHOCKS, "kind": Kind.TRAVEL}


POSE_METRICS = [
    Quantity(
        "pitch_start_deg",
        "pitch of the chassis against the ground where it starts, standing there",
        lambda run: run["pitch_to_ground_deg"][0],
        wording="pitch at the start",
        **_PITCH,
    ),
    Quantity(
        "pitch_end_deg",
        "the same pitch at the end: what it swings about in the last half second, or in some periods of a "
        "slower swing (at most in the last half); in a quarter second where it has come to rest by then",
        lambda run: settled(run, "pitch_to_ground_deg"),
        **_PITCH,
    ),
    Quantity(
        "pitch_change_deg",
        "pitch at the end less pitch at the start",
        lambda run: settled(run, "pitch_to_ground_deg") - run["pitch_to_ground_deg"][0],
        wording="change of pitch",
        **_PITCH,
    ),
    Quantity(
        "pitch_swing_deg",
        "how far the pitch still swings at the end, either way: half of highest less lowest in that time",
        lambda run: swing(run.times, run["pitch_to_ground_deg"]),
        better=Better.LESS,
        wording="swing of the pitch at the end",
        **_PITCH,
    ),
    Quantity(
        "pitch_to_level_start_deg",
        "pitch against the level, nose-up, standing at the start",
        lambda run: run["pitch_deg"][0],
        wording="pitch against the level at the start",
        **_PITCH,
    ),
    Quantity(
        "pitch_to_level_end_deg",
        "pitch against the level at the end, as `pitch_end_deg`",
        lambda run: settled(run, "pitch_deg"),
        wording="pitch against the level at the end",
        **_PITCH,
    ),
    Quantity(
        "pitch_to_level_peak_deg",
        "highest pitch against the level",
        lambda run: run["pitch_deg"].max(),
        wording="highest pitch against the level",
        **_PITCH,
    ),
    Quantity(
        "pitch_mean_deg",
        "the same pitch, averaged over the run",
        lambda run: time_mean(run.times, run["pitch_to_ground_deg"]),
        **_PITCH,
    ),
    Quantity(
        "pitch_peak_deg",
        "highest pitch, nose-up, likewise against the ground where it starts",
        lambda run: run["pitch_to_ground_deg"].max(),
        **_PITCH,
    ),
    Quantity(
        "pitch_low_deg", "lowest pitch, likewise", lambda run: run["pitch_to_ground_deg"].min(), **_PITCH
    ),
    Quantity(
        "pitch_rise_deg",
        "highest pitch less pitch at the start: what the manoeuvre adds",
        lambda run: run["pitch_to_ground_deg"].max() - run["pitch_to_ground_deg"][0],
        wording="rise of the pitch",
        **_PITCH,
    ),
    Quantity(
        "pitch_dive_deg",
        "pitch at the start less lowest pitch",
        lambda run: run["pitch_to_ground_deg"][0] - run["pitch_to_ground_deg"].min(),
        wording="dive of the pitch",
        **_PITCH,
    ),
    *pair(
        "squat_mm",
        "deepest {axle} travel less travel at the start",
        lambda run, axle: run.of(axle, "travel_mm").max() - run.of(axle, "travel_mm")[0],
        **_TRAVEL,
    ),
    *pair(
        "lift_mm",
        "{axle} travel at the start less least {axle} travel",
        lambda run, axle: run.of(axle, "travel_mm")[0] - run.of(axle, "travel_mm").min(),
        **_TRAVEL,
    ),
    *pair(
        "travel_start_mm",
        "{axle} travel at the start",
        lambda run, axle: run.of(axle, "travel_mm")[0],
        wording="{axle} travel at the start",
        **_TRAVEL,
    ),
    *pair(
        "travel_end_mm",
        "{axle} travel at the end: what it swings about, as `pitch_end_deg`",
        lambda run, axle: settled(run, f"{SIDES[axle]}_travel_mm"),
        **_TRAVEL,
    ),
    *pair(
        "travel_change_mm",
        "{axle} travel at the end less that at the start; positive is further compressed",
        lambda run, axle: settled(run, f"{SIDES[axle]}_travel_mm") - run.of(axle, "travel_mm")[0],
        wording="change of {axle} travel",
        **_TRAVEL,
    ),
    *pair(
        "travel_swing_mm",
        "how far the {axle} travel still swings at the end, either way",
        lambda run, axle: swing(run.times, run.of(axle, "travel_mm")),
        better=Better.LESS,
        wording="swing of the {axle} travel at the end",
        **_TRAVEL,
    ),
    Quantity(
        "wheelbase_change_mm",
        "distance of the wheel centres at the end less that at the start, as `pitch_end_deg`; overdrive "
        "stretches it",
        lambda run: settled(run, "wheelbase_mm") - run["wheelbase_mm"][0],
        kind=Kind.TRAVEL,
        wording="change of the wheelbase",
    ),
    Quantity(
        "wheelbase_change_peak_mm",
        "likewise where it is largest, with its sign",
        lambda run: peak(run["wheelbase_mm"] - run["wheelbase_mm"][0]),
        kind=Kind.TRAVEL,
        wording="largest change of the wheelbase",
    ),
]
