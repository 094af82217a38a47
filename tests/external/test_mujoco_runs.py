"""Whole runs against MuJoCo, an engine that knows nothing of this program.

MuJoCo adds up the masses, turns the links, arms and shocks, lets the wheel torque react on the housing,
holds the links and steps the motion (Runge-Kutta); the laws of shocks, tyres and driveline are written a
second time in `mujoco_laws`, from their equations. Both start from the same settled state. Each signal is
compared as a share of its own range in the run.
"""

import math
from functools import cache
from pathlib import Path

import mujoco
import numpy as np
import pytest
from mujoco_laws import FORCES, SIDES, laws_of
from mujoco_rig import (
    AXLES,
    CHASSIS,
    ROTOR,
    WHEELS,
    all_forces,
    bench_centres,
    build,
    held_forces,
    places_of,
    turn_carriers,
    whole_of,
)

import simcore
from simcore.rig.preload import bench_state

SCENARIOS = Path(__file__).parents[2] / "scenarios"
RASTER = {"output.rate": 1000, "driver.release": 0.02}
FINE = {"solver.relative": 1e-9, "solver.absolute": 1e-9}
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
# file, changes, MuJoCo's steps in s: on the slope the gears stand under load, where their loss turns round
# with the direction of power within a fraction of a milliwatt; that damps the wheels with some 1e5 /s
CASES = {
    "punchy launch": ("punchy_launch", {"end.duration": 0.5}, (5e-5, 2.5e-5)),
    "slow creep": ("slow_creep", {"end.duration": 0.6}, (2e-5, 1e-5)),
    "overdriven on the level": ("slow_creep", {"end.duration": 0.6} | LEVEL, (5e-5, 2.5e-5)),
    "shocks on links": ("trail_launch", {"end.duration": 0.4}, (2e-5, 1e-5)),
    "front axle on an arm": ("punchy_launch", {"end.duration": 0.5} | ARM, (5e-5, 2.5e-5)),
    "damper tables and pulling springs": ("punchy_launch", {"end.duration": 0.5} | PULLED, (5e-5, 2.5e-5)),
}
# what a comparison must notice, and in which run
NOTICED = [("punchy launch", force) for force in FORCES if force not in ("pull", "lever")]
NOTICED += [("damper tables and pulling springs", force) for force in ("damper", "pull")]
NOTICED += [("shocks on links", "lever")]
MOVED = [
    ("front axle on an arm", "front.arm.chassis", (197, 71)),
    ("shocks on links", "rear.shock.fraction", 0.82 + 1 / 129),
]
SAME = 1e-4  # of a signal's range
MOTION = 5  # signals ahead of the links' forces
TAKEN_UP = 0.005  # s, MuJoCo's links give a little and take some steps until they hold the standing rig


