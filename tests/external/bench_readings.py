"""What instruments show of a known rig: free bodies and laws written here, from its rig file's numbers alone.

Nothing of the program is used. SI inside; a reading is `Shown`: what the instrument would show if it were
perfect, its error and its unit. Tyres follow section 5 of the design: overlap pressure, N = k d within 2 %,
rolling radius R - d/3. Links, shocks and shafts weigh half at either end (section 2).
"""

import math
from collections.abc import Callable, Iterable
from typing import Any, NamedTuple

import numpy as np
from scipy.optimize import brentq

G = 9.80665  # m/s^2, standard gravity
ENDS = ("rear", "front")
Raw = dict[str, Any]
Place = tuple[float, float]


class Shown(NamedTuple):
    """A perfect reading, the error that 19 of 20 real ones keep within, and the unit of both."""

    value: float
    error: float
    unit: str


class Lump(NamedTuple):
    """A mass: kg, where it is (m), its own pitch inertia (kg m^2)."""

    mass: float
    x: float
    z: float
    inertia: float = 0.0


def written(table: Any, rng: np.random.Generator | None = None) -> Any:
    """A worksheet as text, each reading off by chance: normal, standard deviation half the error."""
    if isinstance(table, Shown):
        off = 0.0 if rng is None else rng.normal(0.0, 0.5 * table.error)
        unit = "" if table.unit == "1" else f" {table.unit}"
        return f"{table.value + off:.9g} +- {table.error:g}{unit}"
    if isinstance(table, dict):
        return {key: written(one, rng) for key, one in table.items()}
    return [written(one, rng) for one in table] if isinstance(table, list | tuple) else table


def mm(metres: float, error: float = 1.0) -> Shown:
    return Shown(metres * 1e3, error, "mm")


def spot(place: Iterable[float], error: float = 1.0) -> list[Shown]:
    return [mm(one, error) for one in place]


def grams(mass: float, error: float = 1.0) -> Shown:
    return Shown(mass * 1e3, error, "g")


def of_load(newtons: float, error: float = 1.0) -> Shown:
    return grams(newtons / G, error)


def degrees(angle: float, error: float) -> Shown:
    return Shown(math.degrees(angle), error, "deg")


# --- tyres ---------------------------------------------------------------------------------------------


def tyre_load(radius: float, stiffness: float, depth: float) -> float:
    """Load of a round tyre whose lowest point lies `depth` below flat ground: p(A) times the chord."""
    half = math.acos(1.0 - depth / radius)
    area = radius**2 * (half - math.sin(half) * math.cos(half))
    squash = (0.75 * area / math.sqrt(2.0 * radius)) ** (2.0 / 3.0)
    pressure = stiffness * squash / (2.0 * math.sqrt(2.0 * radius * squash - squash**2))
    return pressure * 2.0 * radius * math.sin(half)


class Wheel:
    """One wheel, SI."""

    def __init__(self, tyre: Raw) -> None:
        self.radius, self.stiffness = tyre["radius"] * 1e-3, tyre["stiffness"] * 1e3
        self.mass, self.inertia = tyre["wheel_mass"] * 1e-3, tyre["spin_inertia"] * 1e-6
        self.drag = tyre["rolling_resistance"] * 1e-2
        self.grips = tyre["peak_grip"], tyre["sliding_grip"]

    def squash(self, load: float) -> float:
        """How much lower the axle is than with the tyre just touching."""

        def excess(depth: float) -> float:
            return tyre_load(self.radius, self.stiffness, depth) - load

        return float(brentq(excess, 1e-9, 0.6 * self.radius))

    def rolling(self, load: float) -> float:
        """Way per radian turned."""
        return self.radius - self.squash(load) / 3.0

    def pressed(self, loads: Iterable[float]) -> list[list[Shown]]:
        """Rows of scale and travel."""
        return [[of_load(load), mm(self.squash(load), 0.2)] for load in loads]

    def down_the_board(self, slope: float, way: float) -> float:
        """Time from rest. m a = m g sin - F; J a/R_e = F R_e - c N R, N = m g cos."""
        normal = self.mass * G * math.cos(slope)
        arm = self.rolling(normal)
        push = self.mass * G * math.sin(slope) - self.drag * normal * self.radius / arm
        return math.sqrt(2.0 * way * (self.mass + self.inertia / arm**2) / push)

    def rolls_from(self, load: float) -> float:
        """Slope on which a rig on such wheels keeps rolling: the drag moment c N R against F R_e."""
        return math.atan(self.drag * self.radius / self.rolling(load))


