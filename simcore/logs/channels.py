"""Quantities that a log may hold, each with its sign and reference, and what a run says of it."""

import dataclasses
from collections.abc import Callable
from functools import partial

import numpy as np
import numpy.typing as npt

from simcore.results.motion import places
from simcore.results.run import Run
from simcore.units import COLUMN_UNITS, column_unit

Series = npt.NDArray[np.float64]
TIME = "time_s"
TIME_MEANING = "time, rising from row to row; 0 is the start of the run, unless `time_offset` is freed"


@dataclasses.dataclass(frozen=True)
class Channel:
    """One quantity of a log.

    Attributes
    ----------
    name : of its column; ends in the unit
    meaning : what it is, with its sign and what it counts from
    label : what to call it in a sentence
    finest : smallest noise that is believed, in its unit: below it a run's own steps show
    compute : gives it from a run, one value a row of its series, in the unit of the name
    """

    name: str
    meaning: str
    label: str
    finest: float
    compute: Callable[[Run], Series]

    @property
    def unit(self) -> str:
        """Bench unit."""
        return column_unit(self.name)

    @property
    def bare(self) -> str:
        """Name without its unit."""
        return without_unit(self.name)


def without_unit(name: str) -> str:
    """A column's name without the unit at its end."""
    end = max((end for end in COLUMN_UNITS if name.endswith(end)), key=len, default="")
    return name.removesuffix(end)


def _column(name: str, run: Run) -> Series:
    return run.series[name].to_numpy(float)


def _rise(axle: str, run: Run) -> Series:
    """Way of the wheels' centre along the chassis' own upward axis, from the chassis' centre of mass, mm."""
    body = f"{axle}_axle"
    x, z = places(run.series, run.motion, body, run.outline[body]["wheel_centre"])
    x0, z0 = places(run.series, run.motion, "chassis", (0.0, 0.0))
    turn = np.radians(_column("pitch_deg", run))
    height = np.cos(turn) * (z - z0) - np.sin(turn) * (x - x0)
    return np.asarray(height - height[0])


def _from(name: str, meaning: str, label: str, finest: float, source: str = "") -> Channel:
    """A channel that is a column of the series."""
    return Channel(name, meaning, label, finest, partial(_column, source or name))


CHANNELS = {
    channel.name: channel
    for channel in (
        _from(
            "pitch_deg",
            "rotation of the chassis, nose-up positive, absolute: 0 as the rig stands on the level bench, so "
            "about 15 at the start of a slope of 15 deg; where a log counts from its own start, free "
            "`offset:pitch`",
            "pitch",
            1e-3,
        ),
        _from(
            "pitch_rate_deg_per_s",
            "rate of pitch, nose-up positive; a gyro's own bias is `offset:pitch_rate`",
            "pitch rate",
            1e-2,
        ),
        *(
            _from(
                f"{axle}_travel_mm",
                f"travel of the {axle} shocks along their own line, compressed from full extension, positive",
                f"{axle} shock travel",
                1e-3,
            )
            for axle in ("rear", "front")
        ),
        _from(
            "speed_m_per_s",
            "speed along the ground, mean of both axles, forward positive",
            "ground speed",
            1e-4,
        ),
        _from(
            "place_mm",
            "way covered along the ground since the start, mean of both axles, forward positive",
            "way covered",
            1e-2,
            "distance_mm",
        ),
        *(
            Channel(
                f"{axle}_rise_mm",
                f"rise of the {axle} axle's centre towards the chassis since the start, at right angles to "
                "the chassis' bench level; positive as the shocks compress",
                f"rise of the {axle} axle",
                1e-3,
                partial(_rise, axle),
            )
            for axle in ("rear", "front")
        ),
    )
}
"""Every channel by its name."""


def channel_named(text: str) -> Channel | None:
    """The channel of a name, with or without its unit; None if there is none."""
    name = text.strip()
    return CHANNELS.get(name) or next((one for one in CHANNELS.values() if one.bare == name), None)