class Witness:
    """A scenario in MuJoCo, started from a settled state of the program.

    Parameters
    ----------
    scenario : on one plane
    found : the program's parameters, for what it solves for
    start : the settled state
    step : of MuJoCo, s
    wrong : factors of forces that are to be wrong on purpose, by their names in FORCES
    carriers : whether links that carry shocks are bodies
    """

    def __init__(self, scenario, found, start, step, wrong=None, carriers=False):
        self.step, self.centres = step, bench_centres(scenario.rig)
        self.plain = build(scenario.rig, self.centres, step)
        self.model = build(scenario.rig, self.centres, step, carriers)
        self.data = mujoco.MjData(self.model)
        self.laws = laws_of(scenario, found, whole_of(self.plain)[0])
        for force, factor in (wrong or {}).items():
            self.laws["factor"][force] = factor
        self._place(start)
        if carriers:
            turn_carriers(self.model, self.data, scenario.rig)
        data, model = self.data, self.model
        wheels = [model.body(f"{side}_wheels").id for side in SIDES]
        push = data.xfrc_applied[wheels[0] : wheels[1] + 1 : wheels[1] - wheels[0]]
        self.loads, self.lengths = np.zeros(2), np.zeros(2)
        # views of MuJoCo's own memory
        chassis, *axles = (data.xpos[model.body(name).id] for name in ("chassis", *SIDES))
        moving = (data.qpos, data.qvel, data.site_xpos, tuple((chassis, axle) for axle in axles))
        self.views = (moving, (data.ten_length, data.ten_velocity), data.act, self.laws)
        self.views += (places_of(model, scenario.rig, self.centres), push, data.qfrc_applied)
        self.views += (data.ctrl[:2], data.ctrl[2:], (self.loads, self.lengths))

    def _place(self, start):
        data, bench = self.data, mujoco.MjData(self.plain)  # the pose of a body is that of all its lumps
        mujoco.mj_forward(self.plain, bench)
        for k, (name, at) in enumerate(zip(("chassis", *SIDES), (CHASSIS, *AXLES), strict=True)):
            body, pose, rate = self.model.body(name).id, start.pose[k], start.rate[k]
            x, _, z = bench.subtree_com[body] - bench.xpos[body]
            c, s = math.cos(pose.angle), math.sin(pose.angle)
            lever = np.array([c * x - s * z, s * x + c * z])
            place = np.array([pose.x, pose.z]) - lever - bench.xpos[body][[0, 2]]
            data.qpos[list(at)] = [*place, pose.angle]
            turn = rate.angle * np.array([-lever[1], lever[0]])
            data.qvel[list(at)] = [*(np.array([rate.x, rate.z]) - turn), rate.angle]
        for i in range(2):
            data.qvel[WHEELS[i]] = start.spin[i] + data.qvel[AXLES[i][2]]
        data.qvel[ROTOR] = start.motor
        brake_and_governor = (start.rotor_bristle, start.governor)
        data.act[:] = [*start.wind_up, *start.shock_bristle, *start.tyre_bristle, *brake_and_governor]

    def _forces(self, model, data):
        all_forces(data.time, *self.views)

    def run(self, times):
        """Signals at rising times that are whole numbers of steps, by name, (n,).

        Raises
        ------
        FloatingPointError
            when MuJoCo warns, which it does of motions without bounds.
        """
        rows, warnings, done = [], [], 0
        mujoco.set_mjcb_control(self._forces)
        mujoco.set_mju_user_warning(warnings.append)
        try:
            for time in times:
                steps = round(time / self.step)
                if steps > done:
                    mujoco.mj_step(self.model, self.data, steps - done)
                done = steps
                mujoco.mj_forward(self.model, self.data)
                rows.append(self._row())
                if warnings:
                    raise FloatingPointError(warnings[0])
        finally:
            mujoco.set_mjcb_control(None)
            mujoco.set_mju_user_warning(None)
        return {name: np.array([row[name] for row in rows]) for name in rows[0]}

    def _row(self):
        """Signals of this instant in the program's bench units."""
        row = {"pitch_deg": math.degrees(self.data.qpos[2])}
        for i, side in enumerate(SIDES):
            row[f"{side}_travel_mm"] = 1e3 * (self.laws["axle"][0, i]["extended"] - self.lengths[i])
            row[f"{side}_load_N"] = self.loads[i]
        return row | held_forces(self.model, self.data)


@cache
def run_of(case, solver="fine"):
    """A run of the program."""
    name, changes, _ = CASES[case]
    scenario = simcore.load_scenario(SCENARIOS / f"{name}.toml")
    return simcore.simulate(scenario.changed(changes | RASTER | (FINE if solver == "fine" else {})))


@cache
def seen(case, step, wrong=(), moved=(), carriers=False):
    """Signals of MuJoCo by name; `wrong` are pairs of force and factor, `moved` of a file's key and value."""
    run = run_of(case)
    start, found, scenario = run.trace.states[0], run.trace.model.rig, run.scenario.changed(dict(moved))
    return Witness(scenario, found, start, step, dict(wrong), carriers).run(run.series["time_s"])


