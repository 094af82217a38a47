"""Curves, bars and loops: axes, units, words, and the data in them; looks and formats."""

import math
import threading
from itertools import pairwise
from pathlib import Path
from typing import Any

import numpy as np
import pandas as pd
import pytest
from matplotlib.colors import to_hex
from matplotlib.figure import Figure
from matplotlib.patches import ArrowStyle

import simcore
from simcore.results.atomic_write import write_all
from simcore.results.headlines.shocks import kept_work, loops_headline
from simcore.results.headlines.tables import curves_headline
from simcore.results.metric_selection import default_shown, in_panels
from simcore.results.quantities import Label
from simcore.views.catalogue import LOOKS
from simcore.views.export import FORMATS, Export
from simcore.views.pictures.differences import bars
from simcore.views.pictures.loops import shock_loops
from simcore.views.pictures.names import shortened
from simcore.views.pictures.outcomes import curves
from simcore.views.pictures.style import case_look, drawn_for, save

SCENARIOS = Path(__file__).parents[3] / "scenarios"
SEEN = {"deg": 0.25, "mm": 0.5}
AXIS = "driveline.overdrive"


def table(values: list[Any], **columns: list[float]) -> pd.DataFrame:
    count = len(values)
    rows: dict[str, Any] = {AXIS: values, "ended": ["TIME"] * count}
    rows |= {"audit": ["SOUND"] * count, "failed": [""] * count} | columns
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
    figure = curves(GROWING, AXIS, Label("overdrive", "%"), shown, "the answer", "the question")
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
    broken.loc["30.0", "ended"] = "ROLLED_OVER"
    figure = curves(broken, AXIS, Label("overdrive", "%"), ["rear_squat_mm"], "a", "q")
    said = texts(figure)
    assert "no result" in said
    assert "ended early" in said
    marks = [line.get_xdata()[0] for line in figure.axes[0].lines if line.get_marker() in ("x", "X")]
    assert sorted(marks) == [20.0, 30.0]
    assert "1 of 4 runs could not be done" in curves_headline(
        broken, AXIS, Label("overdrive", "%"), ["rear_squat_mm"], SEEN
    )


def test_curves_over_words_and_over_nothing() -> None:
    named = table(["b.toml", "a.toml"], rear_squat_mm=[1.0, 2.0])
    figure = curves(named, AXIS, Label("rig"), ["rear_squat_mm"], "a", "q")
    assert [tick.get_text() for tick in figure.axes[0].get_xticklabels()] == ["b.toml", "a.toml"]
    said = curves_headline(named, AXIS, Label("rig"), ["rear_squat_mm"], SEEN)
    assert said == "Rear squat: 2.0 mm with a.toml, 1.0 mm with b.toml"
    nothing = table([1.0], rear_squat_mm=[math.nan])
    nothing["failed"] = "no"
    curves(nothing, AXIS, Label("overdrive", "%"), ["rear_squat_mm"], "a", "q")
    assert curves_headline(nothing, AXIS, Label("x"), ["rear_squat_mm"], SEEN) == "No run could be done"


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
    found = curves_headline(
        GROWING.assign(rear_squat_mm=squat), AXIS, Label("overdrive", "%"), ["rear_squat_mm"], SEEN
    )
    assert said in found


def test_figures_that_change_are_shown() -> None:
    assert default_shown(GROWING) == ["pitch_rise_deg", "rear_squat_mm"]  # the front's lift hardly changes
    still = table([1.0, 2.0], rear_squat_mm=[1.0, 1.0], pitch_rise_deg=[2.0, 2.0])
    assert default_shown(still) == ["pitch_rise_deg", "rear_squat_mm"]
    assert list(in_panels(["rear_thrust_mean_N", "rear_load_low_N", "front_thrust_mean_N"])) == [
        "thrust, g",
        "load, g",
    ]


CASES = GROWING.set_index(pd.Index(["base", "b", "c", "d"]))


