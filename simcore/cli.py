"""The command line: parse, call, print; nothing else. Heavy imports wait until a command needs them."""

import io
import os
import re
import sys
import warnings
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from simcore.errors import AUDIT_FAILED, BAD_INPUT, DONE, STOPPED, InputError, InputIssue, RejectedValue
from simcore.views.console import Meter, say_concerns, say_files, show_result

if TYPE_CHECKING:
    from simcore.files import Scenario
    from simcore.results.result import Result
    from simcore.views.export import Export

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
Formats = Annotated[
    str,
    typer.Option("--format", metavar="LIST", help="File formats of the pictures: png, svg, pdf, or some."),
]
Look = Annotated[str, typer.Option("--style", metavar="print|screen", help="Look of the pictures.")]
Workers = Annotated[
    int | None, typer.Option(metavar="N", min=1, help="Processes; as many as there are cores if left out.")
]
Quiet = Annotated[bool, typer.Option("--quiet", help="Print only what is wrong.")]


@app.callback()
def _commands() -> None:
    """Keep `simcore run` a command of its own, however many there are."""


@contextmanager
def _working(what: str, quiet: bool) -> Iterator[Meter]:
    """Turn bad input into its message and exit code; say so when the laws must be compiled first."""
    from simcore.compiled.cache import is_compiled

    meter = Meter(what, quiet)
    try:
        if not quiet and not is_compiled():
            typer.echo("compiling the laws of motion once for this version, about 15 s ...", err=True)
        yield meter
    except InputError as error:
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

    changes = [parse_setting(text) for text in settings or []]
    return scenario.changed(changes, keep_variants=True) if changes else scenario


def _with_counterfactual(scenario: "Scenario", wanted: bool) -> "Scenario":
    """The scenario that asks for every case once more without squat support, if that is wanted."""
    return scenario.changed({"without_support": True}, keep_variants=True) if wanted else scenario


def _with_axes(scenario: "Scenario", vary: list[str] | None) -> "Scenario":
    """The scenario with the axes that were typed, all their issues at once; without any with its own."""
    from simcore.files import parse_axis, with_axes

    axes, issues = {}, []
    for text in vary or []:
        try:
            path, values = parse_axis(text)
        except RejectedValue as refusal:
            issues.append(InputIssue("--vary", "", refusal.got, refusal.must_be))
            continue
        if path in axes:
            issues.append(InputIssue("--vary", path, "this axis twice", "an axis of its own"))
        axes[path] = values
    if issues:
        raise InputError(issues)
    return with_axes(scenario, axes) if axes else scenario


def _folder(out: Path | None, path: Path, variant: str | None = None) -> Path:
    if out is not None:
        return out
    folder = Path("plots") / path.stem
    return folder / (re.sub(r"[^\w%+,.-]+", "_", variant).strip("._") or "variant") if variant else folder


def _export(formats: str, look: str) -> "Export":
    """How pictures are to be written; both options' issues at once."""
    from simcore.views.catalogue import LOOKS
    from simcore.views.export import FORMATS, Export

    kinds = tuple(dict.fromkeys(word.strip() for word in formats.split(",")))
    issues = [
        InputIssue("--format", "", f'"{kind}"', f"some of {', '.join(FORMATS)}, with commas between them")
        for kind in kinds
        if kind not in FORMATS
    ]
    if look not in LOOKS:
        issues.append(InputIssue("--style", "", f'"{look}"', f"{' or '.join(LOOKS)}"))
    if issues:
        raise InputError(issues)
    return Export(kinds, look)


def _carry_out(
    scenario: "Scenario", kind: type["Result"], study: "Callable[[], Result]", folder: Path, how: "Export"
) -> tuple["Result", list[Path]]:
    """Do a study and write its result with its pictures; a folder that cannot take them is refused first."""
    from simcore.views.export import check_place, export

    check_place(folder, kind, scenario, how)
    result = study()
    return result, export(result, folder, how)


def _tell(result: "Result", files: list[Path], quiet: bool) -> None:
    """Say what must be known first, then the result and where its files are; end with the exit code."""
    say_concerns(result)
    if not quiet:
        show_result(result)
        say_files(files)
    raise typer.Exit(AUDIT_FAILED if result.concerns else DONE)


@app.command()
def run(
    scenario: ScenarioFile,
    settings: Settings = None,
    variant: Variant = None,
    without_support: WithoutSupport = False,
    out: Out = None,
    formats: Formats = "png",
    look: Look = "screen",
    quiet: Quiet = False,
) -> None:
    """Run one scenario: series, metrics, pictures of pitch, travel and of who carries the load."""
    with _working("integrating", quiet) as meter:
        case = _with_counterfactual(_load(scenario, settings, variant), without_support)
        from simcore.results.run import Run
        from simcore.studies.claims import check_conclusion
        from simcore.studies.simulate import simulate

        if not (case.variants or case.vary):  # else the file's conclusion speaks of other cases too
            check_conclusion(case, [case.case])
        folder, how = _folder(out, scenario, variant), _export(formats, look)
        done = _carry_out(case, Run, lambda: simulate(case, meter), folder, how)
    _tell(*done, quiet)


@app.command()
def compare(
    scenario: ScenarioFile,
    settings: Settings = None,
    without_support: WithoutSupport = False,
    out: Out = None,
    formats: Formats = "png",
    look: Look = "screen",
    quiet: Quiet = False,
) -> None:
    """Run a scenario and all its variants: a table of differences and pictures of all cases."""
    with _working("comparing", quiet) as meter:
        case = _with_counterfactual(_load(scenario, settings), without_support)
        from simcore.studies.compare import Comparison
        from simcore.studies.compare import compare as study

        folder, how = _folder(out, scenario), _export(formats, look)
        done = _carry_out(case, Comparison, lambda: study(case, meter), folder, how)
    _tell(*done, quiet)


