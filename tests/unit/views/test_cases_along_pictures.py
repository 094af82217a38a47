"""Cases over one axis: a line a case, broken where it does not do its job, and each less the first."""

import math
from pathlib import Path
from typing import Any

import numpy as np
import pandas as pd
import pytest
from matplotlib.axes import Axes
from matplotlib.colors import to_hex
from matplotlib.figure import Figure
from results_to_show import compared, result_of, swept

import simcore
from simcore.results.quantities import Label
from simcore.views.catalogue import pictures_of
from simcore.views.pictures.cases_along import case_curves, case_differences
from simcore.views.pictures.style import case_look

SLOPE, LABEL, SEEN = "ground.slope", Label("ground slope", "deg"), {"deg": 0.25, "mm": 0.5}
SLOPES, NEWTONS = [10.0, 20.0, 30.0], 9.80665e-3  # N of a gram
LOADS = {"as given": [500.0, 400.0, 300.0], "lower": [510.0, 430.0, 350.0], "back": [450.0, 340.0, 200.0]}
PITCH = {"as given": [1.0, 2.0, 3.0], "lower": [1.1, 1.5, 2.0], "back": [1.0, 3.0, 5.0]}
BOTH = ["front_load_mean_N", "pitch_mean_deg"]


def table(slopes: list[Any] = SLOPES) -> pd.DataFrame:
    rows = [
        {"case": name, SLOPE: slope, BOTH[0]: NEWTONS * load, BOTH[1]: pitch}
        for name in LOADS
        for slope, load, pitch in zip(slopes, LOADS[name], PITCH[name], strict=True)
    ]
    return pd.DataFrame(rows).assign(job="DONE", ended="TIME", audit="SOUND", failed="")


def broken() -> pd.DataFrame:
    """The second case fails on the last slope, the third cannot start there."""
    runs = table()
    runs.loc[5, ["job", "pitch_mean_deg"]] = "NOT_DONE", 90.0
    runs.loc[8, ["job", "failed", *BOTH]] = "NOT_DONE", "CANNOT_STAND", math.nan, math.nan
    return runs


def lines(panel: Axes) -> dict[str, tuple[list[float], list[float]]]:
    """Colour to the points of each case's line."""
    return {
        str(to_hex(line.get_color())).upper(): (list(line.get_xdata()), list(line.get_ydata()))
        for line in panel.lines
        if len(line.get_xdata()) == len(SLOPES)
    }


def texts(figure: Figure) -> str:
    """All words of a figure."""
    return " ".join(
        text.get_text().replace("\n", " ")
        for text in [*figure.texts, *(t for a in figure.axes for t in a.texts)]
    )


def test_a_panel_a_metric_and_a_line_a_case_in_grams() -> None:
    figure = case_curves(table(), SLOPE, LABEL, BOTH, "the answer", "the question")
    load, pitch = figure.axes
    assert (load.get_ylabel(), pitch.get_ylabel()) == ("mean front load, g", "mean pitch, deg")
    assert pitch.get_xlabel() == "ground slope, deg"
    for k, name in enumerate(LOADS):
        x, y = lines(load)[case_look(k)[0]]
        assert x == SLOPES
        np.testing.assert_allclose(y, LOADS[name])
        assert lines(pitch)[case_look(k)[0]][1] == PITCH[name]
        assert name in texts(figure)
    assert "the answer" in texts(figure) and "Below" not in texts(figure)
    assert len({str(line._dash_pattern) for line in load.lines[:3]}) == 3  # told apart without colour


