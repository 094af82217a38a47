"""The command that films: movie."""

from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from simcore.cli.options import Quiet, place
from simcore.cli.shared import app, folder_for, saved_in, scenario_in, warn_of_rig, working
from simcore.errors import InputError, InputIssue
from simcore.views.console import Meter, say_files

if TYPE_CHECKING:
    from simcore.files.scenario import End
    from simcore.results.run import Run


@app.command()
def movie(
    source: Annotated[
        Path, typer.Argument(metavar="SCENARIO|DIR", help="Scenario file, or folder of a saved result.")
    ],
    variants: Annotated[
        str | None,
        typer.Option(metavar="A,B", help="Only these, in this order; left out: all, the base first."),
    ] = None,
    slow: Annotated[float, typer.Option(metavar="N", help="How many times slower than it was.")] = 4.0,
    out: Annotated[
        Path | None,
        typer.Option(
            "--out",
            "-o",
            metavar="FILE",
            parser=place,
            help="A .gif, or an .mp4 where ffmpeg is installed. Left out: movie.gif in the result's folder.",
        ),
    ] = None,
    quiet: Quiet = False,
) -> None:
    """Film rigs in motion, one above the other. Of a scenario and its variants, or of a saved result."""
    with working("running", quiet) as meter:
        saved = saved_in(source)
        file = out or (saved or folder_for(None, source, "run", "run", [], None)) / "movie.gif"
        runs = _saved(source, variants) if saved else _fresh(source, variants, file, slow, meter)
    with working("filming", quiet) as meter:
        from simcore.views.movie import movie as film

        written = film(runs, file, slow, meter)
    if not quiet:
        say_files([written])


def _saved(source: Path, variants: str | None) -> "Mapping[str, Run]":
    from simcore.studies.compare import runs_of
    from simcore.studies.load import load

    result = load(source)
    runs = runs_of(result)
    if not runs:
        must_be = "one of run or compare, which hold the motion of their runs"
        raise InputError([InputIssue(str(source), "", f"the result of a {result.kind}", must_be)])
    return {name: runs[name] for name in chosen(variants, list(runs))}


def _fresh(source: Path, variants: str | None, file: Path, slow: float, meter: Meter) -> "Mapping[str, Run]":
    scenario = scenario_in(source)
    from simcore.studies.simulate import simulate
    from simcore.views.movie import check_movie

    cases = scenario.cases()
    names = chosen(variants, list(cases))
    check_movie(file, names, slow, max(_lasts(cases[name].end) for name in names))
    warn_of_rig(scenario)
    runs = {}
    for k, name in enumerate(names):

        def note(done: float, total: float, before: int = k) -> None:
            meter(before + done / total, len(names))

        runs[name] = simulate(cases[name], note).without_trace()
    return runs


def _lasts(end: "End") -> float:
    """How long a run lasts that is not lost, s; 0 where something may end it sooner."""
    return 0.0 if end.distance is not None or end.when else end.duration


def chosen(words: str | None, names: Sequence[str]) -> list[str]:
    """Names that were typed with commas between them; they may hold commas themselves.

    Raises
    ------
    InputError
        When one of them is no name, or comes twice.
    """
    if words is None:
        return list(names)
    found: list[str] = []
    left = [part.strip() for part in words.split(",")]
    issues = []
    while left:
        known = (k for k in range(len(left), 0, -1) if ", ".join(left[:k]) in names)
        count = next(known, 0)
        name = ", ".join(left[: max(count, 1)])
        if not count:
            issues.append(InputIssue("--variants", "", f'"{name}"', f"some of {'; '.join(names)}"))
        elif name in found:
            issues.append(InputIssue("--variants", "", f'"{name}" twice', "each once"))
        found.append(name)
        left = left[max(count, 1) :]
    if issues:
        raise InputError(issues)
    return found
