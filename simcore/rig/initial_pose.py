"""Puts the rig on its ground as one rigid piece, before it settles."""

import math

import numpy as np
from scipy.optimize import brentq

from simcore.compiled import FRONT, LEDGER, REAR, STATE, PieceRecord, Records, StateRecord, blank
from simcore.errors import InputError, InputIssue
from simcore.files.scenario import Scenario
from simcore.laws.ground import normal_force, touch
from simcore.rig.model import Model


def _load_at(model: Model, i: int, x: float, z: float) -> float:
    """Elastic tyre load of axle i with its wheel centre at a place, N."""
    tyre, contact = model.rig.axle[i].tyre, blank(LEDGER)[0].axle[i].tyre.contact
    touch(contact, model.pieces, x, z, tyre.radius)
    return float(normal_force(contact, tyre.radius, tyre.stiffness, 0.0, 0.0, 0.0)[0])


def initial_pose(scenario: Scenario, model: Model) -> StateRecord:
    """Put the rig on its ground exactly as measured: links fit, both tyres carry their load on the level.

    Returns
    -------
    STATE at rest.

    Raises
    ------
    InputError
        when there is no ground under an axle, or a wall in its place.
    """
    bench, x = model.bench, scenario.start.rear_axle
    radius = model.rig.axle[REAR].tyre.radius
    got = f"no place to stand for rear and front axle with the rear axle at x = {x * 1e3:g} mm"
    refusal = InputError(
        [
            InputIssue(
                str(scenario.path), "start.rear_axle", got, "a place where both axles stand on the ground"
            )
        ]
    )

    def rear_excess(z: float) -> float:
        return _load_at(model, REAR, x, z) - bench.loads[REAR]

    top = height_at(model.pieces, x)
    heights = np.arange(top + 6.0 * radius, top - radius, -0.02 * radius)
    touching = next((k for k, z in enumerate(heights) if rear_excess(z) > 0.0), 0)
    if touching == 0:
        raise refusal
    z = float(brentq(rear_excess, heights[touching], heights[touching - 1]))
    span = math.dist(*bench.centres)

    def front_excess(angle: float) -> float:
        centre = x + span * math.cos(angle), z + span * math.sin(angle)
        return _load_at(model, FRONT, *centre) - bench.loads[FRONT]

    angles = np.linspace(math.radians(89.0), math.radians(-89.0), 357)
    touching = next((k for k, angle in enumerate(angles) if front_excess(angle) > 0.0), 0)
    if touching == 0:
        raise refusal
    (x0, z0), (x1, z1) = bench.centres
    level = math.atan2(z1 - z0, x1 - x0)
    return _tilted(model, x, z, brentq(front_excess, angles[touching], angles[touching - 1]) - level)


def _tilted(model: Model, x: float, z: float, tilt: float) -> StateRecord:
    """Bench position turned by `tilt` about the rear axle centre, which comes to (x, z)."""
    state, bench = blank(STATE)[0], model.bench
    c, s = math.cos(tilt), math.sin(tilt)
    for pose, body in zip(state.pose, (bench.chassis, *bench.axles), strict=True):
        d_x, d_z = body.x - bench.centres[REAR][0], body.z - bench.centres[REAR][1]
        pose.x, pose.z, pose.angle = x + c * d_x - s * d_z, z + s * d_x + c * d_z, tilt
    return state


def height_at(pieces: Records[PieceRecord], x: float) -> float:
    """Height of the ground at a place along x, the upper one at a ledge, m."""
    first, length, along = pieces["start"], pieces["length"], pieces["along"]
    last_x = first["x"] + length * along["x"]
    over = (first["x"] <= x) & (x <= last_x) & (along["x"] > 1e-9)
    return float(np.max(first["z"][over] + (x - first["x"][over]) / along["x"][over] * along["z"][over]))
