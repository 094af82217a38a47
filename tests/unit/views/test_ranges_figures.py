"""Pictures of the limits of a number: bars by case, lines along axes; and the sentence over them."""

import dataclasses

import pytest
from matplotlib.figure import Figure
from results_to_show import ranges, result_of

from simcore.results.headlines.ranges import Ending
from simcore.studies.ranges import End, Range, Ranges
from simcore.views.catalogue import draw, pictures_of


def texts(figure: Figure) -> str:
    """All words of a figure in one line."""
    words = [text.get_text() for text in figure.texts]
    for axis in figure.axes:
        words += [text.get_text() for text in axis.texts]
        words += [axis.get_xlabel(), axis.get_ylabel(), axis.get_title()]
    return " ".join(" ".join(words).split())


def replaced(result: Ranges, **changes: Range) -> Ranges:
    return dataclasses.replace(result, ranges=dict(result.ranges) | changes)


def test_bars_reach_from_the_least_to_the_greatest_value():
    result = ranges()
    figure = draw(result)
    solid = [bar for bar in figure.axes[0].patches if not bar.get_hatch()]
    bars = {(bar.get_x(), round(bar.get_x() + bar.get_width(), 6)) for bar in solid}
    for found in result.ranges.values():
        assert found.low.done is None or (found.low.done, found.high.done) in bars
        assert {ends for ends in found.others if ends[0] < ends[1]} <= bars
    (hatched,) = [bar for bar in figure.axes[0].patches if bar.get_hatch()]
    soft = list(result.ranges.values())[1]
    ends = (soft.high.done, soft.high.beyond)
    assert (hatched.get_x(), hatched.get_x() + hatched.get_width()) == pytest.approx(ends)
    said = texts(figure)
    assert "ground grip, %" in said and "the job is not done anywhere" in said
    assert "above: rig and course cannot be built so" in said and "hatched: no answer" in said


def test_what_all_of_the_range_leaves_open_is_hatched_whole():
    open_end = End(None, None, Ending.NOT_KNOWN, "", "", Ending.NOT_KNOWN.value)
    unknown = Range(None, open_end, open_end, (), ((10.0, "DIED"),), (), True, 19)
    result = result_of("one range")
    (name,) = result.ranges
    figure = draw(replaced(result, **{name: unknown}))
    (bar,) = figure.axes[0].patches
    assert bar.get_hatch() and (bar.get_x(), bar.get_width()) == (10.0, 90.0)


def test_lines_go_through_the_limits_and_are_named_by_the_second_axis():
    result = result_of("ranges along two axes")
    figure = draw(result)
    assert list(pictures_of(result)) == ["limits_along"]
    upper, lower = figure.axes
    table = result.said
    for axis, side in ((upper, "high"), (lower, "low")):
        assert axis.get_ylabel().startswith("highest" if side == "high" else "lowest")
        drawn = {(x, y) for line in axis.lines for x, y in line.get_xydata()}
        known = table[table[f"{side}_edge"].isin(["FAILS", "CANNOT_BE_BUILT", "RANGE_ENDS"])]
        for x, y in zip(known["ground.slope"], known[f"{side}_done"], strict=True):
            assert (x, y) in drawn
    said = texts(figure)
    assert all(name in said for name in ("0 %", "12.5 %", "30 %", "lines: overdrive", "ground slope, deg"))
    assert len([bar for bar in upper.patches if bar.get_hatch()]) == (table["high_edge"] == "NOT_KNOWN").sum()
    crosses = [line for line in lower.lines if line.get_marker() == "x"]
    assert len(crosses) == (table["low_edge"] == "NEVER_DONE").sum()


def test_an_axis_of_words_is_drawn_too():
    figure = draw(ranges(driveline__drive=["all", "rear", "front"]))
    labels = [tick.get_text() for tick in figure.axes[-1].get_xticklabels()]
    assert labels == ["all", "rear", "front"]


def test_the_headline_names_what_differs_and_hides_nothing():
    said = ranges().headline
    assert said.startswith("Highest ground grip: at least 100 % (as given), 69.0 % (axle end 10 mm higher)")
    for part in ("above it: rig and course cannot be built so", "Not done at all (axle end 10 mm lower)"):
        assert part in said
    assert "Not known (soft): runs gave no answer" in said
    assert "Done again beyond the edge (axle end 10 mm higher)" in said


def test_a_headline_along_an_axis_says_from_where_to_where():
    said = result_of("ranges along an axis").headline
    assert "Lowest ground grip goes from 31.2 % to 39.2 % as ground slope goes from 0 to 40 deg" in said
    assert "Not done at all at ground slope 10 and 35 deg" in said
