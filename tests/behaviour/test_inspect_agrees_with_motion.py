"""Do the standing facts of a rig say what the moving rig then does?"""

import copy
import dataclasses
import functools
import math
import tomllib
from pathlib import Path
from typing import Any

import numpy as np
import numpy.typing as npt
import pytest
from scipy.integrate import solve_ivp

import simcore
from simcore.compiled import LEDGER, STATE, blank
from simcore.dynamics.motion import derivative
from simcore.files import Scenario, scenario_of
from simcore.rig.model import build
from simcore.solve.scales import tolerance_scale
from simcore.solve.settle import settle
from simcore.standing.at_rest import HELD
from simcore.standing.facts import Standing
from simcore.standing.modes import Mode
from simcore.standing.stand import stand
from simcore.standing.table import table_of

RIGS = Path(__file__).parents[2] / "scenarios" / "rigs"
Series = npt.NDArray[np.float64]


def rig_of(name: str, **shock: Any) -> dict[str, Any]:
    """A shipped rig whose driveline neither winds up nor loses power, on tyres that roll freely."""
    rig = copy.deepcopy(tomllib.loads((RIGS / f"{name}.toml").read_text(encoding="utf-8")))
    rig["driveline"] |= {"overdrive": 0, "efficiency": 100}
    for end in ("rear", "front"):
        rig[end]["shock"] |= shock
        rig[end]["tyre"] |= {"rolling_resistance": 0, "spin_inertia": 1}
        if shock.get("friction") == {"breakaway": 0}:  # then the drive shafts slide freely, too
            rig[end]["shaft"]["friction"] = 0
    return rig


def scenario(rig: dict[str, Any], driver: Any = HELD, **tables: Any) -> Scenario:
    return scenario_of({"title": "Does it?", "rig": rig, "driver": driver} | tables, "drawn.toml")


# --- swings ---
STEP, LIFTED = 0.004, 2e-5  # s between samples; m by which the rear springs are let down at the start


def let_go(case: Scenario, seconds: float) -> Series:
    """Motion of a held rig after its rear springs, let down a little, are as stated again: chassis along x, z
    and its turn, both axles' height, (n, 5).
    """
    model = build(case)
    lowered = dataclasses.replace(model, rigs=model.rigs.copy())
    for spring in lowered.rigs[0].axle[0].shock.spring:
        spring.loose_at += LIFTED
    y = np.frombuffer(settle(case, lowered).tobytes()).copy()
    run = solve_ivp(
        derivative,
        (0.0, seconds),
        y,
        "LSODA",
        np.arange(0.0, seconds, STEP),
        args=(model.rigs, model.pieces, blank(LEDGER)),
        rtol=1e-9,
        atol=1e-13 * tolerance_scale(),
        max_step=STEP,
    )
    poses = np.ascontiguousarray(run.y.T).view(STATE)[:, 0]["pose"]
    columns = [
        poses[:, 0]["x"],
        poses[:, 0]["z"],
        0.1 * poses[:, 0]["angle"],
        poses[:, 1]["z"],
        poses[:, 2]["z"],
    ]
    return np.column_stack(columns)


def swings_in(signals: Series, rank: int = 16, columns: int = 60) -> npt.NDArray[np.complex128]:
    """Eigenvalues of the linear motion that a free decay shows (eigensystem realisation: J.-N. Juang and R.
    S. Pappa, J. Guidance, Control and Dynamics 8, 1985).
    """
    moves = np.diff(signals, axis=0)  # where it comes to rest drops out
    rows = len(moves) - columns
    hankel = np.concatenate([moves[k : k + rows].ravel()[:, None] for k in range(columns)], axis=1)
    u, sizes, _ = np.linalg.svd(hankel, full_matrices=False)
    rank = min(rank, int((sizes > 1e-7 * sizes[0]).sum()))
    wide, step = u[:, :rank], moves.shape[1]
    shift = np.linalg.lstsq(wide[:-step], wide[step:])[0]
    return np.log(np.linalg.eigvals(shift).astype(complex)) / STEP


def nearest(rates: npt.NDArray[np.complex128], mode: Mode) -> complex:
    assert mode.swing is not None
    omega = 2.0 * math.pi * mode.swing
    wanted = complex(-omega * mode.damping / math.sqrt(1.0 - mode.damping**2), omega)
    return complex(rates[np.argmin(np.abs(rates - wanted))])


