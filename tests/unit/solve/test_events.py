"""How runs end: each outcome reached by a small scenario, the series kept up to there, the instant exact."""

from pathlib import Path

import numpy as np
import pytest

from simcore import load_scenario, simulate
from simcore.results.series import ACCOUNT_COLUMNS, COLUMNS
from simcore.solve.integrate import integrate
from simcore.solve.trace import Outcome, Trace

PLAIN = {
    f"{end}.{key}": 0 for end in ("rear", "front") for key in ("tyre.grip_load_exponent", "shaft.friction")
}
BASE = load_scenario(Path(__file__).parents[3] / "scenarios" / "slow_creep.toml").changed(PLAIN)
# Hard enough, on enough grip, to throw the nose up.
PUNCH = {f"{end}.tyre.{key}": 2 for end in ("rear", "front") for key in ("peak_grip", "sliding_grip")} | {
    "motor.brake_torque": 500,
    "driver.control": "torque",
    "driver.torque": [[0, 0], [0.02, 200]],
}
COAST = {
    "driver.control": "torque",
    "driver.torque": [[0, 0]],
    "motor.no_load_current": 0.1,
    "driver.brake": [[0, 100], [0.2, 0]],
}
CRAWL = {"driver.speed": [[0, 0], [0.2, 0.3]], "ground.slope": 0, "end.duration": 2}
# Over a crest so sharp that the skids take the load off the tyres
HUNG = {
    "ground.slope": 0,
    "ground.grip": 100,
    "ground.pieces": [{"length": 400, "slope": 28}, {"length": 800, "slope": -28, "grip": 100}],
    "driver.control": "speed",
    "driver.speed": [[0, 0], [0.3, 0.3]],
    "rear.tyre.radius": 45,
    "front.tyre.radius": 45,
    "skids": [{"at": [130, 46]}, {"at": [195, 46]}],
    "end.duration": 6,
}


def ends(settings: dict) -> Trace:
    return integrate(BASE.changed(settings))


def tyre_gap(trace: Trace, i: int) -> np.ndarray:
    """Distance of axle i's tread from an endless slope through the origin, m; negative where it is pressed
    in.
    """
    along = trace.model.pieces[0]["along"]
    pose, centre, angle = (
        trace.states["pose"][:, 1 + i],
        trace.model.rig.axle[i].centre,
        trace.states["pose"]["angle"][:, 1 + i],
    )
    x = pose["x"] + np.cos(angle) * centre.x - np.sin(angle) * centre.z
    z = pose["z"] + np.sin(angle) * centre.x + np.cos(angle) * centre.z
    return float(along["x"]) * z - float(along["z"]) * x - trace.model.rig.axle[i].tyre.radius


def test_time():
    trace = ends(CRAWL | {"end.duration": 0.7})
    assert trace.outcome is Outcome.TIME
    assert trace.times[-1] == 0.7


@pytest.mark.parametrize("rate", [500, 37])
def test_distance(rate):
    """The last row lies at the distance itself, however coarse the series."""
    trace = ends(CRAWL | {"end.distance": 120, "output.rate": rate})
    assert trace.outcome is Outcome.DISTANCE
    assert trace.states["distance"][-1] == pytest.approx(0.120, abs=1e-7)
    assert (trace.states["distance"][:-1] < 0.120).all()


def test_time_of_an_ending_is_that_of_the_motion():
    """At 0.3 m/s the last 30 mm take 0.1 s."""
    times = [ends(CRAWL | {"end.distance": way}).times[-1] for way in (210, 240)]
    assert times[1] - times[0] == pytest.approx(
        0.1, rel=0.06
    )  # tread speed; slip and deflection take some per cent
    fine = ends(CRAWL | {"end.distance": 240, "solver.relative": 1e-9, "solver.absolute": 1e-9})
    assert times[1] == pytest.approx(fine.times[-1], abs=1e-4)


def test_slid_away():
    """Let go on a slope: ends 60 mm back from where it stood."""
    trace = ends(COAST | {"end.slid_back": 60, "end.duration": 3})
    assert trace.outcome is Outcome.SLID_AWAY
    assert trace.states["distance"][-1] == pytest.approx(-0.060, abs=1e-6)


def test_slid_away_counts_from_the_furthest_point():
    """Driven up first and let go then."""
    torque = {
        "driver.torque": [[0, 0], [0.05, 20], [0.6, 20], [0.65, 0]],
        "end.slid_back": 60,
        "end.duration": 6,
    }
    trace = ends(COAST | torque)
    way = trace.states["distance"]
    assert trace.outcome is Outcome.SLID_AWAY
    assert way.max() > 0.05
    assert way.max() - way[-1] == pytest.approx(0.060, abs=0.005)  # seen at the rows of the series
    assert way[-1] > -0.060


def test_a_driver_who_reverses_has_not_slid_away():
    trace = ends({"driver.speed": [[0, 0], [0.2, -0.3]], "end.slid_back": 60, "end.duration": 1})
    assert trace.outcome is Outcome.TIME
    assert trace.states["distance"][-1] < -0.1


