"""The command that makes a page to send: report."""

from contextlib import nullcontext
from pathlib import Path
from typing import Annotated

import typer

from simcore.cli.options import Everything, Quiet, Settings, WithoutSupport, Workers, place
from simcore.cli.shared import (
    app,
    begin,
    extra,
    folder_for,
    kept,
    processes,
    refuse,
    saved_in,
    scenario_in,
    tell,
    warn_of_rig,
    with_counterfactual,
    working,
)


@app.command()
def report(
    source: Annotated[
        Path,
        typer.Argument(
            metavar="SCENARIO|DIR",
            help="Scenario file, which is run, compared, ranked or swept first; or the folder of a saved "
            "result, or its JSON file.",
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
            result = cases = load(source)
            file = out or saved / PAGE
            check_file(file, result.scenario, result.kind)
        else:
            from simcore.studies.asked import KEEPING, KINDS, answered, own_study
            from simcore.studies.claims import warn_of_conclusion
            from simcore.studies.load import kind_named
            from simcore.views.export import Export
            from simcore.views.place import check_own_place

            case = with_counterfactual(scenario_in(source, settings), without_support)
            study = own_study(case)
            if study in KEEPING:
                begin(workers, draws=study == "rank")
            warn_of_rig(case)
            folder = folder_for(None, source, study, study, extra(without_support), settings)
            file = out or folder / PAGE
            check_file(file, case, KINDS[study])
            if out is None or study in KEEPING:
                check_own_place(folder, kind_named(KINDS[study]), case, Export(()))
            if study == "run":
                warn_of_conclusion(case, [case.case])
            with kept(folder, meter) if study in KEEPING else nullcontext():
                _, result, cases = answered(case, folder, processes(workers), meter)
        page(result, cases=cases).save(file)
    tell(result, [file], quiet, everything)
