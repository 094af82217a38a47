"""Film of a run: what a moving drawing needs at some of its instants, packed small enough to stand in a page.

Frames are rows of the run's own series. They lie on an even raster, and where the motion or a tyre load
between two of them is not straight, more lie between. A frame's numbers become whole multiples of a quantum,
each frame the difference to the one before; the bytes of one weight stand together (differences are small, so
most are nought), deflated, as text.

Packed form, for whoever unpacks it: differences modulo 2³² in zigzag order (0, -1, 1, -2, ... as 0, 1, 2, 3,
...), one channel after the other; first the lowest bytes of all, then the next; raw deflate (RFC 1951);
Base64 (RFC 4648).
"""

import base64
import math
import zlib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np
import numpy.typing as npt
import pandas as pd

from simcore.files.rig import Rig
from simcore.results.motion import BODIES, places
from simcore.results.run import Run
from simcore.rig.masses import SIDES, static_pose
from simcore.views.sketch import chassis_corners

Rows = npt.NDArray[np.intp]
Series = npt.NDArray[np.float64]
FASTEST, MOST = 100.0, 400  # frames a second, frames of the raster; the first of them that is reached holds
STRAIGHT = 0.05  # mm, by which a straight line between two frames may miss what is drawn
EVEN = 0.01  # of the load on all tyres at the start, by which it may miss the load on an axle's tyres
MISSING = -(2**31)  # a whole number that no frame reaches; it stands for "not known"
PLACE, TURN, LEVER = 0.02, 0.005, 0.05  # quanta of places in mm, turns in deg, angles of forces in deg
FORCE = 0.005  # N, half a gram

QUANTA: dict[str, float] = {
    "time_s": 1e-4,
    "distance_mm": 0.05,
    "speed_m_per_s": 1e-3,
    "pitch_to_ground_deg": TURN,
    "chassis_x_mm": PLACE,
    "chassis_z_mm": PLACE,
    "pitch_deg": TURN,
    "unmoved_x_mm": PLACE,
    "unmoved_z_mm": PLACE,
    "unmoved_turn_deg": TURN,
    **{f"{body}_{k}_mm": PLACE for body in BODIES for k in "xz"},
    **{f"{body}_turn_deg": TURN for body in BODIES},
    **{f"{axle}_wheel_turn_deg": LEVER for axle in SIDES},
    **{f"{axle}_foot_{k}_mm": PLACE for axle in SIDES for k in "xz"},
    **{f"{axle}_{force}_direction_deg": LEVER for axle in SIDES for force in ("load", "thrust")},
    **{f"{axle}_travel_mm": 0.01 for axle in SIDES},
    **{
        f"{axle}_{force}_N": FORCE
        for axle in SIDES
        for force in ("load", "thrust", "shock_force", "lower_link", "upper_link")
    },
}
"""Channels of a film, and of what each number is a whole multiple."""


@dataclass(frozen=True)
class Film:
    """Frames of a run.

    Attributes
    ----------
    rows : (n,) which rows of the run's series they are
    step : s, distance of the raster on which most of them lie
    table : what is at them; columns as in `QUANTA`, bench units
    """

    rows: Rows
    step: float
    table: pd.DataFrame


def film(run: Run, wanted: Iterable[int] = (), step: float | None = None) -> Film:
    """Frames of a run.

    Parameters
    ----------
    run : fresh or read from a folder
    wanted : rows that must be among them
    step : s, of the raster; that of `step_for` this run alone where none is given
    """
    every = channels(run)
    step = step_for([run]) if step is None else step
    rows = _rows(every, _reach(run), wanted, step)
    return Film(rows, step, every.iloc[rows].reset_index(drop=True))


def step_for(runs: Iterable[Run]) -> float:
    """Step of the raster on which films of some runs have frames in common, s."""
    times = [run.series["time_s"].to_numpy(float) for run in runs]
    longest, apart = max(float(one[-1]) for one in times), max(_apart(one) for one in times)
    return apart * max(1, math.ceil(max(1.0 / FASTEST, longest / MOST) / apart - 1e-6))


def _apart(times: Series) -> float:
    """Time between two rows of a series, s."""
    return float(np.median(np.diff(times))) if len(times) > 1 else 1.0 / FASTEST


def channels(run: Run) -> pd.DataFrame:
    """What a film shows, at every row of a run; columns as in `QUANTA`."""
    tables = (run.series, run.motion, unmoved(run.scenario.rig, run.outline, run.series, run.motion))
    shown = [table[[name for name in QUANTA if name in table.columns]] for table in tables]
    return pd.concat(shown, axis=1)[list(QUANTA)]


def unmoved(rig: Rig, outline: Mapping[str, Any], series: pd.DataFrame, motion: pd.DataFrame) -> pd.DataFrame:
    """Where the chassis would be had nothing moved on its suspension: centre of mass and turn, at every row.

    The rig as it stands on the bench at its ride height, on level ground, laid rigidly on the wheels: the
    line from rear to front wheel centre of the bench on that of the run, middle on middle. So it goes and
    tilts with the wheels; what the drawn chassis is off it, links, springs and axle turns have done.

    Parameters
    ----------
    rig, outline, series, motion : of a run; of the last two any rows, the same ones
    """
    bench = static_pose(rig, rig.name)
    hubs, stood = [], []
    for axle, body in zip(SIDES, bench.axles, strict=True):
        centre = outline[f"{axle}_axle"]["wheel_centre"]
        hubs.append(places(series, motion, f"{axle}_axle", centre))
        stood.append((1e3 * body.x + centre[0], 1e3 * body.z + centre[1]))
    (rear, front), (stood_rear, stood_front) = hubs, stood
    turn = np.unwrap(np.arctan2(front[1] - rear[1], front[0] - rear[0]))
    turn = turn - math.atan2(stood_front[1] - stood_rear[1], stood_front[0] - stood_rear[0])
    x = 1e3 * bench.chassis.x - 0.5 * (stood_rear[0] + stood_front[0])
    z = 1e3 * bench.chassis.z - 0.5 * (stood_rear[1] + stood_front[1])
    return pd.DataFrame(
        {
            "unmoved_x_mm": 0.5 * (rear[0] + front[0]) + np.cos(turn) * x - np.sin(turn) * z,
            "unmoved_z_mm": 0.5 * (rear[1] + front[1]) + np.sin(turn) * x + np.cos(turn) * z,
            "unmoved_turn_deg": np.degrees(turn),
        }
    )


