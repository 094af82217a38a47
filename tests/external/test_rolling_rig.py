"""A rig let go on a slope rolls down.

a = g sin th M / (M + sum (J_w + N^2 J_m)/r^2): equivalent mass of spinning parts, N motor turns per wheel
turn (standard; numbers of our own: a rotor of 5e-6 kg m^2 behind 33.5:1 counts 1.56 kg at 60 mm). Undriven
wheels leave the rotor behind.
"""

import math

import numpy as np
import pytest
from rigs import FREE, GRAVITY, scenario, textbook_rig

from simcore.solve.integrate import integrate

MASS, RADIUS, WHEELS, ROTOR = 3.0, 0.060, 4 * 300e-6, 5e-6  # kg, m, kg m^2 for all four wheels, kg m^2


def gains(drive, slope, ratio=33.5, ends=("rear", "front")):
    """Acceleration down the slope and that of the motor, both once the tyres have taken up their slip."""
    rig = textbook_rig(
        300,
        (150, 70),
        1e3 * MASS,
        20000,
        damping=50,
        radius=60,
        slip_stiffness=60,
        spin_inertia=300,
        relaxation_length=5,
    )
    for end in ends:
        rig[end]["shock"]["damper"] = {"compression": 1000, "rebound": 1000}
    rig["driveline"] |= {"drive": drive, "ratio": ratio}
    rig["motor"] |= {"rotor_inertia": 1e7 * ROTOR, "kv": 1000}
    driver = FREE | {"brake": [[0, 100], [0.1, 100], [0.11, 0]]}
    what = scenario(
        rig,
        driver,
        ground={"slope": slope},
        end={"duration": 0.8, "slid_back": 10000},
        solver={"relative": 1e-8},
    )
    trace = integrate(what)
    late = trace.times > 0.4
    along = np.mean([trace.part(i, "tyre", "ground_speed") for i in range(2)], axis=0)
    times = trace.times[late]
    speeding = (np.polyfit(times, values[late], 1)[0] for values in (along, trace.states["motor"]))
    return *speeding, 2.0 * np.polyfit(times, trace.states["distance"][late], 2)[0]


@pytest.mark.parametrize("slope", [-10.0, 10.0])
@pytest.mark.parametrize("drive", ["rear", "front", "all"])
def test_acceleration_from_mass_wheels_and_rotor(drive, slope):
    counted = ROTOR * 33.5**2 / RADIUS**2
    assert counted == pytest.approx(1.56, abs=0.005)
    expected = -GRAVITY * math.sin(math.radians(slope)) * MASS / (MASS + WHEELS / RADIUS**2 + counted)
    along, motor, distance = gains(drive, slope)
    assert along == pytest.approx(expected, rel=0.005)
    assert distance == pytest.approx(
        expected, rel=0.005
    )  # the way grows by half of it times the time squared
    assert motor == pytest.approx(
        33.5 * expected / RADIUS, rel=0.03
    )  # the slip of the wheels that turn the rotor


def test_a_rotor_without_gears_hardly_counts():
    expected = GRAVITY * math.sin(math.radians(10.0)) * MASS / (MASS + WHEELS / RADIUS**2 + ROTOR / RADIUS**2)
    assert gains("all", -10.0, ratio=1)[0] == pytest.approx(expected, rel=0.002)
