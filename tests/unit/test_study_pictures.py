"""Curves, maps, bars and loops: axes, units, words, and the data in them; looks and formats."""

import math
from pathlib import Path
from typing import Any

import numpy as np
import pandas as pd
import pytest
from matplotlib.figure import Figure

import simcore
from simcore.pictures.chosen import default_shown, in_panels, value_in_words, words
from simcore.pictures.differences import bars, bars_finding
from simcore.pictures.loops import kept_work, loops_finding, shock_loops
from simcore.pictures.maps import cells, heat_maps, maps_finding
from simcore.pictures.outcomes import curves, outcomes_finding
from simcore.pictures.prints import FORMATS, LOOKS, Prints, save_result

SCENARIOS = Path(__file__).parents[2] / "scenarios"
SEEN = {"deg": 0.25, "mm": 0.5}
AXIS = "driveline.overdrive"


def table(values: list[Any], **columns: list[float]) -> pd.DataFrame:
    count = len(values)
    rows: dict[str, Any] = {AXIS: values, "ended": ["the time asked for was over"] * count}
    rows |= {"audit": ["sound"] * count, "failed": [""] * count} | columns
    return pd.DataFrame(rows, index=pd.Index([str(value) for value in values], name="run"))


GROWING = table(
    [0.0, 10.0, 20.0, 30.0],
    rear_squat_mm=[0.0, 2.0, 3.0, 4.2],
    front_lift_mm=[1.0, 1.08, 1.0, 1.05],
    pitch_rise_deg=[0.5, 0.4, 0.5, 0.6],
)


def texts(figure: Figure) -> str:
    """All words of a figure."""
    return " ".join(
        text.get_text().replace("\n", " ")
        for text in [*figure.texts, *(t for a in figure.axes for t in a.texts)]
    )


def test_curves_draw_the_table_with_units_and_names_at_line_ends() -> None:
    shown = ["rear_squat_mm", "front_lift_mm", "pitch_rise_deg"]
    figure = curves(GROWING, AXIS, "overdrive, %", shown, "the answer", "the question")
    travel, pitch = figure.axes
    assert (travel.get_ylabel(), pitch.get_ylabel()) == ("shock travel, mm", "pitch, deg")
    assert pitch.get_xlabel() == "overdrive, %"
    np.testing.assert_array_equal(travel.lines[0].get_xdata(), GROWING[AXIS])
    np.testing.assert_array_equal(travel.lines[0].get_ydata(), GROWING["rear_squat_mm"])
    assert "rear squat" in texts(figure)
    assert "front lift" in texts(figure)
    assert "the answer" in texts(figure)


def test_runs_without_figures_and_early_ends_are_marked() -> None:
    broken = GROWING.copy()
    broken.loc["20.0", ["rear_squat_mm", "front_lift_mm", "pitch_rise_deg"]] = math.nan
    broken.loc["20.0", "failed"] = "too steep"
    broken.loc["30.0", "ended"] = "the rig rolled over"
    figure = curves(broken, AXIS, "overdrive, %", ["rear_squat_mm"], "a", "q")
    said = texts(figure)
    assert "no result" in said
    assert "ended early" in said
    marks = [line.get_xdata()[0] for line in figure.axes[0].lines if line.get_marker() in ("x", "X")]
    assert sorted(marks) == [20.0, 30.0]
    assert "1 of 4 runs could not be done" in outcomes_finding(
        broken, AXIS, "overdrive, %", ["rear_squat_mm"], SEEN
    )


def test_curves_over_words_and_over_nothing() -> None:
    named = table(["b.toml", "a.toml"], rear_squat_mm=[1.0, 2.0])
    figure = curves(named, AXIS, "rig", ["rear_squat_mm"], "a", "q")
    assert [tick.get_text() for tick in figure.axes[0].get_xticklabels()] == ["b.toml", "a.toml"]
    said = outcomes_finding(named, AXIS, "rig", ["rear_squat_mm"], SEEN)
    assert said == "Rear squat: 2.0 mm with a.toml, 1.0 mm with b.toml"
    nothing = table([1.0], rear_squat_mm=[math.nan])
    nothing["failed"] = "no"
    curves(nothing, AXIS, "overdrive, %", ["rear_squat_mm"], "a", "q")
    assert outcomes_finding(nothing, AXIS, "x", ["rear_squat_mm"], SEEN) == "No run could be done"


