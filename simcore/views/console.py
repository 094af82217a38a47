"""Results on the terminal: tables, headlines, concerns, and how far the work is."""

import shutil
import sys
import time
from collections.abc import Callable, Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

import typer

if TYPE_CHECKING:
    from rich.progress import Progress

    from simcore.results.result import Result
    from simcore.results.run import Run
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


def say_concerns(result: "Result") -> None:
    """The first words about a result: what must be known before anything else."""
    for concern in result.concerns:
        typer.echo(str(concern))


def say_files(files: list[Path]) -> None:
    """Where the files are."""
    if files:
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
    head: str, values: Mapping[str, str], meaning: Mapping[str, str]
) -> tuple[Sequence[str], list[Sequence[str]]]:
    """Heads and rows of numbers, with their meanings where the screen is wide enough."""
    wide = shutil.get_terminal_size().columns >= WIDE
    columns = (head, "value", "meaning")[: 3 if wide else 2]
    return columns, [(key, value, meaning[key])[: len(columns)] for key, value in values.items()]


def show_result(result: "Result") -> None:
    """Tables and headline of a result, and what its file concludes from runs like these."""
    from simcore.results.run import Run
    from simcore.studies.compare import Comparison
    from simcore.studies.inspect import Inspection
    from simcore.studies.limit import Limits
    from simcore.studies.sweep import Sweep

    shown: dict[type[Result], Callable[[Any], None]] = {
        Run: _show_run,
        Comparison: _show_comparison,
        Sweep: _show_sweep,
        Inspection: _show_inspection,
        Limits: _show_limits,
    }
    shown.get(type(result), _show_tables)(result)
    _say_conclusion(result)


def _show_tables(result: "Result") -> None:
    """Every table of a result as it is: what a kind gets that has no form of its own."""
    from simcore.results.formatting import three_digits

    for k, table in enumerate(result.tables.values()):
        rows = [
            (str(name), *(three_digits(value) if isinstance(value, float) else str(value) for value in row))
            for name, row in zip(table.index, table.itertuples(index=False), strict=True)
        ]
        last = k == len(result.tables) - 1
        print_table(
            result.scenario.title if k == 0 else "", ("", *table), rows, result.headline if last else ""
        )


def _show_run(run: "Run") -> None:
    """Every metric of the summary, with its meaning where the screen is wide enough."""
    from simcore.results.catalogue import CATALOGUE, in_words
    from simcore.results.conditions import Conditions
    from simcore.results.metrics import STATE_SHARES

    told = {
        key: in_words(key, value) for key, value in run.summary.items() if value or key not in STATE_SHARES
    }
    meaning = {name: metric.meaning for name, metric in CATALOGUE.items()}
    columns, rows = meaning_table("metric", told, meaning)
    print_table(Conditions.of(run.scenario).text, columns, rows, run.headline)


def _show_comparison(result: "Comparison") -> None:
    """Every metric that differs between cases, with its difference to the first."""
    from simcore.results.catalogue import in_words, of_group
    from simcore.results.conditions import Conditions
    from simcore.results.quantities import Group

    summaries = list(result.summaries.values())
    many = len(summaries) > MOST_COLUMNS
    rows, audits = [], of_group(Group.AUDIT)
    for key in dict.fromkeys(key for summary in summaries for key in summary):
        values = [summary.get(key) for summary in summaries]
        cells = ["-" if value is None else in_words(key, value, bare=many) for value in values]
        for k, value in enumerate(values):
            first = values[0]
            if cells[k] != cells[0] and not many and isinstance(value, float) and isinstance(first, float):
                cells[k] += f" ({value - first:+.3g})"
        if len(set(cells)) > 1 and key not in audits:
            rows.append((key, *cells))
    names = list(result.runs)
    if many:  # letters for heads, and the names below one another
        letters = [chr(ord("A") + k) for k in range(len(names))]
        typer.echo("\n".join(f"{letter} = {name}" for letter, name in zip(letters, names, strict=True)))
        names = letters
    print_table(Conditions.of(result.scenario).text, ("metric", *names), rows, result.headline)


