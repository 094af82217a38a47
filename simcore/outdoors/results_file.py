"""The results of a trial as they are typed: the file to fill in, and reading it with all faults at once."""

import csv
import dataclasses
import io
import re
from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path

from simcore.errors import InputError, InputIssue, RejectedValue
from simcore.logs.reading import csv_text, separator
from simcore.outdoors.cells import number_in, rejoined
from simcore.outdoors.key import Key, Plan
from simcore.outdoors.schedule import PlannedRun
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
_NAMES = {name.lower(): name for name in FIELDS}
NUMBERS = {"temperature_C": Q("1", ge=-60.0, le=70.0), "battery_V": Q("V", ge=0.0, le=100.0)}
LONGEST = 40  # letters of a driver's name
_WORD = re.compile(r"[^\W\d_]{2,}")
_DEGREES = re.compile(r"\s*°?\s*C$")
SAID = 3  # runs of one fault that are told
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
        "# Columns between semicolons or tabs, or between commas with decimal points.",
        "# Rows of runs not done stay, without outcome.",
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
    mark = separator(next((line for line in lines if line.strip() and not _said(line)), ""))
    rows = [(number, cells) for number, cells in _rows(file, lines, mark) if any(map(str.strip, cells))]
    if not rows:
        raise InputError(
            [InputIssue(file, "", "no rows", f"a header of {', '.join(FIELDS)}, and a row a run")]
        )
    (head, names), *rest = rows
    names = [_NAMES.get(name.strip().lower(), name.strip()) for name in names]
    issues = list(_header_issues(file, head, names))
    if issues:
        raise InputError(issues)
    reading = _Reading(file, key.plan, mark != ",")
    for number, cells in rest:
        reading.take(number, names, [cell.strip() for cell in cells])
    issues = reading.issues or list(reading.other_words())
    if issues:
        raise InputError(issues)
    return tuple(sorted(reading.runs.values(), key=lambda run: run.run))


def _rows(file: str, lines: Sequence[str], mark: str) -> Iterator[tuple[int, list[str]]]:
    """Rows with the line that each begins in; a cell in quotes may go on over several lines."""
    begun, fresh = 1, True

    def fed() -> Iterator[str]:
        nonlocal fresh
        for line in lines:
            begins, fresh = fresh, False
            yield "\n" if begins and _said(line) else f"{line}\n"

    reader = csv.reader(fed(), delimiter=mark, strict=True)
    try:
        for cells in reader:
            yield begun, cells
            begun, fresh = reader.line_num + 1, True
    except csv.Error:
        got = "a cell that never ends, or with a quotation mark within"
        raise InputError(
            [InputIssue(file, f"line {begun}", got, "quotation marks in pairs, or none")]
        ) from None


def _said(line: str) -> bool:
    """Whether a line is no row: a remark, or what some spreadsheets are told the separator by."""
    return line.lstrip('" ').startswith("#") or line.lower().lstrip('" ').startswith("sep=")


def _check_trial(file: str, lines: Sequence[str], key: Key) -> None:
    """Refuse results of another trial, and none at all."""
    if not any(map(str.strip, lines)):
        must_be = f"the results of trial {key.trial}, in the file that its plan has written"
        raise InputError([InputIssue(file, "", "an empty file", must_be)])
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
    missing = [name for name in NEEDED if name not in names]
    if missing:
        must_be = f"one with {', '.join(NEEDED)}, between commas, semicolons or tabs"
        yield InputIssue(file, f"line {line}", f"a header without {', '.join(missing)}", must_be)
    for name in dict.fromkeys(names):
        if name and name not in FIELDS:
            yield InputIssue(file, f"line {line}", f"a column {show(name)}", f"one of {', '.join(FIELDS)}")
        elif name and names.count(name) > 1:
            yield InputIssue(file, f"line {line}", f"the column {name} twice", "once")