@pytest.mark.parametrize("damping", [1.0, 3.0])
@pytest.mark.parametrize("name", ["gully", "fell"])
def test_free_decay_swings_and_dies_as_stated(name: str, damping: float) -> None:
    dampers = {"compression": damping, "rebound": damping}
    case = scenario(rig_of(name, friction={"breakaway": 0}, damper=dampers))
    modes, rates = stand(case).modes, swings_in(let_go(case, 1.2))
    for mode in (modes.bounce, modes.pitch):
        assert mode is not None
        found = nearest(rates, mode)
        assert found.imag / (2.0 * math.pi) == pytest.approx(mode.swing, rel=1e-3)
        assert -found.real / abs(found) == pytest.approx(mode.damping, rel=5e-3)


def test_a_damper_with_different_rates_counts_with_their_mean() -> None:
    """Such a rig is not linear and has no modes; its bounce still dies about as that of the mean."""
    case = scenario(rig_of("gully", friction={"breakaway": 0}, damper={"compression": 2, "rebound": 4}))
    bounce, rates = stand(case).modes.bounce, swings_in(let_go(case, 1.2))
    assert bounce is not None
    found = nearest(rates, bounce)
    assert found.imag / (2.0 * math.pi) == pytest.approx(bounce.swing, rel=0.03)
    assert -found.real / abs(found) == pytest.approx(bounce.damping, rel=0.05)


# --- friction ---
CREPT = 0.05  # mm of travel, five times the presliding: the seal has given way
SEAL = {"breakaway": 0.3, "presliding": 0.01}
ENDS = ("rear", "front")


def when_it_moves(run: Any, end: str, column: str) -> float:
    """What a column shows when the shocks of one end begin to slide."""
    travel = run.series[f"{end}_travel_mm"]
    moved = ((travel - travel.iloc[0]).abs() > CREPT).to_numpy()
    assert moved.any(), f"the {end} shocks never move"
    return float(run.series[column][int(moved.argmax())])


@functools.cache
def sticky(name: str) -> tuple[dict[str, Any], Standing]:
    rig = rig_of(name, friction=SEAL)
    for end in ENDS:  # its splines give way as early as the seals: a tenth of the travel
        rig[end]["shaft"]["presliding"] = 0.1 * SEAL["presliding"]
    return rig, stand(scenario(rig))


@pytest.mark.parametrize("name", ["gully", "fell"])
def test_slowly_rising_acceleration_moves_the_shocks_where_stated(name: str) -> None:
    """Within 8 %: seals creep a little before they let go, springs take a little, wheels spin up."""
    rig, here = sticky(name)
    stated = [axle.breakaway_onset.acceleration for axle in here.axles if axle.breakaway_onset]
    push = here.whole.mass * 1.5 * max(stated) * here.axles[0].rolling_radius / rig["driveline"]["ratio"]
    light = {"rotor_inertia": 0.01, "no_load_current": 0, "voltage": 60}
    driver = {"control": "torque", "torque": [[0, 0], [2.0, 1e3 * push]], "release": 0.1}
    run = simcore.simulate(scenario(rig | {"motor": rig["motor"] | light}, driver, end={"duration": 2.1}))
    run.series["acceleration"] = np.gradient(run.series["speed_m_per_s"], run.series["time_s"])
    for end, acceleration in zip(ENDS, stated, strict=True):
        assert when_it_moves(run, end, "acceleration") == pytest.approx(acceleration, rel=0.08)


@pytest.mark.parametrize(("name", "ends"), [("gully", ["front"]), ("fell", ["rear", "front"])])
def test_slowly_rising_ground_moves_the_shocks_where_stated(name: str, ends: list[str]) -> None:
    """Ground that bends up with a radius of 17 m or more, within 8 %. (Gully's rear waits until 50 deg.)"""
    rig, here = sticky(name)
    stated = {
        end: math.degrees(axle.breakaway_onset.slope)
        for end, axle in zip(ENDS, here.axles, strict=True)
        if axle.breakaway_onset and axle.breakaway_onset.slope
    }
    bend = 1.3 * max(stated[end] for end in ends) / 180
    pieces = [{"length": 500}, *({"length": 25, "slope": bend * k} for k in range(180))]
    run = simcore.simulate(
        scenario(
            rig,
            {"control": "speed", "speed": [[0, 0], [3.0, 0.5]], "release": 0.1},
            ground={"pieces": pieces},
            end={"duration": 12, "distance": 4700},
            output={"rate": 100},
        )
    )
    for end in ends:
        assert when_it_moves(run, end, "ground_angle_deg") == pytest.approx(stated[end], rel=0.08)
    for end in set(ENDS) - set(ends):
        travel = run.series[f"{end}_travel_mm"]
        assert (travel - travel.iloc[0]).abs().max() < CREPT, f"the {end} shocks should stick"


