"""The results of a trial as they are typed: the file to fill in, and reading it with all faults at once."""

import csv
import dataclasses
import io
from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path

from simcore.errors import InputError, InputIssue, RejectedValue
from simcore.logs.reading import csv_text, separator
from simcore.outdoors.cells import number_in
from simcore.outdoors.key import Key, Plan
from simcore.units import Q, show

FIELDS = {
    "run": "number of the run, as on the sheets",
    "pair": "its pair",
    "driver": "who drove; change it if it was another",
    "code_word": "what was fitted; change it if the other one was by mistake",
    "outcome": "what came of the run: {outcome}. Empty: the run is missing",
    "temperature_C": "of the air, degrees Celsius",
    "dust": "on the rock, in a word: dry, dusty, damp",
    "tyres": "their state, in a word: clean, dusty, worn",
    "battery_V": "voltage of the pack before the run",
    "guess": "at one run of each pair: which of the two had the change, by the driver: first, second, ?",
    "left_out": "why the run must not count, decided before the key was opened; empty: it counts",
    "note": "anything else",
}
"""Columns of the file; the first five must be there."""
NEEDED = tuple(FIELDS)[:5]
NUMBERS = {"temperature_C": Q("1", ge=-60.0, le=70.0), "battery_V": Q("V", ge=0.0, le=100.0)}
FAR = 1000.0  # times the scatter of runs: further from nought no outcome is expected
YES, NO = ("yes", "y", "1", "true"), ("no", "n", "0", "false")
GUESSES = {"first": 1, "1st": 1, "1": 1, "second": 2, "2nd": 2, "2": 2, "?": 0, "": 0}
TRIAL = "# trial "


@dataclasses.dataclass(frozen=True)
class TypedRun:
    """One run as it was typed.

    Attributes
    ----------
    run : its number
    driver : who drove
    word : code word of what was fitted
    outcome : number in the measure's unit; 1 for yes and 0 for no; None: missing
    temperature, battery : degrees Celsius and volts; None: not noted
    dust, tyres : in words
    guess : 1 or 2: which run of the pair had the change; 0: none
    left_out : why it must not count; empty: it does
    """

    run: int
    driver: str
    word: str
    outcome: float | None
    temperature: float | None = None
    dust: str = ""
    tyres: str = ""
    battery: float | None = None
    guess: int = 0
    left_out: str = ""


def blank_results(key: Key) -> str:
    """The file to type results into."""
    plan = key.plan
    reach = "" if plan.measure.yes_no else plan.measure.outcomes.range_text()
    head = [
        f"{TRIAL}{key.trial}",
        f"# Outcome: {plan.measure.asked}{f', {reach}' if reach else ''}. One row a run.",
        "# Whoever types here must not drive: code words stand here.",
        "# Columns between commas, semicolons or tabs. Rows of runs not done stay, without outcome.",
        *(f"# {name}: {text.format(outcome=plan.measure.asked)}" for name, text in FIELDS.items()),
    ]
    text = io.StringIO()
    rows = csv.writer(text, lineterminator="\n")
    rows.writerow(FIELDS)
    for run in plan.runs:
        rows.writerow([run.run, run.pair, run.driver, plan.word(run), *[""] * (len(FIELDS) - 4)])
    return "\n".join(head) + "\n" + text.getvalue()


def read_results(path: Path, key: Key) -> tuple[TypedRun, ...]:
    """Read what was typed.

    Raises
    ------
    InputError
        with every fault: line, column, got, must be.
    """
    file = str(path)
    text = csv_text(path, "the results of a trial as CSV")
    lines = text.splitlines()
    _check_trial(file, lines, key)
    body = ["" if _said(line) else line for line in lines]
    mark = separator(next((line for line in body if line.strip()), ""))
    rows = [(number, cells) for number, cells in _rows(body, mark) if any(map(str.strip, cells))]
    if not rows:
        raise InputError(
            [InputIssue(file, "", "no rows", f"a header of {', '.join(FIELDS)}, and a row a run")]
        )
    (head, names), *rest = rows
    names = [name.strip() for name in names]
    issues = list(_header_issues(file, head, names))
    if issues:
        raise InputError(issues)
    reading = _Reading(file, key.plan, mark != ",")
    for number, cells in rest:
        reading.take(number, names, cells)
    if reading.issues:
        raise InputError(reading.issues)
    return tuple(sorted(reading.runs.values(), key=lambda run: run.run))


def _rows(lines: Sequence[str], mark: str) -> Iterator[tuple[int, list[str]]]:
    """Rows with the line that each begins in; a cell in quotes may go on over several lines."""
    reader = csv.reader([f"{line}\n" for line in lines], delimiter=mark)
    begun = 1
    for cells in reader:
        yield begun, cells
        begun = reader.line_num + 1


def _said(line: str) -> bool:
    return line.lstrip('" ').startswith("#")


