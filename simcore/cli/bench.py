"""The commands at the workbench, where files are written: schema."""

from pathlib import Path
from typing import Annotated

import typer

from simcore.cli.shared import app
from simcore.errors import BAD_INPUT, InputError, InputIssue


@app.command()
def schema(
    kind: Annotated[str, typer.Argument(metavar="rig|scenario", help="Kind of file.")],
    out: Annotated[Path | None, typer.Option(metavar="FILE", help="Write it to this file instead.")] = None,
) -> None:
    """Print the JSON Schema of a kind of file. By it editors complete keys, explain and check them."""
    from simcore.files.json_schema import json_schema_text
    from simcore.results.atomic_write import write_all

    try:
        text = json_schema_text(kind)
        if out is None:
            typer.echo(text, nl=False)
            return
        _check_own(out)
        write_all(out.parent, {out.name: lambda path: path.write_text(text, encoding="utf-8")})
    except InputError as error:
        typer.echo(str(error), err=True)
        raise typer.Exit(BAD_INPUT) from None
    typer.echo(f"wrote {out}")


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
