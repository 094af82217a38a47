"""Which charts a page has of which kind of result: the one place that chooses."""

from collections.abc import Callable, Sequence
from typing import Any, NamedTuple

from simcore.results.result import Result
from simcore.studies.fitted import Fit
from simcore.studies.inspect import Inspection
from simcore.studies.limit import Limits
from simcore.studies.measure import Measurement
from simcore.studies.ranges import Ranges
from simcore.studies.sensitivity import Sensitivity
from simcore.studies.sweep import Sweep
from simcore.views.page import cells, curves, known, known_rig, limits, standing
from simcore.views.page.part import Part


class Figures(NamedTuple):
    """Charts that stand together.

    Attributes
    ----------
    name : of their section in the page
    heading : over them
    parts : the charts
    notes : how to read them, a sentence each
    """

    name: str
    heading: str
    parts: Sequence[Part]
    notes: Sequence[str] = ()


def of_runs(time: curves.OverTime) -> Figures:
    """Curves of runs over the part of their time in which something happens."""
    said = {
        f"Time, {time.span.words}.": bool(time.span.words),
        f"Upright dotted lines: {time.marks}.": bool(time.marks),
        "Dotted curves: without squat support.": bool(time.without),
    }
    notes = [words for words, there in said.items() if there]
    return Figures("curves", "Curves", [one.part for one in curves.of_runs(time)], notes)


def of_other(result: Result) -> list[Figures]:
    """Charts of a result that holds no runs."""
    found = (of(result) for kind, of in CHARTS.items() if isinstance(result, kind))
    return [one for every in found for one in every if one.parts]


def _swept(result: Sweep) -> list[Figures]:
    """Lines along the first axis, and of a case alone over two axes maps before them."""
    lines = Figures("curves", "Curves", _parts(curves.of_sweep(result)), curves.notes_of_sweep(result))
    if result.cases or len(result.axes) < 2:
        return [lines]
    return [Figures("maps", "Maps", _parts(cells.of_sweep(result))), lines]


def _ranges(result: Ranges) -> list[Figures]:
    name, heading = "ranges", "Where the job is done"
    if not result.axes:
        return [Figures(name, heading, _parts([limits.of_ranges(result)]))]
    return [Figures(name, heading, _parts(limits.of_ranges_along(result)), limits.notes_along(result))]


CHARTS: dict[type[Result], Callable[[Any], list[Figures]]] = {
    Sweep: _swept,
    Fit: lambda result: [Figures("curves", "Curves", _parts(curves.of_fit(result)))],
    Limits: lambda result: [Figures("slopes", "Slopes climbed", _parts([limits.of_limits(result)]))],
    Ranges: _ranges,
    Inspection: lambda result: [
        Figures("side", "The rig as it stands", _parts([standing.of_inspection(result)]))
    ],
    Measurement: lambda result: [
        Figures("known", "How well it is known", _parts(known.of_measurement(result))),
        Figures("places", "Where it is known, and how well", _parts([known_rig.of_measurement(result)])),
    ],
    Sensitivity: lambda result: [
        Figures("moves", "What moves the answer", _parts(known.of_sensitivity(result)))
    ],
}
"""What draws each kind of result that holds no runs."""


def _parts(charts: Sequence[Any]) -> list[Part]:
    return [one.part for one in charts]
