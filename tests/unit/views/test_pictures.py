"""Figures: axes, units, titles and the data in them."""

from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest
from matplotlib.figure import Figure
from matplotlib.text import Text

import simcore
from simcore.studies.compare import Comparison, compare
from simcore.views.pictures.timelines import overlay

SCENARIOS = Path(__file__).parents[3] / "scenarios"


@pytest.fixture(scope="module")
def comparison() -> Comparison:
    return compare(simcore.load_scenario(SCENARIOS / "launch_vs_creep.toml"))


def texts(figure: Figure) -> str:
    return "\n".join(text.get_text() for text in [*figure.texts, *(t for a in figure.axes for t in a.texts)])


def test_run_figure_shows_the_series_with_units(comparison: Comparison) -> None:
    run = comparison.runs["60 ms punch"]
    figure = simcore.draw(run)
    pitch, travel, band, speed = figure.axes
    assert [tick.get_text() for tick in band.get_yticklabels()] == ["front", "rear"]
    assert "deg" in pitch.get_ylabel()
    assert "mm" in travel.get_ylabel()
    assert "m/s" in speed.get_ylabel()
    assert speed.get_xlabel() == "time, s"
    np.testing.assert_array_equal(pitch.lines[0].get_ydata(), run.series["pitch_to_ground_deg"])
    drawn = [line.get_ydata() for line in travel.lines]
    for column in ("rear_travel_mm", "front_travel_mm"):
        assert any(np.array_equal(data, run.series[column]) for data in drawn)
    assert run.headline.split(";")[0] in texts(figure).replace("\n", " ").replace("\N{NO-BREAK SPACE}", " ")
    assert run.scenario.title in texts(figure)
    assert "brake off" in texts(figure)


def test_overlay_names_every_case_at_its_line_in_every_panel(comparison: Comparison) -> None:
    figure = simcore.draw(comparison)
    for axis in figure.axes:
        named = [text.get_text().replace("\n", " ") for text in axis.texts]
        for name in comparison.runs:
            assert name in named


def test_eight_names_at_one_height_do_not_overlap(comparison: Comparison) -> None:
    run = comparison.runs["60 ms punch"]
    figure = overlay({f"case {k}": (run.series, run.summary) for k in range(8)}, "the answer", "the question")
    figure.canvas.draw()
    named = [text for text in figure.axes[0].texts if text.get_text().startswith("case")]
    boxes = [Text.get_window_extent(text) for text in named]  # the words without their pointing line
    assert len(boxes) == 8
    boxes.sort(key=lambda box: box.y0)
    for low, high in pairwise(boxes):
        assert high.y0 >= low.y1 - 1.0
    assert all(box.x1 <= figure.bbox.x1 for box in boxes)
