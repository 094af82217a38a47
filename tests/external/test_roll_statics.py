"""Shaft torque moves load from side to side: against six equations of chassis and axles seen from behind.

Chassis and axles are three rigid bodies that may rise and lean, over four tyres and four shocks, each a
spring of its own; the shafts turn the axles and the gearbox. Nothing but the springs' places and rates and
Hooke's law enters, solved as one linear system.
"""

import numpy as np
import numpy.typing as npt
import pytest
from rigs import GRAVITY, textbook_rig

from simcore.files import scenario_of
from simcore.rig.torque_twist import TorqueTwist
from simcore.standing.at_rest import HELD
from simcore.standing.facts import SideLoad
from simcore.standing.stand import stand

TRACK, SPACING = 0.19, 0.11  # m, of the tyres' middles and of the shocks
STIFF = 1e9  # N/m, a tyre that hardly gives
Pair = tuple[float, float]


def loads_to_the_right(
    torques: Pair, shocks: Pair, tyre: float, spacings: Pair = (SPACING,) * 2
) -> list[float]:
    """Load that the right tyre of the rear and the front axle gains, N.

    Unknowns: rise and lean (clockwise seen from behind) of chassis, rear and front axle. The right side lies
    at y > 0 and sinks by y times the lean.

    Parameters
    ----------
    torques : of the shafts on the axles, clockwise, N*m
    shocks : rate of one shock at the rear and at the front, N/m
    tyre : rate of one tyre, N/m
    spacings : of the shocks, rear and front, m
    """
    matrix = np.zeros((6, 6))

    def spring(rate: float, ends: list[tuple[int, float]], y: float) -> None:
        """A vertical spring at y between bodies; its shortening is the sum of sign * (rise - y * lean)."""
        shortening = np.zeros(6)
        for body, sign in ends:
            shortening[2 * body : 2 * body + 2] += sign, -sign * y
        matrix[:] += rate * np.outer(shortening, shortening)

    for axle in (1, 2):
        for side in (-0.5, 0.5):
            spring(shocks[axle - 1], [(0, -1.0), (axle, 1.0)], side * spacings[axle - 1])
            spring(tyre, [(axle, -1.0)], side * TRACK)
    rear, front = torques
    found = np.linalg.solve(matrix, np.array([0.0, -rear - front, 0.0, rear, 0.0, front]))
    return [tyre * (0.5 * TRACK * found[2 * axle + 1] - found[2 * axle]) for axle in (1, 2)]


CASES = [
    ((0.12, 0.05), (80.0, 80.0)),
    ((0.12, 0.05), (40.0, 150.0)),
    ((0.12, -0.05), (40.0, 150.0)),
    ((-0.03, -0.11), (90.0, 60.0)),
    ((0.08, 0.0), (90.0, 60.0)),
]


@pytest.mark.parametrize(("torques", "shocks"), CASES)
def test_load_on_the_diagonal(torques: Pair, shocks: Pair) -> None:
    """Four shocks and four stiff tyres solved as a linear system, shares k/(k + k)."""
    rear, front = torques
    found = loads_to_the_right(torques, shocks, STIFF)
    said = TorqueTwist(TRACK, (1.0, 1.0)).side_load(rear, front, shocks[0] / sum(shocks))
    assert found == pytest.approx([said, -said], rel=1e-4, abs=1e-5)
    opposed = TorqueTwist(TRACK, (1.0, -1.0)).side_load(rear, -front, shocks[0] / sum(shocks))
    assert found[0] == pytest.approx(opposed, rel=1e-4, abs=1e-5)


