"""Axle loads of a rig on a grade, standing and accelerating.

N_f = W (a2/L cos th - h/L sin th) - M ax h/L and N_r = W (a1/L cos th + h/L sin th) + M ax h/L: R. N.
Jazar, Vehicle Dynamics: Theory and Application (Springer 2008), sec 2.4, eq (2.121)-(2.130), and his
example 56: the loads do not depend on which axle drives. Numbers: 890 kg, a1 = 0.78 m, L = 2.35 m gives
2916.5 N and 1449 N per wheel (seen in slides after Jazar, recomputed); W = 49050 N, L = 2.25 m, CG 1.0 m
ahead of the rear axle and 1.5 m high: on 10 degrees 15790.5 N and 32514.3 N, overturning at 33.69 degrees,
sliding at 19.29 degrees with a grip of 0.35 (recomputed). The cars are scaled down, ratios kept.

Where tyres give way, the thrust acts at the rolling radius R - deflection/3 below the wheel centre, a
little under the ground: by moments about the rear contact N_f L loses e F for each axle, e the depth below
the ground, and J dw/dt for the spin of the wheels.
"""

import math
from pathlib import Path

import numpy as np
import pytest
from rigs import AT_REST, GRAVITY, Sight, scenario, textbook_rig

from simcore import InputError, load_scenario
from simcore.files import Scenario
from simcore.solve.integrate import integrate

SHIPPED = Path(__file__).parents[2] / "scenarios" / "slow_creep.toml"
CAR = {"wheelbase": 225, "cg": (100, 150), "mass": 5001, "inertia": 40000}


def at_start(what: Scenario, slope: float) -> Sight:
    """The settled rig."""
    return Sight(integrate(what.changed({"end.duration": 0.002})), math.radians(slope))


def book_loads(
    sight: Sight, slope: float, ax: float = 0.0, spin_up: float = 0.0
) -> tuple[np.ndarray, np.ndarray]:
    """Rear and front load by the formula, with the depth at which the thrust acts and the spin of the
    wheels.
    """
    th, rear, front = math.radians(slope), *sight.wheel_along
    span, a2, h = front - rear, sight.along - rear, sight.height
    below = sum(depth * thrust for depth, thrust in zip(sight.sunk, sight.thrust, strict=True))
    lift = -below - sight.mass * ax * h - spin_up
    n_f = (sight.weight * (a2 * math.cos(th) - h * math.sin(th)) + lift) / span
    return sight.weight * math.cos(th) - n_f, n_f


def test_level_car():
    """Twice the printed loads of one wheel, per weight."""
    sight = at_start(scenario(textbook_rig(235, (157, 60), 8900, 60000), AT_REST), 0.0)
    weight = 890 * 9.81
    assert sight.load[1][0] / sight.weight == pytest.approx(2 * 2916.5 / weight, rel=2e-5)
    assert sight.load[0][0] / sight.weight == pytest.approx(2 * 1449.0 / weight, rel=5e-5)


def test_car_on_ten_degrees():
    """Tyres as hard as a file allows still give by some 10 micrometres, 1e-4 of the height of the CG."""
    sight = at_start(scenario(textbook_rig(**CAR), AT_REST, ground={"slope": 10}), 10.0)
    assert sight.load[1][0] / sight.weight == pytest.approx(15790.5 / 49050, rel=2e-4)
    assert sight.load[0][0] / sight.weight == pytest.approx(32514.3 / 49050, rel=2e-4)
    assert sum(load[0] for load in sight.load) / sight.weight == pytest.approx(48304.8 / 49050, rel=1e-6)


@pytest.mark.parametrize("stiffness", [10.0, 100.0, 400.0])
def test_published_loads_are_the_limit_of_hard_tyres(stiffness):
    """The difference from the formula falls in proportion to the softness of tyres and springs, as first
    order predicts.

    With K the stiffness of each tyre and of each axle's spring: the load moved from front to rear pitches
    the rig up by (dN_f + dN_r)(1/K + 1/2K)/L, which takes the CG back by its height over the axles times
    that, and down by the sinking between the axles; the thrust acts 2/3 deflection under the ground.
    """
    soft = textbook_rig(**CAR, rates=(stiffness, stiffness), stiffness=stiffness)
    sight = at_start(scenario(soft, AT_REST, ground={"slope": 10}), 10.0)
    c, s, span, a2, h, radius = (
        math.cos(math.radians(10.0)),
        math.sin(math.radians(10.0)),
        225.0,
        100.0,
        150.0,
        50.0,
    )
    plain = (a2 * c - h * s) / span
    load = np.array([c - plain, plain]) * sight.weight
    more = load - np.array([1.0 - a2 / span, a2 / span]) * sight.weight
    sinks = more * 1.5 / stiffness
    back = (h - radius) * (sinks[0] - sinks[1]) / span
    down = sinks[0] + (sinks[1] - sinks[0]) * a2 / span
    depth = 2.0 / 3.0 * (load / (2.0 * stiffness)) @ load / sum(load)
    predicted = (-back * c + (down - depth) * s) / span
    assert sight.load[1][0] / sight.weight - plain == pytest.approx(predicted, rel=0.05)


