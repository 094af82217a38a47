"""The three bodies of a rig from its file, and where they are from the public columns of a run.

The table gives the chassis in full, but of an axle only its turn against the chassis: where it is follows
from the links, whose pins stand in the file. Places m, turns rad, nose-up positive; SI throughout.
"""

from dataclasses import dataclass

import numpy as np
from mujoco_rig import bench_centres, lower_mount

GRAVITY = 9.80665  # m/s^2
SIDES = ("rear", "front")


@dataclass(frozen=True)
class Body:
    """Mass, centre on the bench (2,), pitch inertia about it."""

    mass: float
    at: np.ndarray
    inertia: float

    @classmethod
    def of(cls, lumps):
        """Join lumps (mass, place, own inertia): masses add up, inertias by the parallel-axis theorem."""
        total = sum(mass for mass, _, _ in lumps)
        at = sum(mass * np.asarray(place, float) for mass, place, _ in lumps) / total
        return cls(total, at, sum(own + mass * np.sum((place - at) ** 2) for mass, place, own in lumps))


@dataclass(frozen=True)
class Motion:
    """A body over time: place (n, 2), turn since the bench (n,), their rates."""

    body: Body
    place: np.ndarray
    turn: np.ndarray
    velocity: np.ndarray
    spin: np.ndarray


def bodies_of(rig):
    """Chassis, rear axle, front axle with their wheels; links, shocks and shafts count half to either end.

    Wheels spin on their own, so they add nothing but their mass at the axle centre.
    """
    lumps = {"chassis": [(rig.chassis.mass, rig.chassis.cg, rig.chassis.pitch_inertia)]}
    for side, centre in zip(SIDES, bench_centres(rig), strict=True):
        axle = getattr(rig, side)
        housing, shock = axle.housing, axle.shock
        lumps[side] = [(housing.mass, housing.cg or centre, housing.pitch_inertia)]
        lumps[side].append((2.0 * axle.tyre.wheel_mass, centre, 0.0))
        between = [(2.0 * shock.mass, shock.chassis, lower_mount(shock, axle))]
        between += [(link.mass, link.chassis, link.axle) for link in (axle.lower_link, axle.upper_link)]
        joints = (axle.shaft.chassis, axle.shaft.axle) if axle.shaft else (rig.chassis.cg, centre)
        between.append((rig.driveline.shaft_mass, *joints))
        for mass, top, bottom in between:
            lumps["chassis"].append((mass / 2.0, top, 0.0))
            lumps[side].append((mass / 2.0, bottom, 0.0))
    for part in rig.parts:
        length, height = part.size or (0.0, 0.0)
        lumps[part.on].append((part.mass, part.at, part.mass * (length**2 + height**2) / 12.0))
    return [Body.of(lumps[name]) for name in ("chassis", *SIDES)]


def turned(turn, arm):
    """Arms (2,) turned by angles (n,), as (n, 2)."""
    c, s = np.cos(turn), np.sin(turn)
    return np.stack([c * arm[0] - s * arm[1], s * arm[0] + c * arm[1]], axis=-1)


def hubs(axle, centre, turn):
    """Axle centre (n, 2) in the bench axes of a chassis held still, the housing turned by (n,) against it.

    Each link holds the centre on a circle about its chassis pin less the turned way from centre to axle pin;
    of the two places where the circles cut, the one on the bench's side.
    """
    pins = [(np.array(link.chassis), np.array(link.axle)) for link in (axle.lower_link, axle.upper_link)]
    (one, r), (two, s) = ((top - turned(turn, pin - centre), np.linalg.norm(top - pin)) for top, pin in pins)
    between = two - one
    gap = np.linalg.norm(between, axis=-1, keepdims=True)
    along = between / gap
    across = np.stack([-along[:, 1], along[:, 0]], axis=-1)
    way = (gap**2 + r**2 - s**2) / (2.0 * gap)
    side = np.sign(np.sum((centre - one) * across, axis=-1, keepdims=True))
    return one + way * along + side * np.sqrt(r**2 - way**2) * across


def moved(body, place, turn, time):
    """A body with rates from differences of second order between the rows."""
    rate = [np.gradient(values, time, axis=0, edge_order=2) for values in (place, turn)]
    return Motion(body, place, turn, *rate)


def motions(rig, series):
    """Motion of chassis, rear and front axle, and of both wheel centres (n, 2), from the columns."""
    time, pitch = series["time_s"].to_numpy(), np.radians(series["pitch_deg"].to_numpy())
    chassis, *axles = bodies_of(rig)
    place = 1e-3 * series[["chassis_x_mm", "chassis_z_mm"]].to_numpy()
    found, wheels = [moved(chassis, place, pitch, time)], []
    for side, body, centre in zip(SIDES, axles, bench_centres(rig), strict=True):
        turn = np.radians(series[f"{side}_housing_deg"].to_numpy())
        hub = hubs(getattr(rig, side), centre, turn) - chassis.at
        c, s = np.cos(pitch), np.sin(pitch)
        hub = place + np.stack([c * hub[:, 0] - s * hub[:, 1], s * hub[:, 0] + c * hub[:, 1]], axis=-1)
        wheels.append(hub)
        found.append(moved(body, hub + turned(pitch + turn, body.at - centre), pitch + turn, time))
    return found, wheels


def per_second(series, column):
    """A spin of the table in rad/s."""
    return series[column].to_numpy() * np.pi / 30.0
