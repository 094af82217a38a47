"""Rigs drawn within their errors."""

import tomllib
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from scipy import stats

from simcore.errors import InputError
from simcore.files import load_scenario
from simcore.files.reading import scenario_of
from simcore.files.scenario import Scenario
from simcore.files.spread import value_at
from simcore.files.steps import steps
from simcore.studies.drawn import Draws, draws_of, inputs_of
from simcore.studies.key_names import path_of

SHIPPED = Path(__file__).parents[3] / "scenarios"


def said(stem: str, **spread: Any) -> Scenario:
    table = tomllib.loads((SHIPPED / f"{stem}.toml").read_text(encoding="utf-8"))
    return scenario_of(table | {"spread": spread}, SHIPPED / f"{stem}.toml")


def values(draws: Draws, path: str, case: str | None = None) -> np.ndarray:
    name = case or next(iter(draws.cases))
    return np.array([draws.settings(k, name)[path] for k in range(draws.count)])


STATED = {
    "chassis.mass": "10 g",
    "rear.shock.springs.0.rate": "10 %",
    "rear.tyre.peak_grip": {"from": 0.9, "to": 1.3},
}


def test_draws_have_the_stated_spread() -> None:
    draws = draws_of(said("weight", **STATED), 1024, only_stated=True)
    assert len(draws.inputs) == 3 and all(one.stated for one in draws.inputs)
    mass, rate, grip = (values(draws, path) for path in STATED)
    own = draws.cases["as given"].rig
    assert np.mean(mass) == pytest.approx(1e3 * own.chassis.mass, abs=0.05)
    assert np.mean(np.abs(mass - 1e3 * own.chassis.mass) < 10.0) == pytest.approx(0.957, abs=0.01)  # 19 of 20
    assert np.std(rate) / np.mean(rate) == pytest.approx(0.05 * stats.truncnorm.std(-3, 3), rel=0.02)
    assert (grip.min(), grip.max()) == pytest.approx((0.9, 1.3), abs=0.01)
    assert stats.kstest(grip, stats.uniform(0.9, 0.4).cdf).pvalue > 0.5
    assert abs(stats.spearmanr(mass, grip).statistic) < 0.05


def test_every_case_is_off_by_the_same() -> None:
    draws = draws_of(load_scenario(SHIPPED / "weight.toml"), 8)
    base = next(iter(draws.cases))
    for k in range(draws.count):
        own, drawn = draws.cases[base], draws.case(k, base)
        for name, case in draws.cases.items():
            one, other, made = draws.settings(k, base), draws.settings(k, name), draws.case(k, name)
            for path in one.keys() & other.keys():
                place = steps(path, Scenario)
                quantity = next(i.quantity for i in draws.inputs if i.place == place)
                shift = value_at(made, place) - value_at(case, place)
                same = value_at(drawn, place) - value_at(own, place)
                stood = value_at(case, place) == value_at(own, place)
                if stood or quantity.unit == "mm":
                    assert shift == pytest.approx(same, abs=1e-9), path


def test_a_longer_series_begins_with_the_shorter_and_a_seed_gives_another() -> None:
    scenario = load_scenario(SHIPPED / "weight.toml")
    short, long, other = draws_of(scenario, 5), draws_of(scenario, 40), draws_of(scenario, 5, seed=21)
    assert np.array_equal(short.points, long.points[:5])
    assert not np.array_equal(short.points, other.points)


