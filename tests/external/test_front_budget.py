"""Each term of the front load budget against a figure of its own.

Moments about the rear contact, axes along (x) and across (z) the ground, weight W = M g, a the distance of
the centre of mass ahead of the rear contact, h its height, L the wheelbase:

    N_f L = W (a cos th - h sin th) - M ax h + dH/dt - (rolling moments) - (moments of skids)

H the angular momentum about the centre of mass, nose-up positive: a wheel that gains spin forward takes
J dw/dt. First two terms: R. N. Jazar, Vehicle Dynamics: Theory and Application (Springer 2008), sec 2.4, eq
(2.121)-(2.130); a tyre with the rolling resistance c and the radius R takes c N R (the load acts c R ahead of
the wheel centre: any text). Numbers are of our own.
"""

import math
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from rigs import AT_REST, GRAVITY, scenario, textbook_rig

import simcore

SPAN, CG, MASS = 300.0, (160.0, 90.0), 2800.0  # mm, mm, g
WEIGHT = 1e-3 * MASS * GRAVITY
TERMS = ("level", "slope", "acceleration", "inertia", "cg_shift", "contact_shift", "skid")
SHIPPED = Path(__file__).parents[2] / "scenarios" / "slow_creep.toml"


def rig(rate: float = 1000.0, unsprung: float = 300.0, **tyre: float) -> dict[str, Any]:
    """Hard tyres, one-to-one gears, links that run towards each other; springs as asked, N/mm per axle."""
    keys = {"damping": 200, "slip_stiffness": 20, "spin_inertia": 0.01} | tyre
    raw = textbook_rig(SPAN, CG, MASS, 8000, (rate, rate), unsprung, **keys)
    damping = 200 if rate > 100 else 20
    for end, turned in (("rear", 1.0), ("front", -1.0)):
        raw[end]["shock"]["damper"] = {"compression": damping, "rebound": damping}
        for name, height in (("lower_link", 30.0), ("upper_link", 75.0)):
            x = SPAN / 2 * (1 - turned)
            raw[end][name] = {
                "axle": [x, height],
                "chassis": [x + turned * 110, 62.0 if height < 50 else 82.0],
            }
    raw["driveline"] |= {"ratio": 1, "damping": 0.1, "rear_stiffness": 50, "front_stiffness": 50}
    raw["motor"] |= {"kv": 100}
    return raw


def run_of(raw: dict[str, Any], driver: dict[str, Any], **tables: Any) -> Any:
    tables = {"solver": {"relative": 1e-8, "absolute": 1e-10}} | tables
    run = simcore.simulate(scenario(raw, driver, **tables))
    assert run.sound, run.audit.faults
    return run


def standing(raw: dict[str, Any], slope: float) -> Any:
    return run_of(raw, AT_REST, ground={"slope": slope}, end={"duration": 0.002})


def check(row: Any, expected: dict[str, float], bound: float = 1e-3) -> None:
    """A row's budget: terms that are not named are nought; all add up to the load."""
    for term in TERMS:
        assert row[f"budget_{term}_N"] == pytest.approx(expected.get(term, 0.0), abs=bound), term
    assert sum(row[f"budget_{term}_N"] for term in TERMS) == pytest.approx(row["front_load_N"], abs=1e-8)


LEVEL = WEIGHT * CG[0] / SPAN


def slope_shift(slope: float) -> float:
    th = math.radians(slope)
    return WEIGHT * (CG[0] * (math.cos(th) - 1.0) - CG[1] * math.sin(th)) / SPAN


@pytest.mark.parametrize("slope", [-25.0, 0.0, 10.0, 30.0])
def test_level_share_and_slope_of_a_hard_rig(slope: float) -> None:
    row = standing(rig(), slope).series.iloc[0]
    check(row, {"level": LEVEL, "slope": slope_shift(slope)})


