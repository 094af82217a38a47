"""The command line: parse, call, print; nothing else. Heavy imports wait until a command needs them."""

import io
import os
import sys
import warnings
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from simcore.errors import AUDIT_FAILED, BAD_INPUT, DONE, STOPPED, InputError, InputIssue, RejectedValue
from simcore.options import (
    Along,
    Everything,
    Find,
    Formats,
    Look,
    Out,
    Quiet,
    ScenarioFile,
    Settings,
    Variant,
    Vary,
    WithoutSupport,
    Workers,
)
from simcore.views.console import Meter, say_concerns, say_files, show_result

if TYPE_CHECKING:
    from collections.abc import Mapping

    from simcore.files import Scenario
    from simcore.results.result import Result
    from simcore.views.export import Export

app = typer.Typer(
    add_completion=False,
    no_args_is_help=True,
    pretty_exceptions_enable=False,
    rich_markup_mode=None,  # its boxes cut words on a narrow screen
    help="Virtual test bench for small radio-controlled rock crawlers; not for vehicles with people.",
)


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


@contextmanager
def _kept(folder: Path, meter: Meter) -> Iterator[None]:
    """Say where finished runs are when the user stops many."""
    from simcore.results.store import FILE

    try:
        yield
    except KeyboardInterrupt:
        meter.close()
        typer.echo(f"stopped; finished runs are in {folder / FILE}, the same command goes on", err=True)
        raise typer.Exit(STOPPED) from None


def _load(path: Path, settings: list[str] | None = None) -> "Scenario":
    """Read a scenario and change what was set; its variants keep their own changes."""
    from simcore.files import load_scenario

    return _changed(load_scenario(path), settings)


def _changed(scenario: "Scenario", settings: list[str] | None) -> "Scenario":
    from simcore.files import parse_setting

    changes = [parse_setting(text) for text in settings or []]
    if changes:  # what it says, and what that is tried on, was not made for what is changed
        told = {"says": "", "because": [], "holds_on": []}
        changes += [
            (f"conclusion.{key}", nothing)
            for key, nothing in told.items()
            if getattr(scenario.conclusion, key)
        ]
    return scenario.changed(changes, keep_variants=True) if changes else scenario


def _with_counterfactual(scenario: "Scenario", wanted: bool) -> "Scenario":
    """The scenario that asks for every case once more without squat support, if that is wanted."""
    return scenario.changed({"without_support": True}, keep_variants=True) if wanted else scenario


def _with_axes(scenario: "Scenario", vary: list[str] | None) -> "Scenario":
    """The scenario with the axes that were typed; without any with its own."""
    from simcore.files import with_axes

    axes = _axes(vary)
    return with_axes(scenario, axes) if axes else scenario


def _axes(vary: list[str] | None) -> dict[str, tuple[Any, ...]]:
    """Path to values of the axes that were typed, all their issues at once."""
    from simcore.files import parse_axis

    axes: dict[str, tuple[Any, ...]] = {}
    issues = []
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
    return axes


def _extra(without_support: bool) -> list[str]:
    """What a folder's name says of runs that are done twice."""
    return ["without_support"] if without_support else []


def _folder(
    out: Path | None, path: Path, command: str, own: str, words: Sequence[str], settings: list[str] | None
) -> Path:
    """Folder of a result: as asked, else by the file's name and what is not as the file asks for.

    Parameters
    ----------
    command, own : study that is done, and the one that the file asks for
    words : what was chosen and changed, besides the settings
    """
    from simcore.views.place import own_folder

    if out is not None:
        return out
    other = [] if command == own else [command]
    return own_folder(path, [*other, *words, *sorted(settings or [])])


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
    from simcore.views.export import export
    from simcore.views.place import check_own_place

    check_own_place(folder, kind, scenario, how)
    result = study()
    return result, export(result, folder, how)


def _tell(result: "Result", files: list[Path], quiet: bool, everything: bool = False) -> None:
    """Say what must be known first, then the result and where its files are; end with the exit code."""
    say_concerns(result)
    if not quiet:
        show_result(result, everything)
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
    everything: Everything = False,
    quiet: Quiet = False,
) -> None:
    """Run one scenario. Gives series, metrics, pictures of pitch, travel and of who carries the load."""
    with _working("integrating", quiet) as meter:
        file = _load(scenario)
        picked = file if variant is None else file.variant(variant)
        case = _with_counterfactual(_changed(picked, settings), without_support)
        from simcore.results.run import Run
        from simcore.studies.claims import warn_of_conclusion
        from simcore.studies.simulate import simulate
        from simcore.views.place import own_study, variant_word

        if not (case.variants or case.vary):  # else the file's conclusion speaks of other cases too
            warn_of_conclusion(case, [case.case])
        words = [*([variant_word(file, variant)] if variant else []), *_extra(without_support)]
        folder, how = _folder(out, scenario, "run", own_study(case), words, settings), _export(formats, look)
        done = _carry_out(case, Run, lambda: simulate(case, meter), folder, how)
    _tell(*done, quiet, everything)


