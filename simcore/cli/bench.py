"""The commands at the workbench, where files are written: new, measure, schema."""

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from simcore.cli.options import Everything, Formats, Look, NoPictures, Out, Quiet, Workers, place
from simcore.cli.shared import (
    app,
    carry_out,
    folder_for,
    kept,
    pictures_as,
    processes,
    refusing,
    say,
    scenario_in,
    tell,
    warn_of_rig,
    working,
)
from simcore.errors import InputError, InputIssue
from simcore.views.console import Meter

if TYPE_CHECKING:
    from simcore.files import Scenario
    from simcore.results.atomic_write import Writer
    from simcore.results.result import Result
    from simcore.studies.measure import Measurement
    from simcore.views.export import Export


@app.command()
def new(
    name: Annotated[
        str, typer.Argument(metavar="NAME", help="Name of the rig; or the file to write, ending in .toml.")
    ],
) -> None:
    """Write a worksheet to fill in. Every line says how to measure it with what is on the bench."""
    from simcore.readings.blank import blank_worksheet
    from simcore.readings.naming import rig_name, worksheet_file

    with refusing():
        path = worksheet_file(name)
        text = blank_worksheet(rig_name(name), path.as_posix())
        if path.exists():
            raise InputError([InputIssue(str(path), "", "a file that is there already", "a new name")])
        _write(path, lambda place: place.write_text(text, encoding="utf-8"))
    typer.echo(f"wrote {path}; fill in what you can, then: simcore measure {path}")


@app.command()
def measure(
    worksheet: Annotated[Path, typer.Argument(help="Worksheet (TOML), from simcore new.")],
    rig: Annotated[
        Path | None,
        typer.Option("-o", "--rig", metavar="RIG.toml", parser=place, help="Write the rig file here too."),
    ] = None,
    question: Annotated[
        Path | None,
        typer.Option(
            "--for",
            metavar="SCENARIO",
            help="Say also which readings and guesses move the answer of this scenario file most.",
        ),
    ] = None,
    workers: Workers = None,
    out: Out = None,
    formats: Formats = "png",
    look: Look = "screen",
    no_pictures: NoPictures = False,
    everything: Everything = False,
    quiet: Quiet = False,
) -> None:
    """Make a rig from a worksheet. Gives every value with its error, and readings that disagree."""
    with working("measuring", quiet):
        from simcore.readings.rig_file import check_rig_place, rig_text
        from simcore.studies.measure import Measurement
        from simcore.studies.measure import measure as study
        from simcore.studies.scenario_for import asked_of

        if rig is not None:
            check_rig_place(rig)
        asked = None if question is None else scenario_in(question)
        found = study(worksheet)
        if asked is not None:  # refuse what does not fit before anything is written
            asked_of(asked, found.derived.table)
        warn_of_rig(found.scenario)
        folder, how = (
            folder_for(out, worksheet, "measure", "", [], None),
            pictures_as(formats, look, no_pictures),
        )
        result, files = carry_out(found.scenario, Measurement, lambda: found, folder, how)
        if rig is not None:
            text = rig_text(found.derived)
            _write(rig, lambda place: place.write_text(text, encoding="utf-8"))
            files = [*files, rig]
    if asked is None:
        tell(result, files, quiet, everything)
        return
    before = say(result, files, quiet, everything)
    with working("moving", quiet) as meter:
        done = _what_matters(found, asked, folder, processes(workers), how, meter, quiet)
    if not quiet:
        typer.echo("")
    raise typer.Exit(max(before, say(*done, quiet, everything)))


def _what_matters(
    found: "Measurement",
    asked: "Scenario",
    folder: Path,
    workers: int,
    how: "Export",
    meter: Meter,
    quiet: bool,
) -> tuple["Result", list[Path]]:
    """Move every reading and guess; finished runs are kept where its files go."""
    from simcore.studies.sensitivity import Sensitivity
    from simcore.studies.what_matters import what_matters

    place = folder / f"for_{asked.name}"

    def announce(text: str) -> None:
        if not quiet:
            typer.echo(text, err=True)

    def study() -> "Result":
        return what_matters(found.worksheet, asked, place, workers, meter, announce)

    with kept(place, meter):
        return carry_out(asked, Sensitivity, study, place, how)


@app.command()
def schema(
    kind: Annotated[str, typer.Argument(metavar="rig|scenario|worksheet|dots", help="Kind of file.")],
    out: Annotated[
        Path | None, typer.Option(metavar="FILE", parser=place, help="Write it to this file instead.")
    ] = None,
) -> None:
    """Print the JSON Schema of a kind of file. By it editors complete keys, explain and check them."""
    from simcore.files.json_schema import json_schema_text

    with refusing():
        text = json_schema_text(kind)
        if out is None:
            typer.echo(text, nl=False)
            return
        _check_own(out)
        _write(out, lambda path: path.write_text(text, encoding="utf-8"))
    typer.echo(f"wrote {out}")


def _write(path: Path, writer: "Writer") -> None:
    """Write one file, whole or not at all."""
    from simcore.results.atomic_write import write_all

    write_all(path.parent, {path.name: writer})


def _check_own(out: Path) -> None:
    """Refuse a file that is there and is no schema of this program.

    Raises
    ------
    InputError
        when it is.
    """
    from simcore.files.json_schema import ID

    if out.is_file() and f'"$id": "{ID}'.encode() not in out.read_bytes():
        got = "a file that simcore schema has not written"
        raise InputError([InputIssue(str(out), "--out", got, "a new file, or an older schema")])
