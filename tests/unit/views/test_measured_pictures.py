"""Pictures of a measured rig, and of what an answer hangs on; and what the terminal says of the latter."""

import dataclasses

import pytest
from matplotlib.colors import to_hex
from matplotlib.figure import Figure
from results_to_show import result_of, sensitivity

from simcore.results.headlines.sensitivity import said_error
from simcore.studies.measure import Measurement
from simcore.studies.sensitivity import Sensitivity
from simcore.views.catalogue import draw, pictures_of
from simcore.views.console.layout import in_lines
from simcore.views.console.matters import sensitivity_blocks
from simcore.views.pictures.measured import MOST, known_numbers, known_places
from simcore.views.pictures.style import BLUE, VERMILION
from simcore.views.pictures.tornado import PANELS


def words(figure: Figure) -> str:
    """All words of a figure in one line."""
    found = [text.get_text() for text in figure.texts]
    for axis in figure.axes:
        found += [text.get_text() for text in (*axis.texts, *axis.get_yticklabels())]
        found += [axis.get_xlabel(), axis.get_title(), axis.get_title(loc="left")]
    return " ".join(" ".join(found).split()).replace("\N{NO-BREAK SPACE}", " ")


def measured(kind: str) -> Measurement:
    result = result_of(kind)
    assert isinstance(result, Measurement)
    return result


@pytest.mark.parametrize("kind", ["measured rig", "guessed rig"])
def test_a_measured_rig_has_two_pictures_headed_by_what_is_known(kind: str):
    result = measured(kind)
    assert list(pictures_of(result)) == ["how_well_known", "rig_known"]
    for name in pictures_of(result):
        assert result.headline in words(draw(result, name))


def test_bars_of_errors_stand_worst_first_and_only_what_was_read_is_plain():
    result = measured("measured rig")
    left, right = draw(result, "how_well_known").axes
    for panel, known in ((left, known_places(result)), (right, known_numbers(result))):
        lengths = [bar.get_width() for bar in panel.patches]
        assert lengths == sorted(lengths, reverse=True) and len(lengths) == min(MOST, len(known))
        for bar, said in zip(panel.patches, panel.texts, strict=True):
            assert bool(bar.get_hatch()) == (not said.get_text().endswith(" read"))
            assert bar.get_x() + bar.get_width() < panel.get_xlim()[1]
    assert left.texts[0].get_text().endswith(" worked out")  # the bare chassis, by what the whole rig leaves
    assert "motor no load current" in words(left.figure)


def test_errors_are_those_of_the_sheet():
    result = measured("measured rig")
    places = {one.name: one.error for one in known_places(result)}
    assert places["rear lower link, chassis pin"] == pytest.approx(2.0**0.5)  # 1 mm each way
    numbers = {one.name: one.error for one in known_numbers(result)}
    assert numbers["motor kv"] == pytest.approx(5.0)  # what stands in for a label
    assert numbers["front tyre slip stiffness"] == pytest.approx(100.0 * 3.0 / 11.0)  # 8 to 14
    assert "gear ratio" not in numbers  # counted, so exact


@pytest.mark.parametrize(("kind", "dashed", "larger"), [("measured rig", 0, 5.0), ("guessed rig", 13, 1.0)])
def test_crosses_are_as_long_as_errors_and_dashed_where_guessed(kind: str, dashed: int, larger: float):
    result = measured(kind)
    (axis,) = draw(result, "rig_known").axes
    ways = [line for line in axis.lines if len(line.get_xdata()) == 2]
    lines = [line for line in ways if line.get_color() in (BLUE, VERMILION)]
    guessed = [line for line in lines if line.get_linestyle() != "-"]
    assert len(guessed) == 2 * dashed and {line.get_color() for line in guessed} <= {VERMILION}
    assert len(lines) == 2 * len(known_places(result))
    entry = result.derived.entries["rear.lower_link.chassis.1"]
    tall = [line for line in lines if sum(line.get_ydata()) == pytest.approx(2.0 * entry.value)]
    ends = [line.get_ydata() for line in tall if line.get_xdata()[0] == pytest.approx(_along(result))]
    assert any(high - low == pytest.approx(2.0 * larger * entry.error) for low, high in ends)
    assert ("drawn 5 times too large" in words(axis.figure)) == (larger == 5.0)


def _along(result: Measurement) -> float:
    return result.derived.entries["rear.lower_link.chassis.0"].value


def asked(kind: str) -> Sensitivity:
    result = result_of(kind)
    assert isinstance(result, Sensitivity)
    return result


ASKED = ["what an answer hangs on", "what turns a verdict", "what two cases hang on"]


@pytest.mark.parametrize("kind", ASKED)
def test_the_tornado_is_headed_by_its_sentence_and_names_everything_it_draws(kind: str):
    result = asked(kind)
    figure = draw(result)
    said = words(figure)
    assert result.headline in said and "too small to be seen" in said
    assert len(figure.axes) <= PANELS
    for bar in result.answer.telling:
        assert said_error(bar) in said


def test_bars_reach_from_the_answer_to_what_becomes_of_it_and_guesses_are_hatched():
    result = asked("what an answer hangs on")
    answer = result.answer
    panel = draw(result).axes[0]
    k = answer.by_size()[0]
    bars = [patch for patch in panel.patches if patch.get_zorder() == 2]
    worst = answer.telling[0]
    ends = sorted(bar.get_x() + bar.get_width() for bar in bars[:2])
    assert ends == pytest.approx(sorted(side.figures[k] for side in worst.sides))
    assert bars[0].get_hatch() and to_hex(bars[0].get_edgecolor()).upper() == VERMILION
    read = [bar for bar in bars if bar.get_y() // 1 in (0, 1) and not bar.get_hatch()]
    assert read  # the second bar was measured
    (band,) = [patch for patch in panel.patches if patch.get_zorder() == 0]
    seen = answer.figures[k].seen
    assert (band.get_x(), band.get_width()) == (pytest.approx(3.1 - seen), pytest.approx(2.0 * seen))


def test_a_verdict_is_written_where_it_turns():
    said = words(draw(asked("what turns a verdict")))
    assert "2.4 N·s/m: not done" in said and "2.4 N·s/m: no answer" in said


def test_an_answer_that_nothing_moves_is_drawn_and_said():
    result = sensitivity((0.3, 0.2))
    assert result.headline.startswith("No single reading or guess moves the answer visibly")
    assert result.headline in words(draw(result))
    nothing = dataclasses.replace(result, answer=dataclasses.replace(result.answer, figures=(), bars=()))
    assert draw(nothing).axes and in_lines(sensitivity_blocks(nothing, False), 80)


def test_the_terminal_says_what_moves_it_and_all_of_it_together():
    result = asked("what turns a verdict")
    said = "\n".join(line.text for line in in_lines(sensitivity_blocks(result, False), None))
    assert "stops at the ledge: rear tyres spin" in said
    assert "others move nothing visibly" in said and "All of it together" in said
    every = "\n".join(line.text for line in in_lines(sensitivity_blocks(result, True), None))
    assert all(bar.name in every for bar in result.answer.bars)


@pytest.mark.parametrize("width", [80, 120, 200])
@pytest.mark.parametrize("kind", ASKED)
def test_no_line_of_it_is_wider_than_the_screen(kind: str, width: int):
    for everything in (False, True):
        lines = in_lines(sensitivity_blocks(asked(kind), everything), width)
        assert max(len(line.text) for line in lines) <= width
