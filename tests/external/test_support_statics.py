"""Squat support of a rig against the statics of its bodies, cut free one by one.

Source of the numbers: planar statics of chassis and two axles (9 equations, linear solve; own numbers, no
outside publication), which agree to 1e-13 N with

    dS_r =  M A h/L - [(1 - xi) F e_r - m_r A (e_r - r)]/d_r
    dS_f = -M A h/L + [xi F e_f       - m_f A (e_f - r)]/d_f,     A = ax + g sin th, F = M A,

S the force of a spring upright through the axle centre, xi the front axle's share of the thrust, e and d the
height and the distance of the instant centre from the contact. "Simple" percentages leave the axle mass out:
100 (1 - xi) (e_r/d_r)/(h/L) and 100 xi (e_f/d_f)/(h/L), the solid-axle form of Gillespie, Fundamentals of
Vehicle Dynamics (SAE 1992), ch 7. "With axle mass" is all of the moved load that the spring need not carry,
100 (1 - dS/dN).

Springs and tyres are as hard as a file allows, so that the geometry stays what it was on paper. Forces are
compared per weight, because the numbers were worked out with g = 9.81 m/s^2.
"""

import functools
import math
from typing import Any, NamedTuple

import numpy as np
import pytest
from rigs import AT_REST, GRAVITY, scenario, textbook_rig
from scipy.optimize import root_scalar

import simcore

SPAN, RADIUS, MASS, AXLE = 320.0, 60.0, 2600.0, 500.0  # mm, mm, g, g
CG = (1.6 * 180.0 + 0.5 * SPAN) / 2.6, (1.6 * 95.0 + 1.0 * RADIUS) / 2.6  # 1.6 kg at (180, 95) mm, and axles
LOWER, UPPER = ((10.0, 50.0), (125.0, 70.0)), ((-5.0, 85.0), (95.0, 92.0))  # rear: axle pin, chassis pin
WEIGHT_981 = 2.6 * 9.81


class Row(NamedTuple):
    """One row of the numeric anchor: forces in N at g = 9.81 m/s^2, percentages of the rear and front."""

    drive: str
    slope: float
    xi: float
    load: tuple[float, float]
    spring: tuple[float, float]
    simple: tuple[float, float]
    with_mass: tuple[float, float]


ROWS = {
    "rear drive": Row(
        "rear", 0, 0.0, (13.0970, 12.4090), (-0.141432, -1.466023), (121.317, 0.0), (110.674, -10.643)
    ),
    "both alike": Row(
        "all", 0, 0.5, (13.0970, 12.4090), (0.662296, -0.662296), (60.659, 60.659), (50.015, 50.015)
    ),
    "front drive": Row(
        "front", 0, 1.0, (13.0970, 12.4090), (1.466023, 0.141432), (0.0, 121.317), (-10.643, 110.674)
    ),
    "climb, both alike": Row(
        "all", 30, 0.5, (13.444414, 8.644430), (1.624280, -1.624280), (60.659, 60.659), (50.015, 50.015)
    ),
    "climb, rear more": Row(
        "all", 30, 0.35, (13.444414, 8.644430), (1.032937, -2.215623), (78.856, 42.461), (68.213, 31.818)
    ),
}


def hard_rig(**driveline: Any) -> dict[str, Any]:
    """The anchor's vehicle: hard springs and tyres, wheels and rotor that take no torque to spin up."""
    rig = textbook_rig(
        SPAN,
        CG,
        MASS,
        6000,
        unsprung=AXLE,
        radius=RADIUS,
        spin_inertia=0.01,
        slip_stiffness=10,
        damping=200,
    )
    for end, turned in (("rear", 1.0), ("front", -1.0)):
        for name, (pin, top) in (("lower_link", LOWER), ("upper_link", UPPER)):
            places = [[SPAN / 2 + turned * (x - SPAN / 2), z] for x, z in (pin, top)]
            rig[end][name] = {"axle": places[0], "chassis": places[1]}
        rig[end]["shock"]["damper"] = {"compression": 200, "rebound": 200}
    rig["driveline"] |= {"ratio": 1, "damping": 0.1, "rear_stiffness": 50, "front_stiffness": 50} | driveline
    rig["motor"] |= {"kv": 100}
    return rig


