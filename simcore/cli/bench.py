"""The commands at the workbench, where files are written: new, measure, schema."""

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from simcore.cli.options import Everything, Formats, Look, Out, Quiet
from simcore.cli.shared import app, carry_out, folder_for, pictures_as, tell, working
from simcore.errors import BAD_INPUT, InputError, InputIssue

if TYPE_CHECKING:
    from simcore.results.atomic_write import Writer


@app.command()
def new(
    name: Annotated[
        str, typer.Argument(metavar="NAME", help="Name of the rig; or the file to write, ending in .toml.")
    ],
) -> None:
    """Write a worksheet to fill in. Every line says how to measure it with what is on the bench."""
    from simcore.readings.blank import blank_worksheet
    from simcore.readings.naming import rig_name, worksheet_file

    with _refusing():
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
        Path | None, typer.Option("-o", "--rig", metavar="RIG.toml", help="Write the rig file here too.")
    ] = None,
    out: Out = None,
    formats: Formats = "png",
    look: Look = "screen",
    everything: Everything = False,
    quiet: Quiet = False,
) -> None:
    """Make a rig from a worksheet. Gives every value with its error, and readings that disagree."""
    with working("measuring", quiet):
        from simcore.readings.rig_file import check_rig_place, rig_text
        from simcore.studies.measure import Measurement
        from simcore.studies.measure import measure as study

        if rig is not None:
            check_rig_place(rig)
        found = study(worksheet)
        folder, how = folder_for(out, worksheet, "measure", "", [], None), pictures_as(formats, look)
        result, files = carry_out(found.scenario, Measurement, lambda: found, folder, how)
        if rig is not None:
            text = rig_text(found.derived)
            _write(rig, lambda place: place.write_text(text, encoding="utf-8"))
            files = [*files, rig]
    tell(result, files, quiet, everything)


@app.command()
def schema(
    kind: Annotated[str, typer.Argument(metavar="rig|scenario|worksheet|dots", help="Kind of file.")],
    out: Annotated[Path | None, typer.Option(metavar="FILE", help="Write it to this file instead.")] = None,
) -> None:
    """Print the JSON Schema of a kind of file. By it editors complete keys, explain and check them."""
    from simcore.files.json_schema import json_schema_text

    with _refusing():
        text = json_schema_text(kind)
        if out is None:
            typer.echo(text, nl=False)
            return
        _check_own(out)
        _write(out, lambda path: path.write_text(text, encoding="utf-8"))
    typer.echo(f"wrote {out}")


@contextmanager
def _refusing() -> Iterator[None]:
    """Turn bad input into its message and exit code."""
    try:
        yield
    except InputError as error:
        typer.echo(str(error), err=True)
        raise typer.Exit(BAD_INPUT) from None


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