def _check_trial(file: str, lines: Sequence[str], key: Key) -> None:
    """Refuse results of another trial."""
    named = [
        line.strip('" ,;\t').removeprefix(TRIAL).split()
        for line in lines
        if line.strip('" ').startswith(TRIAL)
    ]
    trial = named[0][0].strip(',;"') if named and named[0] else ""
    if trial != key.trial:
        got = f"results of trial {trial}" if trial else "no line that names the trial"
        must_be = f'those of trial {key.trial}, whose key this is: a line "{TRIAL}{key.trial}"'
        raise InputError([InputIssue(file, "line 1" if not trial else "", got, must_be)])


def _header_issues(file: str, line: int, names: Sequence[str]) -> Iterator[InputIssue]:
    for name in NEEDED:
        if name not in names:
            yield InputIssue(
                file, f"line {line}", f"a header without {name}", f"one with {', '.join(NEEDED)}"
            )
    for name in dict.fromkeys(names):
        if name and name not in FIELDS:
            yield InputIssue(file, f"line {line}", f"a column {show(name)}", f"one of {', '.join(FIELDS)}")
        elif name and names.count(name) > 1:
            yield InputIssue(file, f"line {line}", f"the column {name} twice", "once")


class _Reading:
    """Rows, read one by one; keeps what is wrong."""

    def __init__(self, file: str, plan: Plan, commas: bool) -> None:
        self.file, self.plan, self.commas = file, plan, commas
        self.planned = {run.run: run for run in plan.runs}
        self.runs: dict[int, TypedRun] = {}
        self.lines: dict[int, int] = {}
        self.issues: list[InputIssue] = []

    def take(self, line: int, names: Sequence[str], cells: Sequence[str]) -> None:
        """Read a row."""
        if len(cells) > len(names):  # empty ones, too: a decimal comma shifts what comes after it
            hint = "" if self.commas else " (write decimal points, or semicolons between the columns)"
            self.wrong(line, "", f"{len(cells)} cells", f"{len(names)}, as many as the header has{hint}")
            return
        row = {name: cell.strip() for name, cell in zip(names, cells, strict=False) if name}
        run = self.number_of_run(line, row)
        if run is None:
            return
        planned = self.planned[run]
        if row.get("pair") and row["pair"] != str(planned.pair):
            self.wrong(line, "pair", show(row["pair"]), f"{planned.pair}, the pair of run {run}")
        word = (row.get("code_word") or self.plan.word(planned)).lower()
        if word not in self.plan.words:
            self.wrong(line, "code_word", show(word), " or ".join(sorted(self.plan.words)))
        guess = row.get("guess", "").lower()
        if guess not in GUESSES:
            self.wrong(line, "guess", show(guess), "first, second, ? or nothing")
        self.runs[run] = TypedRun(
            run,
            row.get("driver") or planned.driver,
            word,
            self.outcome(line, row.get("outcome", "")),
            *(
                self.number(line, row, "temperature_C"),
                row.get("dust", "").lower(),
                row.get("tyres", "").lower(),
            ),
            *(self.number(line, row, "battery_V"), GUESSES.get(guess, 0), row.get("left_out", "")),
        )

    def number_of_run(self, line: int, row: Mapping[str, str]) -> int | None:
        """Number of the run of a row; None where that is wrong."""
        text = row.get("run", "")
        run = int(text) if text.isascii() and text.isdigit() and len(text) < 6 else 0
        if run not in self.planned:
            self.wrong(
                line, "run", show(text) if text else "nothing", f"a run of the plan, 1 to {len(self.planned)}"
            )
            return None
        if run in self.lines:
            self.wrong(line, "run", f"{run}, which stands in line {self.lines[run]} too", "each run once")
            return None
        self.lines[run] = line
        return run

    def outcome(self, line: int, text: str) -> float | None:
        """What came of a run."""
        if not text:
            return None
        measure = self.plan.measure
        if measure.yes_no:
            if text.lower() not in YES + NO:
                self.wrong(line, "outcome", show(text), "yes or no, or nothing")
                return None
            return float(text.lower() in YES)
        return self.read(line, "outcome", text, measure.outcomes, FAR * self.plan.expected.scatter)

    def number(self, line: int, row: Mapping[str, str], name: str) -> float | None:
        """A number that goes with a run."""
        text = row.get(name, "")
        return self.read(line, name, text, NUMBERS[name]) if text else None

    def read(self, line: int, name: str, text: str, wanted: Q, far: float = 0.0) -> float | None:
        """A number, with a decimal comma where commas do not part the columns."""
        try:
            return number_in(text, wanted, self.commas, far)
        except RejectedValue as refusal:
            self.wrong(line, name, refusal.got, refusal.must_be, refusal.hint)
            return None

    def wrong(self, line: int, name: str, got: str, must_be: str, hint: str = "") -> None:
        """Note a fault."""
        where = f"line {line}, {name}" if name else f"line {line}"
        self.issues.append(InputIssue(self.file, where, got, must_be, hint))