# --- shocks --------------------------------------------------------------------------------------------


class Strut:
    """One shock, SI, with the force of its spring at full length."""

    def __init__(self, shock: Raw, preload: float) -> None:
        self.rate, self.preload = shock["springs"][0]["rate"] * 1e3, preload
        self.oil = shock["damper"]["compression"], shock["damper"]["rebound"]
        self.breakaway, self.friction = shock["friction"]["breakaway"], shock["friction"]["sliding"]
        self.stroke = shock["stroke"] * 1e-3

    def weighed(self, rng: np.random.Generator | None = None) -> dict[str, list[list[Shown]]]:
        """Weights put on and taken off again.

        How gently they are let down changes the friction that they show: by up to 10 % (19 of 20 times),
        which is what the program says of them.
        """
        friction = self.friction * (rng.normal(1.0, 0.05) if rng else 1.0)
        return {"loading": self.rows(1.0, friction), "unloading": self.rows(-1.0, friction)}

    def rows(self, sense: float, friction: float, count: int = 5) -> list[list[Shown]]:
        """Weights and how far the shock is pushed in: spring + sense * friction carries them.

        Sense is 1 while weights are put on, -1 while they are taken off; all rows stay clear of the stops.
        """
        clear = 0.002 + self.friction / self.rate
        found = []
        for travel in np.linspace(clear, self.stroke - clear, count):
            weight = round((self.preload + self.rate * travel) / G, 3)
            pushed = (weight * G - sense * friction - self.preload) / self.rate
            found.append([grams(weight, 0.5), mm(pushed, 0.2)])
        return found

    def moved(self, weight: float, way: float, rebound: bool = False) -> Raw:
        """Springless, at steady speed: weight = oil * speed + friction."""
        speed = (weight * G - self.friction) / self.oil[rebound]
        return {
            "weight": grams(weight, 0.5),
            "distance": mm(way, 0.3),
            "time": Shown(way / speed, 0.01, "s"),
        }

    def swung(self, weight: float, first: float) -> tuple[list[float], list[float]]:
        """Where a weight turns that swings on the shock, and the time from each turn to the next.

        Compressed by `first` from where the spring alone carries it, and let go. While it moves, friction
        shifts what it swings about by F/k, and the oil of its way shrinks each half by exp(-zeta w T/2):
        it turns at b - (x - b) shrink, b = +-F/k, until it stays inside |x| <= F/k.
        """
        band, free = self.friction / self.rate, math.sqrt(self.rate / weight)
        places, times = [first], []
        while abs(places[-1]) > band:
            outward = places[-1] > 0.0  # further in than the middle: it gets longer now
            zeta = self.oil[outward] / (2.0 * weight * free)
            times.append(math.pi / (free * math.sqrt(1.0 - zeta**2)))
            about = math.copysign(band, places[-1])
            places.append(about - (places[-1] - about) * math.exp(-zeta * free * times[-1]))
        return places, times


# --- the whole rig -------------------------------------------------------------------------------------