# --- which instants ---


def _reach(run: Run) -> dict[str, float]:
    """How far from its centre of mass a body is drawn, mm."""
    reach = {"chassis": float(np.hypot(*chassis_corners(run.outline["chassis"]).T).max())}
    for body in BODIES:
        own = run.outline[body]
        drawn = [own["wheel_centre"], *own["link_pins"], own["shock_link_pins"][1]]
        reach[body] = max(math.hypot(*point) for point in drawn)
    return reach


def _rows(every: pd.DataFrame, reach: Mapping[str, float], wanted: Iterable[int], step: float) -> Rows:
    """Rows of the frames: nearest to the raster, the wanted ones, and what else the motion asks for."""
    times = every["time_s"].to_numpy(float)
    last = len(times) - 1
    stride = max(1, round(step / _apart(times)))
    rows = np.unique([*range(0, last + 1, stride), last, *wanted])
    poses, loads = _poses(every), every[[f"{axle}_load_N" for axle in SIDES]].to_numpy(float)
    whole = max(float(loads[0].sum()), FORCE)
    while True:
        missed = _missed(times, poses, reach, rows) / STRAIGHT
        for load in loads.T:
            off = np.abs(np.interp(times, times[rows], load[rows]) - load)
            missed = np.maximum(missed, off / (EVEN * whole))
        between = _worst(missed, rows)
        if not len(between):
            return rows
        rows = np.union1d(rows, between)


def _poses(every: pd.DataFrame) -> dict[str, Series]:
    """Columns x, z, turn in radians of each body, (n, 3)."""
    found = {}
    for body in ("chassis", *BODIES):
        names = [f"{body}_x_mm", f"{body}_z_mm", "pitch_deg" if body == "chassis" else f"{body}_turn_deg"]
        found[body] = every[names].to_numpy(float) * [1.0, 1.0, math.pi / 180.0]
    return found


def _missed(times: Series, poses: Mapping[str, Series], reach: Mapping[str, float], rows: Rows) -> Series:
    """By how much straight lines between frames miss what is drawn, mm, (n,)."""
    missed = np.zeros(len(times))
    for body, pose in poses.items():
        drawn = np.stack([np.interp(times, times[rows], pose[rows, k]) for k in range(3)], axis=1)
        x, z, turn = np.abs(drawn - pose).T
        missed = np.maximum(missed, np.hypot(x, z) + reach[body] * turn)
    return missed


def _worst(missed: Series, rows: Rows) -> Rows:
    """Of what is missed by more than 1: the worst row between each two frames."""
    worst = np.maximum.reduceat(missed, rows)
    after = np.searchsorted(rows, np.arange(len(missed)), side="right") - 1
    first = np.flatnonzero((missed == worst[after]) & (missed > 1.0))
    return first[np.unique(after[first], return_index=True)[1]]


# --- packing ---


def packed(table: pd.DataFrame) -> dict[str, Any]:
    """A film's table as what stands in a page: number of frames, and the text; its channels are `QUANTA`."""
    steps = np.diff(_whole(table[list(QUANTA)].to_numpy(float).T), axis=1, prepend=0)
    wrapped = steps.astype(np.int32)  # modulo 2^32
    zigzag = ((wrapped << 1) ^ (wrapped >> 31)).astype("<u4")
    planes = zigzag.reshape(-1, 1).view(np.uint8).T
    deflated = zlib.compress(planes.tobytes(), level=9, wbits=-15)
    return {
        "frames": len(table),
        "data": base64.b64encode(deflated).decode("ascii"),
    }


def unpacked(film: Mapping[str, Any]) -> pd.DataFrame:
    """The table that was packed, to half a quantum."""
    planes = np.frombuffer(zlib.decompress(base64.b64decode(film["data"]), wbits=-15), np.uint8)
    zigzag = planes.reshape(4, -1).T.copy().view("<u4").reshape(len(QUANTA), film["frames"])
    steps = (zigzag >> 1) ^ -(zigzag & 1)
    whole = np.cumsum(steps, axis=1, dtype=np.uint32).astype(np.int32)
    quanta = np.array([[quantum] for quantum in QUANTA.values()])
    return pd.DataFrame(np.where(whole == MISSING, np.nan, whole * quanta).T, columns=list(QUANTA))


def _whole(values: Series) -> npt.NDArray[np.int64]:
    """Channels, (n, frames), as whole multiples of their quanta."""
    multiples = np.rint(values / np.array([[quantum] for quantum in QUANTA.values()]))
    known = np.isfinite(multiples)
    return np.where(
        known, np.clip(np.where(known, multiples, 0.0), MISSING + 1, -MISSING - 1), MISSING
    ).astype(np.int64)
