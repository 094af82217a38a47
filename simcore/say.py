"""What the commands say on the terminal: tables, answers, audits, and how far the work is."""

import shutil
import sys
import time
from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

import typer

if TYPE_CHECKING:
    from rich.progress import Progress

    from simcore.files import Scenario
    from simcore.run import Run
    from simcore.studies.compare import Comparison
    from simcore.studies.inspect import Inspection
    from simcore.studies.limit import Limits
    from simcore.studies.sweep import Sweep

GAUGE = "front_on_droop_stop_s"  # the longest name keeps its room on a narrow screen
MOST_ROWS = 60  # of a sweep on the screen
MOST_COLUMNS = 3  # cases whose names head a table
SHOW_AFTER = 1.0  # s; anything shorter needs no progress bar
WIDE = 110  # columns of a screen on which meanings have room


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


def _audits(runs: Mapping[str, "Run"]) -> Iterator[tuple[str, "Run"]]:
    """Every run with its name, twins too."""
    for name, run in runs.items():
        yield name, run
        if run.twin is not None:
            yield f"{name}, without support", run.twin


def say_audit(runs: Mapping[str, "Run"]) -> None:
    """The first words of a run that breaks its audit."""
    for name, run in _audits(runs):
        faults = "; ".join(run.audit.faults)
        if faults or not run.sound:
            say_unsound(name, faults or run.outcome.value)


def say_unsound(name: str, reason: str) -> None:
    """The first words about a case that breaks its audit."""
    typer.echo(f"AUDIT FAILED, do not use these results ({name}): {reason}")


def say_unknown(name: str, unknown: str) -> None:
    """What a search could not find out."""
    typer.echo(f"NOT KNOWN ({name}): {unknown}")


def say_files(files: list[Path]) -> None:
    """Where the files are."""
    typer.echo("\n".join(f"wrote {path}" for path in files))


def print_table(title: str, columns: Sequence[str], rows: Sequence[Sequence[str]], answer: str) -> None:
    """Title, rows under their heads, and the answer."""
    from rich.console import Console
    from rich.table import Column, Table
    from rich.text import Text

    heads = [Column(Text(name), min_width=len(GAUGE) if k == 0 else None) for k, name in enumerate(columns)]
    table = Table(*heads, box=None, pad_edge=False, padding=(0, 1, 0, 0), header_style="bold")
    for row in rows:
        table.add_row(*(Text(cell) for cell in row))
    console = Console(markup=False, highlight=False)
    if title:
        console.print(title, style="bold")
    console.print(table)
    if answer:
        console.print(answer, style="bold")


def meaning_table(
    head: str, values: Mapping[str, Any], meaning: Mapping[str, str]
) -> tuple[Sequence[str], list[Sequence[str]]]:
    """Heads and rows of figures, with their meanings where the screen is wide enough."""
    from simcore.results.formatting import number

    wide = shutil.get_terminal_size().columns >= WIDE
    columns = (head, "value", "meaning")[: 3 if wide else 2]
    return columns, [(key, number(key, value), meaning[key])[: len(columns)] for key, value in values.items()]


def print_summary(run: "Run") -> None:
    """Every figure of the summary, with its meaning where the screen is wide enough."""
    from simcore.pictures.findings import Caption, finding
    from simcore.results.catalogue import CATALOGUE
    from simcore.results.metrics import STATE_SHARES

    told = {key: value for key, value in run.summary.items() if value or key not in STATE_SHARES}
    meaning = {name: metric.meaning for name, metric in CATALOGUE.items()}
    columns, rows = meaning_table("metric", told, meaning)
    caption = Caption.of(run.scenario)
    print_table(caption.text, columns, rows, finding(run.summary, caption))