@pytest.mark.parametrize(
    ("squat", "said"),
    [
        ([0.0, 2.0, 3.0, 4.2], "Rear squat goes from 0.00 mm to 4.2 mm as overdrive goes from 0 % to 30 %"),
        ([0.0, 5.0, 1.0, 0.1], "highest at 10 % (5.0 mm)"),
        ([3.0, 0.5, 2.0, 3.0], "lowest at 10 % (0.50 mm)"),
        ([1.0, 1.1, 1.2, 1.4], "No visible difference over overdrive"),
    ],
)
def test_the_answer_over_an_axis(squat: list[float], said: str) -> None:
    found = outcomes_finding(
        GROWING.assign(rear_squat_mm=squat), AXIS, "overdrive, %", ["rear_squat_mm"], SEEN
    )
    assert said in found


def test_figures_that_change_are_shown() -> None:
    assert default_shown(GROWING) == ["pitch_rise_deg", "rear_squat_mm"]  # the front's lift hardly changes
    still = table([1.0, 2.0], rear_squat_mm=[1.0, 1.0], pitch_rise_deg=[2.0, 2.0])
    assert default_shown(still) == ["pitch_rise_deg", "rear_squat_mm"]
    assert list(in_panels(["rear_thrust_mean_N", "rear_load_low_N", "front_thrust_mean_N"])) == [
        "thrust, N",
        "load, N",
    ]


@pytest.mark.parametrize(
    ("key", "name"),
    [
        ("rear_travel_end_mm", "rear travel at the end"),
        ("front_load_mean_N", "mean front load"),
        ("front_load_cg_shift_g", "front load by CG shift"),
        ("top_speed_m_per_s", "top speed"),
    ],
)
def test_names_of_figures(key: str, name: str) -> None:
    assert words(key) == name


def test_no_minus_before_nothing() -> None:
    assert value_in_words("rear_squat_mm", -0.0001) == "0.00 mm"
    assert value_in_words("pitch_rise_deg", -1.26) == "\N{MINUS SIGN}1.3\N{DEGREE SIGN}"


GRID = pd.DataFrame(
    [(x, y, 10.0 * x + y, "", "sound") for x in (0.0, 1.0, 2.0) for y in (5.0, 6.0, 7.0, 8.0)],
    columns=["a", "b", "rear_squat_mm", "failed", "audit"],
)


def test_maps_put_every_run_in_its_cell() -> None:
    values, across, up = cells(GRID.sample(frac=1.0, random_state=3), ("a", "b"), "rear_squat_mm")
    assert (across, up) == ([0.0, 1.0, 2.0], [5.0, 6.0, 7.0, 8.0])
    np.testing.assert_array_equal(values, np.add.outer([5.0, 6.0, 7.0, 8.0], [0.0, 10.0, 20.0]))
    figure = heat_maps(GRID, ("a", "b"), ("this, mm", "that, deg"), ["rear_squat_mm"], "answer", "question")
    panel = figure.axes[0]
    assert (panel.get_xlabel(), panel.get_ylabel()) == ("this, mm", "that, deg")
    assert panel.get_title(loc="left") == "rear squat, mm"
    assert {"5.0", "28.0"} <= {text.get_text() for text in panel.texts} | {"5.0", "28.0"}
    assert len(panel.texts) == 12
    said = maps_finding(GRID, ("a", "b"), ("this, mm", "that, deg"), ["rear_squat_mm"])
    assert (
        said == "Rear squat: from 5.0 mm at this 0 mm and that 5 deg to 28.0 mm at this 2 mm and that 8 deg"
    )