@app.command()
def compare(
    scenario: ScenarioFile,
    settings: Settings = None,
    without_support: WithoutSupport = False,
    out: Out = None,
    formats: Formats = "png",
    look: Look = "screen",
    everything: Everything = False,
    quiet: Quiet = False,
) -> None:
    """Run a scenario and all its variants. Gives a table of differences and pictures of all cases."""
    with _working("comparing", quiet) as meter:
        case = _with_counterfactual(_load(scenario, settings), without_support)
        from simcore.studies.compare import Comparison
        from simcore.studies.compare import compare as study
        from simcore.views.place import own_study

        own = own_study(case) if case.vary else "compare"
        folder = _folder(out, scenario, "compare", own, _extra(without_support), settings)
        how = _export(formats, look)
        done = _carry_out(case, Comparison, lambda: study(case, meter), folder, how)
    _tell(*done, quiet, everything)


@app.command()
def sweep(
    scenario: ScenarioFile,
    vary: Vary = None,
    settings: Settings = None,
    variant: Variant = None,
    workers: Workers = None,
    scheduler: Annotated[
        str | None, typer.Option(metavar="ADDRESS", help="Do the runs on the dask cluster of this scheduler.")
    ] = None,
    out: Out = None,
    formats: Formats = "png",
    look: Look = "screen",
    everything: Everything = False,
    quiet: Quiet = False,
) -> None:
    """Run a scenario along one axis or several. Its variants too. Gives a table, and curves or maps of it."""
    with _working("sweeping", quiet) as meter:
        from simcore.files import case_alone

        file, how = _load(scenario), _export(formats, look)
        asked = _changed(file if variant is None else case_alone(file, variant), settings)
        case = _with_axes(asked, vary)
        from simcore.studies.sweep import Sweep
        from simcore.studies.sweep import sweep as study
        from simcore.views.place import own_study, variant_word

        words = [variant_word(file, variant)] if variant else []
        words += [f"vary_{text}" for text in vary or []]
        folder = _folder(out, scenario, "sweep", own_study(asked), words, settings)

        def sweeps() -> Sweep:
            return study(case, folder, workers or os.cpu_count() or 1, scheduler, meter)

        with _kept(folder, meter):
            done = _carry_out(case, Sweep, sweeps, folder, how)
    _tell(*done, quiet, everything)


@app.command()
def limit(
    scenario: ScenarioFile,
    settings: Settings = None,
    find: Find = None,
    vary: Along = None,
    workers: Workers = None,
    distance: Annotated[
        float | None, typer.Option(metavar="MM", help="Way to cover; else end.distance, else the wheelbase.")
    ] = None,
    front_up: Annotated[
        float | None,
        typer.Option(metavar="S", help="Longest unbroken time that the front may be in the air; else 0.25."),
    ] = None,
    out: Out = None,
    formats: Formats = "png",
    look: Look = "screen",
    everything: Everything = False,
    quiet: Quiet = False,
) -> None:
    """Find the steepest slope that is climbed. By a scenario and each of its variants, and why no steeper.

    With --find: between which values of another number the scenario's own job is done.
    """
    with _working("climbing" if find is None else "searching", quiet) as meter:
        case, how = _load(scenario, settings), _export(formats, look)
        from simcore.studies.limit import FRONT_UP, Limits, find_limit, of_slope

        if not of_slope(find, vary):
            of_slopes = {"--distance": distance, "--front-up": front_up}
            _refuse(of_slopes, "beside --find", "left out: the scenario's own goal counts, as goal.reach")
            words = [f"find_{find}", *(f"vary_{text}" for text in vary or [])]
            folder = _folder(out, scenario, "limit", "", words, settings)
            done = _find(case, find or "", _axes(vary), folder, workers, how, meter)
        else:
            air = FRONT_UP if front_up is None else front_up
            way = None if distance is None else distance / 1000.0
            words = [] if distance is None else [f"distance={distance:g}"]
            words += [] if front_up is None else [f"front_up={front_up:g}"]
            folder = _folder(out, scenario, "limit", "", words, settings)
            done = _carry_out(case, Limits, lambda: find_limit(case, way, air, meter), folder, how)
    _tell(*done, quiet, everything)


