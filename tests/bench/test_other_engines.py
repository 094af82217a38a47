"""Against MuJoCo with the same rig, and against the same laws in plain Python: pytest -m bench."""

import os
import subprocess
import sys
import time
from pathlib import Path

import mujoco
import numpy as np

import simcore
from simcore.rig.model import build
from simcore.solve.integrate import integrate
from simcore.solve.settle import settle

ROOT = Path(__file__).parents[2]
sys.path.append(str(ROOT / "tests" / "external"))
from mujoco_witness import RASTER, SCENARIOS, Witness  # noqa: E402

STEPS = [1e-3, 5e-4, 2e-4, 1e-4, 5e-5, 2.5e-5]  # s, of MuJoCo
NEAR = 0.01  # of the range of pitch
PER_CALL = """
import time
import numpy as np
import simcore
from simcore.compiled import LEDGER, blank
from simcore.dynamics.motion import derivative
from simcore.rig.initial_pose import initial_pose
from simcore.rig.model import build
scenario = simcore.load_scenario("scenarios/punchy_launch.toml")
model = build(scenario)
state = np.frombuffer(initial_pose(scenario, model).tobytes()).copy()
tools = (state, model.rigs, model.pieces, blank(LEDGER))
derivative(0.5, *tools)
begin = time.perf_counter()
for _ in range({calls}):
    derivative(0.5, *tools)
print((time.perf_counter() - begin) / {calls})
"""


def test_mujoco_at_its_largest_step_within_one_percent_of_pitch(benchmark) -> None:
    """The laws are the witness's own, compiled, called back at every stage; beside it bare steps, no laws."""
    changes = {"end.duration": 0.5, "rear.shaft.friction": 0, "front.shaft.friction": 0, "skids": []}
    scenario = simcore.load_scenario(SCENARIOS / "punchy_launch.toml").changed(changes | RASTER)
    model = build(scenario)
    start, run = settle(scenario, model), simcore.simulate(scenario)
    times, pitch = run.series["time_s"].to_numpy(), run.series["pitch_deg"].to_numpy()
    taken = step = bare = np.nan
    for step in STEPS:
        witness = Witness(scenario, model.rig, start, step)
        begin = time.perf_counter()
        try:
            seen = witness.run(times)
        except FloatingPointError:
            continue
        taken = time.perf_counter() - begin
        if np.abs(seen["pitch_deg"] - pitch).max() < NEAR * np.ptp(pitch):
            begin = time.perf_counter()
            mujoco.mj_step(witness.model, witness.data, round(times[-1] / step))
            bare = time.perf_counter() - begin
            break
    else:
        step = np.nan
    benchmark.pedantic(integrate, args=(scenario, model, start), rounds=20)
    benchmark.extra_info["its largest step, us"] = 1e6 * step
    benchmark.extra_info["its time over ours, with the laws"] = taken / benchmark.stats["min"]
    benchmark.extra_info["its time over ours, without any laws"] = bare / benchmark.stats["min"]


def test_plain_python_over_compiled_derivative(benchmark) -> None:
    def seconds(calls: int, **settings: str) -> float:
        program = [sys.executable, "-c", PER_CALL.format(calls=calls)]
        found = subprocess.run(
            program, cwd=ROOT, env=os.environ | settings, check=True, capture_output=True, text=True
        )
        return float(found.stdout)

    compiled = seconds(20_000)
    plain = benchmark.pedantic(seconds, args=(50,), kwargs={"NUMBA_DISABLE_JIT": "1"}, rounds=1)
    benchmark.extra_info["times"] = plain / compiled
