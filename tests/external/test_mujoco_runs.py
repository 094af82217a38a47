"""Whole runs against MuJoCo, an engine that knows nothing of this program.

MuJoCo adds up the masses, turns the links and shocks, lets the wheel torque react on the housing, holds the
links and steps the motion (Runge-Kutta); the laws of shocks, tyres and driveline are written a second time
in `mujoco_rig`, from their equations. Both start from the same settled state. Each signal is compared as a
share of its own range in the run.
"""

import math
from pathlib import Path

import mujoco
import numpy as np
import pytest
from mujoco_rig import (
    AXLES,
    CHASSIS,
    FORCES,
    ROTOR,
    SIDES,
    WHEELS,
    all_forces,
    bench_centres,
    build,
    laws_of,
    whole_of,
)

import simcore
from simcore.rig.preload import bench_state

SCENARIOS = Path(__file__).parents[2] / "scenarios"
RASTER = {"output.rate": 1000, "driver.release": 0.02}
FINE = {"solver.relative": 1e-9, "solver.absolute": 1e-9}
LEVEL = {"ground.slope": 0, "driveline.overdrive": 12, "driver.speed": [[0, 0], [0.1, 0.3]]}
# file, changes, MuJoCo's steps in s: on the slope the gears stand under load, where their loss turns round
# with the direction of power within a fraction of a milliwatt; that damps the wheels with some 1e5 /s
CASES = {
    "punchy launch": ("punchy_launch", {"end.duration": 0.5}, (5e-5, 2.5e-5)),
    "slow creep": ("slow_creep", {"end.duration": 0.6}, (2e-5, 1e-5)),
    "overdriven on the level": ("slow_creep", {"end.duration": 0.6} | LEVEL, (5e-5, 2.5e-5)),
}
SAME = 1e-4  # of a signal's range
MOTION = 5  # signals ahead of the links' forces
TAKEN_UP = 0.005  # s, MuJoCo's links give a little and take some steps until they hold the standing rig
_runs = {}


class Witness:
    """A scenario in MuJoCo, started from a settled state of the program.

    Parameters
    ----------
    scenario : on one plane
    found : the program's parameters, for what it solves for
    start : the settled state
    step : of MuJoCo, s
    wrong : factors of forces that are to be wrong on purpose, by their names in FORCES
    """

    def __init__(self, scenario, found, start, step, wrong=None):
        self.step, self.centres = step, bench_centres(scenario.rig)
        self.model = build(scenario.rig, self.centres, step)
        self.data = mujoco.MjData(self.model)
        self.laws = laws_of(scenario, found, whole_of(self.model)[0])
        for force, factor in (wrong or {}).items():
            self.laws["factor"][force] = factor
        self._place(start)
        data, model = self.data, self.model
        shocks = [model.tendon(f"{side}_shock").id for side in SIDES]
        self.shocks = slice(shocks[0], shocks[1] + 1, shocks[1] - shocks[0])
        wheels = [model.body(f"{side}_wheels").id for side in SIDES]
        push = data.xfrc_applied[wheels[0] : wheels[1] + 1 : wheels[1] - wheels[0]]
        self.loads = np.zeros(2)
        lengths, length_rates = data.ten_length[self.shocks], data.ten_velocity[self.shocks]
        # views of MuJoCo's own memory
        self.views = (data.qpos, data.qvel, lengths, length_rates, data.act, self.laws)
        self.views += (self.centres, push, data.qfrc_applied, data.ctrl[:2], data.ctrl[2:], self.loads)

    def _place(self, start):
        data = self.data
        mujoco.mj_forward(self.model, data)
        for k, (name, at) in enumerate(zip(("chassis", *SIDES), (CHASSIS, *AXLES), strict=True)):
            body, pose, rate = self.model.body(name).id, start.pose[k], start.rate[k]
            x, _, z = data.subtree_com[body] - data.xpos[body]
            c, s = math.cos(pose.angle), math.sin(pose.angle)
            lever = np.array([c * x - s * z, s * x + c * z])
            place = np.array([pose.x, pose.z]) - lever - data.xpos[body][[0, 2]]
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
        """Signals of this instant in the program's bench units; links compressed positive."""
        data = self.data
        row = {"pitch_deg": math.degrees(data.qpos[2])}
        for i, side in enumerate(SIDES):
            length = data.ten_length[self.model.tendon(f"{side}_shock").id]
            row[f"{side}_travel_mm"] = 1e3 * (self.laws["axle"][0, i]["extended"] - length)
            row[f"{side}_load_N"] = self.loads[i]
        names = [f"{side}_{kind}_link_N" for side in SIDES for kind in ("lower", "upper")]
        return row | dict(zip(names, data.efc_force, strict=True))


def run_of(case, solver="fine"):
    """A run of the program, made once."""
    if (case, solver) not in _runs:
        name, changes, _ = CASES[case]
        scenario = simcore.load_scenario(SCENARIOS / f"{name}.toml")
        changes = changes | RASTER | (FINE if solver == "fine" else {})
        _runs[case, solver] = simcore.simulate(scenario.changed(changes))
    return _runs[case, solver]


def shares(case, step, solver="fine", wrong=None):
    """Signals of MuJoCo and of the program, (signals, instants) each, per range of the signal."""
    run = run_of(case, solver)
    start, found = run.trace.states[0], run.trace.model.rig
    seen = Witness(run.scenario, found, start, step, wrong).run(run.series["time_s"])
    kept = run.series["time_s"] > TAKEN_UP
    own = np.array([run.series.loc[kept, name] for name in seen])
    witness = np.array([values[kept] for values in seen.values()])
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


@pytest.mark.parametrize("case", CASES)
def test_the_tolerances_as_shipped_hold_within_a_hundredth(case):
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


@pytest.mark.parametrize("force", FORCES)
def test_a_force_the_wrong_way_round_is_noticed(force):
    try:
        off = largest("punchy launch", 5e-5, wrong={force: -1.0}).max()
    except FloatingPointError:
        return  # the rig was thrown out of all bounds
    assert off > 0.01


@pytest.mark.parametrize("force", FORCES)
def test_a_force_a_hundredth_too_small_is_noticed(force):
    assert largest("punchy launch", 5e-5, wrong={force: 0.99}).max() > 2.0 * SAME


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
