"""Hypothesis rigs of every size and make that stand: `standing_rigs` and `standing_scenarios`, raw tables.

Numbers are drawn as shares of a few sizes (wheelbase, tyre radius, weight), so that what is drawn fits
together: the centre of mass lies between the axles, tyres and springs bear the weight, links reach over the
stroke, the brake holds. The rest is left to chance: 150 to 900 mm of wheelbase, 0.1 to 19 kg, links or arms,
shocks anywhere, any set of springs, any drive, every key that a rig file may hold.

A rig is drawn from one seed. If each of its hundred numbers were a choice of Hypothesis, a few would vary at
a time and sixty rigs be of a dozen kinds. The price: a rig that fails does not shrink.
"""

import math
import random
from typing import Any

from hypothesis import strategies as st

Raw = dict[str, Any]
GRAVITY = 9.81e-3  # N/g, to size things


class Chance:
    """Draws numbers, choices and optional keys; numbers keep five digits, as a file would."""

    def __init__(self, seed: int) -> None:
        self.random = random.Random(seed)

    def number(self, low: float, high: float) -> float:
        return float(f"{self.random.uniform(low, high):.5g}")

    def wide(self, low: float, high: float) -> float:
        """A number whose logarithm is drawn."""
        return float(f"{math.exp(self.random.uniform(math.log(low), math.log(high))):.5g}")

    def one_in(self, count: int) -> bool:
        return self.random.randrange(count) == 0

    def of(self, *choices: Any) -> Any:
        return self.random.choice(choices)

    def some(self, **keys: Any) -> Raw:
        """Some of the keys, each with a value or with a function that draws it."""
        return {key: value() if callable(value) else value for key, value in keys.items() if self.one_in(2)}

    def count(self, most: int) -> range:
        return range(self.random.randint(0, most))


class Side:
    """Sizes of one end of a rig: radius and load in mm and N, place of the hub, which way is inward."""

    def __init__(self, x: float, inward: float, radius: float, load: float, mass: float, base: float) -> None:
        self.x, self.inward, self.radius, self.load = x, inward, radius, load
        self.mass, self.base = mass, base

    def at(self, ahead: float, high: float) -> list[float]:
        """A place inward of the hub and above the table, mm."""
        return [round(self.x + self.inward * ahead, 3), round(high, 3)]


def _tyre(chance: Chance, side: Side) -> Raw:
    radius, wheel = side.radius, chance.number(0.12, 0.3) * side.mass
    peak, speed = chance.number(0.4, 2), chance.wide(0.1, 3)
    compressed = chance.number(0.01, 0.12) * radius
    stiffness = side.load / 2 / compressed
    return {
        "radius": radius,
        "stiffness": stiffness,
        "wheel_mass": wheel,
        "spin_inertia": 1e-3 * wheel * (chance.number(0.4, 0.95) * radius) ** 2,
        "peak_grip": peak,
        "sliding_grip": peak * chance.number(0.85, 1),
        "slip_stiffness": peak * chance.number(3, 20) + 2,
    } | chance.some(
        damping=lambda: chance.number(0, 0.4) * math.sqrt(1e3 * stiffness * 1e-3 * side.mass),
        relaxation_length=lambda: chance.number(0.1, 0.6) * radius,
        grip_speed=speed,
        stribeck_speed=lambda: speed * chance.number(0.4, 0.6) if chance.one_in(4) else 0.5 * speed,
        rolling_resistance=lambda: chance.number(0, 10),
        grip_load_exponent=lambda: chance.number(0, 0.33),
        grip_load=lambda: chance.number(0.5, 2) * side.load / 2 / GRAVITY,
    )


def _agreed(tyre: Raw) -> Raw:
    """Let the two speeds of the grip curve keep their distance if only one was drawn."""
    if "grip_speed" in tyre or "stribeck_speed" in tyre:
        tyre.setdefault("grip_speed", 2 * tyre.get("stribeck_speed", 0.15))
        tyre.setdefault("stribeck_speed", tyre["grip_speed"] / 2)
    return tyre