@pytest.mark.parametrize("tyre", [300.0, 2000.0, STIFF])
def test_no_springs_tyres_and_spacings_move_more_than_the_bound(tyre: float) -> None:
    """Four shocks and four tyres of any rate and place, solved as a linear system."""
    random = np.random.default_rng(7)
    for _ in range(200):
        rear, front = random.uniform(-0.2, 0.2, 2)
        rates, spacings = 10.0 ** random.uniform(0.0, 4.0, 2), random.uniform(0.03, 0.16, 2)
        moved = loads_to_the_right((rear, front), tuple(rates), tyre, tuple(spacings))
        assert max(np.abs(moved)) <= TorqueTwist(TRACK, (1.0, 1.0)).most(rear, front) * (1.0 + 1e-4)


def test_the_bound_is_reached_where_one_end_alone_resists_roll() -> None:
    """Shocks of one end a million times as stiff as those of the other, solved as a linear system."""
    twist = TorqueTwist(TRACK, (1.0, 1.0))
    for torques, shocks in (((0.12, 0.05), (1e-3, 1e3)), ((0.05, 0.12), (1e3, 1e-3))):
        moved = loads_to_the_right(torques, shocks, STIFF)
        assert max(np.abs(moved)) == pytest.approx(twist.most(*torques), rel=1e-4)


# --- of a standing rig ---
RATES, RATIOS, WHEELBASE, CG = (0.9, 2.1), (3.0, 2.0), 300.0, (130.0, 70.0)  # N/mm, 1, mm, mm


def side_load(slope: float, turns: str = "clockwise", **tyre: float) -> SideLoad:
    """Of a textbook rig of 2 kg with a track of 190 mm, as the program says it."""
    rig = textbook_rig(WHEELBASE, CG, 2000.0, 8000.0, rates=RATES, **tyre) | {"track": 1e3 * TRACK}
    for end, x, ratio in (("rear", 0.0, RATIOS[0]), ("front", WHEELBASE, RATIOS[1])):
        rig[end]["shaft"] = {"chassis": [150, 60], "axle": [x, 50], "ratio": ratio}
    rig["front"]["shaft"]["turns"] = turns
    table = {"title": "How?", "rig": rig, "driver": HELD, "ground": {"slope": slope}}
    found = stand(scenario_of(table, "drawn.toml")).side_load
    assert found is not None
    return found


def torques_on(degrees: float, rolling: float = 0.0) -> npt.NDArray[np.float64]:
    """Shaft torques of the rigid rig that creeps up, thrust shared as the loads, N*m."""
    th = np.radians(degrees)
    front = (CG[0] * np.cos(th) - CG[1] * np.sin(th)) / WHEELBASE
    loads = 2.0 * GRAVITY * np.array([np.cos(th) - front, front])
    thrust = 2.0 * GRAVITY * np.sin(th) + rolling * loads.sum()
    return np.asarray(loads / loads.sum() * thrust * 0.05 / np.array(RATIOS))


@pytest.mark.parametrize(("turns", "sense"), [("clockwise", 1.0), ("anticlockwise", -1.0)])
@pytest.mark.parametrize(("slope", "climbed"), [(0.0, 30.0), (20.0, 20.0)])
def test_standing_fact_against_the_linear_system(
    slope: float, climbed: float, turns: str, sense: float
) -> None:
    """Rigid statics on the slope give the torques; a linear system of four shocks and tyres the load."""
    said, (rear, front) = side_load(slope, turns), torques_on(climbed)
    shocks = tuple(500.0 * rate for rate in RATES)
    moved = loads_to_the_right((rear, sense * front), shocks, STIFF)
    assert np.degrees(said.slope) == pytest.approx(climbed)
    assert said.by_springs == pytest.approx(abs(moved[0]), rel=0.01)
    assert said.most == pytest.approx(max(rear, front) / TRACK, rel=5e-3)


def test_rolling_resistance_needs_torque_too() -> None:
    """6 % of the load on 10 deg, where the weight alone needs 17 %."""
    said = side_load(10.0, rolling_resistance=6.0)
    assert said.most == pytest.approx(max(torques_on(10.0, 0.06)) / TRACK, rel=5e-3)
