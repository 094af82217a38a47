"""The start: all forces in balance, links fitting, friction at rest; or a refusal that says why."""

from pathlib import Path

import numpy as np
import pytest

from simcore import InputError, load_scenario
from simcore.compiled import LEDGER, STATE
from simcore.dynamics.motion import evaluate, evaluate_all
from simcore.files import Scenario
from simcore.rig.initial_pose import initial_pose
from simcore.rig.model import Model, build
from simcore.solve.settle import settle

SCENARIOS = Path(__file__).parents[3] / "scenarios"
BASE = load_scenario(SCENARIOS / "slow_creep.toml")
GULLY, FELL = (str(SCENARIOS / "rigs" / f"{name}.toml") for name in ("gully", "fell"))
LEDGE = {"ground.slope": 0, "ground.pieces": [{"length": 1000}, {"ledge": 40}, {"length": 1000}]}


def settled(settings: dict) -> tuple[Model, np.record, np.record]:
    scenario = BASE.changed(settings)
    model = build(scenario)
    return balance(scenario, model)


def balance(scenario: Scenario, model: Model) -> tuple[Model, np.record, np.record]:
    state = settle(scenario, model)
    led = np.zeros(1, LEDGER)
    rows = np.frombuffer(state.tobytes()).copy()[None, :]
    evaluate_all(led, np.array([0.0]), rows, model.rigs, model.pieces)
    return model, rows.view(STATE)[0, 0], led[0]


PLACES = {
    "level": {"ground.slope": 0},
    "uphill": {"ground.slope": 35},
    "downhill": {"ground.slope": -35},
    "front wheels up on a ledge": LEDGE | {"start.rear_axle": 800},
    "rear wheels touching a ledge": LEDGE | {"start.rear_axle": 950},
    "astride a crest": {
        "ground.slope": 0,
        "ground.pieces": [{"length": 600, "slope": 20}, {"length": 600, "slope": -10}],
        "start.rear_axle": 450,
    },
    "held speed": {"driver.control": "speed", "driver.speed": [[0, 0.3]]},
}


@pytest.mark.parametrize("rig", [GULLY, FELL], ids=["gully", "fell"])
@pytest.mark.parametrize("place", PLACES.values(), ids=PLACES)
def test_everything_is_in_balance(rig, place):
    """Accelerations, also of the wheels and the rotor; links; and nothing moves."""
    _, state, led = settled({"rig": rig} | place)
    for body in led["acceleration"]:
        assert max(abs(body[k]) for k in ("x", "z", "angle")) < 1e-6
    assert np.abs(led["axle"]["spin_acceleration"]).max() < 1e-4 and abs(led["motor_acceleration"]) < 1e-3
    assert np.abs(led["axle"]["row"]["error"]).max() < 1e-9
    assert (
        not np.frombuffer(state["rate"].tobytes()).any() and not state["spin"].any() and state["motor"] == 0.0
    )
    assert (led["axle"]["tyre"]["load"] > 0.0).all()


@pytest.mark.parametrize("place", PLACES.values(), ids=PLACES)
def test_shock_friction_is_at_rest(place):
    _, state, led = settled(place)
    assert not state["shock_bristle"].any()
    assert not led["axle"]["shock"]["friction"].any() and not led["axle"]["shock"]["damper"].any()


@pytest.mark.parametrize("rig", [GULLY, FELL], ids=["gully", "fell"])
def test_it_stands_at_its_measured_ride_height_on_the_level(rig):
    """That is what hold_ride_height promises: every body where the bench put it, to a micrometre."""
    model, state, _ = settled({"rig": rig, "ground.slope": 0})
    bodies = (model.bench.chassis, *model.bench.axles)
    heights = [pose["z"] - body.z for pose, body in zip(state["pose"], bodies, strict=True)]
    assert heights == pytest.approx([0.0, 0.0, 0.0], abs=1e-6)
    assert list(state["pose"]["angle"]) == pytest.approx([0.0, 0.0, 0.0], abs=1e-6)
    apart = state["pose"]["x"] - state["pose"]["x"][0]
    assert list(apart) == pytest.approx([body.x - bodies[0].x for body in bodies], abs=1e-6)


def test_a_stated_preload_moves_the_ride_height():
    """0.2 N less on each rear shock of 0.07 N/mm lets it in by some 3 mm; tyre and levers change a part of
    that.
    """
    held, _, led = settled({"ground.slope": 0})
    before = led["axle"]["shock"]["travel"][0]
    spring = held.rig.axle[0].shock.spring[0]
    preload = -0.07 * 1e3 * float(spring.loose_at)
    softer = {"rear.shock.springs": [{"rate": 0.07, "preload": preload - 0.2}], "ground.slope": 0}
    after = settled(softer)[2]["axle"]["shock"]["travel"][0]
    assert 1.0 < (after - before) * 1e3 < 0.2 / 0.07 * 1.5


def test_held_by_the_brake():
    """Thrusts hold the rig, the rotor's drag holds the thrusts: through ratio and rolling radius, front
    with its overdrive.
    """
    model, _, led = settled({"ground.slope": 20})
    tyre, ratio = led["axle"]["tyre"], [float(axle.branch.ratio) for axle in model.rig.axle]
    pull = model.bench.whole.mass * model.rig.gravity * np.sin(np.radians(20.0))
    assert sum(tyre["thrust"]) == pytest.approx(pull, rel=1e-6)
    wheel = tyre["thrust"] * tyre["rolling_radius"]
    np.testing.assert_allclose(led["axle"]["drive"]["wheel_torque"], wheel, rtol=1e-6)
    assert led["motor"]["drag"] == pytest.approx(-sum(wheel / ratio), rel=1e-6)


