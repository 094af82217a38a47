"""Maps of sweeps: colours and words in cells are those of the table, and failing runs are marked."""

import re

import numpy as np
import pytest
from read_back import Element, Scale, all_of, figure_of, number, place, texts, words
from results_to_show import result_of, swept

from simcore.accounts.job import JobState
from simcore.results.formatting import said_factor
from simcore.studies.sweep import Sweep
from simcore.views.page import curves
from simcore.views.page.cells import SHADES, Map, colour, ink_on, of_sweep
from simcore.views.page.figures import of_other
from simcore.views.pictures.style import white_contrast


def cell_colours(figure: Element) -> dict[tuple[int, int], str]:
    """Colour of each cell, by column and row from above."""
    drawn = next(all_of(next(all_of(figure, "div", "cells")), "svg"))
    wide, high = map(int, drawn.get("viewBox", "").split()[2:])
    found = {}
    for path in drawn.iter("path"):
        for x, y, across, down in re.findall(
            r"M(\d+) (\d+)h(\d+)v(\d+)h-\3z", path.get("d", "") * bool(path.get("fill"))
        ):
            at = int(x) // int(across), int(y) // int(down)
            assert at not in found and int(x) < wide and int(y) < high
            found[at] = str(path.get("fill"))
    return found


def legend(figure: Element) -> dict[str, float]:
    """Value of each colour, by the scale under the strip."""
    (strip,) = all_of(figure, "div", "strip")
    scale = Scale(strip)
    count = len(list(strip.iter("path")))
    return {
        str(one.get("fill")): scale.at(100.0 * (k + 0.5) / count) for k, one in enumerate(strip.iter("path"))
    }


def by_cell(sweep: Sweep, key: str) -> dict[tuple[float, float], float]:
    (first, second), _ = sweep.pair
    table = sweep.said
    return dict(
        zip(zip(table[first], table[second], strict=True), table[key] * said_factor(key), strict=True)
    )


def names(figure: Element) -> tuple[list[float], list[float]]:
    """Values of the columns, and of the rows from above."""
    along = next(all_of(figure, "div", "along"))
    up = next(all_of(figure, "div", "up"))
    rising = sorted(up.iter("span"), key=lambda one: -place(one, "bottom"))
    return [number(words(one)) for one in along.iter("span")], [number(words(one)) for one in rising]


@pytest.mark.parametrize("k", [0, 3])
def test_every_cell_has_the_colour_and_the_words_of_its_run(k: int) -> None:
    sweep = result_of("two axes")
    figure = figure_of(of_sweep(sweep)[k].part)
    values, of_colour, cells = by_cell(sweep, sweep.shown[k]), legend(figure), cell_colours(figure)
    across, down = names(figure)
    assert len(values) == len(across) * len(down)
    shade = max(of_colour.values()) - min(of_colour.values())
    said = {
        (number(one.get("x", "")), number(one.get("y", ""))): words(one) for one in all_of(figure, "text")
    }
    for (x, y), value in values.items():
        at = across.index(x), down.index(y)
        middle = (100.0 * (at[0] + 0.5) / len(across), 100.0 * (at[1] + 0.5) / len(down))
        text = next((one for spot, one in said.items() if spot == pytest.approx(middle, abs=0.01)), "")
        if np.isnan(value):
            assert at not in cells and text == ""
        else:
            assert of_colour[cells[at]] == pytest.approx(value, abs=0.51 * shade / (SHADES - 1))
            assert number(text.split()[0]) == pytest.approx(value, abs=0.51)