def _show_sweep(result: "Sweep") -> None:
    """Every run with the metrics that change, why runs have none, and the answer."""
    from simcore.results.catalogue import label_of
    from simcore.results.conditions import Conditions
    from simcore.results.formatting import number, said_unit
    from simcore.studies.plan import axis_label

    shown = result.shown
    heads = [
        *(str(axis_label(path)) for path in result.axes),
        *(f"{label_of(key)}, {said_unit(key)}" for key in shown),
    ]
    rows = [
        [
            *(str(point.inputs[path]) for path in result.axes),
            *(number(key, row.get(key), bare=True) for key in shown),
        ]
        for point, row in zip(result.points, result.rows, strict=True)
    ]
    if len(rows) > MOST_ROWS:
        cut = len(rows) - MOST_ROWS
        rows[MOST_ROWS // 2 : -MOST_ROWS // 2] = [[f"{cut} more in table.csv", *[""] * (len(heads) - 1)]]
    print_table(Conditions.of(result.scenario).text, heads, rows, result.headline)
    for name, why in result.failed.items():
        typer.echo(f"no metrics for {name}: {why}")


def _say_conclusion(result: "Result") -> None:
    """What the scenario file says that its runs show, or that these runs do not bear it out.

    A case alone of a file with several is not what the conclusion speaks of.
    """
    from simcore.results.run import Run
    from simcore.studies.claims import broken_claims, conclude

    scenario = result.scenario
    part = isinstance(result, Run) and bool(scenario.variants or scenario.vary)
    if part or not result.summaries or not scenario.conclusion.says:
        return
    broken = broken_claims(scenario, result.summaries)
    if broken:
        typer.echo("The conclusion of this file is not borne out by these runs: " + "; ".join(broken))
    else:
        typer.echo(f"Conclusion: {conclude(scenario, result.summaries)}")


def _show_inspection(result: "Inspection") -> None:
    """Every standing fact: of the rig, and of both axles side by side."""
    from simcore.results.formatting import number
    from simcore.standing.codes import spelled
    from simcore.standing.table import MEANING

    def said(key: str) -> str:
        value = facts[key]
        return spelled(key, value) if isinstance(value, str) else number(key, value)

    facts = result.facts
    paired = [(key, front_key(key)) for key in facts if key.startswith("rear_")]
    of_axles = {key for pair in paired for key in pair}
    of_rig = {key: said(key) for key in facts if key not in of_axles and facts[key] is not None}
    columns, rows = meaning_table("rig", of_rig, MEANING)
    print_table("How does it stand?", columns, rows, "")
    sides = [(side_name(rear), said(rear), said(front)) for rear, front in paired]
    print_table("", ("axle", "rear", "front"), sides, result.headline)


def front_key(key: str) -> str:
    """The front's fact that answers to one of the rear: its lift to the squat, its dive to the lift."""
    key = key.replace("rear_", "front_", 1)
    return key.replace("anti_lift", "anti_dive").replace("anti_squat", "anti_lift")


def side_name(rear: str) -> str:
    """One name for a fact of both axles."""
    name = rear.removeprefix("rear_")
    return name.replace("anti_lift", "anti_lift/dive").replace("anti_squat", "anti_squat/lift")


def _show_limits(result: "Limits") -> None:
    """Steepest slope of each case, why it ends there, and the limits of the standing rig."""
    from simcore.results.conditions import Conditions
    from simcore.results.formatting import number

    rows = []
    for name, limit in result.cases.items():
        climbs, tip, grip = (
            number("_deg", value)
            for value in (limit.climbs_deg, limit.standing["tip_back_deg"], limit.standing["grip_deg"])
        )
        rows.append((name, climbs, limit.why, tip, grip))
    columns = ("case", "climbs", "steeper", "standing: tips at", "grip to")
    print_table(Conditions.of(result.scenario).text, columns, rows, result.headline)
