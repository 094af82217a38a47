"""Can a braked rig stand at rest on a plane? Bounds from statics alone, by no code of the program.

Whatever its springs, links and stops do, a rig that stands has its shocks somewhere between their stops. So
the linkage is solved at many travels of both axles, and in each such stance the rig is one rigid piece on two
tyres: weight, two loads along the normal of the plane, thrust along it. A slope is clearly standable if in
every stance all of

- both tyres carry load (else the rig tips over),
- the grip of the driven tyres is more than the slope asks for (else it slides),
- brake and brushes hold more torque than that thrust puts on the rotor (else the brake slips)

hold with a margin, and clearly not if one of them fails in every stance with a margin. Between these nothing
is claimed. Tyres, shafts and brake are elastic up to a limit that they then keep, and the loads hardly depend
on which axle holds; so what can stand in some split of the thrust does stand (lower bound theorem of
plasticity; from memory).

Sources: loads on a grade as in R. N. Jazar, Vehicle Dynamics (Springer 2008), eq 2.121-2.130; the laws of
tyre, stops and brake as the design states them (thrust acts on the rolling radius R - deflection/3, no power
is lost in gears that stand).

All numbers are those of the rig file: mm, g, N/mm, N, deg; forces here in N.
"""

import dataclasses
import math
from typing import Any

import numpy as np
import numpy.typing as npt
from scipy.optimize import brentq, root

Raw = dict[str, Any]
Array = npt.NDArray[np.float64]

SIDES = ("rear", "front")
REASONS = ("tips over", "slides", "brake slips")
GRAVITY = 9.80665e-3  # N/g
STEPS = 4  # of travel from ride height to each end
GRIP_MARGIN = 0.04  # loads N = k deflection are good to 2 %
BRAKE_MARGIN = 0.03  # rolling radii, likewise
TIP_MARGIN = (
    1.5  # deg, 2 mm of the centre of mass at 80 mm height: more than the tyres' deflection is uncertain
)
DEEPEST = 0.3  # of the radius: where N = k deflection ends
TOUCH = 2.0  # mm of clearance below which a skid may touch


@dataclasses.dataclass(frozen=True)
class Stances:
    """The rig as one rigid piece in each stance; arrays of shape (stances,), mm.

    Attributes
    ----------
    weight : of the whole rig, N
    span : distance of the axle centres
    along, above : centre of mass from the rear axle centre, along and across the line of the axle centres
    skids, skid_radii : likewise the centres of the skids, shape (skids, 2, stances), and their radii
    """

    weight: float
    span: Array
    along: Array
    above: Array
    skids: Array
    skid_radii: Array


@dataclasses.dataclass(frozen=True)
class Bound:
    """Reasons against one slope: those that hold for certain, and all that cannot be ruled out."""

    certain: frozenset[str]
    possible: frozenset[str]

    @property
    def stands(self) -> bool:
        """Clearly standable."""
        return not self.possible

    @property
    def cannot(self) -> bool:
        """Clearly not standable."""
        return bool(self.certain)


def _mix(start: list[float], end: list[float], share: float) -> list[float]:
    return [a + share * (b - a) for a, b in zip(start, end, strict=True)]


def lower_mount(axle: Raw) -> list[float]:
    """Lower shock mount on the bench."""
    shock = axle["shock"]
    if "link" not in shock:
        return list(shock["axle"])
    link = axle[f"{shock['link']}_link"]
    return _mix(link["chassis"], link["axle"], shock["fraction"])


def _lumps(rig: Raw, centres: Array) -> dict[str, list[tuple[float, Any]]]:
    """(mass, place) on the bench by body; links, shocks and shafts half sprung, half unsprung."""
    chassis = rig["chassis"]
    lumps: dict[str, list[tuple[float, Any]]] = {"chassis": [(chassis["mass"], chassis["cg"])]}
    for side, centre in zip(SIDES, centres, strict=True):
        axle, shock = rig[side], rig[side]["shock"]
        own = [(axle["housing"]["mass"], axle["housing"].get("cg", centre))]
        own.append((2.0 * axle["tyre"]["wheel_mass"], centre))
        between = [(2.0 * shock.get("mass", 0.0), shock["chassis"], lower_mount(axle))]
        joints = axle.get("shaft", {"chassis": chassis["cg"], "axle": centre})
        between.append((rig["driveline"].get("shaft_mass", 0.0), joints["chassis"], joints["axle"]))
        for name in ("lower_link", "upper_link", "arm"):
            if name in axle:
                part = axle[name]
                between.append((part.get("mass", 0.0), part["chassis"], part.get("axle", centre)))
        for mass, top, bottom in between:
            lumps["chassis"].append((0.5 * mass, top))
            own.append((0.5 * mass, bottom))
        lumps[side] = own
    for part in rig.get("parts", []):
        lumps[part.get("on", "chassis")].append((part["mass"], part["at"]))
    return lumps


