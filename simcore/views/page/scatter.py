"""Charts of what bench error leaves of an answer: bars of figures, and bands of the motion."""

import numpy as np

from simcore.results.formatting import said_factor, said_unit
from simcore.results.headlines.scatter import Answer, bar_words, interval_words, valued
from simcore.results.headlines.sensitivity import quantity_of
from simcore.results.scatter import Verdict
from simcore.studies.drawn_runs import CURVES
from simcore.studies.scattered import Spread
from simcore.views.page.bars import Bar, Bars, Mark, Row
from simcore.views.page.chart import Area, Chart, Curve, dash_of
from simcore.views.pictures.scatter import AXES, band_words, beside, grouped

ROOM = 0.08  # of the span, at both ends
MEDIAN, ALONE = 6, 1  # looks: of the mark at the median, of the bar without pairs


def jobs_of_spread(result: Spread) -> Bars:
    """In what share of the draws each case does its job, and between which shares that lies."""
    rows = []
    for case in result.cases:
        share = result.share(case)
        if share.draws == 0:
            rows.append(Row(case, end="no answer"))
            continue
        mark = [Mark(100.0 * share.done / share.draws, look=MEDIAN)]
        bars = [Bar(100.0 * share.low, 100.0 * share.high, fill="pale")]
        rows.append(Row(case, bars, mark, end=f"{share.done} of {share.draws}"))
    return Bars(
        heading="Job done, % of draws",
        note="draws without an answer are left out",
        along="draws in which the job is done, %",
        rows=rows,
        limits=(-2.0, 102.0),
        keys=["line: of these draws", "pale: of all such rigs, as surely as 95 of 100"],
    )


def of_spread(result: Spread) -> list[Bars]:
    """Figures with their intervals, one chart a metric."""
    return [_bars(group) for group in grouped(result.answers)]


def _bars(group: list[Answer]) -> Bars:
    figure = group[0].figure
    factor, unit = said_factor(figure.metric), said_unit(figure.metric) or "no unit"
    reached = [end * factor for one in group for end in _reach(one)]
    reached += [-factor * figure.seen, factor * figure.seen] if figure.less else []
    low, high = min(reached), max(reached)
    aside = ROOM * (high - low) or 1.0
    less = f' to "{figure.less}"' if figure.less else ""
    keys = ["line: median", f"bar: {bar_words(group)}"]
    keys += ["pale, below: as wide as bench error moves the case by itself"] if figure.less else []
    return Bars(
        heading=f"{quantity_of(figure)}{less}, {unit}",
        note="draws of the rig's numbers within their errors",
        along=f"{quantity_of(figure)}, {unit}",
        rows=[_row(one, factor) for one in group],
        limits=(low - aside, high + aside),
        keys=keys,
        seen=(-factor * figure.seen, factor * figure.seen) if figure.less else None,
        origin=0.0 if figure.less else None,
    )


def _reach(one: Answer) -> list[float]:
    if one.interval is None:
        return []
    half = one.alone.half if one.alone is not None else 0.0
    middle = one.interval.middle
    return [one.interval.low, one.interval.high, middle - half, middle + half]


def _row(one: Answer, factor: float) -> Row:
    found = one.interval
    if found is None:
        return Row(one.figure.case)
    low, middle, high = (factor * value for value in (found.low, found.middle, found.high))
    fill = "hatched" if one.verdict is Verdict.LOST else "full"
    bars = [Bar(low, high, fill=fill, half=0 if one.alone is None else 1)]
    if one.alone is not None:
        half = factor * one.alone.half
        bars.append(Bar(middle - half, middle + half, ALONE, "pale", half=2))
    said = [interval_words(one.figure, found)]
    answer = one.verdict.value if one.verdict is not None else ""
    end = valued(one.figure, found.middle)
    return Row(one.figure.case, bars, [Mark(middle, look=MEDIAN)], end=end, said=said, answer=answer)


def bands_of_spread(result: Spread) -> dict[str, list[Chart]]:
    """Pitch and travel with their bands: by curve a chart a case, over the band of the first case."""
    return {curve: _of_curve(result, curve) for curve in CURVES}


def title_of(curve: str) -> str:
    """What a curve is called."""
    title = AXES[curve].rpartition(", ")[0]
    return title[:1].upper() + title[1:]


def notes_of_bands(result: Spread) -> list[str]:
    """How to read them, and which cases have none."""
    return band_words(result, "In every chart")


def _of_curve(result: Spread, curve: str) -> list[Chart]:
    base, shown, _ = beside(result)
    if not shown:
        return []
    ends = [result.bands[case][curve] for case in (base, *shown) if case]
    low, high = min(np.nanmin(band[0]) for band in ends), max(np.nanmax(band[2]) for band in ends)
    room = ROOM * float(high - low) or 1.0
    return [_bands(result, curve, (base, case), (float(low) - room, float(high) + room)) for case in shown]


def _bands(result: Spread, curve: str, cases: tuple[str, str], up: tuple[float, float]) -> Chart:
    curves, areas = [], []
    for case in filter(None, cases):
        look = result.cases.index(case)
        low, middle, high = result.bands[case][curve]
        curves.append(Curve(case, result.times, middle, look, dash_of(look)))
        areas.append(Area(result.times, low, high, look))
    return Chart(
        title=title_of(curve),
        unit=AXES[curve].rpartition(", ")[2],
        note=cases[1],
        along="time, s",
        curves=curves,
        limits=(0.0, float(result.times[-1])),
        areas=areas,
        up=up,
    )
