"""The way that links leave an axle: instant centre, motion ratio, and the force that takes support off again.

Instant centre of links through (0,0)-(4,1) and (0,3)-(4,2.5): (8, 2), by intersecting the lines (Kennedy;
any kinematics text).
"""

import math

import numpy as np
import pytest

from simcore.compiled import LEDGER, LINK, PATH, POSE, ROW, STATE, blank
from simcore.dynamics.forces import LEAST_SHORTENING, fill_forces, support_on_shock
from simcore.files import scenario_of
from simcore.laws.frame import frame_of
from simcore.laws.links import axle_rows, free_motion
from simcore.rig.model import build


def way_of(pins: list[tuple[tuple[float, float], tuple[float, float]]], centre: tuple[float, float]):
    """Free motion of an axle body at `centre` on links given as (chassis pin, axle pin)."""
    axle = np.zeros(1, np.dtype([("arm", float), ("link", LINK, (2,))])).view(np.recarray)[0]
    state = blank(STATE)[0]
    state.pose[1].x, state.pose[1].z = centre
    for link, (top, bottom) in zip(axle.link, pins, strict=True):
        link.chassis.x, link.chassis.z = top
        link.axle.x, link.axle.z = bottom[0] - centre[0], bottom[1] - centre[1]
        link.length = math.dist(top, bottom)
    rows = np.zeros((1, 2), ROW).view(np.recarray)[0]
    chassis, own = (frame_of(pose) for pose in state.pose[:2])
    axle_rows.py_func(rows, axle, chassis, state.rate[0], own, state.rate[1])
    way = blank(POSE)[0]
    free_motion.py_func(way, rows)
    return way


def test_axle_turns_about_the_instant_centre() -> None:
    way = way_of([((4.0, 1.0), (0.0, 0.0)), ((4.0, 2.5), (0.0, 3.0))], (0.3, 1.5))
    # a body that turns with w about c moves its point r with w (-(r-c)_z, (r-c)_x)
    assert way.x == pytest.approx(-way.angle * (1.5 - 2.0), rel=1e-12)
    assert way.z == pytest.approx(way.angle * (0.3 - 8.0), rel=1e-12)
    assert way.angle != 0.0


def test_parallel_links_let_the_axle_go_square_to_them_without_turning() -> None:
    way = way_of([((4.0, 1.0), (0.0, 0.0)), ((4.0, 3.0), (0.0, 2.0))], (0.0, 1.0))
    assert way.angle == pytest.approx(0.0, abs=1e-15)
    assert (way.x, way.z) == pytest.approx(
        (-(math.hypot(4, 1) ** -1) * math.copysign(1, way.z), math.copysign(4 / math.hypot(4, 1), way.z))
    )


def test_support_on_the_shock_does_the_work_of_the_thrust() -> None:
    path = blank(PATH)[0]
    path.contact_along, path.shortening = -0.3, 0.6
    force = support_on_shock.py_func(path, 10.0)
    square = 1.0 + (LEAST_SHORTENING / 0.6) ** 2
    assert force * 0.6 * square == pytest.approx(10.0 * 0.3)  # support * rise = -thrust * way along
    path.shortening = 0.0
    assert support_on_shock.py_func(path, 10.0) == 0.0


@pytest.mark.parametrize("end", [0, 1])
def test_motion_of_contact_and_shocks_on_the_path(shipped, end: int) -> None:
    """Moving the axle a little on its path closes the links and shortens the shocks as the path says."""
    model = build(scenario_of(shipped("fell"), "fell.toml"))
    state, led = blank(STATE)[0], blank(LEDGER)[0]
    for pose, body in zip(state.pose, (model.bench.chassis, *model.bench.axles), strict=True):
        pose.x, pose.z = body.x, body.z
    fill_forces(led, 0.0, state, model.rig, model.pieces)
    path, travel = led.axle[end].path.copy(), float(led.axle[end].shock.travel)
    pose, step = state.pose[1 + end], 1e-7
    pose.x += step * path.way.x
    pose.z += step * path.way.z
    pose.angle += step * path.way.angle
    fill_forces(led, 0.0, state, model.rig, model.pieces)
    assert np.abs([row.error for row in led.axle[end].row]).max() < 1e-12
    assert (led.axle[end].shock.travel - travel) / step == pytest.approx(path.shortening, rel=1e-5)
    assert path.shortening != 0.0
