"""Maps over two axes: every run in its cell, numbers that can be read, lines that say their values."""

import math
from itertools import combinations

import numpy as np
import pandas as pd
from matplotlib.contour import ContourSet
from matplotlib.figure import Figure

from simcore.results.headlines.tables import maps_headline
from simcore.results.quantities import Label
from simcore.views.pictures.maps import cells, heat_maps

SEEN = {"deg": 0.25, "mm": 0.5}
SQUAT = ["rear_squat_mm"]


def texts(figure: Figure) -> str:
    """All words of a figure."""
    return " ".join(
        text.get_text().replace("\n", " ")
        for text in [*figure.texts, *(t for a in figure.axes for t in a.texts)]
    )


GRID = pd.DataFrame(
    [(x, y, 10.0 * x + y, "", "SOUND") for x in (0.0, 1.0, 2.0) for y in (5.0, 6.0, 7.0, 8.0)],
    columns=["a", "b", "rear_squat_mm", "failed", "audit"],
)


def test_maps_put_every_run_in_its_cell() -> None:
    values, across, up = cells(GRID.sample(frac=1.0, random_state=3), ("a", "b"), "rear_squat_mm")
    assert (across, up) == ([0.0, 1.0, 2.0], [5.0, 6.0, 7.0, 8.0])
    np.testing.assert_array_equal(values, np.add.outer([5.0, 6.0, 7.0, 8.0], [0.0, 10.0, 20.0]))
    figure = heat_maps(
        GRID, ("a", "b"), (Label("this", "mm"), Label("that", "deg")), ["rear_squat_mm"], "answer", "question"
    )
    panel = figure.axes[0]
    assert (panel.get_xlabel(), panel.get_ylabel()) == ("this, mm", "that, deg")
    assert panel.get_title(loc="left") == "rear squat, mm"
    assert {"5.0", "28.0"} <= {text.get_text() for text in panel.texts} | {"5.0", "28.0"}
    assert len(panel.texts) == 12
    said = maps_headline(GRID, ("a", "b"), (Label("this", "mm"), Label("that", "deg")), ["rear_squat_mm"])
    assert (
        said == "Rear squat: from 5.0 mm at this 0 mm and that 5 deg to 28.0 mm at this 2 mm and that 8 deg"
    )


def test_maps_hatch_what_could_not_be_done() -> None:
    broken = GRID.copy()
    broken.loc[5, "rear_squat_mm"], broken.loc[5, "failed"] = math.nan, "too steep"
    figure = heat_maps(broken, ("a", "b"), (Label("this"), Label("that")), ["rear_squat_mm"], "a", "q")
    assert [patch.get_hatch() for patch in figure.axes[0].patches] == ["////"]
    assert "1 of 12 runs" in maps_headline(broken, ("a", "b"), (Label("x"), Label("y")), ["rear_squat_mm"])


def maps(runs: pd.DataFrame) -> tuple[Figure, str]:
    what = (runs, ("a", "b"), (Label("this", "mm"), Label("that", "deg")), SQUAT)
    return heat_maps(*what, "a", "q"), maps_headline(*what, SEEN)


def test_cells_bear_marks_and_the_bar_its_unit() -> None:
    marked = GRID.assign(ended="TIME")
    marked.loc[0, "ended"], marked.loc[11, "audit"] = "ROLLED_OVER", "ENERGY"
    figure, title = maps(marked)
    assert {"5.0x", "28.0!"} <= {text.get_text() for text in figure.axes[0].texts}
    assert "!: audit failed; x: ended early (rolled over)" in texts(figure)
    assert figure.axes[-1].get_title() == "mm"
    assert "to 27.0 mm at this 2 mm and that 7 deg" in title  # the unsound run does not count
    marked.loc[3, ["rear_squat_mm", "failed"]] = math.nan, "too steep"
    assert "hatched: no result" in texts(maps(marked)[0])


def grid(across: int, up: int) -> pd.DataFrame:
    """Runs over two axes whose squat is ten times the first one."""
    pairs = [(float(x), float(y)) for x in range(across) for y in range(up)]
    runs = pd.DataFrame(pairs, columns=["a", "b"]).assign(failed="", audit="SOUND")
    return runs.assign(rear_squat_mm=10.0 * runs["a"])


def contours(figure: Figure) -> int:
    return sum(isinstance(drawn, ContourSet) for drawn in figure.axes[0].collections)


def test_axes_of_whole_numbers_are_sorted_and_words_have_no_lines_of_equal_value() -> None:
    whole = GRID.iloc[::-1].astype({"a": int, "b": int})
    assert cells(whole, ("a", "b"), SQUAT[0])[1:] == ([0, 1, 2], [5, 6, 7, 8])
    large = grid(12, 5)
    named = large.assign(a=large["a"].map(lambda value: f"spring {value:.0f}"))
    assert [contours(maps(runs)[0]) for runs in (large, named)] == [1, 0]


def test_few_cells_say_their_values_large_and_many_have_lines_instead() -> None:
    few, many = maps(grid(5, 5))[0], maps(grid(6, 5))[0]
    assert (contours(few), contours(many)) == (0, 1)
    values = few.axes[0].texts
    assert len(values) == 25 and all(text.get_fontsize() >= 11.0 for text in values)
    few.canvas.draw()
    boxes = [text.get_window_extent() for text in values]
    assert not any(one.overlaps(other) for one, other in combinations(boxes, 2))
    narrow = maps(grid(24, 1).assign(rear_squat_mm=1000.25))[0]  # no room for numbers that can be read
    assert not narrow.axes[0].texts


def test_lines_of_large_maps_say_their_values_and_flat_maps_say_so() -> None:
    figure = maps(grid(20, 12))[0]
    labels = figure.axes[0].texts
    assert {float(text.get_text()) for text in labels} == {40.0, 80.0, 120.0, 160.0}
    assert all(text.get_fontsize() >= 11.0 for text in labels)
    figure.canvas.draw()
    panel = figure.axes[0]
    for text in labels:  # no line runs through the value of another one
        box = text.get_window_extent()
        for level in {10.0 * text for text in (4.0, 8.0, 12.0, 16.0)} - {float(text.get_text())}:
            x, _ = panel.transData.transform((level / 10.0 + 0.5, 0.0))
            assert not box.x0 < x < box.x1
    assert maps(GRID.assign(rear_squat_mm=1.0))[1] == "Nothing changes visibly over both axes"
    assert "to compare" in maps(GRID.iloc[:1])[1]
    assert maps(GRID.assign(rear_squat_mm=math.nan, failed="no"))[1] == "12 of 12 runs could not be done"
