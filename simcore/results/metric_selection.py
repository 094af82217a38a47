"""Which metrics are worth a picture or a line on the screen, and which share a panel."""

import math
from collections.abc import Mapping, Sequence
from typing import Any

import pandas as pd

from simcore.results.catalogue import CATALOGUE, just_seen, of_group
from simcore.results.metrics import STATE_SHARES, Summary
from simcore.results.quantities import Group, Kind
from simcore.rig.masses import SIDES

WORTH = (
    *("pitch_rise_deg", "pitch_end_deg", "rear_squat_mm", "rear_lift_mm", "front_squat_mm", "front_lift_mm"),
    *("rear_travel_end_mm", "front_travel_end_mm", "front_load_mean_N", "rear_thrust_mean_N"),
    *("front_thrust_mean_N", "distance_mm", "rear_spinning_s", "front_off_ground_s"),
)
MOST, FEWEST = 6, ("pitch_rise_deg", "rear_squat_mm")
MOST_TOLD = 8  # lines of a table that is read at a glance
ALWAYS = ("done_s", "stopping_mm", "ended", "time_s", "distance_mm")  # of a run, whatever moved
FROM_REST = (
    *("pitch_rise_deg", "pitch_dive_deg", "rear_squat_mm", "rear_lift_mm", "front_squat_mm", "front_lift_mm"),
    *("front_off_ground_s", "rear_off_ground_s", "front_spinning_s", "rear_spinning_s"),
    *("front_on_bump_stop_s", "front_on_droop_stop_s", "rear_on_bump_stop_s", "rear_on_droop_stop_s"),
    *("skid_time_s", "front_load_cg_shift_g"),
)
"""Metrics that are nought as long as the rig stands as it started."""
OF_SUPPORT = ("support_shows", "support_pitch_deg", "support_rear_travel_mm", "support_front_travel_mm")
"""What support does, where that was asked for."""
FROM_START = {"front_load_low_N": "front_load_N", "rear_load_low_N": "rear_load_N"}
"""Metrics that are then what a column of the series begins with."""
UNTOLD = (
    STATE_SHARES
    | {f"{axle}_slip_peak_pct" for axle in SIDES}
    | (of_group(Group.JOB) - {"done_s", "stopping_mm"})
    | {"side_load_mean_N"}
)
"""Not at a glance: why support is not seen has a picture; a tyre that starts slips much for an instant; the
job stands in the headline; of the load that a side view leaves out there is a remark.
"""


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


def _about(name: str) -> tuple[object, ...]:
    """What a metric is about; of several about the same, one is enough at a glance.

    Squat, lift and travel at the end are all about one end's travel; times are each about something else.
    """
    metric = CATALOGUE[name]
    if metric.kind is Kind.TIME or metric.text:
        return (name,)
    side = next((side for side in SIDES if side in name.split("_")), "")
    return metric.group, metric.kind, side


def _rank(name: str) -> int:
    """How it ended comes first, then what is seen of the rig itself, then all else."""
    metric = CATALOGUE[name]
    if metric.group is Group.END:
        return 0
    return 1 if isinstance(metric.kind.seen, str) else 2


def _most_telling(
    changes: Mapping[str, float], visible: Mapping[str, float], first: Sequence[str]
) -> list[str]:
    """Metrics whose change is visible: `first`, then the rest, of each subject the one that changes most.

    Changes are measured by the smallest visible one. A metric without such a measure is not told unless it is
    named; one whose change is infinite (other codes) always is.
    """
    sizes = {}
    for name, change in changes.items():
        seen = just_seen(name, visible)
        size = change / seen if seen else change if math.isinf(change) else 0.0
        if size >= 1.0 and name not in UNTOLD and CATALOGUE[name].group is not Group.AUDIT:
            sizes[name] = size
    told = [name for name in dict.fromkeys(first) if name in changes]  # that they do not differ is told too
    known = {_about(name) for name in told}
    for name in sorted(sizes, key=lambda name: (_rank(name), -sizes[name])):
        if len(told) >= MOST_TOLD:
            break
        if _about(name) not in known:
            told.append(name)
            known.add(_about(name))
    return told


def telling_differences(
    summaries: Sequence[Summary], visible: Mapping[str, float], first: Sequence[str] = ()
) -> list[str]:
    """The few metrics in which cases differ visibly, the most telling ones first.

    Parameters
    ----------
    summaries : of the cases
    visible : smallest visible difference, by "deg" and "mm"
    first : those that the file names; they come first, however little they differ
    """
    names = dict.fromkeys(key for summary in summaries for key in summary)
    apart = {name: _apart([summary.get(name) for summary in summaries]) for name in names}
    return _most_telling(apart, visible, first)


def _apart(values: Sequence[Any]) -> float:
    """Highest less lowest of the numbers there are; infinite for codes that are not all the same."""
    known = [value for value in values if value is not None]
    if any(isinstance(value, str) for value in known):
        return math.inf if len(set(known)) > 1 else 0.0
    return float(max(known) - min(known)) if known else 0.0


def telling_of_run(
    summary: Summary, start: Mapping[str, float], visible: Mapping[str, float], first: Sequence[str] = ()
) -> list[str]:
    """The few metrics of a run that say how it ended and what moved visibly since it stood, likewise.

    Parameters
    ----------
    summary : of the run, with the effect of its support if that was asked for
    start : first row of its series
    visible, first : as for `telling_differences`
    """
    changes = {
        name: math.inf if isinstance(summary[name], str) else abs(summary[name])
        for name in (*FROM_REST, *OF_SUPPORT)
        if summary.get(name) is not None
    }
    changes |= {name: abs(summary[name] - start[column]) for name, column in FROM_START.items()}
    of_support = [
        name for name in OF_SUPPORT if name in changes and changes[name] >= just_seen(name, visible)
    ]
    changes |= {name: math.inf for name in (*ALWAYS, *first) if summary.get(name) is not None}
    return _most_telling(changes, visible, (*ALWAYS, *of_support, *first))
