"""The commands that show results: show, gallery."""

from pathlib import Path
from typing import Annotated

import typer

from simcore.cli.options import (
    Everything,
    Formats,
    Look,
    NoPictures,
    Quiet,
    Workers,
    place,
)
from simcore.cli.shared import app, pictures_as, processes, tell, working, written
from simcore.errors import AUDIT_FAILED, DONE
from simcore.views.console import say_files


@app.command()
def show(
    saved: Annotated[Path, typer.Argument(help="Folder of a result, or its JSON file.")],
    out: Annotated[
        Path | None,
        typer.Option(metavar="DIR", parser=place, help="Folder to write it to once more, with its pictures."),
    ] = None,
    formats: Formats = "png",
    look: Look = "screen",
    no_pictures: NoPictures = False,
    everything: Everything = False,
) -> None:
    """Show a saved result once more. Without another run; with --out its pictures are drawn anew."""
    with working("reading", quiet=True):
        from simcore.studies.load import load
        from simcore.views.place import check_own_place

        how, result = pictures_as(formats, look, no_pictures), load(saved)
        if out is not None:
            check_own_place(out, type(result), result.scenario, how)
        files = [] if out is None else written(result, out, how)
    tell(result, files, quiet=False, everything=everything)


@app.command()
def gallery(
    scenarios: Annotated[Path, typer.Argument(help="Folder with scenario files.")] = Path("scenarios"),
    workers: Workers = None,
    out: Annotated[
        Path | None,
        typer.Option(
            metavar="DIR",
            parser=place,
            help="Folder for pictures and page. Left out: plots; of another folder plots/<its name>.",
        ),
    ] = None,
    formats: Formats = "png",
    look: Look = "screen",
    quiet: Quiet = False,
) -> None:
    """Draw every file of a folder, on a page. Each with its question and what its runs show."""
    with working("drawing", quiet) as meter:
        from simcore.views.gallery import check_page
        from simcore.views.gallery import gallery as make_gallery
        from simcore.views.place import HOME

        how = pictures_as(formats, look)
        folder = out or (HOME if scenarios == Path("scenarios") else HOME / scenarios.resolve().name)
        check_page(folder)
        result = make_gallery(scenarios, processes(workers), meter)
        files = result.save(folder, how)
    for name, fault in result.faults.items():
        typer.echo(f"CONCLUSION NO LONGER HOLDS or audit failed ({name}): {fault}")
    if not quiet:
        say_files(files)
    raise typer.Exit(AUDIT_FAILED if result.faults else DONE)
