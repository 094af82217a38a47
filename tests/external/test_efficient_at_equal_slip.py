"""Two driven axles locked to one another pull most efficiently where their slips are equal.

J. Y. Wong, Optimization of the tractive performance of four-wheel-drive off-road vehicles, SAE 700723 (1970,
abstract read): tractive efficiency, thrust times ground speed over the power of the axles, is highest at
equal slips of front and rear. Own closed form: with s the slip speed per tread speed the efficiency is 1 - s
where both slip alike; the tyre law at small slip, thrust per load C s/(1 + C s/(2 m)) with C the slip
stiffness and m the grip, gives s at constant speed up a slope; the wheels turn so where the overdrive makes
up for the rolling radii, 1 + od = R_e,rear/R_e,front.
"""

import functools
import math

import numpy as np
import pytest
from rigs import scenario, textbook_rig
from scipy.optimize import brentq
from sparing import few

import simcore

SLOPE, STIFFNESS, GRIP = 12.0, 6.0, 2.5  # deg; thrust per load and slip; thrust per load
RADII = {"alike": 50.0, "small front": 48.0, "large front": 51.5}  # of the front tyres, mm; rear 50
PLACES = {"alike": 150.0, "small front": 120.0, "large front": 185.0}  # of the centre of mass
OVERDRIVES = (-6.0, -3.0, 0.0, 3.0, 6.0)  # about the guess


def pull(radius, place, overdrive):
    """Steady climb: slips of rear and front, efficiency, overdrive that the rolling radii ask for, %."""
    rig = textbook_rig(
        300.0,
        (place, 60.0),
        3000.0,
        20000.0,
        damping=50.0,
        slip_stiffness=STIFFNESS,
        peak_grip=GRIP,
        sliding_grip=GRIP,
        spin_inertia=20.0,
    )
    rig["front"]["tyre"] = rig["front"]["tyre"] | {"radius": radius}
    for end in ("rear", "front"):
        rig[end]["shock"]["damper"] = {"compression": 1000, "rebound": 1000}
    rig["driveline"] |= {"overdrive": overdrive}
    rig["motor"]["rotor_inertia"] = 10
    run = simcore.simulate(
        scenario(
            rig,
            {"control": "speed", "speed": [[0, 0], [0.3, 0.5]]},
            ground={"slope": SLOPE},
            end={"duration": 3.0},
            output={"rate": 20},
            solver={"relative": 1e-8, "absolute": 1e-8},
        )
    )
    assert run.sound
    last = run.series.iloc[-1]
    assert run.series["speed_m_per_s"].iloc[-5] == pytest.approx(last["speed_m_per_s"], rel=1e-5)
    ends, radii = ("rear", "front"), (50.0, radius)
    spin = np.array([last[f"{end}_wheel_speed_rpm"] for end in ends]) * math.pi / 30.0
    arm = [1e-3 * (r - last[f"{end}_deflection_mm"] / 3.0) for end, r in zip(ends, radii, strict=True)]
    thrust = sum(last[f"{end}_thrust_N"] for end in ends)
    power = spin @ [last[f"{end}_wheel_torque_Nm"] for end in ends]
    slip = spin * arm / last["speed_m_per_s"] - 1.0
    return slip, thrust * last["speed_m_per_s"] / power, 100.0 * (arm[0] / arm[1] - 1.0)


@functools.cache
def sweep(name):
    """Overdrives, lead of the front slip, efficiencies; overdrive by the rolling radii; mean slip."""
    guess = 100.0 * (50.0 / RADII[name] - 1.0)
    tried = [guess + step for step in OVERDRIVES]
    found = [pull(RADII[name], PLACES[name], overdrive) for overdrive in tried]
    lead = [slip[1] - slip[0] for slip, _, _ in found]
    return np.array(tried), np.array(lead), np.array([share for _, share, _ in found]), found


def smooth(x, y):
    """Polynomial through five points."""
    return np.polynomial.Polynomial.fit(x, y, 4)


@pytest.mark.parametrize("name", few(RADII))
def test_the_most_efficient_overdrive_makes_the_slips_equal(name):
    tried, lead, share, found = sweep(name)
    curve = smooth(tried, share)
    best = brentq(curve.deriv(), tried[0], tried[-1])
    equal = brentq(smooth(tried, lead), tried[0], tried[-1])
    assert best == pytest.approx(equal, abs=0.15)
    assert best == pytest.approx(found[2][2], abs=0.15)
    if name != "alike":
        assert abs(best) > 2.5
    assert share.max() - share[[0, -1]].max() > 2e-3


@pytest.mark.parametrize("name", few(RADII))
def test_efficiency_at_equal_slips(name):
    """1 - s, with C s/(1 + C s/(2 m)) = tan th."""
    tried, _, share, _ = sweep(name)
    curve = smooth(tried, share)
    best = curve(brentq(curve.deriv(), tried[0], tried[-1]))
    pull_per_load = math.tan(math.radians(SLOPE))
    slip = pull_per_load / STIFFNESS / (1.0 - pull_per_load / (2.0 * GRIP))
    assert best == pytest.approx(1.0 - slip, abs=1e-4)
