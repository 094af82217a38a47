"""Fits of a short run to logs rendered from other runs, with noise of known size."""

import dataclasses
import json
import math

import numpy as np
import pandas as pd
import pytest

import simcore
from simcore.errors import InputError
from simcore.files import scenario_of
from simcore.logs import CHANNELS, Log
from simcore.results.result import Doubt
from simcore.studies.fitting import problem
from simcore.studies.fitting.freed import freed_values
from simcore.studies.fitting.misread import Fault
from simcore.studies.fitting.predict import Runs, attempt, for_log
from simcore.studies.fitting.problem import Problem
from simcore.studies.fitting.telling import FINEST, Told

RATE = "rear.shock.springs.0.rate"
NOISE = {"pitch_deg": 0.1, "rear_travel_mm": 0.2, "speed_m_per_s": 0.01, "pitch_rate_deg_per_s": 0.5}


@pytest.fixture(scope="module")
def scenario():
    return simcore.load_scenario("scenarios/punchy_launch.toml").changed({"end.duration": 0.4})


@pytest.fixture(scope="module")
def truth(scenario):
    """Channels of the run that the logs are rendered from: springs a tenth stiffer."""
    case = for_log(scenario).changed({f"{RATE} *=": 1.1})
    return attempt(case, tuple(CHANNELS))


def rendered(truth, *channels, seed=1, clock=0.0, **changes):
    """A log with noise; `changes` of a channel are functions of its values."""
    rng, times = np.random.default_rng(seed), np.arange(0.0, 0.4, 0.004)
    table = {"time_s": times + clock}
    for name in channels:
        values = truth.at(name, times) + rng.normal(0.0, NOISE[name], len(times))
        table[name] = changes.get(name, lambda same: same)(values)
    return Log("rendered.csv", pd.DataFrame(table))


@pytest.fixture(scope="module")
def fit(scenario, truth):
    return simcore.fit(scenario, rendered(truth, "pitch_deg", "rear_travel_mm"), [RATE], tries=0)


def test_the_value_behind_the_log_is_found_within_its_error(fit) -> None:
    (one,) = fit.estimates
    assert one.told is Told.TOLD and abs(one.value - 0.077) < 3.0 * one.error < 0.004
    assert fit.concerns == [] and fit.explained and fit.sound
    said = f"{1e3 * one.value / 9.80665:.3f} ± {1e3 * one.error / 9.80665:.3f} g/mm"
    assert fit.headline.startswith(f"Rear shock springs 1 rate {said}. Run and log then differ by 0.")
    assert "no more than noise does" in fit.headline
    for left in fit.left:
        assert left.rms == pytest.approx(NOISE[left.channel], rel=0.3) and left.before > 1.2 * left.rms
    assert fit.fitted.rig.rear.shock.springs[0].rate == pytest.approx(one.value * 1000.0)


def test_five_logs_tell_it_as_often_as_their_errors_say(scenario, truth) -> None:
    """Distances in standard errors of five logs: their mean square is 1 by chance, in 99.9 % below 4.1 (chi
    squared over 5).
    """
    off = []
    for seed in range(5):
        log = rendered(truth, "rear_travel_mm", seed=seed)
        (one,) = simcore.fit(
            scenario.changed({RATE: 0.077}), log, [RATE], {"rear_travel": 0.2}, tries=0
        ).estimates
        off.append((one.value - 0.077) / one.independent)
    assert 0.04 < np.mean(np.square(off)) < 4.1


def test_a_saved_fit_is_read_whole(fit, tmp_path) -> None:
    fit.save(tmp_path)
    names = {
        "fit.json",
        "fit.parquet",
        "log_over_run.csv",
        "values.csv",
        "channels.csv",
        "correlations.csv",
        "fitted.toml",
    }
    assert {path.name for path in tmp_path.iterdir()} == names
    again = simcore.load(tmp_path)
    for field in dataclasses.fields(fit):
        if field.name not in ("scenario", "table"):
            assert getattr(again, field.name) == getattr(fit, field.name), field.name
    pd.testing.assert_frame_equal(again.table, fit.table)
    assert again.headline == fit.headline and again.scenario.table == fit.scenario.table
    written = simcore.load_scenario(tmp_path / "fitted.toml")
    assert written.table == fit.fitted.table
    form = json.loads((tmp_path / "fit.json").read_text())
    del form["sum"]
    form["data"]["left"][0]["channel"] = "front_travel_mm"
    (tmp_path / "fit.json").write_text(json.dumps(form))
    with pytest.raises(InputError, match="damaged or older"):
        simcore.load(tmp_path)


