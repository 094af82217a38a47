"""The commands about a rig before it moves: inspect."""

from pathlib import Path
from typing import Annotated

import typer

from simcore.cli.options import Everything, Formats, Look, NoPictures, Out, Quiet, Settings
from simcore.cli.shared import app, carry_out, changed, folder_for, pictures_as, tell, warn_of_rig, working
from simcore.errors import DONE


@app.command()
def inspect(
    rig: Annotated[Path, typer.Argument(help="Rig file (TOML); see scenarios/README.md.")],
    settings: Settings = None,
    slope: Annotated[float, typer.Option(metavar="DEG", help="Slope that the rig stands on.")] = 0.0,
    as_json: Annotated[bool, typer.Option("--json", help="Print the facts as JSON alone.")] = False,
    out: Out = None,
    formats: Formats = "png",
    look: Look = "screen",
    no_pictures: NoPictures = False,
    everything: Everything = False,
    quiet: Quiet = False,
) -> None:
    """Say how a rig stands before it moves. Gives loads, links, rates, friction, limits, and a drawing."""
    with working("standing", quiet or as_json):
        from simcore.standing.at_rest import standing_scenario
        from simcore.studies.inspect import Inspection
        from simcore.studies.inspect import inspect as study

        case = changed(standing_scenario(rig, slope), settings)
        warn_of_rig(case)
        if as_json and out is None:
            typer.echo(study(case).to_json(), nl=False)
            raise typer.Exit(DONE)
        words = [f"slope={slope:g}"] if slope else []
        folder, how = (
            folder_for(out, rig, "inspect", "inspect", words, settings),
            pictures_as(formats, look, no_pictures),
        )
        result, files = carry_out(case, Inspection, lambda: study(case), folder, how)
    if as_json and isinstance(result, Inspection):
        typer.echo(result.to_json(), nl=False)
        raise typer.Exit(DONE)
    tell(result, files, quiet, everything)
