"""A scenario in MuJoCo beside the program's own run of it, and how far the two are apart.

MuJoCo adds up the masses, turns the links, arms and shocks, lets the wheel torque react on the housing,
holds the links and steps the motion (Runge-Kutta); the laws of shocks, tyres, ground and driveline are
written a second time in `mujoco_laws` and `mujoco_course`, from their equations. Both start from the same
settled state. Each signal is compared as a share of its own range in the run.
"""

import math
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

import mujoco
import numpy as np
from mujoco_laws import GRAVITY, SIDES, laws_of
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

SCENARIOS = Path(__file__).parents[2] / "scenarios"
RASTER = {"output.rate": 1000, "driver.release": 0.02}
FINE = {"solver.relative": 1e-9, "solver.absolute": 1e-9}
SAME = 1e-4  # of a signal's range
MOTION = 5  # signals ahead of the links' forces
TAKEN_UP = 0.005  # s, MuJoCo's links give a little and take some steps until they hold the standing rig


@dataclass(frozen=True, eq=False)
class Case:
    """A scenario file, what is changed in it, and MuJoCo's steps in s, the finer one last."""

    name: str
    changes: dict[str, Any]
    steps: tuple[float, ...]


class Witness:
    """A scenario in MuJoCo, started from a settled state of the program.

    Parameters
    ----------
    scenario : its rig without skids, as far as they would touch the ground
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
        mass, ahead = whole_of(self.plain)
        front = ahead / scenario.rig.wheelbase
        loads = mass * GRAVITY * np.array([1.0 - front, front])
        self.laws = laws_of(scenario, found, mass, loads)
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
        self.views += (data.ctrl[:2], data.ctrl[2:4], data.ctrl[4:], (self.loads, self.lengths))

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
        drive = (start.rotor_bristle, start.governor, *start.slide_bristle)
        data.act[:] = [*start.wind_up, *start.shock_bristle, *start.tyre_bristle, *drive]

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
    scenario = simcore.load_scenario(SCENARIOS / f"{case.name}.toml")
    return simcore.simulate(scenario.changed(case.changes | RASTER | (FINE if solver == "fine" else {})))


@cache
def seen(case, step, wrong=(), moved=(), carriers=False):
    """Signals of MuJoCo by name; `wrong` are pairs of force and factor, `moved` of a file's key and value."""
    run = run_of(case)
    start, found, scenario = run.trace.states[0], run.trace.model.rig, run.scenario.changed(dict(moved))
    return Witness(scenario, found, start, step, dict(wrong), carriers).run(run.series["time_s"])


def shares(case, step=None, solver="fine", **how):
    """Signals of MuJoCo and of the program, (signals, instants) each, per range of the signal.

    At MuJoCo's finest step unless another is given.
    """
    signals, series = seen(case, step or case.steps[-1], **how), run_of(case, solver).series
    kept = series["time_s"] > TAKEN_UP
    own = np.array([series.loc[kept, name] for name in signals])
    witness = np.array([values[kept] for values in signals.values()])
    width = np.ptp(own, axis=1, keepdims=True)
    return witness / width, own / width


def largest(case, step=None, **how):
    """Largest difference of each signal, as a share of its range: pitch, travels, loads, links."""
    witness, own = shares(case, step, **how)
    return np.abs(witness - own).max(axis=1)