def steady(rig: dict[str, Any], slope: float, speed: float | None = None, torque: float = 0.0) -> Any:
    """Last row of the series, once steady, of a rig that accelerates under a torque or holds a speed."""
    driver: dict[str, Any] = {"control": "torque", "torque": [[0, 0], [0.2, torque]], "release": 0.05}
    if speed is not None:
        driver = {"control": "speed", "speed": [[0, 0], [0.2, speed]], "release": 0.05}
    asked = scenario(
        rig,
        driver,
        ground={"slope": slope},
        end={"duration": 1.0},
        output={"rate": 50},
        solver={"relative": 1e-8, "absolute": 1e-10},
    )
    run = simcore.simulate(asked)
    assert run.sound, run.audit.faults
    last, before = run.series.iloc[-1], run.series.iloc[-4]
    for name in ("rear_load_N", "rear_thrust_N", "front_thrust_N"):
        assert last[name] == pytest.approx(before[name], abs=2e-4), "not steady"
    return last


def forward(row: Row, overdrive: float) -> Any:
    rig = hard_rig(drive=row.drive, overdrive=overdrive)
    if row.slope:
        return steady(rig, row.slope, speed=0.3)
    torque = MASS * 1e-3 * 2.0 * GRAVITY / 9.81 * RADIUS
    return steady(rig, 0.0, torque=torque * (1.0 + row.xi * overdrive / 100.0))  # fast wheels push less


def front_share(last: Any) -> float:
    return last["front_thrust_N"] / (last["rear_thrust_N"] + last["front_thrust_N"])


@functools.cache
def driven(name: str) -> Any:
    """A row driven; with both axles, at the overdrive which parts the thrust as the row asks."""
    row = ROWS[name]
    if row.drive != "all":
        return forward(row, 0.0)
    kept = {}

    def excess(overdrive: float) -> float:
        kept[overdrive] = forward(row, overdrive)
        return front_share(kept[overdrive]) - row.xi

    found = root_scalar(excess, x0=0.0, x1=0.5, method="secant", xtol=1e-4).root
    return min(kept.items(), key=lambda case: abs(case[0] - found))[1]


def each(last: Any, column: str) -> np.ndarray:
    return np.array([last[f"rear_{column}"], last[f"front_{column}"]])


@pytest.mark.parametrize("name", ROWS)
def test_a_driven_rig_shows_the_numbers(name: str) -> None:
    row, last = ROWS[name], driven(name)
    weight = MASS * 1e-3 * GRAVITY
    assert front_share(last) == pytest.approx(row.xi, abs=1e-5)
    pull = 2.0 / 9.81 if not row.slope else math.sin(math.radians(row.slope))
    assert each(last, "thrust_N").sum() / weight == pytest.approx(pull, rel=1e-4)
    np.testing.assert_allclose(each(last, "load_N") / weight, np.array(row.load) / WEIGHT_981, rtol=4e-5)
    level = np.array([SPAN - CG[0], CG[0]]) / SPAN * weight - 1e-3 * AXLE * GRAVITY
    change = each(last, "shock_force_N") - level * math.cos(math.radians(row.slope))
    np.testing.assert_allclose(change / weight, np.array(row.spring) / WEIGHT_981, atol=2e-5)
    np.testing.assert_allclose(each(last, "support_pct"), row.simple, atol=0.02)
    driven_ends = [row.xi < 1.0, row.xi > 0.0]  # the textbook says nothing of an end without drive
    np.testing.assert_allclose(
        each(last, "usual_formula_pct"), np.where(driven_ends, row.simple, np.nan), atol=0.02
    )
    np.testing.assert_allclose(each(last, "axle_mass_counted_pct"), row.with_mass, atol=0.02)


# --- statics with every body cut free, for any layout ---

Vector = np.ndarray
DOWN = np.array([0.0, -1.0])
UP = np.array([0.0, 1.0])


