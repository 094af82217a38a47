"""Charts of measurements: errors and what they do to an answer, as long as they are."""

import dataclasses

import numpy as np
import pytest
from read_back import Element, Scale, all_of, bars, figure_of, number, place, points, rows, texts, words
from results_to_show import SIZES, result_of, sensitivity

from simcore.results.formatting import said_factor
from simcore.results.headlines.sensitivity import bare_value
from simcore.results.moved import Answer
from simcore.views.page.known import of_measurement, of_sensitivity
from simcore.views.page.known_rig import of_measurement as drawn_rig
from simcore.views.pictures.measured import MOST, known_numbers, known_places, pairs


@pytest.mark.parametrize("kind", ["measured rig", "guessed rig"])
def test_bars_are_as_long_as_errors_the_worst_first(kind: str) -> None:
    result = result_of(kind)
    wanted = [known_places(result), known_numbers(result)]
    for chart, known in zip(of_measurement(result), wanted, strict=True):
        figure = figure_of(chart.part)
        scale, drawn = Scale(figure), list(rows(figure).items())
        assert [name for name, _ in drawn] == [one.name for one in known[:MOST]]
        longest = max(one.error for one in known)
        for (_, row), one in zip(drawn, known, strict=False):
            ((_, low, high),) = bars(row, scale)
            assert (low, high) == pytest.approx((0.0, one.error), abs=0.004 * longest)
            assert any(
                text.endswith(" ".join(one.origin.value.split()[-1:])) for text in texts(row, "p", "end")
            ) or ("guessed in part" in words(row))
        assert (f"{MOST} of {len(known)}" in words(figure)) is (len(known) > MOST)


def test_where_a_value_comes_from_shows_without_colour() -> None:
    result = result_of("measured rig")
    fills: dict[str, set[str]] = {}
    for chart in of_measurement(result):
        figure = figure_of(chart.part)
        for row in rows(figure).values():
            origin = texts(row, "p", "end")[0].partition(" ")[2]
            fills.setdefault(origin, set()).add(bars(row, Scale(figure))[0][0])
    assert all(len(own) == 1 for own in fills.values())
    assert len(set.union(*fills.values())) == len(fills) >= 3


def seen(figure: Element, scale: Scale) -> tuple[float, float]:
    one = next(all_of(figure, "rect", "seen"))
    left, width = (number(one.get(key, "")) for key in ("x", "width"))
    return scale.at(left), scale.at(left + width)


def wanted_bars(answer: Answer, k: int) -> list[list[tuple[float, float]]]:
    """Ends of the bars of every row, from the answer."""
    figure = answer.figures[k]
    factor = said_factor(figure.metric)
    found = []
    for bar in answer.telling:
        values = [factor * value for side in bar.sides if (value := side.figures[k]) is not None]
        found.append([(min(factor * figure.value, one), max(factor * figure.value, one)) for one in values])
    return found


@pytest.mark.parametrize("turned", [False, True])
def test_bars_run_from_the_answer_to_what_it_became(turned: bool) -> None:
    result = sensitivity(SIZES, turned=turned)
    for k, chart in enumerate(of_sensitivity(result)):
        figure = figure_of(chart.part)
        scale, own = Scale(figure), result.answer.figures[k]
        factor = said_factor(own.metric)
        span = scale.at(100.0) - scale.at(0.0)
        assert seen(figure, scale) == pytest.approx(
            (factor * (own.value - own.seen), factor * (own.value + own.seen)), abs=1e-3 * span
        )
        drawn = rows(figure)
        assert list(drawn) == [bar.name for bar in result.answer.telling]
        for row, wanted, bar in zip(
            drawn.values(), wanted_bars(result.answer, k), result.answer.telling, strict=True
        ):
            ends = [one for _, *one in bars(row, scale)]
            assert len(ends) == len(wanted)
            for one, two in zip(ends, wanted, strict=True):
                assert one == pytest.approx(two, abs=4e-3 * span)
            times = float(texts(row, "p", "end")[0].split()[0])
            assert times == pytest.approx(result.answer.largest(bar, k) / own.seen, abs=0.051)


def test_an_answer_that_nothing_was_moved_for_has_no_chart() -> None:
    result = sensitivity(SIZES)
    still = dataclasses.replace(result, answer=dataclasses.replace(result.answer, bars=()))
    assert of_sensitivity(still) == []


def test_of_several_cases_a_chart_says_whose_difference_it_is() -> None:
    figure = figure_of(of_sensitivity(sensitivity(SIZES, cases=3))[0].part)
    assert words(next(all_of(figure, "b"))) == 'rear squat of "soft" less "as given", mm'


def test_ends_bear_the_value_that_was_moved_to() -> None:
    result = sensitivity(SIZES)
    figure = figure_of(of_sensitivity(result)[0].part)
    worst = result.answer.telling[0]
    row = rows(figure)[worst.name]
    said = {
        words(one): place(one, "right" if "back" in one.get("class", "") else "left")
        for one in row.iter("span")
    }
    for side in worst.sides:
        text, value = bare_value(worst, side.to), side.figures[0]
        assert value is not None
        end = said[text]
        at = Scale(figure).at(100.0 - end if value < result.answer.figures[0].value else end)
        assert at == pytest.approx(value, abs=0.02)


def test_what_turns_a_verdict_is_said_and_nothing_is_drawn_for_it() -> None:
    result = sensitivity(SIZES, turned=True)
    figure = figure_of(of_sensitivity(result)[0].part)
    said = " ".join(words(row) for row in rows(figure).values())
    assert "not done" in said and "no answer" in said


def test_an_answer_that_nothing_moves_visibly_keeps_its_worst_bars() -> None:
    result = sensitivity((0.3, 0.02))
    (chart,) = of_sensitivity(result)
    assert len(rows(figure_of(chart.part))) == 2


@pytest.mark.parametrize(("kind", "larger"), [("measured rig", 5.0), ("guessed rig", 1.0)])
def test_crosses_are_as_long_as_errors_where_the_places_are(kind: str, larger: float) -> None:
    result = result_of(kind)
    figure = figure_of(drawn_rig(result).part)
    places = pairs(result.derived.entries)
    lines = [points(one) for one in all_of(figure, "polyline", "error")]
    assert len(lines) == 2 * len(places) + 2, "and the centre of the whole rig"
    for (x, z), across, upright in zip(places.values(), lines[::2], lines[1::2], strict=False):
        middle, errors = np.array([x.value, z.value]), larger * np.array([x.error, z.error])
        assert across == pytest.approx(middle + np.array([[-errors[0], 0.0], [errors[0], 0.0]]), abs=0.06)
        assert upright == pytest.approx(middle + np.array([[0.0, -errors[1]], [0.0, errors[1]]]), abs=0.06)
    dashed = {tuple(points(one).mean(axis=0).round()) for one in all_of(figure, "polyline", "guessed")}
    guessed = {
        (round(x.value), round(z.value))
        for x, z in places.values()
        if "guess" in x.origin.value + z.origin.value
    }
    assert len(dashed) == len(guessed)
    times = next(all_of(figure, "figcaption"))
    assert ("drawn 5 times too large" in words(times)) is (larger > 1.0)