def test_without_freed_values_the_log_is_set_beside_the_run(scenario, truth) -> None:
    same = simcore.fit(scenario.changed({f"{RATE} *=": 1.1}), rendered(truth, "pitch_deg"))
    assert same.estimates == () and same.concerns == [] and same.fitted is None
    assert (
        same.headline == f"Run and log differ by {same.left[0].rms:.3f} deg (pitch), no more than noise does"
    )
    assert set(same.tables) == {"channels", "log"}
    other = simcore.fit(scenario, rendered(truth, "rear_travel_mm"))
    assert [one.doubt for one in other.concerns] == [
        Doubt.NOT_EXPLAINED
    ] and "more than noise" in other.headline
    measured, predicted = other.table["measured_rear_travel_mm"], other.table["predicted_rear_travel_mm"]
    assert other.left[0].rms == pytest.approx(math.sqrt(np.mean((measured - predicted) ** 2)))


def test_clock_and_offset_of_a_log_are_found(scenario, truth) -> None:
    log = rendered(truth, "pitch_deg", clock=0.05, pitch_deg=lambda values: values - 16.0)
    free = ["time_offset", "offset:pitch"]
    clock, offset = simcore.fit(scenario.changed({RATE: 0.077}), log, free).estimates
    assert abs(clock.value - 0.05) < 3.5 * clock.error < 0.01
    assert abs(offset.value + 16.0) < 3.5 * offset.error < 0.2


def test_two_masses_at_one_place_are_refused_by_name(scenario) -> None:
    ballast = [{"name": name, "mass": 40, "at": [200, 90]} for name in ("brass", "lead")]
    raw = scenario.raw
    raw["rig"]["parts"] = [*raw["rig"]["parts"], *ballast]
    case = scenario_of(raw, scenario.path)
    free = ["parts.brass.mass", "parts.lead.mass"]
    log = rendered(attempt(for_log(case), ("rear_travel_mm",)), "rear_travel_mm")
    fit = simcore.fit(case, log, free, tries=0)
    assert [one.told for one in fit.estimates] == [Told.NOT_APART] * 2
    assert fit.estimates[0].value is None and not fit.decided and fit.fitted is None
    (text,) = [one.text for one in fit.concerns if one.doubt is Doubt.NOT_KNOWN and "cannot tell" in one.text]
    assert "parts brass mass from parts lead mass: raising parts brass mass by " in text
    assert "and lowering parts lead mass by" in text and text.endswith("leaves the log the same")


def test_a_number_without_a_trace_is_named(scenario, truth) -> None:
    fit = simcore.fit(
        scenario.changed({RATE: 0.077}), rendered(truth, "rear_travel_mm"), ["driver.governor_time"], tries=0
    )
    (idle,) = fit.estimates
    assert idle.told is Told.NO_TRACE and idle.value is None
    assert [one.doubt for one in fit.concerns] == [Doubt.NOT_KNOWN]
    assert "driver governor time leaves no trace in the log" in fit.concerns[0].text
    assert "governor time leaves no trace" in fit.headline


@pytest.mark.parametrize(
    ("channel", "change", "fault", "said"),
    [
        ("pitch_deg", lambda values: -values, Fault.MIRRORED, '"its header=-pitch_deg"'),
        (
            "pitch_rate_deg_per_s",
            lambda values: -values,
            Fault.MIRRORED,
            '"its header=-pitch_rate_deg_per_s"',
        ),
        ("speed_m_per_s", lambda values: 3.6 * values, Fault.UNIT, '"its header [km/h]=speed_m_per_s"'),
        ("pitch_rate_deg_per_s", np.radians, Fault.UNIT, '"its header [rad/s]=pitch_rate_deg_per_s"'),
        ("pitch_deg", lambda values: values - 16.0, Fault.ZERO, "--free offset:pitch"),
    ],
)
def test_a_misread_channel_is_noticed_and_not_corrected(
    scenario, truth, channel, change, fault, said
) -> None:
    log = rendered(truth, channel, **{channel: change})
    fit = simcore.fit(scenario, log)
    (one,) = fit.misread
    assert one.fault is fault and said in "\n".join(map(str, fit.concerns))
    assert np.array_equal(fit.table[f"measured_{channel}"], log.table[channel])
    assert simcore.fit(scenario, rendered(truth, channel)).misread == ()


def test_nothing_fitted_to_a_mirrored_channel_is_told(scenario, truth) -> None:
    mirrored = rendered(truth, "pitch_rate_deg_per_s", pitch_rate_deg_per_s=lambda values: -values)
    fit = simcore.fit(scenario, mirrored, [f"{RATE}=0.05:0.1"], tries=2)
    assert [one.told for one in fit.estimates] == [Told.MISREAD] and fit.fitted is None
    assert {one.doubt for one in fit.concerns} == {Doubt.NOT_EXPLAINED, Doubt.NOT_KNOWN}


