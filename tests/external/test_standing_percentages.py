"""Anti-squat and anti-lift of a standing rig against planar statics; the instant centre against its theorem.

Source of the numbers: full planar statics of chassis and two axles (9 equations, linear solve; own numbers,
no outside publication), which agree to 1e-13 N with

    dS_r =  M A h/L - [(1 - xi) F e_r - m_r A (e_r - r)]/d_r
    dS_f = -M A h/L + [xi F e_f       - m_f A (e_f - r)]/d_f,     A = ax + g sin th, F = M A,

S the force of a spring upright through the axle centre, xi the front axle's share of the thrust. "Textbook"
leaves axle mass out: 100 (1 - xi) (e_r/d_r)/(h/L) and 100 xi (e_f/d_f)/(h/L), the solid-axle form of
Gillespie, Fundamentals of Vehicle Dynamics (SAE 1992), ch 7. Percentages do not depend on g.
"""

import functools
from typing import Any

import numpy as np
import pytest
from rigs import AT_REST, scenario, textbook_rig

from simcore.standing.facts import Standing
from simcore.standing.percentages import Stand, carried, level_line, thrust_shares
from simcore.standing.stand import stand
from simcore.standing.table import table_of

SPAN, RADIUS, MASS, AXLE, HEIGHT = 320.0, 60.0, 2600.0, 500.0, 81.5385  # mm, g
CG = (1.6 * 180.0 + 0.5 * SPAN) / 2.6, HEIGHT
LOWER, UPPER = ((10.0, 50.0), (125.0, 70.0)), ((-5.0, 85.0), (95.0, 92.0))  # rear: axle pin, chassis pin
# ax or g sin th; xi; textbook and with axle mass, rear and front, %; dS of both axles, N at g = 9.81
ROWS = [
    (2.0, 0.0, (121.317, 0.0), (110.674, -10.643), (-0.141432, -1.466023)),
    (2.0, 0.5, (60.659, 60.659), (50.015, 50.015), (0.662296, -0.662296)),
    (2.0, 1.0, (0.0, 121.317), (-10.643, 110.674), (1.466023, 0.141432)),
    (9.81 / 2, 0.5, (60.659, 60.659), (50.015, 50.015), (1.624280, -1.624280)),
    (9.81 / 2, 0.35, (78.856, 42.461), (68.213, 31.818), (1.032937, -2.215623)),
]


def rig(lower: Any = LOWER, upper: Any = UPPER, drive: str = "all") -> dict[str, Any]:
    """The anchor's vehicle on hard springs and tyres; the front links mirror the rear ones."""
    table = textbook_rig(SPAN, CG, MASS, 6000, unsprung=AXLE, radius=RADIUS)
    for end, turned in (("rear", 1.0), ("front", -1.0)):
        for name, (pin, top) in (("lower_link", lower), ("upper_link", upper)):
            places = [[SPAN / 2 + turned * (x - SPAN / 2), z] for x, z in (pin, top)]
            table[end][name] = {"axle": places[0], "chassis": places[1]}
    table["driveline"]["drive"] = drive
    return table


@functools.cache
def facts(drive: str = "all") -> Standing:
    return stand(scenario(rig(drive=drive), AT_REST))


def its_stand(here: Standing) -> Stand:
    loads = here.axles[0].load, here.axles[1].load
    return Stand(
        here.cg[1] / here.wheelbase,
        here.cg[1] / here.wheelbase,
        (here.axles[0].mass / here.whole.mass, here.axles[1].mass / here.whole.mass),
        (loads[0] / sum(loads), loads[1] / sum(loads)),
    )


def test_instant_centres() -> None:
    for axle, x in zip(facts().axles, (356.925, SPAN - 356.925), strict=True):
        assert axle.centre is not None
        assert 1e3 * np.array(axle.centre) == pytest.approx([x, 110.335], abs=0.05)


@pytest.mark.parametrize(("push", "xi", "textbook", "with_mass", "springs"), ROWS)
def test_every_row_of_the_anchor(push: float, xi: float, textbook: Any, with_mass: Any, springs: Any) -> None:
    here = facts()
    moved = 2.6 * push * HEIGHT / SPAN
    for i, share in enumerate((1.0 - xi, xi)):
        path = here.axles[i].path
        assert path is not None
        found = carried(path, its_stand(here), share, i)
        assert 100.0 * found.usual_formula == pytest.approx(textbook[i], abs=0.02)
        assert 100.0 * found.with_axle_mass == pytest.approx(with_mass[i], abs=0.02)
        change = (moved, -moved)[i] * (1.0 - found.with_axle_mass)
        assert change == pytest.approx(springs[i], abs=3e-4)


