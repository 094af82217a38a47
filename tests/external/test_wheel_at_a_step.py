"""The highest ledge that the front tyres climb at a creep, against the statics of a wheel at a step.

Published problem of vector statics in circulation ("car at a kerb"): r = 280 mm, 60 % of the weight on the
front axle at that instant, mu = 0.85: 66.7 mm with front, 36.4 mm with rear drive (recomputed 66.66, 36.39).
With cos a = (r - h)/r, a between the vertical and the line from edge to wheel centre: driven front wheels
lift themselves where tan a = mu, whatever the weights; rear drive pushes up to tan a = mu W_r/W_f; with both
driven the three balances of the whole rig are solved here. A fifth of the size; the centre of mass lies where
the balance of moments gives 60 % at the instant of lifting: b = 0.6 L + 0.4 mu r ahead of the rear axle.

The program's tyres press on ground and edge as one patch, and sink onto the edge, so only hard tyres stand on
it alone. What softness adds, by bisection: with 100 N/mm, where the tyre carries its load on 0.07 mm, 1.2 mm
(front drive), 0.8 mm (rear) and 0.6 mm (both); with 20 N/mm 2.2 and 2.4 mm; with 1000 N/mm 0.6 mm (front).
"""

import math

import pytest
from rigs import scenario, textbook_rig
from scipy.optimize import fsolve

import simcore

SPAN, RADIUS, GRIP, SIZE = 300.0, 56.0, 0.85, 5.0
AHEAD = 0.6 * SPAN + 0.4 * GRIP * RADIUS
PUBLISHED = {"front": 66.66 / SIZE, "rear": 36.39 / SIZE}  # mm
TOUCH = 5.0  # mm from the tyre to the face at the start
HARD, SOFT = 100.0, 20.0  # N/mm
ADDED = {"front": 1.4, "rear": 1.0, "all": 0.8}  # mm, by hard tyres that are not rigid


def approach(drive, ledge, stiffness=HARD):
    """A rig that creeps at a ledge (mm) until its front wheel is up, or for as long as it may take."""
    rig = textbook_rig(
        SPAN,
        (AHEAD, 70.0),
        2000.0,
        8000.0,
        radius=RADIUS,
        peak_grip=GRIP,
        sliding_grip=GRIP,
        stiffness=stiffness,
        damping=100.0,
        spin_inertia=1.0,
    )
    for end in ("rear", "front"):
        rig[end]["shock"]["damper"] = {"compression": 500, "rebound": 500}
    rig["driveline"]["drive"] = drive
    first = 300.0 + SPAN + RADIUS + TOUCH
    return simcore.simulate(
        scenario(
            rig,
            {"control": "speed", "speed": [[0, 0], [0.2, 0.05]]},
            ground={"pieces": [{"length": first}, {"ledge": ledge}, {"length": 2000}]},
            start={"rear_axle": 300},
            end={"duration": 3.5},
            output={"rate": 200},
        )
    )


def is_up(run):
    """Whether the front wheel's centre has passed the edge."""
    x = run.series["chassis_x_mm"].to_numpy()
    return x[-1] - x[0] > RADIUS + TOUCH + 3.0


def both_driven():
    """Step at which both axles at their grip just lift the front, mm: balance of the rig, weight 1."""

    def balance(unknown):
        rear, edge, a = unknown
        s, c = math.sin(a), math.cos(a)
        along = GRIP * rear + edge * (GRIP * c - s)
        across = rear + edge * (c + GRIP * s) - 1.0
        hub = edge * (SPAN * c + RADIUS * s)  # the normal goes through the hub
        tangent = GRIP * edge * ((SPAN + RADIUS * s) * s - RADIUS * (1.0 - c) * c)
        return along, across, (hub + tangent - AHEAD) / SPAN

    rear, edge, a = fsolve(balance, (0.4, 0.6, 1.0))
    assert min(rear, edge) > 0.0
    return RADIUS * (1.0 - math.cos(a))


def step_of(drive):
    return both_driven() if drive == "all" else PUBLISHED[drive]


@pytest.mark.parametrize("drive", ["front", "rear", "all"])
def test_the_highest_step(drive):
    """Climbed as high as rigid tyres would, and no more than their softness higher."""
    assert is_up(approach(drive, step_of(drive)))
    assert not is_up(approach(drive, step_of(drive) + ADDED[drive]))


def test_the_formulas_behind_the_published_steps():
    """tan a = mu, tan a = mu W_r/W_f."""
    for drive, tan in (("front", GRIP), ("rear", GRIP * 0.4 / 0.6)):
        step = RADIUS * (1.0 - math.cos(math.atan(tan)))
        assert step == pytest.approx(PUBLISHED[drive], abs=0.002)
    assert 56.0 * (1.0 - math.cos(math.atan(0.9))) * SIZE == pytest.approx(71.88, abs=0.005)


@pytest.mark.parametrize("drive", ["front", "rear"])
def test_softer_tyres_climb_higher(drive):
    step = step_of(drive) + 1.6
    assert is_up(approach(drive, step, SOFT)) and not is_up(approach(drive, step, HARD))


@pytest.mark.parametrize("drive", ["front", "rear"])
def test_a_rig_that_spins_at_the_step(drive):
    """By its own loads: the front tyres' force is upright with front drive; with rear drive its slant is mu
    W_r/W_f, W_r that of the problem.
    """
    last = approach(drive, step_of(drive) + 3.0).series.iloc[-1]
    assert last["speed_m_per_s"] == pytest.approx(0.0, abs=1e-4)
    weight = 2.0 * 9.80665
    if drive == "front":
        assert last["front_thrust_N"] / last["front_load_N"] == pytest.approx(GRIP, rel=1e-3)
        assert math.hypot(last["front_thrust_N"], last["front_load_N"]) == pytest.approx(
            weight - last["rear_load_N"], rel=1e-3
        )
    else:
        upright = weight - last["rear_load_N"]
        assert last["rear_load_N"] / weight == pytest.approx(0.4, abs=0.002)
        slant = math.atan(GRIP * last["rear_load_N"] / upright)
        assert last["front_load_N"] * math.cos(slant) == pytest.approx(upright, rel=1e-3)
        assert last["front_load_N"] * math.sin(slant) == pytest.approx(last["rear_thrust_N"], rel=1e-3)
