"""The steepest slope that tyres hold whose grip falls with load, by hand, and the two other ends of a climb.

Law: grip = mu (N / N0)^-n, N the load of both tyres of an axle, N0 twice the file's `grip_load`, or their
level load where none is stated. On a plane at the angle th the loads follow from moments about the contacts,
N_r = W (a1 cos th + h sin th)/L and N_f = W (a2 cos th - h sin th)/L (R. N. Jazar, Vehicle Dynamics, Springer
2008, ch 2), and the braked or driven tyres just hold where sum mu_i (N_i/N0_i)^-n_i N_i = W sin th, solved
here. Tip-back tan th = a2/h (Jazar, exercises 46, 48); torque W sin th = T G eta/R_e (definition of a gear's
efficiency). No publication gives numbers for grip that falls: sizes of the exponent see the file reference.

Places at which a rig stands or creeps are those of its table, from which its own geometry gives a1, a2 and h;
lengths across the ground count from where the thrust acts, R_e below the wheel centres (which are not
equally high: the mean is weighed by the thrusts).
"""

import functools
import itertools
import math
from dataclasses import dataclass
from pathlib import Path

import mujoco
import numpy as np
import pytest
from bodies import GRAVITY, SIDES, motions
from mujoco_rig import bench_centres, build, whole_of
from rigs import AT_REST, scenario, textbook_rig
from scipy.optimize import brentq
from sparing import few

import simcore
from simcore.solve.refusal import CannotStand

SCENARIOS = Path(__file__).parents[2] / "scenarios"
RIGS = ("gully", "fell", "gully_rear", "scree")
FALLS = {
    "rear.tyre.grip_load_exponent": 0.3,
    "rear.tyre.grip_load": 350,
    "front.tyre.grip_load_exponent": 0.12,
    "front.tyre.grip_load": 700,
}
HELD = {"motor.brake_torque": 2000}
ROLLS = {f"{side}.tyre.rolling_resistance": 0 for side in SIDES}
PLAIN = ROLLS | {f"{side}.tyre.{name}_grip": 0.8 for side in SIDES for name in ("peak", "sliding")}
SPRINGLESS = {"rear.shock.springs": [], "front.shock.springs": []}


@dataclass(frozen=True)
class Stance:
    """A rig on a slope: weight N, levers m: centre behind the front and ahead of the rear contact, above the
    plane of both thrusts; loads of rear and front in the table, N.
    """

    weight: float
    ahead: float
    behind: float
    height: float
    loads: tuple[float, float]

    def loads_on(self, slope):
        """Loads of rear and front (N) on a slope (rad) with this geometry."""
        along, across = self.weight * math.sin(slope), self.weight * math.cos(slope)
        span = self.ahead + self.behind
        return (
            (self.ahead * across + self.height * along) / span,
            (self.behind * across - self.height * along) / span,
        )


def stance_of(run, row=-1):
    """Stance from the table of a run, its links and its masses."""
    rig, series, slope = run.scenario.rig, run.series, run.scenario.ground.slope
    bodies, hubs = motions(rig, series)
    mass = sum(motion.body.mass for motion in bodies)
    centre = sum(motion.body.mass * motion.place[row] for motion in bodies) / mass
    along, across = (
        np.array([math.cos(slope), math.sin(slope)]),
        np.array([-math.sin(slope), math.cos(slope)]),
    )
    arms = [
        getattr(rig, side).tyre.radius - 1e-3 * series[f"{side}_deflection_mm"].iloc[row] / 3.0
        for side in SIDES
    ]
    feet = [hub[row] - arm * across for hub, arm in zip(hubs, arms, strict=True)]
    thrust = [series[f"{side}_thrust_N"].iloc[row] for side in SIDES]
    plane = np.average([foot @ across for foot in feet], weights=thrust)
    x = centre @ along
    return Stance(
        mass * GRAVITY,
        feet[1] @ along - x,
        x - feet[0] @ along,
        centre @ across - plane,
        tuple(series[f"{side}_load_N"].iloc[row] for side in SIDES),
    )