def moment(place: Any, force: Any) -> float:
    return float(place[0] * force[1] - place[1] * force[0])


class Equations:
    """Balance of bodies: each unknown pushes on bodies at places; rows are x, z and moment of each body."""

    def __init__(self, bodies: list[str]) -> None:
        self.bodies = bodies
        self.columns: list[Vector] = []
        self.known = np.zeros(3 * len(bodies))
        self.names: list[str] = []

    def _pushes(self, pushes: list[tuple[str, Any, Any]]) -> Vector:
        column = np.zeros(3 * len(self.bodies))
        for body, place, force in pushes:
            if body in self.bodies:
                at = 3 * self.bodies.index(body)
                column[at : at + 3] += [force[0], force[1], moment(place, force)]
        return column

    def unknown(self, name: str, *pushes: tuple[str, Any, Any]) -> None:
        self.names.append(name)
        self.columns.append(self._pushes(list(pushes)))

    def given(self, *pushes: tuple[str, Any, Any]) -> None:
        self.known += self._pushes(list(pushes))

    def solve(self) -> dict[str, float]:
        found = np.linalg.solve(np.column_stack(self.columns), -self.known)
        return dict(zip(self.names, found, strict=True))


def pins(equations: Equations, end: str, axle: dict[str, Any]) -> None:
    """Each link is a body of its own between two pins."""
    for name in ("lower_link", "upper_link"):
        link = f"{end} {name}"
        for top, body in (("chassis", "chassis"), ("axle", end)):
            for k, unit in enumerate(np.eye(2)):
                place = axle[name][top]
                equations.unknown(f"{link} {top} {'xz'[k]}", (link, place, -unit), (body, place, unit))


def shock_line(end: str, axle: dict[str, Any]) -> tuple[str, Vector, Vector, Vector]:
    """The body that carries the lower mount, lower and upper mount, direction from the one to the other."""
    shock = axle["shock"]
    body, lower = end, np.array(shock.get("axle", (0.0, 0.0)))
    if "link" in shock:
        body = f"{end} {shock['link']}_link"
        link = axle[f"{shock['link']}_link"]
        top, bottom = np.array(link["chassis"]), np.array(link["axle"])
        lower = top + shock["fraction"] * (bottom - top)
    upper = np.array(shock["chassis"])
    return body, lower, upper, (upper - lower) / np.linalg.norm(upper - lower)


def wheels(rig: dict[str, Any], end: str) -> tuple[Vector, Vector, float]:
    """Axle centre, centre of mass of the axle with its wheels (mm), and its mass, kg."""
    axle, centre = rig[end], np.array([0.0 if end == "rear" else rig["wheelbase"], RADIUS])
    housing, pair = axle["housing"]["mass"], 2 * axle["tyre"]["wheel_mass"]
    place = np.array(axle["housing"].get("cg", centre))
    return centre, (housing * place + pair * centre) / (housing + pair), 1e-3 * (housing + pair)


def whole_rig(rig: dict[str, Any], slope: float, thrust: Vector, *pushes: Any) -> dict[str, float]:
    """Loads, shock forces, link forces and acceleration along the ground, from the thrust of each axle and
    further pushes (body, place, force).

    Axes along and across the ground: 21 equations (chassis, two axles, four links, three each) for 16 pin
    forces, two shocks, two loads and the acceleration.
    """
    ends = ("rear", "front")
    links = [f"{end} {name}" for end in ends for name in ("lower_link", "upper_link")]
    equations = Equations(["chassis", *ends, *links])
    gravity = GRAVITY * np.array([-math.sin(math.radians(slope)), -math.cos(math.radians(slope))])
    masses = [("chassis", np.array(rig["chassis"]["cg"]), 1e-3 * rig["chassis"]["mass"])]
    for end, force in zip(ends, thrust, strict=True):
        centre, place, mass = wheels(rig, end)
        masses.append((end, place, mass))
        pins(equations, end, rig[end])
        body, lower, upper, along = shock_line(end, rig[end])
        equations.unknown(f"{end} shock", (body, lower, -along), ("chassis", upper, along))
        foot = centre - [0.0, RADIUS]
        equations.unknown(f"{end} load", (end, foot, UP))
        equations.given((end, foot, [force, 0.0]))
    for body, place, mass in masses:
        equations.given((body, place, mass * gravity))
    equations.given(*pushes)
    equations.unknown("ax", *((body, place, [-mass, 0.0]) for body, place, mass in masses))
    return equations.solve()


