"""Which metrics of many runs are worth a picture, and which share a panel."""

from collections.abc import Mapping, Sequence

import pandas as pd

from simcore.results.catalogue import CATALOGUE, just_seen

WORTH = (
    *("pitch_rise_deg", "pitch_end_deg", "rear_squat_mm", "rear_lift_mm", "front_squat_mm", "front_lift_mm"),
    *("rear_travel_end_mm", "front_travel_end_mm", "front_load_mean_N", "rear_thrust_mean_N"),
    *("front_thrust_mean_N", "distance_mm", "rear_spinning_s", "front_off_ground_s"),
)
MOST, FEWEST = 6, ("pitch_rise_deg", "rear_squat_mm")


def spread(values: pd.Series) -> float:
    """Highest less lowest of the numbers there are; 0 without any."""
    known = values.dropna()
    return float(known.max() - known.min()) if len(known) else 0.0


def shown_of(table: pd.DataFrame, wanted: Sequence[str]) -> list[str]:
    """Metrics to draw of a table: those that are wanted and there, else those that change."""
    return [key for key in wanted if key in table] or default_shown(table)


def default_shown(table: pd.DataFrame) -> list[str]:
    """Metrics that change over the runs of a table by more than anybody overlooks, at most six."""
    found = [key for key in WORTH if key in table and spread(table[key]) > CATALOGUE[key].kind.noise]
    return found[:MOST] or [key for key in FEWEST if key in table]


def in_panels(shown: Sequence[str]) -> dict[str, list[str]]:
    """Axis label to the metrics that share a panel, in the order of their first ones."""
    panels: dict[str, list[str]] = {}
    for key in shown:
        panels.setdefault(CATALOGUE[key].noun, []).append(key)
    return panels


def first_seen(changes: Mapping[str, float], visible: Mapping[str, float]) -> str:
    """The first of some metrics whose change is visible, empty if none is; whoever lists them, ranks them."""
    return next((key for key, change in changes.items() if change >= max(just_seen(key, visible), 1e-12)), "")
