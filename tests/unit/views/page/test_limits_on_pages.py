"""Charts of limits: bars and bands end where the tables say, and what is not known is not drawn as known."""

import dataclasses
from itertools import pairwise

import numpy as np
import pytest
from read_back import Scale, all_of, bars, figure_of, marks, number, rows, texts, words
from results_to_show import limits, ranges, result_of

from simcore.accounts.verdict import Failure, Verdict
from simcore.results.headlines.ranges import Ending
from simcore.studies.limit import Limits
from simcore.studies.ranges import End, Range
from simcore.views.page.chart import Chart
from simcore.views.page.limits import notes_along, of_limits, of_ranges, of_ranges_along

NEAR = 0.05  # deg or %, of places to a hundredth per cent


def test_bars_reach_from_the_level_to_the_slope_climbed() -> None:
    result = limits(5)
    figure = figure_of(of_limits(result).part)
    scale, drawn = Scale(figure), rows(figure)
    assert list(drawn) == list(result.cases)
    for name, row in result.table.iterrows():
        own = bars(drawn[str(name)], scale)
        if np.isnan(row["climbs_deg"]):
            assert own == [] and "fails on the level" in words(drawn[str(name)])
        else:
            assert [fill for fill, _, _ in own] == ["full"]
            assert own[0][1:] == pytest.approx((0.0, row["climbs_deg"]), abs=NEAR)
            assert f"{row['climbs_deg']:.1f}°" in words(drawn[str(name)])
        assert row["why"] in words(drawn[str(name)])
        assert sorted(marks(drawn[str(name)], scale)) == pytest.approx(
            sorted([row["grip_deg"], row["tip_back_deg"]]), abs=NEAR
        )
        assert f"tips back {row['tip_back_deg']:.1f}°" in words(drawn[str(name)])
    assert "limits of the rig standing rigid" in words(figure)


def with_gap(result: Limits, fails: float | None) -> Limits:
    """Its first case with slopes without an answer from what it climbs on."""
    name, first = next(iter(result.cases.items()))
    open_slopes = ((32.0, Verdict(Failure.NO_START_FOUND)), (40.0, Verdict(Failure.BROKE_OFF)))
    gap = dataclasses.replace(first, fails_deg=fails, open_slopes=open_slopes)
    return dataclasses.replace(result, cases=dict(result.cases) | {name: gap})


@pytest.mark.parametrize("fails", [45.5, None])
def test_where_runs_gave_no_answer_the_row_is_hatched(fails: float | None) -> None:
    result = with_gap(limits(2), fails)
    figure = figure_of(of_limits(result).part)
    scale, row = Scale(figure), next(iter(rows(figure).values()))
    (full, _, climbs), (hatched, low, high) = bars(row, scale)
    assert (full, hatched) == ("full", "hatched") and climbs == pytest.approx(low, abs=NEAR)
    assert high == pytest.approx(scale.at(100.0) if fails is None else fails, abs=NEAR)
    assert "no answer" in words(row)
    (lines,) = all_of(row, "line", "hatch")  # seen without colour too
    assert number(lines.get("x2", "")) > number(lines.get("x1", ""))


def test_a_range_reaches_from_its_least_to_its_greatest_value() -> None:
    result = ranges()
    figure = figure_of(of_ranges(result).part)
    scale, drawn = Scale(figure), rows(figure)
    for name, found in result.ranges.items():
        own = bars(drawn[name], scale)
        full = [ends for fill, *ends in own if fill == "full"]
        if found.low.done is None:
            assert own == [] and "not done anywhere" in words(drawn[name])
        else:
            assert full[0] == pytest.approx([found.low.done, found.high.done], abs=NEAR)
        pale = [ends for fill, *ends in own if fill == "pale"]
        assert [sum(ends) / 2 for ends in pale] == pytest.approx(
            [sum(ends) / 2 for ends in found.others], abs=NEAR
        )
        hatched = [ends for fill, *ends in own if fill == "hatched"]
        unknown = [end for end in (found.low, found.high) if end.ending is Ending.NOT_KNOWN]
        assert len(hatched) == len(unknown)
        for ends, end in zip(hatched, unknown, strict=True):
            assert ends == pytest.approx([end.done, end.beyond], abs=NEAR)
        arrows = [number(one.get("x", "")) for one in all_of(drawn[name], "svg", "shape")]
        further = [end.done for end in (found.low, found.high) if end.ending is Ending.RANGE_ENDS]
        assert [scale.at(one) for one in arrows] == pytest.approx(further, abs=NEAR)
        assert marks(drawn[name], scale) == pytest.approx([found.own], abs=NEAR)
    for key in ("black: as given", "arrow: to the end", "pale: done again", "hatched: no answer"):
        assert key in words(figure)


