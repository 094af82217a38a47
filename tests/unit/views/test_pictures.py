"""Figures: axes, units, titles and the data in them."""

from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest
from matplotlib.figure import Figure
from matplotlib.text import Text

import simcore
from simcore.results.conditions import Conditions
from simcore.results.headlines.run import comparison_headline, run_headline
from simcore.studies.compare import Comparison, compare
from simcore.views.pictures.overlays import overlay

SCENARIOS = Path(__file__).parents[3] / "scenarios"
CAPTION = Conditions("Same eight times?", "Gully")
STANDING = {
    "ended": "TIME",
    "audit": "SOUND",
    "pitch_rise_deg": 0.1,
    "pitch_dive_deg": 0.0,
    "rear_squat_mm": 0.2,
    "rear_lift_mm": 0.0,
    "front_squat_mm": 0.0,
    "front_lift_mm": 0.3,
    "front_off_ground_s": 0.0,
    "time_s": 2.0,
    "pitch_mean_deg": 0.0,
}


@pytest.fixture(scope="module")
def comparison() -> Comparison:
    return compare(simcore.load_scenario(SCENARIOS / "launch_vs_creep.toml"))


def texts(figure: Figure) -> str:
    return "\n".join(text.get_text() for text in [*figure.texts, *(t for a in figure.axes for t in a.texts)])


def test_run_figure_shows_the_series_with_units(comparison: Comparison) -> None:
    run = comparison.runs["60 ms punch"]
    figure = simcore.draw(run)
    pitch, travel, band, speed = figure.axes[:4]
    assert [axis.get_label() for axis in figure.axes[4:]] == ["marks", "drawings"]
    assert [tick.get_text() for tick in band.get_yticklabels()] == ["front", "rear"]
    assert "deg" in pitch.get_ylabel()
    assert "mm" in travel.get_ylabel()
    assert "m/s" in speed.get_ylabel()
    assert speed.get_xlabel().startswith("time, s")
    shown = run.series[run.series["time_s"] <= pitch.get_xlim()[1]]
    for axis, column in (
        (pitch, "pitch_to_ground_deg"),
        (travel, "rear_travel_mm"),
        (travel, "front_travel_mm"),
    ):
        drawn = [line.get_ydata() for line in axis.lines if len(line.get_xdata()) > 2]
        values = shown[column].to_numpy()
        assert any(len(data) > 100 and np.array_equal(data, values[: len(data)]) for data in drawn)
    assert run_headline(run.summary, CAPTION).split(";")[0] in texts(figure).replace("\n", " ")
    assert run.scenario.title in texts(figure)
    assert "brake off" in texts(figure)


def test_overlay_names_every_case_at_its_line_in_every_panel(comparison: Comparison) -> None:
    figure = simcore.draw(comparison)
    for axis in figure.axes[:3]:
        named = [text.get_text().replace("\n", " ") for text in axis.texts]
        for name in comparison.runs:
            assert name in named


@pytest.fixture(scope="module")
def eight() -> Figure:
    scenario = simcore.load_scenario(SCENARIOS / "slow_creep.toml").changed({"end.duration": 1.0})
    runs = [simcore.simulate(scenario.changed({"chassis.mass": 300 + 60 * k})) for k in range(8)]
    return overlay({f"case {k}": run for k, run in enumerate(runs)}, "the answer", "the question")


def test_eight_names_do_not_overlap_each_other_or_leave_the_figure(eight: Figure) -> None:
    eight.canvas.draw()
    for axis in eight.axes[:3]:
        named = [text for text in axis.texts if "case" in text.get_text()]
        boxes = [Text.get_window_extent(text) for text in named]  # the words without their pointing line
        assert len(boxes) == 8
        boxes.sort(key=lambda box: box.y0)
        for low, high in pairwise(boxes):
            assert high.y0 >= low.y1 - 1.0
        assert all(box.x1 <= eight.bbox.x1 for box in boxes)


def test_headline_says_when_nothing_moves_or_the_run_ends_early() -> None:
    assert run_headline(STANDING, CAPTION) == "Hardly anything moves: nose 0.1°, rear 0.2 mm, front 0.3 mm"
    assert "the rear hardly moves, the front lifts 2.0 mm" in run_headline(
        STANDING | {"front_lift_mm": 2.0}, CAPTION
    )
    tipped = STANDING | {"ended": "ROLLED_OVER", "time_s": 0.84, "pitch_rise_deg": 75.0}
    assert run_headline(tipped, CAPTION).startswith("Rolled over after 0.84 s. The nose rises 75.0°")
    dive = STANDING | {"pitch_dive_deg": 4.0}
    assert run_headline(dive, CAPTION).startswith("The nose dives 4.0°")
    assert run_headline(STANDING | {"audit": "ENERGY"}, CAPTION).startswith("AUDIT FAILED, do not use")
    assert "in the air" in run_headline(STANDING | {"front_off_ground_s": 0.4}, CAPTION)


def test_headline_names_the_case_that_pitches_most_and_admits_when_none_does() -> None:
    calm, punch = STANDING, STANDING | {"pitch_rise_deg": 3.0}
    said = comparison_headline({"calm": calm, "punch": punch}, CAPTION)
    assert said == "The nose rises 3.0° with punch, hardly moves with calm"
    braked = STANDING | {"pitch_dive_deg": 2.0}
    assert (
        comparison_headline({"calm": calm, "braked": braked}, CAPTION)
        == "The nose hardly moves with calm, dives 2.0° with braked"
    )
    assert comparison_headline({"a": calm, "b": calm}, CAPTION).startswith("No visible difference")
    high = STANDING | {"pitch_mean_deg": 2.5}
    assert (
        comparison_headline({"a": calm, "b": high}, CAPTION)
        == "The nose stands 2.5° higher with b than with a"
    )


def test_what_is_visible_is_the_scenario_s_word() -> None:
    scenario = simcore.load_scenario(SCENARIOS / "slow_creep.toml")
    keen = Conditions.of(scenario.changed({"visible.pitch": 0.05, "visible.travel": 0.1}))
    assert (keen.visible_deg, keen.visible_mm) == pytest.approx((0.05, 0.1))
    assert run_headline(STANDING, keen).startswith("The nose rises 0.1°; the rear squats 0.2 mm")