def _join(lumps: list[tuple[float, Any]]) -> tuple[float, Array]:
    total = sum(mass for mass, _ in lumps)
    return total, sum(mass * np.asarray(place, float) for mass, place in lumps) / total


def static_pose(rig: Raw) -> tuple[Array, dict[str, tuple[float, Array]]]:
    """Axle centres, shape (2, 2), and (mass, centre of mass) of each body, the rig standing on the level."""
    radii = [rig[side]["tyre"]["radius"] for side in SIDES]
    centres = np.array([[0.0, radii[0]], [rig["wheelbase"], radii[1]]])
    whole, middle = _join([lump for body in _lumps(rig, centres).values() for lump in body])
    share = middle[0] / rig["wheelbase"]
    for i, side in enumerate(SIDES):
        load = whole * GRAVITY * (share if i else 1.0 - share)
        centres[i, 1] -= load / (2.0 * rig[side]["tyre"]["stiffness"])
    return centres, {name: _join(body) for name, body in _lumps(rig, centres).items()}


def _turned(pose: Array, centre: Array, point: Any) -> Array:
    """Point of a housing whose centre has moved by (dx, dz) and which has turned, chassis held."""
    arm, c, s = np.asarray(point, float) - centre, math.cos(pose[2]), math.sin(pose[2])
    return centre + pose[:2] + np.array([c * arm[0] - s * arm[1], s * arm[0] + c * arm[1]])


def _residual(pose: Array, axle: Raw, centre: Array, travel: float) -> Array:
    """Errors of what locates the axle and of the shock's travel, mm."""
    shock, errors = axle["shock"], []
    if "arm" in axle:
        pin = axle["arm"]["chassis"]
        errors.extend(_turned(pose, centre, pin) - pin)
    else:
        for name in ("lower_link", "upper_link"):
            top, bottom = axle[name]["chassis"], axle[name]["axle"]
            errors.append(math.dist(top, _turned(pose, centre, bottom)) - math.dist(top, bottom))
    if "link" in shock:
        link = axle[f"{shock['link']}_link"]
        mount = _mix(link["chassis"], list(_turned(pose, centre, link["axle"])), shock["fraction"])
    else:
        mount = list(_turned(pose, centre, shock["axle"]))
    errors.append(shock["extended_length"] - math.dist(shock["chassis"], mount) - travel)
    return np.array(errors)


def _ends(shock: Raw, force: float) -> tuple[float, float]:
    """Travels at which the rubber of each stop carries a force, the two shocks together."""
    depths = []
    for name in ("droop_stop", "bump_stop"):
        stop = shock.get(name, {})
        length, rate = stop.get("length", 1.5), 2.0 * stop.get("rate", 20.0)

        def excess(x: float, length: float = length, rate: float = rate) -> float:
            return rate * x * (1.0 + (x / length) ** 2) - force

        depths.append(brentq(excess, 0.0, 1.0 + force / rate) - length)
    return -depths[0], shock["stroke"] + depths[1]


def _strongest(shock: Raw) -> float:
    """More than all springs of both shocks together can put on a stop, N."""
    forces = [
        spring.get("preload", 0.0) + spring["rate"] * (shock["stroke"] + abs(spring.get("loose_at", 0.0)))
        for spring in shock.get("springs", [])
    ]
    return 2.0 * sum(forces)


def _poses(axle: Raw, centre: Array, weight: float) -> Array | None:
    """Moves (dx, dz, turn) of a housing over the whole stroke, shape (9, 3); None if links do not reach."""
    shock = axle["shock"]
    ride = shock["extended_length"] - math.dist(shock["chassis"], lower_mount(axle))
    poses = [np.zeros(3)]
    for end in _ends(shock, 3.0 * weight + _strongest(shock)):
        pose = np.zeros(3)
        for travel in np.linspace(ride, end, STEPS + 1)[1:]:
            found = root(_residual, pose, (axle, centre, travel))
            if np.abs(found.fun).max() > 1e-4 or abs(found.x[2] - pose[2]) > 0.5:
                return None
            pose = found.x
            poses.append(pose)
    return np.array(poses)


