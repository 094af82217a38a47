"""Best acceleration on the level, with the driven tyres spinning at their one grip.

R. N. Jazar, Vehicle Dynamics: Theory and Application (Springer 2008), eq (2.117): rear drive ax/g = mu a1/L /
(1 - mu h/L), front drive ax/g = mu a2/L / (1 + mu h/L); all tyres slipping ax/g = mu (seen in a stored copy).
Vehicles: L = 2.75 m, h = 0.85 m, CG 1.15 m behind the front axle, mu = 0.6 gives 5.886, 2.8888 and 3.0218
m/s^2 (inputs of a published example, answers recomputed at g = 9.81); L = 2.6 m, h = 0.7 m, CG in the middle,
mu = 0.7 gives 6.867, 2.8890 and 4.2309 m/s^2 (likewise). Scaled to models; accelerations stay.

The formula knows no spin: the wheels here are light, but what spins them up is torque and not thrust, so only
the depth of the thrust under the ground and the squash of the tyres are left, some 0.1 % together.
"""

import numpy as np
import pytest
from rigs import GRAVITY, scenario, textbook_rig

import simcore

CARS = {
    "low and long": (275.0, 85.0, 115.0, 0.6, {"all": 5.886, "front": 2.8888, "rear": 3.0218}),
    "in the middle": (260.0, 70.0, 130.0, 0.7, {"all": 6.867, "front": 2.8890, "rear": 4.2309}),
}


@pytest.mark.parametrize("drive", ["all", "front", "rear"])
@pytest.mark.parametrize("car", CARS)
def test_spinning_tyres_pull_as_published(car: str, drive: str) -> None:
    span, height, behind_front, grip, published = CARS[car]
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
    run = simcore.simulate(scenario(rig, driver, end={"duration": 0.6}, output={"rate": 500}))
    late = run.series[run.series["time_s"] > 0.35]
    driven = ("rear", "front") if drive == "all" else (drive,)
    assert all((late[f"{axle}_slip_pct"] > 30.0).all() for axle in driven)
    pull = np.polyfit(late["time_s"], late["speed_m_per_s"], 1)[0]
    assert pull / GRAVITY == pytest.approx(published[drive] / 9.81, rel=4e-3)
