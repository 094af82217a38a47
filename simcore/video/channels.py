"""The channels of a log: what the dots' places say of pitch, place, speed and axle rises, frame by frame."""

import dataclasses
from collections.abc import Mapping

import numpy as np
import pandas as pd

from simcore.files.dots import Dots
from simcore.units import column_factor
from simcore.video.body import Body, Series
from simcore.video.follow import Paths
from simcore.video.smooth import SPAN, at_start, noise, rate
from simcore.video.view import Places, View, body_of, guide_dots, mean_path
from simcore.video.way import way

MEANING = {
    "time_s": "time since the first frame",
    "pitch_deg": "rotation of the chassis, nose-up positive: since the bench, as in a run, where level and "
    "places of two chassis dots are known, else since the first frame",
    "speed_m_per_s": f"rate of place, over {SPAN:g} s",
    "place_mm": "way covered along the ground since the first frame, forward positive: mean of the axles, "
    "else the chassis'",
    "rear_rise_mm": "rise of the rear axle's dot towards the chassis since the first frame, at right angles "
    "to the chassis' bench level",
    "front_rise_mm": "the same of the front axle's dot",
}
"""Columns of the log; each is there where the dots for it are, and empty where one of them was lost."""


@dataclasses.dataclass(frozen=True)
class Channels:
    """The log.

    Attributes
    ----------
    table : columns as in `MEANING`
    noise : column to the standard deviation of its noise, in its unit
    absolute : whether pitch counts from the bench, as a run's, and not from the first frame
    remarks : what a reader should know
    """

    table: pd.DataFrame
    noise: Mapping[str, float]
    absolute: bool
    remarks: tuple[str, ...]


def channels(paths: Paths, view: View, known: Dots, at: Places, slope: float | None) -> Channels:
    """Work out the log; parameters as of `view_of`, whose result `view` is."""
    found: dict[str, Series] = {}
    remarks: list[str] = []
    chassis = body_of("chassis", paths, known, at, view.plane)
    placed = sum(dot.name in at for dot in known.on("chassis")) >= 2
    absolute = placed and view.level_from is not None
    if chassis is not None:
        start = 0.0 if absolute else at_start(paths.times, chassis.angle)
        found["pitch_deg"] = chassis.angle - start
    place = _place(paths, view, known, slope, remarks)
    speed, gain = rate(paths.times, place)
    found |= {"speed_m_per_s": speed, "place_mm": place}
    if chassis is not None and placed:
        found |= _rises(paths, view, known, chassis)
    elif any(dot.on != "chassis" for dot in known.dots):
        remarks.append("no rise of an axle: it takes two dots on the chassis whose places (`at`) are known")
    if chassis is None:
        remarks.append("no pitch: it takes two dots on the chassis that are seen in one frame")
    own = {name: noise(paths.times, values) for name, values in found.items()}
    own["speed_m_per_s"] = gain * own["place_mm"]
    columns = {name: found[name] * column_factor(name) for name in MEANING if name in found}
    table = pd.DataFrame({"time_s": paths.times, **columns})
    scaled = {name: own[name] * column_factor(name) for name in columns}
    return Channels(table, scaled, absolute, tuple(remarks))


def _place(paths: Paths, view: View, known: Dots, slope: float | None, remarks: list[str]) -> Series:
    """Way along the ground since the start, m: of each axle by itself, then their mean."""
    axles = [[dot.name for dot in known.on(body)] for body in ("rear", "front")]
    groups = [names for names in axles if names] or [guide_dots(known)]
    if not any(axles):
        remarks.append("place is that of the chassis' dots, which pitch moves too: no dot on an axle")
    plane_slope = slope if view.level_from is not None else None
    ways = []
    for names in groups:
        path = mean_path(names, paths, view.plane)
        if not np.isfinite(path).any():
            return np.full(len(paths.times), np.nan)
        along, straight = way(path, plane_slope)
        if not straight:
            remarks.append(f"the way of {' and '.join(names)} is bent: place is the length of it, evened out")
        ways.append(along)
    place = np.mean(ways, axis=0)
    return place - at_start(paths.times, place)


def _rises(paths: Paths, view: View, known: Dots, chassis: Body) -> dict[str, Series]:
    """Rise of each axle that has a dot, as seen from the chassis, m."""
    found = {}
    for body in ("rear", "front"):
        names = [dot.name for dot in known.on(body)]
        if names:
            height = chassis.from_it(mean_path(names, paths, view.plane))[:, 1]
            found[f"{body}_rise_mm"] = height - at_start(paths.times, height)
    return found
