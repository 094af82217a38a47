"""Arrows of forces on an axle: as long as the forces, in one scale, the same from a saved run."""

from pathlib import Path
from typing import Any

import numpy as np
import pytest
from results_to_show import compared

import simcore
from simcore.results.free_body import Force, Part
from simcore.views.digest import digest
from simcore.views.pictures.link_forces import MOST, _arrow

SCENARIOS = Path(__file__).parents[3] / "scenarios"


@pytest.fixture(scope="module")
def layouts() -> simcore.Comparison:
    scenario = simcore.load_scenario(SCENARIOS / "link_layouts.toml")
    return simcore.compare(scenario.changed({"end.duration": 1.5}, keep_variants=True))


@pytest.fixture(scope="module")
def drawn(layouts: simcore.Comparison) -> Any:
    """Their picture."""
    figure = simcore.draw(layouts, "link_forces")
    figure.canvas.draw()
    return figure


def words(figure: Any) -> str:
    return "\n".join(text.get_text() for text in figure.findobj(lambda one: hasattr(one, "get_text")))


def test_a_push_ends_at_its_pin_and_a_pull_begins_there() -> None:
    pin, forward = np.array([10.0, 5.0]), np.array([1.0, 0.0])
    push = Force(Part.LOWER, pin, np.array([-4.0, 0.0]), forward)  # the link lies ahead of its pin
    pull = Force(Part.LOWER, pin, np.array([4.0, 0.0]), forward)
    assert [list(end) for end in _arrow(push, 2.0)] == [[18.0, 5.0], [10.0, 5.0]]
    assert [list(end) for end in _arrow(pull, 2.0)] == [[10.0, 5.0], [18.0, 5.0]]


def test_every_case_has_a_panel_of_one_scale(layouts: simcore.Comparison, drawn: Any) -> None:
    panels = drawn.axes[:5]
    sizes = {(round(float(np.ptp(a.get_xlim())), 6), round(float(np.ptp(a.get_ylim())), 6)) for a in panels}
    assert len(sizes) == 1 and len(layouts.runs) == 5
    for axis, name in zip(panels, layouts.runs, strict=True):
        said = "\n".join(text.get_text() for text in axis.texts)
        assert name in said and "lower link\n" in said and "tyre load\n" in said and "; sum " in said
    assert "All 5 climb on" in words(drawn) and "g in all drawings" in words(drawn)


def test_words_stand_clear_of_one_another_and_inside(drawn: Any) -> None:
    for axis in drawn.axes[:5]:
        boxes = [text.get_window_extent() for text in axis.texts if "\n" in text.get_text()]
        assert len(boxes) == 7  # two links, shocks, shaft, load, thrust, weight
        frame = axis.get_window_extent()
        for k, box in enumerate(boxes):
            assert frame.x0 <= box.x0 and box.x1 <= frame.x1 and frame.y0 <= box.y0 and box.y1 <= frame.y1
            assert not any(box.overlaps(other) for other in boxes[:k])


def test_a_saved_comparison_shows_the_same(layouts: simcore.Comparison, drawn: Any, tmp_path: Path) -> None:
    layouts.save(tmp_path)
    again = simcore.load(tmp_path)
    assert digest(simcore.draw(again, "link_forces")) == digest(drawn)


def test_of_many_cases_the_first_are_drawn_and_it_says_so() -> None:
    figure = simcore.draw(compared(9), "link_forces")
    assert f"of 9 cases the first {MOST}" in words(figure).replace("\n", " ")


def test_a_run_shows_both_axles(layouts: simcore.Comparison) -> None:
    figure = simcore.draw(next(iter(layouts.runs.values())), "link_forces")
    assert "rear axle" in words(figure) and "front axle" in words(figure)