def test_bars_are_differences_to_the_base() -> None:
    figure = bars(CASES, "base", ["rear_squat_mm", "pitch_rise_deg"], SEEN, "answer", "question")
    widths = sorted(bar.get_width() for bar in figure.axes[0].patches[1:])
    assert widths == pytest.approx([2.0, 3.0, 4.2])
    assert "+4.2 mm" in texts(figure)


@pytest.fixture(scope="module")
def punch() -> simcore.Run:
    return simcore.simulate(
        simcore.load_scenario(SCENARIOS / "punchy_launch.toml").changed({"end.duration": 0.8})
    )


def test_loops_draw_force_over_travel(punch: simcore.Run) -> None:
    cases = {"one": punch.series, "two": punch.series}
    figure = shock_loops(cases, loops_headline(cases), "question")
    rear, front = figure.axes
    assert "g" in rear.get_ylabel()
    assert "mm" in front.get_xlabel()
    drawn = [line.get_ydata() for line in rear.lines]
    assert any(
        np.allclose(data, punch.series["rear_shock_force_N"] / 9.80665e-3, rtol=1e-12) for data in drawn
    )
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
    assert "Rear shocks stroke" in loops_headline({"one": table})


@pytest.mark.parametrize("kind", FORMATS)
@pytest.mark.parametrize("look", LOOKS)
def test_the_same_picture_gives_the_same_file(kind: str, look: str, tmp_path: Path) -> None:
    def draw() -> Figure:
        return curves(GROWING, AXIS, Label("overdrive", "%"), ["rear_squat_mm"], "a", "q")

    how = Export((kind,), look)
    for folder in ("one", "two"):
        (file,) = write_all(tmp_path / folder, how.writers({"picture": draw}))
        assert file.name == f"picture.{kind}"
    one, two = ((tmp_path / folder / f"picture.{kind}").read_bytes() for folder in ("one", "two"))
    assert one == two


def test_print_is_finer_and_thinner() -> None:
    def draw() -> Figure:
        return curves(GROWING, AXIS, Label("overdrive", "%"), ["rear_squat_mm"], "a", "q")

    screen = draw()
    with drawn_for("print"):
        paper = draw()
    assert paper.dpi == 2 * screen.dpi
    assert paper.axes[0].lines[0].get_linewidth() < screen.axes[0].lines[0].get_linewidth()


SQUAT, LONG = ["rear_squat_mm"], [f"rear shocks in hole number {k} of the tower" for k in range(8)]


def over(runs: pd.DataFrame) -> tuple[Figure, str]:
    what = (runs, AXIS, Label("overdrive", "%"), SQUAT)
    return curves(*what, "a", "q"), curves_headline(*what, SEEN)


def test_a_run_without_result_leaves_a_gap() -> None:
    broken = GROWING.copy()
    broken.loc["20.0", ["rear_squat_mm", "failed"]] = math.nan, "too steep"
    drawn = over(broken)[0].axes[0].lines[0].get_ydata()
    np.testing.assert_array_equal(drawn, [0.0, 2.0, math.nan, 4.2])
    empty = table([1.0], rear_squat_mm=[math.nan]).assign(failed="no")
    assert len(over(empty)[0].axes[0].get_yticks()) == 0  # no made-up scale


def test_early_and_unsound_runs_are_marked_and_told() -> None:
    runs = GROWING.copy()
    runs.loc["10.0", "ended"] = "HIGH_CENTRED"
    runs.loc["30.0", ["rear_squat_mm", "audit"]] = 99.0, "ENERGY"
    figure, title = over(runs)
    assert "plus: audit failed; thin cross: ended early (hung on its skids)" in texts(figure)
    assert title.startswith("Rear squat goes from 0.00 mm to 3.0 mm as overdrive goes from 0 % to 20 %. ")
    assert "1 of 4 runs ended early (hung on its skids). AUDIT FAILED in 1 of 4 runs" in title
    assert "cross" not in texts(over(GROWING)[0])
    assert "to compare" in over(GROWING.iloc[:1])[1]


