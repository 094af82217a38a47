"""What the commands share: bad input as a message, a file with its changes, where results go, their words."""

import os
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import TYPE_CHECKING, Any

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
    rich_markup_mode=None,  # its boxes cut words on a narrow screen
    help="Virtual test bench for small radio-controlled rock crawlers; not for vehicles with people.",
)


@app.callback()
def _commands() -> None:
    """Keep `simcore run` a command of its own, however many there are."""


@contextmanager
def refusing() -> Iterator[None]:
    """Turn bad input, and files that cannot be used, into their message and exit code."""
    try:
        yield
    except InputError as error:
        typer.echo(str(error), err=True)
        raise typer.Exit(BAD_INPUT) from None
    except OSError as error:
        if error.filename is None:
            raise
        issue = InputIssue(str(error.filename), "", str(error.strerror), "a file or folder that can be used")
        typer.echo(str(issue), err=True)
        raise typer.Exit(BAD_INPUT) from None


@contextmanager
def working(what: str, quiet: bool) -> Iterator[Meter]:
    """Refuse bad input, show how far the work is; say so when the laws must be compiled first."""
    from simcore.compiled.cache import is_compiled

    meter = Meter(what, quiet)
    with refusing():
        try:
            if not quiet and not is_compiled():
                typer.echo("compiling the laws of motion once for this version, 40 to 60 s ...", err=True)
            yield meter
        finally:
            meter.close()


def processes(workers: int | None) -> int:
    """How many processes share the runs: as many as typed, else as there are cores that this one may use."""
    allowed = os.sched_getaffinity(0) if hasattr(os, "sched_getaffinity") else range(os.cpu_count() or 1)
    return workers or len(allowed)


def begin(workers: int | None, draws: bool = False) -> None:
    """Have the processes begun that will share the runs, draws or others, while this one still reads."""
    if processes(workers) > 1:
        from simcore.studies.processes import DRAWS, RUNS, begin

        with suppress(OSError):  # which is told when they are needed
            begin(DRAWS if draws else RUNS)


def processes_for(case: "Scenario", workers: int | None) -> int:
    """How many share the cases of a comparison: as many as typed, else one where cases are few."""
    from simcore.studies.compare import sharing

    return workers or sharing(case, processes(None))


def saved_in(source: Path) -> Path | None:
    """Folder of a saved result that was named by its folder or JSON file; None: a scenario file was."""
    if source.is_dir():
        return source
    return source.parent if source.suffix == ".json" else None


@contextmanager
def kept(folder: Path, meter: Meter) -> Iterator[None]:
    """Say where finished runs are when the user, or a want of memory, stops many."""
    from simcore.results.store import FILE

    try:
        yield
    except KeyboardInterrupt:
        meter.close()
        typer.echo(f"stopped; finished runs are in {folder / FILE}, the same command goes on", err=True)
        raise typer.Exit(STOPPED) from None
    except MemoryError:
        meter.close()
        must_be = f"one that this machine has the memory for; finished runs are in {folder / FILE}"
        raise InputError([InputIssue("memory", "", "too large a task", must_be)]) from None


def scenario_in(path: Path, settings: list[str] | None = None) -> "Scenario":
    """Read a scenario and change what was set; its variants keep their own changes."""
    from simcore.files import load_scenario

    return changed(load_scenario(path), settings)


def changed(scenario: "Scenario", settings: list[str] | None) -> "Scenario":
    """Change what was set; what the file concludes was not concluded of what is changed."""
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


def warn_of_rig(scenario: "Scenario", variants: bool = True) -> None:
    """Warn of values of its rig, and of its variants' rigs, that are out of all custom."""
    from simcore.plausibility.warn import warn_of_rig

    warn_of_rig(scenario, variants)


def with_counterfactual(scenario: "Scenario", wanted: bool) -> "Scenario":
    """The scenario that asks for every case once more without squat support, if that is wanted."""
    return scenario.changed({"without_support": True}, keep_variants=True) if wanted else scenario


def with_axes(scenario: "Scenario", vary: list[str] | None) -> "Scenario":
    """The scenario with the axes that were typed; without any with its own."""
    from simcore.files import with_axes

    axes = typed_axes(vary)
    return with_axes(scenario, axes) if axes else scenario


def typed_axes(vary: list[str] | None) -> dict[str, tuple[Any, ...]]:
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


def extra(without_support: bool) -> list[str]:
    """What a folder's name says of runs that are done twice."""
    return ["without_support"] if without_support else []


def folder_for(
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


def pictures_as(formats: str, look: str, none: bool = False) -> "Export":
    """How pictures are to be written, if they are; both options' issues at once."""
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
    return Export(() if none else kinds, look)


def carry_out(
    scenario: "Scenario", kind: type["Result"], study: "Callable[[], Result]", folder: Path, how: "Export"
) -> tuple["Result", list[Path]]:
    """Do a study and write its result with its pictures; a folder that cannot take them is refused first."""
    from simcore.views.place import check_own_place

    check_own_place(folder, kind, scenario, how)
    result = study()
    return result, written(result, folder, how)


def written(result: "Result", folder: Path, how: "Export") -> list[Path]:
    """Write a result with its pictures, and its page where one stands there."""
    from simcore.views.export import export
    from simcore.views.place import PAGE

    if not (folder / PAGE).is_file():  # nothing else needs what makes pages
        return export(result, folder, how)
    from simcore.views.page.file import renewed

    return export(result, folder, how, renewed(result, folder))


def say(result: "Result", files: list[Path], quiet: bool, everything: bool = False) -> int:
    """Say what must be known first, then the result and where its files are; give the exit code."""
    say_concerns(result)
    if not quiet:
        show_result(result, everything)
        say_files(files)
    return AUDIT_FAILED if result.concerns else DONE


def tell(result: "Result", files: list[Path], quiet: bool, everything: bool = False) -> None:
    """Say a result as `say` does, and end with the exit code."""
    raise typer.Exit(say(result, files, quiet, everything))


def refuse(options: "Mapping[str, Any]", got: str, must_be: str) -> None:
    """Refuse options that do not go together with others."""
    issues = [InputIssue(option, "", got, must_be) for option, value in options.items() if value is not None]
    if issues:
        raise InputError(issues)
