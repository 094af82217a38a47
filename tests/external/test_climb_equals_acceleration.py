"""Climbing at a constant speed is accelerating on the level under another gravity.

In axes along and across the ground weight pulls with g sin th along and g cos th across. A steady climb on th
is therefore, force by force, a steady acceleration of g sin th on the level where gravity is g cos th
(equivalence of weight and inertia; exact for bodies that do not turn). Wheels and rotor are given no inertia
to speak of, since they spin up only on the level; the tyres' grip does not fall with slip speed.
"""

import dataclasses
import functools
import math
import tomllib
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from rigs import GRAVITY, scenario
from sparing import few

from simcore.files import Scenario
from simcore.results.run import Run
from simcore.rig.model import Model, build
from simcore.solve.integrate import integrate
from simcore.studies.simulate import finished

RIGS = Path(__file__).parents[2] / "scenarios" / "rigs"
CASES = [("gully", "all", 20.0), ("fell", "all", 30.0), ("fell", "rear", 12.0), ("gully", "front", 10.0)]
WINDOW = 0.1  # s at the end of a run, over which it must be steady


def shipped(name: str, drive: str) -> dict[str, Any]:
    """A shipped rig whose masses do not spin up and whose shocks settle where their springs say: neither
    seals nor the splines of drive shafts hold them.
    """
    rig = tomllib.loads((RIGS / f"{name}.toml").read_text(encoding="utf-8"))
    for end, damping in (("rear", 8), ("front", 9)):
        rig[end]["tyre"] |= {"spin_inertia": 1e-2, "peak_grip": 1.5, "sliding_grip": 1.5}
        rig[end]["shock"]["friction"], rig[end]["shaft"]["friction"] = {"breakaway": 0}, 0
        rig[end]["shock"]["damper"] = {"compression": damping, "rebound": damping}
    rig["motor"] |= {"rotor_inertia": 1e-3, "voltage": 60, "current_limit": 500, "brake_torque": 1000}
    rig["driveline"] |= {"drive": drive, "overdrive": 6, "ratio": 10}
    return rig


def asked(rig: dict[str, Any], driver: dict[str, Any], slope: float) -> Scenario:
    return scenario(
        rig,
        driver | {"release": 0.02},
        ground={"slope": slope},
        end={"duration": 3.0},
        output={"rate": 100},
        solver={"relative": 1e-9, "absolute": 1e-10},
    )


def run_of(what: Scenario, model: Model) -> Run:
    run = finished(what, integrate(what, model))
    assert run.sound, run.audit.faults
    return run


def under(gravity: float, model: Model) -> Model:
    """The same bodies, springs and ground under another gravity; the level loads at rest go with it."""
    rigs = model.rigs.copy()
    rigs[0].gravity = gravity
    loads = tuple(load * gravity / GRAVITY for load in model.bench.loads)
    return dataclasses.replace(model, rigs=rigs, bench=dataclasses.replace(model.bench, loads=loads))


@functools.cache
def pair(name: str, drive: str, slope: float) -> tuple[Any, Any]:
    """Last rows of the climb at a held speed and of the acceleration by the torque that held it."""
    rig, lean = shipped(name, drive), math.radians(slope)
    climb = asked(rig, {"control": "speed", "speed": [[0, 0], [0.3, 1.0]], "governor_time": 0.06}, slope)
    climbing = run_of(climb, build(climb)).series
    torque = float(climbing["motor_torque_Nmm"].iloc[-1])
    level = asked(rig, {"control": "torque", "torque": [[0, 0], [0.3, torque]]}, 0.0)
    run = run_of(level, under(GRAVITY * math.cos(lean), build(level)))
    speeding = run.series
    assert np.array_equal(run.trace.model.rig.axle, build(climb).rig.axle), "not the same rig"
    late = speeding["time_s"] > speeding["time_s"].iloc[-1] - WINDOW
    gained = np.polyfit(speeding.loc[late, "time_s"], speeding.loc[late, "speed_m_per_s"], 1)[0]
    held = np.polyfit(climbing.loc[late, "time_s"], climbing.loc[late, "speed_m_per_s"], 1)[0]
    assert held == pytest.approx(0.0, abs=1e-4)
    assert gained == pytest.approx(GRAVITY * math.sin(lean), rel=1e-5)
    return climbing.iloc[-1], speeding.iloc[-1]