def test_lines_of_a_panel_differ_without_colour() -> None:
    keys = ["pitch_rise_deg", "pitch_end_deg", "pitch_mean_deg"]
    runs = table([0.0, 1.0], **{key: [float(k), 2.0 * k] for k, key in enumerate(keys)})
    lines = curves(runs, AXIS, Label("overdrive", "%"), keys, "a", "q").axes[0].lines[:3]
    assert len({str(line._dash_pattern) for line in lines}) == 3


def test_long_words_under_an_axis_stay_apart() -> None:
    names = [f"rigs/a_rather_long_name_{k}.toml" for k in (5, 1, 4, 2, 0, 3)]
    figure = over(table(names, rear_squat_mm=[1.0] * 6))[0]
    figure.canvas.draw()
    labels = figure.axes[0].get_xticklabels()
    assert ["".join(filter(str.isdigit, label.get_text())) for label in labels] == list("514203")
    for left, right in pairwise(label.get_window_extent() for label in labels):
        assert left.x1 < right.x0


def test_bars_name_every_case_and_what_is_wrong_with_it() -> None:
    cases = CASES.copy()
    cases.loc["b", ["rear_squat_mm", "failed"]] = math.nan, "too steep"
    cases.loc["c", "ended"], cases.loc["d", "audit"] = "SLID_AWAY", "ENERGY"
    figure = bars(cases, "base", SQUAT, SEEN, "a", "q")
    names = [tick.get_text() for tick in figure.axes[0].get_yticklabels()]
    assert names == ["b\n(no result)", "c\n(job not done)", "d\n(audit failed)"]
    assert [text.get_text() for text in figure.axes[0].texts] == ["unknown", "+3.0 mm", "+4.2 mm"]


def test_bars_bear_the_colours_that_their_cases_have_over_time() -> None:
    """A case that cannot start is not drawn there, and takes no colour."""
    cases = CASES.copy()
    cases.loc["b", ["rear_squat_mm", "ended"]] = math.nan, None
    drawn = bars(cases, "base", SQUAT, SEEN, "a", "q").axes[0].patches[1:]
    colours = [to_hex(bar.get_facecolor()).upper() for bar in drawn if bar.get_width() > 0.0]
    assert colours == [case_look(1)[0], case_look(2)[0]]


def test_eight_long_names_of_bars_stay_inside_and_apart() -> None:
    cases = table(LONG, rear_squat_mm=[float(k) for k in range(8)])
    figure = bars(cases, LONG[0], SQUAT, SEEN, "a", "q")
    figure.canvas.draw()
    names = figure.axes[0].get_yticklabels()
    assert len({name.get_text() for name in names}) == 7
    boxes = sorted((name.get_window_extent() for name in names), key=lambda box: box.y0)
    assert all(box.x0 >= 0.0 for box in boxes)
    assert all(high.y0 >= low.y1 - 1.0 for low, high in pairwise(boxes))


def loop(stroke: float, friction: float, stop: float = 0.0) -> pd.DataFrame:
    """Shocks pressed in and let out again against constant forces; past nine tenths a stop presses."""
    travel = np.concatenate([np.linspace(0.0, stroke, 51), np.linspace(stroke, 0.0, 51)])
    way = np.repeat([1.0, -1.0], 51)
    parts = {"travel_mm": travel, "friction_N": friction * way, "damper_N": 0.25 * friction * way}
    parts |= {"bump_stop_N": np.where(travel > 0.9 * stroke, stop, 0.0), "droop_stop_N": 0.0 * way}
    parts["shock_force_N"] = parts["friction_N"] + parts["damper_N"] + parts["bump_stop_N"]
    return pd.DataFrame(
        {f"{axle}_{name}": part for axle in ("rear", "front") for name, part in parts.items()}
    )


