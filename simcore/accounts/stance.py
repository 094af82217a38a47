"""How the rig stands over its ground at every instant: line of the ground, whole centre of mass, wheels."""

import dataclasses
from typing import Any

import numpy as np
import numpy.typing as npt

from simcore.compiled import PlaceRecord
from simcore.solve.trace import Trace, once

Series = npt.NDArray[np.float64]
NEAR = 0.4  # of the wheelbase; feet nearer together than this give no line


def cross(a: Series, b: Series) -> Series:
    """Moment of b at lever a, both (2, n) vectors along x and z; nose-up positive."""
    return np.asarray(a[0] * b[1] - a[1] * b[0])


def dot(a: Series, b: Series) -> Series:
    """Scalar product of two (2, n) vectors."""
    return np.asarray(a[0] * b[0] + a[1] * b[1])


def normal_to(along: Series) -> Series:
    """The (2, n) direction a quarter turn nose-up from another."""
    return np.stack([-along[1], along[0]])


def vector(record: npt.NDArray[Any]) -> Series:
    """(2, n) array of a series of records with x and z."""
    return np.stack([record["x"], record["z"]])


@once
def bodies(trace: Trace) -> list[tuple[float, float, Series, Series, Series]]:
    """Mass, pitch inertia, place, acceleration and angular acceleration of chassis, rear and front axle."""
    rig, rows = trace.model.rig, []
    for k in range(3):
        body = rig.chassis if k == 0 else rig.axle[k - 1].body
        pose, pushed = trace.states["pose"][:, k], trace.ledgers["acceleration"][:, k]
        rows.append((float(body.mass), float(body.inertia), vector(pose), vector(pushed), pushed["angle"]))
    return rows


def arm_of(trace: Trace, body: int, place: PlaceRecord) -> Series:
    """Lever of a point fixed to a body from its centre of mass, world axes, (2, n)."""
    angle = trace.states["pose"][:, body]["angle"]
    c, s = np.cos(angle), np.sin(angle)
    return np.stack([c * place.x - s * place.z, s * place.x + c * place.z])


def point_of(trace: Trace, body: int, place: PlaceRecord) -> Series:
    """Where a point fixed to a body is, (2, n)."""
    return np.asarray(vector(trace.states["pose"][:, body]) + arm_of(trace, body, place))


@once
def wheel_centre(trace: Trace, i: int) -> Series:
    """Wheel centre of axle i."""
    return point_of(trace, 1 + i, trace.model.rig.axle[i].centre)


@once
def tyre_force(trace: Trace, i: int) -> tuple[Series, Series]:
    """Force of the ground on axle i's tyres, and the point where it acts: the rolling radius below the wheel
    centre.
    """
    tyre = trace.part(i, "tyre")
    normal, along = vector(tyre["contact"]["normal"]), vector(tyre["contact"]["along"])
    return tyre["load"] * normal + tyre["thrust"] * along, wheel_centre(trace, i) - tyre[
        "rolling_radius"
    ] * normal


@once
def skid_forces(trace: Trace) -> list[tuple[Series, Series]]:
    """Force of the ground on each skid, and the point where it acts."""
    found = []
    for i, skid in enumerate(trace.model.rig.skid):
        if skid.present:
            led = trace.ledgers["skid"][:, i]
            normal, along = vector(led["contact"]["normal"]), vector(led["contact"]["along"])
            low = point_of(trace, 0, skid.place) - skid.radius * normal
            found.append((led["load"] * normal - led["drag"] * along, low))
    return found


@once
def _ground_slope(trace: Trace) -> Series:
    rear, front = (trace.part(i, "tyre", "contact") for i in range(2))
    line = vector(front["foot"]) - vector(rear["foot"])
    along = vector(rear["along"]) + vector(front["along"])
    span = np.hypot(*np.subtract(*trace.model.bench.centres))
    near = dot(line, along) < NEAR * span * np.hypot(*along) / 2.0
    return np.where(near, np.arctan2(along[1], along[0]), np.arctan2(line[1], line[0]))


@once
def _mean(trace: Trace, k: int) -> Series:
    """Mean over the masses of one of what `bodies` gives."""
    rows = bodies(trace)
    return np.asarray(sum(row[0] * row[k] for row in rows) / sum(mass for mass, *_ in rows))


@once
def _height(trace: Trace, whole: bool) -> Series:
    """Height of the centre of mass of the whole rig, or of the chassis, over the ground line."""
    ground, foot = _ground_slope(trace), vector(trace.part(0, "tyre", "contact")["foot"])
    place = _mean(trace, 2) if whole else bodies(trace)[0][2]
    return dot(place - foot, np.stack([-np.sin(ground), np.cos(ground)]))


@once
def _span(trace: Trace) -> Series:
    return np.hypot(*(wheel_centre(trace, 1) - wheel_centre(trace, 0)))


@dataclasses.dataclass(frozen=True)
class Stance:
    """Places and accelerations of a run, world axes, SI, each worked out when it is first asked for; vectors
    are (2, n) along x and z.

    Attributes
    ----------
    trace : of the run
    """

    trace: Trace

    @property
    def ground(self) -> Series:
        """Slope of the line through the ground points of both axles, (n,)."""
        return _ground_slope(self.trace)

    @property
    def cg(self) -> Series:
        """Centre of mass of the whole rig."""
        return _mean(self.trace, 2)

    @property
    def cg_acceleration(self) -> Series:
        """Acceleration of that."""
        return _mean(self.trace, 3)

    @property
    def centres(self) -> tuple[Series, Series]:
        """Wheel centres of both axles, rear first."""
        return wheel_centre(self.trace, 0), wheel_centre(self.trace, 1)

    @property
    def contacts(self) -> tuple[Series, Series]:
        """Points where the thrust acts, at the rolling radius below the wheel centres."""
        return tyre_force(self.trace, 0)[1], tyre_force(self.trace, 1)[1]

    @property
    def cg_height(self) -> Series:
        """Height of the whole centre of mass over the ground line, (n,)."""
        return _height(self.trace, True)

    @property
    def chassis_height(self) -> Series:
        """Height of the sprung mass's centre over it, (n,)."""
        return _height(self.trace, False)

    @property
    def span(self) -> Series:
        """Distance of the wheel centres, (n,)."""
        return _span(self.trace)
