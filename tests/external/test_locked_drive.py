"""A locked drive with an overdriven front at constant speed on the level.

With slip kappa = w R_e / v - 1 (ISO 8855, SAE J670), the gears force (1 + kappa_f) R_r = (1 + od) (1 +
kappa_r) R_f; equal radii, loads and linear slip stiffness C (force per slip) and no net force then give
kappa_f = -kappa_r = od/(2 + od) and a wind-up force of C od/(2 + od) on each axle (own derivation from the
definitions).
"""

import numpy as np
import pytest
from rigs import scenario, textbook_rig

from simcore.solve.integrate import integrate

SPEED = 0.5  # m/s
SLIP_STIFFNESS = 20.0


def creep(overdrive, drive="all", ratio=20):
    """End of 5 s at held speed: spins, ground speed, rolling radii, thrusts, loads, wind-up at the wheels,
    torques; rear first.
    """
    rig = textbook_rig(
        300, (150, 60), 3000, 20000, damping=50, slip_stiffness=SLIP_STIFFNESS, spin_inertia=200
    )
    for end in ("rear", "front"):
        rig[end]["shock"]["damper"] = {"compression": 1000, "rebound": 1000}
    rig["driveline"] |= {
        "overdrive": overdrive,
        "drive": drive,
        "ratio": ratio,
        "rear_stiffness": 8,
        "front_stiffness": 8,
    }
    rig["motor"]["rotor_inertia"] = 10
    driver = {"control": "speed", "speed": [[0, 0], [0.3, SPEED]]}
    what = scenario(
        rig, driver, end={"duration": 5.0}, output={"rate": 10}, solver={"relative": 1e-9, "absolute": 1e-9}
    )
    trace = integrate(what)
    last = trace.ledgers[-1]["axle"]
    tyre, drive = last["tyre"], last["drive"]
    ratios = [float(axle.branch.ratio) for axle in trace.model.rig.axle]
    return {
        "spin": trace.states[-1]["spin"],
        "speed": tyre["ground_speed"],
        "radius": tyre["rolling_radius"],
        "thrust": tyre["thrust"],
        "load": tyre["load"],
        "wind_up": trace.states[-1]["wind_up"] / ratios,
        "torque": drive["wheel_torque"],
        "kappa": trace.states[-1]["spin"] * tyre["rolling_radius"] / tyre["ground_speed"] - 1.0,
    }


@pytest.mark.parametrize("overdrive", [-10.0, 6.0, 25.0])
def test_the_gears_tie_the_slips_together(overdrive):
    at = creep(overdrive)
    assert at["spin"][1] / at["spin"][0] == pytest.approx(1.0 + 0.01 * overdrive, rel=1e-6)
    share = (1.0 + at["kappa"]) / at["radius"]
    assert share[1] / share[0] == pytest.approx(1.0 + 0.01 * overdrive, rel=1e-6)
    assert np.ptp(at["speed"]) < 1e-6 * SPEED
    assert sum(at["thrust"]) == pytest.approx(0.0, abs=1e-5)


def test_slips_and_wind_up_force_tend_to_the_formula_at_second_order():
    """Halving the overdrive quarters the error."""
    errors = []
    for percent in (8.0, 4.0, 2.0):
        at, od = creep(percent), 0.01 * percent
        slip = od / (2.0 + od)
        assert at["kappa"] == pytest.approx([-slip, slip], rel=0.1)
        force = at["load"] * SLIP_STIFFNESS * slip
        assert at["thrust"] == pytest.approx([-force[0], force[1]], rel=12.0 * od)
        errors.append((at["kappa"][1] - slip, at["thrust"][1] / force[1] - 1.0))
    slips, forces = np.array(errors).T
    assert slips[:-1] / slips[1:] == pytest.approx([4.0, 4.0], rel=0.2)
    # Relative to a force of first order, an error of second order halves.
    assert forces[:-1] / forces[1:] == pytest.approx([2.0, 2.0], rel=0.2)


def test_wind_up_holds_the_thrusts_apart():
    """Each branch is twisted by thrust times rolling radius over its stiffness; the overdriven front pulls,
    the rear holds back.
    """
    at = creep(10.0)
    assert at["thrust"][1] > 5.0 and at["thrust"][0] < -5.0
    np.testing.assert_allclose(at["torque"], at["thrust"] * at["radius"], rtol=1e-5)
    np.testing.assert_allclose(at["wind_up"], at["torque"] / 8.0, rtol=1e-4)


@pytest.mark.parametrize(("drive", "idle"), [("rear", 1), ("front", 0)])
def test_an_undriven_axle_does_not_wind_up(drive, idle):
    at = creep(10.0, drive=drive)
    assert at["wind_up"][idle] == 0.0 and at["torque"][idle] == 0.0
    assert abs(at["thrust"][idle]) < 1e-4 and abs(at["thrust"][1 - idle]) < 1e-4
    held = 1.1 if drive == "front" else 1.0  # the speed held is that of the rear branch
    assert at["speed"][0] == pytest.approx(SPEED * held * at["radius"][1 - idle] / 0.05, rel=1e-5)


@pytest.mark.parametrize(("slope", "power"), [(15.0, -1), (-15.0, 1)], ids=["climbing", "held back"])
def test_gears_lose_power_whichever_way_it_flows(slope, power):
    """At held speed the motor gives thrust R_e / (N eta) uphill and takes thrust R_e eta / N downhill."""
    rig = textbook_rig(300, (150, 60), 3000, 20000, damping=50)
    for end in ("rear", "front"):
        rig[end]["shock"]["damper"] = {"compression": 1000, "rebound": 1000}
    rig["driveline"] |= {"drive": "rear", "efficiency": 70}
    rig["motor"]["rotor_inertia"] = 10
    driver = {"control": "speed", "speed": [[0, 0], [0.3, 1.0]]}
    trace = integrate(
        scenario(rig, driver, ground={"slope": slope}, end={"duration": 4.0}, output={"rate": 10})
    )
    tyre = trace.ledgers[-1]["axle"]["tyre"][0]
    pull = 3.0 * 9.80665 * np.sin(np.radians(slope))
    assert tyre["thrust"] == pytest.approx(pull, rel=1e-4)
    expected = pull * tyre["rolling_radius"] / 20.0 * 0.7**power
    assert trace.ledgers[-1]["motor"]["torque"] == pytest.approx(expected, rel=1e-3)