def _links(chance: Chance, side: Side) -> Raw:
    """Two links that hold the hub, or an arm."""
    radius, base = side.radius, side.base
    mass = {} if chance.one_in(3) else {"mass": chance.number(0, 0.1) * side.mass}
    if chance.one_in(4):
        pin = side.at(chance.number(0.2, 0.45) * base, chance.number(0.7, 1.6) * radius)
        return {"arm": {"chassis": pin} | mass}
    links = {}
    for name, low, high in (("lower", -0.4, -0.1), ("upper", 0.2, 0.7)):
        pin = side.at(chance.number(-0.2, 0.3) * radius, radius * (1 + chance.number(low, high)))
        length, rise = chance.number(0.22, 0.42) * base, chance.number(-0.05, 0.3)
        far = [pin[0] + side.inward * length, pin[1] + rise * length * (1 if name == "lower" else 0.4)]
        links[f"{name}_link"] = {"axle": pin, "chassis": far} | mass
    return links


def _shaft(chance: Chance, side: Side) -> Raw:
    """A drive shaft from the pinion, inward and on the whole upward."""
    radius, base = side.radius, side.base
    return {
        "axle": side.at(chance.number(0.2, 0.6) * radius, radius * chance.number(0.8, 1.3)),
        "chassis": side.at(chance.number(0.3, 0.45) * base + 0.6 * radius, radius * chance.number(0.9, 1.6)),
        "ratio": chance.number(1, 6),
    } | chance.some(
        friction=lambda: chance.number(0, 0.4),
        presliding=lambda: chance.wide(0.01, 0.2),
        turns=lambda: chance.of("clockwise", "anticlockwise"),
        spline_radius=lambda: max(chance.number(0.03, 0.1) * radius, 0.5),
    )


def _mount(chance: Chance, side: Side, axle: Raw) -> tuple[Raw, list[float]]:
    """Keys of the lower mount of a shock and where it is."""
    if "arm" in axle or chance.one_in(2):
        at = side.at(chance.number(-0.2, 0.4) * side.radius, side.radius * chance.number(0.9, 1.4))
        return {"axle": at}, at
    link, fraction = chance.of("lower", "upper"), chance.number(0.6, 1)
    held = axle[f"{link}_link"]
    pairs = zip(held["chassis"], held["axle"], strict=True)
    return {"link": link, "fraction": fraction}, [a + fraction * (b - a) for a, b in pairs]


def _shock(chance: Chance, side: Side, axle: Raw) -> Raw:
    keys, low = _mount(chance, side, axle)
    length, lean = chance.number(1.1, 2) * side.radius, math.radians(chance.number(-20, 40))
    stroke, inside = chance.number(0.2, 0.45) * length, chance.number(0.25, 0.7)
    top = [low[0] + side.inward * length * math.sin(lean), low[1] + length * math.cos(lean)]
    extended = math.dist(top, low) + inside * stroke
    each = 0.5 * side.load * chance.number(0.4, 0.9)  # N, of one shock, roughly
    return (
        keys
        | {"chassis": top, "extended_length": extended, "stroke": stroke}
        | {"springs": _springs(chance, each, stroke, inside)}
        | chance.some(
            mass=lambda: chance.number(0, 0.05) * side.mass,
            damper=lambda: _damper(chance, each, stroke),
            friction=lambda: _friction(chance, each),
            bump_stop=lambda: _stop(chance, each, stroke),
            droop_stop=lambda: _stop(chance, each, stroke),
        )
    )


def _springs(chance: Chance, each: float, stroke: float, inside: float) -> list[Raw]:
    """Springs that bear `each` at ride height: held there, or nearly, or none; some that help or hinder."""
    rate = chance.number(0.3, 3) * each / stroke
    borne = each - rate * inside * stroke  # preload that would bear it
    main = {"rate": rate, **chance.some(push=True)}
    start = {"hold_ride_height": True}
    if chance.one_in(3):
        start = {"loose_at": -borne / rate} if borne < 0 or chance.one_in(2) else {"preload": borne}
    springs = [] if chance.one_in(12) else [main | start]
    for _ in chance.count(2):
        small = chance.number(0.02, 0.25) * each
        pull = {"push": False, "rate": small / stroke} | chance.of(
            {"preload": small}, {"loose_at": chance.number(0.1, 1.5) * stroke}
        )
        push = {"push": True, "rate": small / stroke}
        push |= chance.of({}, {"loose_at": chance.number(-0.5, 0.8) * stroke}, {"hold_ride_height": False})
        springs.insert(chance.of(0, len(springs)), chance.of(pull, push))
    return springs


