"""Charts of every kind of result: there, small, said in words, and safe whatever files call things."""

import dataclasses

import pytest
from read_back import all_of, figure_of, rows, texts, words
from results_to_show import KINDS, MEASURED, SIZES, limits, ranges, result_of, sensitivity

from simcore.studies.compare import runs_of
from simcore.studies.load import HOMES
from simcore.views.page.bars import Bar, Bars, Row
from simcore.views.page.cells import Map, of_sweep
from simcore.views.page.figures import of_other
from simcore.views.page.known import of_sensitivity
from simcore.views.page.limits import of_limits, of_ranges
from simcore.views.page.standing import of_inspection

NASTY = "<script>alert(1)</script> \"two\" 'one' & \N{AUTOMOBILE} \N{ARABIC LETTER SEEN}\N{ARABIC LETTER YEH}"
STILL = [kind for kind in (*KINDS, *MEASURED) if not runs_of(result_of(kind))]


@pytest.mark.parametrize("kind", STILL)
def test_every_result_without_runs_has_charts_that_say_in_words_what_they_show(kind: str) -> None:
    found = of_other(result_of(kind))
    assert found and len({one.name for one in found}) == len(found)
    for one in found:
        assert one.heading and one.parts
        for part in one.parts:
            figure = figure_of(part)
            assert len(part.html.encode()) < 30_000
            (drawn,) = [each for each in figure.iter() if each.get("role") == "img"]
            label, heading = drawn.get("aria-label", ""), words(next(all_of(figure, "b")))
            assert label.startswith(heading) and not label.endswith("no value"), label


def test_every_kind_of_result_is_tried_here() -> None:
    tried = {result_of(kind).kind for kind in (*KINDS, *MEASURED)}
    assert tried == set(HOMES)


def test_names_stand_in_bars_as_they_are() -> None:
    found = limits(2)
    (first, *_) = found.cases.values()
    figure = figure_of(of_limits(dataclasses.replace(found, cases={NASTY: first})).part)
    assert list(rows(figure)) == [NASTY] and not list(figure.iter("script"))
    assert NASTY in next(all_of(figure, "div", "rows")).get("aria-label", "")
    sought = ranges()
    (one, *_) = sought.ranges.values()
    figure = figure_of(of_ranges(dataclasses.replace(sought, ranges={NASTY: one})).part)
    assert list(rows(figure)) == [NASTY]
    hangs = sensitivity(SIZES)
    bars = (dataclasses.replace(hangs.answer.bars[0], name=NASTY),)
    moved = dataclasses.replace(hangs, answer=dataclasses.replace(hangs.answer, bars=bars))
    assert list(rows(figure_of(of_sensitivity(moved)[0].part))) == [NASTY]


def test_names_stand_in_drawings_and_maps_as_they_are() -> None:
    result = result_of("inspection")
    standing = dataclasses.replace(result.standing, name=NASTY)
    figure = figure_of(of_inspection(dataclasses.replace(result, standing=standing)).part)
    assert NASTY in words(next(all_of(figure, "figcaption"))) and not list(figure.iter("script"))
    first = of_sweep(result_of("two axes"))[0]
    harsh: Map = dataclasses.replace(first, across=[NASTY] * len(first.across), axes=(NASTY, NASTY))
    figure = figure_of(harsh.part)
    assert NASTY in texts(figure, "p", "upward") and not list(figure.iter("script"))
    assert NASTY in [words(one) for one in next(all_of(figure, "div", "along")).iter("span")]


def test_a_bar_of_no_length_is_still_seen() -> None:
    chart = Bars("grip, %", "", "grip, %", [Row("a", [Bar(98.0, 98.0)])], (0.0, 100.0))
    (rectangle,) = all_of(figure_of(chart.part), "rect")
    left, width = (float(rectangle.get(key, "").rstrip("%")) for key in ("x", "width"))
    assert width > 0.0 and left + 0.5 * width == pytest.approx(98.0, abs=0.01)