@pytest.mark.parametrize(("drive", "row"), [("rear", ROWS[0]), ("front", ROWS[2])])
def test_the_table_of_a_rig_with_one_driven_axle(drive: str, row: Any) -> None:
    table = table_of(facts(drive))
    for key in (f"_{drive}_drive", ""):
        assert table[f"rear_anti_squat{key}_pct"] == pytest.approx(row[2][0], abs=0.02)
        assert table[f"front_anti_lift{key}_pct"] == pytest.approx(row[2][1], abs=0.02)
        assert table[f"rear_anti_squat{key}_with_axle_mass_pct"] == pytest.approx(row[3][0], abs=0.02)
        assert table[f"front_anti_lift{key}_with_axle_mass_pct"] == pytest.approx(row[3][1], abs=0.02)


def test_both_axles_part_the_thrust_as_their_loads() -> None:
    """xi = 172.308/320, the front tyres' share of the weight; under the drag brake the same figures hold."""
    table, xi = table_of(facts()), 172.308 / 320.0
    simple, mass = 121.317, -10.643
    assert table["rear_anti_squat_pct"] == pytest.approx((1 - xi) * simple, abs=0.02)
    assert table["front_anti_lift_pct"] == pytest.approx(xi * simple, abs=0.02)
    assert table["rear_anti_lift_braking_with_axle_mass_pct"] == pytest.approx(
        (1 - xi) * simple + mass, abs=0.02
    )
    assert table["front_anti_dive_braking_with_axle_mass_pct"] == pytest.approx(xi * simple + mass, abs=0.02)


def test_thrust_shares_of_one_driven_axle() -> None:
    assert thrust_shares("rear", (3.0, 1.0)) == (1.0, 0.0)
    assert thrust_shares("front", (3.0, 1.0)) == (0.0, 1.0)
    assert thrust_shares("all", (3.0, 1.0)) == (0.75, 0.25)


def test_instant_centre_of_two_links() -> None:
    """Links (0,0)-(4,1) and (0,3)-(4,2.5) meet at (8, 2); here ten times as large and 40 mm up."""
    lower, upper = ((0.0, 40.0), (40.0, 50.0)), ((0.0, 70.0), (40.0, 65.0))
    table = rig(lower, upper)
    for end in ("rear", "front"):
        table[end]["shock"] |= {"extended_length": 205, "stroke": 10}
    here = stand(scenario(table, AT_REST))
    for axle, x in zip(here.axles, (80.0, SPAN - 80.0), strict=True):
        assert axle.centre is not None
        assert 1e3 * np.array(axle.centre) == pytest.approx([x, 60.0], abs=0.01)


def test_parallel_links_have_no_instant_centre() -> None:
    """The path then has the slope of the links, 1 in 5 down to the axle."""
    lower, upper = ((0.0, 40.0), (100.0, 60.0)), ((0.0, 80.0), (100.0, 100.0))
    here = stand(scenario(rig(lower, upper), AT_REST))
    assert here.axles[0].centre is None and here.axles[1].centre is None
    table = table_of(here)
    assert table["rear_instant_centre_x_mm"] is None
    assert table["rear_path_slope_deg"] == pytest.approx(np.degrees(np.arctan(0.2)), abs=0.01)
    assert table["front_path_slope_deg"] == pytest.approx(-np.degrees(np.arctan(0.2)), abs=0.01)
    assert "PARALLEL_LINKS" in str(table["remarks"])


@pytest.mark.parametrize("xi", [0.0, 0.3, 0.5])
def test_on_its_level_line_the_rear_stays_level(xi: float) -> None:
    """An instant centre d mm ahead of the contact on the line gives dS_r = 0 by the statics above."""
    here, h = facts(), HEIGHT / SPAN
    line = level_line(its_stand(here), 1.0 - xi, 1e-3 * RADIUS, 0)
    assert line is not None and line.foot < -0.01, "the textbook line goes through the contact"
    for d in (120.0, 300.0, 900.0):
        e = 1e3 * line.foot + line.gradient * d
        spring = h - ((1.0 - xi) * e - AXLE / MASS * (e - RADIUS)) / d
        assert spring == pytest.approx(0.0, abs=1e-4)


def test_no_level_line_without_enough_thrust() -> None:
    """An axle whose thrust share is below its share of the mass cannot be kept level by any support."""
    assert level_line(its_stand(facts()), 0.9 * AXLE / MASS, 1e-3 * RADIUS, 0) is None
