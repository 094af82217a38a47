"""Pictures over time: what part they show, what they mark, what is said of standing and of the end."""

from itertools import combinations
from pathlib import Path
from typing import Any

import numpy as np
import pandas as pd
import pytest
from matplotlib.figure import Figure
from matplotlib.text import Text

import simcore
from simcore.files import Scenario
from simcore.results.moments import Differing, Happening, Moment
from simcore.results.run import Run
from simcore.views.catalogue import pictures_of
from simcore.views.pictures.frame import happenings, standing_apart
from simcore.views.pictures.layout import panels
from simcore.views.pictures.marks import ROW, Strip, draw_strip, strip_of
from simcore.views.pictures.overlays import overlay
from simcore.views.pictures.span import Span, span_of
from simcore.views.pictures.style import length, styled
from simcore.views.pictures.timelines import pitch_and_travel

SCENARIOS = Path(__file__).parents[3] / "scenarios"
SEEN = simcore.load_scenario(SCENARIOS / "slow_creep.toml").visible  # 0.25 deg, 0.5 mm
TIMES = np.linspace(0.0, 4.0, 2001)


def series(pitch: Any = 0.0, travel: Any = 10.0, speed: Any = 0.0) -> pd.DataFrame:
    columns = {"pitch_to_ground_deg": pitch, "rear_travel_mm": travel, "front_travel_mm": 10.0}
    return pd.DataFrame({"time_s": TIMES, "speed_m_per_s": speed}).assign(**columns)


def bump(at: float, height: float) -> Any:
    return height * np.exp(-(((TIMES - at) / 0.1) ** 2))


# --- the part that is shown ---


def test_a_long_quiet_end_is_left_out_and_said() -> None:
    shown = span_of([series(bump(1.0, 5.0))], SEEN)
    assert shown.start == 0.0 and 1.2 < shown.end < 1.6  # over at 1.17 s
    assert shown.words == f"until {shown.end:.1f} s; after, nothing moves visibly"
    late = span_of([series(bump(3.0, 5.0))], SEEN)
    assert 2.3 < late.start < 2.8 and late.end == 4.0
    assert late.words == f"from {late.start:.1f} s on; before, it stands and nothing moves visibly"


def test_a_slow_run_up_is_left_out_and_what_moved_in_it_is_said() -> None:
    run_up = np.interp(TIMES, [0.5, 2.0], [0.0, 1.0])
    shown = span_of([series(0.9 * run_up + bump(3.0, -5.0), speed=run_up)], SEEN)
    assert 2.3 < shown.start < 2.8
    said = (
        f"from {shown.start:.1f} s on; before, it rolls up to 1 m/s, the nose moves 0.9°, the shocks 0.0 mm"
    )
    assert shown.words == said
    assert span_of([series(3.0 * run_up + bump(3.0, -5.0), speed=run_up)], SEEN).start == 0.0  # moves a lot


@pytest.mark.parametrize(
    "tables",
    [
        [series()],  # nothing moves
        [series(bump(1.0, 1.0))],  # hardly anything
        [series(bump(1.5, 5.0) + bump(2.8, 5.0))],  # something all along
        [series(bump(1.5, 5.0)), series(bump(2.8, 5.0))],  # in one case or the other
    ],
)
def test_all_is_shown_where_nothing_or_everything_happens(tables: list[pd.DataFrame]) -> None:
    assert span_of(tables, SEEN) == Span(0.0, 4.0)


def test_edges_of_the_course_and_the_last_happening_are_shown() -> None:
    late, early = series(bump(3.0, 5.0)), series(bump(1.0, 5.0))
    ice = [Happening(0.5, Moment.SLIPPERY, "front on ice", "front")]
    assert span_of([late], SEEN, ice).start == 0.0
    assert span_of([early], SEEN, [Happening(3.5, Moment.BRAKE_ON, "brake on")]).end > 3.5
    assert span_of([late], SEEN, [Happening(0.2, Moment.BRAKE_OFF, "brake off")]).start > 2.0


