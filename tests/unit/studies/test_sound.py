"""A compiled run that breaks its audit is done again by the reference; one that both break is told."""

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

import simcore
from simcore.files.scenario import Solver
from simcore.rig.model import build
from simcore.solve.integrate import integrate
from simcore.solve.trace import Trace
from simcore.studies import simulate
from simcore.studies.coarser import LOOSEST, coarser

LAUNCH = Path(__file__).parents[3] / "scenarios" / "punchy_launch.toml"


def spoil(monkeypatch: pytest.MonkeyPatch, where: Callable[[Solver], bool]) -> None:
    """Accelerations a tenth off wherever such a solver integrates."""

    def spoilt(scenario: simcore.Scenario, *words: Any, **names: Any) -> Trace:
        trace = integrate(scenario, *words, **names)
        if where(scenario.solver):
            trace.ledgers["acceleration"]["x"] *= 1.1
        return trace

    monkeypatch.setattr(simulate, "integrate", spoilt)


def test_the_reference_steps_in(monkeypatch: pytest.MonkeyPatch) -> None:
    scenario = simcore.load_scenario(LAUNCH).changed({"end.duration": 0.6})
    reference = simcore.simulate(scenario.changed({"solver.method": "LSODA"}))
    spoil(monkeypatch, lambda one: one.method == "compiled")
    run = simcore.simulate(scenario)
    assert run.sound
    assert run.series.equals(reference.series)


def test_what_breaks_both_ways_is_told(monkeypatch: pytest.MonkeyPatch) -> None:
    scenario = simcore.load_scenario(LAUNCH).changed({"end.duration": 0.6})
    spoil(monkeypatch, lambda one: True)
    trace, residuals = simulate.sound(scenario, build(scenario))
    assert residuals.faults
    assert trace.steps == integrate(scenario).steps  # that of the compiled way


def test_a_draw_that_breaks_its_audit_is_run_as_finely_as_any(monkeypatch: pytest.MonkeyPatch) -> None:
    scenario = simcore.load_scenario(LAUNCH).changed({"end.duration": 0.6})
    fine, _ = simulate.summary_and_columns(scenario)
    rough, _ = simulate.summary_and_columns(scenario, coarsely=True)
    assert 0.0 < abs(rough["pitch_rise_deg"] - fine["pitch_rise_deg"]) < 1e-3
    spoil(monkeypatch, lambda one: one.relative > scenario.solver.relative)
    assert simulate.summary_and_columns(scenario, coarsely=True)[0] == fine


def test_tolerances_are_widened_up_to_an_end_and_never_narrowed() -> None:
    scenario = simcore.load_scenario(LAUNCH)
    own = coarser(scenario, 10.0).solver
    assert (own.relative, own.absolute) == (10.0 * scenario.solver.relative, 10.0 * scenario.solver.absolute)
    assert coarser(scenario, 1e6).solver.relative == LOOSEST
    wide = scenario.changed({"solver.relative": 1e-4})
    assert coarser(wide, 10.0).solver.relative == 1e-4
