"""The picture and the chart of a ranking: verdicts in words, not by colour alone."""

from dataclasses import replace

import pytest
from results_to_show import ranked, result_of

from simcore.accounts.job import JobState
from simcore.results.formatting import signed
from simcore.results.headlines.ranking import SIGNS, base_words, in_words, stuck, verdict_words
from simcore.results.ranked import Change, Effect, Verdict, verdict_of
from simcore.studies.ranking import Ranking
from simcore.views.catalogue import draw
from simcore.views.console.layout import Grid
from simcore.views.console.ranking import how, ranking_blocks
from simcore.views.page.of_result import page_of
from simcore.views.page.ranking import notes_of_ranking, of_ranking


@pytest.mark.parametrize("kind", ["changes ranked", "changes ranked under three conditions, nothing drawn"])
def test_every_change_has_its_verdict_in_words_beside_it(kind: str) -> None:
    result = result_of(kind)
    assert isinstance(result, Ranking)
    panels = draw(result).axes
    assert [panel.get_title(loc="left") for panel in panels] == list(result.basis.conditions)
    said = [text.get_text() for text in panels[0].get_yticklabels()]
    for change, words in zip(result.changes, said, strict=True):
        assert words.endswith(f"{SIGNS[change.verdict]}  {change.verdict.value}")
    charts = of_ranking(result)
    assert len(charts) == len(result.basis.conditions)
    for chart in charts:
        assert [row.name for row in chart.rows] == [change.name for change in result.changes]


def test_a_change_with_which_the_job_is_done_nowhere_is_not_called_unknown() -> None:
    no, lost = JobState.NOT_DONE, Effect("", JobState.NOT_DONE, JobState.UNKNOWN, None)
    fails = Effect("", no, no, None, drawn=8)
    assert verdict_words(Change("", Verdict.NOT_KNOWN, (fails, fails)))[1] == "job not done with it"
    for effects in ((fails, lost), (replace(fails, helped=1),)):
        assert verdict_words(Change("", Verdict.NOT_KNOWN, effects))[1] == Verdict.NOT_KNOWN.value


def test_signs_tell_all_verdicts_apart() -> None:
    assert set(SIGNS) == set(Verdict) and len(set(SIGNS.values())) == len(SIGNS)


def test_bars_reach_as_far_as_their_effects() -> None:
    result = ranked(32)
    (axis,) = draw(result).axes
    widths = sorted(bar.get_width() for bar in axis.patches if abs(bar.get_x()) < 1e-12)
    effects = [one for each in result.changes for one in each.effects if one.change is not None]
    assert widths == pytest.approx(sorted(one.change for one in effects))
    low, high = axis.get_xlim()
    assert all(low < end < high for one in effects for end in (one.low, one.high, one.change))
    said = {text.get_text() for text in axis.texts}
    assert {signed("pitch_rise_deg", one.change) for one in effects} <= said


def test_what_no_change_does_is_said_and_takes_no_room() -> None:
    result = ranked(0, 3)
    last = result.basis.conditions[-1]
    none = JobState.NOT_DONE
    changes = tuple(
        replace(
            one,
            effects=(*one.effects[:-1], replace(one.effects[-1], before=none, after=none, change=None)),
        )
        for one in result.changes
    )
    basis = replace(result.basis, jobs=(*result.basis.jobs[:-1], none))
    failing = replace(result, basis=basis, changes=changes)
    assert stuck(failing) == [last] and stuck(result) == []
    assert f"No change does the job in {last}" in failing.headline
    figure = draw(failing)
    assert last not in [panel.get_title(loc="left") for panel in figure.axes]
    assert any(f"No panel for {last}" in text.get_text() for text in figure.texts)
    assert len(of_ranking(failing)) == len(result.basis.conditions) - 1


def test_where_only_words_are_known_they_are_said_once() -> None:
    """A condition in which no change has a figure: what most do there, and by name what others do."""
    result, no = ranked(0, 3), JobState.NOT_DONE
    last, odd = result.basis.conditions[-1], result.changes[1].name
    changes = tuple(
        replace(
            one,
            effects=(
                *one.effects[:-1],
                replace(
                    one.effects[-1], before=no, after=no, change=None, drawn=8, helped=int(one.name == odd)
                ),
            ),
        )
        for one in result.changes
    )
    told = replace(result, changes=changes)
    (words,) = in_words(told).values()
    assert words.startswith("job not done either way, but for ") and words.count("(") == 1
    assert odd in words and "(job done only with it in 1 of 8 draws)" in words
    assert f"No panel for {last}: {words}." in " ".join(
        text.get_text().replace("\n", " ") for text in draw(told).texts
    )
    assert len(of_ranking(told)) == 2 and f"No chart for {last}: {words}." in notes_of_ranking(told)