def test_front_lifted():
    trace = ends(PUNCH | {"ground.slope": 45, "end.when": ["front_lifts"]})
    gap = tyre_gap(trace, 1)
    assert trace.outcome is Outcome.FRONT_LIFTED
    assert gap[-1] == pytest.approx(0.0, abs=1e-6)
    assert (gap[:-1] < 0.0).all()
    assert trace.part(1, "tyre", "load")[-1] < 0.1


def test_rear_lifted():
    """Reversing hard up a slope behind."""
    trace = ends(
        PUNCH | {"ground.slope": -45, "driver.torque": [[0, 0], [0.02, -200]], "end.when": ["rear_lifts"]}
    )
    gap = tyre_gap(trace, 0)
    assert trace.outcome is Outcome.REAR_LIFTED
    assert gap[-1] == pytest.approx(0.0, abs=1e-6)
    assert (gap[:-1] < 0.0).all()


def test_lifting_ends_nothing_unasked():
    trace = ends(PUNCH | {"ground.slope": 45, "end.duration": 0.6})
    assert (tyre_gap(trace, 1) > 0.0).any()
    assert trace.outcome is not Outcome.FRONT_LIFTED


def test_rolled_over():
    """Right angles to the ground, nose up."""
    trace = ends(PUNCH | {"ground.slope": 48, "end.duration": 4})
    tilt = trace.states["pose"][:, 0]["angle"] - np.radians(48)
    assert trace.outcome is Outcome.ROLLED_OVER
    assert tilt[-1] == pytest.approx(np.pi / 2, abs=1e-5)
    assert (np.abs(tilt[:-1]) < np.pi / 2).all()


def test_stood_still():
    """Ends a quarter of a second after the motion fell below 1 mm/s, and not at the standing start."""
    driver = {
        "driver.speed": [[0, 0], [0.2, 0.2], [0.6, 0.2], [0.8, 0]],
        "ground.slope": 0,
        "end.duration": 4,
    }
    trace = ends(driver | {"end.when": ["stands_still"]})
    speed = np.abs(0.5 * (trace.part(0, "tyre", "ground_speed") + trace.part(1, "tyre", "ground_speed")))
    assert trace.outcome is Outcome.STOOD_STILL
    assert 1.0 < trace.times[-1] < 3.0
    assert (speed[trace.times > trace.times[-1] - 0.249] < 1e-3).all()
    assert speed[trace.times <= trace.times[-1] - 0.252].max() > 0.1
    assert (speed[trace.times < trace.times[-1] - 0.2515][-3:] > 1e-3).any()
    assert ends(driver).outcome is Outcome.TIME


def test_high_centred():
    """Hung on a crest for half a second with the wheels turning."""
    run = simulate(BASE.changed(HUNG))
    trace = run.trace
    assert trace.outcome is Outcome.HIGH_CENTRED
    assert run.sound, run.audit.faults  # with the skids' forces and moments in it
    last = trace.times > trace.times[-1] - 0.49
    skids = trace.ledgers["skid"]["load"].sum(axis=1)
    slip = np.maximum(*(np.abs(trace.part(i, "tyre", "slip_speed")) for i in range(2)))
    assert skids[last].min() > 0.02 * trace.model.bench.whole.mass * trace.model.rig.gravity
    assert slip[last].min() > 0.05
    assert trace.times[-1] < 6.0


@pytest.mark.parametrize("end", [{"end.distance": 60}, {"end.duration": 0.333}])
def test_the_series_is_whole_up_to_the_ending(end):
    run = simulate(BASE.changed(CRAWL | end | {"output.rate": 100}))
    times = run.series["time_s"].to_numpy()
    np.testing.assert_allclose(times[:-1], np.arange(len(times) - 1) / 100, atol=1e-12)
    assert times[-2] < times[-1] <= times[-2] + 0.01 + 1e-12
    assert list(run.series.columns) == COLUMNS
    empty = [f"{axle}_{column.name}" for axle in ("rear", "front") for column in ACCOUNT_COLUMNS]
    assert np.isfinite(run.series.drop(columns=empty).to_numpy()).all()
    assert run.summary["time_s"] == pytest.approx(times[-1])
    assert run.summary["ended"] == run.outcome.name


@pytest.mark.parametrize("brake", [[[0, 100], [0.05, 100], [0.06, 0]], [[0, 100], [0.1 + 0.2, 0]]])
def test_corners_apart_by_rounding_alone(brake):
    """0.05 + 0.01 is not 0.06 in binary: corners of the driver's tables may all but coincide."""
    driver = {
        "driver.control": "torque",
        "driver.torque": [[0, 0], [0.01, 1], [0.25, 1]],
        "driver.release": 0.05,
    }
    trace = ends(driver | {"ground.slope": 0, "driver.brake": brake, "end.duration": 0.4})
    assert trace.outcome is Outcome.TIME
    assert (np.diff(trace.times) > 1e-9).all()


def test_a_rig_whose_front_is_over_a_drop_hangs_on_its_skid():
    """The skid on the edge and the front tyres against the face carry it, and the wheels turn in vain."""
    pieces = [{"length": 300}, {"ledge": -500}, {"length": 1000}]
    trace = ends({"ground.slope": 0, "ground.pieces": pieces, "start.rear_axle": 40})
    assert trace.ledgers["skid"]["load"][0].sum() > 0.3 * trace.model.bench.whole.mass * 9.80665
    assert trace.outcome is Outcome.HIGH_CENTRED
