"""Which figures of many runs are worth a picture, what they are called, and which share a panel."""

import math
from collections.abc import Mapping, Sequence

import pandas as pd

from simcore.units import COLUMN_UNITS, column_unit

WORTH = (
    *("pitch_rise_deg", "pitch_end_deg", "rear_squat_mm", "rear_lift_mm", "front_squat_mm", "front_lift_mm"),
    *("rear_travel_end_mm", "front_travel_end_mm", "front_load_mean_N", "rear_thrust_mean_N"),
    *("front_thrust_mean_N", "distance_mm", "rear_spinning_s", "front_off_ground_s"),
)
FAR = 5.0  # mm, of ways along the ground
NOISE = {"deg": 0.05, "mm": 0.1, "N": 0.05, "g": 1.0, "s": 0.02, "%": 1.0}  # changes that nobody looks for
MOST, FEWEST = 6, ("pitch_rise_deg", "rear_squat_mm")
NOUNS = {
    "pitch": "pitch",
    "squat": "shock travel",
    "lift": "shock travel",
    "travel": "shock travel",
    "load": "load",
    "thrust": "thrust",
    "spinning": "time",
    "off_ground": "time",
    "stop": "time",
}
DEGREE = "\N{DEGREE SIGN}"


def spread(values: pd.Series) -> float:
    """Highest less lowest of the numbers there are; 0 without any."""
    known = values.dropna()
    return float(known.max() - known.min()) if len(known) else 0.0


def shown_of(table: pd.DataFrame, wanted: Sequence[str]) -> list[str]:
    """Figures to draw of a table: those that are wanted and there, else those that change."""
    return [key for key in wanted if key in table] or default_shown(table)


def default_shown(table: pd.DataFrame) -> list[str]:
    """Figures that change over the runs of a table by more than anybody overlooks, at most six."""
    found = [key for key in WORTH if key in table and spread(table[key]) > NOISE[column_unit(key)]]
    return found[:MOST] or [key for key in FEWEST if key in table]


def words(key: str) -> str:
    """A figure's name without its unit: "rear travel at the end", "mean rear thrust"."""
    end = max((tail for tail in COLUMN_UNITS if key.endswith(tail)), key=len)
    name = key.removesuffix(end).replace("_", " ").replace("cg shift", "by CG shift")
    if name.endswith(" end"):
        return f"{name.removesuffix(' end')} at the end"
    for tail, word in (("mean", "mean"), ("low", "lowest"), ("peak", "highest")):
        if name.endswith(f" {tail}"):
            return f"{word} {name.removesuffix(tail).strip()}"
    return name


def noun(key: str) -> str:
    """What kind of figure it is, for the axis that it shares with others of its kind."""
    kind = next((name for word, name in NOUNS.items() if word in key), words(key))
    unit = column_unit(key)
    return f"share, {unit}" if unit == "%" else kind if unit == "1" else f"{kind}, {unit}"


def in_panels(shown: Sequence[str]) -> dict[str, list[str]]:
    """Axis label to the figures that share a panel, in the order of their first ones."""
    panels: dict[str, list[str]] = {}
    for key in shown:
        panels.setdefault(noun(key), []).append(key)
    return panels


def value_in_words(key: str, value: float) -> str:
    """A figure with its unit, short: "1.2°", "13 mm"."""
    if not math.isfinite(value):
        return "none"
    unit, size = column_unit(key), abs(value)
    digits = 0 if size >= 99.5 else 1 if size >= 0.95 else 2
    text = f"{round(value, digits) + 0.0:.{digits}f}".replace("-", "\N{MINUS SIGN}")
    return text + (DEGREE if unit == "deg" else "" if unit == "1" else f" {unit}")


def seen_by(key: str, visible: Mapping[str, float]) -> float:
    """Smallest difference of a figure that counts as visible; what is no travel and no pitch: noise."""
    unit = column_unit(key)
    if unit == "mm":
        return visible["mm"] if noun(key).startswith("shock travel") else FAR
    return visible["deg"] if unit == "deg" else NOISE.get(unit, 0.0)


def first_seen(changes: Mapping[str, float], visible: Mapping[str, float]) -> str:
    """The first of some figures whose change is visible, empty if none is; whoever lists them, ranks them."""
    return next((key for key, change in changes.items() if change >= max(seen_by(key, visible), 1e-12)), "")