# --- shares ---
@pytest.mark.parametrize("name", ["gully", "fell"])
@pytest.mark.parametrize("drive", ["all", "rear", "front"])
def test_percentages_of_a_steady_climb(name: str, drive: str) -> None:
    """Climbing 12 deg slowly on hard springs, which keep the stance, the account of the run shows what the
    standing rig was said to do, at the thrust share that it has: where both axles drive, the less compressed
    tyres roll on a larger radius and take a little more than by their load. The soft tyres lean the rig by
    0.15 deg, which moves its centre of mass by 0.2 mm and the loads by 1.2 % of what the climb moves.
    """
    springs = [{"rate": 20, "hold_ride_height": True}]
    rig = rig_of(name, friction={"breakaway": 0}, springs=springs, damper={"compression": 50, "rebound": 50})
    rig["driveline"]["drive"] = drive
    driver = {"control": "speed", "speed": [[0, 0], [0.3, 0.15]], "release": 0.1}
    case = scenario(rig, driver, ground={"slope": 12}, end={"duration": 2.5}, output={"rate": 50})
    facts, last = table_of(stand(case)), simcore.simulate(case).series.iloc[-1]
    thrust = last["rear_thrust_N"] + last["front_thrust_N"]
    for end, other, word in (("rear", "front", "anti_squat"), ("front", "rear", "anti_lift")):
        share = last[f"{end}_thrust_N"] / thrust
        assert 100.0 * share == pytest.approx(facts[f"{end}_thrust_share_pct"], abs=3.0)
        for column, kind in (("usual_formula", ""), ("axle_mass_counted", "_with_axle_mass")):
            alone, none = (facts[f"{end}_{word}_{axle}_drive{kind}_pct"] for axle in (end, other))
            stated = share * alone + (1.0 - share) * none
            if column == "usual_formula" and drive == other:  # it says nothing of an end without drive
                assert np.isnan(last[f"{end}_{column}_pct"])
                continue
            assert last[f"{end}_{column}_pct"] == pytest.approx(stated, abs=1.2)
        assert last[f"{end}_motion_ratio"] == pytest.approx(facts[f"{end}_motion_ratio"], rel=2e-3)
        assert last[f"{end}_path_slope_deg"] == pytest.approx(facts[f"{end}_path_slope_deg"], abs=0.1)
        assert last[f"{end}_load_N"] == pytest.approx(facts[f"{end}_load_N"], rel=3e-3)


# --- across the side view ---
@pytest.mark.parametrize("drive", ["all", "rear", "front"])
def test_load_from_side_to_side_of_a_steady_climb(drive: str) -> None:
    """Climbing 20 deg at 0.15 m/s: torque of the larger shaft on the track, as in the run. With one axle
    driven within 1 %; where both drive, the run parts the thrust a little otherwise than by load (see above).
    """
    rig = rig_of("gully") | {"track": 180}
    rig["driveline"]["drive"] = drive
    rig["rear"]["tyre"]["rolling_resistance"] = rig["front"]["tyre"]["rolling_resistance"] = 3
    for end, x in (("rear", 15), ("front", 300)):
        rig[end]["shaft"] = {"chassis": [160, 80], "axle": [x, 60], "ratio": 2.6}
    driver = {"control": "speed", "speed": [[0, 0], [0.3, 0.15]], "release": 0.1}
    case = scenario(rig, driver, ground={"slope": 20}, end={"duration": 2.5}, output={"rate": 50})
    facts, run = table_of(stand(case)), simcore.simulate(case)
    last = run.series.iloc[-1]
    assert last["side_load_N"] == pytest.approx(facts["side_load_N"], rel=0.02 if drive == "all" else 0.01)
    torque = max(abs(last[f"{end}_wheel_torque_Nm"]) for end in ENDS) / 2.6
    assert last["side_load_N"] == pytest.approx(torque / 0.18, rel=1e-9)
    assert run.summary["side_load_mean_N"] == pytest.approx(last["side_load_N"], rel=0.1)


def test_what_lies_across_the_side_view_moves_nothing() -> None:
    """Track and sense of the shafts change no number of a run but the load from side to side."""
    runs = []
    for track, turns in ((None, "clockwise"), (200, "anticlockwise")):
        rig = rig_of("gully") | {"track": track}
        if track is None:
            del rig["track"]
        for end, x in (("rear", 15), ("front", 300)):
            rig[end]["shaft"] = {"chassis": [160, 80], "axle": [x, 60], "ratio": 2.6, "turns": turns}
            rig[end]["shaft"]["friction"] = 0.2
        driver = {"control": "torque", "torque": [[0, 0], [0.1, 20]]}
        runs.append(simcore.simulate(scenario(rig, driver, end={"duration": 0.4})).series)
    assert runs[0].pop("side_load_N").isna().all() and (runs[1].pop("side_load_N") >= 0.0).all()
    assert runs[0].equals(runs[1])