@pytest.mark.parametrize(
    ("free", "said"),
    [
        (
            ["rear.shock.spring"],
            "--free: rear.shock.spring: got an unknown path, must be the path of a number",
        ),
        (["rear.shock"], "got a whole table"),
        ([RATE, RATE], "got freed twice, must be freed once"),
        ([f"{RATE}+front.shock.springs.0.rate", RATE], "got freed twice"),
        ([f"{RATE}=0.2:0.1"], 'got "0.2:0.1", must be a range LOW:HIGH, low below high'),
        ([f"{RATE}=-1:0.1"], "got -1.0 N/mm, must be"),
        ([f"{RATE}="], "must be PATH, PATH=LOW:HIGH, time_offset or offset:CHANNEL"),
        (["rear.tyre.radius+chassis.mass"], "units g, mm"),
        (["offset:speed"], "got no channel of the log, must be offset: and one of rear_travel_mm"),
        (["ground.grip=50:100", "start.rear_axle"], "got the value 0 in the file, and no range"),
    ],
)
def test_what_is_no_value_to_free_is_refused(scenario, truth, free, said) -> None:
    with pytest.raises(InputError) as caught:
        freed_values(scenario, rendered(truth, "rear_travel_mm"), free)
    assert said in str(caught.value)


@pytest.mark.parametrize(
    ("shift", "noise", "free", "said"),
    [
        (
            100.0,
            {},
            [],
            "rendered.csv: time_s: got 100 to 100.396 s, 0 rows within the run, must be at least 8",
        ),
        (0.0, {"pitch": 0.1}, [], "--noise: pitch: got no channel of the log"),
        (0.0, {"rear_travel": 0.0}, [], "--noise: rear_travel: got 0 mm, must be greater than 0 mm"),
    ],
)
def test_what_does_not_go_together_is_refused(scenario, truth, shift, noise, free, said) -> None:
    with pytest.raises(InputError) as caught:
        simcore.fit(scenario, rendered(truth, "rear_travel_mm", clock=shift), free, noise)
    assert said in str(caught.value)


def test_runs_that_cannot_be_done_give_nothing_and_are_not_tried_twice(scenario) -> None:
    log = Log("log.csv", pd.DataFrame({"time_s": [0.0], "pitch_deg": [0.0]}))
    (freed,) = freed_values(scenario, log, ["rear.shock.extended_length"])
    noted = []
    runs = Runs(for_log(scenario), [freed], ["pitch_deg"], progress=noted.append)
    whole, none, same = runs.at([[106.0], [300.0], [300.0]])
    assert whole is not None and none is same is None
    runs.at([[300.0], [106.0]])
    assert len(noted) <= 2


def test_a_run_that_ends_before_the_log_is_said(scenario) -> None:
    """On 45 deg, with 120 N*mm, it slides away after about a second; a log of 1.4 s goes on."""
    times = np.arange(0.0, 1.4, 0.01)
    log = Log("log.csv", pd.DataFrame({"time_s": times, "place_mm": 0.0 * times}))
    case = scenario.changed({"ground.slope": 45, "driver.torque.1.1": 120, "end.duration": 1.5})
    fit = simcore.fit(case, log)
    assert fit.unfinished == simcore.Outcome.SLID_AWAY.value and not fit.explained
    assert any("ends before the log does" in one.text for one in fit.concerns)


@pytest.mark.parametrize("path", [RATE, "rear.shock.friction.sliding"])
def test_steps_are_finer_than_what_is_told_and_coarser_than_the_tolerance(
    scenario, truth, path, monkeypatch
) -> None:
    """Columns over 1 % and 0.3 % of a value are nearer to one another than a direction must be to none."""
    log = rendered(truth, "pitch_deg", "rear_travel_mm")
    (freed,) = freed_values(scenario, log, [path])
    measured = {name: log.table[name].to_numpy(float) for name in log.channels}
    runs = Runs(for_log(scenario), [freed], log.channels)
    asked = Problem((freed,), log.table["time_s"].to_numpy(float), measured, NOISE, runs)
    coarse = asked.jacobian(asked.start)[:, 0]
    monkeypatch.setattr(problem, "STEP", 3e-3)
    fine = asked.jacobian(asked.start)[:, 0]
    assert np.linalg.norm(coarse - fine) < FINEST * np.linalg.norm(fine)


def test_processes_side_by_side_find_the_same(scenario, truth, fit) -> None:
    log = rendered(truth, "pitch_deg", "rear_travel_mm")
    again = simcore.fit(scenario, log, [RATE], tries=0, workers=2)
    assert again.estimates == fit.estimates