def test_work_is_the_area_of_a_rectangle_and_stops_give_theirs_back() -> None:
    # 10 mm in and out against 1 N of friction and 0.25 N of oil
    one = loop(10.0, 1.0, stop=2.0)
    assert kept_work(one, "rear") == pytest.approx({"friction": 20.0, "oil": 5.0})
    half = one.iloc[:51]  # ends on the stop, which still holds what it took
    assert sum(kept_work(half, "rear").values()) == pytest.approx(12.5)
    assert loops_headline({"a": one, "b": loop(10.0, 0.1)}) == (
        'Friction and oil of the shocks take 50 mJ of work with "a", 5.0 mJ with "b"'
    )
    assert loops_headline({"a": one, "b": one}).endswith("take 50 mJ of work in every case")
    assert loops_headline({"a": loop(0.0, 1.0)}) == "Rear shocks do not move. Front shocks do not move"


def test_loops_are_shaded_where_a_stop_presses_and_only_there() -> None:
    table = loop(10.0, 1.0, stop=2.0)
    figure = shock_loops({"a": table}, "a", "q")
    shade = max(figure.axes[0].lines, key=lambda line: line.get_linewidth())
    np.testing.assert_array_equal(~np.isnan(shade.get_xdata()), table["rear_bump_stop_N"] > 0.0)
    assert "thick pale: bottomed out" in texts(figure) and "topped out" not in texts(figure)
    assert "thick pale" not in texts(shock_loops({"a": loop(10.0, 1.0)}, "a", "q"))


def test_eight_loops_differ_without_colour_and_the_first_shows_its_direction() -> None:
    rear = shock_loops({name: loop(4.0 + k, 1.0) for k, name in enumerate(LONG)}, "a", "q").axes[0]
    loops = [line for line in rear.lines if len(line.get_xdata()) > 2 and line.get_linewidth() < 5.0]
    starts = [line for line in rear.lines if len(line.get_xdata()) == 1]
    looks = {(str(a._dash_pattern), b.get_marker()) for a, b in zip(loops, starts, strict=True)}
    assert len(looks) == len({text.get_text() for text in rear.texts if text.get_text()}) == 8
    arrows = [text.arrow_patch.get_arrowstyle() for text in rear.texts if text.arrow_patch]
    heads = [arrow for arrow in arrows if isinstance(arrow, ArrowStyle.CurveFilledB)]
    assert len(heads) == 2


def test_looks_end_with_their_block_and_stay_in_their_thread(tmp_path: Path) -> None:
    found: list[float] = []
    with drawn_for("print"):
        thread = threading.Thread(target=lambda: found.append(over(GROWING)[0].dpi))
        thread.start()
        thread.join()
        paper = over(GROWING)[0]
    assert (found, paper.dpi, over(GROWING)[0].dpi) == ([150], 300, 150)
    save(paper, tmp_path / "a.pdf")
    assert b"/Type3" not in (tmp_path / "a.pdf").read_bytes()  # letters stay letters
    with pytest.raises(ValueError, match="one of screen, print"), drawn_for("poster"):
        pass


def test_long_names_lose_what_they_share() -> None:
    assert shortened(["soft", "hard"], 11) == ["soft", "hard"]
    assert shortened([f"rear hole {k} of tower" for k in (1, 2)], 12) == ["…1 of tower", "…2 of tower"]
    assert shortened([f"drive {k} per cent of all" for k in (5, 25)], 11) == ["…5…", "…25…"]


def test_loops_that_say_nothing_are_left_out_with_their_file(punch: simcore.Run, tmp_path: Path) -> None:
    """A creep whose shocks hardly stroke has none, and takes the file of an earlier run along."""
    creep = simcore.simulate(
        simcore.load_scenario(SCENARIOS / "slow_creep.toml").changed({"end.duration": 0.8})
    )
    assert np.ptp(creep.series["rear_travel_mm"]) < 0.5 < 3.0 < np.ptp(punch.series["rear_travel_mm"])
    file = tmp_path / "shock_loops.png"
    simcore.export(punch, tmp_path)
    assert file.exists()
    simcore.export(creep, tmp_path)
    assert not file.exists() and (tmp_path / "load_account.png").exists()
    assert simcore.draw(creep, "shock_loops").axes  # who asks for it by its name gets it