def pulling(raw: dict[str, Any], slope: float, torque: float) -> tuple[Any, float, float]:
    """Last row of an accelerating rig; its acceleration and that of its wheels, rad/s^2."""
    driver = {"control": "torque", "torque": [[0, 0], [0.2, torque]], "release": 0.05}
    run = run_of(raw, driver, ground={"slope": slope}, end={"duration": 0.9}, output={"rate": 200})
    late = run.series[run.series["time_s"] > 0.8]
    ax = np.polyfit(late["time_s"], late["speed_m_per_s"], 1)[0]
    wheels = [np.polyfit(late["time_s"], late[f"{end}_wheel_speed_rpm"], 1)[0] for end in ("rear", "front")]
    return late.iloc[-1], ax, float(np.mean(wheels)) * math.pi / 30.0


@pytest.mark.parametrize("drive", ["rear", "all", "front"])
@pytest.mark.parametrize("slope", [0.0, 8.0])
def test_acceleration(drive: str, slope: float) -> None:
    raw = rig()
    raw["driveline"]["drive"] = drive
    row, ax, _ = pulling(raw, slope, 450.0)
    assert ax > 1.5
    moved = -1e-3 * MASS * ax * CG[1] / SPAN
    check(row, {"level": LEVEL, "slope": slope_shift(slope), "acceleration": moved}, 2e-3)


@pytest.mark.parametrize("spin_inertia", [300.0, 1500.0])
def test_heavy_wheels_that_spin_up(spin_inertia: float) -> None:
    row, ax, spin_up = pulling(rig(spin_inertia=spin_inertia), 0.0, 450.0)
    taken = -4e-6 * spin_inertia * spin_up / (1e-3 * SPAN)
    assert taken < -0.05
    moved = -1e-3 * MASS * ax * CG[1] / SPAN
    check(row, {"level": LEVEL, "acceleration": moved, "inertia": taken}, 2e-3)


def test_rolling_resistance_moves_the_contacts_ahead() -> None:
    """By moment over wheelbase: c R W/L off the front."""
    driver = {"control": "speed", "speed": [[0, 0], [0.1, 0.4]], "release": 0.05}
    run = run_of(rig(rolling_resistance=12), driver, end={"duration": 0.9}, output={"rate": 100})
    row = run.series.iloc[-1]
    taken = -0.12 * 50.0 * WEIGHT / SPAN
    assert taken < -0.3
    check(row, {"level": LEVEL, "contact_shift": taken}, 2e-3)


def test_a_skid_that_carries_on_level_ground() -> None:
    """Springs too soft to hold the rig let it down on a skid: it takes its load times its place."""
    raw = rig()
    raw["driveline"]["drive"] = "rear"  # the front rolls as it gives
    for end in ("rear", "front"):
        raw[end]["shock"]["springs"] = [{"rate": 0.3}]
        raw[end]["shock"] |= {"extended_length": 206, "stroke": 60}
    raw["skids"] = [{"at": [190.0, 12.0], "radius": 5, "stiffness": 500}]
    run = standing(raw, 0.0)
    row, (mass, hub) = run.series.iloc[0], places(run, 0.0)
    held, rear = row["skid_load_N"], run.trace.part(0, "tyre", "contact", "foot")["x"][0]
    ahead = 1e3 * (run.trace.ledgers["skid"]["contact"]["foot"]["x"][0, 0] - rear)
    assert held > 2.0 and ahead == pytest.approx(190.0, abs=3.0)
    load = (WEIGHT * mass[0] - 1e-3 * held * ahead) / hub[0]
    assert row["front_load_N"] == pytest.approx(load, abs=1e-5)
    longer = load * (1e3 * hub[0] - SPAN)  # the wheelbase is that of the bench: what it grew by is a shift
    shift = (WEIGHT * (1e3 * mass[0] - CG[0]) - longer) / SPAN
    check(row, {"level": LEVEL, "skid": -held * ahead / SPAN, "cg_shift": shift})


def test_a_crest_closes_while_the_skids_carry() -> None:
    base = simcore.load_scenario(SHIPPED)
    over = base.changed(
        {
            "ground.slope": 0,
            "ground.pieces": [{"length": 400, "slope": 28}, {"length": 800, "slope": -28}],
            "driver.speed": [[0, 0], [0.3, 0.3]],
            "rear.tyre.radius": 45,
            "front.tyre.radius": 45,
            "skids": [{"at": [130, 46]}, {"at": [195, 46]}],
            "end.duration": 3,
        }
    )
    run = simcore.simulate(over)
    series = run.series
    carrying = series["skid_load_N"] > 1.0
    assert carrying.sum() > 50
    assert (series.loc[carrying, "budget_skid_N"].abs() > 0.2).mean() > 0.5
    left = series["front_load_N"] - sum(series[f"budget_{term}_N"] for term in TERMS)
    assert left.abs().max() < 1e-9 * run.trace.model.bench.whole.mass * GRAVITY
    assert (series.loc[series["skid_load_N"] == 0.0, "budget_skid_N"] == 0.0).all()


