"""Every combination of a scenario's cases and its axes' values: one run each, with what it is called."""

import dataclasses
import itertools
import math
from collections.abc import Mapping
from typing import Any

from simcore.errors import InputError, InputIssue, RejectedValue
from simcore.files.axes import CASE, JOINT, MOST_RUNS, settings_of
from simcore.files.scenario import Scenario
from simcore.files.schema import follow, items, plain
from simcore.files.settings import Edit, edits
from simcore.files.steps import steps
from simcore.results.formatting import WEIGHED
from simcore.results.job_metrics import no_start
from simcore.results.quantities import Label
from simcore.results.store import NoMetrics, Row, without_metrics
from simcore.solve.refusal import CannotStand
from simcore.units import GRAMS

ASKED = {"torque": "motor torque", "speed": "held speed", "brake": "drag brake"}  # tables of the driver
UNSAID = ("rig", "driveline")  # tables that a name does without


@dataclasses.dataclass(frozen=True)
class Point:
    """One run of a sweep.

    Attributes
    ----------
    name : its values, as "30" or "30, 0.5"; of a sweep of several cases "battery lower, 30"
    inputs : axis to value, as it would stand in a file; before them the case, where there are several
    scenario : what is run; None when the values do not go together
    failed : row that says why they do not
    """

    name: str
    inputs: Mapping[str, Any]
    scenario: Scenario | None
    failed: Row | None = None


def no_metrics(error: InputError) -> Row:
    """Row of a run that was refused: why, without the name of the file."""
    code = NoMetrics.CANNOT_STAND if isinstance(error, CannotStand) else NoMetrics.INPUT
    said = (
        f"{issue.key}: got {issue.got}, must be {issue.must_be}".removeprefix(": ") for issue in error.issues
    )
    row = without_metrics(code, "; ".join(said))
    return row | no_start(error.why) if isinstance(error, CannotStand) else row


def plan(scenario: Scenario) -> list[Point]:
    """All combinations of a scenario's cases and axes, the last axis fastest.

    Raises
    ------
    InputError
        when there is no axis, there are too many runs, or two cases of one name.
    """
    axes = scenario.vary
    if not axes:
        must_be = "at least one axis, as --vary driveline.overdrive=0:30:0.75 or a table [vary]"
        raise InputError([InputIssue(str(scenario.path), "vary", "none", must_be)])
    count = len(cases_of(scenario)) or 1
    for values in axes.values():
        count *= len(values)
    if count > MOST_RUNS:
        raise InputError(
            [InputIssue(str(scenario.path), "vary", f"{count} runs", f"at most {MOST_RUNS} runs")]
        )
    return [_point(scenario, name, inputs) for name, inputs in named_inputs(scenario)]


def cases_of(scenario: Scenario) -> list[str]:
    """Names of the cases that a sweep runs along its axes, the base first; none for a scenario alone."""
    return scenario.case_names() if scenario.variants else []


def named_inputs(scenario: Scenario) -> list[tuple[str, Mapping[str, Any]]]:
    """Name of every run of a sweep, and its values, axis to value; before them its case, under `CASE`."""
    cases = cases_of(scenario)
    axes = ({CASE: cases} if cases else {}) | dict(scenario.vary)
    every = [dict(zip(axes, values, strict=True)) for values in itertools.product(*axes.values())]
    return [(", ".join(str(value) for value in inputs.values()), inputs) for inputs in every]


def edits_at(scenario: Scenario, inputs: Mapping[str, Any]) -> list[Edit]:
    """Settings of one run of a sweep: those of its case, then those of the axes."""
    own = scenario.edits_of(inputs[CASE]) if CASE in inputs else []
    axes = {path: value for path, value in inputs.items() if path != CASE}
    return [*own, *edits([pair for path, value in axes.items() for pair in settings_of(path, value).items()])]


def _point(scenario: Scenario, name: str, inputs: Mapping[str, Any]) -> Point:
    try:
        return Point(name, inputs, scenario.edited(edits_at(scenario, inputs)))
    except InputError as error:
        return Point(name, inputs, None, no_metrics(error))


