"""Rules of thumb about the front on a steep slope: which changes to a rig press it down.

Common practice, no source. The witness is the balance of moments about the rear contact: on a slope th the
front tyres carry W (x cos th - h sin th)/L, so only the place of the centre of mass (x ahead of the rear
contact, h above the ground) counts; where the front lifts, tan th = x/h.
"""

import copy
import math
import tomllib
from pathlib import Path
from typing import Any

import pytest

import simcore
from simcore.files import Scenario, scenario_of
from simcore.standing.at_rest import standing_scenario
from simcore.standing.codes import Stops
from simcore.standing.stand import stand
from simcore.standing.table import table_of
from simcore.studies.limit import find_limit

SCENARIOS = Path(__file__).parents[2] / "scenarios"
GULLY = SCENARIOS / "rigs" / "gully.toml"
RAW = tomllib.loads(GULLY.read_text(encoding="utf-8"))
GRAMS = 1000.0 / 9.80665
LENGTH = 315.0  # mm, wheelbase


def both(key: str, value: Any) -> dict[str, Any]:
    return {f"{end}.{key}": value for end in ("rear", "front")}


GRIPPY = both("tyre.peak_grip", 3) | both("tyre.sliding_grip", 3) | both("tyre.slip_stiffness", 12)
GRIPPY |= {"motor.brake_torque": 1000, "motor.current_limit": 100, "motor.voltage": 30}
GRIPPY |= both("tyre.rolling_resistance", 0) | both("tyre.grip_load_exponent", 0)
FREE = both("shaft.friction", 0)  # drive shafts that slide freely
GRIPPY |= FREE

# --- links ---
BASE = {"rear.lower_link": [[118, 66], [12, 46]], "rear.upper_link": [[92, 92], [-4, 86]]}
LAYOUTS = {
    "apart at the chassis": {
        "rear.lower_link": [[118, 56], [12, 46]],
        "rear.upper_link": [[92, 102], [-4, 86]],
    },
    "apart at the axle": {"rear.lower_link": [[118, 66], [12, 36]], "rear.upper_link": [[92, 92], [-4, 96]]},
    "crossed": {"rear.lower_link": [[118, 92], [12, 46]], "rear.upper_link": [[92, 66], [-4, 86]]},
    "both above the axle": {
        "rear.lower_link": [[118, 66], [12, 70]],
        "rear.upper_link": [[92, 92], [-4, 100]],
    },
}


def creep(links: dict[str, list[list[float]]]) -> dict[str, float]:
    """Means of the last half second of a steady creep up 35 degrees."""
    settings: dict[str, Any] = FREE | {"end.duration": 2.0}
    for link, (chassis, axle) in links.items():
        settings |= {f"{link}.chassis": chassis, f"{link}.axle": axle}
    done = simcore.simulate(simcore.load_scenario(SCENARIOS / "steep_creep.toml").changed(settings))
    assert done.sound, done.audit.faults
    table = done.series[done.series["time_s"] > 1.5]
    return dict(table.mean(numeric_only=True))


@pytest.mark.parametrize("layout", LAYOUTS)
def test_no_layout_of_the_links_presses_the_front_down(layout: str) -> None:
    """Rule (common practice, no source): spread or crossed links hold the front down on a climb.

    Fails: they turn the chassis by degrees and change the front's load by grams, 2 % of it, and only by where
    the body comes to stand. Whatever sits lower at the rear has a little more on its front, not less.
    """
    shipped, changed = creep(BASE), creep(LAYOUTS[layout])
    gain = (changed["front_load_N"] - shipped["front_load_N"]) * GRAMS
    turned = changed["pitch_to_ground_deg"] - shipped["pitch_to_ground_deg"]
    assert abs(turned) > 1.0
    assert abs(gain) < 15.0 < 0.025 * shipped["front_load_N"] * GRAMS
    assert abs(changed["rear_support_N"] - shipped["rear_support_N"]) * GRAMS > 30.0
    if abs(gain) > 1.0:
        assert gain * turned > 0.0  # nose-up, because the rear sits low
    moved = (changed["budget_cg_shift_N"] - shipped["budget_cg_shift_N"]) * GRAMS
    assert gain == pytest.approx(moved, abs=1.5)


# --- what a change gains ---
def standing_front(slope: float, settings: dict[str, Any]) -> float:
    """Load of the front tyres of the rig held on a slope, g."""
    table = table_of(stand(standing_scenario(GULLY, slope).changed(GRIPPY | settings)))
    return table["front_load_N"] * GRAMS


