"""Height of the centre of mass from the load of a raised axle, as a builder would measure it.

h = r + (b - L R_f1/W) cot(th), th the tilt of the line of axle centres, R_f1 what the raised front still
carries, b the way from the rear axle to the centre of mass (seen in an open textbook; the same moments as
R. N. Jazar, Vehicle Dynamics, Springer 2008, eq 2.32). Number: W = 25.506 N, L = 0.320 m, h = 81.538 mm, r
= 60 mm, the front raised by 100 mm (18.21 deg) adds 0.56477 N to the low end (own number, recomputed).
Published "h = 34 cm" of one worked example is a misprint: its own formula gives 1.876 m; it is left out
here.

The formula wants rigid tyres and a locked suspension and vertical forces: the rig stands on two level
steps, its tyres and springs as hard as a file allows, held by its brake.
"""

import math

import numpy as np
import pytest
from rigs import GRAVITY, scenario, textbook_rig

import simcore

SPAN, HEIGHT, RADIUS, AHEAD = 320.0, 81.538, 60.0, 172.308  # mm; CG ahead of the rear axle
RAISED = 100.0


def test_the_raised_front_tells_the_height() -> None:
    mass = 25.506 / 9.81 * 1e3
    rig = textbook_rig(SPAN, (AHEAD, HEIGHT), mass, 20000.0, unsprung=400.0, radius=RADIUS, link=2000.0)
    rig["rear"]["shock"]["springs"][0]["rate"] = rig["front"]["shock"]["springs"][0]["rate"] = 1000.0
    reach = math.sqrt(SPAN**2 - RAISED**2)
    steps = {"pieces": [{"length": 500 + reach / 2}, {"ledge": RAISED}, {"length": 800}]}
    driver = {"control": "torque", "torque": [[0, 0]], "brake": [[0, 100]]}
    what = scenario(rig, driver, ground=steps, start={"rear_axle": 500.0}, end={"duration": 0.002})
    run = simcore.simulate(what)
    state, led, model = run.trace.states[0], run.trace.ledgers[0], run.trace.model
    rear, front = (led.axle[i].tyre for i in range(2))
    assert (rear.contact.normal.z, front.contact.normal.z) == pytest.approx((1.0, 1.0), abs=1e-6)
    weight = model.bench.whole.mass * GRAVITY
    hubs = [np.array([state.pose[1 + i].x, state.pose[1 + i].z]) for i in range(2)]
    tilt = math.atan2(*(hubs[1] - hubs[0])[::-1])
    assert math.degrees(tilt) == pytest.approx(18.21, abs=0.05)
    share = (weight - rear.load) / weight
    height = RADIUS + (AHEAD - SPAN * share) / math.tan(tilt)
    assert height == pytest.approx(HEIGHT, rel=0.01)
    level = weight * (1.0 - AHEAD / SPAN)
    assert (rear.load - level) * 9.81 / GRAVITY == pytest.approx(0.56477, rel=0.02)