def bench_stance(rig):
    """Stance as measured on the bench, masses added up by another engine; thrust at the ground."""
    centres = bench_centres(rig)
    model = build(rig, centres, 1e-5)
    mass, behind = whole_of(model)
    data = mujoco.MjData(model)
    mujoco.mj_forward(model, data)
    bodies = [model.body(name).id for name in ("chassis", *SIDES)]
    height = model.body_subtreemass[bodies] @ data.subtree_com[bodies, 2] / mass
    return Stance(mass * GRAVITY, rig.wheelbase - behind, behind, height, (math.nan, math.nan))


def grips(rig, level):
    """Grip by load (N) of each axle; `level` loads count where none is stated."""

    def law(tyre, own):
        reference = own if tyre.grip_load is None else 2.0 * tyre.grip_load * GRAVITY
        return lambda load: tyre.peak_grip * max(load / reference, 0.05) ** -tyre.grip_load_exponent

    return [law(getattr(rig, side).tyre, own) for side, own in zip(SIDES, level, strict=True)]


def slips_at(rig, stance, level, driven=SIDES):
    """Slope at which driven or braked tyres let go, deg."""
    laws = grips(rig, level)

    def spare(slope):
        hold = sum(
            law(load) * load
            for side, law, load in zip(SIDES, laws, stance.loads_on(slope), strict=True)
            if side in driven
        )
        return hold - stance.weight * math.sin(slope)

    return math.degrees(brentq(spare, 0.01, 1.3))


def rig_of(name, changes):
    """A shipped rig with changes of its keys."""
    path = SCENARIOS / "slow_creep.toml"
    return simcore.load_scenario(path).changed({"rig": f"rigs/{name}.toml", "skids": []} | changes)


def level_loads(rig):
    return bench_stance(rig).loads_on(0.0)


def driven_of(rig):
    return SIDES if rig.driveline.drive == "all" else (rig.driveline.drive,)


# --- closed forms of a rigid rig ---


def low_rig(mass, exponent, **tyre):
    """A hard rig with its centre of mass in the plane of the ground, which moves no load."""
    keys = {"peak_grip": 0.9, "sliding_grip": 0.9, "grip_load_exponent": exponent} | tyre
    return scenario(textbook_rig(300.0, (130.0, 0.0), mass, 5000.0, **keys), AT_REST)


def holds(case):
    """Slope up to which both axles hold by the standing facts, rad."""
    return simcore.inspect(case).standing.limits.slip_slope_all


@pytest.mark.parametrize("exponent", [0.1, 0.3, 0.5])
def test_tyres_whose_grips_were_measured_on_the_level(exponent):
    """Both axles then carry cos th of their references, however the weight is shared: tan th = mu
    cos(th)^-n.
    """
    slope = brentq(lambda s: math.tan(s) - 0.9 * math.cos(s) ** -exponent, 0.1, 1.3)
    assert slope > math.atan(0.9) + 0.1 * exponent
    assert holds(low_rig(2000.0, exponent)) == pytest.approx(slope, abs=1e-9)


@pytest.mark.parametrize("exponent", [0.1, 0.2])
def test_a_tenth_less_weight_on_the_load_of_the_measurement(exponent):
    """Gains about 0.1 n mu/(1 + mu^2) rad: mu rises by a tenth of n, the slope by that over 1 + tan^2; what
    the slope itself takes off the tyres adds n tan^2 of it.
    """
    both = [holds(low_rig(mass, exponent, grip_load=500.0)) for mass in (2000.0, 1800.0)]
    gain = 0.1 * exponent * 0.9 / (1.0 + 0.9**2)
    assert both[1] - both[0] == pytest.approx(gain, rel=0.06 + 0.9 * exponent)
    exact = [
        brentq(lambda s, share=share: math.tan(s) - 0.9 * (share * math.cos(s)) ** -exponent, 0.1, 1.3)
        for share in (1.0, 0.9)
    ]
    # 130 mm of 300: the axles carry 1.133 and 0.867 of 1000 g, which all but cancels
    assert np.diff(both)[0] == pytest.approx(np.diff(exact)[0], rel=0.01)


def test_less_weight_alone_gains_nothing():
    """Where no load is stated the grips count as measured on the rig as it is."""
    light, heavy = (holds(low_rig(mass, 0.3)) for mass in (1500.0, 2500.0))
    assert light == pytest.approx(heavy, abs=1e-9)


# --- the law in a run ---


