"""Arguments and options of the commands, each with its help."""

from pathlib import Path
from typing import Annotated

import typer


def place(text: str) -> Path:
    """A file or folder to write to; no name at all would be the folder at hand."""
    if not text.strip():
        raise typer.BadParameter(f'got "{text}", must be a name')
    return Path(text)


ScenarioFile = Annotated[Path, typer.Argument(help="Scenario file (TOML); see scenarios/README.md.")]
Settings = Annotated[
    list[str] | None,
    typer.Option(
        "--set",
        metavar="PATH=VALUE",
        help="Change one value, as rear.shock.springs.0.rate=0.1 or parts.battery.mass+=20. May be repeated.",
    ),
]
Variant = Annotated[str | None, typer.Option(help="Run this variant of the scenario.")]
Out = Annotated[
    Path | None,
    typer.Option(
        metavar="DIR",
        parser=place,
        help="Folder for the files. Left out: plots/<file name>; each change, and each study that the file "
        "does not ask for, has a folder of its own in there.",
    ),
]
WithoutSupport = Annotated[
    bool,
    typer.Option(
        "--without-support", help="Run each case once more with its squat support cancelled, and draw both."
    ),
]
Formats = Annotated[
    str,
    typer.Option("--format", metavar="LIST", help="File formats of the pictures: png, svg, pdf, or some."),
]
Look = Annotated[str, typer.Option("--style", metavar="print|screen", help="Look of the pictures.")]
NoPictures = Annotated[
    bool, typer.Option("--no-pictures", help="Write no pictures, and remove those of an earlier result.")
]
Workers = Annotated[
    int | None, typer.Option(metavar="N", min=1, help="Processes; as many as there are cores if left out.")
]
Everything = Annotated[bool, typer.Option("--all", help="Print every metric, with its name in files.")]
Quiet = Annotated[bool, typer.Option("--quiet", help="Print only what is wrong.")]
Vary = Annotated[
    list[str] | None,
    typer.Option(
        metavar="PATH=START:STOP:STEP|PATH=a,b,c",
        help="Axis, as driveline.overdrive=0:30:0.75; may be repeated. Left out: the file's [vary].",
    ),
]
Along = Annotated[
    list[str] | None,
    typer.Option(
        "--vary",
        metavar="PATH=START:STOP:STEP|PATH=a,b,c",
        help="Axis along which that number's limits are sought; may be repeated.",
    ),
]
Find = Annotated[
    str | None,
    typer.Option(
        metavar="PATH[=LOW:HIGH:STEP]",
        help="Number whose limits are sought instead of the slope's, as ground.pieces.1.ledge=10:150:10.",
    ),
]