# --- marks ---

LIMITS, WIDE = (-0.06, 2.06), 6.85


def happened(*times: float) -> list[Happening]:
    codes = [Moment.BRAKE_OFF, Moment.LEDGE, Moment.AIR, Moment.GROUND, Moment.TOP_SPEED, Moment.BRAKE_ON]
    return [Happening(time, codes[k % 6], f"thing number {k}") for k, time in enumerate(times)]


@pytest.mark.parametrize("seed", range(20))
def test_words_of_marks_never_run_over_one_another_or_over_lines(seed: int) -> None:
    times = np.sort(np.random.default_rng(seed).uniform(0.0, 2.0, 2 + seed % 9))
    strip = strip_of(happened(*times), [], LIMITS, WIDE)
    assert strip.marks
    for mark in strip.marks:
        assert 0.0 <= mark.left < mark.right <= WIDE
        assert mark.right - mark.left >= length(mark.words, 11.0)
    for one, other in combinations(strip.marks, 2):
        if one.row == other.row:
            assert one.right <= other.left or other.right <= one.left
        for words, line in ((one, other), (other, one)):  # a line ends at its own row
            assert line.row < words.row or not words.left < line.at < words.right


def test_what_is_told_least_gives_way_and_what_is_at_once_is_one_mark() -> None:
    crowded = strip_of(happened(*np.linspace(0.9, 1.1, 12)), [], LIMITS, WIDE)
    said = " ".join(mark.words for mark in crowded.marks)
    assert "thing number 5" in said  # the brake comes first of all
    assert 0 < len(crowded.marks) < 12
    (both,) = strip_of(happened(1.0, 1.001), [], LIMITS, WIDE).marks
    assert both.words == "thing number 0, thing number 1"
    assert strip_of(happened(3.0), [], LIMITS, WIDE).height == 0.0  # outside


def test_what_differs_has_a_row_of_ticks_in_the_colours_of_the_cases() -> None:
    row = Differing(Moment.LEDGE, "front", "front at the ledge", {"a": [0.5], "b": [1.5], "c": []})
    outside = Differing(Moment.AIR, "front", "front in the air", {"a": [5.0], "b": [], "c": []})
    strip = strip_of([], [row, outside], LIMITS, WIDE)
    assert strip.ticks == [row] and strip.height == pytest.approx(ROW)

    @styled
    def drawn() -> Figure:
        figure, axes = panels((2.0,), "answer", "question", above=strip.height)
        axes[0].set_xlim(*LIMITS)
        axis = figure.add_axes((0.115, 0.8, 0.685, 0.05))
        draw_strip(strip, axis, axes, {"a": "#111111", "b": "#222222", "c": "#333333"})
        return figure

    axis = drawn().axes[1]
    ticks = {line.get_color(): line.get_xdata()[0] for line in axis.lines if line.get_linewidth() > 2.0}
    assert ticks == {"#111111": 0.5, "#222222": 1.5}
    assert "front at the ledge" in [text.get_text() for text in axis.texts]


def test_lines_of_marks_go_through_every_panel() -> None:
    strip: Strip = strip_of(happened(0.5, 1.5), [], LIMITS, WIDE)

    @styled
    def drawn() -> Figure:
        figure, axes = panels((1.0, 1.0), "answer", "question", above=strip.height)
        axis = figure.add_axes((0.115, 0.8, 0.685, 0.05))
        draw_strip(strip, axis, axes, {})
        return figure

    figure = drawn()
    for axis in figure.axes[:2]:
        assert [line.get_xdata()[0] for line in axis.lines] == [0.5, 1.5]


# --- while the runs stand ---


