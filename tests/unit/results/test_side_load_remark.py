"""When a remark says what the side view leaves out of a difference in load: from summaries made by hand."""

from pathlib import Path
from typing import Any

import pytest

from simcore.files import scenario_of
from simcore.results.headlines.side_load import LOADS, metrics_spoken_of, side_load_remark
from simcore.standing.at_rest import HELD

SCENARIOS = Path(__file__).parents[3] / "scenarios"
GRAM = 9.80665e-3  # N, standard gravity
FRONT, REAR, SHIFT = "front_load_mean_N", "rear_load_mean_N", "front_load_cg_shift_g"


def case(side: float | None, **metrics: Any) -> dict[str, Any]:
    """Summary of a case that did its job; `side` in g."""
    return {"job": "DONE", "side_load_mean_N": None if side is None else side * GRAM} | metrics


def pair(apart: float, side: float | None = 52.0, **second: Any) -> dict[str, dict[str, Any]]:
    """Two cases whose front load is some grams apart; the second moves a little less from side to side."""
    less = None if side is None else side - 10.0
    return {
        "one": case(side, **{FRONT: 900.0 * GRAM, SHIFT: -10.0, "pitch_mean_deg": 1.0}),
        "other": case(less, **{FRONT: (900.0 + apart) * GRAM, SHIFT: -10.0 + apart, "pitch_mean_deg": 2.0})
        | second,
    }


def test_remark_names_the_larger_side_load_and_the_difference_that_is_smaller() -> None:
    said = side_load_remark(pair(30.0), [FRONT, "pitch_mean_deg"])
    assert said == (
        "Not in this side view: shaft torque moves up to 52 g from side to side on each axle, "
        "more than the difference in mean front load."
    )


@pytest.mark.parametrize("key", [FRONT, SHIFT])
@pytest.mark.parametrize(("apart", "said"), [(51.0, True), (53.0, False), (-30.0, True), (0.5, False)])
def test_only_of_visible_differences_that_are_smaller(apart: float, said: bool, key: str) -> None:
    """Grams and newtons alike; half a gram is too little to be seen."""
    assert bool(side_load_remark(pair(apart), [key])) is said


def test_two_loads_are_named_and_more_are_loads() -> None:
    cases = pair(30.0)
    for k, name in enumerate(cases):
        cases[name] |= {REAR: (800.0 + 20.0 * k) * GRAM, "rear_load_low_N": (700.0 + 20.0 * k) * GRAM}
    assert side_load_remark(cases, [FRONT, REAR]).endswith(
        "difference in mean front load and mean rear load."
    )
    assert side_load_remark(cases, [FRONT, REAR, "rear_load_low_N"]).endswith("difference in load.")
    assert side_load_remark(cases, [FRONT, FRONT]).endswith("difference in mean front load.")


@pytest.mark.parametrize(
    ("cases", "keys"),
    [
        (pair(30.0, side=None), [FRONT]),
        (pair(30.0), ["pitch_mean_deg", "rear_thrust_mean_N", "side_load_mean_N"]),
        (pair(30.0), []),
        (pair(30.0, job="NOT_DONE"), [FRONT]),
        ({}, [FRONT]),
        ({"one": case(52.0, **{FRONT: None}), "other": case(52.0)}, [FRONT]),
    ],
    ids=["not stated", "no load", "nothing told", "one alone did its job", "no case", "no load known"],
)
def test_no_remark(cases: dict[str, dict[str, Any]], keys: list[str]) -> None:
    assert side_load_remark(cases, keys) == ""


def test_loads_are_those_of_tyres() -> None:
    axles = {f"{axle}_load_{name}_N" for axle in ("rear", "front") for name in ("mean", "low")}
    assert set(LOADS) == axles | {SHIFT, "front_load_cg_shift_peak_g", "support_front_load_g"}


def test_metrics_of_a_conclusion_are_what_it_shows_and_claims() -> None:
    table: dict[str, Any] = {"title": "Which?", "rig": "rigs/gully.toml", "driver": HELD, "case": "one"}
    table["variants"] = {"other": {"driveline.overdrive": 0}}
    table["conclusion"] = {"shown": [REAR], "claims": [["one", FRONT, "above", "other", 0.1]]}
    conclusion = scenario_of(table, SCENARIOS / "drawn.toml").conclusion
    assert metrics_spoken_of(conclusion) == [REAR, FRONT]
