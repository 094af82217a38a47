"""Does a rig at rest stay at rest? Braked on a slope, free on the level, and held by sticky shocks off its
balance.
"""

from pathlib import Path

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from simcore import load_scenario
from simcore.compiled import LEDGER, STATE
from simcore.dynamics.motion import derivative, evaluate_all
from simcore.files import Scenario
from simcore.rig.model import build
from simcore.solve.integrate import integrate
from simcore.solve.scales import tolerance_scale
from simcore.solve.settle import settle

SCENARIOS = Path(__file__).parents[2] / "scenarios"
RIGS = ("fell", "gully")
LEAST = 1e-5  # m (rad), 0.01 mm


def resting(rig: str, slope: float, brake: float) -> Scenario:
    return load_scenario(SCENARIOS / "slow_creep.toml").changed(
        {
            "rig": str(SCENARIOS / "rigs" / f"{rig}.toml"),
            "ground.slope": slope,
            "driver.control": "torque",
            "driver.torque": [[0, 0]],
            "driver.brake": [[0, brake]],
            "end.duration": 10,
            "output.rate": 20,
        }
    )


@pytest.mark.parametrize("rig", RIGS)
@pytest.mark.parametrize(("slope", "brake"), [(0, 100), (25, 100), (-25, 100), (0, 0)], ids=str)
def test_a_settled_rig_does_not_move(rig, slope, brake):
    trace = integrate(resting(rig, slope, brake))
    assert trace.times[-1] == pytest.approx(10.0)
    for place in ("x", "z", "angle"):
        assert np.abs(trace.states["pose"][place] - trace.states["pose"][place][0]).max() < LEAST
    assert np.abs(trace.states["distance"]).max() < LEAST
    thrust = trace.part(0, "tyre", "thrust") + trace.part(1, "tyre", "thrust")
    held = trace.model.bench.whole.mass * trace.model.rig.gravity * np.sin(np.radians(slope))
    np.testing.assert_allclose(thrust, held, rtol=1e-3, atol=1e-3)


@pytest.mark.parametrize("rig", RIGS)
def test_without_the_brake_it_would_roll(rig):
    """The test above can fail: the same rig let go on the slope leaves."""
    trace = integrate(
        resting(rig, 25, 100).changed({"driver.brake": [[0, 100], [0.5, 0]], "motor.no_load_current": 0.1})
    )
    assert trace.outcome.name == "SLID_AWAY"


@pytest.mark.parametrize("rig", RIGS)
@pytest.mark.parametrize("breakaway", [8.0, 0.0], ids=["sticky", "without friction"])
def test_shocks_loaded_inside_their_band_do_not_creep(rig, breakaway):
    """Two newtons put on the chassis of the standing rig: sticky shocks take it up by friction and stay;
    free ones sink.
    """
    settings = {
        f"{end}.shock.friction": {"breakaway": breakaway, "sliding": 0.8 * breakaway, "presliding": 0.1}
        for end in ("rear", "front")
    }
    scenario = resting(rig, 0, 100).changed(settings)
    model = build(scenario)
    y = np.frombuffer(settle(scenario, model).tobytes()).copy()
    heavier = model.rigs.copy()
    heavier[0].chassis.mass += 2.0 / heavier[0].gravity
    times = np.linspace(0.0, 10.0, 101)
    run = solve_ivp(
        derivative,
        (0.0, 10.0),
        y,
        "LSODA",
        times,
        args=(heavier, model.pieces, np.zeros(1, LEDGER)),
        rtol=1e-6,
        atol=1e-6 * tolerance_scale(),
        max_step=0.02,
    )
    rows = np.ascontiguousarray(run.y.T)
    led = np.zeros(len(times), LEDGER)
    evaluate_all(led, times, rows, heavier, model.pieces)
    shock, height = led["axle"]["shock"], rows.view(STATE)[:, 0]["pose"][:, 0]["z"]
    if breakaway == 0.0:
        assert height[0] - height[-1] > 1e-3
        return
    assert np.ptp(shock["travel"][50:], axis=0).max() < LEAST
    assert np.ptp(height[50:]) < LEAST
    assert (np.abs(shock["travel"] - shock["travel"][0]) < 1e-4).all()  # within the presliding distance
    assert (shock["friction"][-1] > 0.2).all() and (shock["friction"][-1] < 2.0 * breakaway).all()
