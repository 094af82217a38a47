"""The command line: parse, call, print; nothing else. Heavy imports wait until a command needs them."""

import io
import re
import shutil
import sys
import time
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from simcore.faults import AUDIT_FAILED, BAD_INPUT, DONE, BadInput

if TYPE_CHECKING:
    from rich.progress import Progress

    from simcore.files import Scenario
    from simcore.run import Run
    from simcore.studies.compare import Comparison

app = typer.Typer(
    add_completion=False,
    no_args_is_help=True,
    pretty_exceptions_enable=False,
    help="Virtual test bench for small radio-controlled rock crawlers; not for vehicles with people.",
)
GAUGE = "front_on_droop_stop_s"  # the longest name keeps its room on a narrow screen
MOST_COLUMNS = 3  # cases whose names head a table
AUDIT_FIGURES = ("_residual_1", "_residual_pct", "_drift_mm")
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
            self.bar.add_task(self.what, total=total, completed=int(done))
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
    """Read a scenario, pick a variant and change what was set; variants left in it keep their own changes."""
    from simcore.files import load_scenario, parse_setting

    scenario = load_scenario(path)
    if variant is not None:
        scenario = scenario.variant(variant)
    changes = dict(parse_setting(text) for text in settings or [])
    return scenario.changed(changes, keep_variants=True) if changes else scenario


def _folder(out: Path | None, path: Path, variant: str | None = None) -> Path:
    if out is not None:
        return out
    folder = Path("plots") / path.stem
    return folder / (re.sub(r"[^\w%+,.-]+", "_", variant).strip("._") or "variant") if variant else folder


def _say_audit(runs: Mapping[str, "Run"]) -> None:
    """The first words of a run that breaks its audit."""
    for name, run in runs.items():
        if not run.sound:
            reason = run.summary["audit"] if run.audit.faults else run.outcome.value
            typer.echo(f"AUDIT FAILED, do not use these results ({name}): {reason}")


def _say_files(files: list[Path]) -> None:
    typer.echo("\n".join(f"wrote {path}" for path in files))


def _number(key: str, value: Any, bare: bool = False) -> str:
    """A summary figure to four digits with its unit; bare: short, without."""
    if value is None:
        return "-"
    if isinstance(value, str):
        return value
    from simcore.units import column_unit

    unit = column_unit(key)
    if bare:
        return f"{value:.0f}" if abs(value) >= 100.0 else f"{value:.2f}"
    small = abs(value) < 5e-4 and not key.endswith(("_1", "_pct"))
    digits = f"{abs(round(value, 3)):g}" if small else f"{value:.4g}"
    return digits if unit == "1" else f"{digits} {unit}"


def _print_table(title: str, columns: Sequence[str], rows: Sequence[Sequence[str]], answer: str) -> None:
    from rich.console import Console
    from rich.table import Column, Table
    from rich.text import Text

    heads = [Column(Text(name), min_width=len(GAUGE) if k == 0 else None) for k, name in enumerate(columns)]
    table = Table(*heads, box=None, pad_edge=False, padding=(0, 1, 0, 0), header_style="bold")
    for row in rows:
        table.add_row(*(Text(cell) for cell in row))
    console = Console(markup=False, highlight=False)
    console.print(title, style="bold")
    console.print(table)
    console.print(answer, style="bold")


def _print_summary(run: "Run") -> None:
    """Every figure of the summary, with its meaning where the screen is wide enough."""
    from simcore.effect import MEANING as EFFECT
    from simcore.pictures.findings import Caption, finding
    from simcore.summary import MEANING

    wide = shutil.get_terminal_size().columns >= 110
    columns = ("figure", "value", "meaning")[: 3 if wide else 2]
    meaning = MEANING | EFFECT
    rows = [(key, _number(key, value), meaning[key])[: len(columns)] for key, value in run.summary.items()]
    caption = Caption.of(run.scenario)
    _print_table(caption.text, columns, rows, finding(run.summary, caption))


def _print_comparison(result: "Comparison") -> None:
    """Every figure that differs between cases, with its difference to the first."""
    from simcore.pictures.findings import Caption, contrast

    summaries = [run.summary for run in result.runs.values()]
    many = len(summaries) > MOST_COLUMNS
    rows = []
    for key, first in summaries[0].items():
        cells = [_number(key, summary[key], bare=many) for summary in summaries]
        for k, summary in enumerate(summaries):
            numbers = isinstance(first, float) and isinstance(summary[key], float)
            if cells[k] != cells[0] and numbers and not many:
                cells[k] += f" ({summary[key] - first:+.3g})"
        if len(set(cells)) > 1 and not key.endswith(AUDIT_FIGURES):
            rows.append((key, *cells))
    names = list(result.runs)
    if many:  # letters for heads, and the names below one another
        letters = [chr(ord("A") + k) for k in range(len(names))]
        typer.echo("\n".join(f"{letter} = {name}" for letter, name in zip(letters, names, strict=True)))
        names = letters
    caption = Caption.of(result.scenario)
    answer = contrast({name: run.summary for name, run in result.runs.items()}, caption)
    _print_table(caption.text, ("figure", *names), rows, answer)


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
    _say_audit({case.title: result})
    if not quiet:
        _print_summary(result)
        _say_files(files)
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
    _say_audit(result.runs)
    if not quiet:
        _print_comparison(result)
        _say_files(files)
    raise typer.Exit(DONE if result.sound else AUDIT_FAILED)


def main() -> None:
    """Entry point of the `simcore` command."""
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(errors="replace")  # a terminal without the degree sign still gets its table
    app()