def test_a_range_of_which_nothing_is_known_is_hatched_whole() -> None:
    open_end = End(None, None, Ending.NOT_KNOWN, "", "", Ending.NOT_KNOWN.value)
    unknown = Range(None, open_end, open_end, (), ((10.0, "DIED"),), (), True, 19)
    result = result_of("one range")
    (name,) = result.ranges
    figure = figure_of(of_ranges(dataclasses.replace(result, ranges={name: unknown})).part)
    ((fill, low, high),) = bars(rows(figure)[name], Scale(figure))
    assert fill == "hatched" and (low, high) == pytest.approx((10.0, 100.0), abs=NEAR)


# --- along other numbers ---


def upright(path: str, up: tuple[float, float]) -> list[tuple[float, float, float]]:
    """Lines of a path that run straight up: place along (share), and their ends."""
    found = []
    for piece in path.split("M")[1:]:
        start, _, step = piece.partition("l")
        x, z = map(int, start.split())
        across, over = map(int, step.replace("-", " -").split())
        assert across == 0
        low, high = (up[1] - value / 1000.0 * (up[1] - up[0]) for value in (z, z + over))
        found.append((x / 1000.0, *sorted((low, high))))
    return found


def paths(chart: Chart, name: str) -> str:
    """Path of the lines of a look."""
    return "".join(one.path for one in chart.drawn.lines if one.dash == name)


def test_an_upright_line_spans_every_range_that_is_known() -> None:
    result = result_of("ranges along two axes")
    charts = of_ranges_along(result)
    table = result.said
    assert [chart.note for chart in charts] == ["overdrive 0 %", "overdrive 12.5 %", "overdrive 30 %"]
    known = ("FAILS", "CANNOT_BE_BUILT", "RANGE_ENDS")
    for chart, (_, own) in zip(charts, table.groupby("driveline.overdrive"), strict=True):
        assert chart.up and chart.up[0] < 10.0 and chart.up[1] > 100.0, "all that was searched"
        done = own[own["low_edge"].isin(known) & own["high_edge"].isin(known)]
        drawn = upright(paths(chart, "stem"), chart.up)
        low, high = chart.limits
        assert [low + share * (high - low) for share, _, _ in drawn] == pytest.approx(
            list(done["ground.slope"]), abs=0.1
        )
        for (_, bottom, top), (_, row) in zip(drawn, done.iterrows(), strict=True):
            assert (bottom, top) == pytest.approx((row["low_done"], row["high_done"]), abs=0.2)
        hidden = own[own["high_edge"] == "NOT_KNOWN"]
        gaps = upright(paths(chart, "gap"), chart.up)
        for (_, bottom, top), (_, row) in zip(gaps, hidden.iterrows(), strict=True):
            assert (bottom, top) == pytest.approx((row["high_done"], row["high_fails"]), abs=0.2)
        never = own[own["high_edge"] == "NEVER_DONE"]
        assert [x for x, _ in chart.crosses] == list(never["ground.slope"])
        assert len(list(all_of(figure_of(chart.part), "svg", "over"))) == bool(chart.crosses)
    (said,) = notes_along(result)
    for part in ("hollow: to the end", "cross: never done", "hatched: no answer", "axis was searched"):
        assert part in said


def test_a_band_is_shaded_only_between_neighbours_that_are_known() -> None:
    result = result_of("ranges along an axis")
    (chart,) = of_ranges_along(result)
    (area,) = chart.drawn.areas
    table = result.said
    known = table["high_edge"].isin(("FAILS", "CANNOT_BE_BUILT", "RANGE_ENDS")).to_numpy()
    pairs = sum(a and b for a, b in pairwise(known))
    shaded = sum((piece.count("L") + 1) // 2 - 1 for piece in area.path.split("M")[1:])
    assert 0 < pairs == shaded


def test_an_axis_of_words_has_its_names() -> None:
    (chart,) = of_ranges_along(ranges(driveline__drive=["all", "rear", "front"]))
    assert texts(figure_of(chart.part), "div", "along") == ["allrearfront"]
    assert [tick.text for tick in chart.drawn.along] == ["all", "rear", "front"]


def test_where_the_range_ends_the_edge_is_said_to_lie_further() -> None:
    first = of_ranges_along(result_of("ranges along two axes"))[0]
    ends = {one.name: one for one in first.drawn.ends}
    assert ends["highest"].more == "at least" and ends["lowest"].more == ""