@pytest.mark.parametrize("side", SIDES)
def test_tyres_that_spin_on_the_level(side):
    """Thrust per load of a tyre that only slides, at every load that the rig's own pull puts on it; bristles
    follow the load some milliseconds late.
    """
    spin = {"driver.control": "torque", "driver.torque": [[0, 0], [0.05, 70]]}
    case = rig_of(
        "gully", FALLS | PLAIN | spin | {"ground.slope": 0, "end.duration": 0.5, "output.rate": 2000}
    )
    series = simcore.simulate(case).series
    tyre, index = getattr(case.rig, side).tyre, SIDES.index(side)
    late = series[(series["time_s"] > 0.28) & (series[f"{side}_slip_pct"] > 50.0)]
    assert len(late) > 100 and np.ptp(late[f"{side}_load_N"]) > 0.5
    law = grips(case.rig, level_loads(case.rig))[index]
    wanted = [law(load) for load in late[f"{side}_load_N"]]
    np.testing.assert_allclose(late[f"{side}_thrust_N"] / late[f"{side}_load_N"], wanted, rtol=0.015)
    assert max(abs(np.array(wanted) / tyre.peak_grip - 1.0)) > 0.1


def test_tyres_that_all_but_leave_the_ground():
    """Below 5 % of the reference grip rises no more."""
    drop = [{"length": 450}, {"ledge": -60}, {"length": 3000}]
    fast = {"driver.speed": [[0, 0], [0.1, 1.2]], "end.duration": 0.8, "output.rate": 5000}
    case = rig_of("gully", FALLS | fast | {"ground.slope": 0, "ground.pieces": drop})
    trace, level = simcore.simulate(case).trace, level_loads(case.rig)
    for i, side in enumerate(SIDES):
        tyre, found = getattr(case.rig, side).tyre, trace.part(i, "tyre")
        reference = 2.0 * GRAVITY * tyre.grip_load
        share = found["load"] / reference
        wanted = [grips(case.rig, level)[i](load) / tyre.peak_grip for load in found["load"]]
        np.testing.assert_allclose(found["grip"], wanted, rtol=1e-9)
        assert share.min() == 0.0 and ((share > 0.0) & (share < 0.05)).any() and share.max() > 2.0


# --- shipped rigs: standing facts, standing starts, whole climbs ---


@pytest.mark.parametrize("name", RIGS)
@pytest.mark.parametrize(("drive", "driven"), [("all", SIDES), ("rear", ("rear",)), ("front", ("front",))])
def test_standing_facts_of_a_shipped_rig(name, drive, driven):
    rig = rig_of(name, FALLS).rig
    found = math.degrees(getattr(simcore.inspect(rig).standing.limits, f"slip_slope_{drive}"))
    assert found == pytest.approx(slips_at(rig, bench_stance(rig), level_loads(rig), driven), abs=1e-6)
    flat = rig_of(name, {}).rig  # and it matters
    assert abs(found - slips_at(flat, bench_stance(flat), level_loads(flat), driven)) > 0.1


@functools.cache
def steepest_stand(name, changes=()):
    """The run of a rig that stands, braked, on the steepest slope on which it finds a start; slope in deg."""
    start = {"end.duration": 0.004, "output.rate": 1000, "driver.release": 1.0}
    case = rig_of(name, FALLS | HELD | start | {k: _listed(v) for k, v in changes})
    found = {}

    def stands(slope):
        try:
            found[slope] = simcore.simulate(case.changed({"ground.slope": slope}))
        except CannotStand:
            return False
        return True

    low, high = 10.0, 70.0
    while high - low > 0.01:
        middle = 0.5 * (low + high)
        low, high = (middle, high) if stands(middle) else (low, middle)
    return low, found[low]


SPRUNG_OR_NOT = [
    pytest.param(name, changes, id=f"{name}-{'springless' if changes else 'springs'}")
    for name, changes in zip(RIGS, itertools.cycle([{}, SPRINGLESS]), strict=False)
]  # every other rig on bare rods, where nothing gives


@pytest.mark.parametrize(("name", "changes"), few(SPRUNG_OR_NOT, 2))
def test_the_steepest_slope_on_which_a_shipped_rig_stands(name, changes):
    """Its sagging shocks shift the centre of mass by a few millimetres: the levers are those of its stand."""
    slope, run = steepest_stand(name, _hashable(changes))
    rig, stance = run.scenario.rig, stance_of(run, row=0)
    np.testing.assert_allclose(stance.loads, stance.loads_on(math.radians(slope)), rtol=0.0, atol=0.01)
    level = level_loads(rig)
    assert slope == pytest.approx(slips_at(rig, stance, level, driven_of(rig)), abs=0.05)


