"""What came of moving readings: which is worst, all together, and the sentence."""

import pytest

from simcore.accounts.job import JobState
from simcore.readings.moves import Source
from simcore.results.headlines.sensitivity import sensitivity_headline, total_words
from simcore.results.moved import Answer, Bar, Figure, Side, moves_visibly

DONE, NOT, OPEN = JobState.DONE, JobState.NOT_DONE, JobState.UNKNOWN
SQUAT = Figure("rear_squat_mm", "as given", "", 3.0, 0.5)
PITCH = Figure("pitch_rise_deg", "as given", "", 1.0, 0.25)


def bar(name: str, *sides: tuple, source: Source = Source.GUESS, figures: int = 1) -> Bar:
    """A bar of ways (squat, ... job); moved from 3 to 4, then to 2."""
    found = tuple(
        Side(to, tuple(values), (job,), "stands still" if job is NOT else "")
        for to, (*values, job) in zip((4.0, 2.0), sides, strict=False)
    )
    return Bar(name, "", source, "N*s/m", 3.0, 1.0, name, found)


def answer(*bars: Bar, figures: tuple[Figure, ...] = (SQUAT,), job: JobState = DONE) -> Answer:
    return Answer(figures, ("as given",), (job,), bars)


OIL = bar("rear oil", (2.4, DONE), (3.9, DONE))
GRIP = bar("tyre grip", (3.4, DONE))
SPRING = bar("spring", (3.7, DONE), (2.0, DONE), source=Source.ROWS)


def test_worst_first_in_visible_differences_across_figures():
    soft = bar("pitch alone", (3.1, 1.6, DONE))  # 2.4 visible; 0.2 of squat
    hard = bar("squat alone", (3.9, 1.0, DONE))  # 1.8 visible
    found = answer(hard, soft, figures=(SQUAT, PITCH))
    assert [one.name for one in found.ranked] == ["pitch alone", "squat alone"]
    assert (found.most_moved(soft), found.most_moved(hard)) == (1, 0)
    assert found.seen(soft) == pytest.approx(2.4) and found.seen(hard) == pytest.approx(1.8)
    assert found.by_size() == [1, 0]


def test_another_verdict_outranks_any_number():
    far, turned = bar("far", (30.0, DONE)), bar("turned", (None, NOT), (3.0, DONE))
    found = answer(far, turned)
    assert [one.name for one in found.ranked] == ["turned", "far"]
    assert sensitivity_headline(found) == "Measure next: turned; at 4.0 N·s/m it stands still"


def test_what_is_not_known_turns_no_verdict_and_is_told():
    lost = bar("lost", (None, OPEN), (3.0, DONE))
    found = answer(lost)
    assert not found.turns(lost) and found.seen(lost) == 0.0
    assert found.unknown() == [(lost, lost.sides[0])]


def test_all_together_is_the_root_of_the_sum_of_squares():
    three, four = bar("three", (3.0 + 0.3, DONE)), bar("four", (3.0 - 0.1, DONE), (3.0 + 0.4, DONE))
    found = answer(three, four)
    assert found.total(0) == pytest.approx(0.5)
    assert total_words(found, 0) == "rear squat 3.0 mm ± 0.50 mm"
    assert found.reach(four, 0) == (pytest.approx(2.9), pytest.approx(3.4))


@pytest.mark.parametrize(
    ("bars", "said"),
    [
        (
            (OIL, GRIP),
            "Measure next: rear oil; by it alone rear squat is 2.4 mm to 3.9 mm; nothing else moves it "
            "visibly",
        ),
        (
            (OIL, bar("sag", (3.55, DONE))),
            "Measure next: rear oil; by it alone rear squat is 2.4 mm to 3.9 mm; nothing else moves it by "
            "more than 0.55 mm",
        ),
        (
            (OIL, SPRING),
            "Measure more surely: spring; by it alone rear squat is 2.0 mm to 3.7 mm; rear oil moves it by "
            "0.90 mm, nearly as much",
        ),
        (
            (GRIP, bar("drag", (3.3, DONE))),
            "No single reading or guess moves the answer visibly; all together, roughly: rear squat 3.0 mm "
            "± 0.50 mm",
        ),
    ],
)
def test_the_sentence_says_what_to_measure_and_what_else_matters(bars: tuple[Bar, ...], said: str):
    assert sensitivity_headline(answer(*bars)) == said


def test_an_answer_without_figures_is_its_verdict():
    turned_too = Side(4.0, (), (DONE, DONE), "")
    motor = Bar("m", "", Source.GUESS, "1", 3.0, 1.0, "motor", (turned_too,))
    found = Answer((), ("a", "b"), (NOT, DONE), (motor,))
    assert sensitivity_headline(found) == 'Measure next: motor; at 4.0 "a" does its job'
    assert "No single" in sensitivity_headline(Answer((), ("a",), (DONE,), ()))


def test_the_other_way_is_tried_where_one_comes_near_to_what_is_seen():
    near, far = Side(4.0, (3.26,), (DONE,), ""), Side(4.0, (3.2,), (DONE,), "")
    assert moves_visibly((SQUAT,), near, (DONE,), 0.5) and not moves_visibly((SQUAT,), far, (DONE,), 0.5)
    assert moves_visibly((SQUAT,), Side(4.0, (None,), (OPEN,), "no rig"), (DONE,), 0.5)