RISE, STEEPER = 25.0, 0.2  # mm of every piece, deg more than the one before
SOFT = {"front.shock.springs": [{"rate": 0.05}]}
NONE = {"front.shock.springs": []}
PULLING = {"front.shock.springs": [{"push": False, "rate": 0.05, "loose_at": 28}]}
STRONG = {"front.shock.springs": [{"push": False, "rate": 0.5, "loose_at": 28}]}
LOWER, FORWARD = {"parts.0.at": [226, 69]}, {"parts.0.at": [256, 84]}


def lifts_at(settings: dict[str, Any], rig: dict[str, Any] | None = None) -> float:
    """Slope at which the front lifts when the rig creeps over ground that bends up from 40 degrees, deg."""
    pieces = [{"length": 600, "slope": 40}]
    pieces += [{"length": RISE, "slope": 40 + STEEPER * k} for k in range(1, 190)]
    table = {
        "title": "How steep until the front lifts?",
        "rig": rig or RAW,
        "ground": {"pieces": pieces},
        "driver": {"control": "speed", "speed": [[0, 0], [0.5, 0.3]]},
        "end": {"duration": 25, "distance": 4900, "when": ["front_lifts"]},
        "output": {"rate": 10},
    }
    done = simcore.simulate(scenario_of(table, "bend.toml").changed(GRIPPY | settings))
    assert done.sound, done.audit.faults
    assert done.summary["ended"] == "FRONT_LIFTED"
    return float(done.series["ground_angle_deg"].iloc[-1])


@pytest.fixture(scope="module")
def shipped_lifts_at() -> float:
    return lifts_at({})


def test_the_bend_finds_where_the_centre_of_mass_stands_over_the_rear_contact(
    shipped_lifts_at: float,
) -> None:
    """Rule (common practice, no source): the front lifts where the weight points at the rear contact.

    Holds: tan th = x/h, with h over the point where the thrust acts, and both ends hanging extended on their
    shocks, as they do on such a slope. The rig of the bench would hold on 3 deg longer.
    """
    model = stand(standing_scenario(GULLY, 65).changed(GRIPPY))
    rear = model.axles[0]
    assert rear.shocks.stands == model.axles[1].shocks.stands is Stops.ON_DROOP_STOP
    tips = math.degrees(math.atan2(model.cg[0] - rear.contact[0], model.cg[1] - rear.contact[1]))
    assert shipped_lifts_at == pytest.approx(tips, abs=0.3)
    assert 2.0 < math.degrees(model.limits.tip_back_slope) - shipped_lifts_at < 4.0


@pytest.mark.parametrize(
    ("settings", "x", "z"), [(LOWER, 0, -15), (FORWARD, 30, 0)], ids=["lower", "forward"]
)
def test_weight_lower_or_forward_helps(settings: dict, x: float, z: float, shipped_lifts_at: float) -> None:
    """Rule (common practice, no source): weight lower and weight forward raise the climbable slope.

    Hold: a battery of 128 g gains its moment over the wheelbase (within 1.5 g), and both gain slope.
    """
    slope = math.radians(50)
    wanted = 128 * (x * math.cos(slope) - z * math.sin(slope)) / LENGTH
    assert standing_front(50, settings) - standing_front(50, {}) == pytest.approx(wanted, abs=1.5)
    assert lifts_at(settings) > shipped_lifts_at + 0.1


def test_front_springs_do_not_move_the_limit(shipped_lifts_at: float) -> None:
    """Rule (common practice, no source): soft, no or pulling front springs let the rig climb steeper.

    Fails at the limit itself: where the front lifts, its axle hangs from the shocks, and they are extended
    whatever the springs. Even pulling ones do not matter while the axle's weight along the shocks is more
    than they pull.
    """
    weak = {"front.shock.springs": [{"push": False, "rate": 0.03, "loose_at": 28}]}
    for settings in (SOFT, NONE, weak):
        assert lifts_at(settings) == pytest.approx(shipped_lifts_at, abs=0.05)


def test_front_springs_that_let_the_nose_down_gain_load_before_the_limit() -> None:
    """Rule (common practice, no source): soft, no or pulling front springs put more load on the front.

    Conditional: by letting the nose and with it the centre of mass down, a few per cent; a soft or an added
    pulling spring that holds the same ride height gains nothing.
    """
    shipped = standing_front(50, {})
    same_height = {"front.shock.springs.0.rate": 0.05}
    added = {"front.shock.springs": [RAW["front"]["shock"]["springs"][0], PULLING["front.shock.springs"][0]]}
    added["front.shock.springs"][1] = {"push": False, "rate": 0.05, "loose_at": 20}
    for settings in (same_height, added):
        assert standing_front(50, settings) == pytest.approx(shipped, abs=1.0)
    assert shipped + 2.0 < standing_front(50, SOFT) < standing_front(50, NONE) - 5.0
    assert standing_front(50, NONE) < 1.1 * shipped


