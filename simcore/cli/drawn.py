"""The command that draws numbers within their errors: spread."""

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
    WithoutSupport,
    Workers,
)
from simcore.cli.shared import (
    app,
    begin,
    carry_out,
    extra,
    folder_for,
    kept,
    pictures_as,
    processes,
    scenario_in,
    tell,
    warn_of_rig,
    with_counterfactual,
    working,
)


@app.command()
def spread(
    scenario: ScenarioFile,
    runs: Annotated[
        int,
        typer.Option(metavar="N", help="Draws, 8 or more; each runs every case. Best is a power of two."),
    ] = 256,
    only_stated: Annotated[
        bool, typer.Option("--only-stated", help="Draw only what a [spread] states, nothing by usual errors.")
    ] = False,
    indices: Annotated[
        bool,
        typer.Option(
            "--indices",
            help="Also work out how much of the scatter each error makes. Takes up to 5.5 times the runs.",
        ),
    ] = False,
    seed: Annotated[int, typer.Option(metavar="N", min=0, help="Other draws of the same kind.")] = 20,
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
    """Find what is more than bench error. Runs a scenario many times, its numbers drawn within their errors.

    Its variants too, with the same draws: so that small differences show.
    """
    with working("drawing", quiet) as meter:
        case = with_counterfactual(scenario_in(scenario, settings), without_support)
        begin(workers, draws=True)
        warn_of_rig(case)
        from simcore.studies.scattered import Spread
        from simcore.studies.spread import spread as study

        words = [*extra(without_support), *(["only_stated"] if only_stated else [])]
        words += [f"seed={seed}"] if seed != 20 else []
        folder = folder_for(out, scenario, "spread", "", words, settings)
        how = pictures_as(formats, look, no_pictures)

        def spreads() -> Spread:
            count = processes(workers)
            return study(case, runs, folder, count, meter, only_stated, indices, seed)

        with kept(folder, meter):
            done = carry_out(case, Spread, spreads, folder, how)
    tell(*done, quiet, everything)
