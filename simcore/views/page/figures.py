"""Which charts a page has of which kind of result: the one place that chooses."""

from collections.abc import Iterator, Sequence
from typing import Any, NamedTuple

from simcore.results.result import Result
from simcore.studies.ranges import Ranges
from simcore.studies.sweep import Sweep
from simcore.views.page import curves
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
    return Figures("curves", "Curves", _parts(curves.of_runs(time)), notes)


def of_other(result: Result) -> list[Figures]:
    """Charts of a result that holds no runs; modules of the other kinds are not read."""
    return [one for one in _of(result) if one.parts]


def _of(result: Any) -> Iterator[Figures]:
    match result.kind:
        case "sweep":
            yield from _swept(result)
        case "field_trial":
            from simcore.views.page import trial

            yield Figures("effect", "What the change did", _parts([trial.of_field_trial(result)]))
        case "fit":
            yield Figures("curves", "Curves", _parts(curves.of_fit(result)))
        case "limits":
            from simcore.views.page import limits

            yield Figures("slopes", "Slopes climbed", _parts([limits.of_limits(result)]))
        case "ranges":
            yield _ranges(result)
        case "ranking":
            from simcore.views.page import ranking

            charts, notes = ranking.of_ranking(result), ranking.notes_of_ranking(result)
            yield Figures("ranking", "Which change helps", _parts(charts), notes)
        case "inspection":
            from simcore.views.page import standing

            yield Figures("side", "The rig as it stands", _parts([standing.of_inspection(result)]))
        case "measurement":
            from simcore.views.page import known, known_rig

            yield Figures("known", "How well it is known", _parts(known.of_measurement(result)))
            places = _parts([known_rig.of_measurement(result)])
            yield Figures("places", "Where it is known, and how well", places)
        case "sensitivity":
            from simcore.views.page import known

            yield Figures("moves", "What moves the answer", _parts(known.of_sensitivity(result)))
        case "spread":
            from simcore.views.page import scatter
            from simcore.views.pictures.scatter import not_drawn

            jobs = _parts([scatter.jobs_of_spread(result)])
            yield Figures("jobs", "In how many draws the job is done", jobs)
            bars, left = _parts(scatter.of_spread(result)), not_drawn(result.answers)
            yield Figures("moves", "What bench error leaves of the answer", bars, left)
            notes = scatter.notes_of_bands(result)
            for curve, bands in scatter.bands_of_spread(result).items():
                yield Figures(curve, scatter.title_of(curve), _parts(bands), notes)
                notes = []


def _swept(result: Sweep) -> Iterator[Figures]:
    """Lines along the first axis, and of a case alone over two axes maps before them."""
    if not result.cases and len(result.axes) > 1:
        from simcore.views.page import cells

        yield Figures("maps", "Maps", _parts(cells.of_sweep(result)))
    yield Figures("curves", "Curves", _parts(curves.of_sweep(result)), curves.notes_of_sweep(result))


def _ranges(result: Ranges) -> Figures:
    from simcore.views.page import limits

    name, heading = "ranges", "Where the job is done"
    if not result.axes:
        return Figures(name, heading, _parts([limits.of_ranges(result)]))
    return Figures(name, heading, _parts(limits.of_ranges_along(result)), limits.notes_along(result))


def _parts(charts: Sequence[Any]) -> list[Part]:
    return [one.part for one in charts]