@functools.cache
def climbed(name, changes):
    """The steepest slope climbed (deg), the least one not, why not, and the run at the former."""
    creep = {"driver.speed": [[0, 0], [4, 0.02]], "end.duration": 4}  # speeding up costs 0.03 deg
    case = rig_of(name, HELD | ROLLS | creep | {key: _listed(value) for key, value in changes})
    (limit,) = simcore.find_limit(case, distance=0.06).cases.values()
    at = {"ground.slope": limit.climbs_deg, "end.distance": 60, "end.duration": 16}
    return limit, simcore.simulate(case.changed(at))


def _hashable(changes):
    return tuple((key, tuple(value) if isinstance(value, list) else value) for key, value in changes.items())


def _listed(value):
    return list(value) if isinstance(value, tuple) else value


def climb_of(name, changes):
    return climbed(
        name,
        tuple((key, tuple(value) if isinstance(value, list) else value) for key, value in changes.items()),
    )


@pytest.mark.thorough
@pytest.mark.parametrize(("name", "changes"), SPRUNG_OR_NOT)
def test_the_steepest_slope_that_a_shipped_rig_creeps_up(name, changes):
    """With tyres that slide at their peak grip and roll freely; no faster than the search resolves."""
    limit, run = climb_of(name, FALLS | PLAIN | changes | (CALM if name == "scree" else {}))
    rig, stance = run.scenario.rig, stance_of(run)
    np.testing.assert_allclose(stance.loads, stance.loads_on(run.scenario.ground.slope), rtol=0.0, atol=0.01)
    by_hand = slips_at(rig, stance, level_loads(rig), driven_of(rig))
    assert limit.climbs_deg == pytest.approx(by_hand, abs=0.1)
    assert limit.fails_deg == pytest.approx(by_hand, abs=0.1)


CALM = {f"{side}.tyre.damping": 9 for side in SIDES}  # as shipped, it hops near its limit
STICKY = {f"{side}.tyre.{name}_grip": 2.6 for side in SIDES for name in ("peak", "sliding")}
STICKY |= {f"{side}.tyre.slip_stiffness": 60 for side in SIDES}


@pytest.mark.parametrize("changes", [{}, SPRINGLESS], ids=["springs", "springless"])
@pytest.mark.parametrize("name", few(["gully", "fell", "scree"]))
def test_the_slope_that_tips_a_shipped_rig(name, changes):
    """With grip to spare under every load: tan th = a2/h of its stand there; a rig that sinks onto its stops
    while it is put down rocks, and may tip a little earlier.
    """
    slope, run = steepest_stand(name, _hashable(STICKY | changes))
    stance = stance_of(run, row=0)
    within = 0.2 if changes else 0.1
    assert slope == pytest.approx(math.degrees(math.atan2(stance.behind, stance.height)), abs=within)
    assert stance.loads[1] < 0.003 * stance.weight
    # A creep ends up to 1.2 deg earlier: W l (th - tip)^2/2 of energy, 0.1 mJ half a degree off, tips it over
    limit, _ = climb_of(name, FALLS | STICKY | changes)
    assert slope - 1.3 < limit.climbs_deg <= slope


@pytest.mark.parametrize(("name", "current"), few([("gully_rear", 1.4), ("fell", 4), ("scree", 3)]))
def test_the_slope_at_which_the_torque_of_the_motor_ends(name, current):
    """All of it pulls: no idle current, no rolling resistance; both axles of the same radius share it."""
    weak = {"motor.current_limit": current, "motor.no_load_current": 0, "driveline.overdrive": 0}
    limit, run = climb_of(name, FALLS | weak)
    rig, last = run.scenario.rig, run.series.iloc[-1]
    stance = stance_of(run)
    arms = [rig.rear.tyre.radius - 1e-3 * last[f"{side}_deflection_mm"] / 3.0 for side in driven_of(rig)]
    torque = rig.motor.current_limit / rig.motor.kv * rig.driveline.ratio * rig.driveline.efficiency
    ends = math.degrees(math.asin(torque / np.mean(arms) / stance.weight))
    assert limit.climbs_deg == pytest.approx(ends, abs=0.1)