@pytest.mark.parametrize(
    ("helped", "hurt", "words"),
    [
        (0, 9, "job done only without it in 9 of 32 draws"),
        (9, 0, "does the job with it alone (9 of 32 draws)"),
        (2, 1, "job done only with it in 2 of 32 draws, only without it in 1 of 32 draws"),
    ],
)
def test_table_and_picture_say_of_a_job_that_turns_the_same(helped: int, hurt: int, words: str) -> None:
    result = ranked(32)
    before, after = (
        (JobState.DONE, JobState.NOT_DONE) if hurt > helped else (JobState.NOT_DONE, JobState.DONE)
    )
    turned = replace(
        result.changes[0].effects[0], before=before, after=after, change=None, helped=helped, hurt=hurt
    )
    first = replace(result.changes[0], effects=(turned,), verdict=verdict_of((turned,), -1, 0.25))
    told = replace(result, changes=(first, *result.changes[1:]))
    (axis,) = draw(told).axes
    assert words in {text.get_text().replace("\n", " ") for text in axis.texts}
    grid = next(block for block in ranking_blocks(told, True) if isinstance(block, Grid))
    assert grid.cells[0][1] == words
    (chart,), (alone,) = of_ranking(told), of_ranking(replace(told, changes=(first,)))
    assert chart.seen and chart.keys and not alone.seen and not alone.keys


def test_in_how_many_draws_the_rig_does_its_own_job_is_said_where_not_in_all() -> None:
    result = ranked(32, 3)
    torn = replace(result, basis=replace(result.basis, done=(32, 20, None)))
    words = "Without any change the job is done: 30 % less grip in 20 of 32 draws."
    assert words in " ".join(text.get_text().replace("\n", " ") for text in draw(torn).texts)
    assert words in notes_of_ranking(torn)
    for done in ((), (32, 32, 32)):
        assert base_words(replace(result.basis, done=done)) == []


@pytest.mark.parametrize(("draws", "conditions", "known"), [(32, 1, 39), (64, 1, 0), (64, 3, 119), (0, 3, 0)])
def test_a_bell_curve_is_said_where_ends_are_taken_by_one(draws: int, conditions: int, known: int) -> None:
    result = ranked(draws, conditions)
    said = " ".join(text.get_text().replace("\n", " ") for text in draw(result).texts)
    for words in (said, " ".join(notes_of_ranking(result)), " ".join(how(result))):
        assert (("bell curve" in words) is bool(known) and f"from {known} draws on" in words) or not known


def test_brackets_are_explained_where_there_are_some() -> None:
    result = ranked(32)
    bare = [
        replace(one, effects=tuple(replace(e, low=None, high=None) for e in one.effects))
        for one in result.changes
    ]
    without = replace(result, changes=tuple(bare))
    assert "In brackets" in " ".join(how(result)) and "In brackets" not in " ".join(how(without))
    assert all("not drawn" in " ".join(how(one)) for one in (result, without))


def test_of_many_changes_it_says_how_many_are_not_drawn_and_names_keep_their_ends() -> None:
    result = ranked(0)
    first = result.changes[0]
    long = "steering servo and plate with all of its long horns and links, mass \N{MINUS SIGN}50 g"
    many = tuple(replace(first, name=f"{k} {long}") for k in range(30))
    figure = draw(replace(result, changes=many))
    names = [text.get_text() for text in figure.axes[0].get_yticklabels()]
    assert len(names) == 14
    assert all(one.split("\n")[1].endswith("mass \N{MINUS SIGN}50\N{NO-BREAK SPACE}g") for one in names)
    said = " ".join(text.get_text().replace("\n", " ") for text in figure.texts)
    assert "Not drawn, 16 of 30 changes: 16 between the best and the worst." in said


def test_the_rig_that_is_ranked_is_the_one_without_any_change() -> None:
    """Changes set other conditions, which did not hold in the run that all are set against."""
    result = ranked(0)
    assert "differs" not in result.asked
    each = replace(result, basis=replace(result.basis, each=True))
    assert "what each case changes" in page_of(result) and "what each case changes" not in page_of(each)
    assert each.asked.startswith("Which practical step") and result.asked.startswith(result.scenario.title)


def test_the_table_leaves_out_what_no_change_does() -> None:
    result, no = ranked(0, 2), JobState.NOT_DONE
    changes = tuple(
        replace(one, effects=(one.effects[0], replace(one.effects[1], before=no, after=no, change=None)))
        for one in result.changes
    )
    stops = replace(result, changes=changes, basis=replace(result.basis, jobs=(result.basis.jobs[0], no)))
    heads = [[head for (head,) in _grid(stops, everything).columns] for everything in (False, True)]
    last = result.basis.conditions[1]
    assert last not in heads[0] and last in heads[1]


def _grid(result: Ranking, everything: bool) -> Grid:
    return next(one for one in ranking_blocks(result, everything) if isinstance(one, Grid))