def test_the_governor_takes_over_what_the_brake_holds():
    """Held at zero speed, the rig does not sag back when the brake lets go."""
    scenario = BASE.changed({"driver.speed": [[0, 0]], "end.duration": 1, "ground.slope": 20})
    model, state, led = balance(scenario, build(scenario))
    assert model.rig.driver.integral * state["governor"] == pytest.approx(-led["motor"]["drag"], rel=1e-9)


def test_the_placed_rig_fits_its_links_and_touches_with_both_axles():
    scenario = BASE.changed({"ground.slope": 30})
    model, led = build(scenario), np.zeros(1, LEDGER)
    evaluate(led[0], 0.0, initial_pose(scenario, model), model.rig, model.pieces)
    assert np.abs(led["axle"]["row"]["error"]).max() < 1e-12
    np.testing.assert_allclose(led[0]["axle"]["tyre"]["load"], model.bench.loads, rtol=1e-6)


STEEP = {f"{end}.tyre.{key}": 3 for end in ("rear", "front") for key in ("peak_grip", "sliding_grip")} | {
    "motor.brake_torque": 5000
}
WALL = {
    "ground.slope": 0,
    "ground.pieces": [{"length": 100}, {"ledge": 500}, {"length": 1000}],
    "start.rear_axle": 60,
}
REFUSALS = {
    "too steep for its grip": (
        {"ground.slope": 50, "motor.brake_torque": 5000}
        | {f"{end}.tyre.grip_load_exponent": 0 for end in ("rear", "front")},
        "ground",
        "slides back: its braked rear and front tyres need 1.19 per load, they have 1.05",
        "ground.slope no steeper than 45 deg; or ground.grip at least 116 %",
    ),
    "ice": ({"ground.grip": 20}, "ground", "slides", "grip at least"),
    "down on rear brakes": (
        {"ground.slope": -40, "driveline.drive": "rear", "motor.brake_torque": 5000},
        "ground",
        "slides forward: its braked rear tyres need",
        "no steeper than",
    ),
    "a weak brake": (
        {"motor.brake_torque": 2, "motor.no_load_current": 0},
        "ground",
        "drag brake must hold with",
        "motor.brake_torque at least",
    ),
    "no brake": (
        {"driver.brake": [[0, 0]], "motor.no_load_current": 0},
        "ground",
        "it holds at most 0.0 N*mm, so the rear and front tyres roll back",
        "driver.brake at least",
    ),
    "tipping over": (
        STEEP | {"ground.slope": 75},
        "ground",
        "tips over backwards, its front tyres in the air: its centre of mass lies",
        "no steeper than",
    ),
    "tipping over forwards": (
        STEEP | {"ground.slope": -79},
        "ground",
        "tips over forwards, its rear tyres in the air",
        "no steeper than",
    ),
    "a wall in the rear tyres": (
        WALL,
        "start.rear_axle",
        "60 mm, where the rear axle has no place to stand",
        "both axles stand on the ground; the nearest is 110 mm",
    ),
    "a wall that the front axle cannot get up": (
        WALL | {"start.rear_axle": 43},
        "start.rear_axle",
        "43 mm, where the front axle has no place to stand",
        "the nearest is 110 mm",
    ),
}


@pytest.mark.parametrize(("settings", "key", "got", "must_be"), REFUSALS.values(), ids=REFUSALS)
def test_a_rig_that_cannot_stand_is_refused_in_words(settings, key, got, must_be):
    scenario = BASE.changed(settings)
    with pytest.raises(InputError) as refusal:
        settle(scenario, build(scenario))
    (fault,) = refusal.value.issues
    assert fault.file == str(BASE.path)
    assert fault.key == key
    assert got in fault.got and must_be in fault.must_be
    assert "nan" not in str(fault) and len(str(fault)) < 400


def test_just_enough_grip_is_enough():
    """The refusal for grip is not given a little below the limit: 30 degrees need 0.58."""
    grips = {f"{end}.tyre.{key}": 0.62 for end in ("rear", "front") for key in ("peak_grip", "sliding_grip")}
    settled(grips | {"ground.slope": 30, "motor.brake_torque": 5000})


def test_almost_no_grip_holds_a_rig_on_the_level():
    _, _, led = settled({"ground.slope": 0, "ground.grip": 1, "rig": FELL})
    assert np.isfinite(np.frombuffer(led.tobytes())).all()
    assert np.abs(led["axle"]["tyre"]["thrust"]).max() < 1e-6


@pytest.mark.parametrize("edge", [150, 250, 300, 330, 360])
def test_with_a_drop_under_the_front_it_hangs_in_balance_or_is_refused(edge):
    """The front axle beyond the edge of a drop: no made-up start, and no other error."""
    ground = {"ground.slope": 0, "ground.pieces": [{"length": edge}, {"ledge": -500}, {"length": 1000}]}
    try:
        _, state, led = settled(ground | {"start.rear_axle": 40})
    except InputError as refusal:
        assert "front" in str(refusal) or "tips over" in str(refusal)
        return
    assert max(abs(body[k]) for body in led["acceleration"] for k in ("x", "z", "angle")) < 1e-6
    assert (led["axle"]["tyre"]["load"] > 0.0).all()
    assert state["pose"]["angle"][0] < 0.0  # nose down