def print_comparison(result: "Comparison") -> None:
    """Every figure that differs between cases, with its difference to the first."""
    from simcore.pictures.findings import Caption, contrast
    from simcore.results.catalogue import of_group
    from simcore.results.formatting import number
    from simcore.results.quantities import Group

    summaries = list(result.summaries.values())
    many = len(summaries) > MOST_COLUMNS
    rows, audits = [], of_group(Group.AUDIT)
    for key, first in summaries[0].items():
        cells = [number(key, summary[key], bare=many) for summary in summaries]
        for k, summary in enumerate(summaries):
            numbers = isinstance(first, float) and isinstance(summary[key], float)
            if cells[k] != cells[0] and numbers and not many:
                cells[k] += f" ({summary[key] - first:+.3g})"
        if len(set(cells)) > 1 and key not in audits:
            rows.append((key, *cells))
    names = list(result.runs)
    if many:  # letters for heads, and the names below one another
        letters = [chr(ord("A") + k) for k in range(len(names))]
        typer.echo("\n".join(f"{letter} = {name}" for letter, name in zip(letters, names, strict=True)))
        names = letters
    caption = Caption.of(result.scenario)
    answer = contrast(result.summaries, caption)
    print_table(caption.text, ("metric", *names), rows, answer)


def print_sweep(result: "Sweep") -> None:
    """Every run with the figures that change, why runs have none, and the answer."""
    from simcore.pictures.findings import Caption
    from simcore.results.formatting import four_digits
    from simcore.results.quantities import words
    from simcore.studies.grid import axis_label
    from simcore.units import column_unit

    shown = result.shown
    heads = [
        *(axis_label(path) for path in result.axes),
        *(f"{words(key)}, {column_unit(key)}" for key in shown),
    ]
    rows = [
        [*(str(point.inputs[path]) for path in result.axes), *(four_digits(row.get(key)) for key in shown)]
        for point, row in zip(result.points, result.rows, strict=True)
    ]
    if len(rows) > MOST_ROWS:
        cut = len(rows) - MOST_ROWS
        rows[MOST_ROWS // 2 : -MOST_ROWS // 2] = [[f"{cut} more in table.csv", *[""] * (len(heads) - 1)]]
    print_table(Caption.of(result.scenario).text, heads, rows, result.answer)
    for name, why in result.failed.items():
        typer.echo(f"no figures for {name}: {why}")


def say_finding(scenario: "Scenario", summaries: Mapping[str, dict[str, Any]]) -> None:
    """What the scenario file says that its runs show, or that these runs do not bear it out."""
    from simcore.studies.told import broken_claims, told

    if not scenario.finding.says:
        return
    broken = broken_claims(scenario, summaries)
    if broken:
        typer.echo("The finding of this file is not borne out by these runs: " + "; ".join(broken))
    else:
        typer.echo(f"Finding: {told(scenario, summaries)}")


def print_standing(result: "Inspection") -> None:
    """Every standing fact: of the rig, and of both axles side by side."""
    from simcore.results.formatting import number
    from simcore.standing.facts import MEANING

    facts = result.facts
    paired = [(key, front_key(key)) for key in facts if key.startswith("rear_")]
    of_axles = {key for pair in paired for key in pair}
    of_rig = {key: value for key, value in facts.items() if key not in of_axles and value is not None}
    columns, rows = meaning_table("rig", of_rig, MEANING)
    print_table("How does it stand?", columns, rows, "")
    sides = [
        (side_name(rear), number(rear, facts[rear]), number(front, facts[front])) for rear, front in paired
    ]
    print_table("", ("axle", "rear", "front"), sides, result.answer)


def front_key(key: str) -> str:
    """The front's fact that answers to one of the rear: its lift to the squat, its dive to the lift."""
    key = key.replace("rear_", "front_", 1)
    return key.replace("anti_lift", "anti_dive").replace("anti_squat", "anti_lift")


def side_name(rear: str) -> str:
    """One name for a fact of both axles."""
    name = rear.removeprefix("rear_")
    return name.replace("anti_lift", "anti_lift/dive").replace("anti_squat", "anti_squat/lift")


def print_limits(result: "Limits") -> None:
    """Steepest slope of each case, why it ends there, and the limits of the standing rig."""
    from simcore.pictures.findings import Caption
    from simcore.pictures.slopes import slopes_finding
    from simcore.results.formatting import number

    rows = []
    for name, limit in result.cases.items():
        climbs, tip, grip = (
            number("_deg", value)
            for value in (limit.climbs_deg, limit.standing["tip_back_deg"], limit.standing["grip_deg"])
        )
        rows.append((name, climbs, limit.reason, tip, grip))
    columns = ("case", "climbs", "steeper", "standing: tips at", "grip to")
    print_table(Caption.of(result.scenario).text, columns, rows, slopes_finding(result.table()))
