"""A solver that fails makes an outcome: the run is kept up to there and says so; nothing is raised, nothing
hangs.

Witness: the definition of `Outcome.NOT_SOLVED`. The rigs are shipped ones whose records are spoilt behind
the checks of the files.
"""

import json
from pathlib import Path

import numpy as np
import pytest
from typer.testing import CliRunner

import simcore
from simcore.cli import app
from simcore.errors import AUDIT_FAILED
from simcore.rig.model import build
from simcore.solve import bulk, piece, reference
from simcore.solve.integrate import integrate
from simcore.solve.settle import settle
from simcore.solve.trace import Outcome, Trace

LAUNCH = Path(__file__).parents[2] / "scenarios" / "punchy_launch.toml"
ERRORS = (np.linalg.LinAlgError("singular"), ValueError("infs"), ZeroDivisionError(), FloatingPointError())


def spoilt(mass: float | None = None, spin_inertia: float | None = None) -> Trace:
    """Launch of a rig with an impossible front axle, begun from the stand of the sound one."""
    scenario = simcore.load_scenario(LAUNCH).changed({"end.duration": 0.6})
    model, start = build(scenario), settle(scenario, build(scenario))
    axle = model.rigs[0].axle[1]
    axle.body.mass = axle.body.mass if mass is None else mass
    axle.spin_inertia = axle.spin_inertia if spin_inertia is None else spin_inertia
    return integrate(scenario, model, start)


def launch(duration: float = 0.6) -> simcore.Run:
    settings = {"end.duration": duration, "solver.method": "LSODA"}
    return simcore.simulate(simcore.load_scenario(LAUNCH).changed(settings))


@pytest.mark.parametrize("wrong", [{"mass": 1e-300}, {"spin_inertia": 1e-300}, {"spin_inertia": np.nan}])
def test_a_rig_beyond_numbers_keeps_its_start(wrong: dict) -> None:
    trace = spoilt(**wrong)
    assert trace.outcome is Outcome.NOT_SOLVED
    assert trace.times[0] == 0.0 and trace.output[0] and trace.watched[-1]
    assert np.isfinite(trace.states.view(float)).all()


def test_a_very_light_wheel_is_solved() -> None:
    """A spin inertia of 1e-5 kg*mm^2 once broke off the program."""
    trace = spoilt(spin_inertia=1e-11)
    assert trace.outcome is Outcome.TIME and trace.times[-1] == 0.6


@pytest.mark.parametrize("error", ERRORS, ids=lambda error: type(error).__name__)
def test_what_a_solver_raises_ends_the_run_where_it_was(
    monkeypatch: pytest.MonkeyPatch, error: Exception
) -> None:
    """Up to the failure the run is the sound one."""
    whole, rate = launch(), reference.derivative

    def failing(time: float, *words):
        if time > 0.35:
            raise error
        return rate(time, *words)

    monkeypatch.setattr(reference, "derivative", failing)
    broken = launch()
    assert broken.outcome is Outcome.NOT_SOLVED and not broken.sound
    n = len(broken.series) - 1
    assert broken.series["time_s"].iloc[-1] == pytest.approx(0.35, abs=0.02)
    np.testing.assert_allclose(broken.series["pitch_deg"][:n], whole.series["pitch_deg"][:n], atol=0.01)


@pytest.mark.parametrize("value", [np.nan, np.inf])
def test_numbers_that_are_none_end_the_run(monkeypatch: pytest.MonkeyPatch, value: float) -> None:
    rate = reference.derivative
    monkeypatch.setattr(
        reference, "derivative", lambda time, *words: rate(time, *words) + (value if time > 0.35 else 0.0)
    )
    broken = launch()
    assert broken.outcome is Outcome.NOT_SOLVED
    assert 0.3 < broken.trace.times[-1] < 0.4
    assert np.isfinite(broken.trace.states.view(float)).all()


@pytest.mark.parametrize("method", ["compiled", "LSODA", "BDF", "Radau"])
def test_no_method_goes_on_for_ever(monkeypatch: pytest.MonkeyPatch, method: str) -> None:
    """With few calls allowed, an attempt ends there, and the rows up to there are kept."""
    monkeypatch.setattr(piece, "MOST_CALLS", 600)
    monkeypatch.setattr(bulk, "STEPS", 50)
    scenario = simcore.load_scenario(LAUNCH).changed({"end.duration": 1.0, "solver.method": method})
    run = simcore.simulate(scenario)
    assert run.outcome is Outcome.NOT_SOLVED
    assert len(run.series) > 10 and run.trace.steps < 6 * 600


def test_a_run_not_solved_is_written_and_fails(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Even with no more than its start; the reader is told what to look for."""
    monkeypatch.setattr(piece, "MOST_CALLS", 0)
    done = CliRunner().invoke(app, ["run", str(LAUNCH), "--out", str(tmp_path)])
    assert done.exit_code == AUDIT_FAILED, done.output
    for word in ("spin_inertia", "kg*mm^2", "rotor_inertia", "g*cm^2", "stiff stop"):
        assert word in " ".join(done.output.split())
    summary = json.loads((tmp_path / "summary.json").read_text())
    assert summary["ended"] == Outcome.NOT_SOLVED.name and summary["time_s"] == 0.0