def shares(case, step, solver="fine", **how):
    """Signals of MuJoCo and of the program, (signals, instants) each, per range of the signal."""
    signals, series = seen(case, step, **how), run_of(case, solver).series
    kept = series["time_s"] > TAKEN_UP
    own = np.array([series.loc[kept, name] for name in signals])
    witness = np.array([values[kept] for values in signals.values()])
    width = np.ptp(own, axis=1, keepdims=True)
    return witness / width, own / width


def largest(case, step, **how):
    """Largest difference of each signal, as a share of its range: pitch, travels, loads, links."""
    witness, own = shares(case, step, **how)
    return np.abs(witness - own).max(axis=1)


@pytest.mark.parametrize("case", CASES)
def test_mujoco_sees_the_same_run(case):
    run = run_of(case)
    assert run.series["skid_load_N"].max() == 0.0  # the witness has no skids
    assert min(run.series[f"{side}_load_N"].min() for side in SIDES) > 0.0  # nor a tyre in the air
    witness, own = shares(case, CASES[case][2][1])
    np.testing.assert_allclose(witness, own, rtol=0.0, atol=SAME)


def test_a_link_that_is_a_body_shares_the_shocks_force_alike():
    """The lever rule, by which the other runs share it to the link's pins, is not used here."""
    witness, own = shares("shocks on links", 1e-5, carriers=True)
    np.testing.assert_allclose(witness, own, rtol=0.0, atol=SAME)


@pytest.mark.parametrize("case", CASES)
def test_the_tolerances_as_shipped_hold_within_a_hundredth(case):
    starts = [run_of(case, solver).trace.states[0] for solver in ("fine", "as shipped")]
    assert starts[0].tobytes() == starts[1].tobytes()  # so that one run of MuJoCo serves both
    witness, own = shares(case, CASES[case][2][1], solver="as shipped")
    np.testing.assert_allclose(witness, own, rtol=0.0, atol=0.01)


@pytest.mark.parametrize("case", CASES)
def test_the_difference_shrinks_with_mujocos_step(case):
    """MuJoCo's links give by the square of their settling time, here a number of steps: half the step leaves
    a quarter. On the slope the coarser step hardly follows the gears, and more is gained. The links' forces
    are not asked: they are as near as the program's own solver already.
    """
    coarse, fine = (largest(case, step)[:MOTION] for step in CASES[case][2])
    assert (fine < coarse / 3.0).all()


@pytest.mark.parametrize(("case", "force"), NOTICED)
def test_a_force_the_wrong_way_round_is_noticed(case, force):
    try:
        off = largest(case, CASES[case][2][1], wrong=((force, -1.0),)).max()
    except FloatingPointError:
        return  # the rig was thrown out of all bounds
    assert off > 0.01


@pytest.mark.parametrize(("case", "force"), NOTICED)
def test_a_force_a_hundredth_too_small_is_noticed(case, force):
    assert largest(case, CASES[case][2][1], wrong=((force, 0.99),)).max() > 2.0 * SAME


@pytest.mark.parametrize(("case", "key", "value"), MOVED)
def test_a_joint_a_millimetre_off_is_noticed(case, key, value):
    assert largest(case, CASES[case][2][1], moved=((key, value),)).max() > 2.0 * SAME


def test_the_rig_stands_at_its_ride_height():
    """The preload that the program solves for holds the rig still in MuJoCo, at the bench, on the level."""
    run = run_of("slow creep")
    level, model = run.scenario.changed({"ground.slope": 0}), run.trace.model
    witness = Witness(level, model.rig, bench_state(model.bench), 1e-5)
    witness.run([0.0, 0.002])
    assert np.abs(witness.data.qacc).max() < 1e-5


def test_the_bodies_weigh_the_same():
    scenario = simcore.load_scenario(SCENARIOS / "slow_creep.toml")
    bench = run_of("slow creep").trace.model.bench
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
