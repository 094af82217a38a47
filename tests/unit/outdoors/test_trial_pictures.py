"""The picture and the chart of a trial: what it says, and that all of it stands inside."""

from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest
from invented_trials import CHANGED, climbed_or_not, driven, key_of, result_of, trial
from matplotlib.figure import Figure

from simcore.outdoors.field_trial import FieldTrial
from simcore.outdoors.findings import Beside
from simcore.outdoors.told import beside_words, range_words
from simcore.results.formatting import MINUS
from simcore.views.catalogue import draw
from simcore.views.page.trial import of_field_trial


def nothing_typed() -> FieldTrial:
    return result_of(key_of(), ())


def few() -> FieldTrial:
    """Five pairs, which have no interval."""
    key = key_of()
    return result_of(key, driven(key, 1.7, 1.5)[:10])


MADE: dict[str, Callable[[], FieldTrial]] = {
    "number": trial,
    "yes or no": climbed_or_not,
    "nothing typed": nothing_typed,
    "five pairs": few,
    "not blind": lambda: trial(3.0, 1.0, 1.0),
}


def said(figure: Figure) -> str:
    texts = [text.get_text() for text in figure.texts]
    return " ".join(" ".join(texts).split())


@pytest.mark.parametrize("name", MADE)
def test_title_is_the_headline_and_every_pair_is_inside(name: str) -> None:
    result = MADE[name]()
    figure = draw(result)
    assert said(figure).replace("\N{NO-BREAK SPACE}", " ").startswith(result.headline)
    assert CHANGED in said(figure)
    pairs, effect = figure.axes
    low, high = pairs.get_ylim()
    dots = [tuple(place) for one in pairs.collections for place in np.asarray(one.get_offsets())]
    assert sorted(dots) == sorted((one.pair, one.difference) for one in result.findings.pairs)
    ends = [float(end) for end in result.effect.to_numpy().ravel() if np.isfinite(end)]
    assert all(low < value < high for value in [*ends, *(y for _, y in dots)])
    assert [label.get_text() for label in effect.get_xticklabels()] == ["measured", "predicted"]


@pytest.mark.parametrize("names", [("A" * 40, "B" * 40), tuple(f"P{k}" for k in range(12))])
def test_names_of_drivers_stay_over_their_panel(names: tuple[str, ...]) -> None:
    key = key_of()
    runs = (replace(run, driver=names[(run.run + 1) // 2 % len(names)]) for run in driven(key, 1.7, 1.5))
    figure = draw(result_of(key, tuple(runs)))
    pairs, effect = figure.axes
    figure.canvas.draw()
    title = next(
        text for text in pairs.get_children() if getattr(text, "get_text", str)().startswith("filled")
    )
    assert title.get_window_extent().x1 < effect.get_window_extent().x0


@pytest.mark.parametrize("name", MADE)
def test_chart_of_the_page_has_both_and_every_pair(name: str) -> None:
    result = MADE[name]()
    chart = of_field_trial(result)
    assert [row.name for row in chart.rows[:2]] == ["measured", "predicted"]
    assert len(chart.rows) == 2 + len(result.findings.pairs)
    assert "nan" not in chart.words
    assert "inf" not in chart.words


def test_words_of_a_trial_say_what_is_not_known_and_what_is_the_same() -> None:
    plan = key_of().plan
    assert range_words(plan.measure, -np.inf, np.inf) == "not known"
    assert range_words(plan.measure, -np.inf, 1.0).startswith("any to ")
    assert range_words(plan.measure, 0.02, 24.0) == "+0.02 to +24 deg"
    assert range_words(plan.measure, -0.3, 24.0) == f"{MINUS}0.3 to +24 deg"
    noted = Beside("temperature", 14.0, 20.0, 0.0, 0.1, 0.4)
    assert "the same with the change as without;" in beside_words(plan, noted)
    assert "0.250 less with the change;" in beside_words(plan, replace(noted, less=-0.25))