def _across(origin: Array, line: Array, point: Array) -> Array:
    """Components of a point along and across a line from an origin."""
    arm = point - origin
    return np.array([arm @ line, arm[1] * line[0] - arm[0] * line[1]])


def stances(rig: Raw) -> Stances | None:
    """Solve the rig in all stances between its stops; None if its links do not reach."""
    centres, bodies = static_pose(rig)
    whole = sum(mass for mass, _ in bodies.values())
    weight = whole * GRAVITY
    both = [_poses(rig[side], centre, weight) for side, centre in zip(SIDES, centres, strict=True)]
    rears, fronts = both
    if rears is None or fronts is None:
        return None
    rows, skid_rows = [], []
    for pair in ((rear, front) for rear in rears for front in fronts):
        moment, wheels = bodies["chassis"][0] * bodies["chassis"][1], []
        for side, centre, pose in zip(SIDES, centres, pair, strict=True):
            moment = moment + bodies[side][0] * _turned(pose, centre, bodies[side][1])
            wheels.append(centre + pose[:2])
        span = math.dist(*wheels)
        line = (wheels[1] - wheels[0]) / span
        rows.append([span, *_across(wheels[0], line, moment / whole)])
        skid_rows.append([_across(wheels[0], line, np.array(skid["at"])) for skid in rig.get("skids", [])])
    span, along, above = np.array(rows).T
    skids = np.array(skid_rows).reshape(len(rows), -1, 2).transpose(1, 2, 0)
    radii = np.array([skid.get("radius", 5.0) for skid in rig.get("skids", [])])
    return Stances(weight, span, along, above, skids, radii)


@dataclasses.dataclass(frozen=True)
class Standing:
    """Loads of the rig standing in every stance; arrays of shape (2, stances), rear axle first.

    Attributes
    ----------
    load : N, negative where the tyre would have to pull
    deflection : mm
    clearance : least height of any skid above the plane, mm
    """

    load: Array
    deflection: Array
    clearance: float


def standing(rig: Raw, body: Stances, slope: float, rear_share: float) -> Standing:
    """Moment balance about the foot of the rear wheel, the deflection of the tyres found by going round.

    Parameters
    ----------
    slope : deg, uphill positive
    rear_share : share of the thrust that the rear axle holds; it acts 2/3 of the deflection below the ground
    """
    radius, rate = (np.array([[rig[side]["tyre"][key]] for side in SIDES]) for key in ("radius", "stiffness"))
    normal, down = (body.weight * f(math.radians(slope)) for f in (math.cos, math.sin))
    load, clearance = np.full((2, len(body.span)), 0.5 * normal), np.array([math.inf])
    for _ in range(8):
        deflection = np.clip(load / (2.0 * rate), 0.0, 0.9 * radius)
        height = radius - deflection
        tilt = np.arcsin(np.clip((height[1] - height[0]) / body.span, -1.0, 1.0))
        c, s = np.cos(tilt), np.sin(tilt)
        x, z = c * body.along - s * body.above, height[0] + s * body.along + c * body.above
        depth = 2.0 / 3.0 * (rear_share * deflection[0] + (1.0 - rear_share) * deflection[1])
        front = (normal * x - down * (z + depth)) / (body.span * c)
        load = np.array([normal - front, front])
    if len(body.skids):
        clearance = height[0] + s * body.skids[:, 0] + c * body.skids[:, 1] - body.skid_radii[:, None]
    return Standing(load, deflection, float(clearance.min()))


def _splits(rig: Raw) -> tuple[float, ...]:
    """Shares of the rear axle in the thrust, from one end to the other."""
    return {"all": (0.0, 1.0), "rear": (1.0,), "front": (0.0,)}[rig["driveline"].get("drive", "all")]


def _grips(rig: Raw, grip: float) -> Array:
    """Standing grip per load of the driven tyres, shape (2, 1)."""
    drive = rig["driveline"].get("drive", "all")
    return np.array([[grip * rig[side]["tyre"]["peak_grip"] * (drive in ("all", side))] for side in SIDES])