SAME = {
    "N": ("load", "thrust", "shock_force", "lower_link", "upper_link", "support", "rolling_share", "demand"),
    "pct": ("support", "usual_formula", "axle_mass_counted", "slip"),
    "mm": ("travel", "deflection"),
    "deg": ("housing", "wind_up", "path_slope"),
    "ratio": ("motion",),
    "Nm": ("wheel_torque",),
}
BOUND = {"N": 1e-4, "pct": 1e-3, "mm": 1e-4, "deg": 5e-5, "ratio": 5e-7, "Nm": 5e-6}


@pytest.mark.parametrize(("name", "drive", "slope"), few(CASES, 2))
def test_every_figure_is_the_same(name: str, drive: str, slope: float) -> None:
    climbing, speeding = pair(name, drive, slope)
    for unit, columns in SAME.items():
        for column in (f"{end}_{what}_{unit}" for end in ("rear", "front") for what in columns):
            assert speeding[column] == pytest.approx(climbing[column], abs=BOUND[unit], nan_ok=True), column
    assert speeding["pitch_deg"] == pytest.approx(climbing["pitch_deg"] - slope, abs=BOUND["deg"])
    nose_up = "pitch_to_ground_deg"
    assert speeding[nose_up] == pytest.approx(climbing[nose_up], abs=BOUND["deg"])
    assert climbing[nose_up] > 1.0
    assert abs(climbing["rear_demand_N"]) > 0.5 and np.isfinite(climbing["rear_support_pct"])


@pytest.mark.parametrize(("name", "drive", "slope"), few(CASES, 2))
def test_weight_along_the_ground_becomes_inertia(name: str, drive: str, slope: float) -> None:
    """Each of the two differs, by m g sin th along the path of the axle's mass; together they do not."""
    climbing, speeding = pair(name, drive, slope)
    for end in ("rear", "front"):
        weight, inertia = f"{end}_unsprung_weight_N", f"{end}_unsprung_inertia_N"
        assert speeding[weight] + speeding[inertia] == pytest.approx(
            climbing[weight] + climbing[inertia], abs=BOUND["N"]
        )
        assert climbing[inertia] == pytest.approx(0.0, abs=BOUND["N"])
        assert abs(speeding[inertia]) > 0.01


@pytest.mark.parametrize(("name", "drive", "slope"), few(CASES, 2))
def test_the_front_load_is_parted_alike(name: str, drive: str, slope: float) -> None:
    """What the slope takes, acceleration takes on the level; level load and slope change with gravity."""
    climbing, speeding = pair(name, drive, slope)
    lean = math.radians(slope)
    parts = ("level", "slope", "acceleration")
    climb, level = (sum(last[f"budget_{part}_N"] for part in parts) for last in (climbing, speeding))
    assert level == pytest.approx(climb, abs=BOUND["N"])
    assert speeding["budget_slope_N"] == pytest.approx(0.0, abs=0.02 * abs(climbing["budget_slope_N"]))
    assert climbing["budget_acceleration_N"] == pytest.approx(0.0, abs=BOUND["N"])
    eased = climbing["budget_level_N"] * math.cos(lean)
    assert speeding["budget_level_N"] == pytest.approx(eased, rel=1e-9)
    for part in ("inertia", "cg_shift", "contact_shift", "skid"):
        column = f"budget_{part}_N"
        assert speeding[column] == pytest.approx(climbing[column], abs=BOUND["N"]), column