def test_runs_without_a_result_are_struck_through_and_failing_ones_crossed() -> None:
    sweep = swept(ground__slope="0:40:10", driveline__overdrive=[0, 12.5, 30])
    for row in sweep.rows[1::2]:
        if "job" in row:
            row["job"] = JobState.DONE.name
            row["ended"] = "COVERED"
    lost, missed = len(sweep.failed), sum(row.get("job") == "NOT_DONE" for row in sweep.rows)
    assert lost and missed and missed < len(sweep.rows) - lost
    figure = figure_of(of_sweep(sweep)[0].part)
    assert next(all_of(figure, "path", "lost")).get("d", "").count("z") == lost
    assert next(all_of(figure, "path", "struck")).get("d", "").count("M") == lost
    crossed = [one for one in texts(figure, "text") if one.endswith("\N{MULTIPLICATION SIGN}")]
    assert len(crossed) == missed
    assert "job not done" in words(figure) and "struck through: no result" in words(figure)
    label = next(all_of(figure, "div", "grid-of")).get("aria-label", "")
    assert f"{missed} cells: job not done" in label and f"{lost} cells: no result" in label


def test_of_many_runs_cells_bear_crosses_in_place_of_words() -> None:
    sweep = swept(driveline__overdrive="0:14:1", ground__slope="0:14:1")
    part = of_sweep(sweep)[0].part
    figure = figure_of(part)
    assert not list(all_of(figure, "text")) and len(part.html) < 30_000
    missed = sum(row.get("job") == "NOT_DONE" for row in sweep.rows)
    assert sum(one.get("d", "").count("M") for one in all_of(figure, "path", "sign")) == missed > 100
    assert len(cell_colours(figure)) == 225 - len(sweep.failed)


def a_map(values: list[list[float]]) -> Map:
    found = np.array(values)
    across, up = ([str(k) for k in range(n)] for n in (found.shape[1], found.shape[0]))
    return Map("pitch, deg", "", ("x, mm", "y, mm"), across, up, found, {}, {})


def test_alike_values_have_one_colour_and_no_scale_of_colours() -> None:
    figure = figure_of(a_map([[2.0, 2.0], [2.0, float("nan")]]).part)
    assert len(set(cell_colours(figure).values())) == 1 and not list(all_of(figure, "div", "strip"))


def test_a_map_without_any_value_says_so() -> None:
    nothing = a_map([[float("nan")] * 2] * 2)
    assert nothing.words.endswith("no value") and "struck through: no result" in words(
        figure_of(nothing.part)
    )


def test_words_on_every_colour_are_clear() -> None:
    """WCAG 2.1: 4.5 to 1; black has 21 to 1 over white, so its contrast is 21 by that of white."""
    for shade in range(SHADES):
        red, green, blue = (int(colour(shade)[k : k + 2], 16) / 255.0 for k in (1, 3, 5))
        white = white_contrast((red, green, blue))
        assert (white if ink_on(shade) == "white" else 21.0 / white) >= 4.5


def test_only_a_case_alone_over_two_axes_has_maps() -> None:
    headings = {
        kind: [one.heading for one in of_other(result_of(kind))]
        for kind in ("one axis", "two axes", "cases along an axis")
    }
    assert headings == {
        "one axis": ["Curves"],
        "two axes": ["Maps", "Curves"],
        "cases along an axis": ["Curves"],
    }


def test_runs_that_did_not_do_their_job_are_hollow_on_their_line() -> None:
    sweep = swept(ground__slope="0:40:10")
    for row in sweep.rows[::2]:
        if "job" in row:
            row["job"] = JobState.DONE.name
            row["ended"] = "COVERED"
    (line, dots, holes) = curves.of_sweep(sweep)[0].curves
    jobs = [row.get("job", "") for row in sweep.rows]
    assert [bool(np.isfinite(value)) for value in dots.y] == [job != "" for job in jobs]
    assert [bool(np.isfinite(value)) for value in holes.y] == [job == "NOT_DONE" for job in jobs]
    assert {"DONE", "NOT_DONE", ""} == set(jobs) and (dots.dash, holes.dash) == ("points", "holes")
    assert np.isfinite(line.y).sum() == sum(map(bool, jobs))
    assert curves.notes_of_sweep(sweep) == ["Hollow dots: job not done.", "Gaps in lines: no result."]
