"""Whole runs against MuJoCo, an engine that knows nothing of this program.

MuJoCo moves the bodies and holds the links; the laws of shocks, tyres and driveline are written a second
time (`mujoco_witness` says how the two are put side by side). All-wheel drive on one plane;
`test_mujoco_drives` and `test_mujoco_courses` go on from here.
"""

import mujoco
import numpy as np
import pytest
from mujoco_laws import FORCES, SIDES
from mujoco_rig import bench_centres, build
from mujoco_witness import MOTION, SAME, SCENARIOS, Case, Witness, largest, run_of, shares
from sparing import few

import simcore
from simcore.rig.preload import bench_state

LEVEL = {"ground.slope": 0, "driveline.overdrive": 12, "driver.speed": [[0, 0], [0.1, 0.3]]}
ARM = {
    "front.lower_link": "none",
    "front.upper_link": "none",
    "front.arm": {"chassis": [197, 70], "mass": 24},
}
# both shocks go beyond the ends of their tables, the rear one up, the front one down
REAR_OIL = [[-0.2, -0.9], [-0.004, -0.03], [0.01, 0.05], [0.04, 0.15]]
FRONT_OIL = [[-0.04, -0.3], [-0.02, -0.1], [0, 0], [0.02, 0.06]]
PULLED = {
    "rear.shock.damper": {"table": REAR_OIL},
    "front.shock.damper": {"table": FRONT_OIL},
    "rear.shock.springs": [
        {"rate": 0.09, "hold_ride_height": True},
        {"push": False, "rate": 0.04, "preload": 0.5},
    ],
    "front.shock.springs": [
        {"push": False, "rate": 0.05, "loose_at": 6},
        {"rate": 0.1, "hold_ride_height": True},
        {"rate": 0.02, "preload": 0.05},
    ],
}
FREE = {"rear.shaft.friction": 0, "front.shaft.friction": 0}  # so that the front reaches its stops
# file, changes, MuJoCo's steps in s: on the slope the gears stand under load, where their loss turns round
# with the direction of power within a fraction of a milliwatt; that damps the wheels with some 1e5 /s
CASES = {
    "punchy launch": Case("punchy_launch", {"end.duration": 0.5} | FREE, (5e-5, 2.5e-5)),
    "slow creep": Case("slow_creep", {"end.duration": 0.6}, (2e-5, 1e-5)),
    "overdriven on the level": Case("slow_creep", {"end.duration": 0.6} | LEVEL, (5e-5, 2.5e-5)),
    "shocks on links": Case("trail_launch", {"end.duration": 0.4}, (2e-5, 1e-5)),
    "front axle on an arm": Case("punchy_launch", {"end.duration": 0.5} | ARM, (5e-5, 2.5e-5)),
    "damper tables and pulling springs": Case(
        "punchy_launch", {"end.duration": 0.5} | PULLED, (5e-5, 2.5e-5)
    ),
}
# what a comparison must notice, and in which run
ELSEWHERE = ("pull", "lever", "fall", "spline")  # forces that the first run does not have
NOTICED = [("punchy launch", force) for force in FORCES if force not in ELSEWHERE]
NOTICED += [("damper tables and pulling springs", force) for force in ("damper", "pull")]
NOTICED += [("shocks on links", "lever")]
MOVED = [
    ("front axle on an arm", "front.arm.chassis", (197, 71)),
    ("shocks on links", "rear.shock.fraction", 0.82 + 1 / 129),
]


@pytest.mark.parametrize("case", few(CASES, 3))
def test_mujoco_sees_the_same_run(case):
    run = run_of(CASES[case])
    assert run.series["skid_load_N"].max() == 0.0  # the witness has no skids
    assert min(run.series[f"{side}_load_N"].min() for side in SIDES) > 0.0  # nor a tyre in the air
    witness, own = shares(CASES[case])
    np.testing.assert_allclose(witness, own, rtol=0.0, atol=SAME)