def carried(rig: dict[str, Any], end: str, *pushes: tuple[str, Any, Any]) -> float:
    """The tyre load which alone balances some forces on an axle, chassis held: what they put on the ground.

    Nine equations (axle and its two links) for eight pin forces and the load; the shock is cut.
    """
    equations = Equations([end, f"{end} lower_link", f"{end} upper_link"])
    pins(equations, end, rig[end])
    equations.unknown("load", (end, wheels(rig, end)[0] - [0.0, RADIUS], UP))
    equations.given(*pushes)
    return equations.solve()["load"]


def shares(rig: dict[str, Any], end: str, slope: float, thrust: float, ax: float, shock: float) -> Any:
    """Support, shock share, and share of weight and inertia of the axle, N at the contact."""
    centre, place, mass = wheels(rig, end)
    body, lower, _, along = shock_line(end, rig[end])
    lean = math.radians(slope)
    acting = mass * np.array([-GRAVITY * math.sin(lean) - ax, -GRAVITY * math.cos(lean)])
    support = carried(rig, end, (end, centre - [0.0, RADIUS], [thrust, 0.0]))
    return support, carried(rig, end, (body, lower, -shock * along)), carried(rig, end, (end, place, acting))


def layout(seed: int, mounts: tuple[str, str], **driveline: Any) -> dict[str, Any]:
    """A rig with pins, shocks, and centres of mass out of place; a shock leans on its housing or link."""
    draw, rig = np.random.default_rng(seed), hard_rig(**driveline)
    for end, mount in zip(("rear", "front"), mounts, strict=True):
        axle = rig[end]
        for name in ("lower_link", "upper_link"):
            for pin in ("chassis", "axle"):
                axle[name][pin] = list(np.array(axle[name][pin]) + draw.uniform(-6, 6, 2))
        centre = wheels(rig, end)[0]
        axle["housing"]["cg"] = list(centre + draw.uniform(-15, 15, 2))
        axle["housing"]["mass"] += draw.uniform(-80, 80)
        shock = axle["shock"]
        del shock["axle"]
        where = (
            {"axle": list(centre + draw.uniform(-20, 20, 2))}
            if mount == "axle"
            else {"link": mount, "fraction": draw.uniform(0.6, 0.95)}
        )
        shock |= where
        lower = shock_line(end, axle)[1]
        inward = 1.0 if end == "rear" else -1.0
        lean = draw.uniform(-0.1, 0.5)
        shock["chassis"] = list(lower + 140.0 * np.array([inward * math.sin(lean), math.cos(lean)]))
        shock |= {"extended_length": 150, "stroke": 20}
    rig["chassis"]["cg"] = [180 + draw.uniform(-10, 10), 95 + draw.uniform(-10, 10)]
    return rig