def test_what_is_apart_while_standing_is_said_apart() -> None:
    seen = {"deg": 0.25, "mm": 0.5}
    one, other = series(1.0), series(1.8 + bump(2.0, 1.0), travel=10.4 + bump(2.0, 3.0))
    said = standing_apart([one, other], seen)
    assert said == "Apart already while standing: pitch 0.8° (later up to 1.8°)"
    assert standing_apart([one, series(1.8)], seen) == "Apart already while standing: pitch 0.8°"
    assert standing_apart([one, series(1.2 + bump(2.0, 5.0))], seen) == ""


# --- whole pictures ---


def scenario(name: str, **settings: Any) -> Scenario:
    return simcore.load_scenario(SCENARIOS / f"{name}.toml").changed(settings)


@pytest.fixture(scope="module")
def braking() -> Run:
    return simcore.simulate(scenario("braking"))


def words(figure: Figure) -> str:
    found = [*figure.texts, *(text for axis in figure.axes for text in axis.texts)]
    return " ".join(text.get_text().replace("\n", " ") for text in found)


def test_the_braking_event_fills_the_picture(braking: Run) -> None:
    figure = pitch_and_travel(braking, "answer", "question")
    left, right = figure.axes[0].get_xlim()
    (on,) = (one.time_s for one in happenings(braking) if one.code is Moment.BRAKE_ON)
    assert 2.5 < left < on < left + 0.4 * (right - left)
    assert "before, it rolls up to 1 m/s" in figure.axes[3].get_xlabel()
    assert "brake on" in words(figure) and "brake off" not in words(figure)
    assert "nose lowest" in words(figure)


def test_with_and_without_says_what_is_apart_before_anything_moves() -> None:
    run = simcore.simulate(scenario("punchy_launch"), without_support=True)
    assert run.counterfactual is not None
    figure = overlay({"with": run, "without": run.counterfactual}, "answer", "question")
    standing = abs(run.summary["support_pitch_standing_deg"])
    assert f"Apart already while standing: pitch {standing:.1f}°" in words(figure)
    brackets = [line for line in figure.axes[0].lines if line.get_marker() == "_"]
    assert np.ptp(brackets[0].get_ydata()) == pytest.approx(standing, abs=1e-6)


def test_a_run_that_still_swings_says_so_at_its_line_and_a_calm_one_does_not(braking: Run) -> None:
    """The 8 Hz of a cut-off landing: half of what lies between highest and lowest in the last half second."""
    landing = simcore.simulate(scenario("ledge", **{"driver.speed": [[0, 0], [0.4, 1]]}))
    last = landing.series.loc[landing.series["time_s"] > landing.series["time_s"].iloc[-1] - 0.5]
    swing = 0.5 * float(np.ptp(last["pitch_to_ground_deg"]))
    assert f"(still swings ±{swing:.1f}°)" in words(pitch_and_travel(landing, "answer", "question"))
    assert "still swings" not in words(pitch_and_travel(braking, "answer", "question"))


def test_no_words_of_a_picture_stand_on_other_words(braking: Run) -> None:
    launch = simcore.simulate(scenario("trail_launch"))
    ledge = simcore.simulate(scenario("ledge", **{"driver.speed": [[0, 0], [0.4, 1]]}))
    for run in (braking, launch, ledge):
        for name, draw in pictures_of(run).items():
            figure = draw()
            figure.canvas.draw()
            found = [*figure.texts, *(text for axis in figure.axes for text in axis.texts)]
            boxes = [(text.get_text(), Text.get_window_extent(text)) for text in found if text.get_text()]
            for (one, box), (other, beside) in combinations(boxes, 2):
                assert not box.padded(-1.0).overlaps(beside.padded(-1.0)), f"{name}: {one!r} on {other!r}"


@pytest.mark.parametrize("settings", [{"end.duration": 0.001}, {"end.duration": 0.5, "output.rate": 10}])
def test_very_short_and_very_coarse_runs_are_drawn(settings: dict[str, Any]) -> None:
    run = simcore.simulate(scenario("slow_creep", **settings))
    for draw in pictures_of(run).values():
        draw().canvas.draw()