@pytest.mark.parametrize("slope", [-30.0, -10.0, 0.0, 15.0, 25.0])
@pytest.mark.parametrize("rig", ["rigs/gully.toml", "rigs/fell.toml"])
def test_settled_loads_of_the_shipped_rigs(rig, slope):
    base = load_scenario(SHIPPED).changed({"rig": str(SHIPPED.parent / rig), "ground.slope": slope})
    sight = at_start(base, slope)
    rear, front = book_loads(sight, slope)
    assert sight.load[0][0] == pytest.approx(rear[0], rel=1e-6)
    assert sight.load[1][0] == pytest.approx(front[0], rel=1e-6)
    pull = sight.weight * math.sin(math.radians(slope))
    assert sight.thrust[0][0] + sight.thrust[1][0] == pytest.approx(pull, rel=1e-6, abs=1e-6)


FIRM = {"rates": (100.0, 100.0), "stiffness": 100.0, "unsprung": 200.0}


def test_overturning_angle():
    """N_f = A cos th - B sin th through the loads at two slopes is zero at the printed angle."""
    rig, slopes = textbook_rig(**CAR, unsprung=200.0), (20.0, 28.0)
    loads = [at_start(scenario(rig, AT_REST, ground={"slope": th}), th).load[1][0] for th in slopes]
    a, b = np.linalg.solve(
        [[math.cos(math.radians(th)), -math.sin(math.radians(th))] for th in slopes], loads
    )
    assert math.degrees(math.atan(a / b)) == pytest.approx(33.690, abs=0.02)


def test_sliding_angle():
    """Stands a little below the printed 19.29 degrees, slides a little above."""
    rig = textbook_rig(**CAR, **FIRM, peak_grip=0.35, sliding_grip=0.35)
    at_start(scenario(rig, AT_REST, ground={"slope": 18.9}), 18.9)
    with pytest.raises(InputError, match="slides"):
        integrate(scenario(rig, AT_REST, ground={"slope": 19.5}))


def driven(axles: str, slope: float) -> Sight:
    """A damped rig pulling away under constant torque; the last fifth of a second."""
    rig = textbook_rig(225, (112, 60), 5000, 40000, damping=1000)
    for end in ("rear", "front"):
        rig[end]["shock"]["damper"] = {"compression": 2000, "rebound": 2000}
    rig["driveline"]["drive"] = axles
    driver = {"control": "torque", "torque": [[0, 0], [0.2, 36]]}
    what = scenario(
        rig,
        driver,
        ground={"slope": slope},
        end={"duration": 1.0},
        output={"rate": 1000},
        solver={"relative": 1e-8},
    )
    trace = integrate(what)
    late = trace.times > 0.8
    kept = trace.rows(late)
    sight = Sight(kept, math.radians(slope))
    sight.ax = np.polyfit(kept.times, sight.speed, 1)[0]
    spin_up = [np.polyfit(kept.times, kept.states["spin"][:, i], 1)[0] for i in range(2)]
    sight.spin_up = sum(float(kept.model.rig.axle[i].spin_inertia) * spin_up[i] for i in range(2))
    return sight


def test_accelerating_loads_whichever_axle_drives():
    slope, loads = 5.0, {}
    for axles in ("rear", "front", "all"):
        sight = driven(axles, slope)
        rear, front = book_loads(sight, slope, sight.ax, sight.spin_up)
        assert sight.ax > 1.5
        np.testing.assert_allclose(sight.load[0], rear, rtol=1e-5)
        np.testing.assert_allclose(sight.load[1], front, rtol=1e-5)
        pull = sight.mass * (sight.ax + GRAVITY * math.sin(math.radians(slope)))
        np.testing.assert_allclose(sight.thrust[0] + sight.thrust[1], pull, rtol=1e-5)
        loads[axles] = (sight.load[1][-1] + sight.mass * sight.ax * sight.height[-1] / 0.225) / sight.weight
        carried = sight.thrust[0][-1] / pull
        assert {"rear": carried > 0.99, "front": carried < 0.01, "all": 0.4 < carried < 0.6}[axles]
    # With the little there is of acceleration difference (spinning mass, slip) taken out, one number.
    assert loads["rear"] == pytest.approx(loads["front"], rel=2e-4)
    assert loads["rear"] == pytest.approx(loads["all"], rel=2e-4)