@app.command()
def sweep(
    scenario: ScenarioFile,
    vary: Annotated[
        list[str] | None,
        typer.Option(
            metavar="PATH=START:STOP:STEP|PATH=a,b,c",
            help="Axis, as driveline.overdrive=0:30:0.75; may be repeated. Left out: the file's [vary].",
        ),
    ] = None,
    settings: Settings = None,
    workers: Workers = None,
    scheduler: Annotated[
        str | None, typer.Option(metavar="ADDRESS", help="Do the runs on the dask cluster of this scheduler.")
    ] = None,
    out: Out = None,
    formats: Formats = "png",
    look: Look = "screen",
    quiet: Quiet = False,
) -> None:
    """Run a scenario with every value of an axis, or of several: a table, and curves or maps of it."""
    folder = _folder(out, scenario)
    with _working("sweeping", quiet) as meter:
        case, how = _with_axes(_load(scenario, settings), vary), _export(formats, look)
        from simcore.results.store import FILE
        from simcore.studies.sweep import Sweep
        from simcore.studies.sweep import sweep as study

        def sweeps() -> Sweep:
            return study(case, folder, workers or os.cpu_count() or 1, scheduler, meter)

        try:
            done = _carry_out(case, Sweep, sweeps, folder, how)
        except KeyboardInterrupt:
            meter.close()
            typer.echo(f"stopped; finished runs are in {folder / FILE}, the same command goes on", err=True)
            raise typer.Exit(STOPPED) from None
    _tell(*done, quiet)


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
    formats: Formats = "png",
    look: Look = "screen",
    quiet: Quiet = False,
) -> None:
    """Find the steepest slope that a scenario and each of its variants still climbs, and why no steeper."""
    with _working("climbing", quiet) as meter:
        case, how = _load(scenario, settings), _export(formats, look)
        from simcore.studies.limit import Limits, find_limit

        way = None if distance is None else distance / 1000.0
        folder = _folder(out, scenario)
        done = _carry_out(case, Limits, lambda: find_limit(case, way, front_up, meter), folder, how)
    _tell(*done, quiet)


@app.command()
def inspect(
    rig: Annotated[Path, typer.Argument(help="Rig file (TOML); see scenarios/README.md.")],
    settings: Settings = None,
    slope: Annotated[float, typer.Option(metavar="DEG", help="Slope that the rig stands on.")] = 0.0,
    as_json: Annotated[bool, typer.Option("--json", help="Print the facts as JSON alone.")] = False,
    out: Out = None,
    formats: Formats = "png",
    look: Look = "screen",
    quiet: Quiet = False,
) -> None:
    """Say how a rig stands before it moves: loads, links, rates, friction, limits; with a drawing."""
    with _working("standing", quiet or as_json):
        from simcore.standing.at_rest import standing_scenario
        from simcore.studies.inspect import Inspection
        from simcore.studies.inspect import inspect as study

        case = _changed(standing_scenario(rig, slope), settings)
        if as_json and out is None:
            typer.echo(study(case).to_json(), nl=False)
            raise typer.Exit(DONE)
        folder, how = _folder(out, rig), _export(formats, look)
        result, files = _carry_out(case, Inspection, lambda: study(case), folder, how)
    if as_json and isinstance(result, Inspection):
        typer.echo(result.to_json(), nl=False)
        raise typer.Exit(DONE)
    _tell(result, files, quiet)


@app.command()
def show(
    saved: Annotated[Path, typer.Argument(help="Folder of a result, or its JSON file.")],
    out: Annotated[
        Path | None, typer.Option(metavar="DIR", help="Folder to write it to once more, with its pictures.")
    ] = None,
    formats: Formats = "png",
    look: Look = "screen",
) -> None:
    """Show a saved result once more, without another run; with --out draw its pictures anew."""
    with _working("reading", quiet=True):
        from simcore.studies.load import load
        from simcore.views.export import check_place, export

        how, result = _export(formats, look), load(saved)
        if out is not None:
            check_place(out, type(result), result.scenario, how)
        files = [] if out is None else export(result, out, how)
    _tell(result, files, quiet=False)


@app.command()
def gallery(
    scenarios: Annotated[Path, typer.Argument(help="Folder with scenario files.")] = Path("scenarios"),
    workers: Workers = None,
    out: Annotated[Path, typer.Option(metavar="DIR", help="Folder for pictures and page.")] = Path("plots"),
    formats: Formats = "png",
    look: Look = "screen",
    quiet: Quiet = False,
) -> None:
    """Make the pictures of every scenario in a folder, and a page with their questions and conclusions."""
    with _working("drawing", quiet) as meter:
        from simcore.views.gallery import gallery as make_gallery

        how = _export(formats, look)
        result = make_gallery(scenarios, workers or os.cpu_count() or 1, meter)
        files = result.save(out, how)
    for name, fault in result.faults.items():
        typer.echo(f"CONCLUSION NO LONGER HOLDS or audit failed ({name}): {fault}")
    if not quiet:
        say_files(files)
    raise typer.Exit(AUDIT_FAILED if result.faults else DONE)


def main() -> None:
    """Entry point of the `simcore` command."""
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(errors="replace")  # a terminal without the degree sign still gets its table
    warnings.formatwarning = lambda message, *_, **__: f"note: {message}\n"
    app()