def test_lines_break_where_the_job_is_not_done_and_crosses_say_why() -> None:
    figure = case_curves(broken(), SLOPE, LABEL, BOTH, "a", "q")
    _, pitch, strip = figure.axes
    assert lines(pitch)[case_look(0)[0]][1] == [1.0, 2.0, 3.0]
    for k, before in ((1, [1.1, 1.5]), (2, [1.0, 3.0])):
        y = lines(pitch)[case_look(k)[0]][1]
        assert y[:2] == before and math.isnan(y[2])
    assert pitch.get_ylim()[1] < 10.0  # a pitch of 90 deg of a lost run is not drawn
    marks = {
        (str(to_hex(line.get_color())).upper(), line.get_marker(), float(x))
        for line in strip.lines
        for x in line.get_xdata()
    }
    assert marks == {(case_look(1)[0], "x", 30.0), (case_look(2)[0], "X", 30.0)}
    assert {text.get_text() for text in strip.texts} == {"lower", "back"}
    assert "thick cross: no result; thin cross: job not done" in texts(figure)


def test_differences_are_to_the_first_case_at_the_same_slope() -> None:
    figure = case_differences(broken(), SLOPE, LABEL, BOTH, SEEN, "a", "q")
    load, pitch, _ = figure.axes
    drawn = lines(load)
    assert set(drawn) == {case_look(1)[0], case_look(2)[0]}  # the colours that they have as lines
    np.testing.assert_allclose(drawn[case_look(1)[0]][1], [10.0, 30.0, math.nan], atol=1e-9)
    np.testing.assert_allclose(drawn[case_look(2)[0]][1], [-50.0, -60.0, math.nan], atol=1e-9)
    zero = [line for line in pitch.lines if list(line.get_ydata()) == [0.0, 0.0]]
    assert len(zero) == 1
    (band,) = (patch for patch in pitch.patches)
    assert sorted({float(y) for _, y in band.get_corners()}) == [-0.25, 0.25]
    assert 'difference to "as given"' in texts(figure)


def test_no_difference_to_a_base_that_failed() -> None:
    runs = table()
    runs.loc[1, "job"] = "NOT_DONE"
    y = lines(case_differences(runs, SLOPE, LABEL, BOTH, SEEN, "a", "q").axes[1])[case_look(2)[0]][1]
    assert y[0] == 0.0 and math.isnan(y[1]) and y[2] == pytest.approx(2.0)


def test_a_case_that_never_does_its_job_has_its_crosses_and_its_name() -> None:
    runs = table()
    runs.loc[runs["case"] == "back", "job"] = "NOT_DONE"
    figure = case_curves(runs, SLOPE, LABEL, BOTH, "a", "q")
    assert set(lines(figure.axes[0])) == {case_look(0)[0], case_look(1)[0]}
    assert [text.get_text() for text in figure.axes[-1].texts] == ["back"]
    runs["job"] = "NOT_DONE"
    nothing = case_curves(runs, SLOPE, LABEL, BOTH, "a", "q")
    assert len(nothing.axes[0].get_yticks()) == 0  # no made-up scale


def test_words_under_the_axis() -> None:
    figure = case_curves(table(["all", "rear", "front"]), SLOPE, Label("drive"), BOTH, "a", "q")
    assert [tick.get_text() for tick in figure.axes[-1].get_xticklabels()] == ["all", "rear", "front"]


def test_a_sweep_of_cases_has_both_pictures_and_no_others(tmp_path: Path) -> None:
    result: Any = result_of("cases along an axis")
    assert list(pictures_of(result)) == ["outcomes", "curve_differences"]
    assert list(pictures_of(result_of("one axis"))) == ["outcomes"]
    written = {path.name for path in simcore.export(result, tmp_path)}
    assert {"outcomes.png", "curve_differences.png"} <= written
    assert result.headline in " ".join(texts(simcore.draw(result)).replace("\N{NO-BREAK SPACE}", " ").split())


def test_further_axes_stand_at_their_first_values() -> None:
    result = swept(compared(2).scenario, ground__slope=[10, 20], ground__grip=[100, 90])
    said = texts(simcore.draw(result, "curve_differences"))
    assert "At ground grip 100" in said
    assert result.headline.endswith("(at ground grip 100)")
    assert set(result.drawn["ground.grip"]) == {100}