class Known:
    """A known rig: its lumps, its axle loads, where its axle centres stand, and what its springs carry."""

    def __init__(self, rig: Raw) -> None:
        self.raw, self.span = rig, rig["wheelbase"] * 1e-3
        self.wheels = [Wheel(rig[end]["tyre"]) for end in ENDS]
        # Weights and places along the rig do not ask how far tyres give, only heights do.
        self.centres: list[Place] = [(0.0, 0.0), (self.span, 0.0)]
        self.mass = sum(lump.mass for lump in self.lumps())
        along = sum(lump.mass * lump.x for lump in self.lumps()) / self.mass
        self.loads = (self.mass * G * (1.0 - along / self.span), self.mass * G * along / self.span)
        heights = [w.radius - w.squash(0.5 * load) for w, load in zip(self.wheels, self.loads, strict=True)]
        self.centres = [(0.0, heights[0]), (self.span, heights[1])]
        self.cg = along, sum(lump.mass * lump.z for lump in self.lumps()) / self.mass
        self.struts = [Strut(rig[end]["shock"], self._preload(i)) for i, end in enumerate(ENDS)]

    def lumps(self) -> list[Lump]:
        return [lump for body in (0, 1, 2) for lump in self.body(body)]

    def body(self, body: int) -> list[Lump]:
        """Lumps of the chassis (0), the rear (1) and the front axle (2)."""
        rig, found = self.raw, []
        if body == 0:
            own = rig["chassis"]
            found.append(_lump(own["mass"], own["cg"], own["pitch_inertia"]))
        else:
            end, centre = rig[ENDS[body - 1]], [1e3 * one for one in self.centres[body - 1]]
            found.append(_lump(end["housing"]["mass"], centre, end["housing"]["pitch_inertia"]))
            # Held by gears and brake the wheels turn with the rig that swings.
            found.append(_lump(2 * end["tyre"]["wheel_mass"], centre, 2 * end["tyre"]["spin_inertia"]))
        for i in (0, 1) if body == 0 else (body - 1,):
            for mass, top, bottom in self._between(rig[ENDS[i]]):
                found.append(_lump(0.5 * mass, top if body == 0 else bottom))
        for part in rig.get("parts", ()):
            if ("chassis", *ENDS).index(part.get("on", "chassis")) == body:
                length, height = part["size"]
                found.append(_lump(part["mass"], part["at"], part["mass"] * (length**2 + height**2) / 12e3))
        return found

    def _between(self, end: Raw) -> Iterable[tuple[float, list[float], list[float]]]:
        """Mass (g) and both ends (mm) of what links chassis and axle."""
        for name in ("lower_link", "upper_link"):
            yield end[name]["mass"], end[name]["chassis"], end[name]["axle"]
        yield 2 * end["shock"]["mass"], end["shock"]["chassis"], lower_mount(end)
        yield self.raw["driveline"]["shaft_mass"], end["shaft"]["chassis"], end["shaft"]["axle"]

    def travel(self, i: int) -> float:
        """How far a shock is pushed in, standing."""
        shock = self.raw[ENDS[i]]["shock"]
        return (shock["extended_length"] - math.dist(shock["chassis"], lower_mount(self.raw[ENDS[i]]))) * 1e-3

    def _preload(self, i: int) -> float:
        """Force of a spring at full length, for the rig to stand so: moments of the axle, cut free, about the
        point in which its links meet; a shock on a link counts by where that point of the link goes.
        """
        end, centre = self.raw[ENDS[i]], self.centres[i]
        meet = _meet(end["lower_link"], end["upper_link"])
        moment = self.loads[i] * (centre[0] - meet[0])
        moment -= sum(lump.mass * G * (lump.x - meet[0]) for lump in self.body(1 + i))
        top, bottom = (np.array(one) * 1e-3 for one in (end["shock"]["chassis"], lower_mount(end)))
        along = (bottom - top) / np.linalg.norm(bottom - top)
        arm = bottom - meet
        if "link" in end["shock"]:  # turned with the link about its chassis pin, as fast as its axle pin goes
            link = end[f"{end['shock']['link']}_link"]
            inner, outer = (np.array(link[key]) * 1e-3 for key in ("chassis", "axle"))
            reach = np.linalg.norm(outer - inner)
            ratio = float((outer - meet) @ (outer - inner)) / reach**2
            arm = ratio * (bottom - inner)
        lever = float(arm[0] * along[1] - arm[1] * along[0])
        force = -moment / lever / 2.0
        return force - end["shock"]["springs"][0]["rate"] * 1e3 * self.travel(i)

    def inertia(self) -> float:
        """Pitch inertia of the whole rig about its centre of mass."""
        x, z = self.cg
        return sum(one.inertia + one.mass * ((one.x - x) ** 2 + (one.z - z) ** 2) for one in self.lumps())

    def raised(self, end: str, height: float) -> float:
        """Load under the other axle, its centre staying as high as its tyres carry it.

        Locked and turned as one body: both axles bear straight up under their centres (round tyres, level
        steps), so the loads are parted by level distances from the centre of mass.
        """
        up = ENDS.index(end)
        low = 1 - up
        level = self.loads[low]
        for _ in range(20):
            sunk = self.wheels[low].squash(0.5 * level) - self.wheels[low].squash(0.5 * self.loads[low])
            base = np.subtract(self.centres[up], self.centres[low])
            length = math.hypot(*base)
            turn = math.asin((base[1] + height + sunk) / length) - math.asin(base[1] / length)
            if up == 0:  # the rear lies at smaller x: lifting it turns the nose down
                turn = -turn
            c, s = math.cos(turn), math.sin(turn)
            ahead = np.subtract(self.cg, self.centres[low])
            level_cg, level_base = c * ahead[0] - s * ahead[1], c * base[0] - s * base[1]
            level = self.mass * G * (1.0 - level_cg / level_base)
        return level

    def slides_at(self, grip: float, exponent: float, load: float) -> float:
        """Slope on which the locked rig slides, nose up, each tyre by grip (N/load)^-exponent, N its own.

        N_f = W (x/L cos - h/L sin) and N_r = W cos - N_f, two tyres each.
        """
        weight, along, up = self.mass * G, self.cg[0] / self.span, self.cg[1] / self.span

        def left_over(slope: float) -> float:
            front = weight * (along * math.cos(slope) - up * math.sin(slope))
            rear = weight * math.cos(slope) - front
            held = sum(one * grip * (0.5 * one / load) ** -exponent for one in (rear, front))
            return held - weight * math.sin(slope)

        return float(brentq(left_over, 0.01, 0.9))

    def tips_at(self, width: float) -> float:
        """Tilt at which the weight passes through the edge of two tyres."""
        return math.atan(0.5 * width / self.cg[1])

    def on_cords(self, top: float, bottom: float, length: float) -> float:
        """Period about the upright: turned by a small angle the cords' ends shift by r1 a and r2 a, each cord
        pulls with W/2 along its slope, about the axis W r1 r2 a / length.
        """
        restoring = self.mass * G * (0.5 * top) * (0.5 * bottom) / length
        return 2.0 * math.pi * math.sqrt(self.inertia() / restoring)

    def on_a_rod(self, at: Place) -> float:
        """Period about a rod."""
        arm = math.dist(at, self.cg)
        return 2.0 * math.pi * math.sqrt((self.inertia() + self.mass * arm**2) / (self.mass * G * arm))


