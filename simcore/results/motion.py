"""What a moving picture of a run needs besides its series: where everything is, and what shape it has."""

import math
from typing import Any

import numpy as np
import numpy.typing as npt
import pandas as pd

from simcore.compiled import PlaceRecord
from simcore.files.rig import Rig
from simcore.results.quantities import Quantity
from simcore.rig.masses import SIDES
from simcore.solve.trace import Trace
from simcore.units import column_factor

Series = npt.NDArray[np.float64]
BEYOND = 0.5  # m, ground that is kept behind the rear and ahead of the front axle's way
BODIES = {"rear_axle": 1, "front_axle": 2}  # those of the chassis are in the series


def _turned(trace: Trace, axle: int) -> Series:
    """Turn of the wheels since the start, rad: their spin, summed by trapezoids over the rows."""
    spin = trace.states["spin"][:, axle]
    return np.concatenate([[0.0], np.cumsum(0.5 * (spin[1:] + spin[:-1]) * np.diff(trace.times))])


def _contact(trace: Trace, axle: int, field: str) -> npt.NDArray[Any]:
    return trace.part(axle, "tyre", "contact", field)


def _angle(vectors: npt.NDArray[Any]) -> Series:
    return np.arctan2(vectors["z"], vectors["x"])


BODY_COLUMNS = [
    Quantity("x_mm", "place of the body's centre of mass, forward", lambda pose: pose["x"]),
    Quantity("z_mm", "place of the body's centre of mass, upward", lambda pose: pose["z"]),
    Quantity("turn_deg", "turn of the body since the bench, nose-up positive", lambda pose: pose["angle"]),
]
WHEEL_COLUMNS = [
    Quantity("wheel_turn_deg", "turn of the wheels since the start, rolling forward positive", _turned),
    Quantity("foot_x_mm", "where the ground pushes, forward", lambda run, i: _contact(run, i, "foot")["x"]),
    Quantity("foot_z_mm", "where the ground pushes, upward", lambda run, i: _contact(run, i, "foot")["z"]),
    Quantity(
        "load_direction_deg",
        "direction of the load on the tyres, from forward to upward",
        lambda run, i: _angle(_contact(run, i, "normal")),
    ),
    Quantity(
        "thrust_direction_deg",
        "direction of a forward thrust, from forward to upward",
        lambda run, i: _angle(_contact(run, i, "along")),
    ),
    Quantity(
        "shock_direction_deg",
        "direction from the lower to the upper mount of the shocks, from forward to upward",
        lambda run, i: _angle(run.part(i, "shock", "along")),
    ),
]
MOTION = {
    **{f"{body}_{c.name}": f"{body.replace('_', ' ')}: {c.meaning}" for body in BODIES for c in BODY_COLUMNS},
    **{f"{axle}_{c.name}": f"{axle}: {c.meaning}" for axle in SIDES for c in WHEEL_COLUMNS},
}
"""Name of a column and what it means."""
MOTION_COLUMNS = list(MOTION)


def motion(trace: Trace, kept: npt.NDArray[np.bool_]) -> pd.DataFrame:
    """Places and directions of a run in bench units, a row an instant; columns as in `MOTION_COLUMNS`.

    Parameters
    ----------
    trace : of the whole run
    kept : (n,) which of its rows are wanted
    """
    found = {
        f"{body}_{column.name}": column.compute(trace.states["pose"][:, k]) * column_factor(column.name)
        for body, k in BODIES.items()
        for column in BODY_COLUMNS
    }
    found |= {
        f"{axle}_{column.name}": column.compute(trace, i) * column_factor(column.name)
        for i, axle in enumerate(SIDES)
        for column in WHEEL_COLUMNS
    }
    return pd.DataFrame({name: np.asarray(values)[kept] for name, values in found.items()})


