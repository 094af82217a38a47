"""The command line: parse, call, print; nothing else. Heavy imports wait until a command needs them."""

import re
import sys
import time
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from simcore.faults import AUDIT_FAILED, BAD_INPUT, DONE, BadInput

if TYPE_CHECKING:
    from rich.progress import Progress

    from simcore.files import Scenario
    from simcore.run import Run

app = typer.Typer(
    add_completion=False,
    no_args_is_help=True,
    pretty_exceptions_enable=False,
    help="Virtual test bench for small radio-controlled rock crawlers; not for vehicles with people.",
)
SHOW_AFTER = 1.0  # s; anything shorter needs no progress bar

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
Quiet = Annotated[bool, typer.Option("--quiet", help="Print nothing but faults.")]


@app.callback()
def _commands() -> None:
    """Keep `simcore run` a command of its own, however many there are."""


class Meter:
    """Progress with time left, on stderr, silent when piped and for the first second."""

    def __init__(self, what: str, quiet: bool) -> None:
        self.what, self.silent = what, quiet or not sys.stderr.isatty()
        self.begun = time.monotonic()
        self.bar: Progress | None = None

    def __call__(self, done: float, total: float) -> None:
        """Note how far the work is."""
        if self.silent or (self.bar is None and time.monotonic() - self.begun < SHOW_AFTER):
            return
        if self.bar is None:
            from rich.console import Console
            from rich.progress import BarColumn, Progress, TextColumn, TimeRemainingColumn

            columns = (TextColumn("{task.description}"), BarColumn(), TimeRemainingColumn())
            self.bar = Progress(*columns, console=Console(stderr=True), transient=True)
            self.bar.add_task(self.what, total=total)
            self.bar.start()
        self.bar.update(self.bar.task_ids[0], completed=done)

    def close(self) -> None:
        """Take the bar away."""
        if self.bar is not None:
            self.bar.stop()


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
    from simcore.files import load_scenario, parse_setting

    scenario = load_scenario(path)
    if variant is not None:
        scenario = scenario.variant(variant)
    changes = dict(parse_setting(text) for text in settings or [])
    return scenario.changed(changes) if changes else scenario


def _folder(out: Path | None, path: Path, variant: str | None = None) -> Path:
    if out is not None:
        return out
    folder = Path("plots") / path.stem
    return folder / re.sub(r"[^a-z0-9]+", "_", variant.lower()).strip("_") if variant else folder


def _say_audit(runs: Mapping[str, "Run"]) -> None:
    """The first words of a run that breaks its audit."""
    for name, run in runs.items():
        if not run.sound:
            reason = run.summary["audit"] if run.audit.faults else run.outcome.value
            typer.echo(f"AUDIT FAILED, do not use these results ({name}): {reason}")


def _say_files(files: list[Path]) -> None:
    typer.echo("\n".join(f"wrote {path}" for path in files))


def _number(key: str, value: Any) -> str:
    """A summary figure with its unit, to four digits."""
    if isinstance(value, str):
        return value
    from simcore.units import column_unit

    unit = column_unit(key)
    digits = (
        f"{value:.4g}" if abs(value) >= 5e-4 or key.endswith(("_1", "_pct")) else f"{abs(round(value, 3)):g}"
    )
    return digits if unit == "1" else f"{digits} {unit}"


def _print_summary(run: "Run") -> None:
    from rich.console import Console
    from rich.table import Table

    from simcore.summary import MEANING

    table = Table(
        "figure",
        "value",
        "meaning",
        title=f"{run.scenario.title}  Rig: {run.scenario.rig.name}",
        title_justify="left",
    )
    for key, value in run.summary.items():
        table.add_row(key, _number(key, value), MEANING[key])
    Console().print(table)


def _print_comparison(summaries: Mapping[str, Mapping[str, Any]], title: str) -> None:
    """Every figure that differs between cases, with its difference to the first."""
    from rich.console import Console
    from rich.table import Table

    names = list(summaries)
    base = summaries[names[0]]
    table = Table("figure", *names, title=title, title_justify="left")
    for key, first in base.items():
        cells = [_number(key, first)]
        for name in names[1:]:
            value = summaries[name][key]
            change = "" if isinstance(value, str) or value == first else f" ({value - first:+.3g})"
            cells.append(_number(key, value) + change)
        if any(summaries[name][key] != first for name in names[1:]) and not key.endswith(
            ("_residual_1", "_residual_pct", "drift_mm")
        ):
            table.add_row(key, *cells)
    Console().print(table)


@app.command()
def run(
    scenario: ScenarioFile,
    settings: Settings = None,
    variant: Variant = None,
    out: Out = None,
    quiet: Quiet = False,
) -> None:
    """Run one scenario: series.csv, summary.json, inputs.toml and pitch_and_travel.png."""
    with _working("integrating", quiet) as meter:
        case = _load(scenario, settings, variant)
        from simcore.run import simulate

        result = simulate(case, meter)
        meter.close()
        files = result.save(_folder(out, scenario, variant))
    _say_audit({case.title: result})
    if not quiet:
        _print_summary(result)
        _say_files(files)
    raise typer.Exit(DONE if result.sound else AUDIT_FAILED)


@app.command()
def compare(scenario: ScenarioFile, settings: Settings = None, out: Out = None, quiet: Quiet = False) -> None:
    """Run a scenario and all its variants: table.csv, inputs.toml and comparison.png."""
    with _working("comparing", quiet) as meter:
        case = _load(scenario, settings)
        from simcore.studies.compare import compare as compare_cases

        result = compare_cases(case, meter)
        meter.close()
        files = result.save(_folder(out, scenario))
    _say_audit(result.runs)
    if not quiet:
        summaries = {name: one.summary for name, one in result.runs.items()}
        _print_comparison(summaries, f"{case.title}  Rig: {case.rig.name}")
        _say_files(files)
    raise typer.Exit(DONE if result.sound else AUDIT_FAILED)


def main() -> None:
    """Entry point of the `simcore` command."""
    app()
