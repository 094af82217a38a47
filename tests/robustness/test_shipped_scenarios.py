"""Checks over everything that is shipped: same bounds for every scenario and every variant."""

from pathlib import Path

import numpy as np
import pytest

import simcore
from simcore.series import GLOSSARY
from simcore.summary import MEANING

FOLDER = Path(__file__).parents[2] / "scenarios"
CASES = [
    (path.stem, name)
    for path in sorted(FOLDER.glob("*.toml"))
    for name in (None, *simcore.load_scenario(path).variants)
]


def case(stem: str, name: str | None) -> simcore.Scenario:
    scenario = simcore.load_scenario(FOLDER / f"{stem}.toml")
    return scenario if name is None else scenario.variant(name)


@pytest.mark.parametrize(("stem", "name"), CASES)
def test_audit_closes_and_every_column_is_there(stem: str, name: str | None) -> None:
    run = simcore.simulate(case(stem, name))
    assert run.sound, run.audit.faults
    assert run.audit.momentum.max() < 1e-8
    assert np.abs(run.audit.energy).max() < 1e-3
    assert run.audit.drift.max() < 1e-6
    assert list(run.series.columns) == list(GLOSSARY)
    assert np.isfinite(run.series.to_numpy()).all()
    assert list(run.summary) == list(MEANING)


@pytest.mark.parametrize(("stem", "name"), CASES)
def test_halved_tolerances_change_no_figure_by_half_a_percent(stem: str, name: str | None) -> None:
    scenario = case(stem, name)
    half = {
        "solver.relative": 0.5 * scenario.solver.relative,
        "solver.absolute": 0.5 * scenario.solver.absolute,
    }
    usual, finer = simcore.simulate(scenario).summary, simcore.simulate(scenario.changed(half)).summary
    for key, value in usual.items():
        if isinstance(value, str):
            assert finer[key] == value
        elif not key.endswith(("_residual_1", "_residual_pct", "drift_mm")):
            # a figure that is nothing (a lift of 1e-7 mm) has no digits to keep
            assert finer[key] == pytest.approx(value, rel=5e-3, abs=5e-4), key


def test_rigs_are_named_by_some_scenario() -> None:
    used = "".join(path.read_text() for path in FOLDER.glob("*.toml"))
    for rig in FOLDER.glob("rigs/*.toml"):
        simcore.load_rig(rig)
        assert f"rigs/{rig.name}" in used