def test_pulling_front_springs_that_carry_the_axle_do_move_the_limit(shipped_lifts_at: float) -> None:
    """Rule (common practice, no source): pulling ("negative") front springs raise the climbable slope.

    Conditional: they must hold the front axle up against its own weight when its tyres are unloaded; then the
    nose stays down to the end.
    """
    assert lifts_at(STRONG) > shipped_lifts_at + 0.3


def on_larger_rear_tyres(more: float) -> dict[str, Any]:
    """The rig with larger rear tyres, mm: every place rises by its share of the way from the front axle."""
    rig = copy.deepcopy(RAW)

    def raised(place: list[float]) -> list[float]:
        return [place[0], place[1] + more * (1.0 - place[0] / LENGTH)]

    holders = [rig["chassis"], *rig["parts"], *rig["skids"]]
    for end in ("rear", "front"):
        holders += [rig[end]["lower_link"], rig[end]["upper_link"], rig[end]["shock"]]
    for holder in holders:
        for key in {"cg", "at", "chassis", "axle"} & set(holder):
            holder[key] = raised(holder[key])
    rig["rear"]["tyre"]["radius"] += more
    return rig


def test_larger_rear_tyres_climb_less_steep(shipped_lifts_at: float) -> None:
    """Rule (common practice, no source): larger rear tyres lean the rig forward and so raise the limit.

    Fails: 5 mm lean the body forward by a degree, but the centre of mass rises by 3 mm and stays where it was
    along the ground: tan th = x/h falls.
    """
    assert lifts_at({}, on_larger_rear_tyres(5)) < shipped_lifts_at - 0.3


# --- total mass ---
def lighter(factor: float) -> dict[str, Any]:
    """The rig with all masses, and all that holds them, scaled: it stands just as before."""
    rig = copy.deepcopy(RAW)

    def scale(table: dict[str, Any], *keys: str) -> None:
        for key in keys:
            table[key] *= factor

    scale(rig["chassis"], "mass", "pitch_inertia")
    scale(rig["driveline"], "shaft_mass")
    for part in rig["parts"]:
        scale(part, "mass")
    for end in ("rear", "front"):
        axle = rig[end]
        scale(axle["housing"], "mass", "pitch_inertia")
        scale(axle["lower_link"], "mass")
        scale(axle["upper_link"], "mass")
        scale(axle["shock"], "mass")
        scale(axle["shock"]["springs"][0], "rate")
        scale(axle["shock"]["damper"], "compression", "rebound")
        scale(axle["shock"]["friction"], "breakaway", "sliding")
        scale(axle["tyre"], "stiffness", "damping", "wheel_mass", "spin_inertia")
        axle["shock"] |= {stop: {"rate": 20 * factor} for stop in ("bump_stop", "droop_stop")}
    return rig


def weak(rig: dict[str, Any]) -> Scenario:
    """A creep with a torque that ends long before the tyres do."""
    table = {
        "title": "How steep?",
        "rig": rig,
        "driver": {"control": "torque", "torque": [[0, 0], [0.5, 10]]},
        "end": {"duration": 1, "distance": 60},
    }
    return scenario_of(table, "weak.toml").changed({"motor.no_load_current": 0, "driveline.overdrive": 0})


def test_lighter_helps_where_torque_limits_and_not_where_balance_does() -> None:
    """Rule (common practice, no source): a lighter rig climbs steeper.

    Holds where torque is the limit: sin th goes as one over the mass, within 5 %. Fails where balance is:
    with all masses scaled alike the front lifts at the same slope.
    """
    heavy, light = (find_limit(weak(rig)).cases["as given"] for rig in (lighter(1.0), lighter(0.7)))
    slopes = [math.radians(limit.climbs_deg) for limit in (heavy, light)]
    assert heavy.unsound == light.unsound == ()
    assert max(slopes) < 0.8 * math.radians(light.standing["grip_deg"])
    assert math.sin(slopes[1]) / math.sin(slopes[0]) == pytest.approx(1.0 / 0.7, rel=0.05)
    assert lifts_at({}, lighter(0.7)) == pytest.approx(lifts_at({}, lighter(1.0)), abs=0.05)
