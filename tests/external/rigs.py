"""A rig as textbooks draw it: one sprung mass on two springs that stand upright over axles of almost no mass.

Both axles are guided by long level parallel links, so they move straight up and down; there is no friction,
no damping, no gear loss and no rolling resistance unless a test asks for it.
"""

from typing import Any

import numpy as np

from simcore.compiled import LEDGER
from simcore.dynamics.motion import derivative, evaluate_all
from simcore.files import Scenario, scenario_of
from simcore.solve.scales import tolerance_scale

GRAVITY = 9.80665  # m/s^2, standard gravity
# mass kg, pitch inertia kg m^2, CG to front and to rear axle m, front and rear rate N/m, published rad/s,
# printed digits
RAO = (2.0, 0.0162, 0.100, 0.150, 36.0, 44.0, (5.8593, 9.4341))
EDWARDS_PENNEY = (2.0, 0.02, 0.6 / np.sqrt(10), 0.4 / np.sqrt(10), 40.0, 40.0, (6.13113, 10.31549))
AXLE = 4.0  # g, of a half car that the books draw without axles
AT_REST = {"control": "torque", "torque": [[0, 0]], "brake": [[0, 100]]}
FREE = {"control": "torque", "torque": [[0, 0]], "brake": [[0, 0]], "release": 0}


def textbook_axle(
    x: float, inward: float, rate: float, tyre: dict[str, Any], unsprung: float
) -> dict[str, Any]:
    """One axle at x mm; its links reach `inward` mm towards the other end of the rig."""
    hub = tyre["radius"]
    return {
        "housing": {"mass": unsprung / 2, "pitch_inertia": unsprung / 4},
        "lower_link": {"chassis": [x + inward, hub - 20], "axle": [x, hub - 20]},
        "upper_link": {"chassis": [x + inward, hub + 20], "axle": [x, hub + 20]},
        "shock": {
            "chassis": [x, hub + 200],
            "axle": [x, hub],
            "extended_length": 250,
            "stroke": 100,
            "springs": [{"rate": rate / 2, "hold_ride_height": True}],
        },
        "tyre": tyre | {"wheel_mass": unsprung / 4},
    }


def textbook_rig(
    wheelbase: float,
    cg: tuple[float, float],
    mass: float,
    inertia: float,
    rates: tuple[float, float] = (1000.0, 1000.0),
    unsprung: float = 40.0,
    link: float = 1000.0,
    **tyre: float,
) -> dict[str, Any]:
    """Raw rig table.

    Parameters
    ----------
    wheelbase, cg : mm; cg is that of the whole rig, forward of the rear axle and above the ground
    mass, inertia : of the sprung mass with both axles, g; of the sprung mass, kg*mm^2
    rates : spring of the whole rear and front axle, N/mm
    unsprung : mass of one axle with its wheels, g
    link : length of the links, mm
    tyre : keys of both tyres
    """
    wheel = {
        "radius": 50.0,
        "stiffness": 1000.0,
        "damping": 0.0,
        "spin_inertia": 10.0,
        "peak_grip": 2.0,
        "sliding_grip": 2.0,
        "slip_stiffness": 50.0,
        "rolling_resistance": 0.0,
    } | tyre
    sprung = mass - 2 * unsprung
    place = [
        (mass * c - unsprung * axles) / sprung
        for c, axles in zip(cg, (wheelbase, 2 * wheel["radius"]), strict=True)
    ]
    return {
        "name": "textbook",
        "wheelbase": wheelbase,
        "chassis": {"mass": sprung, "cg": place, "pitch_inertia": inertia},
        "rear": textbook_axle(0.0, link, rates[0], wheel, unsprung),
        "front": textbook_axle(wheelbase, -link, rates[1], wheel, unsprung),
        "driveline": {"ratio": 20, "efficiency": 100, "rear_stiffness": 1000, "front_stiffness": 1000},
        "motor": {
            "kv": 1000,
            "voltage": 60,
            "resistance": 1,
            "no_load_current": 0,
            "current_limit": 500,
            "rotor_inertia": 0.1,
            "brake_torque": 10000,
        },
    }


