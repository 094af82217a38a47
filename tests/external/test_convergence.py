"""The motion converges, whatever integrates it and however finely it is written down.

Witnesses: the definition of an error tolerance (a method that controls its error makes it fall with the
tolerance), and methods of another family: Radau IIA of order 5, BDF and LSODA, all as SciPy has
them (E. Hairer and G. Wanner, Solving Ordinary Differential Equations II, Springer 1996; from memory).
"""

import functools
import itertools
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from shipped import CASES
from sparing import few

import simcore

FOLDER = Path(__file__).parents[2] / "scenarios"
MOVES = ("pitch_deg", "rear_travel_mm", "front_travel_mm", "distance_mm")
LOADS = ("rear_load_N", "front_load_N")
SPAN = {"end.duration": 1.0, "without_support": False}


def series(stem: str, name: str | None, **solver: Any) -> Any:
    scenario = simcore.load_scenario(FOLDER / f"{stem}.toml")
    scenario = scenario if name is None else scenario.variant(name)
    settings = {f"solver.{key}": value for key, value in solver.items()}
    return simcore.simulate(scenario.changed(SPAN | settings)).series


def error(found: Any, reference: Any, names: tuple[str, ...] = MOVES + LOADS) -> float:
    """Largest error of what is seen, as a share of each signal's range (of at least 1 in its unit)."""
    shares = [
        np.abs(found[name] - reference[name]).max() / max(np.ptp(reference[name]), 1.0) for name in names
    ]
    return float(max(shares))


@pytest.mark.parametrize(
    ("stem", "name", "method"),
    few([(*case, method) for case, method in zip(CASES, itertools.cycle(["Radau", "BDF"]), strict=False)], 8),
)
def test_another_method_gives_the_same_motion(stem: str, name: str | None, method: str) -> None:
    """To 0.1 % of the range in what moves; loads to 1 %, for in the instant in which a tyre or a seal lets go
    a difference of some microseconds counts.
    """
    usual, other = series(stem, name), series(stem, name, method=method)
    assert error(usual, other, MOVES) == pytest.approx(0.0, abs=1e-3)
    assert error(usual, other, LOADS) == pytest.approx(0.0, abs=1e-2)


@functools.cache
def finest(stem: str) -> Any:
    return series(stem, None, method="Radau", relative=1e-11, absolute=1e-11)


@pytest.mark.parametrize("method", ["compiled", "LSODA", pytest.param("Radau", marks=pytest.mark.thorough)])
@pytest.mark.parametrize("stem", few(["trail_launch", "punchy_launch", "slow_creep"], 2))
def test_the_error_falls_with_the_tolerance(stem: str, method: str) -> None:
    """Against a run a thousand times finer than the last."""
    errors = [
        error(series(stem, None, method=method, relative=tolerance, absolute=tolerance), finest(stem))
        for tolerance in (1e-4, 1e-6, 1e-8)
    ]
    assert errors[0] > errors[1] > errors[2]
    assert errors[2] < 1e-2 * errors[0]
    assert errors[1] == pytest.approx(0.0, abs=5e-4)


@pytest.mark.parametrize("stem", ["punchy_launch", "steep_creep"])
def test_no_figure_depends_on_the_output_rate(stem: str) -> None:
    scenario = simcore.load_scenario(FOLDER / f"{stem}.toml").changed(SPAN)
    coarse, fine = (simcore.simulate(scenario.changed({"output.rate": rate})).summary for rate in (20, 3000))
    assert coarse.keys() == fine.keys()
    for key, value in coarse.items():
        if isinstance(value, float) and not key.endswith(("_residual_ratio", "_residual_pct", "_drift_mm")):
            assert fine[key] == pytest.approx(value, rel=1e-9, abs=1e-9), key
        elif isinstance(value, str):
            assert fine[key] == value