def places(run: Any, slope: float) -> tuple[np.ndarray, np.ndarray]:
    """Centre of mass, and front wheel centre, from the rear wheel centre along and across the ground, m."""
    state, model = run.trace.states[0], run.trace.model
    bodies = [model.rig.chassis, model.rig.axle[0].body, model.rig.axle[1].body]
    masses = np.array([float(body.mass) for body in bodies])
    at = np.array([[pose["x"], pose["z"]] for pose in state["pose"]])
    hubs = []
    for i in range(2):
        centre, angle = model.rig.axle[i].centre, float(state["pose"][1 + i]["angle"])
        c, s = math.cos(angle), math.sin(angle)
        hubs.append(at[1 + i] + [c * centre.x - s * centre.z, s * centre.x + c * centre.z])
    c, s = math.cos(math.radians(slope)), math.sin(math.radians(slope))
    axes = np.array([[c, s], [-s, c]])
    return axes @ (masses @ at / masses.sum() - hubs[0]), axes @ (hubs[1] - hubs[0])


@pytest.mark.parametrize(("slope", "rate"), [(30.0, 0.2), (30.0, 0.6), (-20.0, 0.2)])
def test_a_soft_rig_lets_its_mass_shift(slope: float, rate: float) -> None:
    """The centre of mass where the settled bodies are, against where it was on the bench."""
    run = standing(rig(rate=rate), slope)
    row, (mass, hub) = run.series.iloc[0], places(run, slope)
    deflection = 0.5 * (row["rear_deflection_mm"] + row["front_deflection_mm"])
    th, wheel = math.radians(slope), 1e-3 * (50.0 - deflection)
    now = (mass[0] * math.cos(th) - (mass[1] + wheel) * math.sin(th)) / hub[0]
    before = (CG[0] * math.cos(th) - CG[1] * math.sin(th)) / SPAN
    shift = WEIGHT * (now - before)
    assert abs(shift) > 0.04 and hub[1] == pytest.approx(0.0, abs=2e-5)
    check(row, {"level": LEVEL, "slope": slope_shift(slope), "cg_shift": shift})


def angular_momentum(trace: Any) -> np.ndarray:
    """Of all bodies and wheels about the common centre of mass, nose-up positive, kg*m^2/s; (n,)."""
    rig, pose, rate = trace.model.rig, trace.states["pose"], trace.states["rate"]
    bodies = [rig.chassis, rig.axle[0].body, rig.axle[1].body]
    mass = np.array([float(body.mass) for body in bodies])
    place, speed = (
        {k: table[k] - (table[k] @ mass / mass.sum())[:, None] for k in "xz"} for table in (pose, rate)
    )
    total = (place["x"] * speed["z"] - place["z"] * speed["x"]) @ mass
    total += rate["angle"] @ np.array([float(body.inertia) for body in bodies])
    for i in range(2):
        total -= float(rig.axle[i].spin_inertia) * trace.states["spin"][:, i]
    return total


def test_inertia_of_a_rig_that_pitches_on_a_launch() -> None:
    """The rate of its angular momentum, differenced over the series, on soft springs."""
    driver = {"control": "torque", "torque": [[0, 0], [0.1, 500]], "release": 0.02}
    run = run_of(rig(rate=0.8, spin_inertia=1000), driver, end={"duration": 0.5}, output={"rate": 2000})
    trace = run.trace.rows(run.trace.output)
    turning = np.gradient(angular_momentum(trace), trace.times)
    term = run.series["budget_inertia_N"].to_numpy()
    middle = (trace.times > 0.03) & (trace.times < 0.49)
    assert np.ptp(term[middle]) > 0.5
    np.testing.assert_allclose(term[middle], turning[middle] / (1e-3 * SPAN), atol=3e-3)