def _hold(rig: Raw, grip: float, load: Array) -> Array:
    """What the driven tyres hold, N, shape (2, stances): their grip falls as (load / reference)^-n, the load
    not below 5 % of the reference, which is the level load where none is stated.
    """
    _, bodies = static_pose(rig)
    whole, middle = _join(list(bodies.values()))
    share = middle[0] / rig["wheelbase"]
    level = whole * GRAVITY * np.array([1.0 - share, share])
    tyres = [rig[side]["tyre"] for side in SIDES]
    stated = [2.0 * GRAVITY * tyre["grip_load"] if "grip_load" in tyre else None for tyre in tyres]
    reference = np.array([[own or at_rest] for own, at_rest in zip(stated, level, strict=True)])
    fall = np.array([[-tyre.get("grip_load_exponent", 0.0)] for tyre in tyres])
    return _grips(rig, grip) * np.maximum(load / reference, 0.05) ** fall * load


def _brake(rig: Raw) -> float:
    """Torque at which the rotor gives way, N*mm: full brake and Kt times no-load current."""
    motor = rig["motor"]
    return motor.get("brake_torque", 60.0) + 1e3 * motor["no_load_current"] / (motor["kv"] * math.pi / 30.0)


def _least_and_most_torque(rig: Raw, found: Standing, hold: Array, thrust: float) -> tuple[Array, Array]:
    """Torque at the rotor in the kindest split that the tyres allow, and with all on one axle."""
    line, drive = rig["driveline"], rig["driveline"].get("drive", "all")
    ratio = line["ratio"] / np.array([1.0, 1.0 + 0.01 * line.get("overdrive", 0.0)])
    radius = np.array([[rig[side]["tyre"]["radius"]] for side in SIDES])
    arm = (radius - found.deflection / 3.0) / ratio[:, None]
    driven = [i for i, side in enumerate(SIDES) if drive in ("all", side)]
    most = thrust * arm[driven].max(axis=0)
    if len(driven) == 1:
        return most, most
    low, high = np.maximum(-hold[0], thrust - hold[1]), np.minimum(hold[0], thrust + hold[1])
    ends = [rear * arm[0] + (thrust - rear) * arm[1] for rear in (low, high)]
    return np.maximum(np.minimum(*ends), 0.0), most  # a torque that may have either sign may be none


def bound(rig: Raw, slope: float, grip: float = 1.0, body: Stances | None = None) -> Bound:
    """Classify a slope.

    Parameters
    ----------
    rig : raw rig table
    slope : deg, uphill positive
    grip : of the ground, 1 = as stated for the tyres
    body : stances of the rig, solved before
    """
    body = stances(rig) if body is None else body
    nothing_known = Bound(frozenset(), frozenset(REASONS))
    if body is None:
        return nothing_known
    steeper, flatter = (math.copysign(max(abs(slope) + by, 0.0), slope) for by in (TIP_MARGIN, -TIP_MARGIN))
    sure, open_ = dict.fromkeys(REASONS, True), dict.fromkeys(REASONS, False)
    for share in _splits(rig):
        here = standing(rig, body, slope, share)
        depth = max(
            float((here.deflection[i] / rig[side]["tyre"]["radius"]).max()) for i, side in enumerate(SIDES)
        )
        if here.clearance < TOUCH or depth > DEEPEST:
            return nothing_known
        open_["tips over"] |= bool((standing(rig, body, steeper, share).load <= 0.0).any())
        sure["tips over"] &= bool((standing(rig, body, flatter, share).load.min(axis=0) < 0.0).all())
        thrust = body.weight * abs(math.sin(math.radians(slope)))
        hold = _hold(rig, grip, np.clip(here.load, 0.0, body.weight * math.cos(math.radians(slope))))
        open_["slides"] |= bool((hold.sum(axis=0) * (1.0 - GRIP_MARGIN) <= thrust).any())
        sure["slides"] &= bool((hold.sum(axis=0) * (1.0 + GRIP_MARGIN) < thrust).all())
        least, most = _least_and_most_torque(rig, here, hold, thrust)
        open_["brake slips"] |= bool((most >= _brake(rig) * (1.0 - BRAKE_MARGIN)).any())
        sure["brake slips"] &= bool((least > _brake(rig) * (1.0 + BRAKE_MARGIN)).all())
    return Bound(*(frozenset(name for name in REASONS if said[name]) for said in (sure, open_)))