class _Reading:
    """Runs as they are read row by row, with all that is wrong."""

    def __init__(self, file: str, plan: Plan, commas: bool) -> None:
        self.file, self.plan, self.commas = file, plan, commas
        self.drivers = {name.casefold(): name for name in plan.drivers}
        self.runs: dict[int, TypedRun] = {}
        self.lines: dict[int, int] = {}
        self.issues: list[InputIssue] = []

    def take(self, line: int, names: Sequence[str], cells: Sequence[str]) -> None:
        """Read a row."""
        if len(cells) > len(names):  # empty ones, too: a decimal comma shifts what comes after it
            hint = "" if self.commas else " (write decimal points, or semicolons between the columns)"
            must_be = f"{len(names)}, as many as the header has{hint}"
            self.issues.append(InputIssue(self.file, f"line {line}", f"{len(cells)} cells", must_be))
            return
        row = self.row(line, names, cells)
        split = None if self.commas else self.split_number(line, names, cells, not row.issues)
        self.issues += row.issues if split is None else [split]
        if row.run is not None and row.run.run in self.lines:
            run, there = row.run.run, self.lines[row.run.run]
            got = f"{run}, which stands in line {there} too"
            self.issues.append(InputIssue(self.file, f"line {line}, run", got, "each run once"))
        elif row.run is not None:
            driver = self.drivers.setdefault(row.run.driver.casefold(), row.run.driver)
            self.lines[row.run.run] = line
            self.runs[row.run.run] = dataclasses.replace(row.run, driver=driver)

    def other_words(self) -> Iterator[InputIssue]:
        """That half of the runs have another code word than planned, which no slip on the day explains."""
        done = [run for run in self.runs.values() if run.outcome is not None]
        planned = {run.run: self.plan.word(run) for run in self.plan.runs}
        other = [run.run for run in done if run.word != planned[run.run]]
        if len(other) < 2 or 2 * len(other) < len(done):
            return
        lines = [self.lines[run] for run in other]
        where = f"lines {min(lines)} to {max(lines)}" if len(lines) > 1 else f"line {lines[0]}"
        got = f"the other word than planned in {len(other)} of {len(done)} runs"
        words = ", ".join(f"{planned[run]} in run {run}" for run in sorted(other)[:SAID])
        must_be = (
            f"the planned one ({words}{' and so on' * (len(other) > SAID)}), save in few runs, in which the "
            "other set-up was fitted by mistake"
        )
        yield InputIssue(self.file, f"{where}, code_word", got, must_be)

    def row(self, line: int, names: Sequence[str], cells: Sequence[str]) -> "_Row":
        """A row by itself."""
        named = {name: cell for name, cell in zip(names, cells, strict=False) if name}
        return _Row(self.file, line, self.plan, self.commas, named)

    def split_number(
        self, line: int, names: Sequence[str], cells: Sequence[str], sound: bool
    ) -> InputIssue | None:
        """That a row is a good one with a comma for a decimal point; None where it is not.

        `sound` says that it is a good one as it stands, too, and may mean either.
        """
        numbers = [*NUMBERS, *(() if self.plan.measure.yes_no else ("outcome",))]
        for commas, joined in rejoined(names, cells, numbers):
            if not self.row(line, names, joined).issues:
                name, text = commas[0]
                point = text.replace(",", ".")
                got = f"{text}, one number with a decimal comma{', or two cells' * sound}"
                two = f" if it is one number, {text.replace(',', '.0,')} if it is two" * sound
                must_be = f"{point}{two}; or semicolons or tabs between the columns"
                return InputIssue(self.file, f"line {line}, {name}", got, must_be)
        return None


class _Row:
    """One row.

    Attributes
    ----------
    issues : all that is wrong with it
    run : that stands there; None where it is none of the plan
    """

    def __init__(self, file: str, line: int, plan: Plan, commas: bool, cells: Mapping[str, str]) -> None:
        self.file, self.line, self.plan, self.commas, self.cells = file, line, plan, commas, cells
        self.issues: list[InputIssue] = []
        planned = self.planned()
        self.run = None if planned is None else self.typed(planned)

    def planned(self) -> PlannedRun | None:
        """The run as it was planned."""
        text = self.cells.get("run", "")
        run = int(text) if text.isascii() and text.isdigit() and len(text) < 6 else 0
        if 1 <= run <= len(self.plan.runs):
            return self.plan.runs[run - 1]
        must_be = f"a run of the plan, 1 to {len(self.plan.runs)}"
        self.wrong("run", show(text) if text else "nothing", must_be)
        return None

    def typed(self, planned: PlannedRun) -> TypedRun:
        """The run as it was typed."""
        cells = self.cells
        if cells.get("pair") and cells["pair"] != str(planned.pair):
            self.wrong("pair", show(cells["pair"]), f"{planned.pair}, the pair of run {planned.run}")
        word = (cells.get("code_word") or self.plan.word(planned)).lower()
        if word not in self.plan.words:
            self.wrong("code_word", show(word), " or ".join(sorted(self.plan.words)))
        guess = cells.get("guess", "").lower()
        if guess not in GUESSES:
            self.wrong("guess", show(guess), "first, second, ? or nothing")
        driver = " ".join(cells.get("driver", "").split()) or planned.driver
        if len(driver) > LONGEST or not driver.isprintable():
            self.wrong("driver", show(driver), f"a name of at most {LONGEST} letters")
        why = cells.get("left_out", "")
        if why and (why.lower() in YES + NO or not _WORD.search(why)):
            must_be = "why the run must not count, in words, or nothing where it counts"
            self.wrong("left_out", show(why), must_be)
        return TypedRun(
            run=planned.run,
            driver=driver,
            word=word,
            outcome=self.outcome(),
            temperature=self.number("temperature_C", NUMBERS["temperature_C"]),
            dust=cells.get("dust", "").lower(),
            tyres=cells.get("tyres", "").lower(),
            battery=self.number("battery_V", NUMBERS["battery_V"]),
            guess=GUESSES.get(guess, 0),
            left_out=why,
        )

    def outcome(self) -> float | None:
        """What came of the run."""
        measure = self.plan.measure
        if not measure.yes_no:
            return self.number("outcome", measure.outcomes, FAR * self.plan.expected.scatter)
        text = self.cells.get("outcome", "")
        if text and text.lower() not in YES + NO:
            self.wrong("outcome", show(text), "yes or no, or nothing")
        return float(text.lower() in YES) if text else None

    def number(self, name: str, wanted: Q, far: float = 0.0) -> float | None:
        """A number, with a decimal comma where commas do not part the columns; None where there is none."""
        text = self.cells.get(name, "")
        if not text:
            return None
        if name == "temperature_C":
            text = _DEGREES.sub("", text)
        try:
            return number_in(text, wanted, self.commas, far)
        except RejectedValue as refusal:
            self.wrong(name, refusal.got, refusal.must_be, refusal.hint)
            return None

    def wrong(self, name: str, got: str, must_be: str, hint: str = "") -> None:
        """Note a fault."""
        self.issues.append(InputIssue(self.file, f"line {self.line}, {name}", got, must_be, hint))
