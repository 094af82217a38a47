"""The command that makes a page to send: report."""

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from simcore.cli.options import Everything, Quiet, Settings, WithoutSupport, Workers, place
from simcore.cli.shared import (
    app,
    extra,
    folder_for,
    kept,
    processes,
    processes_for,
    refuse,
    saved_in,
    scenario_in,
    tell,
    warn_of_rig,
    with_counterfactual,
    working,
)
from simcore.views.console import Meter

if TYPE_CHECKING:
    from simcore.files import Scenario
    from simcore.results.result import Result


@app.command()
def report(
    source: Annotated[
        Path,
        typer.Argument(
            metavar="SCENARIO|DIR",
            help="Scenario file, which is run, compared or swept first; or the folder of a saved result, or "
            "its JSON file.",
        ),
    ],
    settings: Settings = None,
    without_support: WithoutSupport = False,
    workers: Workers = None,
    out: Annotated[
        Path | None,
        typer.Option(
            "-o",
            "--out",
            metavar="FILE.html",
            parser=place,
            help="File to write. Left out: report.html in the folder of the result.",
        ),
    ] = None,
    everything: Everything = False,
    quiet: Quiet = False,
) -> None:
    """Write a result as one page to send. It opens from disk in any browser, without network."""
    with working("working", quiet) as meter:
        from simcore.views.page.file import check_file, page
        from simcore.views.place import PAGE

        saved = saved_in(source)
        if saved is not None:
            from simcore.studies.load import load

            doing = {"--set": settings, "--without-support": without_support or None, "--workers": workers}
            refuse(doing, "beside a saved result", "left out: nothing is run for it")
            result = load(source)
            file = out or saved / PAGE
            check_file(file, result.scenario, result.kind)
        else:
            from simcore.studies.load import kind_named
            from simcore.views.export import Export
            from simcore.views.place import KINDS, check_own_place, own_study

            case = with_counterfactual(scenario_in(source, settings), without_support)
            warn_of_rig(case)
            study = own_study(case)
            folder = folder_for(None, source, study, study, extra(without_support), settings)
            file = out or folder / PAGE
            check_file(file, case, KINDS[study])
            if out is None or study == "sweep":  # whose finished runs are kept there
                check_own_place(folder, kind_named(KINDS[study]), case, Export(()))
            result = _done(case, study, folder, workers, meter)
        page(result).save(file)
    tell(result, [file], quiet, everything)


def _done(case: "Scenario", study: str, folder: Path, workers: int | None, meter: Meter) -> "Result":
    """Do the study that a scenario asks for; finished runs of a sweep are kept in its folder."""
    if study == "run":
        from simcore.studies.claims import warn_of_conclusion
        from simcore.studies.simulate import simulate

        warn_of_conclusion(case, [case.case])
        return simulate(case, meter)
    if study == "compare":
        from simcore.studies.compare import compare

        return compare(case, meter, workers=processes_for(case, workers))
    from simcore.studies.sweep import sweep

    with kept(folder, meter):
        return sweep(case, folder, processes(workers), progress=meter)
