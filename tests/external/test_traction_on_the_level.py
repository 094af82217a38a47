"""Best acceleration on the level, with the driven tyres spinning at their one grip.

R. N. Jazar, Vehicle Dynamics: Theory and Application (Springer 2008), eq (2.117): rear drive ax/g = mu a1/L /
(1 - mu h/L), front drive ax/g = mu a2/L / (1 + mu h/L); all tyres slipping ax/g = mu (seen in a stored copy).
Vehicles: L = 2.75 m, h = 0.85 m, CG 1.15 m behind the front axle, mu = 0.6 gives 5.886, 2.8888 and 3.0218
m/s^2 (inputs of a published example, answers recomputed at g = 9.81); L = 2.6 m, h = 0.7 m, CG in the middle,
mu = 0.7 gives 6.867, 2.8890 and 4.2309 m/s^2 (likewise). Published times from rest, by which the
acceleration is the speed over the time: 100 km/h after 6.21 s with front, 2.83 s with all and 5.11 s with
rear drive on mu = 1 (Jazar p 55; the first two seen, the last and L = 2.272 m, h = 0.22 m, CG in the middle
from memory, recomputed 6.212, 2.832, 5.115 s); 80 km/h after 17.5 s with rear and 11.3 s with all-wheel drive
on mu = 0.2, L = 2 m, h = 0.35 m, CG 1.25 m behind the front axle (R. C. Hibbeler, Engineering Mechanics:
Dynamics, ch 17, from memory; recomputed 17.488 and 11.326 s). Published thrust: 0.309 of the weight with the
rear axle locked, W_f = 2061 lb, W_r = 1609 lb, h = 21 in, L = 108 in, mu = 0.62 (T. D. Gillespie,
Fundamentals of Vehicle Dynamics, SAE 1992, ch 2, from memory; recomputed 0.3091). Scaled to models;
accelerations stay.

The formula knows no spin: the wheels here are light, but what spins them up is torque and not thrust, so only
the depth of the thrust under the ground and the deflection of the tyres are left, some 0.1 % together.
"""

from typing import Any

import numpy as np
import pytest
from rigs import GRAVITY, scenario, textbook_rig

import simcore

TO_100 = {"front": 6.212, "all": 2.832, "rear": 5.115}  # s
TO_80 = {"rear": 17.488, "all": 11.326}
# wheelbase, height of the CG and its way behind the front axle, mm; grip; drive and acceleration over 9.81
CARS = {
    "low and long": (275.0, 85.0, 115.0, 0.6, {"all": 5.886, "front": 2.8888, "rear": 3.0218}),
    "in the middle": (260.0, 70.0, 130.0, 0.7, {"all": 6.867, "front": 2.8890, "rear": 4.2309}),
    "to 100 km/h": (227.2, 22.0, 113.6, 1.0, {k: 100 / 3.6 / t for k, t in TO_100.items()}),
    "to 80 km/h": (200.0, 35.0, 125.0, 0.2, {k: 80 / 3.6 / t for k, t in TO_80.items()}),
    "locked axle": (274.32, 53.34, 274.32 * 1609 / (1609 + 2061), 0.62, {"rear": 0.3091 * 9.81}),
}
CASES = [(car, drive) for car, (*_, published) in CARS.items() for drive in published]


def pull_of(span: float, height: float, behind_front: float, grip: float, drive: str, **tables: Any) -> float:
    """Acceleration of a rig all whose driven tyres spin, m/s^2."""
    rig = textbook_rig(
        span,
        (span - behind_front, height),
        3000.0,
        20000.0,
        peak_grip=grip,
        sliding_grip=grip,
        slip_stiffness=20.0,
        damping=500.0,
        spin_inertia=0.5,
    )
    for end in ("rear", "front"):
        rig[end]["shock"]["damper"] = {"compression": 2000, "rebound": 2000}
    rig["driveline"]["drive"] = drive
    driver = {"control": "torque", "torque": [[0, 0], [0.05, 150]], "release": 0.0}
    run = simcore.simulate(scenario(rig, driver, end={"duration": 0.6}, output={"rate": 500}, **tables))
    late = run.series[run.series["time_s"] > 0.35]
    driven = ("rear", "front") if drive == "all" else (drive,)
    assert all((late[f"{axle}_slip_pct"] > 30.0).all() for axle in driven)
    return float(np.polyfit(late["time_s"], late["speed_m_per_s"], 1)[0])


@pytest.mark.parametrize(("car", "drive"), CASES)
def test_spinning_tyres_pull_as_published(car: str, drive: str) -> None:
    *rig, grip, published = CARS[car]
    assert pull_of(*rig, grip, drive) / GRAVITY == pytest.approx(published[drive] / 9.81, rel=4e-3)


@pytest.mark.parametrize("drive", ["all", "front", "rear"])
def test_ground_with_half_the_grip_pulls_as_tyres_with_half(drive: str) -> None:
    """Tyres with twice the book's grip on ground that leaves half of it, in two pieces."""
    *rig, grip, published = CARS["low and long"]
    pieces = [{"length": 1000, "grip": 100}, {"length": 5000, "grip": 50}]
    pull = pull_of(*rig, 2.0 * grip, drive, ground={"pieces": pieces}, start={"rear_axle": 1500})
    assert pull / GRAVITY == pytest.approx(published[drive] / 9.81, rel=4e-3)
