"""The compiled integration and SciPy's give the same answers, on every shipped scenario and on random rigs.

Witness: SciPy's LSODA, and the same at a tolerance a hundred times finer where a run is so touchy that LSODA
at the usual one does not agree with itself.
"""

from pathlib import Path

import numpy as np
import numpy.typing as npt
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from strategies import SLOW
from test_accounts_close import KINDS, any_cases

import simcore
from simcore.errors import InputError
from simcore.files import scenario_of
from simcore.files.scenario import Scenario
from simcore.results.catalogue import SWINGS
from simcore.results.metrics import STATE_SHARES
from simcore.rig.model import build
from simcore.solve.integrate import integrate
from simcore.solve.settle import settle
from simcore.solve.trace import Trace

FOLDER = Path(__file__).parents[2] / "scenarios"
CASES = [
    (path.stem, name)
    for path in sorted(FOLDER.glob("*.toml"))
    for name in (None, *simcore.load_scenario(path).variants)
]
CLOSE = 2e-3  # share of a metric's size, or of a signal's range
RESIDUALS = ("_residual_ratio", "_residual_pct", "drift_mm")
FINE = {"solver.relative": 1e-9, "solver.absolute": 1e-9}
REFERENCE = {"solver.method": "LSODA"}


@pytest.mark.parametrize(
    ("stem", "name"),
    [pytest.param(*case, marks=() if case[1] is None else pytest.mark.thorough) for case in CASES],
)
def test_every_metric_of_shipped_scenarios_is_the_same(stem: str, name: str | None) -> None:
    """Within 0.2 %, or within a floor: half a thousandth of its unit (shares of the run in a state count
    samples of 2 ms), and half of what still swings.
    """
    scenario = simcore.load_scenario(FOLDER / f"{stem}.toml")
    scenario = (scenario if name is None else scenario.variant(name)).changed({"without_support": False})
    found = simcore.simulate(scenario).summary
    for key, value in simcore.simulate(scenario.changed(REFERENCE)).summary.items():
        if value is None or isinstance(value, str):
            assert found[key] == value, key
        elif not key.endswith(RESIDUALS):
            floor = (0.3 if key in STATE_SHARES else 5e-4) + 0.5 * found.get(SWINGS.get(key, ""), 0.0)
            assert found[key] == pytest.approx(value, rel=CLOSE, abs=floor), key


def signals(trace: Trace) -> npt.NDArray[np.float64]:
    """Pitch (rad) and both shocks' travel (m), (n, 3)."""
    travel = trace.ledgers["axle"]["shock"]["travel"]
    return np.column_stack([trace.states["pose"]["angle"][:, 0], travel])


def apart(one: Trace, other: Trace) -> npt.NDArray[np.float64]:
    """Largest difference of each signal, per its range (of at least 0.5 deg and 1 mm), (3,)."""
    last = min(one.times[-1], other.times[-1])
    first, second = (signals(trace.rows(trace.watched & (trace.times < last))) for trace in (one, other))
    n = min(len(first), len(second))
    span = np.maximum(np.ptp(second, axis=0), [np.radians(0.5), 1e-3, 1e-3])
    return np.asarray(np.abs(first[:n] - second[:n]).max(axis=0) / span)


def check(scenario: Scenario) -> None:
    """Same ending at the same time, same motion; as near as the reference is to itself."""
    model = build(scenario)
    start = settle(scenario, model)
    compiled, reference = (
        integrate(scenario.changed({"solver.method": method}), model, start)
        for method in ("compiled", "LSODA")
    )
    far = apart(compiled, reference)
    late = abs(compiled.times[-1] - reference.times[-1])
    if far.max() < CLOSE and late < 1e-3 and compiled.outcome is reference.outcome:
        return
    fine = integrate(scenario.changed(REFERENCE | FINE), model, start)
    assert (apart(compiled, fine) < np.maximum(CLOSE, 3.0 * apart(reference, fine))).all()
    assert abs(compiled.times[-1] - fine.times[-1]) < max(
        1e-3, 3.0 * abs(reference.times[-1] - fine.times[-1])
    )
    assert compiled.outcome in (fine.outcome, reference.outcome)


def random_rigs(count: int) -> int:
    """Hold so many random rigs to the reference; how many of them ran."""
    ran = 0

    @settings(max_examples=count, deadline=None, derandomize=True, database=None, suppress_health_check=SLOW)
    @given(st.sampled_from(KINDS).flatmap(any_cases))
    def look(raw: dict) -> None:
        nonlocal ran
        try:
            check(scenario_of({key: value for key, value in raw.items() if key != "solver"}, "drawn.toml"))
        except InputError:
            return
        ran += 1

    look()
    return ran


def test_random_rigs_move_the_same_way() -> None:
    assert random_rigs(15) > 5


@pytest.mark.thorough
def test_many_random_rigs_move_the_same_way() -> None:
    assert random_rigs(700) > 500


@pytest.mark.parametrize("end", [{"distance": 200}, {"when": ["front_lifts"]}])
def test_endings_fall_on_the_same_instant(end: dict) -> None:
    """To ten microseconds, of a steep punch and of a distance asked for."""
    scenario = simcore.load_scenario(FOLDER / "punchy_launch.toml")
    scenario = scenario.changed(
        {f"end.{key}": value for key, value in end.items()} | {"driver.torque": [[0.2, 0], [0.25, 150]]}
    )
    traces = [
        simcore.simulate(scenario.changed({"solver.method": way})).trace for way in ("compiled", "LSODA")
    ]
    assert traces[0].outcome is traces[1].outcome
    assert traces[0].times[-1] == pytest.approx(traces[1].times[-1], abs=1e-5)
    assert traces[0].times[-1] < scenario.end.duration
