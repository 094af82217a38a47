"""A compiled run that breaks its audit is done again by the reference; one that both break is told."""

from pathlib import Path
from typing import Any

import pytest

import simcore
from simcore.rig.model import build
from simcore.solve.integrate import integrate
from simcore.solve.trace import Trace
from simcore.studies import simulate

LAUNCH = Path(__file__).parents[3] / "scenarios" / "punchy_launch.toml"


def spoil(monkeypatch: pytest.MonkeyPatch, methods: tuple[str, ...]) -> None:
    """Accelerations a tenth off wherever one of these methods integrates."""

    def spoilt(scenario: simcore.Scenario, *words: Any, **names: Any) -> Trace:
        trace = integrate(scenario, *words, **names)
        if scenario.solver.method in methods:
            trace.ledgers["acceleration"]["x"] *= 1.1
        return trace

    monkeypatch.setattr(simulate, "integrate", spoilt)


def test_the_reference_steps_in(monkeypatch: pytest.MonkeyPatch) -> None:
    scenario = simcore.load_scenario(LAUNCH).changed({"end.duration": 0.6})
    reference = simcore.simulate(scenario.changed({"solver.method": "LSODA"}))
    spoil(monkeypatch, ("compiled",))
    run = simcore.simulate(scenario)
    assert run.sound
    assert run.series.equals(reference.series)


def test_what_breaks_both_ways_is_told(monkeypatch: pytest.MonkeyPatch) -> None:
    scenario = simcore.load_scenario(LAUNCH).changed({"end.duration": 0.6})
    spoil(monkeypatch, ("compiled", "LSODA"))
    trace, residuals = simulate.sound(scenario, build(scenario))
    assert residuals.faults
    assert trace.steps == integrate(scenario).steps  # that of the compiled way
