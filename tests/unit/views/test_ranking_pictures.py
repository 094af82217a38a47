"""The picture and the chart of a ranking: verdicts in words, not by colour alone."""

from dataclasses import replace

import pytest
from results_to_show import ranked, result_of

from simcore.accounts.job import JobState
from simcore.results.headlines.ranking import SIGNS, stuck
from simcore.results.ranked import Verdict
from simcore.studies.ranking import Ranking
from simcore.views.catalogue import draw
from simcore.views.page.ranking import of_ranking


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


def test_signs_tell_all_verdicts_apart() -> None:
    assert set(SIGNS) == set(Verdict) and len(set(SIGNS.values())) == len(SIGNS)


def test_bars_reach_as_far_as_their_effects() -> None:
    result = ranked(32)
    (axis,) = draw(result).axes
    widths = sorted(bar.get_width() for bar in axis.patches if abs(bar.get_x()) < 1e-12)
    changes = sorted(one.change for each in result.changes for one in each.effects if one.change is not None)
    assert widths == pytest.approx(changes)


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
    assert any(last in text.get_text() for text in figure.texts)
    assert len(of_ranking(failing)) == len(result.basis.conditions) - 1