def lower_mount(end: Raw) -> list[float]:
    """Lower end of a shock, mm."""
    shock = end["shock"]
    if "axle" in shock:
        return list(shock["axle"])
    link = end[f"{shock['link']}_link"]
    return [a + shock["fraction"] * (b - a) for a, b in zip(link["chassis"], link["axle"], strict=True)]


def _lump(mass: float, at: Iterable[float], inertia: float = 0.0) -> Lump:
    x, z = at
    return Lump(mass * 1e-3, x * 1e-3, z * 1e-3, inertia * 1e-6)


def _meet(lower: Raw, upper: Raw) -> np.ndarray:
    """The point in which two links meet, m."""
    ways = [np.subtract(link["axle"], link["chassis"]) for link in (lower, upper)]
    a, _ = np.linalg.solve(
        np.column_stack((ways[0], -ways[1])), np.subtract(upper["chassis"], lower["chassis"])
    )
    return (np.array(lower["chassis"]) + a * ways[0]) * 1e-3


def camera(
    middle: Place, distance: float, focal: float, roll: float, yaw: float = 0.0, tilt: float = 0.0
) -> Callable[[Place], tuple[float, float]]:
    """A pin-hole camera at a distance (m) from the rig's middle; focal length in pixels, angles in rad.

    It turns about the middle of the rig, away from square by yaw and tilt, and about its own axis by roll.
    """
    cy, sy, ct, st, cr, sr = (f(a) for a in (yaw, tilt, roll) for f in (math.cos, math.sin))
    about_upright = np.array([[cy, 0, sy], [0, 1, 0], [-sy, 0, cy]])
    about_level = np.array([[1, 0, 0], [0, ct, -st], [0, st, ct]])
    about_axis = np.array([[cr, -sr, 0], [sr, cr, 0], [0, 0, 1]])
    turn = about_axis @ about_level @ about_upright

    def pixel(place: Place) -> tuple[float, float]:
        right, up, away = turn @ (place[0] - middle[0], place[1] - middle[1], 0.0)
        scale = focal / (distance + away)
        return 2000.0 + scale * right, 1500.0 - scale * up

    return pixel
