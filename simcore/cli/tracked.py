"""The commands about a rig that was filmed: track."""

from pathlib import Path
from typing import Annotated

import typer

from simcore.cli.options import Formats, Look, Quiet, place
from simcore.cli.shared import app, folder_for, pictures_as, refusing
from simcore.errors import AUDIT_FAILED, DONE
from simcore.views.console import say_concerns, say_files, screen_width


@app.command()
def track(
    video: Annotated[Path, typer.Argument(help="Video of the rig from its side, dots on chassis and axles.")],
    dots: Annotated[
        Path | None, typer.Option(metavar="FILE", help="Dots file (TOML); see scenarios/README.md.")
    ] = None,
    scenario: Annotated[
        Path | None,
        typer.Option(metavar="FILE", help="Scenario that was filmed: its slope and its rig count."),
    ] = None,
    drives: Annotated[
        str | None,
        typer.Option(metavar="left|right", help="Where the nose points in the picture; else from the dots."),
    ] = None,
    fps: Annotated[
        float | None,
        typer.Option(
            metavar="N", help="Frames per second as filmed (slow motion); else the file's own times."
        ),
    ] = None,
    still: Annotated[
        float | None,
        typer.Option(
            metavar="S", help="Only draw the frame at this time, with a pixel scale to read places off."
        ),
    ] = None,
    out: Annotated[
        Path | None,
        typer.Option(
            metavar="DIR", parser=place, help="Folder for the files. Left out: plots/<video>/track."
        ),
    ] = None,
    formats: Formats = "png",
    look: Look = "screen",
    quiet: Quiet = False,
) -> None:
    """Track coloured dots through a video. Gives a log of pitch, place and axle rises, and a picture."""
    with refusing():
        from simcore.results.atomic_write import check_folder, write_all
        from simcore.video.track import track as study
        from simcore.video.tracked import check_own_log
        from simcore.views.console.tracking import track_lines
        from simcore.views.pictures.tracking import draw_still, draw_track

        folder, how = folder_for(out, video, "track", "", [], None), pictures_as(formats, look)
        if still is not None:
            say_files(write_all(folder, how.writers({"still": lambda: draw_still(video, still, fps)})))
            raise typer.Exit(DONE)
        check_own_log(folder, video)
        check_folder(folder, how.names(["dots"]))
        result = study(video, dots, scenario=scenario, drives=drives, fps=fps)
        files = write_all(folder, result.writers() | how.writers({"dots": lambda: draw_track(result)}))
    say_concerns(result)
    if not quiet:
        typer.echo("\n".join(track_lines(result, screen_width())))
        say_files(files)
    raise typer.Exit(AUDIT_FAILED if result.concerns else DONE)