def outline(trace: Trace, rig: Rig) -> dict[str, Any]:
    """Shape of rig and ground, mm: points [x, z] fixed to each body, from its centre of mass on the bench.

    Returns
    -------
    By body: `chassis` with link pins, upper shock mounts, skids and parts; both axles with link pins, wheel
    centre, tyre radius, the lower shock mount where it sits on the housing, the joints of a shaft whose
    friction is stated (the first one on the chassis), and parts. `ground`: corners of the surface around the
    rig's way.
    """
    record, scale = trace.model.rig, 1e3
    bodies = (trace.model.bench.chassis, *trace.model.bench.axles)

    def point(place: PlaceRecord) -> list[float]:
        return [float(place.x) * scale, float(place.z) * scale]

    def parts(on: str, body: int) -> list[dict[str, Any]]:
        x, z = bodies[body].x, bodies[body].z
        return [
            {
                "name": part.name,
                "at": [(place - own) * scale for place, own in zip(part.at, (x, z), strict=True)],
                "size": [length * scale for length in part.size] if part.size else None,
            }
            for part in rig.parts
            if part.on == on
        ]

    shape: dict[str, Any] = {
        "chassis": {
            "link_pins": {
                axle: [point(link.chassis) for link in record.axle[i].link] for i, axle in enumerate(SIDES)
            },
            "shock_mounts": {axle: point(record.axle[i].shock.chassis) for i, axle in enumerate(SIDES)},
            "skids": [
                {"at": point(skid.place), "radius": float(skid.radius) * scale}
                for skid in record.skid
                if skid.present
            ],
            "parts": parts("chassis", 0),
        }
    }
    for i, axle in enumerate(SIDES):
        own = record.axle[i]
        shape[f"{axle}_axle"] = {
            "arm": bool(own.arm),
            "link_pins": [point(link.axle) for link in own.link],
            "shock_fraction": float(own.shock.fraction),
            "shock_link_pins": [point(own.shock.link_pin), point(own.shock.axle)],
            "wheel_centre": point(own.centre),
            "tyre_radius": float(own.tyre.radius) * scale,
            "shaft_joints": [point(own.slide.chassis), point(own.slide.axle)] if own.slide.present else None,
            "parts": parts(axle, 1 + i),
        }
    return shape | {"ground": _ground(trace)}


def _ground(trace: Trace) -> list[list[float]]:
    """Corners of the surface, mm, from some way behind the rig's way to some way ahead of it."""
    pieces, poses = trace.model.pieces, trace.states["pose"]["x"]
    low, high = float(poses.min()) - BEYOND, float(poses.max()) + BEYOND
    corners = []
    for piece in pieces:
        x, z = float(piece["start"]["x"]), float(piece["start"]["z"])
        along_x, along_z = float(piece["along"]["x"]), float(piece["along"]["z"])
        ends = [-float(piece["behind"]), float(piece["length"])]
        if along_x > 1e-9:
            ends = [min(max((edge - x) / along_x, ends[0]), ends[1]) for edge in (low, high)]
        elif not low <= x <= high:
            continue
        if along_x <= 1e-9 or ends[1] > ends[0]:
            corners += [[x + way * along_x, z + way * along_z] for way in ends]
    kept = [corner for k, corner in enumerate(corners) if k == 0 or math.dist(corner, corners[k - 1]) > 1e-9]
    return [[x * 1e3, z * 1e3] for x, z in kept]


def places(series: pd.DataFrame, table: pd.DataFrame, body: str, at: npt.ArrayLike) -> tuple[Series, Series]:
    """Way of points of a body, x and z, mm: of one point (n,), of several (m, n), one value an instant.

    Parameters
    ----------
    series, table : of the same run and rows, the second one as `motion` gives it
    body : "chassis", "rear_axle" or "front_axle"
    at : (2,) or (m, 2), the points as in `outline`
    """
    whole = body == "chassis"
    turn = np.radians((series["pitch_deg"] if whole else table[f"{body}_turn_deg"]).to_numpy(float))
    x, z = ((series if whole else table)[f"{body}_{axis}_mm"].to_numpy(float) for axis in "xz")
    ahead, up = np.moveaxis(np.asarray(at, float)[..., np.newaxis], -2, 0)
    return x + np.cos(turn) * ahead - np.sin(turn) * up, z + np.sin(turn) * ahead + np.cos(turn) * up
