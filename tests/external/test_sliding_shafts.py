"""Friction of a drive shaft's splines: the force, its work, its place in the balance and in the account.

Source of the force: mu T/r to shift a splined joint under torque (machine design; a worked example in
circulation has T = 636,619.8 N mm of 20 kW at 300 rpm, r = 28 mm, mu = 0.06 and a force of 1,364.2 N;
recomputed 1364.185), T the torque of the shaft: that of the wheels over the ratio. Its line is that of the
joints, it pulls them together while they go apart. All else is planar statics of chassis, axles and links cut
free one by one (`test_support_statics`) and geometry of the links (`bodies`), with the friction of the table
as a given force.
"""

import functools
import math
from pathlib import Path

import numpy as np
import pytest
from bodies import SIDES, hubs, motions, turned
from energies import shaft_lengths
from mujoco_rig import bench_centres
from test_support_statics import carried, each, hard_rig, layout, shares, steady, whole_rig

import simcore

SCENARIOS = Path(__file__).parents[2] / "scenarios"
POWER, TURNS, RADIUS, FRICTION = 20e3, 300.0 / 60.0, 0.028, 0.06
PUBLISHED = 1364.2  # N
SHAFTS = {
    "rear.shaft": {"chassis": [116, 102], "axle": [24, 60], "ratio": 2.6},
    "front.shaft": {"chassis": [196, 106], "axle": [290, 66], "ratio": 2.2},
}


@functools.cache
def punched(friction, radius):
    """A rig that is punched forth and back on the level, 5000 rows a second."""
    changes = {
        "ground.slope": 0,
        "driver.release": 0.02,
        "driver.torque": [[0, 0], [0.02, 60], [0.15, 60], [0.17, -60], [0.3, -60]],
        "end.duration": 0.4,
        "output.rate": 5000,
        "skids": [],
        "solver.relative": 1e-8,
        "solver.absolute": 1e-8,
    }
    shafts = {key: shaft | {"friction": friction, "spline_radius": radius} for key, shaft in SHAFTS.items()}
    return simcore.simulate(simcore.load_scenario(SCENARIOS / "punchy_launch.toml").changed(changes | shafts))


@pytest.mark.parametrize("side", SIDES)
def test_the_published_force(side):
    """Per torque, while the joints go apart or together faster than the bristles' damping lasts."""
    run = punched(FRICTION, 28.0)
    series, rig = run.series, run.scenario.rig
    found, wheels = motions(rig, series)
    length = shaft_lengths(rig, series, side, found, wheels[SIDES.index(side)])
    speed = np.gradient(length, series["time_s"], edge_order=2)
    sign = np.sign(speed) * (np.abs(speed) > 0.03)
    lately = np.lib.stride_tricks.sliding_window_view(np.concatenate([np.zeros(99), sign]), 100)
    slides = np.abs(lately.sum(axis=1)) == 100  # for 20 ms and 0.6 mm, twelve times the bend of the bristles
    slides &= np.abs(series[f"{side}_shaft_torque_Nm"].to_numpy()) > 0.01
    assert slides.sum() > 50 and len(set(sign[slides])) == 2
    turned_by = series[f"{side}_shaft_torque_Nm"].to_numpy()[slides]
    ratio = getattr(rig, side).shaft.ratio
    wheel_torque = series[f"{side}_wheel_torque_Nm"].to_numpy()[slides]
    np.testing.assert_allclose(np.abs(turned_by), np.abs(wheel_torque) / ratio, rtol=1e-9)
    force = sign[slides] * series[f"{side}_shaft_friction_N"].to_numpy()[slides]
    torque = POWER / (2.0 * math.pi * TURNS)
    assert torque == pytest.approx(636.6198, abs=1e-4)
    np.testing.assert_allclose(force / np.abs(wheel_torque / ratio) * torque, PUBLISHED, rtol=1e-4)