def test_a_link_that_is_a_body_shares_the_shocks_force_alike():
    """The lever rule, by which the other runs share it to the link's pins, is not used here."""
    witness, own = shares(CASES["shocks on links"], 1e-5, carriers=True)
    np.testing.assert_allclose(witness, own, rtol=0.0, atol=SAME)


@pytest.mark.parametrize("case", few(CASES, 2))
def test_the_tolerances_as_shipped_hold_within_a_hundredth(case):
    starts = [run_of(CASES[case], solver).trace.states[0] for solver in ("fine", "as shipped")]
    assert starts[0].tobytes() == starts[1].tobytes()  # so that one run of MuJoCo serves both
    witness, own = shares(CASES[case], solver="as shipped")
    np.testing.assert_allclose(witness, own, rtol=0.0, atol=0.01)


@pytest.mark.parametrize("case", few(CASES))
def test_the_difference_shrinks_with_mujocos_step(case):
    """MuJoCo's links give by the square of their settling time, here a number of steps: half the step leaves
    a quarter. On the slope the coarser step hardly follows the gears, and more is gained. The links' forces
    are not asked: they are as near as the program's own solver already.
    """
    coarse, fine = (largest(CASES[case], step)[:MOTION] for step in CASES[case].steps)
    assert (fine < coarse / 3.0).all()


@pytest.mark.parametrize(("case", "force"), few(NOTICED))
def test_a_force_the_wrong_way_round_is_noticed(case, force):
    try:
        off = largest(CASES[case], wrong=((force, -1.0),)).max()
    except FloatingPointError:
        return  # the rig was thrown out of all bounds
    assert off > 0.01


@pytest.mark.parametrize(("case", "force"), few(NOTICED, 2))
def test_a_force_a_hundredth_too_small_is_noticed(case, force):
    assert largest(CASES[case], wrong=((force, 0.99),)).max() > 2.0 * SAME


@pytest.mark.parametrize(("case", "key", "value"), few(MOVED))
def test_a_joint_a_millimetre_off_is_noticed(case, key, value):
    assert largest(CASES[case], moved=((key, value),)).max() > 2.0 * SAME


def test_the_rig_stands_at_its_ride_height():
    """The preload that the program solves for holds the rig still in MuJoCo, at the bench, on the level."""
    run = run_of(CASES["slow creep"])
    level, model = run.scenario.changed({"ground.slope": 0}), run.trace.model
    witness = Witness(level, model.rig, bench_state(model.bench), 1e-5)
    witness.run([0.0, 0.002])
    assert np.abs(witness.data.qacc).max() < 1e-5


def test_the_bodies_weigh_the_same():
    scenario = simcore.load_scenario(SCENARIOS / "slow_creep.toml")
    bench = run_of(CASES["slow creep"]).trace.model.bench
    centres = bench_centres(scenario.rig)
    model = build(scenario.rig, centres, 1e-5)
    data = mujoco.MjData(model)
    mujoco.mj_forward(model, data)
    np.testing.assert_allclose(centres, bench.centres, rtol=0.0, atol=1e-9)
    matrix = np.zeros((model.nv, model.nv))
    mujoco.mj_fullM(model, data, matrix)
    for name, mass, turn in zip(("chassis", *SIDES), (bench.chassis, *bench.axles), (2, 5, 9), strict=True):
        body = model.body(name).id
        x, _, z = data.subtree_com[body]
        arm = np.hypot(x - data.xpos[body, 0], z - data.xpos[body, 2])
        # a wheel spins on its own: what it adds to the turning housing is its mass alone
        spin = 2.0 * getattr(scenario.rig, name).tyre.spin_inertia if name in SIDES else 0.0
        own = matrix[turn, turn] - spin - model.body_subtreemass[body] * arm**2
        found = [model.body_subtreemass[body], x, z, own]
        np.testing.assert_allclose(found, [mass.mass, mass.x, mass.z, mass.inertia], rtol=1e-7, atol=1e-9)
