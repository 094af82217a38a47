"""Pictures of the accounts: band, load account, pitch against front load, with and without."""

from pathlib import Path
from typing import Any

import numpy as np
import pandas as pd
import pytest
from matplotlib.axes import Axes
from matplotlib.colors import to_hex
from matplotlib.figure import Figure

import simcore
from simcore.accounts.reasons import Reason
from simcore.results.headlines.loads import shares
from simcore.results.run import Run
from simcore.studies.compare import compare
from simcore.views.pictures.bands import FILLS, state_band
from simcore.views.pictures.overlays import of_support

SCENARIOS = Path(__file__).parents[3] / "scenarios"


@pytest.fixture(scope="module")
def run() -> Run:
    scenario = simcore.load_scenario(SCENARIOS / "punchy_launch.toml").changed({"end.duration": 1.5})
    return simcore.simulate(scenario, without_support=True)


def words(figure: Figure) -> str:
    return " ".join(text.get_text() for text in [*figure.texts, *(t for a in figure.axes for t in a.texts)])


def test_band_paints_each_state_where_it_stands() -> None:
    times = np.linspace(0.0, 1.0, 11)
    rear = [Reason.HELD.name] * 6 + [Reason.SEEN.name] * 5
    front = [Reason.ON_A_STOP.name] + [Reason.REVERSED.name] * 10
    table = pd.DataFrame({"time_s": times, "rear_support_state": rear, "front_support_state": front})
    figure = Figure()
    axis = figure.add_subplot()
    state_band(axis, table)
    found = {}
    for bars in axis.collections:
        box = bars.get_paths()[0].get_extents()
        found[(round(box.x0, 6), round(box.x1, 6), box.y0 > 1.0)] = to_hex(bars.get_facecolor()[0]).upper()
    assert found == {
        (0.0, 0.6, True): FILLS[Reason.HELD][0],
        (0.6, 1.0, True): FILLS[Reason.SEEN][0],
        (0.0, 0.1, False): FILLS[Reason.ON_A_STOP][0],
        (0.1, 1.0, False): FILLS[Reason.REVERSED][0],
    }
    written = {text.get_text() for text in axis.texts}
    assert written == {Reason.HELD.value, Reason.SEEN.value, Reason.REVERSED.value}
    assert [text.get_text() for text in axis.get_legend().get_texts()] == [Reason.ON_A_STOP.value]


def test_every_state_has_a_look_of_its_own() -> None:
    assert set(FILLS) == set(Reason)
    assert len(set(FILLS.values())) == len(Reason)


def curves(axis: Axes) -> list[Any]:
    """Values of the lines that are drawn over time."""
    return [line.get_ydata() for line in axis.lines if len(line.get_xdata()) > 2]


def test_load_account_draws_the_change_and_its_parts(run: Run) -> None:
    figure = simcore.draw(run, "load_account")
    last = max(line.get_xdata()[-1] for line in figure.axes[0].lines if len(line.get_xdata()) > 2)
    table = run.series[run.series["time_s"] <= last]
    assert len(table) > 100
    for axis, axle in zip(figure.axes, ("rear", "front"), strict=False):
        data = curves(axis)
        np.testing.assert_allclose(data[0], table[f"{axle}_demand_N"] / 9.80665e-3, rtol=1e-12)
        parts = np.sum(data[1:4], axis=0)  # support, shocks, axle mass
        np.testing.assert_allclose(parts, data[0], atol=1e-10)
        assert "g" in axis.get_ylabel()
    budget = figure.axes[2]
    whole = curves(budget)[0]
    np.testing.assert_allclose(whole, (table["front_load_N"] - table["budget_level_N"]) / 9.80665 * 1000.0)
    assert "g" in budget.get_ylabel() and budget.get_xlabel().startswith("time, s")
    said = words(figure)
    assert "links and springs" in said and "links hold" in said and "moves the shock" in said
    assert not any("%" in text.get_text() for axis in figure.axes for text in axis.texts)


def accounted(change: float, links: float, shock: float) -> str:
    """What is said of an axle whose load changes by so many grams from the first instant to the last."""
    parts = {"demand": change, "support": links, "demand_on_shock": shock}
    table = pd.DataFrame({f"rear_{name}_N": [part * 9.80665e-3] * 3 for name, part in parts.items()})
    return shares(table.assign(time_s=[0.0, 0.4, 1.0]), "rear").words


def test_the_sum_is_said_in_grams_and_what_is_odd_about_it() -> None:
    said = accounted(200.0, 120.0, 100.0)
    assert said == "on average 200 g: links hold 120 g, moves the shock 100 g, axle mass \N{MINUS SIGN}20 g"
    assert "links hold 125 g (more than all)," in accounted(100.0, 125.0, -25.0)
    assert "125 g (more than all), moves the shock 25 g" in accounted(-100.0, -125.0, 25.0)
    assert "30 g (backwards), moves the shock 130 g" in accounted(100.0, -30.0, 130.0)
    assert "(" not in accounted(1.0, 50.0, -49.0)  # hardly a change to have shares of


def test_with_and_without_draws_both_runs(run: Run) -> None:
    figure = simcore.draw(run, "with_and_without")
    assert run.counterfactual is not None
    drawn = [line.get_ydata() for line in figure.axes[1].lines]
    for table in (run.series, run.counterfactual.series):
        assert any(np.array_equal(data, table["rear_travel_mm"]) for data in drawn)
    assert "with squat support" in words(figure).replace("\n", " ")


def test_a_run_without_its_counterfactual_says_how_to_get_one() -> None:
    scenario = simcore.load_scenario(SCENARIOS / "punchy_launch.toml").changed({"end.duration": 0.01})
    with pytest.raises(ValueError, match="without_support=True"):
        of_support(simcore.simulate(scenario))


def test_front_load_figure_starts_at_zero_grams() -> None:
    scenario = simcore.load_scenario(SCENARIOS / "steep_creep.toml")
    result = compare(scenario.changed({"end.duration": 0.4}, keep_variants=True))
    figure = simcore.draw(result, "pitch_and_front_load")
    pitch, load, moved = figure.axes[:3]
    assert load.get_ylim()[0] == 0.0
    base = next(iter(result.runs.values())).series
    np.testing.assert_allclose(curves(load)[0], base["front_load_N"] / 9.80665 * 1000.0)
    assert "deg" in pitch.get_ylabel() and "g" in load.get_ylabel() and "links" in moved.get_ylabel()
