"""Pictures and charts of draws: an interval says what it holds, every case has its band over the first."""

from dataclasses import replace

import numpy as np
import pytest
from results_to_show import drawn
from scipy.stats import norm

from simcore.results.headlines.scatter import Answer, bar_words
from simcore.results.moved import Figure
from simcore.results.scatter import interval_of, verdict_of
from simcore.studies.scattered import Spread
from simcore.views.catalogue import draw
from simcore.views.page.scatter import bands_of_spread, of_spread
from simcore.views.pictures.scatter import COLUMNS, band_words, beside, grouped, not_drawn


def answer(draws: int) -> Answer:
    """A difference over so many draws."""
    interval = interval_of(norm.ppf(np.linspace(0.01, 0.99, draws)))
    return Answer(
        Figure("pitch_end_deg", "one", "other", 0.0, 0.25), interval, None, verdict_of(interval, 0.25)
    )


@pytest.mark.parametrize(
    ("draws", "words"),
    [
        ((64,), "95 of 100 draws"),
        ((39,), "95 of 100 draws"),
        ((38,), "95 of 100 draws, from the lowest to the highest"),
        ((19, 19), "90 of 100 draws, from the lowest to the highest"),
        ((9, 19), "80 to 90 of 100 draws, from the lowest to the highest"),
        ((19, 64), "90 to 95 of 100 draws, from the lowest to the highest where there are few"),
        ((), ""),
    ],
)
def test_bars_are_said_to_hold_what_they_hold(draws: tuple[int, ...], words: str) -> None:
    """Between the ends of n draws lies one more with (n - 1) / (n + 1): 37/39, 18/20, 8/10."""
    assert bar_words([answer(count) for count in draws]) == words


def said(result: Spread, picture: str) -> str:
    """Words over a picture."""
    return " ".join(text.get_text().replace("\n", " ") for text in draw(result, picture).texts)


def test_picture_and_page_of_ten_draws_say_so() -> None:
    result = drawn()
    assert "82 of 100 draws, from the lowest to the highest" in said(result, "intervals")  # 9 / 11
    assert all(any("82 of 100" in key for key in chart.keys) for chart in of_spread(result))
    for panel in draw(result, "intervals").axes:
        low, high = panel.get_xlim()
        bars = [bar for bar in panel.patches if bar.get_height() < 0.9]
        assert bars and all(low < bar.get_x() and bar.get_x() + bar.get_width() < high for bar in bars)


def test_of_many_figures_the_largest_have_bars_and_words_say_which_have_none() -> None:
    own = answer(64)
    every = [
        own._replace(
            figure=replace(own.figure, metric=metric, case=f"case {k}"),
            interval=own.interval and own.interval._replace(middle=float(k)),
        )
        for metric in ("pitch_end_deg", "rear_lift_mm", "done_s", "time_s")
        for k in range(8)
    ]
    few = own._replace(figure=replace(own.figure, case="seldom"), interval=None)
    groups = grouped((*every, few))
    names = [[one.figure.case for one in group] for group in groups]
    assert names == [[f"case {k}" for k in range(2, 8)]] * 3
    told = not_drawn((*every, few))
    assert told[0] == "Not drawn, smaller in pitch at the end: case 0, case 1." and len(told) == 5
    assert told[-2:] == ["Not drawn: time.", "No bars of seldom: too few draws did the job."]
    assert not_drawn(tuple(every[:8])) == []  # a panel alone has room for more


def test_every_case_has_its_band_over_that_of_the_first() -> None:
    result = drawn()
    base, *others = result.cases
    assert beside(result) == (base, others, [])
    axes = draw(result, "bands").axes
    assert len(axes) == 3 * len(others)
    for panel, case in zip(axes, others, strict=False):  # the first row: pitch
        assert panel.get_title(loc="left").replace("\n", " ") == case
        lines = [np.asarray(line.get_ydata()) for line in panel.lines]
        expected = [result.bands[name]["pitch_deg"][1] for name in (base, case)]
        for line, middle in zip(lines, expected, strict=True):
            assert line == pytest.approx(middle[np.isfinite(middle)])
    assert len({panel.get_ylim() for panel in axes[: len(others)]}) == 1
    charts = bands_of_spread(result)["pitch_deg"]
    assert [[curve.name for curve in chart.curves] for chart in charts] == [[base, case] for case in others]
    assert len({chart.up for chart in charts}) == 1


def test_of_many_cases_those_furthest_from_the_first_are_drawn() -> None:
    result = many(6)
    base, shown, left = beside(result)
    assert (base, shown, left) == (result.cases[0], [f"case {k}" for k in (2, 3, 4, 5)], ["case 1"])
    assert len(shown) == COLUMNS and "differs less: case 1" in said(result, "bands")
    assert "differs less: case 1" in " ".join(band_words(result))


def test_a_single_case_stands_alone() -> None:
    result = many(1)
    assert beside(result) == ("", list(result.cases), [])
    assert len(draw(result, "bands").axes) == 3 and "Grey" not in said(result, "bands")


def many(count: int) -> Spread:
    """Cases whose pitch is higher the later they come."""
    own = drawn()
    names = [own.cases[0], *(f"case {k}" for k in range(1, count))]
    scenario = own.scenario.changed({}, keep_variants=True).model_copy(
        update={"variants": {name: {"ground.slope": 5} for name in names[1:]}}
    )
    first = own.bands[own.cases[0]]
    bands = {name: {column: band + k for column, band in first.items()} for k, name in enumerate(names)}
    table = own.table[own.table["case"] == own.cases[0]]
    rows = table.loc[table.index.repeat(count)].assign(case=names * len(table)).reset_index(drop=True)
    jobs = own.jobs_given[:1] * count
    return replace(own, scenario=scenario, table=rows, bands=bands, figures_given=(), jobs_given=jobs)