def _damper(chance: Chance, each: float, stroke: float) -> Raw:
    """Oil that takes up to twice the load at a stroke in a tenth of a second."""
    rate = 1e3 * each / (10 * stroke)  # N s/m
    if chance.one_in(2):
        return chance.some(
            compression=lambda: rate * chance.number(0, 2), rebound=lambda: rate * chance.number(0, 2)
        )
    speeds = [-0.3, -0.05, 0.04, 0.5][chance.of(0, 1) : chance.of(3, 4)]
    forces = sorted(rate * speed * chance.number(0.1, 1) for speed in speeds)
    return {"table": [list(row) for row in zip(speeds, forces, strict=True)]}


def _friction(chance: Chance, each: float) -> Raw:
    breakaway = chance.number(0, 0.4) * each
    friction = {"breakaway": breakaway} | chance.some(
        sliding=lambda: breakaway * chance.number(0.5, 1),
        presliding=lambda: chance.wide(0.02, 0.5),
        stribeck_speed=lambda: chance.wide(2, 100),
    )
    return friction


def _stop(chance: Chance, each: float, stroke: float) -> Raw:
    return chance.some(
        length=lambda: chance.number(0.03, 0.12) * stroke,
        rate=lambda: chance.wide(3, 100) * each / stroke,
        damping=lambda: chance.number(0, 3),
    )


def _axle(chance: Chance, side: Side) -> Raw:
    axle = {"tyre": _agreed(_tyre(chance, side))} | _links(chance, side)
    mass = chance.number(0.3, 0.6) * side.mass
    housing = {"mass": mass, "pitch_inertia": 1e-3 * mass * (chance.number(0.2, 0.6) * side.radius) ** 2}
    if chance.one_in(2):
        housing["cg"] = side.at(
            chance.number(-0.2, 0.3) * side.radius, side.radius * chance.number(0.85, 1.2)
        )
    axle |= {"housing": housing, "shock": _shock(chance, side, axle)}
    return axle | chance.some(shaft=lambda: _shaft(chance, side))


def _motor(chance: Chance, torque: float) -> Raw:
    """A motor whose brake holds `torque` (N mm, at its shaft) and which gives about as much."""
    voltage, kv = chance.wide(3, 30), chance.wide(200, 5000)
    constant = 60e3 / (2 * math.pi * kv)  # N mm/A
    stall = chance.number(1, 6) * torque / constant
    return (
        {
            "kv": kv,
            "voltage": voltage,
            "resistance": min(1e3 * voltage / stall, 20000),
            "no_load_current": min(chance.number(0.01, 0.05) * stall, 50),
            "rotor_inertia": min(chance.wide(0.3, 3) * torque, 10000),
        }
        | {"brake_torque": min(chance.number(1, 3) * torque, 10000)}
        | chance.some(current_limit=lambda: min(chance.number(0.3, 1.5) * stall, 500))
    )


def _driveline(chance: Chance, torque: float, ratio: float, mass: float) -> Raw:
    """`torque` at the wheels in N mm winds the shafts up by some degrees."""
    return {"ratio": ratio} | chance.some(
        drive=chance.of("all", "rear", "front"),
        overdrive=lambda: chance.number(-15, 40),
        efficiency=lambda: chance.number(40, 100),
        rear_stiffness=lambda: min(chance.wide(3, 40) * 1e-3 * torque, 1000),
        front_stiffness=lambda: min(chance.wide(3, 40) * 1e-3 * torque, 1000),
        damping=lambda: chance.wide(0.003, 0.05) * 1e-3 * torque,
        shaft_mass=lambda: chance.number(0, 0.03) * mass,
    )


def _parts(chance: Chance, base: float, radius: float, mass: float) -> list[Raw]:
    """Loose parts low in the middle or at the axles, a tenth of the rig at most."""
    parts = []
    for k in chance.count(3):
        on = chance.of("chassis", "rear", "front")
        x = {"chassis": chance.number(0.3, 0.7), "rear": 0.02, "front": 0.98}[on] * base
        part = {"name": f"part {k}", "mass": chance.number(0.002, 0.03) * mass, "at": [x, 1.2 * radius]}
        size = {"size": [chance.number(0.05, 0.3) * base, chance.number(0.1, 0.5) * radius]}
        parts.append(part | ({"on": on} if on != "chassis" or chance.one_in(2) else {}) | chance.of({}, size))
    return parts