def axis_label(path: str) -> Label:
    """What to call an axis in a picture: the path in words, and its unit."""
    paths = [one.strip() for one in path.split(JOINT)]
    units = {_unit(one) for one in paths}
    unit = units.pop() if len(units) == 1 else "1"
    return Label(_words(paths), "" if unit == "1" else WEIGHED.get(unit, unit))


def axis_value(path: str, value: Any) -> Any:
    """A value of an axis as it is said: a number in the unit of `axis_label`, whatever its own unit."""
    paths = [one.strip() for one in path.split(JOINT)]
    units = {_unit(one) for one in paths}
    _, quantity = plain(follow(Scenario, steps(paths[0], Scenario)))
    if quantity is None or len(units) != 1 or isinstance(value, bool):
        return value
    try:
        number = quantity.bench(value)
    except RejectedValue:  # a word, such as "none"
        return value
    if quantity.unit in WEIGHED:
        number = float(f"{number * GRAMS:.3g}")
    return int(number) if number.is_integer() else float(f"{number:.6g}")


def column(values: list[Any]) -> list[Any]:
    """Values of one kind: numbers where there is no text among them (None: NaN), else text."""
    if all(value is None or isinstance(value, int | float) for value in values):
        return [math.nan if value is None else float(value) for value in values]
    return ["" if value is None else str(value) for value in values]


def _unit(path: str) -> str:
    _, quantity = plain(follow(Scenario, steps(path, Scenario)))
    return quantity.unit if quantity is not None else ""


def _words(paths: list[str]) -> str:
    """Joined paths share the words with which they begin or end: "rear and front tyre radius"."""
    named = [_spelled(path) for path in paths]
    heads, tails = (list(dict.fromkeys(" ".join(part) for part in parts)) for parts in _parted(named))
    return " ".join(part for part in (" and ".join(heads), " and ".join(tails)) if part)


def _parted(named: list[list[str]]) -> tuple[list[list[str]], list[list[str]]]:
    """First words and the rest when these combine freely, else all words and nothing."""
    heads, tails = {words[0] for words in named}, {tuple(words[1:]) for words in named}
    free = len(named) == len(heads) * len(tails)
    if not free or len(named) == 1:
        return named, []
    shared = 0
    rows = [list(tail) for tail in dict.fromkeys(tuple(words[1:]) for words in named)]
    while len({tuple(row[: shared + 1]) for row in rows}) == 1 and shared < len(rows[0]):
        shared += 1
    front = [words[:1] for words in named]
    return front, [rows[0], *(row[shared:] for row in rows[1:])]


def _numbered(place: tuple[str | int, ...], step: int) -> str:
    """What to call an item of a list: x or z of a place, time or value of a row, else its number."""
    kinds = items(follow(Scenario, place))
    if kinds is None or kinds[-1] is Ellipsis or len(kinds) != 2:
        return f"row {step + 1}" if _of_rows(place) else str(step + 1)
    alike = plain(kinds[0])[1] == plain(kinds[1])[1]
    return ("x", "z")[step] if alike else ("time", "value")[step]


def _of_rows(place: tuple[str | int, ...]) -> bool:
    """Whether a list is a table of rows, such as a driver's."""
    kinds = items(follow(Scenario, place))
    return kinds is not None and items(kinds[0]) is not None


def _spelled(path: str) -> list[str]:
    """Words of a path; the two numbers of a place are its x and z, other lists are counted from one."""
    place, words = steps(path, Scenario), []
    if place[:-2] == ("ground", "pieces"):
        _, _, number, key = place
        return [f"{key} of piece {int(number) + 1}"]
    if len(place) == 4 and place[0] == "driver" and _of_rows(place[:2]):
        table, row = ASKED.get(str(place[1]), str(place[1])), int(place[2]) + 1
        return [f"{table}, row {row}" if place[3] == 1 else f"time of row {row} of the {table}"]
    for depth, step in enumerate(place):
        if depth < len(place) - 1 and step in UNSAID:
            continue
        if isinstance(step, int):
            words.append(_numbered(place[:depth], step))
        else:
            words.append(step.replace("_", " "))
    return words