def book_rig(case: Any, unsprung: float = AXLE, stiffness: float = 1000.0, **keys: float) -> dict[str, Any]:
    """Half car of a book; case as `RAO`, `unsprung` g, tyre `stiffness` N/mm, further keys of both tyres."""
    mass, inertia, ahead, behind, front, rear, _ = case
    share = np.array([ahead, behind]) / (ahead + behind)
    load = 9.80665 * (mass * share + 1e-3 * unsprung)
    # Between the wheel centres R - N/k, each weighed by what it carries of the body.
    height = 50.0 - share @ load / (2.0 * stiffness)
    rig = textbook_rig(
        1e3 * (ahead + behind),
        (0.0, 0.0),
        1e3 * mass + 2 * unsprung,
        1e6 * inertia,
        rates=(1e-3 * rear, 1e-3 * front),
        unsprung=unsprung,
        stiffness=stiffness,
        spin_inertia=0.01,
        **keys,
    )
    rig["chassis"]["cg"] = [1e3 * behind, height]
    rig["driveline"] |= {"ratio": 1, "drive": "rear"}
    return rig


def scenario(rig: dict[str, Any], driver: dict[str, Any], **tables: Any) -> Scenario:
    """The rig with a driver; further tables of the scenario by name."""
    return scenario_of(
        {"title": "Does it do what the book says?", "rig": rig, "driver": driver} | tables, "textbook.toml"
    )


def ledgers_of(model: Any, times: Any, states: Any) -> Any:
    """Forces at given states, (n,) LEDGER."""
    led = np.zeros(len(times), LEDGER)
    evaluate_all(led, np.asarray(times, float), np.ascontiguousarray(states), model.rigs, model.pieces)
    return led


def slopes_at(model: Any, y: Any, step: float = 1e-6) -> Any:
    """Jacobian of the derivative at a state, by central differences."""
    working, scale = np.zeros(1, LEDGER), step * tolerance_scale()
    columns = []
    for k, h in enumerate(scale):
        ends = []
        for sign in (1.0, -1.0):
            moved = y.copy()
            moved[k] += sign * h
            ends.append(derivative(0.0, moved, model.rigs, model.pieces, working))
        columns.append((ends[0] - ends[1]) / (2.0 * h))
    return np.column_stack(columns)


def lowest(radius: float, height: float) -> float:
    """Rolling radius R - deflection/3 of a round tyre cut by level ground `height` below its centre, m; the
    deflection from the cut area.
    """
    area = radius**2 * np.arccos(height / radius) - height * np.sqrt(radius**2 - height**2)
    return float(radius - (3.0 * area / (4.0 * np.sqrt(2.0 * radius))) ** (2.0 / 3.0) / 3.0)


class Sight:
    """A run seen in axes along and across one endless slope through the origin: places (n,), m."""

    def __init__(self, trace: Any, slope: float) -> None:
        rig, poses, rates = trace.model.rig, trace.states["pose"], trace.states["rate"]
        c, s = np.cos(slope), np.sin(slope)
        bodies = [rig.chassis, rig.axle[0].body, rig.axle[1].body]
        self.mass = sum(float(body.mass) for body in bodies)
        x, z, v_x, v_z = (
            sum(body.mass * table[name][:, k] for k, body in enumerate(bodies)) / self.mass
            for table, name in (
                (_fields(poses), "x"),
                (_fields(poses), "z"),
                (_fields(rates), "x"),
                (_fields(rates), "z"),
            )
        )
        self.along, self.height = c * x + s * z, c * z - s * x
        self.speed = c * v_x + s * v_z
        self.wheel_along, self.wheel_height, self.sunk = [], [], []
        for i in range(2):
            pose, centre = _fields(poses), rig.axle[i].centre
            a = pose["angle"][:, 1 + i]
            x = pose["x"][:, 1 + i] + np.cos(a) * centre.x - np.sin(a) * centre.z
            z = pose["z"][:, 1 + i] + np.sin(a) * centre.x + np.cos(a) * centre.z
            self.wheel_along.append(c * x + s * z)
            self.wheel_height.append(c * z - s * x)
            arm = [lowest(float(rig.axle[i].tyre.radius), h) for h in self.wheel_height[i]]
            self.sunk.append(np.array(arm) - self.wheel_height[i])  # how far below the ground the thrust acts
        self.load = [trace.part(i, "tyre", "load") for i in range(2)]
        self.thrust = [trace.part(i, "tyre", "thrust") for i in range(2)]
        self.weight = self.mass * GRAVITY


def _fields(table: Any) -> dict[str, Any]:
    return {name: table[name] for name in ("x", "z", "angle")}