def _refuse(options: "Mapping[str, Any]", got: str, must_be: str) -> None:
    """Refuse options that do not go together with others."""
    issues = [InputIssue(option, "", got, must_be) for option, value in options.items() if value is not None]
    if issues:
        raise InputError(issues)


def _find(
    case: "Scenario",
    find: str,
    axes: "Mapping[str, tuple[Any, ...]]",
    folder: Path,
    workers: int | None,
    how: "Export",
    meter: Meter,
) -> tuple["Result", list[Path]]:
    """Search for the limits of a number; finished runs are kept where its files go."""
    from simcore.studies.find import along, find_range
    from simcore.studies.ranges import Ranges

    asked, count = along(case, axes), workers or os.cpu_count() or 1

    def finds() -> Ranges:
        return find_range(case, find, axes, folder, count, meter)

    with _kept(folder, meter):
        return _carry_out(asked, Ranges, finds, folder, how)


@app.command()
def inspect(
    rig: Annotated[Path, typer.Argument(help="Rig file (TOML); see scenarios/README.md.")],
    settings: Settings = None,
    slope: Annotated[float, typer.Option(metavar="DEG", help="Slope that the rig stands on.")] = 0.0,
    as_json: Annotated[bool, typer.Option("--json", help="Print the facts as JSON alone.")] = False,
    out: Out = None,
    formats: Formats = "png",
    look: Look = "screen",
    everything: Everything = False,
    quiet: Quiet = False,
) -> None:
    """Say how a rig stands before it moves. Gives loads, links, rates, friction, limits, and a drawing."""
    with _working("standing", quiet or as_json):
        from simcore.standing.at_rest import standing_scenario
        from simcore.studies.inspect import Inspection
        from simcore.studies.inspect import inspect as study

        case = _changed(standing_scenario(rig, slope), settings)
        if as_json and out is None:
            typer.echo(study(case).to_json(), nl=False)
            raise typer.Exit(DONE)
        words = [f"slope={slope:g}"] if slope else []
        folder, how = _folder(out, rig, "inspect", "inspect", words, settings), _export(formats, look)
        result, files = _carry_out(case, Inspection, lambda: study(case), folder, how)
    if as_json and isinstance(result, Inspection):
        typer.echo(result.to_json(), nl=False)
        raise typer.Exit(DONE)
    _tell(result, files, quiet, everything)


@app.command()
def show(
    saved: Annotated[Path, typer.Argument(help="Folder of a result, or its JSON file.")],
    out: Annotated[
        Path | None, typer.Option(metavar="DIR", help="Folder to write it to once more, with its pictures.")
    ] = None,
    formats: Formats = "png",
    look: Look = "screen",
    everything: Everything = False,
) -> None:
    """Show a saved result once more. Without another run; with --out its pictures are drawn anew."""
    with _working("reading", quiet=True):
        from simcore.studies.load import load
        from simcore.views.export import export
        from simcore.views.place import check_own_place

        how, result = _export(formats, look), load(saved)
        if out is not None:
            check_own_place(out, type(result), result.scenario, how)
        files = [] if out is None else export(result, out, how)
    _tell(result, files, quiet=False, everything=everything)


@app.command()
def gallery(
    scenarios: Annotated[Path, typer.Argument(help="Folder with scenario files.")] = Path("scenarios"),
    workers: Workers = None,
    out: Annotated[
        Path | None,
        typer.Option(
            metavar="DIR",
            help="Folder for pictures and page. Left out: plots; of another folder plots/<its name>.",
        ),
    ] = None,
    formats: Formats = "png",
    look: Look = "screen",
    quiet: Quiet = False,
) -> None:
    """Draw every file of a folder, on a page. Each with its question and what its runs show."""
    with _working("drawing", quiet) as meter:
        from simcore.views.gallery import check_page
        from simcore.views.gallery import gallery as make_gallery
        from simcore.views.place import HOME

        how = _export(formats, look)
        folder = out or (HOME if scenarios == Path("scenarios") else HOME / scenarios.resolve().name)
        check_page(folder)
        result = make_gallery(scenarios, workers or os.cpu_count() or 1, meter)
        files = result.save(folder, how)
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
    warnings.formatwarning = lambda message, *_, **__: f"warning: {message}\n"
    app()
