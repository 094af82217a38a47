"""A rig from the side at an instant of a motion, to scale, as numbers: for whoever draws it again and again.

Places are [x, z] in the world, mm.
"""

import math
from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np

from simcore.accounts.support import LEAST_RISE
from simcore.compiled import REAR, LedgerRecord, StateRecord
from simcore.files.scenario import Scenario
from simcore.results.motion import BODIES, outline
from simcore.results.stages import Stage
from simcore.rig.masses import SIDES
from simcore.solve.trace import Trace
from simcore.standing.axes import GroundAxes
from simcore.standing.kinematics import instant_centre
from simcore.views.sketch import chassis_corners, ice_on

DRAWN = ("chassis", *BODIES)
WORLD = GroundAxes((0.0, 0.0), (1.0, 0.0), (0.0, 1.0))
Point = tuple[float, float]


def side_view(trace: Trace, scenario: Scenario, wanted: Mapping[str, Stage]) -> dict[str, Any]:
    """The rig of a motion at some instants, and its ground.

    Parameters
    ----------
    trace : the motion
    scenario : of it
    wanted : name to instant, whose rows are those of the motion

    Returns
    -------
    Under each name what `_drawing` gives; `ground`: corners of the surface; `ice`: ends of what of it is ice.
    """
    shape = outline(trace, scenario.rig)
    corners = chassis_corners(shape["chassis"]).tolist()
    drawn = {
        name: _drawing(trace, stage.row, shape, corners) | {"time_s": stage.time_s, "words": stage.words}
        for name, stage in wanted.items()
    }
    ice = [np.round(piece, 1).tolist() for piece in ice_on(scenario)]
    return {**drawn, "ground": [_rounded(corner) for corner in shape["ground"]], "ice": ice}


class _Frame:
    """Where a body is: its centre of mass, and how far it is turned since the bench."""

    def __init__(self, pose: Any) -> None:
        self.x, self.z, self.turn = 1e3 * float(pose["x"]), 1e3 * float(pose["z"]), float(pose["angle"])
        self.c, self.s = math.cos(self.turn), math.sin(self.turn)

    def at(self, point: Sequence[float]) -> list[float]:
        """Where a point fixed to the body is."""
        x, z = point
        return _rounded((self.x + self.c * x - self.s * z, self.z + self.s * x + self.c * z))


def _rounded(point: Sequence[float]) -> list[float]:
    return [round(float(value), 2) for value in point]


def _drawing(
    trace: Trace, row: int, shape: Mapping[str, Any], corners: Sequence[Sequence[float]]
) -> dict[str, Any]:
    """The rig at an instant.

    Returns
    -------
    `frames`: of each body where its centre of mass is (`at`), its turn since the bench in rad, and where that
    centre is in the coordinates of the rig file (`bench`), so that a place can be taken from the one to the
    other; `body`: corners of the chassis; `skids`: [x, z, radius]; `parts`: name and place; `cg`: of the
    whole rig; `axles`: of each axle `hub`, `radius`, `links` (ends, the chassis' first), `shock` (ends, the
    upper first); `contact`, where its tyres touch; `centre`, its instant centre, None where the links are
    parallel; `along`: direction inward of the line from the contact to it, along which its thrust works.
    """
    led, state = trace.ledgers[row], trace.states[row]
    frames = [_Frame(pose) for pose in state.pose]
    bench = (trace.model.bench.chassis, *trace.model.bench.axles)
    chassis = shape["chassis"]
    masses = np.array([body.mass for body in bench])
    centre = masses @ np.array([(one.x, one.z) for one in frames]) / masses.sum()
    parts = [(part, frames[k]) for k, body in enumerate(DRAWN) for part in shape[body]["parts"]]
    return {
        "frames": {
            body: {"at": [one.x, one.z], "turn": one.turn, "bench": [own.x * 1e3, own.z * 1e3]}
            for body, one, own in zip(DRAWN, frames, bench, strict=True)
        },
        "body": [frames[0].at(corner) for corner in corners],
        "skids": [[*frames[0].at(skid["at"]), skid["radius"]] for skid in chassis["skids"]],
        "parts": [{"name": part["name"], "at": frame.at(part["at"])} for part, frame in parts],
        "cg": _rounded(centre),
        "axles": [
            {
                **_axle(axle, shape, frames[0], frames[1 + i]),
                **_push(led, state, i),
            }
            for i, axle in enumerate(SIDES)
        ],
    }


def _axle(axle: str, shape: Mapping[str, Any], chassis: _Frame, frame: _Frame) -> dict[str, Any]:
    """Wheels, links and shocks of an axle."""
    own, above = shape[f"{axle}_axle"], shape["chassis"]
    hub = frame.at(own["wheel_centre"])
    pins = zip(above["link_pins"][axle], own["link_pins"], strict=True)
    links = [[chassis.at(up), frame.at(down)] for up, down in pins]
    share, (pin, end) = own["shock_fraction"], own["shock_link_pins"]
    mount = zip(chassis.at(pin), frame.at(end), strict=True)
    return {
        "name": axle,
        "arm": own["arm"],
        "hub": hub,
        "radius": round(own["tyre_radius"], 2),
        "links": [[links[0][0], hub]] if own["arm"] else links,
        "shock": [
            chassis.at(above["shock_mounts"][axle]),
            _rounded([(1.0 - share) * a + share * b for a, b in mount]),
        ],
    }


def _push(led: LedgerRecord, state: StateRecord, i: int) -> dict[str, Any]:
    """Where the thrust of an axle acts, and along which line."""
    tyre, path = led.axle[i].tyre, led.axle[i].path
    centre = instant_centre(led, state, WORLD, i)
    along, normal, foot = tyre.contact.along, tyre.contact.normal, tyre.contact.foot
    rise = float(path.contact_rise)
    slope = 0.0 if abs(rise) < LEAST_RISE else -float(path.contact_along) / rise
    way = (along.x + slope * normal.x, along.z + slope * normal.z)
    size = math.hypot(*way) * (1.0 if i == REAR else -1.0)
    return {
        "contact": _rounded((1e3 * float(foot.x), 1e3 * float(foot.z))),
        "centre": None if centre is None else _rounded([1e3 * value for value in centre]),
        "along": [round(float(value) / size, 5) for value in way],
    }
