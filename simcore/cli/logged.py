"""The commands about the log of a real rig: fit."""

from pathlib import Path
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
    Variant,
    Workers,
)
from simcore.cli.shared import (
    app,
    carry_out,
    changed,
    folder_for,
    pictures_as,
    processes,
    scenario_in,
    tell,
    working,
)
from simcore.errors import InputError, InputIssue

Free = Annotated[
    list[str] | None,
    typer.Option(
        "--free",
        metavar="PATH[=LOW:HIGH]",
        help="Number to fit, as rear.shock.damper.rebound=1:10; time_offset; offset:CHANNEL. Repeatable. "
        "Left out: the log beside the run.",
    ),
]
Columns = Annotated[
    list[str] | None,
    typer.Option(
        "--column",
        metavar="HEADER=CHANNEL",
        help='Channel of a column, as "gyro y [rad/s]=pitch_rate_deg_per_s"; a minus before the channel '
        "turns its sign. May be repeated.",
    ),
]
Noise = Annotated[
    list[str] | None,
    typer.Option(
        "--noise",
        metavar="CHANNEL=SIZE",
        help="Standard deviation of one reading, as pitch_deg=0.2; else taken from the log. May be repeated.",
    ),
]


@app.command()
def fit(
    scenario: ScenarioFile,
    log: Annotated[Path, typer.Argument(help="Log of the real rig (CSV with a header).")],
    free: Free = None,
    columns: Columns = None,
    noise: Noise = None,
    settings: Settings = None,
    variant: Variant = None,
    workers: Workers = None,
    out: Out = None,
    formats: Formats = "png",
    look: Look = "screen",
    no_pictures: NoPictures = False,
    everything: Everything = False,
    quiet: Quiet = False,
) -> None:
    """Fit numbers of a scenario to a log. With their errors, what the log cannot tell, and how far it is off.

    Without --free: the log beside the run.
    """
    with working("fitting", quiet) as meter:
        file, how = scenario_in(scenario), pictures_as(formats, look, no_pictures)
        case = changed(file if variant is None else file.variant(variant), settings).changed({})
        from simcore.studies.fit import fit as study
        from simcore.studies.fitted import Fit
        from simcore.views.place import variant_word

        mapped, sizes = _pairs("--column", columns), _numbers("--noise", noise)
        words = [*([variant_word(file, variant)] if variant else []), log.stem]
        words += [*(f"free_{text}" for text in free or []), *(f"noise_{text}" for text in noise or [])]
        folder = folder_for(out, scenario, "fit", "", words, settings)
        count = processes(workers)

        _keep(log, folder, Fit.names())

        def fits() -> Fit:
            return study(case, log, free or (), sizes, mapped, workers=count, progress=meter)

        done = carry_out(case, Fit, fits, folder, how)
    tell(*done, quiet, everything)


def _keep(log: Path, folder: Path, names: list[str]) -> None:
    """Refuse a folder in which the log itself would be written over."""
    own = [
        name for name in names if log.exists() and (folder / name).exists() and log.samefile(folder / name)
    ]
    if own:
        got = f"a folder in which {own[0]} is the log itself"
        raise InputError([InputIssue(str(folder), "--out", got, "a folder without it: --out DIR")])


def _pairs(option: str, texts: list[str] | None) -> dict[str, str]:
    """Left to right of ``left=right``; a header may have a sign of equality itself."""
    found: dict[str, str] = {}
    issues = []
    for text in texts or []:
        left, equals, right = (part.strip() for part in text.rpartition("="))
        if not (left and equals and right):
            issues.append(InputIssue(option, "", f'"{text}"', f"{_FORMS[option]}"))
        elif left in found:
            issues.append(InputIssue(option, left, "named twice", "named once"))
        else:
            found[left] = right
    if issues:
        raise InputError(issues)
    return found


def _numbers(option: str, texts: list[str] | None) -> dict[str, float]:
    """The same with numbers on the right."""
    found, issues = {}, []
    for left, right in _pairs(option, texts).items():
        try:
            found[left] = float(right)
        except ValueError:
            issues.append(InputIssue(option, left, f'"{right}"', "a number in the unit of the channel"))
    if issues:
        raise InputError(issues)
    return found


_FORMS = {
    "--column": 'header=channel, as "gyro y [rad/s]=pitch_rate_deg_per_s"',
    "--noise": "channel=size, as pitch_deg=0.2",
}
