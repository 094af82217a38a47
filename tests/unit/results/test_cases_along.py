"""What several cases do along an axis: sentences from tables whose answers are known by construction."""

import math
from pathlib import Path
from typing import Any

import numpy as np
import pandas as pd
import pytest

import simcore
from simcore.results.headlines.cases_along import Told, by_case, cases_headline, tally_of_cases
from simcore.results.quantities import Label

SLOPE, LABEL = "ground.slope", Label("ground slope", "deg")
SEEN = {"deg": 0.25, "mm": 0.5}
CREEP = simcore.load_scenario(Path(__file__).parents[3] / "scenarios" / "slow_creep.toml")
GRAM = 9.80665e-3  # N
FRONT = "front_load_mean_N"


def table(slopes: list[Any], **cases: list[float]) -> pd.DataFrame:
    """Front loads in grams by case, over slopes; NaN: job not done."""
    rows = [
        {"case": name.replace("_", " "), SLOPE: slope, FRONT: GRAM * value, "job": "NOT_DONE"}
        if math.isnan(value)
        else {"case": name.replace("_", " "), SLOPE: slope, FRONT: GRAM * value, "job": "DONE"}
        for name, values in cases.items()
        for slope, value in zip(slopes, values, strict=True)
    ]
    return pd.DataFrame(rows).assign(ended="TIME", audit="SOUND", failed="")


def said(runs: pd.DataFrame) -> str:
    return cases_headline(runs, SLOPE, LABEL, ["pitch_rise_deg", FRONT], SEEN)


def test_the_case_that_has_most_throughout_and_by_how_much() -> None:
    runs = table([0.0, 10.0, 20.0], as_given=[500, 400, 300], lower=[510, 420, 340], back=[400, 300, 200])
    assert said(runs) == 'Mean front load: most with "lower" throughout, up to 40 g more than "as given"'
    first = table([0.0, 10.0, 20.0], as_given=[500, 400, 300], lower=[490, 380, 260])
    assert said(first) == 'Mean front load: most with "as given" throughout'


def test_where_two_cases_change_their_order() -> None:
    """Forward leads by 20 g at 30 deg, lower by 20 g at 40: even at 35, straight between."""
    runs = table(
        [10.0, 20.0, 30.0, 40.0, 50.0],
        as_given=[600, 500, 400, 300, 200],
        lower=[605, 510, 420, 340, 250],
        forward=[650, 540, 440, 320, 210],
    )
    text = (
        'Mean front load: most with "forward" at 3 of 5 values of ground slope, up to 50 g more than '
        '"as given"; "lower" has more than "forward" from about 35 deg on'
    )
    assert said(runs) == text
    assert said(runs.iloc[[*range(5), *range(9, 4, -1), *range(10, 15)]]) == text  # in whatever order


def test_of_many_changes_of_order_two_are_told() -> None:
    runs = table([0.0, 10.0, 20.0, 30.0], a=[500] * 4, b=[450, 550, 450, 550])
    assert said(runs).endswith(
        '; "b" has more than "a" from about 5 deg on; "a" has more than "b" from about 15 deg on; '
        "the order of two changes once more"
    )


def test_without_a_leader_the_case_farthest_from_the_base_is_told() -> None:
    runs = table([0.0, 10.0], as_given=[500, 400], lower=[502, 402], back=[390, 300])
    assert said(runs) == (
        "Mean front load: no case is visibly ahead over most of ground slope; "
        'farthest from "as given" is "back", 110 g less at 0 deg'
    )


def test_cases_that_nobody_tells_apart() -> None:
    same = table([0.0, 10.0], as_given=[500, 400], lower=[502, 402])  # 5 g are too little to be looked for
    assert said(same) == "No visible difference between the cases"
    alone = table([0.0, 10.0], as_given=[500, math.nan], lower=[math.nan, 402])
    assert said(alone) == "No two cases can be compared"


def test_a_crossing_is_not_made_of_runs_that_are_missing() -> None:
    runs = table([0.0, 10.0, 20.0], as_given=[500, math.nan, 300], lower=[450, 400, 350])
    assert "has more than" not in said(runs)
    nobody = table([0.0, 10.0, 20.0], as_given=[500, math.nan, 300], lower=[450, math.nan, 350])
    assert "has more than" not in said(nobody)


def test_words_have_no_order_to_change() -> None:
    runs = table(["all", "rear"], as_given=[500, 400], lower=[450, 450])
    assert said(runs) == (
        "Mean front load: no case is visibly ahead over most of ground slope; "
        'farthest from "as given" is "lower", 50 g less with all'
    )


def test_cases_stand_side_by_side_along_the_axis() -> None:
    runs = table([20.0, 10.0], b=[1, 2], a=[3, 4])
    found = by_case(runs, SLOPE, runs[FRONT] / GRAM)
    assert (list(found.columns), list(found.index)) == (["b", "a"], [10.0, 20.0])
    np.testing.assert_allclose(found.to_numpy(), [[2.0, 4.0], [1.0, 3.0]])


DONE = {
    "job": "DONE",
    "job_task": "GO_ON",
    "job_place": "",
    "job_ahead": "",
    "job_cause": "",
    "audit": "SOUND",
}
DONE |= {"ended": "TIME", "distance_mm": 200.0, "time_s": 2.0, "height_gained_mm": 80.0, "job_spinning": ""}


def runs(done: str, failure: str = "SPINS") -> list[Told]:
    """Runs at 0, 10, 20 ... deg, a letter each: y for a job done."""
    lost = DONE | {"job": "NOT_DONE", "job_failure": failure, "job_spinning": "REAR"}
    return [Told(10.0 * k, DONE if letter == "y" else lost, CREEP) for k, letter in enumerate(done)]


@pytest.mark.parametrize(
    ("cases", "start"),
    [
        ({"a": "yyyy", "b": "yyyy"}, "Both cases do their job throughout"),
        ({"a": "yyny", "b": "yyyy"}, 'Job done in 3 of 4 runs ("a"), throughout ("b"); elsewhere it '),
        (
            {"a": "yynn", "b": "yynn", "c": "yynn"},
            "All 3 cases do their job up to ground slope 10 deg; beyond ",
        ),
        (
            {"a": "yynn", "b": "yyyn", "c": "yynn"},
            'Job done up to ground slope 10 deg ("a" and "c"), up to 20 deg ("b"); beyond that it ',
        ),
        ({"a": "nnyy", "b": "nyyy"}, 'Job done from ground slope 20 deg on ("a"), from 10 deg on ("b")'),
        ({"a": "nn", "b": "nn"}, "No case does its job: "),
        ({"a": "", "b": ""}, ""),
    ],
)
def test_up_to_where_each_case_does_its_job(cases: dict[str, str], start: str) -> None:
    text = tally_of_cases({name: runs(done) for name, done in cases.items()}, LABEL)
    assert text.startswith(start) and bool(text) is bool(start)


def test_a_reason_is_told_only_where_it_is_that_of_all() -> None:
    one = tally_of_cases({"a": runs("ynn"), "b": runs("yyn")}, LABEL)
    assert one.endswith("; beyond that it stops: rear tyres spin")
    two = tally_of_cases({"a": runs("ynn"), "b": runs("yyn", "ROLLS_BACK")}, LABEL)
    assert two.endswith('up to 10 deg ("b")')
