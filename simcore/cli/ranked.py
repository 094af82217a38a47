"""The command that says which change helps: rank."""

from typing import Annotated

import typer

from simcore.cli.options import (
    Everything,
    Formats,
    Look,
    NoPictures,
    Out,
    Quiet,
    ScenarioFile,
    Settings,
    Workers,
)
from simcore.cli.shared import (
    app,
    begin,
    carry_out,
    folder_for,
    kept,
    pictures_as,
    processes,
    refuse,
    scenario_in,
    tell,
    warn_of_rig,
    working,
)


@app.command()
def rank(
    scenario: ScenarioFile,
    each: Annotated[
        bool, typer.Option("--each", help="Try a practical step of every number, not the file's variants.")
    ] = False,
    by: Annotated[
        str | None,
        typer.Option(
            metavar="METRIC",
            help="Metric to rank by, or slope, pitch, time, front load, squat, current, energy.",
        ),
    ] = None,
    more: Annotated[bool, typer.Option("--more", help="More of it is better.")] = False,
    less: Annotated[bool, typer.Option("--less", help="Less of it is better.")] = False,
    draws: Annotated[
        int | None,
        typer.Option(
            metavar="N", min=0, max=4096, help="Draws of bench error, 40 if left out, at least 4; 0: none."
        ),
    ] = None,
    settings: Settings = None,
    workers: Workers = None,
    out: Out = None,
    formats: Formats = "png",
    look: Look = "screen",
    no_pictures: NoPictures = False,
    everything: Everything = False,
    quiet: Quiet = False,
) -> None:
    """Say which change helps. By more than bench errors or not, and under other conditions too."""
    with working("ranking", quiet) as meter:
        if more:
            refuse({"--less": less or None}, "beside --more", "one of the two")
        case, how = scenario_in(scenario, settings), pictures_as(formats, look, no_pictures)
        begin(workers, draws=True)
        warn_of_rig(case, variants=not each)
        from simcore.studies.asked import own_study
        from simcore.studies.rank import rank as study
        from simcore.studies.ranking import Ranking

        better = "more" if more else "less" if less else None
        words = [
            *(["each"] if each else []),
            *([] if by is None else [f"by_{by}"]),
            *([] if better is None else [better]),
            *([] if draws is None else [f"draws={draws}"]),
        ]
        own = "" if each else own_study(case)
        folder = folder_for(out, scenario, "rank", own, words, settings)

        def announce(text: str) -> None:
            if not quiet:
                typer.echo(text, err=True)

        def ranks() -> Ranking:
            return study(case, each, by, better, draws, folder, processes(workers), meter, announce)

        with kept(folder, meter):
            done = carry_out(case, Ranking, ranks, folder, how)
    tell(*done, quiet, everything)