@pytest.mark.parametrize("side", SIDES)
def test_share_of_the_account(side):
    """Friction times lengthening per rise of the contact, the axle moved a little along its links."""
    run = punched(0.25, 3.0)
    series, rig = run.series, run.scenario.rig
    axle, k = getattr(rig, side), SIDES.index(side)
    centre = bench_centres(rig)[k]
    pitch, turn = (np.radians(series[name].to_numpy()) for name in ("pitch_deg", f"{side}_housing_deg"))
    arm = axle.tyre.radius - 1e-3 * series[f"{side}_deflection_mm"].to_numpy() / 3.0
    up = np.stack([np.sin(pitch), np.cos(pitch)], axis=1)  # of the level ground, seen from the chassis
    step = 1e-6
    after, before = (hubs(axle, centre, turn + way * step) for way in (1.0, -1.0))

    def length(hub, by):
        joint = hub + turned(turn + by, np.subtract(axle.shaft.axle, centre))
        return np.linalg.norm(joint - np.array(axle.shaft.chassis), axis=1)

    foot = np.stack([-up[:, 1], up[:, 0]], axis=1) * -arm[:, None]  # way of -arm * up per turn
    rise = np.sum(((after - before) / (2.0 * step) + foot) * up, axis=1)
    longer = (length(after, step) - length(before, -step)) / (2.0 * step)
    share = series[f"{side}_shaft_friction_N"].to_numpy() * longer / rise
    assert np.abs(share).max() > 0.8
    np.testing.assert_allclose(series[f"{side}_shaft_share_N"], share, rtol=0.0, atol=1e-5)


# --- statics of all bodies ---

# hard springs leave the splines micrometres to bend
HARD = {"ratio": 0.2, "friction": 1.0, "spline_radius": 0.5, "presliding": 0.05}
JOINTS = {"rear": ((120.0, 96.0), (20.0, 58.0)), "front": ((205.0, 100.0), (298.0, 66.0))}


def shafted(rig):
    for end, (top, joint) in JOINTS.items():
        rig[end]["shaft"] = HARD | {"chassis": list(top), "axle": list(joint)}
    return rig


def pulls(last):
    """What each shaft does to chassis and axle, by the friction of the table: (body, place, force)."""
    found = {}
    for end, (top, joint) in JOINTS.items():
        way = np.subtract(joint, top)
        force = last[f"{end}_shaft_friction_N"] * way / np.linalg.norm(way)
        found[end] = (("chassis", top, force), (end, joint, -force))
    return found


def compare(rig, slope, last, least):
    """A steady row against statics; bounds as in `test_support_statics`, and as a share of the friction."""
    thrust, friction = each(last, "thrust_N"), each(last, "shaft_friction_N")
    assert np.abs(friction).max() > least
    shaft = pulls(last)
    answer = whole_rig(rig, slope, thrust, *shaft["rear"], *shaft["front"])
    for i, end in enumerate(SIDES):
        load, shock = answer[f"{end} load"], answer[f"{end} shock"]
        assert last[f"{end}_load_N"] == pytest.approx(load, abs=5e-4)
        assert last[f"{end}_shock_force_N"] == pytest.approx(shock, abs=2e-3)
        support, sprung, unsprung = shares(rig, end, slope, thrust[i], answer["ax"], shock)
        own = carried(rig, end, shaft[end][1])
        assert support + sprung + unsprung + own == pytest.approx(load, abs=1e-9), "the statics are at fault"
        assert last[f"{end}_shaft_share_N"] == pytest.approx(own, abs=5e-4)
        assert last[f"{end}_spring_share_N"] == pytest.approx(sprung, abs=2e-3)
        for name in ("lower_link", "upper_link"):
            way = np.array(rig[end][name]["chassis"]) - rig[end][name]["axle"]
            force = np.array([answer[f"{end} {name} chassis {k}"] for k in "xz"])
            assert last[f"{end}_{name}_N"] == pytest.approx(force @ way / np.linalg.norm(way), abs=4e-3)
    without = whole_rig(rig, slope, thrust)
    changes = [abs(answer[f"{end} shock"] - without[f"{end} shock"]) for end in SIDES]
    assert max(changes) > 0.1 * least  # the shaft holds a part of the squat that the spring need not


@pytest.mark.parametrize("drive", ["rear", "front", "all"])
def test_a_rig_that_accelerates_on_sliding_shafts(drive):
    rig = shafted(layout(5, ("axle", "axle"), drive=drive))
    compare(rig, 5.0, steady(rig, 5.0, torque=480.0), least=0.5)


@pytest.mark.parametrize("slope", [25.0, -20.0])
def test_a_rig_that_creeps_on_sliding_shafts(slope):
    rig = shafted(layout(7, ("axle", "axle")))
    compare(rig, slope, steady(rig, slope, speed=0.3), least=0.3)


def test_the_anchor_creeps_on_sliding_shafts():
    rig = shafted(hard_rig())
    compare(rig, 30.0, steady(rig, 30.0, speed=0.3), least=0.3)
