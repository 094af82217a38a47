"""Figures: axes, units, titles and the data in them."""

from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest
from matplotlib.figure import Figure
from matplotlib.text import Text

import simcore
from simcore.studies.compare import Comparison, compare
from simcore.views.pictures.overlays import overlay

SCENARIOS = Path(__file__).parents[3] / "scenarios"


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
    assert run.headline.split(";")[0] in texts(figure).replace("\n", " ").replace("\N{NO-BREAK SPACE}", " ")
    assert run.scenario.title in texts(figure)
    assert "brake off" in texts(figure)


def test_overlay_names_every_case_at_its_line_in_every_panel(comparison: Comparison) -> None:
    figure = simcore.draw(comparison)
    for axis in figure.axes[:3]:
        named = [text.get_text().replace("\n", " ") for text in axis.texts]
        for name in comparison.runs:
            assert any(text.startswith(name) for text in named)


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