def test_maps_hatch_what_could_not_be_done() -> None:
    broken = GRID.copy()
    broken.loc[5, "rear_squat_mm"], broken.loc[5, "failed"] = math.nan, "too steep"
    figure = heat_maps(broken, ("a", "b"), ("this", "that"), ["rear_squat_mm"], "a", "q")
    assert [patch.get_hatch() for patch in figure.axes[0].patches] == ["////"]
    assert "1 of 12 runs" in maps_finding(broken, ("a", "b"), ("x", "y"), ["rear_squat_mm"])


CASES = GROWING.set_index(pd.Index(["base", "b", "c", "d"]))


def test_bars_are_differences_to_the_base() -> None:
    figure = bars(CASES, "base", ["rear_squat_mm", "pitch_rise_deg"], SEEN, "answer", "question")
    widths = sorted(bar.get_width() for bar in figure.axes[0].patches[1:])
    assert widths == pytest.approx([2.0, 3.0, 4.2])
    assert "+4.2 mm" in texts(figure)
    said = bars_finding(CASES, "base", ["rear_squat_mm"], SEEN)
    assert said == 'Rear squat is 4.2 mm more with "d" than with "base"'
    assert "No case differs visibly" in bars_finding(CASES, "base", ["pitch_rise_deg"], SEEN)


@pytest.fixture(scope="module")
def punch() -> simcore.Run:
    return simcore.simulate(
        simcore.load_scenario(SCENARIOS / "punchy_launch.toml").changed({"end.duration": 0.8})
    )


def test_loops_draw_force_over_travel(punch: simcore.Run) -> None:
    cases = {"one": punch.series, "two": punch.series}
    figure = shock_loops(cases, loops_finding(cases), "question")
    rear, front = figure.axes
    assert "N" in rear.get_ylabel()
    assert "mm" in front.get_xlabel()
    drawn = [line.get_ydata() for line in rear.lines]
    assert any(np.array_equal(data, punch.series["rear_shock_force_N"]) for data in drawn)
    assert "one" in texts(figure)
    assert "two" in texts(figure)


def test_work_that_shocks_keep_is_what_the_run_lost_in_them(punch: simcore.Run) -> None:
    """Friction and oil never give more than they took; together they are the loop that is drawn."""
    table = punch.series
    work = kept_work(table, "rear")
    assert work["oil"] > 0.0
    spring = float(np.trapezoid(table["rear_spring_N"], table["rear_travel_mm"]))
    whole = float(np.trapezoid(table["rear_shock_force_N"], table["rear_travel_mm"]))
    assert sum(work.values()) == pytest.approx(whole - spring, abs=1e-6)
    assert "Rear shocks stroke" in loops_finding({"one": table})


@pytest.mark.parametrize("kind", FORMATS)
@pytest.mark.parametrize("look", LOOKS)
def test_the_same_picture_gives_the_same_file(kind: str, look: str, tmp_path: Path) -> None:
    def draw() -> Figure:
        return curves(GROWING, AXIS, "overdrive, %", ["rear_squat_mm"], "a", "q")

    prints = Prints((kind,), look)
    for folder in ("one", "two"):
        (file,) = save_result(tmp_path / folder, {}, {"picture": draw}, prints)
        assert file.name == f"picture.{kind}"
    one, two = ((tmp_path / folder / f"picture.{kind}").read_bytes() for folder in ("one", "two"))
    assert one == two


def test_print_is_finer_and_thinner() -> None:
    from simcore.pictures.style import drawn_for

    def draw() -> Figure:
        return curves(GROWING, AXIS, "overdrive, %", ["rear_squat_mm"], "a", "q")

    screen = draw()
    with drawn_for("print"):
        paper = draw()
    assert paper.dpi == 2 * screen.dpi
    assert paper.axes[0].lines[0].get_linewidth() < screen.axes[0].lines[0].get_linewidth()