def test_the_scenario_goes_before_its_rig_and_both_before_what_is_usual() -> None:
    plain = load_scenario(SHIPPED / "weight.toml")
    usual = {one.name: one for one in inputs_of(plain)}
    stated = {one.name: one for one in inputs_of(said("weight", **STATED))}
    assert usual.keys() == stated.keys() and not any(one.stated for one in usual.values())
    assert sum(one.stated for one in stated.values()) == 3
    assert {"ground slope", "rear tyre radius", "chassis mass"} <= usual.keys()
    own = tomllib.loads(plain.to_toml())
    own["rig"]["spread"] = {"chassis.mass": "50 g", "front.tyre.radius": "2 mm"}
    both = scenario_of(own | {"spread": {"chassis.mass": "10 g"}}, SHIPPED / "weight.toml")
    found = {one.name: one.off.error for one in inputs_of(both, only_stated=True)}
    assert found == pytest.approx({"chassis mass": 0.010, "front tyre radius": 0.002})


def test_values_stay_within_the_ends_of_their_keys() -> None:
    draws = draws_of(
        said("weight", **{"rear.shock.friction.breakaway": "5 N", "rear.tyre.rolling_resistance": "60 %"}),
        128,
        only_stated=True,
    )
    assert values(draws, "rear.shock.friction.breakaway").min() == 0.0
    assert values(draws, "rear.tyre.rolling_resistance").min() == 0.0
    of_its_error = {one.found_with: path_of(one.place) for one in draws.inputs}
    for error, count in draws.at_ends.items():
        assert 0 < count == np.isin(values(draws, of_its_error[error]), (0.0, 30.0)).sum() < draws.count
    built = sum(1 for k in range(draws.count) if _can_be(draws, k))
    assert 0 < built < draws.count  # sliding friction may be more than what breaks away: that is no rig


def test_a_sliding_grip_that_would_exceed_the_peak_is_counted() -> None:
    own = load_scenario(SHIPPED / "weight.toml").rig.rear.tyre
    over = {
        "rear.tyre.sliding_grip": {"from": own.sliding_grip, "to": 2.0 * own.peak_grip - own.sliding_grip}
    }
    draws = draws_of(said("weight", **over), 64, only_stated=True)
    at_the_peak = np.isclose(values(draws, "rear.tyre.sliding_grip"), own.peak_grip)
    assert list(draws.at_ends.values()) == [at_the_peak.sum()] == [32]


def _can_be(draws: Draws, k: int) -> bool:
    try:
        draws.case(k, next(iter(draws.cases)))
    except InputError:
        return False
    return True


def test_what_is_found_together_is_off_together() -> None:
    draws = draws_of(load_scenario(SHIPPED / "weight.toml"), 32)
    for one, other in (
        ("rear.tyre.peak_grip", "front.tyre.sliding_grip"),
        ("rear.shock.damper.compression", "rear.shock.damper.rebound"),
    ):
        assert abs(stats.spearmanr(values(draws, one), values(draws, other)).statistic) > 0.999
    free = stats.spearmanr(
        values(draws, "rear.shock.damper.rebound"), values(draws, "front.shock.damper.rebound")
    )
    assert abs(free.statistic) < 0.6


@pytest.mark.parametrize("stem", ["launch_vs_creep", "ledge", "trail_launch", "steep_creep", "front_springs"])
def test_usual_errors_make_rigs_that_can_be_built(stem: str) -> None:
    draws = draws_of(load_scenario(SHIPPED / f"{stem}.toml"), 16)
    assert all(_can_be(draws, k) for k in range(draws.count))


def test_no_tyre_of_a_draw_grips_better_sliding_than_at_its_peak() -> None:
    """A guess of the peak reaches below the sliding grip that the file states."""
    low = said("punchy_launch").rig.rear.tyre.sliding_grip
    guess = {"rear.tyre.peak_grip": {"from": 0.8 * low, "to": 1.1 * low}}
    draws = draws_of(said("punchy_launch", **guess), 32, only_stated=True)
    tyres = [draws.case(k, next(iter(draws.cases))).rig.rear.tyre for k in range(32)]
    peaks = [tyre.peak_grip for tyre in tyres]
    assert min(peaks) < 0.85 * low and max(peaks) > 1.05 * low
    assert all(tyre.sliding_grip == min(low, tyre.peak_grip) for tyre in tyres)