def _skids(chance: Chance, base: float, radii: tuple[float, float], load: float) -> list[Raw]:
    """Discs between the tyres that clear the ground on the level."""
    skids, gap = [], 0.1 * (base - sum(radii))
    for _ in chance.count(4):
        radius = chance.number(0.02, 0.05) * base
        left, right = radii[0] + radius + gap, base - radii[1] - radius - gap
        x = 0.5 * (left + right) + chance.number(-0.5, 0.5) * max(right - left, 0.0)
        high = radius + chance.number(0.5, 1.2) * max(radii)
        skids.append(
            {"at": [x, high]}
            | chance.some(
                radius=radius,
                stiffness=lambda: chance.wide(0.5, 5) * load,
                damping=lambda: chance.number(0, 30),
                grip=lambda: chance.number(0, 1.5),
            )
        )
    return skids


def _rig(chance: Chance) -> Raw:
    base = chance.wide(150, 900)
    mass = min(2500 * (base / 320) ** 2.5 * chance.wide(0.4, 2.5), 19000)
    radii = chance.number(0.12, 0.26) * base, chance.number(0.12, 0.26) * base
    ahead, unsprung = chance.number(0.35, 0.65), chance.number(0.15, 0.6)
    loads = (GRAVITY * mass * (1 - ahead), GRAVITY * mass * ahead)
    middle = chance.number(-0.1, 0.1)
    sides = [
        Side(x, inward, radius, load, unsprung * mass * (0.5 + sign * middle), base)
        for x, inward, radius, load, sign in zip((0, base), (1, -1), radii, loads, (1, -1), strict=True)
    ]
    body = (1 - unsprung) * mass
    torque, ratio = GRAVITY * mass * max(radii), chance.wide(3, 120)  # N mm at the wheels
    return (
        chance.some(schema=1, note="drawn")
        | {
            "name": "drawn",
            "wheelbase": base,
            "chassis": {
                "mass": body,
                "cg": [
                    base * min(max(ahead + chance.number(-0.1, 0.1), 0.2), 0.8),
                    chance.number(1, 2.2) * radii[0],
                ],
                "pitch_inertia": min(1e-3 * body * (chance.number(0.15, 0.35) * base) ** 2, 1e6),
            },
            "rear": _axle(chance, sides[0]),
            "front": _axle(chance, sides[1]),
            "driveline": _driveline(chance, torque, ratio, mass),
            "motor": _motor(chance, torque / ratio),
        }
        | chance.some(
            track=lambda: max(chance.number(0.4, 0.9) * base, 50.0),
            parts=lambda: _parts(chance, base, max(radii), mass),
            skids=lambda: _skids(chance, base, radii, GRAVITY * mass),
            weighed=lambda: chance.some(
                rear=lambda: chance.number(0.3, 0.7) * mass, front=lambda: chance.number(0.3, 0.7) * mass
            ),
        )
    )


def _scenario(chance: Chance) -> Raw:
    rig = _rig(chance)
    control = chance.of("torque", "throttle", "speed")
    most = {"torque": rig["motor"]["brake_torque"], "throttle": 100, "speed": 1}[control]
    driver = {"control": control, "release": 0.05}
    driver[control] = [[0, 0], [chance.number(0.01, 0.1), chance.number(-1, 1) * most]]
    return {
        "title": "drawn",
        "rig": rig,
        "driver": driver,
        "end": {"duration": 0.2},
        "output": {"rate": 200},
    }


SEEDS = st.integers(0, 2**32 - 1)


def standing_rigs() -> st.SearchStrategy[Raw]:
    """Rig tables that fit together, most of which stand on the level."""
    return SEEDS.map(lambda seed: _rig(Chance(seed)))


def standing_scenarios() -> st.SearchStrategy[Raw]:
    """Such rigs on the level, driven off for a fifth of a second; what the driver asks for is drawn too."""
    return SEEDS.map(lambda seed: _scenario(Chance(seed)))