def compare(rig: dict[str, Any], slope: float, last: Any, ax: float | None = None) -> None:
    """A row of the series against the statics. Tyres and springs give by some 5 micrometres, 1e-4 of the
    lever of the thrust: bounds are that share of the thrust of some 5 N (for links, of their forces).
    """
    thrust = each(last, "thrust_N")
    answer = whole_rig(rig, slope, thrust)
    rest = whole_rig(rig, 0.0, np.zeros(2))
    if ax is not None:
        assert answer["ax"] == pytest.approx(ax, abs=1e-5)
    for i, end in enumerate(("rear", "front")):
        load, shock = answer[f"{end} load"], answer[f"{end} shock"]
        assert last[f"{end}_load_N"] == pytest.approx(load, abs=5e-4)
        assert last[f"{end}_shock_force_N"] == pytest.approx(shock, abs=1e-3)
        support, sprung, unsprung = shares(rig, end, slope, thrust[i], answer["ax"], shock)
        assert support + sprung + unsprung == pytest.approx(load, abs=1e-9), "the statics are at fault"
        assert last[f"{end}_support_N"] == pytest.approx(support, abs=5e-4)
        assert last[f"{end}_spring_share_N"] == pytest.approx(sprung, abs=1e-3)
        own = last[f"{end}_unsprung_weight_N"] + last[f"{end}_unsprung_inertia_N"]
        assert own == pytest.approx(unsprung, abs=3e-4)
        ratio = sprung / shock
        assert last[f"{end}_motion_ratio"] == pytest.approx(ratio, abs=1e-4)
        level = math.cos(math.radians(slope)) * rest[f"{end} load"]
        demand = load - level
        assert last[f"{end}_demand_N"] == pytest.approx(demand, abs=5e-4)
        assert last[f"{end}_support_pct"] == pytest.approx(100 * support / demand, abs=0.02)
        free_links(rig[end], end, answer, last)


def free_links(axle: dict[str, Any], end: str, answer: dict[str, float], last: Any) -> None:
    """Axial force of the links that carry no shock, compression positive."""
    for name in ("lower_link", "upper_link"):
        if axle["shock"].get("link") == name.split("_")[0]:
            continue
        way = np.array(axle[name]["chassis"]) - axle[name]["axle"]
        force = np.array([answer[f"{end} {name} chassis {k}"] for k in "xz"])
        assert abs(moment(way, force)) < 1e-9, "the statics are at fault"
        assert last[f"{end}_{name}_N"] == pytest.approx(force @ way / np.linalg.norm(way), abs=2e-3)


LAYOUTS = [(1, ("axle", "axle")), (2, ("lower", "upper")), (3, ("lower", "axle")), (4, ("upper", "lower"))]


@pytest.mark.parametrize("slope", [25.0, -20.0])
@pytest.mark.parametrize(("seed", "mounts"), LAYOUTS)
def test_a_rig_held_by_its_drag_brake(seed: int, mounts: tuple[str, str], slope: float) -> None:
    """Uphill the held tyres pull forward, downhill backward: drag braking is driving with a negative
    thrust, because its torque, too, reacts on the housing.
    """
    rig = layout(seed, mounts)
    run = simcore.simulate(scenario(rig, AT_REST, ground={"slope": slope}, end={"duration": 0.002}))
    last = run.series.iloc[0]
    assert math.copysign(1.0, each(last, "thrust_N").sum()) == math.copysign(1.0, slope)
    compare(rig, slope, last, ax=0.0)


@pytest.mark.parametrize("drive", ["rear", "front"])
def test_a_rig_that_accelerates(drive: str) -> None:
    rig = layout(5, ("axle", "lower"), drive=drive)
    last = steady(rig, 5.0, torque=480.0)
    compare(rig, 5.0, last)
    assert each(last, "thrust_N").sum() > 7.0


def test_a_rig_that_creeps_downhill_on_its_motor() -> None:
    rig = layout(6, ("lower", "axle"))
    last = steady(rig, -15.0, speed=0.3)
    assert each(last, "thrust_N").sum() < -6.0
    compare(rig, -15.0, last, ax=0.0)


def test_the_anchor_itself() -> None:
    """The free bodies give the printed numbers, and so does the rule: the two witnesses are independent."""
    rig, factor = hard_rig(), GRAVITY / 9.81
    for row in ROWS.values():
        pull = 2.6 * (2.0 * factor if not row.slope else GRAVITY * math.sin(math.radians(row.slope)))
        found = whole_rig(rig, row.slope, pull * np.array([1 - row.xi, row.xi]))
        level = whole_rig(rig, 0.0, np.zeros(2))
        for i, end in enumerate(("rear", "front")):
            assert found[f"{end} load"] / factor == pytest.approx(row.load[i], rel=1e-5)
            eased = level[f"{end} shock"] * math.cos(math.radians(row.slope))
            assert (found[f"{end} shock"] - eased) / factor == pytest.approx(row.spring[i], abs=2e-6)
