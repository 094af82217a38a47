"""The command line: parse, call, print; nothing else. Heavy imports wait until a command needs them."""

import io
import re
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from simcore.faults import AUDIT_FAILED, BAD_INPUT, DONE, BadInput
from simcore.say import (
    Meter,
    print_comparison,
    print_limits,
    print_standing,
    print_summary,
    say_audit,
    say_files,
    say_unsound,
)

if TYPE_CHECKING:
    from simcore.files import Scenario

app = typer.Typer(
    add_completion=False,
    no_args_is_help=True,
    pretty_exceptions_enable=False,
    help="Virtual test bench for small radio-controlled rock crawlers; not for vehicles with people.",
)

ScenarioFile = Annotated[Path, typer.Argument(help="Scenario file (TOML); see scenarios/README.md.")]
Settings = Annotated[
    list[str] | None,
    typer.Option(
        "--set",
        metavar="PATH=VALUE",
        help="Change one value, e.g. rear.shock.springs.0.rate=0.1. May be repeated.",
    ),
]
Variant = Annotated[str | None, typer.Option(help="Run this variant of the scenario.")]
Out = Annotated[
    Path | None, typer.Option(metavar="DIR", help="Folder for the files; plots/<scenario name> if left out.")
]
WithoutSupport = Annotated[
    bool,
    typer.Option(
        "--without-support", help="Run each case once more with its squat support cancelled, and draw both."
    ),
]
Quiet = Annotated[bool, typer.Option("--quiet", help="Print nothing but faults.")]


@app.callback()
def _commands() -> None:
    """Keep `simcore run` a command of its own, however many there are."""


@contextmanager
def _working(what: str, quiet: bool) -> Iterator[Meter]:
    """Turn bad input into its message and exit code; say so when the laws must be compiled first."""
    from simcore.compiled import is_compiled

    meter = Meter(what, quiet)
    try:
        if not quiet and not is_compiled():
            typer.echo("compiling the laws of motion once for this version, about 15 s ...", err=True)
        yield meter
    except BadInput as error:
        meter.close()
        typer.echo(str(error), err=True)
        raise typer.Exit(BAD_INPUT) from None
    finally:
        meter.close()


def _load(path: Path, settings: list[str] | None, variant: str | None = None) -> "Scenario":
    """Read a scenario, pick a variant and change what was set; variants left in it keep their own changes."""
    from simcore.files import load_scenario

    scenario = load_scenario(path)
    if variant is not None:
        scenario = scenario.variant(variant)
    return _changed(scenario, settings)


def _changed(scenario: "Scenario", settings: list[str] | None) -> "Scenario":
    from simcore.files import parse_setting

    changes = dict(parse_setting(text) for text in settings or [])
    return scenario.changed(changes, keep_variants=True) if changes else scenario


def _folder(out: Path | None, path: Path, variant: str | None = None) -> Path:
    if out is not None:
        return out
    folder = Path("plots") / path.stem
    return folder / (re.sub(r"[^\w%+,.-]+", "_", variant).strip("._") or "variant") if variant else folder


@app.command()
def run(
    scenario: ScenarioFile,
    settings: Settings = None,
    variant: Variant = None,
    without_support: WithoutSupport = False,
    out: Out = None,
    quiet: Quiet = False,
) -> None:
    """Run one scenario: series, summary, pictures of pitch, travel and of who carries the load."""
    with _working("integrating", quiet) as meter:
        case = _load(scenario, settings, variant)
        from simcore.outbox import check_folder
        from simcore.run import FILES, TWIN_FILES, simulate

        folder = _folder(out, scenario, variant)
        check_folder(folder, FILES + (TWIN_FILES if without_support else ()))

        result = simulate(case, meter, without_support)
        meter.close()
        files = result.save(folder)
    say_audit({case.title: result})
    if not quiet:
        print_summary(result)
        say_files(files)
    raise typer.Exit(DONE if result.sound else AUDIT_FAILED)


@app.command()
def compare(
    scenario: ScenarioFile,
    settings: Settings = None,
    without_support: WithoutSupport = False,
    out: Out = None,
    quiet: Quiet = False,
) -> None:
    """Run a scenario and all its variants: a table of differences and pictures of all cases."""
    with _working("comparing", quiet) as meter:
        case = _load(scenario, settings)
        from simcore.outbox import check_folder
        from simcore.studies.compare import FILES
        from simcore.studies.compare import compare as compare_cases

        folder = _folder(out, scenario)
        check_folder(folder, FILES)

        result = compare_cases(case, meter, without_support)
        meter.close()
        files = result.save(folder)
    say_audit(result.runs)
    if not quiet:
        print_comparison(result)
        say_files(files)
    raise typer.Exit(DONE if result.sound else AUDIT_FAILED)


@app.command()
def limit(
    scenario: ScenarioFile,
    settings: Settings = None,
    distance: Annotated[
        float | None, typer.Option(metavar="MM", help="Way to cover; else end.distance, else the wheelbase.")
    ] = None,
    front_up: Annotated[
        float, typer.Option(metavar="S", help="Longest unbroken time that the front may be in the air.")
    ] = 0.25,
    out: Out = None,
    quiet: Quiet = False,
) -> None:
    """Find the steepest slope that a scenario and each of its variants still climbs, and why no steeper."""
    with _working("climbing", quiet) as meter:
        case = _load(scenario, settings)
        from simcore.outbox import check_folder
        from simcore.studies.limit import FILES, find_limits

        folder = _folder(out, scenario)
        check_folder(folder, FILES)

        way = None if distance is None else distance / 1000.0
        result = find_limits(case, way, front_up, meter)
        meter.close()
        files = result.save(folder)
    for name, found in result.cases.items():
        if found.audit != "sound":
            say_unsound(name, found.audit)
    if not quiet:
        print_limits(result)
        say_files(files)
    raise typer.Exit(DONE if result.sound else AUDIT_FAILED)


@app.command()
def inspect(
    rig: Annotated[Path, typer.Argument(help="Rig file (TOML); see scenarios/README.md.")],
    settings: Settings = None,
    slope: Annotated[float, typer.Option(metavar="DEG", help="Slope that the rig stands on.")] = 0.0,
    as_json: Annotated[bool, typer.Option("--json", help="Print the facts as JSON alone.")] = False,
    out: Out = None,
    quiet: Quiet = False,
) -> None:
    """Say how a rig stands before it moves: loads, links, rates, friction, limits; with a drawing."""
    with _working("standing", quiet or as_json):
        from simcore.outbox import check_folder
        from simcore.standing.facts import standing_scenario
        from simcore.studies.inspect import FILES, inspect_rig

        scenario = _changed(standing_scenario(rig, slope), settings)
        folder = _folder(out, rig)
        writes = out is not None or not as_json
        if writes:
            check_folder(folder, FILES)
        result = inspect_rig(scenario)
        files = result.save(folder) if writes else []
    if as_json:
        typer.echo(result.to_json(), nl=False)
    elif not quiet:
        print_standing(result)
        say_files(files)


def main() -> None:
    """Entry point of the `simcore` command."""
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(errors="replace")  # a terminal without the degree sign still gets its table
    app()
