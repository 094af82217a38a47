"""The commands that integrate: run, compare, sweep, limit."""

from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from simcore.cli.options import (
    Along,
    Everything,
    Find,
    Formats,
    Look,
    NoPictures,
    Out,
    Quiet,
    ScenarioFile,
    Settings,
    Variant,
    Vary,
    WithoutSupport,
    Workers,
)
from simcore.cli.shared import (
    app,
    begin,
    carry_out,
    changed,
    extra,
    folder_for,
    kept,
    pictures_as,
    processes,
    processes_for,
    refuse,
    scenario_in,
    tell,
    typed_axes,
    warn_of_rig,
    with_axes,
    with_counterfactual,
    working,
)
from simcore.views.console import Meter

if TYPE_CHECKING:
    from simcore.files import Scenario
    from simcore.results.result import Result
    from simcore.views.export import Export


@app.command()
def run(
    scenario: ScenarioFile,
    settings: Settings = None,
    variant: Variant = None,
    without_support: WithoutSupport = False,
    out: Out = None,
    formats: Formats = "png",
    look: Look = "screen",
    no_pictures: NoPictures = False,
    everything: Everything = False,
    quiet: Quiet = False,
) -> None:
    """Run one scenario. Gives series, metrics, pictures of pitch, travel and of who carries the load."""
    with working("integrating", quiet) as meter:
        file = scenario_in(scenario)
        picked = file if variant is None else file.variant(variant)
        case = with_counterfactual(changed(picked, settings), without_support)
        warn_of_rig(case, variants=False)
        from simcore.results.run import Run
        from simcore.studies.asked import own_study
        from simcore.studies.claims import warn_of_conclusion
        from simcore.studies.simulate import simulate
        from simcore.views.place import variant_word

        if not (case.variants or case.vary):  # else the file's conclusion speaks of other cases too
            warn_of_conclusion(case, [case.case])
        words = [*([variant_word(file, variant)] if variant else []), *extra(without_support)]
        folder = folder_for(out, scenario, "run", own_study(case), words, settings)
        how = pictures_as(formats, look, no_pictures)
        done = carry_out(case, Run, lambda: simulate(case, meter), folder, how)
    tell(*done, quiet, everything)


@app.command()
def compare(
    scenario: ScenarioFile,
    settings: Settings = None,
    without_support: WithoutSupport = False,
    workers: Workers = None,
    out: Out = None,
    formats: Formats = "png",
    look: Look = "screen",
    no_pictures: NoPictures = False,
    everything: Everything = False,
    quiet: Quiet = False,
) -> None:
    """Run a scenario and all its variants. Gives a table of differences and pictures of all cases."""
    with working("comparing", quiet) as meter:
        case = with_counterfactual(scenario_in(scenario, settings), without_support)
        warn_of_rig(case)
        from simcore.studies.asked import own_study
        from simcore.studies.compare import Comparison
        from simcore.studies.compare import compare as study

        own = own_study(case) if case.variants else "compare"
        folder = folder_for(out, scenario, "compare", own, extra(without_support), settings)
        how = pictures_as(formats, look, no_pictures)

        def compares() -> Comparison:
            return study(case, meter, workers=processes_for(case, workers))

        done = carry_out(case, Comparison, compares, folder, how)
    tell(*done, quiet, everything)


@app.command()
def sweep(
    scenario: ScenarioFile,
    vary: Vary = None,
    settings: Settings = None,
    variant: Variant = None,
    workers: Workers = None,
    scheduler: Annotated[
        str | None, typer.Option(metavar="ADDRESS", help="Do the runs on the dask cluster of this scheduler.")
    ] = None,
    out: Out = None,
    formats: Formats = "png",
    look: Look = "screen",
    no_pictures: NoPictures = False,
    everything: Everything = False,
    quiet: Quiet = False,
) -> None:
    """Run a scenario along one axis or several. Its variants too. Gives a table, and curves or maps of it."""
    with working("sweeping", quiet) as meter:
        from simcore.files import case_alone

        file, how = scenario_in(scenario), pictures_as(formats, look, no_pictures)
        asked = changed(file if variant is None else case_alone(file, variant), settings)
        begin(1 if scheduler else workers)
        warn_of_rig(asked)
        case = with_axes(asked, vary)
        from simcore.studies.asked import own_study
        from simcore.studies.sweep import Sweep
        from simcore.studies.sweep import sweep as study
        from simcore.views.place import variant_word

        words = [variant_word(file, variant)] if variant else []
        words += [f"vary_{text}" for text in vary or []]
        folder = folder_for(out, scenario, "sweep", own_study(asked), words, settings)

        def sweeps() -> Sweep:
            return study(case, folder, processes(workers), scheduler, meter)

        with kept(folder, meter):
            done = carry_out(case, Sweep, sweeps, folder, how)
    tell(*done, quiet, everything)


@app.command()
def limit(
    scenario: ScenarioFile,
    settings: Settings = None,
    find: Find = None,
    vary: Along = None,
    workers: Workers = None,
    distance: Annotated[
        float | None, typer.Option(metavar="MM", help="Way to cover; else end.distance, else the wheelbase.")
    ] = None,
    front_up: Annotated[
        float | None,
        typer.Option(metavar="S", help="Longest unbroken time that the front may be in the air; else 0.25."),
    ] = None,
    out: Out = None,
    formats: Formats = "png",
    look: Look = "screen",
    no_pictures: NoPictures = False,
    everything: Everything = False,
    quiet: Quiet = False,
) -> None:
    """Find the steepest slope that is climbed. By a scenario and each of its variants, and why no steeper.

    With --find: between which values of another number the scenario's own job is done.
    """
    with working("climbing" if find is None else "searching", quiet) as meter:
        case, how = scenario_in(scenario, settings), pictures_as(formats, look, no_pictures)
        warn_of_rig(case)
        from simcore.studies.limit import FRONT_UP, Limits, find_limit, of_slope

        if not of_slope(find, vary):
            of_slopes = {"--distance": distance, "--front-up": front_up}
            refuse(of_slopes, "beside --find", "left out: the scenario's own goal counts, as goal.reach")
            words = [f"find_{find}", *(f"vary_{text}" for text in vary or [])]
            folder = folder_for(out, scenario, "limit", "", words, settings)
            done = _find(case, find or "", typed_axes(vary), folder, workers, how, meter)
        else:
            air = FRONT_UP if front_up is None else front_up
            way = None if distance is None else distance / 1000.0
            words = [] if distance is None else [f"distance={distance:g}"]
            words += [] if front_up is None else [f"front_up={front_up:g}"]
            folder = folder_for(out, scenario, "limit", "", words, settings)
            done = carry_out(case, Limits, lambda: find_limit(case, way, air, meter), folder, how)
    tell(*done, quiet, everything)


def _find(
    case: "Scenario",
    find: str,
    axes: "Mapping[str, tuple[Any, ...]]",
    folder: Path,
    workers: int | None,
    how: "Export",
    meter: Meter,
) -> tuple["Result", list[Path]]:
    """Search for the limits of a number; finished runs are kept where its files go."""
    from simcore.studies.find import along, find_range
    from simcore.studies.ranges import Ranges

    asked, count = along(case, axes), processes(workers)

    def finds() -> Ranges:
        return find_range(case, find, axes, folder, count, meter)

    with kept(folder, meter):
        return carry_out(asked, Ranges, finds, folder, how)
